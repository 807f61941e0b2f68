# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Inside corners, and what a round bit leaves of them.

At a vertex where an outline turns right the wood is concave: a bit of radius r leaves a fillet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.outline import Outline

TURN = 1e-3  # sine of the smallest turn that is a corner


@dataclass(frozen=True, slots=True)
class Corner:
    """Vertex `index` of a loop, where the wood is concave. `opening` is the angle of the void, radians;
    `before` and `after` are the edges that meet there."""

    index: int
    at: Point
    opening: float
    before: Segment
    after: Segment

    @property
    def straight(self) -> bool:
        """Both edges are lines."""
        return self.before.is_line and self.after.is_line

    @property
    def square(self) -> bool:
        return abs(self.opening - math.pi / 2) < math.radians(1.0)


def concave_corners(outline: Outline) -> list[Corner]:
    """All vertices where the loop turns right, in order."""
    segs = outline.segments()
    out = []
    for i, after in enumerate(segs):
        before = segs[i - 1]
        (ax, ay), (bx, by) = before.direction(1.0), after.direction(0.0)
        turn = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
        if turn < -TURN:
            out.append(Corner(i, after.p, math.pi + turn, before, after))
    return out


def unreached(corner: Corner, r: float, steps: int = 24) -> list[Point]:
    """The fillet that a bit of radius r leaves: corner, tangent points and arc as a polygon.

    For curved edges the tangents at the corner are taken.
    """
    (ax, ay), (bx, by) = corner.before.direction(1.0), corner.after.direction(0.0)
    half = corner.opening / 2
    reach = r / math.tan(half)
    p = (corner.at[0] - ax * reach, corner.at[1] - ay * reach)
    q = (corner.at[0] + bx * reach, corner.at[1] + by * reach)
    c = (p[0] + ay * r, p[1] - ax * r)  # the bit's centre: to the right of the edge
    sweep = math.pi - corner.opening
    a0 = math.atan2(p[1] - c[1], p[0] - c[0])
    arc = [
        (c[0] + r * math.cos(a0 - sweep * k / steps), c[1] + r * math.sin(a0 - sweep * k / steps))
        for k in range(1, steps)
    ]
    return [corner.at, p, *arc, q]
