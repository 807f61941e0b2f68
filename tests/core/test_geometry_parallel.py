# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tool-centre curves against shapely's buffer, another kernel for the same thing."""

from __future__ import annotations

import math

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st

from flatwright.geometry.arcs import Segment
from flatwright.geometry.carve import carved
from flatwright.geometry.corners import concave_corners
from flatwright.geometry.outline import Outline, circle, polygon_outline, rectangle
from flatwright.geometry.parallel import closed_loops, parallel
from flatwright.geometry.polygon import polygon, ring
from flatwright.geometry.relief_shapes import relief


@st.composite
def stars(draw: st.DrawFn) -> Outline:
    """Star-shaped outlines of lines and shallow arcs."""
    n = draw(st.integers(4, 12))
    radii = draw(st.lists(st.integers(20, 60), min_size=n, max_size=n))
    bulges = draw(st.lists(st.sampled_from([0.0, 0.0, 0.3, -0.25]), min_size=n, max_size=n))
    angles = [2 * math.pi * k / n for k in range(n)]
    points = [(r * math.cos(a), r * math.sin(a)) for r, a in zip(radii, angles, strict=True)]
    outline = Outline(np.array(points), np.array(bulges))
    if not shapely.Polygon(ring(outline, 1e-3)).is_valid:
        return polygon_outline(points)
    return outline


def enclosed(loops: list[Outline]) -> shapely.Geometry:
    return shapely.union_all([polygon(o.ccw(), tolerance=1e-4) for o in loops])


@given(stars(), st.sampled_from([1.0, 3.0, 6.35]))
def test_outside_curve_is_the_buffer(outline: Outline, r: float) -> None:
    expected = polygon(outline, tolerance=1e-4).buffer(r, quad_segs=256)
    assert enclosed(parallel(outline, r)).symmetric_difference(expected).area < 0.5


@given(stars(), st.sampled_from([1.0, 3.0, 6.35]))
def test_inside_curve_is_the_inward_buffer(outline: Outline, r: float) -> None:
    expected = polygon(outline, tolerance=1e-4).buffer(-r, quad_segs=256)
    found = parallel(outline.reversed(), r)
    if expected.area > 1.0:
        assert enclosed(found).symmetric_difference(expected).area < 0.5
    assert all(o.area() < 0 for o in found if abs(o.area()) > 1e-6), "curves run in the loop's sense"


def test_a_slot_as_wide_as_the_bit_is_run_out_and_back() -> None:
    (there,) = parallel(rectangle(0, 0, 40, 6).reversed(), 3.0)
    assert sorted(s.length for s in there.segments()) == [34.0, 34.0]


def test_no_curve_where_the_bit_does_not_fit() -> None:
    assert parallel(rectangle(0, 0, 40, 5).reversed(), 3.0) == []
    assert parallel(circle((0, 0), 3.0).reversed(), 3.0) == []


def test_a_relief_of_the_bits_own_radius_is_reached_to_its_centre() -> None:
    """The relief's arc shrinks to a point; the curve runs out to it and back."""
    slot = rectangle(0, 0, 40, 18).reversed()
    shapes = [relief(c, "dog-bone", 3.0, slot) for c in concave_corners(slot)]
    (curve,) = parallel(carved(slot, [s.outline() for s in shapes])[0], 3.0)
    centres = np.array([s.centre for s in shapes])
    for c in centres:
        assert np.hypot(*(curve.points - c).T).min() < 1e-6
    arcs = [s for s in curve.segments() if not s.is_line]
    assert len(arcs) == 8
    assert all(abs(s.radius - 3.0) < 1e-6 for s in arcs)


def test_a_way_exactly_as_wide_as_the_bit_is_run_out_and_back() -> None:
    """The way into the relief of a sharp corner belongs to the curve round the hole."""
    sharp = polygon_outline([(0, 0), (80, 0), (70, 40)]).cw()
    shapes = [relief(c, "dog-bone", 3.0, sharp) for c in concave_corners(sharp)]
    assert all(s.way is not None for s in shapes)
    (curve,) = parallel(carved(sharp, [s.outline() for s in shapes])[0], 3.0)
    for s in shapes:
        assert np.hypot(*(curve.points - s.centre).T).min() < 1e-6


def test_pieces_are_exact_lines_and_arcs() -> None:
    (curve,) = parallel(rectangle(0, 0, 100, 60), 3.0)
    assert len(curve) == 8
    assert {round(s.radius, 9) for s in curve.segments() if not s.is_line} == {3.0}


def test_a_segment_measures_like_its_polygon() -> None:
    s = Segment((1.0, 0.0), (0.0, 1.0), math.tan(math.pi / 8))
    assert abs(s.length - math.pi / 2) < 1e-12
    assert abs(s.distance((2.0, 2.0)) - (math.sqrt(8) - 1)) < 1e-12


def test_a_chain_of_no_extent_is_no_loop() -> None:
    """A reversed arc left two pieces of 5e-7 mm (torsion box, boards of 17.715 mm)."""
    there, back = Segment((1.0, 2.0), (1.0 + 5e-7, 2.0)), Segment((1.0 + 5e-7, 2.0), (1.0, 2.0))
    assert closed_loops([there, back]) == []


@given(stars(), st.sampled_from([0.5, 0.01, 1e-4]))
def test_a_loop_is_flattened_as_its_segments_are(outline: Outline, tolerance: float) -> None:
    one_by_one = [p for s in outline.segments() for p in s.flattened(tolerance)]
    assert np.allclose(ring(outline, tolerance), one_by_one, rtol=0, atol=1e-9)
