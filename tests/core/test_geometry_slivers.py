# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Loops that share an arc: their chords differ along it and must not feign wood between them."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import box

from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import Outline, circle, from_segments, rectangle
from flatwright.geometry.polygon import parts, region
from flatwright.joints.collide import collisions
from flatwright.joints.relief import relieve
from flatwright.joints.relief_place import Covers, Mate
from flatwright.plan import Panel
from flatwright.presets.model import ReliefRules
from support.pieces import board


def groove_into_a_hole() -> tuple[Outline, Outline]:
    """A hole of radius 25 about (150, 12), and a groove 18 wide that runs into it off its middle."""
    r, x, y = 25.0, 150.0, 12.0
    low, high = (x - math.sqrt(r * r - (v - y) ** 2) for v in (0.0, 18.0))
    sweep = math.asin((18.0 - y) / r) + math.asin(y / r)
    edge = Segment((high, 18.0), (low, 0.0), math.tan(sweep / 4))
    corners = [(low, 0.0), (0.0, 0.0), (0.0, 18.0), (high, 18.0)]
    groove = from_segments([*(Segment(a, b) for a, b in zip(corners, corners[1:], strict=False)), edge])
    return circle((x, y), r).cw(), groove


def side() -> Panel:
    hole, groove = groove_into_a_hole()
    return board("side", rectangle(0, -200, 300, 200), holes=[hole], pockets=[(groove, 6.0, "+n")])


def test_there_is_no_wood_between_a_hole_and_a_groove_that_runs_into_it() -> None:
    hole, groove = groove_into_a_hole()
    (wood,) = parts(region(rectangle(0, -200, 300, 200), [hole, groove]))
    assert wood.area == pytest.approx(300 * 400 - hole.ccw().area() - groove.ccw().area(), abs=0.5)


def test_a_shelf_in_a_housing_that_runs_into_a_round_hole_meets_nothing() -> None:
    shelf = board("shelf", rectangle(0, 0, 160, 200), origin=(0, 17.9, 12.1), n=(0, -1, 0), t=17.8)
    assert collisions([side(), shelf]) == []
    done = relieve(side(), [Mate(box(0, 0.1, 160, 17.9), 12.1, 18.0)], Covers(), [3.0] * 3, ReliefRules())
    assert done.reliefs == () and done.findings == ()
