# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Each panel is given a board and its measured thickness, by drawn thickness and readings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.boards.assigning import Assigned, assign_boards
from flatwright.boards.by_hand import check_known
from flatwright.boards.readings import parse_readings
from flatwright.findings import Finding, UsageError
from flatwright.presets.model import Board

BIRCH_18, BIRCH_12 = Board("birch 18", 18.0), Board("birch 12", 12.0)
BOARDS = (BIRCH_12, BIRCH_18)
TROLLEY = {"side": 18.0, "shelf": 18.0, "back": 12.0}


def assign(
    drawn: Mapping[str, float], *texts: str, boards: Sequence[Board] = BOARDS, nominal: float | None = None
) -> tuple[dict[str, Assigned], list[Finding]]:
    return assign_boards(drawn, boards, parse_readings(texts, nominal))


def refusal(drawn: Mapping[str, float], *texts: str, nominal: float | None = None) -> str:
    with pytest.raises(UsageError) as caught:
        assign(drawn, *texts, nominal=nominal)
    return str(caught.value)


def codes(findings: Sequence[Finding]) -> list[str]:
    return [f.code for f in findings]


def test_readings_go_to_the_drawn_thickness_near_their_mean() -> None:
    assigned, findings = assign(TROLLEY, "17.7,17.75,17.8")
    assert assigned["side"][:2] == assigned["shelf"][:2] == ("birch 18", 17.75)
    assert assigned["side"].batch is assigned["shelf"].batch
    assert assigned["back"][:2] == ("birch 12", 12.0)
    assert codes(findings) == ["board.unmeasured"]


def test_an_unmeasured_board_stays_as_drawn_with_a_warning_that_tells_its_tolerance() -> None:
    assigned, [warning] = assign({"side": 18.02}, boards=BOARDS)
    assert assigned["side"].thickness == 18.02
    assert assigned["side"].batch is not None and not assigned["side"].batch.measured
    assert warning.severity == "warning" and warning.panels == ("side",)
    assert "side" in warning.message and "17.06 to 18.74 mm (EN 315)" in warning.message


def test_a_thickness_without_reading_or_board_is_not_known() -> None:
    assigned, [warning] = assign({"lid": 5.0, "side": 18.0}, "18:17.7")
    assert assigned["lid"] == Assigned(None, 5.0, None)
    assert (warning.code, warning.panels) == ("board.unknown", ("lid",))
    assert "5 mm" in warning.message and "lid" in warning.message


def test_readings_make_a_board_of_their_own_where_the_preset_has_none() -> None:
    assigned, findings = assign({"lid": 5.0, "drawer": 19.05}, "4.9,4.95", "18.9", boards=())
    assert assigned["lid"][:2] == ("5 mm", 4.925)
    assert assigned["drawer"].board == "3/4 in"
    assert not findings


def test_a_named_thickness_reaches_drawn_ones_within_three_tenths() -> None:
    assigned, _ = assign({"a": 17.8, "b": 18.3, "c": 18.31}, "18:17.7")
    assert [a.thickness for a in assigned.values()] == [17.7, 17.7, 17.7]  # c is b within 0.05 mm
    assigned, findings = assign({"b": 18.0, "c": 18.31}, "18:17.7")
    assert [a.thickness for a in assigned.values()] == [17.7, 18.31]
    assert codes(findings) == ["board.unknown"]


def test_two_named_thicknesses_share_out_what_is_drawn_between_them() -> None:
    assigned, _ = assign({"a": 6.35, "b": 6.5}, "6.35:6.2", "6.5:6.4", boards=())
    assert [a.thickness for a in assigned.values()] == [6.2, 6.4]


def test_one_board_of_the_preset_is_one_batch() -> None:
    boards = (Board("birch 6.5", 6.5),)
    assigned, _ = assign({"a": 6.35, "b": 6.5}, "6.35:6.2", "6.5:6.4", boards=boards)
    assert [a[:2] for a in assigned.values()] == [("1/4 in", 6.2), ("birch 6.5", 6.4)]
    assigned, [warning] = assign({"a": 18.2, "b": 18.0})
    assert [a[:2] for a in assigned.values()] == [("birch 18", 18.2), ("birch 18", 18.0)]
    assert assigned["a"].batch is assigned["b"].batch
    assert set(warning.panels) == {"a", "b"} and "18 mm and 18.2 mm" in warning.message


def test_readings_of_a_board_serve_every_panel_of_that_board() -> None:
    assigned, findings = assign({"a": 17.75, "b": 18.25}, "17.75:17.7")
    assert [a[:2] for a in assigned.values()] == [("birch 18", 17.7), ("birch 18", 17.7)]
    assert not findings


def test_two_candidates_are_an_error_that_asks_for_the_nominal() -> None:
    told = refusal({"a": 18.0, "b": 17.5}, "17.7,17.8")
    assert "NOMINAL:" in told and "17.5 mm and 18 mm" in told


@given(offset=st.floats(0.0, 0.0499), tilt=st.floats(0.0, 0.0499))
def test_nearly_equal_thicknesses_are_one(offset: float, tilt: float) -> None:
    assigned, _ = assign({"a": 18.0 + offset, "b": 18.0 + tilt}, "17.7")
    assert [a.thickness for a in assigned.values()] == [17.7, 17.7]


@pytest.mark.parametrize("reading", ["19.44", "16.56"])
def test_the_window_is_eight_per_cent_of_a_thick_board(reading: str) -> None:
    assert assign({"a": 18.0}, reading)[0]["a"].thickness == float(reading)
    beyond = f"{float(reading) + (0.02 if float(reading) > 18 else -0.02):.2f}"
    assert "near no drawn thickness" in refusal({"a": 18.0}, beyond)


def test_the_window_is_six_tenths_of_a_thin_board() -> None:
    assert assign({"a": 4.0}, "3.4", boards=())[0]["a"].thickness == 3.4
    assert "near no drawn thickness" in refusal({"a": 4.0}, "3.38")


@pytest.mark.parametrize(
    ("texts", "said"),
    [
        (("9.1",), "drawn are 12 mm and 18 mm"),
        (("9:9.1",), "drawn are 12 mm and 18 mm"),
        (("12.6,12.5,12.7", "18:17.7", "12:11.9"), "both readings for 12 mm"),
        (("17.7", "17.8"), "both readings for 18 mm"),
        (("18:12.6",), "30% off"),
        (("0.7,0.71",), "as in 0.7 in"),
        (("15.25,17.0,17.6,17.6",), "15.25 mm"),
    ],
)
def test_readings_for_no_board_of_the_model_are_refused(texts: tuple[str, ...], said: str) -> None:
    assert said in refusal(TROLLEY, *texts)


def test_the_nominal_option_settles_two_candidates() -> None:
    assigned, _ = assign({"a": 18.0, "b": 17.0}, "17.6", nominal=18.0)
    assert [a.thickness for a in assigned.values()] == [17.6, 17.0]


def test_the_presets_own_readings_serve_until_others_are_given() -> None:
    boards = (replace(BIRCH_18, readings=(17.9, 18.0)),)
    assert assign({"a": 18.0}, boards=boards)[0]["a"].thickness == 17.95
    assert assign({"a": 18.0}, "17.7", boards=boards)[0]["a"].thickness == 17.7


def test_the_first_of_several_boards_is_taken_with_a_note_that_names_the_others() -> None:
    assigned, [note] = assign({"a": 18.0}, "17.7", boards=(*BOARDS, Board("poplar 18", 18.0)))
    assert assigned["a"].board == "birch 18"
    assert (note.code, note.severity) == ("board.several", "note")
    assert "poplar 18" in note.message


def test_readings_outside_the_standard_or_far_apart_are_told_and_used() -> None:
    assigned, [outside, uneven] = assign({"a": 18.0}, "18:16.9,17.7")
    assert assigned["a"].thickness == 17.3
    assert (outside.code, outside.severity) == ("board.outside-standard", "warning")
    assert "16.9 mm" in outside.message and "17.7" not in outside.message
    assert (uneven.code, uneven.severity) == ("board.uneven", "note")


def test_inch_boards_are_judged_by_their_own_standard() -> None:
    boards = (Board("plywood 23/32", 18.25625),)
    assert assign({"a": 18.2562}, "18.9", boards=boards)[1] == []  # PS 1: up to 3/4 in = 19.05 mm
    [told] = assign({"a": 18.2562}, "19.1", boards=boards)[1]
    assert "23/32 in" in told.message and "PS 1" in told.message


def test_the_order_of_panels_does_not_matter() -> None:
    turned = dict(reversed(TROLLEY.items()))
    one, two = assign(TROLLEY, "17.7")[0], assign(turned, "17.7")[0]
    assert one == two and list(one) == list(TROLLEY) and list(two) == list(turned)


def test_no_panels_no_findings() -> None:
    assert assign({}, "17.7") == ({}, [])


def test_many_panels_are_counted_and_some_named() -> None:
    [told] = assign({f"slat {n}": 12.0 for n in range(1, 31)})[1]
    assert "30 panels (slat 1, " in told.message and "and 24 more" in told.message
    assert len(told.panels) == 30


POPLAR_18 = Board("poplar 18", 18.0)
RACK = (BIRCH_12, BIRCH_18, POPLAR_18)


def chosen(
    by_hand: Mapping[str, str], drawn: Mapping[str, float], *texts: str, boards: Sequence[Board] = RACK
) -> tuple[dict[str, Assigned], list[Finding]]:
    return assign_boards(drawn, boards, parse_readings(texts), by_hand)


def test_a_board_chosen_by_hand_is_taken_for_that_panel_only() -> None:
    assigned, findings = chosen({"shelf": "poplar 18"}, TROLLEY, "18:17.7", "12:11.9")
    assert {p: a[:2] for p, a in assigned.items()} == {
        "side": ("birch 18", 17.7),
        "shelf": ("poplar 18", 18.0),
        "back": ("birch 12", 11.9),
    }
    assert codes(findings) == ["board.several", "board.unmeasured"]
    assert findings[1].panels == ("shelf",)


def test_readings_go_to_a_chosen_board_where_no_other_panel_has_its_thickness() -> None:
    by_hand = {"side": "poplar 18", "shelf": "poplar 18"}
    assigned, findings = chosen(by_hand, TROLLEY, "17.7", "11.9")
    assert assigned["side"][:2] == assigned["shelf"][:2] == ("poplar 18", 17.7)
    assert findings == []


def test_the_boards_of_the_preset_keep_their_own_readings() -> None:
    boards = (BIRCH_18, replace(POPLAR_18, readings=(17.2, 17.4)))
    assigned, _ = chosen({"b": "poplar 18"}, {"a": 18.0, "b": 18.0}, "17.7", boards=boards)
    assert [a[:2] for a in assigned.values()] == [("birch 18", 17.7), ("poplar 18", 17.3)]


def test_a_panel_on_a_board_of_another_thickness_takes_that_thickness() -> None:
    assigned, findings = chosen({"shelf": "birch 12"}, {"shelf": 18.0, "side": 18.0}, "18:17.7")
    assert assigned["shelf"][:2] == ("birch 12", 12.0)
    assert assigned["shelf"].batch is not None and assigned["shelf"].batch.mean == 12.0
    assert codes(findings) == ["board.chosen", "board.several", "board.unmeasured"]
    measured_too, _ = chosen({"shelf": "birch 12"}, {"shelf": 18.0, "side": 18.0}, "18:17.7", "12:11.8")
    assert measured_too["shelf"][:2] == ("birch 12", 11.8)


@pytest.mark.parametrize(
    ("by_hand", "code", "said"),
    [
        ({"shelf": "poplar"}, "board.chosen-unknown", 'did you mean "poplar 18"'),
        ({"shelves": "birch 12"}, "board.chosen-for-nothing", 'did you mean "shelf"'),
    ],
)
def test_a_choice_that_cannot_be_followed_is_told(by_hand: Mapping[str, str], code: str, said: str) -> None:
    assigned, findings = chosen(by_hand, {"shelf": 18.0}, "17.7", boards=(*BOARDS, POPLAR_18))
    assert assigned["shelf"][:2] == ("birch 18", 17.7)
    [told] = [f for f in findings if f.code == code]
    assert told.severity == "warning" and said in told.message


def test_choices_that_the_preset_cannot_meet_are_refused_before_a_run() -> None:
    check_known({"shelf": "poplar 18"}, RACK)
    with pytest.raises(UsageError, match=r'no board birch 13.*did you mean "birch 1'):
        check_known({"shelf": "birch 13"}, RACK)
    with pytest.raises(UsageError, match="it has no boards"):
        check_known({"shelf": "birch 12"}, ())
