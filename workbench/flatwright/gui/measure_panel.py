# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The task panel of Measure Boards: readings typed one after another, Enter when all are in."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtCore, QtGui

from flatwright import api
from flatwright.findings import UsageError
from flatwright.gui import running, task
from flatwright.gui.board_fields import BoardFields
from flatwright.gui.stale import show_if_stale
from flatwright.gui.units import unit
from flatwright.host import measuring, remembered
from flatwright.presets.reading import load


class MeasurePanel:
    """Raises UsageError for a document without panels."""

    def __init__(self, doc: Any) -> None:
        self.doc = doc
        self.form = QtGui.QWidget()
        self.form.setObjectName("FlatwrightMeasureBoards")
        self.form.setWindowTitle("Measure Boards")
        self.form.setWindowIcon(task.icon("measure-boards"))
        layout = QtGui.QVBoxLayout(self.form)
        intro = QtGui.QLabel(
            f"Type what the caliper shows, in {unit()} if you name no unit: Tab to the next reading, "
            "Enter when all are in. A board left empty keeps its readings."
        )
        intro.setWordWrap(True)
        layout.addWidget(intro)
        boards = load(api.default_preset()).boards
        self.boards = [BoardFields(n, boards, self._enter) for n in _needed(doc, boards)]
        for before, after in pairwise(self.boards):
            QtGui.QWidget.setTabOrder(before.fields[-1], after.fields[0])
        for fields in self.boards:
            layout.addWidget(fields)
        layout.addStretch()
        QtCore.QTimer.singleShot(0, self.boards[0].fields[0].setFocus)

    def getStandardButtons(self) -> Any:
        """OK and Cancel."""
        return task.buttons("Ok", "Cancel")

    def accept(self) -> bool:
        """Keep the readings in the document; with one that cannot be used, stay."""
        for board in self.boards:
            wrong = board.evaluate()
            if wrong is not None:
                wrong.setFocus()
                wrong.selectAll()
                return False
        if any(board.typed for board in self.boards):
            App.setActiveDocument(self.doc.Name)
            groups = [g for b in self.boards if (g := b.group())]
            if not running.run(f"measure_boards(readings={groups!r})"):
                return False
        Gui.Control.closeDialog()
        show_if_stale(self.doc)
        return True

    def reject(self) -> bool:
        """Leave the document as it is."""
        Gui.Control.closeDialog()
        return True

    def _enter(self) -> None:
        """Enter in a field."""
        if task.is_open(self):
            self.accept()


def _needed(doc: Any, boards: Any) -> list[measuring.Needed]:
    """The boards with the readings that are kept, as far as these still belong to a panel."""
    drawn = measuring.panel_thicknesses(doc, boards)
    try:
        return measuring.needed_boards(drawn, boards, remembered.readings(doc))[0]
    except UsageError:
        return measuring.needed_boards(drawn, boards, ())[0]
