# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand in FreeCAD's window: grain, show face, joints and corners, then Apply with them."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtCore, QtGui

sys.path.insert(0, str(Path(__file__).parent))
from look import buttons, host_errors, kept, plan_of, state
from robot import TASK, answering, panel, picture, press_ok, pump, start, texts, until

UNIT: dict[str, Any] = {}


def unit() -> Any:
    return App.getDocument(UNIT["name"])


def fitted(name: str) -> Any:
    return next(o for o in unit().Objects if getattr(o, "PanelName", "") == name)


def select(*names: str) -> None:
    Gui.Selection.clearSelection()
    for name in names:
        Gui.Selection.addSelection(unit().Name, fitted(name).Name)


def ok(form: Any) -> None:
    """Press OK of the task panel."""
    box = next(b for b in Gui.getMainWindow().findChildren(QtGui.QDialogButtonBox) if b.isVisible())
    box.button(QtGui.QDialogButtonBox.Ok).click()
    until(lambda: panel("FlatwrightSummary"))


def lines(call: str) -> list[str]:
    return [x for x in texts("Python console").splitlines() if f"api.{call}(" in x]


def open_unit() -> Any:
    """A file with a result, made without a window."""
    Gui.activateWorkbench("FlatwrightWorkbench")
    doc = App.openDocument(TASK["model"])
    pump(0.5)
    Gui.ActiveDocument.ActiveView.viewIsometric()
    Gui.Selection.addSelection(doc.Name, "Panel")
    Gui.SendMsgToActiveView("ViewSelection")
    Gui.Selection.clearSelection()
    UNIT.update(name=doc.Name)
    return {"buttons": buttons(), "stale": kept(doc).Stale}


def nothing_selected() -> Any:
    """It says what to do first."""
    with answering(press_ok) as said:
        Gui.runCommand("Flatwright_SetGrain")
    return {"said": said}


def grain() -> Any:
    """Across, for both boards."""
    select("Side", "Shelf")
    Gui.runCommand("Flatwright_SetGrain")
    form = until(lambda: panel("FlatwrightSetGrain"))
    asked = form.findChild(QtGui.QLabel).text()
    form.findChild(QtGui.QRadioButton, "90.0").click()
    picture("set-grain")
    width = form.minimumSizeHint().width()
    ok(form)
    picture("stale")
    doc = unit()
    return {
        "asked": asked,
        "width": width,
        "set": [fitted(n).SetGrain for n in ("Side", "Shelf")],
        "undo": doc.UndoNames,
        "stale": kept(doc).Stale,
        "summary": panel("FlatwrightSummary").toPlainText().splitlines()[0],
        "line": lines("set_grain"),
    }


def show_face() -> Any:
    """Chosen for what a drawn solid was fitted to."""
    Gui.Selection.clearSelection()
    drawn = unit().getObjectsByLabel("Side")[0]
    Gui.Selection.addSelection(unit().Name, drawn.Name)
    Gui.runCommand("Flatwright_ChooseShowFace")
    form = until(lambda: panel("FlatwrightChooseShowFace"))
    choices = [b.text() for b in form.findChildren(QtGui.QRadioButton)]
    form.findChild(QtGui.QRadioButton, "-n").click()
    picture("choose-show-face")
    ok(form)
    return {"choices": choices, "set": fitted("Side").SetShowFace, "undo": unit().UndoNames[:1]}


def keep_face() -> Any:
    """The face that stays when the board is thinner than drawn."""
    select("Side")
    Gui.runCommand("Flatwright_KeepFaceInPlace")
    form = until(lambda: panel("FlatwrightKeepFaceinPlace"))
    asked = form.findChild(QtGui.QLabel).text()
    choices = [b.text() for b in form.findChildren(QtGui.QRadioButton)]
    form.findChild(QtGui.QRadioButton, "-n").click()
    picture("keep-face-in-place")
    width = form.minimumSizeHint().width()
    ok(form)
    return {
        "asked": asked, "choices": choices, "width": width, "set": fitted("Side").SetStayingFace,
        "undo": unit().UndoNames[:1], "line": lines("keep_face_in_place"),
    }  # fmt: skip


def board() -> Any:
    """Another board for the shelf, and taken back."""
    select("Shelf")
    Gui.runCommand("Flatwright_ChooseBoard")
    form = until(lambda: panel("FlatwrightChooseBoard"))
    buttons = form.findChildren(QtGui.QRadioButton)
    choices = [b.text() for b in buttons]
    chosen = buttons[-1].objectName()
    buttons[-1].click()
    picture("choose-board")
    width = form.minimumSizeHint().width()
    ok(form)
    found = {
        "choices": choices, "chosen": chosen, "width": width, "set": fitted("Shelf").SetBoard,
        "undo": unit().UndoNames[:1],
    }  # fmt: skip
    unit().undo()
    pump()
    return {**found, "back": fitted("Shelf").SetBoard}


def joints() -> Any:
    """One of two joints set to slip."""
    select("Shelf")
    Gui.runCommand("Flatwright_FitJoints")
    form = until(lambda: panel("FlatwrightFitJoints"))
    rows = form.findChild(QtGui.QTreeWidget, "joints")
    before = [[rows.topLevelItem(k).text(c) for c in (0, 1)] for k in range(rows.topLevelItemCount())]
    rows.topLevelItem(0).setSelected(True)
    pump()
    shown = sorted(o.PanelName for o in Gui.Selection.getSelection())
    combo = form.findChild(QtGui.QComboBox, "fit")
    combo.setCurrentIndex(combo.findData("slip"))
    combo.activated.emit(combo.currentIndex())
    picture("fit-joints")
    after = [rows.topLevelItem(k).text(1) for k in range(rows.topLevelItemCount())]
    width = form.minimumSizeHint().width()
    ok(form)
    return {
        "before": before, "shown": shown, "after": after, "width": width,
        "undo": unit().UndoNames[:1], "line": lines("fit_joints"),
    }  # fmt: skip


def edges(form: Any) -> str:
    """What the panel says of the two edges of a corner."""
    pump()
    return form.findChild(QtGui.QLabel, "edges").text()


def corners() -> Any:
    """A corner clicked, with no relief from now on; another place where there is no corner."""
    doc, side = unit(), fitted("Side")
    Gui.Selection.clearSelection()
    Gui.runCommand("Flatwright_RelieveCorners")
    form = until(lambda: panel("FlatwrightRelieveCorners"))
    listed = form.findChild(QtGui.QListWidget, "corners")

    def rows() -> list[str]:
        pump()
        return [listed.item(k).text() for k in range(listed.count())]

    found = {"nothing": rows()}
    near = [k for k, v in enumerate(side.Shape.Vertexes, 1) if abs(v.Y - 20) < 8 and abs(v.Z - 100) < 8]
    said = {"none": edges(form)}
    Gui.Selection.addSelection(doc.Name, side.Name, f"Vertex{near[0]}")
    Gui.Selection.addSelection(doc.Name, side.Name, f"Vertex{near[1]}")
    found["one"] = rows()
    said["one"] = edges(form)
    picture("t-bones")
    other = [k for k, v in enumerate(side.Shape.Vertexes, 1) if abs(v.Y - 60) < 8 and abs(v.Z - 100) < 8]
    Gui.Selection.addSelection(doc.Name, side.Name, f"Vertex{other[0]}")
    pump()
    said["two"] = edges(form)
    Gui.Selection.removeSelection(doc.Name, side.Name, f"Vertex{other[0]}")
    pump()
    form.findChild(QtGui.QRadioButton, "T-bone longer").click()
    ok(form)
    Gui.runCommand("Flatwright_RelieveCorners")
    form = until(lambda: panel("FlatwrightRelieveCorners"))
    listed = form.findChild(QtGui.QListWidget, "corners")
    found["edges"] = {**said, "said": rows()[0]}
    far = next(k for k, v in enumerate(side.Shape.Vertexes, 1) if v.Z > 250)
    Gui.Selection.addSelection(doc.Name, side.Name, f"Vertex{far}")
    found["far"] = rows()
    Gui.Selection.removeSelection(doc.Name, side.Name, f"Vertex{far}")
    form.findChild(QtGui.QRadioButton, "off").click()
    picture("relieve-corners")
    found["width"] = form.minimumSizeHint().width()
    ok(form)
    Gui.Selection.addSelection(doc.Name, side.Name, f"Vertex{near[0]}")
    return {**found, "undo": doc.UndoNames[:1], "line": lines("relieve_corners")}


def corner_again() -> Any:
    """The panel tells what was chosen, and cancelling changes nothing."""
    Gui.runCommand("Flatwright_RelieveCorners")
    form = until(lambda: panel("FlatwrightRelieveCorners"))
    listed = form.findChild(QtGui.QListWidget, "corners")
    pump()
    rows = [listed.item(k).text() for k in range(listed.count())]
    before = unit().UndoNames
    Gui.Control.closeDialog()  # as another command does it
    Gui.Selection.clearSelection()
    pump()
    return {"rows": rows, "undo": unit().UndoNames == before}


def apply() -> Any:
    """With all of them."""
    doc = unit()
    drawn = [row for row in state(doc) if row[0].startswith("Feature")]
    with answering(lambda dialog: None):
        Gui.runCommand("Flatwright_ApplyShopRules")
    until(lambda: panel("FlatwrightSummary"))
    pump(0.5)
    picture("applied-by-hand")
    plan = plan_of(doc)
    return {
        "grain": {p["name"]: p["grain_deg"] for p in plan["panels"]},
        "show": {p["name"]: p["show"] for p in plan["panels"]},
        "classes": sorted(j["fit"].get("class", "") for j in plan["joints"]),
        "reliefs": sum(r["panel"] == "Side" for r in plan["reliefs"]),
        "stale": kept(doc).Stale,
        "drawn as before": [row for row in state(doc) if row[0].startswith("Feature")] == drawn,
    }


def property_editor() -> Any:
    """A property set as the host's editor sets it: one step, the result is stale, undo takes it back."""
    doc = unit()
    doc.openTransaction("Edit")
    fitted("Shelf").SetStayingFace = "-n"
    doc.commitTransaction()
    pump()
    stale, label = kept(doc).Stale, kept(doc).Label
    doc.undo()
    pump()
    return {
        "stale": stale,
        "label": label,
        "back": [kept(doc).Stale, kept(doc).Label, fitted("Shelf").SetStayingFace],
    }


def opened_again() -> Any:
    """Saved, closed and opened: the edits are there."""
    doc = unit()
    doc.save()
    file = doc.FileName
    App.closeDocument(doc.Name)
    doc = App.openDocument(file)
    pump(0.5)
    UNIT.update(name=doc.Name)
    select("Shelf")
    Gui.runCommand("Flatwright_FitJoints")
    form = until(lambda: panel("FlatwrightFitJoints"))
    rows = form.findChild(QtGui.QTreeWidget, "joints")
    return {
        "fits": sorted(rows.topLevelItem(k).text(1) for k in range(rows.topLevelItemCount())),
        "grain": fitted("Side").SetGrain,
        "stale": kept(doc).Stale,
    }


def lost() -> Any:
    """The shelf hidden: what was set for it is lost, and is forgotten by a click."""
    doc = unit()
    Gui.runCommand("Flatwright_ShowFindings")
    until(lambda: panel("FlatwrightSummary")).anchorClicked.emit(QtCore.QUrl("show:drawn"))
    Gui.Control.closeDialog()
    doc.getObjectsByLabel("Shelf")[0].Visibility = False
    with answering(lambda dialog: None):
        Gui.runCommand("Flatwright_ApplyShopRules")
    summary = until(lambda: panel("FlatwrightSummary"))
    pump(0.3)
    picture("lost")
    before = summary.toPlainText()
    summary.anchorClicked.emit(QtCore.QUrl("forget:"))
    pump()
    return {"before": before, "after": summary.toPlainText(), "undo": doc.UndoNames[:1]}


def errors() -> Any:
    """What the host complained about."""
    return host_errors()


start(
    [
        open_unit, nothing_selected, grain, show_face, keep_face, board, joints, corners, corner_again, apply,
        property_editor, opened_again, lost, errors,
    ]
)  # fmt: skip
