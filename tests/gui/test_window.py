# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A day with the toolbar in FreeCAD's real window (tests/gui/inside/first_day.py walks it)."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from support.plans import plan
from support.sheet_programs import program, shop
from support.sources import ROOT
from support.window import make_home, step, walk

BUTTONS = ["Measure Boards", "Apply Shop Rules", "Findings", "Fit Joints", "Relieve Corners"]
BUTTONS += ["Choose Show Face", "Set Grain", "Keep Face in Place", "Choose Board", "Place Tabs"]
BUTTONS += ["Shop Preset", "Operator Sheet"]


def thick_bits(folder: Path) -> Path:
    """The starter preset with no bit but one of 20 mm."""
    document = json.loads((ROOT / "resources/presets/metric.shop.json").read_text())
    document["bits"] = [{**b, "diameter": "20 mm"} for b in document["bits"][:1]]
    document["feeds"] = [f for f in document["feeds"] if f["bit"] == document["bits"][0]["number"]]
    document["layout"]["spacing"] = "30 mm"
    document["flipping"] = {"pin_diameter": "20 mm"}
    file = folder / "thick.shop.json"
    file.write_text(json.dumps(document))
    return file


def bad_preset(folder: Path) -> Path:
    """The starter preset with a negative overcut and a key that is not known."""
    document = json.loads((ROOT / "resources/presets/metric.shop.json").read_text())
    document["machine"]["overcut"] = "-1 mm"
    document["machine"]["spindel"] = "fast"
    file = folder / "bad.shop.json"
    file.write_text(json.dumps(document))
    return file


def headless(app: Any, file: Path) -> Path:
    """A document with jobs, saved by this Python, which has no window."""
    from flatwright.host import model, result
    from flatwright.host.cam_job import make_jobs
    from flatwright.host.session import save_copy
    from flatwright.presets.reading import load

    doc = app.newDocument("Headless")
    doc.addObject("Part::Box", "Box")
    preset = load(ROOT / "resources/presets/metric.shop.json")
    model.write_model(doc, plan(), preset, model.Record("{}", "", str(file.parent)))
    sheet = plan().sheets[0]
    laid = result.laid_parts(doc, sheet.name)
    result.add_jobs(doc, sheet.name, make_jobs(doc, sheet, [program()], shop(), model_objects=[laid]))
    save_copy(doc, file)
    app.closeDocument(doc.Name)
    return file


@pytest.fixture(scope="session")
def day(app: Any, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What each step of the day found."""
    folder = tmp_path_factory.mktemp("day")
    (folder / "shop").mkdir()
    return walk(
        "first_day",
        make_home(folder / "home"),
        folder=folder / "shop",
        model=ROOT / "resources/demo/book-trolley.FCStd",
        thick_bits=thick_bits(folder),
        bad_preset=bad_preset(folder),
        headless=headless(app, folder / "headless.FCStd"),
        shots=os.environ.get("FLATWRIGHT_SHOTS", ""),
    )


def test_the_workbench_has_its_toolbar_and_menu(day: dict[str, Any]) -> None:
    found = step(day, "workbench")
    assert found["known"]
    assert found["active"] == "FlatwrightWorkbench"
    assert list(found["buttons"]) == BUTTONS
    assert "&Flatwright" in found["menus"]


def test_without_a_document_only_the_preset_can_be_chosen(day: dict[str, Any]) -> None:
    assert [b for b, active in step(day, "workbench")["buttons"].items() if active] == ["Shop Preset"]


def test_with_a_model_it_can_be_measured_and_applied(day: dict[str, Any]) -> None:
    active = [b for b, active in step(day, "open_trolley")["buttons"].items() if active]
    assert active == ["Measure Boards", "Apply Shop Rules", "Shop Preset"]


def test_the_preferences_keep_the_preset_file(day: dict[str, Any]) -> None:
    assert step(day, "preferences") == {"kept": "/a/shop.shop.json", "starter": "metric.shop.json"}


def test_lengths_are_in_the_unit_of_the_host(day: dict[str, Any]) -> None:
    assert step(day, "inches") == {
        "says": "0.711 in",  # 18.05 / 25.4 = 0.7106
        "typed": ["0.71 in", "0.71 in", "23/32 in", "18.05 mm"],
        "again": ["18.05 mm", "18.05 mm"],
    }


def test_a_document_never_saved_is_told_to_save_first(day: dict[str, Any]) -> None:
    found = step(day, "never_saved")
    assert len(found["said"]) == 1
    assert "save it first" in found["said"][0]
    assert found["same"]


def test_an_empty_document_has_nothing_to_measure(day: dict[str, Any]) -> None:
    [said] = step(day, "nothing_to_measure")["said"]
    assert said.startswith("No solids in Empty")


def test_readings_are_typed_with_tab_and_enter(day: dict[str, Any]) -> None:
    found = step(day, "measure")
    assert found["kept"] == "18:17.72 mm,0.6975 in,17.75 mm,17.70 mm"
    # by hand: s of 17.72, 17.7165, 17.75 and 17.70 is 0.0208, U95 = 3.182 sqrt(s²/4 + 0.01²/12) = 0.034
    assert found["told"] == (
        "mean 17.72 mm \u00b1 0.034 mm (U<sub>95</sub>)<br>"
        "s 0.021 mm, 4 readings<br>from 17.70 mm to 17.75 mm"
    )
    live = found["live"]  # of the three before "abc", which is not complete yet
    assert live.startswith("mean 17.73 mm \u00b1 ") and "3 readings" in live and "s 0.018 mm" in live
    assert found["undo"][:1] == ["Measure Boards"]
    assert not found["shown"]
    assert found["drawn as before"]
    assert found["line"] == [f">>> flatwright.api.measure_boards(readings=[{found['kept']!r}])"]


def test_a_reading_that_is_none_keeps_the_panel_open_and_says_why(day: dict[str, Any]) -> None:
    found = step(day, "measure")
    assert "abc" in found["wrong"]
    assert found["still open"]


@pytest.mark.parametrize("name", ["measure", "apply"])
def test_panels_fit_the_narrow_task_column(day: dict[str, Any], name: str) -> None:
    assert step(day, name)["width"] <= 360


def test_apply_asks_once_where_programs_go_and_shows_its_progress(day: dict[str, Any]) -> None:
    found = step(day, "apply")
    assert [Path(a).name for a in found["asked"]] == ["book-trolley programs"]
    assert found["dialogs"] == ["FlatwrightFolder", "FlatwrightProgress"]
    assert step(day, "refused")["dialogs"] == ["FlatwrightProgress"]


def test_apply_writes_programs_and_papers(day: dict[str, Any]) -> None:
    files = step(day, "apply")["files"]
    assert {"plan.json", "findings.json", "operator-sheet.html", "fitted.step"} <= set(files)
    posted = [p["file"] for s in step(day, "apply")["plan"]["sheets"] for p in s["programs"]]
    assert posted
    assert [f for f in files if f.endswith(".nc")] == sorted(posted)


def test_apply_fits_the_model_to_the_readings_of_the_document(day: dict[str, Any]) -> None:
    found = step(day, "apply")
    mean = (17.72 + 0.6975 * 25.4 + 17.75 + 17.70) / 4
    assert {round(p["thickness_mm"], 3) for p in found["plan"]["panels"]} == {round(mean, 3)}
    assert found["readings"] == step(day, "measure")["kept"]
    assert found["stale"] == ""
    assert found["drawn as before"]
    assert found["drawn shown"] == []


def test_apply_is_one_undo_step_and_one_line_to_replay(day: dict[str, Any]) -> None:
    found = step(day, "apply")
    assert found["undo"][:2] == ["Apply Shop Rules", "Measure Boards"]
    assert found["line"] == [">>> flatwright.api.apply_shop_rules()"]
    assert step(day, "undo_and_redo")["undone"]
    assert step(day, "undo_and_redo")["redone"]
    assert step(day, "undo_and_redo")["drawn shown"]
    assert step(day, "undo_and_redo")["not redone"] == []
    assert step(day, "macro") == {"readings": step(day, "measure")["kept"], "other": []}


def test_the_summary_says_what_came_of_it(day: dict[str, Any]) -> None:
    summary = step(day, "apply")["summary"]
    assert summary.startswith("10 panels, 18 joints, 1 sheet")
    assert "book-trolley programs" in summary
    assert all(step(day, "apply")["buttons"].values())


def test_the_summary_shows_one_thing_at_a_time(day: dict[str, Any]) -> None:
    found = step(day, "show")
    assert "Board sheet-1" in found["sheet-1"]["ours"]
    assert not any(label.endswith("fitted") for label in found["sheet-1"]["ours"])
    assert not found["sheet-1"]["drawn"]
    assert found["drawn"] == {"ours": ["Flatwright"], "drawn": True}
    assert sum(label.endswith("fitted") for label in found["fitted"]["ours"]) == 10
    assert found.get("selected") == found.get("wanted")


def test_the_operator_sheet_opens_in_the_desktops_browser(day: dict[str, Any]) -> None:
    assert step(day, "operator_sheet")["opened"] == ["operator-sheet.html"]
    assert not step(day, "undo_and_redo")["buttons"]["Operator Sheet"]


def test_new_readings_make_the_result_stale(day: dict[str, Any]) -> None:
    found = step(day, "measured_anew")
    assert "until now: mean 17.72 mm" in found["until now"]
    assert found["label"] == "Flatwright (stale)"
    assert found["kept"] == "18:18.05 mm,18.1 mm,18 mm,18.15 mm"
    assert found["summary"].startswith("Stale: the boards were measured anew.")


def test_cancel_leaves_all_as_it_was(day: dict[str, Any]) -> None:
    found = step(day, "cancel")
    assert found["dialogs"] == ["FlatwrightProgress"]
    assert found["changes"] == {}
    assert found["same"] == {"plan": True, "files": True}
    assert found["undo"][:1] == ["Measure Boards"]


def test_a_refused_sheet_leaves_no_path_and_no_program(day: dict[str, Any]) -> None:
    found = step(day, "refused")
    assert "Refused: sheet-1" in found["summary"]
    assert "error" in found["summary"]
    assert found["operations"] == 0 or found["commands"] == 0
    assert found["programs"] == []


def test_a_bad_preset_is_not_chosen_and_all_its_problems_are_told(day: dict[str, Any]) -> None:
    found = step(day, "bad_preset")
    assert "machine.overcut" in found["said"]
    assert "machine.spindel" in found["said"]
    assert found["same"]


def test_a_saved_document_opens_with_its_result(day: dict[str, Any]) -> None:
    found = step(day, "opened_again")
    assert found["views"] == ["ObjectView"]
    assert found["icons"]
    assert found["summary"].startswith("10 panels")


def test_a_file_made_without_a_window_gets_its_views(day: dict[str, Any]) -> None:
    found = step(day, "made_without_a_window")
    assert found["jobs"] == 1
    assert found["job views"] == ["ViewProvider"]
    assert found["cut views"] == ["OperationView"]
    assert found["shown"] == {"Box": True}


def test_the_host_had_nothing_to_complain_about(day: dict[str, Any]) -> None:
    assert step(day, "errors") == []


def test_a_fault_of_ours_changes_nothing_and_is_told_plainly(day: dict[str, Any]) -> None:
    found = step(day, "fault")
    assert found["said"].startswith("Something went wrong inside Flatwright. Nothing was changed")
    assert found["changes"] == {}
    assert found["report"][-1].endswith("division by zero")
