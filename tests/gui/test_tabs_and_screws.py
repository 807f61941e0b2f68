# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs and screws by hand in FreeCAD's real window (tests/gui/inside/tabs.py walks it)."""

from __future__ import annotations

import os
from typing import Any

import pytest

from support.unit import saved_unit
from support.window import make_home, step, walk


@pytest.fixture(scope="module")
def day(app: Any, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What each step found."""
    folder = tmp_path_factory.mktemp("tabs")
    shots = os.environ.get("FLATWRIGHT_SHOTS", "")
    return walk(
        "tabs",
        make_home(folder / "home"),
        model=saved_unit(app, folder, (900, 700)),
        shots=shots,
        folder=str(folder),
    )


def test_the_panel_shows_the_sheet_and_fits_the_narrow_column(day: dict[str, Any]) -> None:
    found = step(day, "open_unit")
    assert found["active"]
    assert found["shown"] == [True, True]
    assert found["rows"] == []
    assert found["width"] <= 360


def test_a_click_on_a_part_lists_its_tabs_and_one_on_a_tab_marks_it(day: dict[str, Any]) -> None:
    found = step(day, "choose")
    assert found["title"] == "<b>Side</b>"
    assert len(found["rows"]) == found["planned"] == 3
    assert found["marked"] == 1
    assert [r[1] for r in found["rows"]] == ["10.00 mm"] * 3


def test_a_tab_is_moved_by_a_click_in_one_step(day: dict[str, Any]) -> None:
    found = step(day, "move")
    assert found["hint"] == "Click the part's edge where it is to stand."
    assert found["undo"] == ["Place Tabs"]
    assert found["stale"] == "edits by hand were changed"
    assert len(found["line"]) == 1
    moved, before = found["rows"], step(day, "choose")["rows"]
    assert moved[0] != before[0]
    assert moved[1:] == before[1:]


def test_one_is_added_resized_and_taken_away(day: dict[str, Any]) -> None:
    found = step(day, "add_and_resize")
    assert len(found["added"]) == found["before"] + 1
    assert found["resized"][-1][1] == "14.50 mm"
    assert found["undo"] == ["Place Tabs"] * 3
    assert len(step(day, "take_away")["rows"]) == found["before"]


def test_a_size_that_is_none_is_shown_where_it_was_typed(day: dict[str, Any]) -> None:
    found = step(day, "bad_size")
    assert found["undo"]
    assert found["tip"]


def test_a_tab_in_a_corner_is_told_and_red_at_once(day: dict[str, Any]) -> None:
    found = step(day, "into_a_corner")
    assert "does not fit between the ends of its edge" in found["said"]
    assert 0.0 < found["share"] < 1.0, "only the tabs of that part"
    assert found["red"] > found["before"] + 20
    assert found["refused"] == ["out of date: "]
    assert found["refused after"] == [""]
    assert found["after"] == found["before"]


def test_a_click_far_from_any_edge_is_told(day: dict[str, Any]) -> None:
    assert "from the nearest edge of Side: click closer to it" in step(day, "far_away")["said"]


def test_closing_it_says_what_is_out_of_date(day: dict[str, Any]) -> None:
    found = step(day, "close")
    summary = found["summary"]
    assert len(found["told"]) == len(found["opened"]) == 1
    assert found["told"][0].startswith("This operator sheet is out of date, and so are its programs")
    assert summary.startswith("Stale: edits by hand were changed.")
    assert "Out of date: do not run them" in summary


def test_apply_cuts_them_where_they_were_put(day: dict[str, Any]) -> None:
    found = step(day, "apply")
    assert found["stale"] == ""
    shown = {round(float(r[0].split(",")[0]), 1) for r in step(day, "take_away")["rows"]}
    assert {round(p[0], 1) for p in found["places"]} == shown


def test_they_can_be_left_to_the_rules_again(day: dict[str, Any]) -> None:
    assert step(day, "rules")["rows"] == step(day, "choose")["rows"]


def test_a_screw_dragged_into_a_path_is_told_where_one_looks(day: dict[str, Any]) -> None:
    found = step(day, "drag_a_screw")
    assert found["outside"].startswith("Screw 1:")
    assert found["stale"] in ("screws were moved by hand", "edits by hand were changed")
    assert "must not be run" in found["report"]
    assert "must not be run" in found["bar"]
    assert "sheet-1 must not be cut." in found["summary"]
    assert "Screw 1: a bit or a part comes too near." in found["summary"]
    assert found["refused"] == ["out of date: Screw 1"]
    assert found["label"].endswith("(stale)")


def test_its_head_is_really_red_and_no_other(day: dict[str, Any]) -> None:
    found = step(day, "drag_a_screw")
    assert 0.0 < found["share"] < 1.0
    assert found["red"] > found["before"] + 5
    assert found["undone"] == ["", found["before"]]


def test_the_host_had_nothing_to_complain_about(day: dict[str, Any]) -> None:
    assert step(day, "errors") == []
