# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The fields for the readings of one board: as many as are typed, and what they come to."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide import QtCore, QtGui

from flatwright.boards.batch import Batch
from flatwright.boards.readings import parse_readings
from flatwright.findings import UsageError
from flatwright.gui.colours import ERROR, WARNING
from flatwright.gui.units import says, with_unit
from flatwright.host.measuring import Needed, needed_boards
from flatwright.presets.model import Board

IN_A_ROW, ROWS = 3, 2
_WRONG = f"border: 1px solid {ERROR};"


class _Field(QtGui.QLineEdit):
    """A field for one reading. Enter says that all are typed."""

    def __init__(self, parent: QtGui.QWidget, done: Callable[[], None]) -> None:
        super().__init__(parent)
        self._done = done
        self.setMinimumWidth(40)

    def keyPressEvent(self, event: Any) -> None:
        if event.key() in (QtCore.Qt.Key_Return, QtCore.Qt.Key_Enter):
            event.accept()
            QtCore.QTimer.singleShot(0, self._done)  # this field may be gone when it is done
        else:
            super().keyPressEvent(event)


class BoardFields(QtGui.QGroupBox):
    """One board: what it is for, what is known of it, and a field for each new reading."""

    def __init__(self, needed: Needed, boards: Sequence[Board], done: Callable[[], None]) -> None:
        count = len(needed.panels)
        super().__init__(f"{says(needed.thickness)}: {count} panel{'s' * (count != 1)}")
        self.setToolTip(", ".join(needed.panels))
        self._needed, self._boards, self._done = needed, boards, done
        self._fields: list[_Field] = []
        self._grid = QtGui.QGridLayout()
        self._told = QtGui.QLabel()
        self._told.setObjectName("told")
        self._told.setWordWrap(True)
        self._told.setTextFormat(QtCore.Qt.RichText)
        layout = QtGui.QVBoxLayout(self)
        layout.addLayout(self._grid)
        layout.addWidget(self._told)
        for _ in range(ROWS):
            self._add_row()
        self.evaluate()

    @property
    def fields(self) -> Sequence[QtGui.QLineEdit]:
        """The fields in the order of Tab."""
        return tuple(self._fields)

    @property
    def typed(self) -> list[str]:
        """The readings in the fields, each with its unit."""
        return [with_unit(f.text()) for f in self._fields if f.text().strip()]

    def group(self) -> str:
        """The readings to keep, new or old, as on the command line; empty when there are none."""
        values = self.typed or [v for v in (self._needed.kept,) if v]
        return self._needed.group(values) if values else ""

    def evaluate(self) -> QtGui.QLineEdit | None:
        """Tell what the readings come to; the first field that cannot be used, or None."""
        wrong, why = self._first_wrong()
        if why:
            self._told.setText(f'<span style="color:{ERROR}">{_plain(why)}</span>')
        elif self.typed:
            self._tell_typed()
        else:
            self._told.setText(_plain(self._in_use()))
        return wrong

    def _tell_typed(self) -> None:
        drawn = dict.fromkeys(self._needed.panels, self._needed.thickness)
        [needed], found = needed_boards(drawn, self._boards, [self.group()])
        doubts = "".join(
            f'<br><span style="color:{WARNING}">{_plain(f.message)}</span>'
            for f in found
            if f.code in ("board.outside-standard", "board.uneven")
        )
        self._told.setText(_plain(_summary(needed.measured)) + doubts)

    def _first_wrong(self) -> tuple[QtGui.QLineEdit | None, str]:
        first: tuple[QtGui.QLineEdit | None, str] = (None, "")
        for field in self._fields:
            why = self._problem(field.text())
            field.setStyleSheet(_WRONG if why else "")
            if why and first[0] is None:
                first = (field, why)
        return first

    def _problem(self, text: str) -> str:
        if not text.strip():
            return ""
        try:
            parse_readings([self._needed.group([with_unit(text)])])
        except UsageError as e:
            return str(e)
        return ""

    def _in_use(self) -> str:
        name = self._needed.board or "no such board in the preset"
        if self._needed.measured is None:
            return f"{name}: not measured"
        return f"{name}, until now: {_summary(self._needed.measured)}"

    def _add_row(self) -> None:
        for k in range(len(self._fields), len(self._fields) + IN_A_ROW):
            field = _Field(self, self._done)
            field.setObjectName(f"reading{k + 1}")
            field.setAccessibleName(f"Reading {k + 1} of {self.title()}")
            field.editingFinished.connect(self.evaluate)
            field.textEdited.connect(self._grow)
            self._grid.addWidget(field, k // IN_A_ROW, k % IN_A_ROW)
            if self._fields:
                QtGui.QWidget.setTabOrder(self._fields[-1], field)
            self._fields.append(field)

    def _grow(self) -> None:
        """There is always an empty field to go on with."""
        if self._fields[-1].text():
            self._add_row()


def _summary(batch: Batch | None) -> str:
    if batch is None:
        return ""
    count = len(batch.readings)
    if count == 1:
        return f"{says(batch.mean)} (1 reading)"
    return f"mean {says(batch.mean)}, from {says(batch.smallest)} to {says(batch.largest)} ({count} readings)"


def _plain(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")
