# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Screw zones and points: clear of every bit, within reach of every part."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.ops import polylabel

from flatwright.geometry.outline import rectangle
from flatwright.holding.depths import Depths, candidate_points
from flatwright.holding.moved import kept_screws, same_layout
from flatwright.holding.screws import check_screws, place_screws
from flatwright.holding.still import check_lies_still
from flatwright.holding.zones import screw_zones
from flatwright.plan import Placement, Screw
from flatwright.presets.model import Fasteners, Holding
from support.shopwork import BITS, Work, gone, legs, panel, sheet, shop, trolley, work

CLEAR = 8.5 / 2 + 3.0  # head radius + margin


@pytest.fixture(scope="module")
def done() -> Work:
    return work(*trolley(), shop())


def test_no_bit_comes_near_a_screw_at_any_depth(done: Work) -> None:
    swept = gone((leg for p in done.programs[1:] for leg in legs(p, done.preset)), 100.0)
    assert done.sheet.screws
    for s in done.sheet.screws:
        assert swept.distance(shapely.Point(s.x, s.y)) >= CLEAR
    assert swept.distance(done.zones) >= CLEAR


def test_zones_keep_off_parts_and_the_sheets_edge(done: Work) -> None:
    woods = [done.wood(p.panel) for p in done.sheet.placements]
    assert min(w.distance(done.zones) for w in woods) >= CLEAR
    x0, y0, x1, y1 = done.zones.bounds
    assert (x0, y0, x1, y1) == pytest.approx((CLEAR, CLEAR, 1300 - CLEAR, 750 - CLEAR))


def test_the_drop_of_the_handle_may_take_a_screw(done: Work) -> None:
    """It stays by tabs of its own."""
    assert done.zones.contains(shapely.Point(25 + 570, 50 + 160))


def test_every_part_and_corner_is_in_reach(done: Work) -> None:
    at = shapely.MultiPoint([(s.x, s.y) for s in done.sheet.screws])
    corners = [(0, 0), (1300, 0), (1300, 750), (0, 750)]
    for p in done.sheet.placements:
        corners += list(shapely.get_coordinates(done.wood(p.panel).envelope))
    assert max(at.distance(shapely.Point(c)) for c in corners) <= 500.0 + 5.0
    assert "holding.uncovered" not in done.codes()


def test_positions_are_given_to_a_tenth(done: Work) -> None:
    assert all(round(v, 1) == v for s in done.sheet.screws for v in (s.x, s.y))


def test_a_single_zone_is_used_at_its_deepest_point() -> None:
    """GEO-9: the largest circle in an L of 2a × 2a less a × a has r = a(2 − √2), centred on the diagonal."""
    a = 90.0
    zone = shapely.Polygon(
        [
            (20, 20),
            (20 + 2 * a, 20),
            (20 + 2 * a, 20 + a),
            (20 + a, 20 + a),
            (20 + a, 20 + 2 * a),
            (20, 20 + 2 * a),
        ]
    )
    laid = replace(sheet(size=(220.0, 220.0)))
    (screw,), found = place_screws(laid, zone, {}, shop(), bit=6.0)
    assert found == []
    assert zone.boundary.distance(shapely.Point(screw.x, screw.y)) >= a * (2 - math.sqrt(2)) - 0.1
    assert screw.x == pytest.approx(screw.y, abs=0.2)


def test_the_best_point_of_every_patch_is_near_the_deepest() -> None:
    zones = shapely.MultiPolygon([shapely.box(5, 5, 300, 9.5), shapely.box(50, 40, 130, 71)])
    points, depth = candidate_points((320.0, 80.0), Depths(zones))
    assert depth.max() == pytest.approx(15.5, abs=0.3)
    narrow = points[points[:, 1] < 10]
    assert len(narrow) >= 7, "a strip 4.5 mm wide has a candidate every 40 mm"
    assert np.abs(narrow[:, 1] - 7.25).max() < 0.8


def test_what_no_screw_reaches_is_named_with_the_spacing_that_cures_it() -> None:
    names = [f"part {k}" for k in range(15)]
    laid = sheet(
        *(Placement(n, 25 + 250 * (k % 5), 25 + 237 * (k // 5), 0, False) for k, n in enumerate(names))
    )
    near = replace(shop(), holding=Holding(fasteners=Fasteners(reach=120.0)))
    done = work(laid, {n: panel(n, rectangle(0, 0, 236, 223)) for n in names}, near)
    found = next(f for f in done.findings if f.code == "holding.uncovered")
    assert found.severity == "warning"
    assert "part 7" in found.panels
    assert f"{2 * (6 + CLEAR) + 1:.1f} mm between parts (now 16)" in found.remedy
    assert "edge" not in found.remedy, "25 mm are enough for a screw"


def test_a_screw_dragged_out_of_its_zone_is_an_error(done: Work) -> None:
    assert check_screws(done.sheet, done.zones, done.sheet.screws) == []
    (found,) = check_screws(done.sheet, done.zones, [*done.sheet.screws, Screw(100.0, 52.0)])
    assert (found.code, found.severity) == ("holding.screw-in-path", "error")


def test_a_sheet_smaller_than_the_margins_has_no_zone() -> None:
    tiny = sheet(size=(14.0, 300.0))
    assert screw_zones(tiny, shapely.Polygon(), {}, shop()).is_empty
    assert place_screws(tiny, shapely.Polygon(), {}, shop(), bit=6.0)[0] == ()


def test_without_screws_in_the_method_there_are_none() -> None:
    preset = replace(shop(), holding=Holding(method=("tabs",)))
    assert place_screws(sheet(), shapely.box(0, 0, 100, 100), {}, preset, bit=6.0) == ((), [])


@pytest.mark.parametrize(
    ("size", "thickness", "said"),
    [
        ((2440.0, 1220.0), 17.7, ""),
        ((600.0, 400.0), 17.7, "holds 6 N by friction against 15 N"),
        ((2440.0, 1220.0), 9.1, "9.1 mm thin and may be bowed"),
    ],
)
def test_a_sheet_that_does_not_lie_still_is_pressed_flat(
    size: tuple[float, float], thickness: float, said: str
) -> None:
    """Mass at 680 kg/m³ (THK-7), friction 0.2 (HLD-2), the force of a full slot (MAC-5)."""
    laid = replace(sheet(size=size), thickness=thickness)
    found = check_lies_still(laid, BITS[0], shop())
    assert [f.code for f in found] == (["holding.press-flat"] if said else [])
    assert not found or said in found[0].message


def test_screws_by_hand_belong_to_a_layout() -> None:
    laid, _ = trolley()
    assert same_layout(laid, laid)
    shifted = replace(laid.placements[0], x=laid.placements[0].x + 1.5)
    assert same_layout(laid, replace(laid, placements=(shifted, *laid.placements[1:])))
    for wrong in (
        replace(laid.placements[0], x=laid.placements[0].x + 3.0),
        replace(laid.placements[0], angle=180.0),
        replace(laid.placements[0], flipped=True),
        replace(laid.placements[0], panel="another"),
    ):
        assert not same_layout(laid, replace(laid, placements=(wrong, *laid.placements[1:])))
    assert not same_layout(laid, replace(laid, placements=laid.placements[1:]))
    assert not same_layout(laid, replace(laid, size=(1300.0, 800.0)))


def test_kept_screws_are_checked_and_so_is_what_they_reach(done: Work) -> None:
    woods = {p.panel: done.wood(p.panel) for p in done.sheet.placements}

    def codes(screws: tuple[Screw, ...]) -> list[str]:
        moved = replace(done.sheet, screws=screws)
        return [f.code for f in kept_screws(done.sheet, done.zones, woods, done.preset, 6.0, moved)[1]]

    assert codes(done.sheet.screws) == []
    assert codes(done.sheet.screws[:1]) == ["holding.uncovered"]
    assert codes((*done.sheet.screws, Screw(100.0, 52.0))) == ["holding.screw-in-path"]


@pytest.mark.parametrize("seed", range(6))
def test_one_screw_stands_in_the_middle_of_the_largest_circle(seed: int) -> None:
    """GEO-9: against shapely's maximum_inscribed_circle (polylabel before 2.1), on zones with holes."""
    random = np.random.default_rng(seed)
    zone = shapely.box(0, 0, 300, 200)
    for x, y, r in random.uniform((20, 20, 10), (280, 180, 45), (4, 3)):
        zone = zone.difference(shapely.Point(x, y).buffer(r))
    zone = max(getattr(zone, "geoms", [zone]), key=lambda g: g.area)
    (screw,), _ = place_screws(sheet(size=(300.0, 200.0)), zone, {}, shop(), bit=6.0)
    depth = zone.boundary.distance(shapely.Point(screw.x, screw.y))
    if hasattr(shapely, "maximum_inscribed_circle"):  # from shapely 2.1 on
        exact = shapely.maximum_inscribed_circle(zone, tolerance=0.01).length
    else:
        exact = zone.boundary.distance(polylabel(zone, tolerance=0.01))
    assert depth == pytest.approx(exact, rel=0.005), "positions are given to a tenth of a mm"


def test_in_an_l_it_stands_on_the_diagonal() -> None:
    """GEO-9: an L of 60 by 60 less 30 by 30 holds a circle of 30(2 - sqrt 2) = 17.57359 there."""
    zone = shapely.box(0, 0, 60, 60).difference(shapely.box(30, 30, 60, 60))
    (screw,), _ = place_screws(sheet(size=(60.0, 60.0)), zone, {}, shop(), bit=6.0)
    assert zone.boundary.distance(shapely.Point(screw.x, screw.y)) == pytest.approx(17.57359, abs=0.1)
    assert screw.x == pytest.approx(screw.y, abs=0.1)


def test_the_count_is_near_the_exact_minimum_over_a_fine_grid() -> None:
    """The fewest screws by integer programming over every point of a 10 mm grid in the zones: at most 10 %
    fewer than ours, whose candidates are one for each patch of 40 mm."""
    optimize = pytest.importorskip("scipy.optimize")
    near = replace(shop(), holding=Holding(fasteners=Fasteners(reach=330.0)))
    done = work(*trolley(), near)
    assert "holding.uncovered" not in done.codes()
    gx, gy = np.meshgrid(np.arange(5.0, 1300.0, 10.0), np.arange(5.0, 750.0, 10.0))
    grid = np.stack([gx.ravel(), gy.ravel()], axis=1)
    grid = grid[shapely.contains_xy(done.zones, grid[:, 0], grid[:, 1])]
    targets = [(0.0, 0.0), (1300.0, 0.0), (1300.0, 750.0), (0.0, 750.0)]
    for p in done.sheet.placements:
        wood = done.wood(p.panel)
        hull = wood.convex_hull.simplify(5.0)
        targets += [*shapely.get_coordinates(hull).tolist(), (wood.centroid.x, wood.centroid.y)]
    gaps = np.linalg.norm(grid[:, None] - np.array(targets)[None], axis=2)
    reach = optimize.LinearConstraint((gaps <= 330.0).T.astype(float), lb=1)
    exact = optimize.milp(np.ones(len(grid)), integrality=1, bounds=optimize.Bounds(0, 1), constraints=reach)
    assert exact.success
    assert len(done.sheet.screws) <= max(1.1 * round(exact.fun), round(exact.fun))
