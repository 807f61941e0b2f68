# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Panels as solids: volumes by Green's theorem, exact arcs, places."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from flatwright.geometry.outline import Outline, circle, polygon_outline, rectangle
from flatwright.plan import Panel, Placement, Pocket, placed
from support.plans import THICKNESS, shelf, side

pytestmark = pytest.mark.usefixtures("app")


def flat_solid(panel: Panel) -> Any:
    from flatwright.host.shapes import flat_solid

    return flat_solid(panel)


def expected_volume(panel: Panel) -> float:
    """Area of the outline less the holes (which count negative), times the thickness, less the pockets."""
    area = panel.outline.area() + sum(h.area() for h in panel.holes)
    return area * panel.thickness + sum(p.outline.area() * p.depth for p in panel.pockets)


@pytest.mark.parametrize("panel", [shelf(), side()], ids=lambda p: p.name)
def test_the_volume_is_that_of_the_outline(panel: Panel) -> None:
    solid = flat_solid(panel)
    assert solid.ShapeType == "Solid"
    assert solid.isValid()
    assert solid.Volume == pytest.approx(expected_volume(panel), rel=1e-9)


def test_arcs_stay_arcs() -> None:
    import Part

    surfaces = [f.Surface for f in flat_solid(shelf()).Faces]
    radii = sorted(round(s.Radius, 9) for s in surfaces if isinstance(s, Part.Cylinder))
    assert radii == [12, 12, 17.5, 17.5, 30, 30]


def test_pockets_are_sunk_from_their_own_face() -> None:
    floors = {
        round(f.CenterOfMass.z, 6): round(f.normalAt(0, 0).z)
        for f in flat_solid(shelf()).Faces
        if f.BoundBox.ZLength < 1e-6
    }
    assert floors == {0.0: -1, THICKNESS: 1, round(THICKNESS - 6, 6): 1, 12.0: -1}


@pytest.mark.parametrize("side_", ["+n", "-n"])
def test_a_groove_may_run_out_through_the_edges(side_: Any) -> None:
    board = replace(side(), pockets=(Pocket(rectangle(100, 0, 118, 150).cw(), 6, side_),))
    solid = flat_solid(board)
    assert solid.isValid()
    assert solid.Volume == pytest.approx(300 * 150 * THICKNESS - 18 * 150 * 6)


def test_the_way_that_loops_wind_does_not_matter() -> None:
    turned = replace(shelf(), outline=shelf().outline.cw(), holes=tuple(h.ccw() for h in shelf().holes))
    assert flat_solid(turned).Volume == pytest.approx(flat_solid(shelf()).Volume)


@pytest.mark.parametrize(
    ("outline", "holes"),
    [
        (polygon_outline([(0, 0), (100, 100), (100, 0), (0, 90)]), ()),
        (rectangle(0, 0, 100, 100), (rectangle(50, 50, 80, 150),)),
        (rectangle(0, 0, 100, 100), (circle((50, 50), 10), circle((55, 50), 10))),
    ],
    ids=["bow tie", "hole across the edge", "holes across each other"],
)
def test_crossing_loops_make_no_solid(outline: Outline, holes: tuple[Outline, ...]) -> None:
    with pytest.raises(ValueError, match=r"cross|no face"):
        flat_solid(replace(side(), outline=outline, holes=holes))


def test_a_panel_stands_at_its_frame() -> None:
    from flatwright.host.shapes import panel_solid

    panel = shelf()
    solid = panel_solid(panel)
    corners = {tuple(round(c, 6) for c in v.Point) for v in solid.Vertexes}
    for height in (0.0, panel.thickness):
        for p in panel.frame.to_space(panel.outline.points, height):
            assert tuple(round(float(c), 6) for c in p) in corners


def test_equal_panels_share_one_geometry_and_others_do_not() -> None:
    from flatwright.host.shapes import panel_solid

    panel = shelf()
    there = replace(panel, name="there", frame=panel.frame.shifted(100.0))
    wider = replace(panel, outline=Outline(panel.outline.points * 1.0000001, panel.outline.bulges))
    one, two = panel_solid(panel), panel_solid(there)
    assert one.isPartner(two)
    away = two.BoundBox.Center - one.BoundBox.Center
    assert (away.x, away.y, away.z) == pytest.approx(tuple(100.0 * panel.frame.n), abs=1e-9)
    for other in (replace(panel, thickness=panel.thickness + 1e-7), wider):
        assert not one.isPartner(panel_solid(other))


@pytest.mark.parametrize("flipped", [False, True])
@pytest.mark.parametrize("angle", [0.0, 90.0, 33.0])
def test_a_laid_panel_covers_what_the_plan_says(flipped: bool, angle: float) -> None:
    """The host's solid and the plan's outline are two ways to the same place."""
    from flatwright.host.shapes import laid_placement

    panel, placement = shelf(), Placement("Shelf", 500.0, 300.0, angle, flipped)
    solid = flat_solid(panel)
    solid.Placement = laid_placement(placement, panel.thickness)
    b = solid.BoundBox
    assert (b.ZMin, b.ZMax) == pytest.approx((0.0, THICKNESS), abs=1e-6)
    tops = np.array([[v.X, v.Y] for v in solid.Vertexes if abs(v.Z - THICKNESS) < 1e-6])
    for outline in (panel.outline, *panel.holes):
        for p in placed(outline, placement).points:
            assert np.min(np.linalg.norm(tops - p, axis=1)) < 1e-6
    # the pocket of the face that lies up opens upwards
    open_up = panel.pockets[1 if flipped else 0]
    floor = THICKNESS - open_up.depth
    flat = [f for f in solid.Faces if f.BoundBox.ZLength < 1e-6]
    assert any(abs(f.BoundBox.ZMin - floor) < 1e-6 and f.normalAt(0, 0).z > 0.9 for f in flat)


def test_area_of_a_rounded_rectangle_gives_the_volume() -> None:
    """GEO-12: ab − (4−π)r²; 100×60, r 10 -> 5914.1593 (source: elementary, checked there with shapely)."""
    b = math.tan(math.pi / 8)
    points = [(10, 0), (90, 0), (100, 10), (100, 50), (90, 60), (10, 60), (0, 50), (0, 10)]
    rounded = Outline(points, [0, b, 0, b, 0, b, 0, b])
    solid = flat_solid(replace(side(), outline=rounded))
    assert solid.Volume == pytest.approx(5914.1593 * THICKNESS, rel=1e-7)
