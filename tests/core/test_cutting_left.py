# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the programs of a whole sheet leave: the parts as planned, nothing more, nothing loose."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.outline import rectangle
from flatwright.geometry.polygon import polygon
from flatwright.plan import Pocket, placed
from flatwright.presets.model import Entries, Holding, Machine, Tabs
from support import planned_work
from support.shopwork import LARGEST, THICK, Leg, Work, gone, legs, shop, trolley, work

SHOPS = {
    "climb, sloped tabs": shop(),
    "conventional": replace(shop(), entries=Entries(math.radians(5), direction="conventional")),
    "square tabs": replace(shop(), holding=Holding(tabs=Tabs(ends="square"))),
    "zero on the board": replace(
        shop(), machine=Machine(zero="board top", park=(0, 700), bit_change="automatic")
    ),
    "compression": shop((shop().bits[1], shop().bits[3])),
    "finish allowance": replace(
        shop(), entries=Entries(math.radians(5), finish_allowance=0.3, lead_radius=4.0)
    ),
}


@pytest.fixture(scope="module", params=SHOPS, ids=str)
def done(request: pytest.FixtureRequest) -> Work:
    return work(*trolley(), SHOPS[request.param])


def cutting(done: Work) -> list[Leg]:
    lift = 0.0 if done.preset.machine.zero == "bed" else THICK
    return [leg for p in done.programs if p.kind == "cut" for leg in legs(p, done.preset, lift)]


@cache
def gone_at(done: Work, z: float) -> BaseGeometry:
    """What the cutting programs have taken away at height z."""
    return gone(cutting(done), z)


def opened(shape: BaseGeometry, r: float = 3.0) -> BaseGeometry:
    """What a bit of that radius can clear of a shape."""
    return shape.buffer(-r + 1e-3, quad_segs=64).buffer(r, quad_segs=64)


def tab_places(done: Work) -> BaseGeometry:
    """Generous boxes about the tabs and their slopes."""
    return shapely.union_all([shapely.Point(t.x, t.y).buffer(22) for t in done.sheet.tabs])


def test_there_is_nothing_to_say(done: Work) -> None:
    assert done.findings == ()


def test_no_part_is_gouged_at_any_height(done: Work) -> None:
    for p in done.sheet.placements:
        wood = done.wood(p.panel).buffer(-0.01)
        floors = [
            (THICK - q.depth, opened(polygon(placed(q.outline, p).ccw()).buffer(5.0)).buffer(0.01))
            for q in done.panels[p.panel].pockets
        ]
        for z in (-0.5, 0.0, 6.0, 11.6, 11.71, THICK):
            allowed = shapely.union_all([area for floor, area in floors if floor <= z])
            assert gone_at(done, z).intersection(wood).difference(allowed).area < 0.01, f"{p.panel} at {z}"


def test_every_part_is_free_but_for_its_tabs(done: Work) -> None:
    through, over_tabs = gone_at(done, 0.0), gone_at(done, THICK / 3 + 1e-3)
    for p in done.sheet.placements:
        part = polygon(placed(done.panels[p.panel].outline, p))
        with_fillets = part.buffer(3.0, quad_segs=64).buffer(-3.0 + 0.03, quad_segs=64)
        kerf = part.buffer(5.95, quad_segs=64).difference(with_fillets)
        assert kerf.difference(through).difference(tab_places(done)).buffer(-0.03).is_empty
        assert kerf.difference(over_tabs).buffer(-0.03).is_empty, "above the tabs all is cut"


def test_holes_are_open_and_hold_no_loose_piece(done: Work) -> None:
    gone_through = gone_at(done, 0.0)
    for p in done.sheet.placements:
        for hole in done.panels[p.panel].holes:
            void = polygon(placed(hole, p).ccw())
            left = opened(void).difference(gone_through).buffer(-0.03)
            loose = [x for x in getattr(left, "geoms", [left]) if not x.is_empty]
            if void.area < 10_000:
                assert loose == [], "milled to chips"
            else:
                (drop,) = loose
                assert drop.area > 10_000, "the handle's drop stays in one piece, on its tabs"


def test_pockets_have_their_depth_and_no_island(done: Work) -> None:
    floor = THICK - 6.0
    at, just_below = gone_at(done, floor + 1e-3), gone_at(done, floor - 1e-3)
    p = done.sheet.placements[0]
    for q in done.panels["side"].pockets:
        region = polygon(placed(q.outline, p).ccw())
        assert opened(region).difference(at).buffer(-0.03).is_empty
        inner = region.buffer(-1).intersection(done.wood("side").buffer(-7))
        assert inner.intersection(just_below).is_empty


def test_the_housing_runs_out_over_the_edge_without_a_burr(done: Work) -> None:
    mouth = shapely.box(325.0, 49.0, 342.95, 51.0)  # where the first pocket meets the lower edge
    assert mouth.difference(gone_at(done, THICK - 6.0 + 1e-3)).area < 0.01


def test_a_tab_is_as_long_as_planned_at_its_top_and_longer_at_the_bed(done: Work) -> None:
    """The wood between the two discs along the middle of the kerf."""
    for t in done.sheet.tabs:
        a = math.radians(t.angle)
        part = done.wood(t.panel)
        out = next(
            s for s in (1, -1) if part.distance(shapely.Point(t.x - s * math.sin(a), t.y + s * math.cos(a)))
        )
        x, y = t.x - out * 3.0 * math.sin(a), t.y + out * 3.0 * math.cos(a)
        way = [(x + s * 14 * math.cos(a), y + s * 14 * math.sin(a)) for s in (-1, 1)]
        line = shapely.LineString(way)
        assert line.difference(gone_at(done, t.height + 1e-3)).length < 0.02
        standing = line.difference(gone_at(done, t.height - 0.01)).length
        assert t.length - 0.01 <= standing <= t.length + 0.1
        sloped = done.preset.holding.tabs.ends == "sloped"
        at_bed = line.difference(gone_at(done, 0.0)).length
        if sloped:
            assert at_bed == pytest.approx(t.length + 2 * t.height, abs=0.05)


def test_nothing_cuts_deeper_than_the_overcut(done: Work) -> None:
    assert min(leg.end[2] for leg in cutting(done)) == pytest.approx(-0.5)


def test_no_pass_is_deeper_than_allowed(done: Work) -> None:
    """Where the bit cuts at some depth, everything a pass higher is gone already."""
    moves = [leg for leg in cutting(done) if leg.move.kind != "rapid"]
    deepest = 6.0 + 1e-3
    levels = {round(leg.end[2], 3) for leg in moves if leg.start[2] == leg.end[2]}
    deep = sorted(z for z in levels if z + deepest < LARGEST)
    assert deep[0] == -0.5
    for z in deep:
        assert gone_at(done, z).difference(gone_at(done, z + deepest)).area < 1e-3


def test_ramps_take_no_more_than_a_pass_either() -> None:
    """Ramps of one pass after the other run over each other: a first one that began over the board left
    more than a pass to the second. The board of 17.77 mm and the overcut are three passes of 6.09 mm."""
    whole = planned_work.shop()
    feeds = tuple(replace(f, pass_depth=6.1) for f in whole.feeds)
    done = planned_work.work_of(planned_work.PIECES["through tenon"](), replace(whole, feeds=feeds))
    assert done.codes() == set()


def test_a_pocket_underneath_is_left_to_the_other_set_up() -> None:
    laid, panels = trolley()
    under = Pocket(rectangle(50, 50, 80, 150).cw(), 5.0, "+n")
    panels["shelf 2"] = replace(panels["shelf 2"], pockets=(under,))
    done = work(laid, panels, shop())
    assert not done.codes()
    assert [c for c in done.cuts if c.kind == "pocket" and c.panel == "shelf 2"] == []
