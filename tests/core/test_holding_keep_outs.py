# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Clamps and dead areas of the bed: no bit near the one, no screw in either."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.cutting.swept import swept
from flatwright.geometry.polygon import straight
from flatwright.holding.keep_outs import check_clamps
from flatwright.presets.model import KeepOut, Machine, Preset
from flatwright.sheets.layout import lay_out
from flatwright.sheets.prepare import clamps
from support import planned_work
from support.shopwork import Work, legs, shelf, shop, side, trolley, work

LEFT = KeepOut("left", "clamp", (0.0, 300.0, 14.0, 380.0), 45.0)
PORT = KeepOut("vacuum port", "dead area", (600.0, 400.0, 700.0, 500.0))


def with_areas(*areas: KeepOut) -> Preset:
    return replace(shop(), machine=Machine(park=(0.0, 700.0), keep_outs=areas))


def done(*areas: KeepOut) -> Work:
    return work(*trolley(), with_areas(*areas))


def woods(w: Work) -> dict[str, BaseGeometry]:
    return {p.panel: w.wood(p.panel) for p in w.sheet.placements}


def test_no_screw_goes_into_a_dead_area_or_under_a_clamp() -> None:
    w = done(LEFT, PORT)
    for k in (LEFT, PORT):
        assert w.zones.distance(shapely.box(*k.corners)) >= 8.5 / 2 + 3.0
    assert w.zones.area < done().zones.area


def test_bits_pass_over_the_highest_clamp() -> None:
    """It stands 45 mm over the bed, and the clear height of 10 mm counts from what stands highest."""
    over = 0
    beam = KeepOut("beam", "clamp", (10.0, 450.0, 600.0, 600.0), 45.0)
    for program in done(beam).programs:
        for leg in legs(program, with_areas(beam)):
            near = straight(leg.start[:2], leg.end[:2]).distance(shapely.box(*beam.corners)) < 3.0
            if leg.move.kind == "rapid" and near and math.dist(leg.start[:2], leg.end[:2]) > 0:
                over += 1
                assert leg.start[2] == leg.end[2] == 55.0
    assert over, "the way to the parking point leads over it"


def test_a_clamp_in_the_way_is_an_error_that_names_the_part() -> None:
    w = done()
    assert check_clamps(w.sheet, swept(w.cuts), woods(w), with_areas(LEFT)) == []
    wide = replace(LEFT, corners=(0.0, 300.0, 60.0, 420.0))
    (found,) = check_clamps(w.sheet, swept(w.cuts), woods(w), with_areas(wide))
    assert (found.code, found.severity, found.panels) == ("holding.clamp-in-path", "error", ("side",))


def test_the_layout_keeps_parts_so_far_off_that_no_bit_meets_a_clamp() -> None:
    """Bit 6 mm and margin 3 mm are less than the spacing; with a spacing of 7 the clamp grows by 2."""
    corner = KeepOut("corner", "clamp", (0.0, 0.0, 200.0, 100.0))
    preset = with_areas(corner)
    tight = replace(preset, layout=replace(preset.layout, spacing=7.0))
    assert clamps(preset) == ((0.0, 0.0, 200.0, 100.0),)
    assert clamps(tight) == ((-2.0, -2.0, 202.0, 102.0),)
    # a bit stands 35 mm out of its collet, which is lower than a clamp of 45 mm: 25 + 3 + 3 mm
    tall = with_areas(replace(corner, height=45.0))
    assert clamps(tall) == ((-15.0, -15.0, 215.0, 115.0),)
    parts = [side(), shelf("shelf 1"), shelf("shelf 2")]
    (laid,), _ = lay_out(parts, preset, sheet_size=(1300.0, 900.0), engine="built-in")
    w = work(laid, {p.name: p for p in parts}, preset)
    assert check_clamps(w.sheet, swept(w.cuts), woods(w), preset) == []


@pytest.mark.parametrize("height", [30.0, 45.0, 90.0])
def test_neither_bit_nor_collet_meets_a_clamp_whatever_its_height(height: float) -> None:
    """The proof reads the programs (its collet has a radius of 25 mm, too)."""
    inside = KeepOut("toggle", "clamp", (0.0, 120.0, 60.0, 200.0), height)
    done = planned_work.work_of(planned_work.cabinet(), planned_work.shop(keep_outs=(inside,)))
    assert done.codes() == set()
