# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The task panels in which one thing is chosen for the panels that are selected: grain, show face."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtGui

from flatwright.gui import running, task
from flatwright.gui.stale import show_if_stale
from flatwright.host import edited, objects

Choices = Sequence[tuple[str, Any]]
SHOWN = 6  # panels named one by one
GRAIN: Choices = (
    ("By the rules", None),
    ("Along the longer side", 0.0),
    ("Across the longer side", 90.0),
    ("Any way", "any"),
)


class ChoicePanel:
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
        self.doc, self._panels, self._call = doc, list(panels), call
        self.form = QtGui.QWidget()
        self.form.setObjectName(f"Flatwright{title.replace(' ', '')}")
        self.form.setWindowTitle(title)
        self.form.setWindowIcon(task.icon(title.lower().replace(" ", "-")))
        layout = QtGui.QVBoxLayout(self.form)
        asked = QtGui.QLabel(f"{question} {_named(self._panels)}")
        asked.setWordWrap(True)
        layout.addWidget(asked)
        self._buttons: list[tuple[Any, Any]] = []
        for text, value in choices:
            button = QtGui.QRadioButton(text)
            button.setObjectName(str(value))
            button.setChecked(now == {value})
            layout.addWidget(button)
            self._buttons.append((button, value))
        layout.addStretch()

    def getStandardButtons(self) -> Any:
        """OK and Cancel."""
        return task.buttons("Ok", "Cancel")

    def accept(self) -> bool:
        """Keep the choice in the document."""
        chosen = [value for button, value in self._buttons if button.isChecked()]
        if chosen:
            App.setActiveDocument(self.doc.Name)
            names = [p.PanelName for p in self._panels]
            if not running.run(self._call.format(repr(names), repr(chosen[0]))):
                return False
        Gui.Control.closeDialog()
        show_if_stale(self.doc)
        return True

    def reject(self) -> bool:
        """Leave the document as it is."""
        Gui.Control.closeDialog()
        return True


def grain_panel(doc: Any, panels: Sequence[Any]) -> ChoicePanel:
    """Which way the face grain runs."""
    now = {edited.edit_of(p).grain for p in panels}
    call = "set_grain(panels={}, grain={})"
    return ChoicePanel(doc, "Set Grain", "Which way does the face grain run on", panels, GRAIN, now, call)


def show_face_panel(doc: Any, panels: Sequence[Any]) -> ChoicePanel:
    """Which face is to be seen."""
    ways = {_way(objects.read_panel(p).frame.n) for p in panels}
    up, down = ways.pop() if len(ways) == 1 else ("+n", "-n")
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


def _way(n: Any) -> tuple[str, str]:
    """What to call a normal and its opposite: by the axis that it follows, if there is one."""
    for axis, value in zip("xyz", n, strict=True):
        if abs(value) > 0.999:
            return (f"+{axis}", f"-{axis}") if value > 0 else (f"-{axis}", f"+{axis}")
    return "+n", "-n"


def _named(panels: Sequence[Any]) -> str:
    names = [p.PanelName for p in panels]
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return ", ".join(names[:SHOWN]) + more + "?"
