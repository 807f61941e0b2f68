# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Steps of the day that need no model: the workbench, its settings, and having nothing to work on."""

from __future__ import annotations

from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from look import buttons, state
from PySide import QtGui
from robot import TASK, answering, picture, press_ok, pump


def workbench() -> Any:
    """The workbench is chosen."""
    main = Gui.getMainWindow()
    known = "FlatwrightWorkbench" in Gui.listWorkbenches()
    Gui.activateWorkbench("FlatwrightWorkbench")
    pump(0.5)
    menus = [a.text() for a in main.menuBar().actions()]
    return {"known": known, "active": Gui.activeWorkbench().name(), "buttons": buttons(), "menus": menus}


def preferences() -> Any:
    """The page of the host's preferences."""
    found: dict[str, Any] = {}

    def look(dialog: Any) -> None:
        page = dialog.findChild(QtGui.QWidget, "FlatwrightPreferences")
        chooser = page.findChild(QtGui.QWidget, "presetFile")
        chooser.findChild(QtGui.QLineEdit).setText("/a/shop.shop.json")
        pump(0.1)
        picture("preferences")
        dialog.accept()

    with answering(look):
        Gui.showPreferences("Flatwright", 0)
    from flatwright.host.preferences import preset_file, set_preset_file

    found["kept"] = str(preset_file())
    set_preset_file("")
    found["starter"] = preset_file().name
    return found


def inches() -> Any:
    """Lengths where the host is set to decimal inches."""
    from flatwright.gui.units import says, with_unit

    before = App.Units.getSchema()
    App.Units.setSchema(3)
    found = {"says": says(18.05), "typed": [with_unit(t) for t in ("0.71", "0,71", "23/32", "18.05 mm")]}
    App.Units.setSchema(before)
    return found | {"again": [says(18.05), with_unit("18,05")]}


def never_saved() -> Any:
    """Apply Shop Rules on a document that has no file yet."""
    doc = App.newDocument("Unsaved")
    doc.addObject("Part::Box", "Board")
    doc.recompute()
    before = state(doc)
    with answering(press_ok) as said:
        Gui.runCommand("Flatwright_ApplyShopRules")
    found = {"said": said, "same": state(doc) == before}
    App.closeDocument(doc.Name)
    return found


def nothing_to_measure() -> Any:
    """Measure Boards on an empty document."""
    doc = App.newDocument("Empty")
    with answering(press_ok) as said:
        Gui.runCommand("Flatwright_MeasureBoards")
    App.closeDocument(doc.Name)
    return {"said": said}


def bad_preset() -> Any:
    """A preset with two problems: both are said with their places, and the choice stays as it was."""
    from flatwright.host.preferences import preset_file

    before = preset_file()

    def answer(dialog: Any) -> None:
        if isinstance(dialog, QtGui.QMessageBox):
            picture("bad-preset")
            dialog.accept()
        else:
            choose(dialog, TASK["bad_preset"])

    with answering(answer) as said:
        Gui.runCommand("Flatwright_ChooseShopPreset")
    return {"said": said[-1], "same": preset_file() == before}


def choose(dialog: Any, file: str) -> None:
    """Choose a file in the file dialog."""
    if isinstance(dialog, QtGui.QFileDialog):
        dialog.findChild(QtGui.QLineEdit, "fileNameEdit").setText(file)
        dialog.accept()
