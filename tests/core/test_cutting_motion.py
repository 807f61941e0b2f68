# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How the bit moves: rapids, entries, climb milling, feeds, rounding."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely

from flatwright.cutting.program import clear_height
from flatwright.geometry.outline import circle, rectangle
from flatwright.geometry.polygon import straight
from flatwright.plan import Panel, Placement
from flatwright.presets.model import Bit, Entries
from support.shopwork import BITS, LARGEST, Leg, Work, legs, panel, sheet, shop, trolley, work


@pytest.fixture(scope="module")
def done() -> Work:
    return work(*trolley(), shop())


def everything(done: Work) -> list[Leg]:
    return [leg for p in done.programs for leg in legs(p, done.preset)]


def one(part: Panel, bits: tuple[Bit, ...] = BITS, angle: float = 0.0, **sections: object) -> Work:
    """The work of one part alone on its sheet."""
    laid = sheet(Placement(part.name, 400, 300, angle, False))
    return work(laid, {part.name: part}, shop(bits, **sections))


def test_rapids_keep_clear_of_the_board(done: Work) -> None:
    for leg in everything(done):
        if leg.move.kind == "rapid":
            assert min(leg.start[2], leg.end[2]) >= LARGEST + 2.0 - 1e-3


def test_low_rapids_pass_no_screw_head(done: Work) -> None:
    heads = shapely.MultiPoint([(s.x, s.y) for s in done.sheet.screws])
    high = clear_height(done.preset, LARGEST)
    low = [leg for p in done.programs[1:] for leg in legs(p, done.preset) if leg.move.kind == "rapid"]
    low = [leg for leg in low if min(leg.start[2], leg.end[2]) < high - 1e-3]
    assert low
    for leg in low:
        assert heads.distance(straight(leg.start[:2], leg.end[:2])) > 8.5 / 2 + 3.0


def test_every_operation_begins_and_ends_at_clear_height(done: Work) -> None:
    """So that switching one off in the host's tree leaves the others safe."""
    high = round(clear_height(done.preset, LARGEST), 4)
    assert high == pytest.approx(LARGEST + 2.6 + 10.0)
    for p in done.programs:
        for o in p.operations:
            assert (o.moves[0].kind, o.moves[0].z) == ("rapid", high)
            assert (o.moves[-1].kind, o.moves[-1].z) == ("rapid", high)


def test_every_program_ends_parked_with_the_spindle_stopped(done: Work) -> None:
    for p in done.programs:
        last = p.operations[-1]
        assert (last.kind, last.stops_spindle) == ("park", True)
        assert (last.moves[-1].x, last.moves[-1].y) == done.preset.machine.park


def ramps(done: Work, kind: str) -> list[Leg]:
    """Moves in the wood that go down while they run, tabs aside."""
    return [
        leg
        for leg in everything(done)
        if leg.operation == kind
        and leg.move.kind == "line"
        and leg.end[2] < leg.start[2] - 1e-4
        and leg.end[:2] != leg.start[:2]
        and leg.start[2] > 6.5
    ]


@pytest.mark.parametrize("kind", ["outside", "inside", "pocket"])
def test_ramps_run_with_the_grain_at_the_presets_angle_or_flatter(done: Work, kind: str) -> None:
    """CP-6, common practice."""
    found = ramps(done, kind)
    assert found
    for leg in found:
        dx, dy = leg.end[0] - leg.start[0], leg.end[1] - leg.start[1]
        assert abs(dy) < 1e-3, "the sheet's grain runs along x"
        assert math.atan2(leg.start[2] - leg.end[2], abs(dx)) <= math.radians(5.0) + 1e-4


def test_ramps_keep_off_tabs(done: Work) -> None:
    for leg in ramps(done, "outside"):
        way = shapely.LineString([leg.start[:2], leg.end[:2]])
        assert all(way.distance(shapely.Point(t.x, t.y)) > 10 / 2 + 3.0 for t in done.sheet.tabs)


def test_a_face_that_shows_and_has_no_edge_along_the_grain_is_warned_of() -> None:
    disc = panel("seat", circle((0, 0), 150))
    assert "cutting.ramp-across-grain" in one(disc).codes()
    assert "cutting.ramp-across-grain" not in one(replace(disc, show="none")).codes()
    anyhow = Entries(math.radians(5), along_grain=False)
    assert "cutting.ramp-across-grain" not in one(disc, entries=anyhow).codes()


def test_only_bits_that_may_drill_go_straight_down(done: Work) -> None:
    """CP-7, common practice: never drill with a down-cut or compression bit."""
    plunges = [
        leg
        for leg in everything(done)
        if leg.move.kind == "line"
        and leg.end[:2] == leg.start[:2]
        and leg.end[2] < min(leg.start[2], LARGEST)
    ]
    assert {leg.bit.kind for leg in plunges} <= {"straight", "up-cut"}
    square = replace(shop().holding, tabs=replace(shop().holding.tabs, ends="square"))
    plate = panel("plate", rectangle(0, 0, 300, 200))
    sunk = [
        g
        for g in everything(one(plate, holding=square))
        if g.end[:2] == g.start[:2] and g.end[2] < g.start[2]
    ]
    assert all(leg.end[2] >= LARGEST for leg in sunk if leg.operation == "outside"), "slopes beside its tabs"


@pytest.mark.parametrize(("direction", "sense"), [("climb", -1), ("conventional", 1)])
def test_climb_milling_runs_clockwise_round_a_part_and_counter_clockwise_in_a_hole(
    direction: str, sense: int
) -> None:
    """The spindle turns clockwise seen from above; with the wood on the right of the feed the teeth
    come down on it in the direction of its motion past the bit: climb milling."""
    plate = panel("plate", rectangle(0, 0, 300, 200), holes=(circle((150, 100), 8).cw(),))
    done = one(plate, entries=Entries(math.radians(5), direction=direction))  # type: ignore[arg-type]
    for kind, way in (("outside", sense), ("hole", -sense)):
        bottom = [g for g in everything(done) if g.operation == kind and g.start[2] == g.end[2] == -0.5]
        area = sum(
            p[0] * q[1] - q[0] * p[1]
            for g in bottom
            for p, q in zip(g.points(), g.points()[1:], strict=False)
        )
        assert area * way > 0


def test_the_bit_never_sinks_faster_than_it_may_plunge(done: Work) -> None:
    for leg in everything(done):
        if leg.move.feed is not None and leg.end[2] < leg.start[2]:
            run = math.dist(leg.start[:2], leg.end[:2]) if leg.move.kind == "line" else leg_length(leg)
            drop = leg.start[2] - leg.end[2]
            assert leg.move.feed * drop / math.hypot(run, drop) <= 900.0 + 0.5
    assert max(leg.move.feed or 0.0 for leg in everything(done)) == 3600.0


def leg_length(leg: Leg) -> float:
    points = [p[:2] for p in leg.points()]
    return sum(math.dist(a, b) for a, b in zip(points, points[1:], strict=False))


def test_coordinates_have_four_decimals_and_arcs_agree_with_themselves(done: Work) -> None:
    """GCD-2: NIST RS274/NGC v3 §3.5.3 allows 0.002 mm between an arc's two radii."""
    for leg in everything(done):
        m = leg.move
        assert all(round(v, 4) == v for v in (m.x, m.y, m.z, m.i, m.j))
        if m.kind in ("cw", "ccw"):
            c = (leg.start[0] + m.i, leg.start[1] + m.j)
            radii = math.dist(c, leg.start[:2]), math.dist(c, leg.end[:2])
            assert abs(radii[0] - radii[1]) < 0.0005
            assert 0.01 <= radii[0] <= 5000.0


def test_no_move_goes_nowhere(done: Work) -> None:
    assert all(leg.start != leg.end for leg in everything(done) if leg.move.kind != "rapid")


def test_the_moves_run_on_without_a_jump(done: Work) -> None:
    """A feed move of an operation starts where the one before it ended, arcs on their circle."""
    for leg in everything(done):
        if leg.move.kind in ("cw", "ccw"):
            end = leg.points()[-1]
            assert end == pytest.approx(leg.end, abs=1e-3)
