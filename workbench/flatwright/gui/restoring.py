# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Files that were made without a window get their views when a window opens them.

Our own objects and operations see to that themselves; the host's jobs around them do not.
"""

from __future__ import annotations

from typing import Any

import FreeCAD as App
from PySide import QtCore

_MARK = "FlatwrightKind"  # of host.skipping, which is not imported at FreeCAD's start
_SOON = 50  # ms


class _Observer:
    """The host tells it about every document: when one begins to be read, not when it has been."""

    def slotCreatedDocument(self, doc: Any) -> None:
        """A document is there, still empty."""
        name = doc.Name
        QtCore.QTimer.singleShot(0, lambda: _look(name))


def watch() -> None:
    """Look at every file that is opened from now on."""
    if not _observers:
        _observers.append(_Observer())
        App.addDocumentObserver(_observers[0])


_observers: list[_Observer] = []  # the host keeps no reference of its own


def _look(name: str) -> None:
    doc = App.listDocuments().get(name)
    if doc is None:
        return
    if doc.Restoring:
        QtCore.QTimer.singleShot(_SOON, lambda: _look(name))
    elif any(_MARK in o.PropertiesList for o in doc.Objects):
        from flatwright.gui.requirements import missing

        if not missing():
            _show_jobs(doc)


def _show_jobs(doc: Any) -> None:
    from flatwright.host.cam_job import our_jobs
    from flatwright.host.cam_views import show_job

    for job in our_jobs(doc):
        show_job(job)
