# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The task panels in which one thing is chosen for the panels that are selected: grain, show face,
the face that keeps its place, board."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide import QtGui

from flatwright.gui.by_hand_panel import ByHandPanel
from flatwright.gui.units import says
from flatwright.gui.ways import way_named
from flatwright.host import edited, objects

Choices = Sequence[tuple[str, Any]]
SHOWN = 6  # panels named one by one
GRAIN: Choices = (
    ("By the rules", None),
    ("Along the longer side", 0.0),
    ("Across the longer side", 90.0),
    ("Any way", "any"),
)


class ChoicePanel(ByHandPanel):
    """`call` is the public function, with a place for the names and one for the choice."""

    def __init__(
        self,
        doc: Any,
        title: str,
        question: str,
        panels: Sequence[Any],
        choices: Choices,
        now: set[Any],
        call: str,
    ) -> None:
        self._panels, self._call = list(panels), call
        super().__init__(doc, title, f"{question} {_named(self._panels)}")
        self._buttons: list[tuple[Any, Any]] = []
        for text, value in choices:
            button = QtGui.QRadioButton(text)
            button.setObjectName(str(value))
            button.setChecked(now == {value})
            self.layout.addWidget(button)
            self._buttons.append((button, value))
        self.layout.addStretch()

    def call(self) -> str:
        chosen = [value for button, value in self._buttons if button.isChecked()]
        names = [p.PanelName for p in self._panels]
        return self._call.format(repr(names), repr(chosen[0])) if chosen else ""


def grain_panel(doc: Any, panels: Sequence[Any]) -> ChoicePanel:
    """Which way the face grain runs."""
    now = {edited.edit_of(p).grain for p in panels}
    call = "set_grain(panels={}, grain={})"
    return ChoicePanel(doc, "Set Grain", "Which way does the face grain run on", panels, GRAIN, now, call)


def show_face_panel(doc: Any, panels: Sequence[Any]) -> ChoicePanel:
    """Which face is to be seen."""
    up, down = _ways(panels)
    choices = (
        ("By the rules", None),
        (f"The one towards {up}", "+n"),
        (f"The one towards {down}", "-n"),
        ("Both", "both"),
        ("None", "none"),
    )
    now = {edited.edit_of(p).show for p in panels}
    call = "choose_show_face(panels={}, face={})"
    return ChoicePanel(doc, "Choose Show Face", "Which face is to be seen of", panels, choices, now, call)


def keep_face_panel(doc: Any, panels: Sequence[Any]) -> ChoicePanel:
    """Which face keeps its place."""
    up, down = _ways(panels)
    choices = (
        ("By the rules", None),
        (f"The one towards {up}", "+n"),
        (f"The one towards {down}", "-n"),
    )
    now = {edited.edit_of(p).stays for p in panels}
    question = "Boards are thinner or thicker than drawn. Which face then keeps its place, of"
    call = "keep_face_in_place(panels={}, face={})"
    return ChoicePanel(doc, "Keep Face in Place", question, panels, choices, now, call)


def board_panel(doc: Any, panels: Sequence[Any]) -> ChoicePanel:
    """Which board of the preset they are cut from."""
    known = [(f"{b.name}, sold as {says(b.nominal)}", b.name) for b in edited.boards(doc)]
    choices = (("By its thickness", None), *known)
    now = {edited.edit_of(p).board for p in panels}
    call = "choose_board(panels={}, board={})"
    return ChoicePanel(doc, "Choose Board", "Which board is to be cut for", panels, choices, now, call)


def _ways(panels: Sequence[Any]) -> tuple[str, str]:
    """What to call the +n and the -n face of all these panels: by the axis that they follow, if there is
    one."""
    normals = [objects.read_panel(p).frame.n for p in panels]
    ways = {(way_named(n), way_named([-v for v in n])) for n in normals}
    up, down = ways.pop() if len(ways) == 1 else ("", "")
    return up or "+n", down or "-n"


def _named(panels: Sequence[Any]) -> str:
    names = [p.PanelName for p in panels]
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return ", ".join(names[:SHOWN]) + more + "?"
