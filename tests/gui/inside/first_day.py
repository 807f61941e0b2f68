# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A day with the toolbar, in FreeCAD's window: each step says what it found."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtCore, QtGui

sys.path.insert(0, str(Path(__file__).parent))
from look import buttons, changes, host_errors, kept, plan_of, state
from robot import (
    ENTER,
    TAB,
    TASK,
    answering,
    desktop,
    key,
    panel,
    picture,
    press_ok,
    pump,
    start,
    texts,
    until,
    write,
)
from setting_up import bad_preset, choose, inches, never_saved, nothing_to_measure, preferences, workbench

TROLLEY: dict[str, Any] = {}  # the document of the day, and what it looked like


def trolley() -> Any:
    return App.getDocument(TROLLEY["name"])


def open_trolley() -> Any:
    """The model as drawn."""
    folder = Path(TASK["folder"])
    file = Path(shutil.copy(TASK["model"], folder / "book-trolley.FCStd"))
    doc = App.openDocument(str(file))
    pump(0.5)
    Gui.ActiveDocument.ActiveView.viewIsometric()
    Gui.SendMsgToActiveView("ViewFit")
    TROLLEY.update(name=doc.Name, drawn=state(doc))
    return {"buttons": buttons(), "objects": len(doc.Objects)}


def measure() -> Any:
    """Four readings typed with Tab and Enter."""
    found: dict[str, Any] = {}
    Gui.runCommand("Flatwright_MeasureBoards")
    form = until(lambda: panel("FlatwrightMeasureBoards"))
    until(lambda: isinstance(QtGui.QApplication.focusWidget(), QtGui.QLineEdit))
    for text in ("17.72", "0.6975 in", "17,75"):
        write(text)
        key(TAB, "\t")
    told = form.findChild(QtGui.QLabel, "told")
    write("abc")
    pump()
    found["live"] = told.text()
    key(ENTER, "\r")
    pump()
    found["wrong"] = told.text()
    found["still open"] = form.isVisible()
    write("17.70")  # the wrong reading is selected
    key(TAB, "\t")
    found["told"] = told.text()
    found["width"] = form.minimumSizeHint().width()
    picture("measure")
    key(ENTER, "\r")
    until(lambda: panel("FlatwrightMeasureBoards") is None)
    doc = trolley()
    group = kept(doc)
    found |= {"kept": group.Readings, "shown": group.Visibility, "undo": doc.UndoNames}
    found["drawn as before"] = [row for row in state(doc) if row[0] != group.Name] == TROLLEY["drawn"]
    found["line"] = [x for x in texts("Python console").splitlines() if "measure_boards" in x]
    TROLLEY["measured"] = state(doc)
    return found


def apply() -> Any:
    """One click, one answer where the programs go, and the summary."""
    doc = trolley()
    asked: list[str] = []

    def answer(dialog: Any) -> None:
        if dialog.objectName() == "FlatwrightFolder":
            asked.append(dialog.findChild(QtGui.QLineEdit, "folder").text())
            dialog.accept()
        else:
            picture("progress")

    with answering(answer) as said:
        Gui.runCommand("Flatwright_ApplyShopRules")
    summary = until(lambda: panel("FlatwrightSummary"))
    pump(0.3)
    picture("applied")
    TROLLEY["applied"], TROLLEY["plan"] = state(doc), plan_of(doc)
    TROLLEY["sources"] = kept(doc).Sources
    folder = Path(asked[0])
    return {
        "asked": asked,
        "dialogs": said,
        "summary": summary.toPlainText(),
        "width": summary.minimumSizeHint().width(),
        "files": sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()),
        "undo": doc.UndoNames,
        "plan": TROLLEY["plan"],
        "readings": kept(doc).Readings,
        "stale": kept(doc).Stale,
        "buttons": buttons(),
        "drawn as before": TROLLEY["applied"][: len(TROLLEY["drawn"])] == TROLLEY["drawn"],
        "drawn shown": drawn_shown(doc),
        "line": [x for x in texts("Python console").splitlines() if "apply_shop_rules" in x],
    }


def drawn_shown(doc: Any) -> list[str]:
    """The drawn panels that can be seen, by label."""
    return [o.Label for o in doc.Objects if o.Name in TROLLEY["sources"] and o.Visibility]


def show() -> Any:
    """The links of the summary: drawn, fitted, sheets, and what a finding is about."""
    from flatwright.gui import task, where
    from flatwright.host import remembered

    doc, summary = trolley(), panel("FlatwrightSummary")

    def visible() -> list[str]:
        return sorted(o.Label for o in doc.Objects if o.Visibility and hasattr(o, "FlatwrightKind"))

    found: dict[str, Any] = {}
    for what in ("sheet-1", "drawn", "fitted"):
        summary.anchorClicked.emit(QtCore.QUrl(f"show:{what}"))
        picture(f"show-{what}")
        found[what] = {"ours": visible(), "drawn": doc.getObject(remembered.sources(doc)[0]).Visibility}
    named = next((k for k, f in enumerate(remembered.findings(doc)) if f.panels), None)
    if named is not None:
        summary.anchorClicked.emit(QtCore.QUrl(f"finding:{named}"))
        found["wanted"] = remembered.findings(doc)[named].panels
        found["selected"] = [o.PanelName for o in Gui.Selection.getSelection()]
        picture("show-finding")
    found["moved"] = where.show(doc, remembered.findings(doc)[named]) if named is not None else None
    assert task.ours_is_open()
    summary.anchorClicked.emit(QtCore.QUrl("show:drawn"))
    return found


def operator_sheet() -> Any:
    """It is handed to the desktop."""
    with desktop() as opened:
        Gui.runCommand("Flatwright_OpenOperatorSheet")
    return {"opened": opened}


def undo_and_redo() -> Any:
    """One step back to the measured model, one forth to the result."""
    doc = trolley()
    Gui.Control.closeDialog()
    doc.undo()
    pump()
    found: dict[str, Any] = {"undone": state(doc) == TROLLEY["measured"], "buttons": buttons()}
    found["drawn shown"] = len(drawn_shown(doc)) == len(TROLLEY["sources"])
    doc.redo()
    pump()
    found["not redone"] = [r for r in state(doc) if r not in TROLLEY["applied"]]
    found["redone"] = len(state(doc)) == len(TROLLEY["applied"])
    return found


def measured_anew() -> Any:
    """Other boards: what stands there is stale, and says so."""
    doc = trolley()
    Gui.runCommand("Flatwright_MeasureBoards")
    form = until(lambda: panel("FlatwrightMeasureBoards"))
    until(lambda: isinstance(QtGui.QApplication.focusWidget(), QtGui.QLineEdit))
    found: dict[str, Any] = {"until now": form.findChild(QtGui.QLabel, "told").text()}
    for text in ("18.05", "18.1", "18", "18.15"):
        write(text)
        key(TAB, "\t")
    key(ENTER, "\r")
    summary = until(lambda: panel("FlatwrightSummary"))
    picture("stale")
    group = kept(doc)
    return found | {"label": group.Label, "kept": group.Readings, "summary": summary.toPlainText()[:200]}


def cancel() -> Any:
    """Cancel on the progress bar: the document and the files stay as they were."""
    doc = trolley()
    before, plan = state(doc), plan_of(doc)
    files = {p: p.stat().st_mtime_ns for p in Path(TASK["folder"]).rglob("*") if p.is_file()}

    def look() -> None:
        dialog = QtGui.QApplication.activeModalWidget()
        if dialog is not None and any("CAM jobs" in x.text() for x in dialog.findChildren(QtGui.QLabel)):
            dialog.findChild(QtGui.QPushButton).click()

    late = QtCore.QTimer()  # the new model stands in the document by then
    late.timeout.connect(look)
    late.start(5)
    with answering(lambda dialog: None) as said:
        panel("FlatwrightSummary").anchorClicked.emit(QtCore.QUrl("apply:"))
        until(lambda: said and QtGui.QApplication.activeModalWidget() is None, 60)
    late.stop()
    pump()
    after = {p: p.stat().st_mtime_ns for p in Path(TASK["folder"]).rglob("*") if p.is_file()}
    same = {"plan": plan_of(doc) == plan, "files": after == files}
    return {"dialogs": said, "changes": changes(doc, before), "same": same, "undo": doc.UndoNames}


def macro() -> Any:
    """The recorded line, run again after the new readings were taken back, gives the same plan."""
    doc = trolley()
    doc.undo()
    line = next(x for x in texts("Python console").splitlines() if "apply_shop_rules" in x)
    exec(line.removeprefix(">>> "), {"flatwright": __import__("flatwright.api")})
    pump()
    now, first = plan_of(doc), TROLLEY["plan"]
    return {"readings": kept(doc).Readings, "other": [k for k in first if now[k] != first[k]]}


def refused() -> Any:
    """A preset with nothing but a 20 mm bit: the summary says it, and no path is left."""
    doc = trolley()
    with answering(lambda dialog: choose(dialog, TASK["thick_bits"])):
        Gui.runCommand("Flatwright_ChooseShopPreset")
    with answering(lambda dialog: None) as said:
        Gui.runCommand("Flatwright_ApplyShopRules")
    summary = until(lambda: panel("FlatwrightSummary"))
    picture("refused")
    cuts = [o for o in doc.Objects if hasattr(o, "MovesJson")]
    return {
        "dialogs": said,
        "summary": summary.toPlainText(),
        "operations": len(cuts),
        "commands": sum(len(o.Path.Commands) for o in cuts),
        "programs": [p.name for p in Path(TASK["folder"]).rglob("*.nc")],
    }


def opened_again() -> Any:
    """Saved, closed and opened: the result is there with its icons and its summary."""
    doc = trolley()
    Gui.Control.closeDialog()
    doc.save()
    file = doc.FileName
    App.closeDocument(doc.Name)
    doc = App.openDocument(file)
    pump(0.5)
    Gui.runCommand("Flatwright_ShowFindings")
    summary = until(lambda: panel("FlatwrightSummary"))
    ours = [o for o in doc.Objects if hasattr(o, "FlatwrightKind") and hasattr(o, "Proxy")]
    found = {
        "views": sorted({type(o.ViewObject.Proxy).__name__ for o in ours}),
        "icons": not any(o.ViewObject.Proxy.getIcon().isNull() for o in ours),
        "summary": summary.toPlainText()[:60],
    }
    Gui.Control.closeDialog()
    App.closeDocument(doc.Name)
    return found


def made_without_a_window() -> Any:
    """A file that was saved without a window: its jobs get their views when it is opened."""
    doc = App.openDocument(TASK["headless"])
    pump(0.5)
    jobs = [o for o in doc.Objects if hasattr(o, "Operations")]
    cuts = [x for j in jobs for x in j.Operations.Group]
    shown = {o.Label: o.ViewObject.Visibility for o in doc.Objects if o.TypeId == "Part::Box"}
    picture("made-without-a-window")
    found = {
        "jobs": len(jobs),
        "job views": sorted({type(j.ViewObject.Proxy).__name__ for j in jobs}),
        "cut views": sorted({type(c.ViewObject.Proxy).__name__ for c in cuts}),
        "shown": shown,
    }
    App.closeDocument(doc.Name)
    return found


def errors() -> Any:
    """What the host complained about all day."""
    return host_errors()


def fault() -> Any:
    """A fault of ours at the end of a run: one plain sentence, details in the report view, no change."""
    from flatwright import run

    doc = App.openDocument(str(Path(TASK["folder"]) / "book-trolley.FCStd"))
    before = state(doc)
    run.operator_sheet = lambda *_, **__: 1 / 0
    with answering(lambda d: press_ok(d) if isinstance(d, QtGui.QMessageBox) else None) as said:
        Gui.runCommand("Flatwright_ApplyShopRules")
    pump()
    report = [x for x in texts("Report view").splitlines() if x.strip()][-6:]
    return {"said": said[-1], "changes": changes(doc, before), "report": report}


start(
    [
        workbench, preferences, inches, never_saved, nothing_to_measure, open_trolley, measure, apply, show,
        operator_sheet, undo_and_redo, measured_anew, cancel, macro, refused, bad_preset, opened_again,
        made_without_a_window, errors, fault,
    ]
)  # fmt: skip
