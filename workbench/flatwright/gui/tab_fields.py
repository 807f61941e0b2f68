# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The two fields for the size of a tab; an empty one leaves it to the rules."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from PySide import QtGui

from flatwright.gui.colours import ERROR
from flatwright.gui.units import says, with_unit
from flatwright.presets.quantities import LENGTH, parse

KEYS = ("length", "height")


class TabFields(QtGui.QWidget):
    """`resized` is called with both sizes, mm or None, after one was typed."""

    def __init__(self, resized: Callable[[float | None, float | None], None]) -> None:
        super().__init__()
        self._resized = resized
        self._now: tuple[str, ...] = ("", "")
        self._fields: dict[str, Any] = {}
        layout = QtGui.QFormLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        for key in KEYS:
            field = self._fields[key] = QtGui.QLineEdit()
            field.setObjectName(key)
            field.setPlaceholderText("by the rules")
            field.editingFinished.connect(self._typed)
            layout.addRow(f"{key.capitalize()}:", field)

    def show_sizes(self, sizes: Sequence[float | None] | None) -> None:
        """Show the sizes of a tab; None when no tab is marked."""
        self.setEnabled(sizes is not None)
        self._now = tuple("" if s is None else says(s) for s in sizes or (None, None))
        for field, text in zip(self._fields.values(), self._now, strict=True):
            field.setText(text)
            field.setStyleSheet("")
            field.setToolTip("")

    def _typed(self) -> None:
        texts = tuple(f.text().strip() for f in self._fields.values())
        if texts == self._now:
            return
        sizes: list[float | None] = []
        for field, text in zip(self._fields.values(), texts, strict=True):
            try:
                sizes.append(parse(with_unit(text), LENGTH, "positive") if text else None)
            except ValueError as e:
                field.setStyleSheet(f"border: 1px solid {ERROR};")
                field.setToolTip(str(e))
                return
        self._now = texts  # leaving the field says it once more
        self._resized(*sizes)
