# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A sheet turned over: every part, screw and pin lies where the mirror image says."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import scale

from flatwright.geometry.outline import polygon_outline
from flatwright.geometry.polygon import polygon
from flatwright.plan import Axis, Flip, Pin, Placement, Screw, Sheet, Tab, placed
from flatwright.turned import mirrored_region, turned

SIZE = (900.0, 600.0)
SHAPE = polygon_outline([(0, 0), (120, 0), (120, 30), (60, 30), (60, 80), (0, 80)])
PLACES = st.builds(
    Placement,
    st.just("part"),
    st.floats(0, 900).map(lambda v: round(v, 3)),
    st.floats(0, 600).map(lambda v: round(v, 3)),
    st.sampled_from((0.0, 90.0, 180.0, 270.0, 33.25)),
    st.booleans(),
)


def sheet(p: Placement) -> Sheet:
    tab = Tab("part", 50.0, 20.0, 0.0, 10.0, 6.0)
    return Sheet("sheet-1", "ply", 18.0, SIZE, placements=(p,), tabs=(tab,), screws=(Screw(40.0, 25.0),))


def about(axis: Axis, shape: shapely.Geometry) -> shapely.Geometry:
    """The mirror image about the sheet's middle line, by shapely."""
    middle = (SIZE[0] / 2, SIZE[1] / 2)
    return scale(shape, 1, -1, origin=middle) if axis == "x" else scale(shape, -1, 1, origin=middle)


@given(PLACES, st.sampled_from(get_args(Axis)))
def test_parts_lie_where_the_mirror_image_does(p: Placement, axis: Axis) -> None:
    (other,) = turned(sheet(p), axis).placements
    assert other.flipped != p.flipped, "the other face is up"
    expected = about(axis, polygon(placed(SHAPE, p).ccw()))
    assert polygon(placed(SHAPE, other).ccw()).symmetric_difference(expected).area < 1e-3


@given(PLACES, st.sampled_from(get_args(Axis)))
def test_turned_twice_is_as_before(p: Placement, axis: Axis) -> None:
    once = sheet(p)
    again = turned(turned(once, axis), axis)
    (q,) = again.placements
    assert (q.x, q.y, q.flipped) == pytest.approx((p.x, p.y, p.flipped))
    assert (q.angle - p.angle) % 360.0 == pytest.approx(0.0, abs=1e-6)
    assert again.screws == once.screws


@pytest.mark.parametrize("axis", get_args(Axis))
def test_screws_and_pins_are_mirrored_and_no_tab_stands_yet(axis: Axis) -> None:
    flip = Flip(axis, (Pin(10.0, 200.0), Pin(30.0, 50.0)), 8.0, 6.0)
    lying = turned(replace(sheet(Placement("part", 0, 0, 0, False)), flip=flip), axis)
    assert lying.tabs == ()
    assert lying.flip is not None
    places = [(40.0, 25.0), (10.0, 200.0), (30.0, 50.0)]
    expected = [about(axis, shapely.Point(p)).coords[0] for p in places]
    found = [(w.x, w.y) for w in (*lying.screws, *lying.flip.pins)]
    assert np.allclose(found, expected)


@pytest.mark.parametrize("axis", get_args(Axis))
def test_regions_are_mirrored_alike(axis: Axis) -> None:
    region = shapely.Polygon([(0, 0), (120, 0), (0, 80)])
    assert mirrored_region(region, SIZE, axis).symmetric_difference(about(axis, region)).area < 1e-6
