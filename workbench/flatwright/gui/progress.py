# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A progress bar with a way out, over a run that works in the window's own thread."""

from __future__ import annotations

import time

import FreeCADGui as Gui
from PySide import QtCore, QtGui

from flatwright.api import Cancelled

QUICK = 400  # ms: what is done by then shows no bar
_OFTEN = 0.04  # s between two looks at the window


class ProgressBar:
    """Called with the fraction done and what is being done; raises Cancelled once the user has had enough."""

    def __init__(self, title: str) -> None:
        self._dialog = QtGui.QProgressDialog(title, "Cancel", 0, 100, Gui.getMainWindow())
        self._dialog.setObjectName("FlatwrightProgress")
        self._dialog.setWindowTitle("Flatwright")
        self._dialog.setWindowModality(QtCore.Qt.ApplicationModal)
        self._dialog.setMinimumWidth(340)
        self._dialog.setMinimumDuration(QUICK)
        self._dialog.setAutoClose(False)
        self._dialog.setAutoReset(False)
        self._text = ""
        self._looked = 0.0

    def __call__(self, done: float, what: str) -> None:
        now = time.monotonic()
        if what == self._text and now - self._looked < _OFTEN:
            return
        self._text, self._looked = what, now
        self._dialog.setLabelText(what[:1].upper() + what[1:])
        self._dialog.setValue(min(99, int(100 * done)))
        QtGui.QApplication.processEvents()
        if self._dialog.wasCanceled():
            raise Cancelled

    def __enter__(self) -> ProgressBar:
        return self

    def __exit__(self, *raised: object) -> None:
        self._dialog.close()
        self._dialog.deleteLater()
