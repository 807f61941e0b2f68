# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The starter presets hold what the trade does: common practice, no source, unless one is named."""

from __future__ import annotations

import pytest

from flatwright import resources
from flatwright.presets.model import Preset
from flatwright.presets.quantities import LENGTH, parse
from flatwright.presets.reading import load, load_document
from support.preset_documents import STARTERS

INCH = 25.4
TRADE = 0.01  # mm: metric and inch shops round the same habit differently


@pytest.fixture(params=STARTERS)
def starter(request: pytest.FixtureRequest) -> Preset:
    return load(resources.path(f"presets/{request.param}.shop.json"))


def test_cp_1_slots_are_ten_thousandths_over_the_thickness(starter: Preset) -> None:
    """A board of 0.71 in gets a slot of 0.72 in."""
    _, glue = starter.fits.for_joint("slot")
    assert 0.71 * INCH + glue.over_thickness == pytest.approx(0.72 * INCH, abs=TRADE)


def test_cp_2_and_twenty_thousandths_longer_than_the_tenon(starter: Preset) -> None:
    """A tenon of 1.25 in gets a slot of 1.27 in."""
    _, glue = starter.fits.for_joint("mortise and tenon")
    assert 1.25 * INCH + glue.along == pytest.approx(1.27 * INCH, abs=TRADE)


def test_cp_3_cuts_go_twenty_thousandths_below_the_board_zero_on_the_bed(starter: Preset) -> None:
    """A board of 0.50 in is cut 0.52 in deep."""
    assert starter.machine.zero == "bed"
    assert 0.50 * INCH + starter.machine.overcut == pytest.approx(0.52 * INCH, abs=TRADE)


def test_cp_4_tabs_are_10_by_6_mm(starter: Preset) -> None:
    assert starter.holding.tabs.length == pytest.approx(10.0, abs=0.2)
    assert starter.holding.tabs.height == pytest.approx(6.0, abs=0.1)


def test_cp_5_spot_marks_are_shallow(starter: Preset) -> None:
    assert 0.5 <= starter.holding.fasteners.mark_depth <= 0.8


def test_cp_7_only_straight_and_up_cut_bits_drill(starter: Preset) -> None:
    may = {b.kind: b.may_drill for b in starter.bits}
    assert may == {"straight": True, "up-cut": True, "down-cut": False, "compression": False}


def test_cp_12_a_common_sheet_is_4_by_8_feet(starter: Preset) -> None:
    sizes = [(s.length, s.width) for s in starter.layout.sheets]
    assert any(size == pytest.approx((8 * 12 * INCH, 4 * 12 * INCH), abs=2.0) for size in sizes)


def test_scr_2_room_for_the_head_of_a_number_8_screw(starter: Preset) -> None:
    """ASME B18.6.1-1981: flat countersunk head of #8, at most 0.332 in across; height 0.100 in."""
    assert starter.holding.fasteners.head_diameter >= 0.332 * INCH
    assert starter.holding.fasteners.head_height >= 0.100 * INCH


@pytest.mark.parametrize("name", STARTERS)
def test_habits_of_the_trade_are_noted_as_such(name: str) -> None:
    document = load_document(resources.path(f"presets/{name}.shop.json"))
    glue, tabs = document["fits"]["classes"]["glue"], document["holding"]["tabs"]
    noted = [glue["over_thickness"], glue["along"], tabs["length"], tabs["height"]]
    noted += [document["machine"]["overcut"], document["holding"]["fasteners"]["mark_depth"]]
    assert all(value["note"].startswith("common practice") for value in noted)


def test_the_inch_starters_values_are_the_trades_own() -> None:
    inch = load(resources.path("presets/inch.shop.json"))
    glue = inch.fits.classes["glue"]
    ours = [glue.over_thickness, glue.along, inch.machine.overcut, inch.bit(1).diameter]
    assert ours == [parse(text, LENGTH) for text in ("0.010 in", "0.020 in", "0.020 in", "1/4 in")]


def test_no_batch_comes_measured(starter: Preset) -> None:
    """CP-11: thickness is the mean of readings of the boards in hand, taken before each job."""
    assert not any(b.readings for b in starter.boards)


def test_every_bit_has_feeds_in_every_board(starter: Preset) -> None:
    for bit in starter.bits:
        feed = starter.feed(bit.number, "a board that nobody has yet")
        assert feed.cutting_feed(bit.flutes) > feed.plunge > 0.0
