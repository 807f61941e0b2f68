# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the commands do: ask, run one public function, show. And when each can be done."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtCore, QtGui

from flatwright import api
from flatwright.findings import UsageError
from flatwright.gui import running, selected, task
from flatwright.gui.choice_panel import (
    ChoicePanel,
    board_panel,
    grain_panel,
    keep_face_panel,
    show_face_panel,
)
from flatwright.gui.corners_panel import CornersPanel
from flatwright.gui.folder_dialog import ask_folder
from flatwright.gui.joints_panel import JointsPanel
from flatwright.gui.measure_panel import MeasurePanel
from flatwright.gui.progress import ProgressBar
from flatwright.gui.summary_panel import SummaryPanel
from flatwright.gui.tabs_panel import TabsPanel
from flatwright.host import remembered
from flatwright.presets.reading import SUFFIX, PresetError, load

OPERATOR_SHEET = "operator-sheet.html"


def can_measure_boards() -> bool:
    """With a document, when nothing else is being edited."""
    return App.ActiveDocument is not None and task.is_free()


def do_measure_boards() -> None:
    """Open the panel for the readings."""
    task.close_ours()
    try:
        panel = MeasurePanel(App.ActiveDocument)
    except UsageError as e:
        running.tell(str(e))
    else:
        task.show(panel)


can_apply_shop_rules = can_measure_boards


def do_apply_shop_rules() -> None:
    """Apply, with progress, and show what was found."""
    doc = App.ActiveDocument
    task.close_ours()
    try:
        folder = api.default_folder(doc)
    except UsageError as e:
        running.tell(str(e))
        return
    arguments = ""
    if not remembered.has_result(doc):
        chosen = ask_folder(folder)
        if chosen is None:
            return
        if chosen != folder:
            arguments = f"out={str(chosen)!r}"
    with ProgressBar("Apply Shop Rules") as bar, api.progress_to(bar):
        done = running.run(f"apply_shop_rules({arguments})")
    if done:
        task.show(SummaryPanel(doc))


def can_findings() -> bool:
    """When rules were applied to the document."""
    return can_measure_boards() and remembered.has_result(App.ActiveDocument)


def do_findings() -> None:
    """Show what the last run found."""
    task.show(SummaryPanel(App.ActiveDocument))


can_fit_joints = can_place_tabs = can_relieve_corners = can_choose_show_face = can_set_grain = can_findings
can_keep_face_in_place = can_choose_board = can_findings


def do_fit_joints() -> None:
    """Open the panel with the joints of the selected panels, of all if none is selected."""
    _open_for_selected(JointsPanel)


def do_relieve_corners() -> None:
    """Open the panel that follows what is clicked."""
    task.close_ours()
    task.show(CornersPanel(App.ActiveDocument))


def do_choose_show_face() -> None:
    """Ask for the selected panels' show face."""
    _ask_of_panels(show_face_panel)


def do_set_grain() -> None:
    """Ask for the selected panels' grain."""
    _ask_of_panels(grain_panel)


def do_keep_face_in_place() -> None:
    """Ask which face of the selected panels keeps its place."""
    _ask_of_panels(keep_face_panel)


def do_choose_board() -> None:
    """Ask for the selected panels' board."""
    _ask_of_panels(board_panel)


def _ask_of_panels(panel: Callable[[Any, Any], ChoicePanel]) -> None:
    task.close_ours()
    doc = App.ActiveDocument
    panels = selected.panels(doc)
    if panels:
        task.show(panel(doc, panels))
    else:
        running.tell("select panels first: the fitted ones, or what they were drawn as")


def do_place_tabs() -> None:
    """Open the panel with the tabs of the selected part."""
    _open_for_selected(TabsPanel)


def can_shop_preset() -> bool:
    """Always."""
    return True


def do_shop_preset() -> None:
    """Choose a preset; with one that is not sound, say all that is wrong."""
    now = api.default_preset()
    chosen, _ = QtGui.QFileDialog.getOpenFileName(
        Gui.getMainWindow(), "Shop Preset", str(now), f"Shop presets (*{SUFFIX})"
    )
    if not chosen:
        return
    try:
        load(chosen)
    except PresetError as e:
        _tell_problems(chosen, e)
        return
    except UsageError as e:
        running.tell(str(e))
        return
    if running.run(f"choose_preset({chosen!r})"):
        App.Console.PrintMessage(f"Flatwright: the shop preset is now {chosen}\n")


def can_operator_sheet() -> bool:
    """When there is one."""
    return App.ActiveDocument is not None and _operator_sheet() is not None


def do_operator_sheet() -> None:
    """Open it in the desktop's browser; with a stale result say first that it is that of the last run."""
    stale = remembered.stale(App.ActiveDocument)
    if stale:
        running.tell(
            f"this operator sheet is out of date, and so are its programs: {stale}. "
            "Apply the shop rules before anything is cut"
        )
    QtGui.QDesktopServices.openUrl(QtCore.QUrl.fromLocalFile(str(_operator_sheet())))


def _operator_sheet() -> Path | None:
    folder = remembered.output_folder(App.ActiveDocument)
    file = folder / OPERATOR_SHEET if folder is not None else None
    return file if file is not None and file.is_file() else None


def _tell_problems(file: str, error: PresetError) -> None:
    lines = [f"{path}: {message}" if path else message for path, message in error.problems]
    for line in lines:
        App.Console.PrintError(f"Flatwright: {file}: {line}\n")
    box = QtGui.QMessageBox(Gui.getMainWindow())
    box.setObjectName("FlatwrightPresetProblems")
    box.setIcon(QtGui.QMessageBox.Warning)
    box.setWindowTitle(running.TITLE)
    count = f"{len(lines)} problem{'s' * (len(lines) != 1)}"
    box.setText(f"{Path(file).name} is not used: it has {count}.")
    box.setInformativeText("\n".join(lines[:12]))
    if len(lines) > 12:
        box.setDetailedText("\n".join(lines))
    run = getattr(box, "exec_", None) or box.exec
    run()


def _open_for_selected(panel: Callable[[Any, Any], JointsPanel | TabsPanel]) -> None:
    task.close_ours()
    doc = App.ActiveDocument
    try:
        made = panel(doc, selected.panels(doc))
    except UsageError as e:
        running.tell(str(e))
    else:
        task.show(made)
