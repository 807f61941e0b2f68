# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Pockets that run out of a part are cut beyond its edge, and walls stay where they are."""

from __future__ import annotations

import shapely

from flatwright.bits.open_pocket import opened
from flatwright.geometry.carve import carved
from flatwright.geometry.outline import circle, polygon_outline, rectangle
from flatwright.geometry.polygon import polygon
from support.geometry import assert_close

PLATE = rectangle(0, 0, 300, 200)


def test_a_closed_pocket_stays_as_it_is() -> None:
    pocket = rectangle(100, 20, 118, 180).cw()
    assert opened(pocket, PLATE, [], 4.0) is pocket


def test_a_housing_right_across_runs_out_at_both_ends() -> None:
    out = opened(rectangle(100, 0, 118, 200).cw(), PLATE, [], 4.0)
    assert out.bounds() == (100, -4, 118, 204)
    assert out.area() < 0


def test_a_rabbet_along_an_edge_runs_out_on_three_sides_and_round_the_corners() -> None:
    out = opened(rectangle(0, 0, 300, 9).cw(), PLATE, [], 4.0)
    assert_close(out.bounds(), (-4, -4, 304, 9))
    grown = polygon(PLATE).buffer(4.0, quad_segs=256).intersection(shapely.box(-9, -9, 309, 9))
    assert_close(polygon(out.ccw()), grown, 0.01)


def test_a_slanted_wall_is_run_out_straight_on() -> None:
    """So that the bit clears the corner between wall and edge."""
    slanted = polygon_outline([(100, 0), (140, 0), (120, 60), (100, 60)]).cw()
    out = polygon(opened(slanted, PLATE, [], 4.0).ccw())
    assert out.covers(shapely.Point(140 + 4 / 3 - 0.01, -3.99)), "the wall's line goes on outside"
    assert_close(out.intersection(polygon(PLATE)), polygon(slanted.ccw()), 1e-9)


def test_half_an_open_edge() -> None:
    """The part's edge ends in a step in the middle of the pocket's end."""
    stepped = polygon_outline([(0, 0), (110, 0), (110, -30), (300, -30), (300, 200), (0, 200)])
    out = opened(rectangle(100, 0, 118, 150).cw(), stepped, [], 4.0)
    assert polygon(out.ccw()).covers(shapely.Point(105, -3.9))
    assert not polygon(out.ccw()).covers(shapely.Point(114, -0.5)), "there the end is a wall"


def test_an_edge_on_a_hole_is_open_if_the_hole_has_room() -> None:
    wide, narrow = (rectangle(118, 50, x, 100).cw() for x in (140, 121))
    pocket = rectangle(60, 50, 118, 100).cw()
    assert opened(pocket, PLATE, [wide], 4.0).bounds()[2] == 122
    assert opened(pocket, PLATE, [narrow], 4.0).bounds()[2] == 118


def test_an_edge_that_a_corner_relief_took_the_wood_from_is_open() -> None:
    """A tail half as thick as the part: the relief at its shoulder begins inside the pocket."""
    tail = polygon_outline([(0, 0), (100, 0), (100, 200), (0, 200), (0, 120), (-40, 120), (-40, 80), (0, 80)])
    pocket = rectangle(-40, 80, 0, 120).cw()
    relieved = carved(tail, [circle((-3, 120), 3), circle((-3, 80), 3)])[0]
    plain, beside = (polygon(opened(pocket, o, [], 4.0).ccw()) for o in (tail, relieved))
    assert_close(plain.bounds, (-44, 76, 0, 124))
    assert_close(beside.bounds, plain.bounds)
    assert_close(beside, plain, 1e-6)


def test_a_pocket_over_the_whole_face_runs_out_all_round() -> None:
    out = opened(PLATE.cw(), PLATE, [], 4.0)
    assert_close(out.bounds(), (-4, -4, 304, 204))
