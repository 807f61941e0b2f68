# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs placed by hand and screws dragged in FreeCAD's window."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtGui

sys.path.insert(0, str(Path(__file__).parent))
from look import buttons, host_errors, kept, plan_of
from robot import TASK, answering, desktop, panel, picture, press_ok, pump, start, texts, until

UNIT: dict[str, Any] = {}


def unit() -> Any:
    return App.getDocument(UNIT["name"])


def member(kind: str) -> Any:
    return next(o for o in unit().Objects if getattr(o, "FlatwrightKind", "") == kind)


def form() -> Any:
    return until(lambda: panel("FlatwrightPlaceTabs"))


def rows() -> list[list[str]]:
    pump()
    listed = form().findChild(QtGui.QTreeWidget, "tabs")
    return [[listed.topLevelItem(k).text(c) for c in range(3)] for k in range(listed.topLevelItemCount())]


def mark(row: int) -> None:
    listed = form().findChild(QtGui.QTreeWidget, "tabs")
    listed.setCurrentItem(listed.topLevelItem(row))
    pump()


def press(name: str) -> None:
    form().findChild(QtGui.QPushButton, name).click()
    pump()


def click(obj: Any, x: float, y: float, face: str = "Face1") -> None:
    """What the host tells of a click in its view."""
    Gui.Selection.clearSelection()
    Gui.Selection.addSelection(unit().Name, obj.Name, face, x, y, 0.0)
    pump()


def said() -> str:
    label = form().findChild(QtGui.QLabel, "said")
    text = QtGui.QTextDocument()
    text.setHtml(label.text())
    return text.toPlainText()


def red_share(obj: Any) -> float:
    """How much of an object's faces are painted red."""
    colours = [tuple(c)[:3] for c in obj.ViewObject.DiffuseColor]
    return sum(r > 0.7 and g < 0.3 and b < 0.3 for r, g, b in colours) / len(colours)


def red_pixels(x: float, y: float) -> int:
    """Pixels of the 3D view, looking down on a place of the sheet, that are red as nothing else in it is."""
    camera = Gui.ActiveDocument.ActiveView.getCameraNode()
    camera.position.setValue(x, y, 1000.0)
    camera.height.setValue(120.0)
    Gui.Selection.clearSelection()
    pump(0.2)
    file = f"{TASK['folder']}/view.png"
    Gui.ActiveDocument.ActiveView.saveImage(file, 800, 600, "White")
    image = QtGui.QImage(file)
    count = 0
    for y in range(0, image.height(), 2):
        for x in range(0, image.width(), 2):
            c = image.pixelColor(x, y)
            count += c.red() > 120 and c.green() < 70 and c.blue() < 70
    return count


def corner(name: str) -> tuple[float, float]:
    """Where a part's lower corner lies on the sheet."""
    from flatwright.host import tabs

    part = tabs.laid_part(unit(), name)
    x0, y0, _, _ = part.panel.outline.bounds()
    return part.to_sheet((x0, y0))


def open_unit() -> Any:
    """A file with a result, made without a window; the panel shows its sheet."""
    Gui.activateWorkbench("FlatwrightWorkbench")
    doc = App.openDocument(TASK["model"])
    pump(0.5)
    UNIT.update(name=doc.Name)
    active = buttons()["Place Tabs"]
    Gui.Selection.clearSelection()
    Gui.runCommand("Flatwright_PlaceTabs")
    form()
    picture("place-tabs-empty")
    return {
        "active": active,
        "shown": [member(k).Visibility for k in ("layout", "tabs")],
        "rows": rows(),
        "width": form().minimumSizeHint().width(),
    }


def choose() -> Any:
    """A click on a part shows its tabs, one on a tab marks it."""
    tabs = plan_of(unit())["sheets"][0]["tabs"]
    x, y = corner("Side")
    mine = [t for t in tabs if t["panel"] == "Side"]
    middle = [sum(t[k] for t in mine) / len(mine) for k in ("x_mm", "y_mm")]
    click(member("layout"), *middle)
    of_part = rows()
    title = form().findChild(QtGui.QLabel, "part").text()
    click(member("tabs"), mine[1]["x_mm"], mine[1]["y_mm"])
    listed = form().findChild(QtGui.QTreeWidget, "tabs")
    UNIT.update(tabs=mine, corner=(x, y), middle=middle)
    picture("place-tabs")
    return {
        "planned": len(mine), "rows": of_part, "title": title,
        "marked": listed.indexOfTopLevelItem(listed.selectedItems()[0]),
    }  # fmt: skip


def move() -> Any:
    """The marked tab goes where the edge is clicked."""
    first = UNIT["tabs"][0]
    mark(0)
    press("move")
    hint = said()
    click(member("layout"), first["x_mm"] - 11.0, first["y_mm"])
    picture("tab-moved")
    return {
        "hint": hint, "rows": rows(), "undo": unit().UndoNames[:1], "stale": kept(unit()).Stale,
        "line": [x for x in texts("Python console").splitlines() if "api.place_tabs(" in x],
        "boxes": [round(s.CenterOfMass.x, 2) for s in member("tabs").Shape.Solids],
    }  # fmt: skip


def add_and_resize() -> Any:
    """A fourth one between them, longer than the rest."""
    before = len(rows())
    press("add")
    click(member("layout"), UNIT["middle"][0] + 3.0, UNIT["tabs"][0]["y_mm"])  # on the same edge
    added = rows()
    field = form().findChild(QtGui.QLineEdit, "length")
    field.setText("14,5")
    field.editingFinished.emit()
    pump()
    return {"before": before, "added": added, "resized": rows(), "undo": unit().UndoNames[:3]}


def take_away() -> Any:
    """And away again."""
    mark(len(rows()) - 1)
    press("remove")
    return {"rows": rows(), "undo": unit().UndoNames[:1]}


def bad_size() -> Any:
    """A size that is none changes nothing and is shown where it was typed."""
    mark(0)
    names = unit().UndoNames
    field = form().findChild(QtGui.QLineEdit, "height")
    field.setText("high")
    field.editingFinished.emit()
    pump()
    return {"tip": field.toolTip(), "undo": unit().UndoNames == names}


def into_a_corner() -> Any:
    """Told at once, painted red, the sheet's jobs refused; undo makes all well."""
    x, y = UNIT["corner"]
    before = red_pixels(x, y)
    picture("tabs-close")
    mark(0)
    press("move")
    click(member("layout"), x, y)
    pump(0.3)
    red, share, text = red_pixels(x, y), red_share(member("tabs")), said()
    picture("tab-in-a-corner")
    refused = {o.Refused[:13] for o in unit().Objects if getattr(o, "Kind", "") == "outside"}
    unit().undo()
    pump(0.3)
    after = red_pixels(x, y)
    return {
        "before": before, "red": red, "share": share, "said": text, "after": after,
        "refused": sorted(refused),
        "refused after": sorted({o.Refused for o in unit().Objects if getattr(o, "Kind", "") == "outside"}),
    }  # fmt: skip


def far_away() -> Any:
    """A click that is near no edge of the part."""
    Gui.runCommand("Flatwright_PlaceTabs")
    form()
    click(member("layout"), *UNIT["middle"])
    press("add")
    click(member("layout"), UNIT["corner"][0] + 90.0, UNIT["corner"][1])
    text = said()
    press("add")
    return {"said": text}


def close() -> Any:
    """The findings say that the result is stale, and that its programs must not be run."""
    box = next(b for b in Gui.getMainWindow().findChildren(QtGui.QDialogButtonBox) if b.isVisible())
    box.button(QtGui.QDialogButtonBox.Close).click()
    summary = until(lambda: panel("FlatwrightSummary"))
    picture("tabs-stale")
    with desktop() as opened, answering(press_ok) as told:
        Gui.runCommand("Flatwright_OpenOperatorSheet")
    return {"summary": summary.toPlainText(), "told": told, "opened": opened}


def apply() -> Any:
    """With them."""
    with answering(lambda dialog: None):
        Gui.runCommand("Flatwright_ApplyShopRules")
    until(lambda: panel("FlatwrightSummary") and not kept(unit()).Stale)
    pump(0.5)
    mine = [t for t in plan_of(unit())["sheets"][0]["tabs"] if t["panel"] == "Side"]
    return {"places": [[t["x_mm"], t["y_mm"]] for t in mine], "stale": kept(unit()).Stale}


def rules() -> Any:
    """Back to the rules."""
    Gui.Selection.clearSelection()
    Gui.runCommand("Flatwright_PlaceTabs")
    form()
    click(member("layout"), *UNIT["middle"])
    press("rules")
    found = rows()
    box = next(b for b in Gui.getMainWindow().findChildren(QtGui.QDialogButtonBox) if b.isVisible())
    box.button(QtGui.QDialogButtonBox.Close).click()
    pump()
    return {"rows": found}


def drag_a_screw() -> Any:
    """In the sketch, onto a part: red and told at once, refused; leaving the sketch shows the findings."""
    Gui.Control.closeDialog()
    doc, sketch, heads = unit(), member("screws"), member("heads")
    Gui.ActiveDocument.ActiveView.viewTop()
    pump(0.3)
    x, y = UNIT["middle"]
    before = red_pixels(x, y)
    picture("screws-before")
    Gui.activeDocument().setEdit(sketch.Name)
    pump(0.5)
    doc.openTransaction("Drag Point")
    step = sketch.moveGeometry if hasattr(sketch, "moveGeometry") else sketch.movePoint
    step(0, 1, App.Vector(x, y, 0), 0)
    doc.commitTransaction()
    pump(0.3)
    at_once = {"outside": heads.Outside, "stale": kept(doc).Stale, "share": red_share(heads)}
    bar = Gui.getMainWindow().statusBar().currentMessage()
    picture("screw-dragged-in-the-sketch")
    Gui.activeDocument().resetEdit()
    summary = until(lambda: panel("FlatwrightSummary"))
    pump(0.5)
    red_pixels(x, y)
    picture("screw-in-a-path")
    refused = {o.Refused[:20] for o in doc.Objects if getattr(o, "Kind", "") == "outside"}
    found = {
        **at_once, "before": before, "bar": bar, "report": texts("Report view"), "red": red_pixels(x, y),
        "summary": summary.toPlainText(), "refused": sorted(refused), "label": kept(doc).Label,
    }  # fmt: skip
    while doc.UndoNames and doc.UndoNames[0] != "Place Tabs":
        doc.undo()
    pump(0.3)
    picture("screw-undone")
    return {**found, "undone": [heads.Outside, red_pixels(x, y)]}


def errors() -> Any:
    """What the host complained about."""
    return host_errors()


start(
    [
        open_unit, choose, move, add_and_resize, take_away, bad_size, into_a_corner, far_away, close, apply,
        rules, drag_a_screw, errors,
    ]
)  # fmt: skip
