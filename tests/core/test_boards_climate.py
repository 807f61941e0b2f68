# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boards measured in one air and used in another: what they grow, and what slots are cut for."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.boards.assigning import Assigned, assign_boards
from flatwright.boards.batch import measured
from flatwright.boards.moisture import THICKNESS_BIRCH, equilibrium, movement
from flatwright.boards.readings import parse_readings
from flatwright.findings import Finding
from flatwright.joints.slots import thicknesses
from flatwright.presets.model import Board, Climate, FitClass, Fits

SHOP, DAMP, HEATED = Climate(20.0, 0.50), Climate(15.0, 0.75), Climate(22.0, 0.30)
CLASSES = {"glue": FitClass(0.25, 0.5, 0.5)}


def assign(
    measured_at: Climate | None, used_at: Climate | None, *texts: str
) -> tuple[Assigned, list[Finding]]:
    boards = (Board("birch 18", 18.0, measured_at=measured_at),)
    assigned, findings = assign_boards({"shelf": 18.0}, boards, parse_readings(texts), used_at=used_at)
    return assigned["shelf"], findings


def slot(shelf: Assigned, slot_for: str = "mean") -> float:
    fits = Fits("glue", CLASSES, slot_for=slot_for)  # type: ignore[arg-type]
    return thicknesses({"shelf": shelf}, fits)["shelf"].slot


def test_boards_that_will_swell_get_room_for_it_now() -> None:
    shelf, [note] = assign(SHOP, DAMP, "17.7")
    takes_up = equilibrium(15.0, 0.75) - equilibrium(20.0, 0.50)
    growth = 17.7 * THICKNESS_BIRCH * takes_up
    assert shelf.batch is not None and shelf.batch.growth == pytest.approx(growth, abs=1e-6)
    assert shelf.thickness == 17.7  # what is cut today is today's board
    assert slot(shelf) == pytest.approx(17.7 + growth, abs=1e-6)
    assert (note.code, note.severity) == ("board.moisture", "note")
    for words in ("20 °C and 50 %", "15 °C and 75 %", f"{takes_up:.1f} %", f"{growth:.2f} mm in thickness"):
        assert words in note.message
    assert "not exact" in note.remedy and "1 to 3 % less" in note.remedy  # MOI-4: FPL-GTR-229


def test_for_boards_that_will_shrink_slots_stay_as_today() -> None:
    shelf, [note] = assign(SHOP, HEATED, "17.7")
    assert shelf.batch is not None and shelf.batch.growth < 0.0
    assert slot(shelf) == 17.7
    assert "loses" in note.message and "shrinks" in note.message


@pytest.mark.parametrize("slot_for", ["largest", "spread", "probability"])
def test_swelling_comes_on_top_of_whatever_slots_are_cut_for(slot_for: str) -> None:
    dry, _ = assign(SHOP, SHOP, "17.7,17.8")
    damp, _ = assign(SHOP, DAMP, "17.7,17.8")
    assert damp.batch is not None
    assert slot(damp, slot_for) - slot(dry, slot_for) == pytest.approx(damp.batch.growth)


@given(st.floats(0.1, 0.9), st.floats(0.1, 0.9))
def test_a_damper_place_never_gets_a_narrower_slot(one: float, other: float) -> None:
    low, high = sorted((one, other))
    dry, _ = assign(SHOP, Climate(20.0, low), "17.7")
    damp, _ = assign(SHOP, Climate(20.0, high), "17.7")
    assert slot(dry) <= slot(damp)


@pytest.mark.parametrize("used_at", [None, SHOP])
def test_the_same_air_moves_nothing_and_says_nothing(used_at: Climate | None) -> None:
    shelf, findings = assign(SHOP, used_at, "17.7")
    assert slot(shelf) == 17.7 and findings == []


def test_without_the_air_of_the_readings_nothing_is_reckoned_and_that_is_said() -> None:
    shelf, [note] = assign(None, DAMP, "17.7")
    assert slot(shelf) == 17.7
    assert (note.code, note.severity) == ("board.air-unknown", "note")


def codes(findings: Sequence[Finding]) -> list[str]:
    return [f.code for f in findings]


def test_a_board_that_nobody_measured_does_not_move() -> None:
    shelf, findings = assign(SHOP, DAMP)
    assert shelf.batch is not None and shelf.batch.growth == 0.0
    assert slot(shelf) == 18.0 and codes(findings) == ["board.unmeasured"]


def test_growth_is_that_of_the_mean() -> None:
    batch = measured("birch 18", 18.0, [17.6, 17.8], moisture=4.0)
    assert batch.growth == pytest.approx(movement(17.7, 4.0, THICKNESS_BIRCH))
