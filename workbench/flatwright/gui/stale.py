# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""After a change that makes a result stale: say so, with the way to apply the rules again."""

from __future__ import annotations

from typing import Any

from PySide import QtCore

from flatwright.host import remembered


def show_if_stale(doc: Any) -> None:
    """Open the summary, once the panel that is closing is gone."""
    if remembered.stale(doc):
        QtCore.QTimer.singleShot(0, lambda: _show_summary(doc))


def _show_summary(doc: Any) -> None:
    from flatwright.gui import task
    from flatwright.gui.summary_panel import SummaryPanel

    task.show(SummaryPanel(doc))
