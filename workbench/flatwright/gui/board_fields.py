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
from flatwright.gui.units import fine, says, with_unit
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
            measured, doubts = self._measured(self.group())
            lines = (f'<br><span style="color:{WARNING}">{_plain(d)}</span>' for d in doubts)
            self._told.setText(figures(measured) + "".join(lines))
        else:
            self._told.setText(self._in_use())
        return wrong

    def _measured(self, group: str) -> tuple[Batch | None, list[str]]:
        """What readings come to, and what is remarkable about them."""
        drawn = dict.fromkeys(self._needed.panels, self._needed.thickness)
        [needed], found = needed_boards(drawn, self._boards, [group])
        doubts = [f.message for f in found if f.code in ("board.outside-standard", "board.uneven")]
        return needed.measured, doubts

    def _typing(self) -> None:
        """While a reading is typed: what those come to that can be used so far. What is wrong with the
        others is told when they are complete."""
        sound = [with_unit(t) for f in self._fields if (t := f.text()).strip() and not self._problem(t)]
        self._told.setText(figures(self._measured(self._needed.group(sound))[0]) if sound else self._in_use())

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
        name = _plain(self._needed.board or "no such board in the preset")
        if self._needed.measured is None:
            return f"{name}: not measured"
        return f"{name}, until now: {figures(self._needed.measured)}"

    def _add_row(self) -> None:
        for k in range(len(self._fields), len(self._fields) + IN_A_ROW):
            field = _Field(self, self._done)
            field.setObjectName(f"reading{k + 1}")
            field.setAccessibleName(f"Reading {k + 1} of {self.title()}")
            field.editingFinished.connect(self.evaluate)
            field.textEdited.connect(self._edited)
            self._grid.addWidget(field, k // IN_A_ROW, k % IN_A_ROW)
            if self._fields:
                QtGui.QWidget.setTabOrder(self._fields[-1], field)
            self._fields.append(field)

    def _edited(self) -> None:
        """What the readings come to so far; and there is always an empty field to go on with."""
        if self._fields[-1].text():
            self._add_row()
        self._typing()


def figures(batch: Batch | None) -> str:
    """Mean, U95, deviation and range of readings, as rich text."""
    if batch is None:
        return ""
    count = len(batch.readings)
    if batch.deviation is None or batch.uncertainty is None:
        return f"mean {says(batch.mean)} (1 reading: a second one tells how sure that is)"
    return (
        f"mean {says(batch.mean)} \u00b1 {fine(batch.uncertainty)} (U<sub>95</sub>)<br>"
        f"s {fine(batch.deviation)}, {count} readings<br>from {says(batch.smallest)} to {says(batch.largest)}"
    )


def _plain(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")
