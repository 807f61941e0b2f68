# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand in FreeCAD's real window (tests/gui/inside/by_hand.py walks it)."""

from __future__ import annotations

import os
from typing import Any

import pytest

from support.unit import saved_unit
from support.window import make_home, step, walk


@pytest.fixture(scope="module")
def day(app: Any, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What each step found."""
    folder = tmp_path_factory.mktemp("by-hand")
    shots = os.environ.get("FLATWRIGHT_SHOTS", "")
    return walk("by_hand", make_home(folder / "home"), model=saved_unit(app, folder), shots=shots)


def test_with_a_result_all_can_be_edited(day: dict[str, Any]) -> None:
    found = step(day, "open_unit")
    names = ("Fit Joints", "Relieve Corners", "Choose Show Face", "Set Grain",
             "Keep Face in Place", "Choose Board")  # fmt: skip
    assert {n: found["buttons"][n] for n in names} == dict.fromkeys(names, True)
    assert found["stale"] == ""


def test_without_a_selection_it_says_what_to_do(day: dict[str, Any]) -> None:
    [said] = step(day, "nothing_selected")["said"]
    assert said.startswith("Select panels first")


def test_grain_is_set_in_one_step(day: dict[str, Any]) -> None:
    found = step(day, "grain")
    assert found["asked"] == "Which way does the face grain run on Shelf, Side?"
    assert found["set"] == ["90 deg", "90 deg"]
    assert found["undo"][:1] == ["Set Grain"]
    assert found["stale"] == "edits by hand were changed"
    assert found["summary"] == "Stale: edits by hand were changed."
    assert found["line"] == [">>> flatwright.api.set_grain(panels=['Shelf', 'Side'], grain=90.0)"]


def test_a_show_face_is_chosen_by_where_it_looks(day: dict[str, Any]) -> None:
    found = step(day, "show_face")
    assert found["choices"][1:3] == ["The one towards +x", "The one towards -x"]
    assert (found["set"], found["undo"]) == ("-n", ["Choose Show Face"])


def test_the_face_that_stays_is_chosen_by_where_it_looks(day: dict[str, Any]) -> None:
    found = step(day, "keep_face")
    assert found["asked"].endswith("Which face then keeps its place, of Side?")
    assert found["choices"] == ["By the rules", "The one towards +x", "The one towards -x"]
    assert (found["set"], found["undo"]) == ("-n", ["Keep Face in Place"])
    assert found["line"] == [">>> flatwright.api.keep_face_in_place(panels=['Side'], face='-n')"]


def test_a_board_is_chosen_by_its_name(day: dict[str, Any]) -> None:
    found = step(day, "board")
    assert found["choices"][0] == "By its thickness"
    assert found["chosen"] in " ".join(found["choices"][1:])
    assert (found["set"], found["undo"]) == (found["chosen"], ["Choose Board"])
    assert found["back"] == "by rule"


def test_joints_are_listed_with_their_fit(day: dict[str, Any]) -> None:
    found = step(day, "joints")
    assert found["before"] == [["Shelf in Side", "glue, by the rules"]] * 2
    assert found["shown"] == ["Shelf", "Side"]
    assert found["after"] == ["slip", "glue, by the rules"]
    assert found["undo"] == ["Fit Joints"]
    assert len(found["line"]) == 1


def test_corners_are_clicked(day: dict[str, Any]) -> None:
    found = step(day, "corners")
    assert found["nothing"] == []
    assert found["one"] == ["Side: By the rules"]
    assert found["far"] == [found["edges"]["said"], "there is no inside corner of Side near that place"]
    assert found["edges"] == {
        "none": "",
        "one": "The longer edge is 40.50 mm long and runs to +y, the shorter one 17.95 mm to +z.",
        "two": "",
        "said": "Side: T-bone along the longer edge",
    }
    assert found["undo"] == ["Relieve Corners"]
    assert len(found["line"]) == 2
    assert step(day, "corner_again") == {
        "rows": ["Side: No relief, round as the bit"],
        "undo": True,
    }


@pytest.mark.parametrize("name", ["grain", "keep_face", "board", "joints", "corners"])
def test_panels_fit_the_narrow_task_column(day: dict[str, Any], name: str) -> None:
    assert step(day, name)["width"] <= 360


def test_apply_does_what_was_said(day: dict[str, Any]) -> None:
    found = step(day, "apply")
    assert found["grain"] == {"Side": 90, "Shelf": 90}
    assert found["show"]["Side"] == "-n"
    assert found["classes"] == ["glue", "slip"]
    assert found["reliefs"] == 7  # of eight corners of two mortises
    assert found["stale"] == ""
    assert found["drawn as before"]


def test_the_property_editor_is_one_step_too(day: dict[str, Any]) -> None:
    found = step(day, "property_editor")
    assert (found["stale"], found["label"]) == ("edits by hand were changed", "Flatwright (stale)")
    assert found["back"] == ["", "Flatwright", "by rule"]


def test_a_saved_document_opens_with_its_edits(day: dict[str, Any]) -> None:
    found = step(day, "opened_again")
    assert found["fits"] == ["glue, by the rules", "slip"]
    assert (found["grain"], found["stale"]) == ("90 deg", "")


def test_lost_edits_are_forgotten_by_a_click(day: dict[str, Any]) -> None:
    found = step(day, "lost")
    assert "3 edits by hand are lost. Forget them" in found["before"]  # a grain, a class, a corner
    assert "are lost" not in found["after"]
    assert found["undo"] == ["Forget Lost Edits"]


def test_the_host_had_nothing_to_complain_about(day: dict[str, Any]) -> None:
    assert step(day, "errors") == []
