# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Ways into the wood where it is tight: short slots, narrow holes, small parts between tabs."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely

from flatwright.bits.choose import choose_bits
from flatwright.cutting.parts import cut_parts
from flatwright.cutting.program import make_programs
from flatwright.geometry.outline import Outline, circle, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.plan import Placement, Pocket, Tab, placed
from flatwright.presets.model import Entries
from support.shopwork import BITS, LARGEST, SMALLEST, THICK, Leg, Work, gone, legs, panel, sheet, shop, work

AT = Placement("plate", 400, 300, 0, False)


def drilled(hole: Outline, **sections: object) -> tuple[Work, list[Leg]]:
    """A plate with one hole, and the moves that cut the hole."""
    plate = panel("plate", rectangle(0, 0, 300, 200), holes=(hole,), show="none")
    done = work(sheet(AT), {"plate": plate}, replace(shop(), **sections))  # type: ignore[arg-type]
    moves = [g for p in done.programs for g in legs(p, done.preset) if g.operation in ("hole", "inside")]
    return done, moves


HOLES = {
    "drilled": circle((150, 100), 3.0),
    "a little wider than the bit": circle((150, 100), 3.4),
    "one helix": circle((150, 100), 5.0),
    "rings of helices": circle((150, 100), 13.0),
    "a hole with a drop on a curve": circle((150, 100), 40.0),
    "a slot of the bit's width": rectangle(100, 90, 160, 96),
    "a slot across the grain": rectangle(140, 50, 146.5, 150),
    "a square that leaves no room to ramp": rectangle(140, 90, 148, 98),
    "a wide slot": rectangle(100, 90, 200, 107.95),
}


@pytest.mark.parametrize("hole", HOLES.values(), ids=list(HOLES))
@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("allowance", [0.0, 0.3])
def test_the_hole_is_cut_out_and_nothing_else(hole: Outline, direction: str, allowance: float) -> None:
    entries = Entries(math.radians(5), direction=direction, finish_allowance=allowance, lead_radius=4.0)  # type: ignore[arg-type]
    done, moves = drilled(hole.cw(), entries=entries)
    assert not [f for f in done.findings if f.severity == "error"]
    void = polygon(placed(hole.ccw(), AT), tolerance=1e-4)
    taken, reachable = gone(moves, -0.49), void.buffer(-2.999, quad_segs=64).buffer(2.999, quad_segs=64)
    assert taken.difference(void.buffer(0.005)).area < 1e-3
    tabs = shapely.union_all([shapely.Point(t.x, t.y).buffer(16) for t in done.sheet.tabs])
    drop = void.buffer(-5.9 - allowance) if void.area > 4000 else shapely.Polygon()
    assert reachable.difference(taken).difference(drop).difference(tabs).buffer(-0.02).is_empty


@pytest.mark.parametrize("hole", list(HOLES.values())[5:7], ids=list(HOLES)[5:7])
def test_short_stretches_are_ramped_to_and_fro(hole: Outline) -> None:
    _, moves = drilled(hole.cw())
    for g in moves:
        run, drop = math.dist(g.start[:2], g.end[:2]), g.start[2] - g.end[2]
        if g.end[2] < LARGEST and drop > 1e-3:
            assert drop <= run * math.tan(math.radians(5.0)) + 1e-3


def test_a_closed_round_pocket_is_entered_by_a_helix() -> None:
    """By a bit that may not drill: no move sinks more than the ramp's angle allows."""
    pocket = Pocket(circle((150, 100), 20).cw(), 6.0, "+n")
    plate = panel("plate", rectangle(0, 0, 300, 200), pockets=(pocket,), show="+n")
    done = work(sheet(AT), {"plate": plate}, shop(BITS[2:3]))
    moves = [g for p in done.programs for g in legs(p, done.preset) if g.operation == "pocket"]
    falling = [g for g in moves if g.end[2] < g.start[2] - 1e-6 and g.start[2] < LARGEST + 0.6]
    assert falling
    assert all(g.move.kind in ("cw", "ccw") for g in falling)
    taken = gone(moves, THICK - 6.0)
    void = polygon(placed(circle((150, 100), 20), AT), tolerance=1e-4)
    assert void.symmetric_difference(taken).buffer(-0.01).is_empty
    assert gone(moves, THICK - 6.01).is_empty


@pytest.mark.parametrize("lead", [0.0, 4.0])
def test_every_pass_is_roughed_before_its_wall_is_cut(lead: float) -> None:
    """At each height the bit runs round the part an allowance off the wall, then along the wall."""
    plate = panel("plate", rectangle(0, 0, 300, 200), show="none")
    entries = Entries(math.radians(5), finish_allowance=0.4, lead_radius=lead)
    done = work(sheet(AT), {"plate": plate}, replace(shop(), entries=entries))
    assert done.findings == ()
    edge = done.wood("plate").exterior
    runs: list[tuple[float, str]] = []
    for g in (g for p in done.programs for g in legs(p, done.preset) if g.operation == "outside"):
        if g.move.kind == "rapid" or math.dist(g.start[:2], g.end[:2]) < 20 or g.start[2] != g.end[2]:
            continue
        off = {round(edge.distance(shapely.Point(p[:2])), 3) for p in g.points()}
        where = {3.0: "wall", 3.4: "rough"}[off.pop()]
        if not runs or runs[-1] != (g.end[2], where):
            runs.append((g.end[2], where))
    heights = sorted({z for z, _ in runs}, reverse=True)
    tops = [z for z in heights if (z, "wall") in runs and z not in {t.height for t in done.sheet.tabs}]
    assert len(tops) == 4, "T 18.31 in passes of 6 (MAC-12)"
    for z in tops:
        assert runs.index((z, "rough")) < runs.index((z, "wall"))


def test_leads_are_tangent_to_the_wall() -> None:
    """The arc of 4 mm from 0.4 mm off: its end runs along the wall, its centre 4 mm from it."""
    plate = panel("plate", rectangle(0, 0, 300, 200), show="none")
    entries = Entries(math.radians(5), finish_allowance=0.4, lead_radius=4.0)
    done = work(sheet(AT), {"plate": plate}, replace(shop(), entries=entries))
    arcs = [
        g
        for p in done.programs
        for g in legs(p, done.preset)
        if g.move.kind in ("cw", "ccw") and abs(math.hypot(g.move.i, g.move.j) - 4.0) < 1e-3
    ]
    assert len(arcs) == 2 * 4, "on and off the wall in each of four passes"
    for g in arcs:
        ends = sorted(done.wood("plate").exterior.distance(shapely.Point(p[:2])) for p in (g.start, g.end))
        assert ends == pytest.approx([3.0, 3.4], abs=1e-3)
        touch = min((g.start, g.end), key=lambda p: done.wood("plate").distance(shapely.Point(p[:2])))
        centre = (g.start[0] + g.move.i, g.start[1] + g.move.j)
        assert abs(centre[0] - touch[0]) < 1e-3 or abs(centre[1] - touch[1]) < 1e-3


@pytest.mark.parametrize("lead", [4.0, 200.0])
def test_no_lead_runs_into_a_tab(lead: float) -> None:
    """Between these tabs the bit has 9 mm; an arc of 200 mm from 1.4 mm off the wall takes 47 mm."""
    plate = panel("plate", rectangle(0, 0, 210, 60), show="none")
    entries = Entries(math.radians(5), finish_allowance=1.4, lead_radius=lead)
    rules = replace(shop(BITS[:1]), entries=entries)
    bits = {"plate": choose_bits(plate, rules)[0]}
    tabs = [Tab("plate", 415 + 45 * k, y, 0.0, 17.0, 5.9) for k in range(5) for y in (300.0, 360.0)]
    cuts, found = cut_parts(
        sheet(AT), {"plate": plate}, bits, rules, tabs=tabs, smallest=SMALLEST, largest=LARGEST
    )
    assert found == []
    laid = replace(sheet(AT), tabs=tuple(tabs))
    programs, _ = make_programs(laid, cuts, rules, screws=(), smallest=SMALLEST, largest=LARGEST)
    taken = gone([g for p in programs for g in legs(p, rules)], 5.89)
    for t in tabs:
        bridge = shapely.box(t.x - 8.4, t.y - 6.0, t.x + 8.4, t.y + 6.0)
        assert taken.intersection(bridge).area < 0.01, t


@pytest.mark.parametrize("allowance", [0.0, 0.4])
def test_a_handle_across_the_grain_is_entered_along_it_through_its_drop(allowance: float) -> None:
    """Its only straight edges run across the grain of a face that shows; the drop is waste."""
    q = 1.0  # half turns at both ends
    handle = Outline([(135, 50), (165, 50), (165, 150), (135, 150)], [q, 0.0, q, 0.0]).cw()
    plate = panel("plate", rectangle(0, 0, 300, 200), holes=(handle,), show="+n")
    entries = Entries(math.radians(5), finish_allowance=allowance, lead_radius=4.0 * (allowance > 0.0))
    done = work(sheet(AT), {"plate": plate}, replace(shop(BITS[2:3]), entries=entries))
    assert "cutting.ramp-across-grain" not in done.codes()
    tabs = [t for t in done.sheet.tabs if 530 < t.x < 570 and 330 < t.y < 470]
    assert len(tabs) == 2
    moves = [g for p in done.programs for g in legs(p, done.preset) if g.operation == "inside"]
    high = tabs[0].height + 0.5
    ramps = [g for g in moves if high < g.start[2] < LARGEST + 0.6 and g.end[2] < g.start[2] - 1e-6]
    assert ramps
    for g in ramps:
        assert g.start[1] == g.end[1], "along the grain"
        assert g.start[2] - g.end[2] <= abs(g.end[0] - g.start[0]) * math.tan(math.radians(5)) + 1e-3
    void = polygon(placed(handle.ccw(), AT), tolerance=1e-4)
    taken = gone(moves, -0.49)
    assert taken.difference(void.buffer(0.005)).area < 1e-3
    drop = void.buffer(-5.99 - allowance)
    kept = drop.difference(taken)
    assert kept.geom_type == "Polygon", "the drop stays in one piece"
    assert kept.area > 0.8 * drop.area
    for t in tabs:
        assert kept.distance(shapely.Point(t.x, t.y)) < 6.1 + allowance, "with wood beside its tabs"
    reached = void.buffer(-2.999, quad_segs=64).buffer(2.999, quad_segs=64).difference(drop)
    near = shapely.MultiPoint([(t.x, t.y) for t in tabs]).buffer(16)
    assert reached.difference(taken).difference(near).buffer(-0.02).is_empty, "and the wall is cut"


@pytest.mark.parametrize("degrees", [30.0, 61.0, 97.0, 174.0])
def test_a_slot_hardly_wider_than_the_bit_is_entered_along_itself(degrees: float) -> None:
    """At any angle to the grain, by a bit that may not drill, no steeper than the ramp; one that runs within
    10° of the grain counts as along it."""
    slot = rectangle(-50, -3.1, 50, 3.1).moved((150, 100), math.radians(degrees)).cw()
    plate = panel("plate", rectangle(0, 0, 300, 200), pockets=(Pocket(slot, 5.4, "+n"),), show="+n")
    done = work(sheet(AT), {"plate": plate}, shop(BITS[2:3]))
    across = [] if degrees > 170.0 else ["cutting.ramp-across-grain"]
    assert done.codes() == across
    moves = [g for p in done.programs for g in legs(p, done.preset) if g.operation == "pocket"]
    falling = [g for g in moves if g.start[2] - g.end[2] > 1e-3 and g.end[2] < LARGEST]
    assert falling
    for g in falling:
        run = math.dist(g.start[:2], g.end[:2])
        assert g.start[2] - g.end[2] <= run * math.tan(math.radians(5.0)) + 1e-3


def test_a_helix_is_no_steeper_than_the_ramp() -> None:
    _, moves = drilled(circle((150, 100), 6.0).cw())
    arcs = [g for g in moves if g.move.kind in ("cw", "ccw") and g.end[2] < g.start[2]]
    assert arcs
    for g in arcs:
        assert (g.start[2] - g.end[2]) / (math.pi * 3.0) <= math.tan(math.radians(5.0)) + 1e-3


def test_pecks_go_down_by_one_pass_at_most() -> None:
    _, moves = drilled(circle((150, 100), 3.0).cw())
    bottoms = [g.end[2] for g in moves if g.end[2] < min(g.start[2], LARGEST)]
    steps = [a - b for a, b in zip([LARGEST, *bottoms], bottoms, strict=False)]
    assert len(bottoms) == 4
    assert max(steps) <= 6.0
    assert all(g.move.kind in ("rapid", "line") for g in moves), "no canned cycle"


def test_no_two_rings_are_further_apart_than_the_bit_clears() -> None:
    """45 % of the diameter: in a corner of 60° the rings are twice as far apart."""
    wedge = Outline([[0, 0], [120, 0], [60, 60 * math.sqrt(3)]], [0, 0, 0])  # type: ignore[arg-type]
    plate = panel("plate", rectangle(-30, -30, 160, 140), pockets=(), show="none")
    plate = replace(plate, holes=(wedge.cw(),))
    clear = {"plate": wedge.segments()}
    done = work(sheet(AT), {"plate": plate}, shop(), clear)
    assert "holding.drop-milled" in done.codes()
    moves = [g for p in done.programs for g in legs(p, done.preset) if g.operation == "inside"]
    void = polygon(placed(wedge, AT))
    reachable = void.buffer(-2.999).buffer(2.999)
    assert reachable.difference(gone(moves, -0.49)).buffer(-0.02).is_empty


def test_a_small_part_hemmed_in_by_tabs_is_still_entered() -> None:
    part = panel("plate", rectangle(0, 0, 90, 60), show="none")
    done = work(sheet(AT), {"plate": part}, shop())
    assert not [f for f in done.findings if f.severity == "error"]
    assert [o.kind for o in done.programs[-1].operations] == ["outside", "park"]


def test_a_steep_ramp_as_long_as_it_is_wanted_is_long_enough() -> None:
    """At 45° half of a ramp 5.006 mm deep is 2.503 mm: a stroke of that length is no shorter than itself."""
    plate = panel(
        "plate", rectangle(0, 0, 300, 200), pockets=(Pocket(HOLES["a wide slot"].cw(), 4.896, "+n"),)
    )
    done = work(sheet(AT), {"plate": plate}, replace(shop(BITS[2:3]), entries=Entries(math.radians(45))))
    assert done.codes() == []


def test_no_way_in_is_an_error_not_a_plunge() -> None:
    """A down-cut bit in a hole that it just fits."""
    plate = panel("plate", rectangle(0, 0, 300, 200), holes=(rectangle(140, 90, 148, 98).cw(),))
    done = work(sheet(AT), {"plate": plate}, shop(BITS[2:3]))
    assert done.codes() == ["bits.no-drill"]
    assert not any(g.operation == "inside" for p in done.programs for g in legs(p, done.preset))
