# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reliefs, fillets and areas against closed forms: GEO-1 … GEO-6, GEO-11 … GEO-13.

The sources are elementary trigonometry and Green's theorem; the numbers are the catalogue's.
"""

from __future__ import annotations

import math

import pytest
import shapely

from flatwright.geometry.arcs import intersections
from flatwright.geometry.corners import Corner, concave_corners, unreached
from flatwright.geometry.outline import Outline, circle, polygon_outline, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.geometry.relief_shapes import ReliefKind, ReliefShape, relief

R = 3.0


def corner_of(degrees: float) -> Corner:
    """The inside corner of that opening of a void between two long edges, at the origin."""
    a = math.radians(degrees)
    void = polygon_outline([(0, 0), (60, 0), (60 * math.cos(a), 60 * math.sin(a))])
    return next(c for c in concave_corners(void.cw()) if math.hypot(*c.at) < 1e-9)


def relief_of(degrees: float, kind: ReliefKind = "dog-bone") -> ReliefShape:
    a = math.radians(degrees)
    void = polygon_outline([(0, 0), (60, 0), (60 * math.cos(a), 60 * math.sin(a))])
    return relief(corner_of(degrees), kind, R, void.cw())


def beyond(degrees: float, kind: ReliefKind) -> float:
    """Area that the relief's circle takes beyond the two edges."""
    a = math.radians(degrees)
    shape = relief_of(degrees, kind)
    disc = shapely.Point(shape.centre).buffer(R, quad_segs=4096)
    wedge = shapely.Polygon([(0, 0), (60, 0), (60, 60), (60 * math.cos(a), 60 * math.sin(a))])
    return float(disc.difference(wedge).area)


def test_dog_bone_centre() -> None:
    """GEO-1: the centre lies on the bisector at r: r/√2 = 2.12132 in x and y for 90°."""
    shape = relief_of(90)
    assert shape.centre == pytest.approx((2.12132, 2.12132), abs=1e-5)
    assert math.hypot(*shape.centre) == pytest.approx(R)


@pytest.mark.parametrize(("degrees", "area"), [(60, 11.0553), (90, 5.13717), (120, 1.63055)])
def test_dog_bone_takes(degrees: float, area: float) -> None:
    """GEO-2: r²((π − θ) − sin(π − θ))."""
    assert beyond(degrees, "dog-bone") == pytest.approx(area, abs=2e-4)


@pytest.mark.parametrize(("degrees", "length"), [(60, 5.19615), (90, 4.24264), (120, 3.0)])
def test_dog_bone_consumes_edge(degrees: float, length: float) -> None:
    """GEO-3: 2 r cos(θ/2)."""
    disc = circle(relief_of(degrees).centre, R).segments()
    corner = corner_of(degrees)
    for edge in (corner.before.reversed(), corner.after):
        ends = [edge.at(a) for s in disc for a, _ in intersections(edge, s)]
        assert max(math.hypot(*p) for p in ends) == pytest.approx(length, abs=1e-5)


def test_t_bone_takes_half_a_disc_from_one_side() -> None:
    """GEO-4: πr²/2 = 14.13717."""
    assert beyond(90, "T-bone out") == pytest.approx(14.13717, abs=2e-4)
    assert beyond(90, "T-bone in") == pytest.approx(14.13717, abs=2e-4)


@pytest.mark.parametrize(("degrees", "area"), [(60, 6.16368), (90, 1.93142), (120, 0.48376)])
def test_fillet_left_by_a_round_bit(degrees: float, area: float) -> None:
    """GEO-5: r²(cot(θ/2) − (π − θ)/2)."""
    fillet = shapely.Polygon(unreached(corner_of(degrees), R, steps=4096))
    assert fillet.area == pytest.approx(area, abs=2e-5)


@pytest.mark.parametrize(("degrees", "distance"), [(90, 1.24264), (60, 3.0), (120, 0.46410)])
def test_unreached_distance_at_the_vertex(degrees: float, distance: float) -> None:
    """GEO-6: r(1/sin(θ/2) − 1)."""
    points = unreached(corner_of(degrees), R, steps=2048)
    assert min(math.hypot(*p) for p in points[2:-1]) == pytest.approx(distance, abs=1e-5)


def test_dog_bone_clears_the_whole_fillet() -> None:
    """GEO-14: what the bit cannot reach lies inside the relief."""
    for degrees in (60, 90, 120):
        shape = relief_of(degrees)
        disc = shapely.Point(shape.centre).buffer(R + 1e-6, quad_segs=4096)
        assert disc.covers(shapely.Polygon(unreached(corner_of(degrees), R)))


def test_rounded_rectangle() -> None:
    """GEO-12: area 5914.1593 and perimeter 302.8319 of 100 × 60 with r 10."""
    q = math.tan(math.pi / 8)
    loop = [
        (10, 0, 0),
        (90, 0, q),
        (100, 10, 0),
        (100, 50, q),
        (90, 60, 0),
        (10, 60, q),
        (0, 50, 0),
        (0, 10, q),
    ]
    outline = Outline([p[:2] for p in loop], [p[2] for p in loop])  # type: ignore[arg-type]
    assert outline.area() == pytest.approx(5914.1593, abs=5e-5)
    assert outline.length() == pytest.approx(302.8319, abs=5e-5)
    assert polygon(outline, tolerance=1e-5).area == pytest.approx(5914.1593, abs=2e-2)


def test_disc_by_green() -> None:
    """GEO-13: a disc of r 3 has 28.27433."""
    assert circle((7, -2), 3).area() == pytest.approx(28.27433, abs=5e-6)
    assert circle((7, -2), 3).reversed().area() == pytest.approx(-28.27433, abs=5e-6)
    assert rectangle(0, 0, 4, 3).area() == 12.0


@pytest.mark.parametrize(("r", "chords", "sagitta"), [(3.0, 39, 0.00973), (50.0, 158, 0.00988)])
def test_geo_11_chords_of_a_circle(r: float, chords: int, sagitta: float) -> None:
    """n >= π / acos(1 - tolerance / R) at a tolerance of 0.01 mm; our circles are two half turns."""
    assert chords == math.ceil(math.pi / math.acos(1.0 - 0.01 / r))
    assert r * (1.0 - math.cos(math.pi / chords)) == pytest.approx(sagitta, abs=5e-6)
    points = [p for s in circle((0.0, 0.0), r).segments() for p in s.flattened(0.01)]
    assert len(points) == 2 * math.ceil(chords / 2)
    ends = [*points[1:], points[0]]
    far = max(r - math.hypot((p[0] + q[0]) / 2, (p[1] + q[1]) / 2) for p, q in zip(points, ends, strict=True))
    assert far <= 0.01
