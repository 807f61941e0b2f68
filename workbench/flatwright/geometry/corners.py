# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Inside corners and the shapes that let a round bit clear them.

At a vertex where an outline turns right the wood is concave: a bit of radius r leaves a
fillet there. A relief is an arc of radius r through the corner: a dog-bone has its centre on
the bisector, a T-bone on one of the two edges.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from flatwright.geometry.arcs import Point, Segment, bulge_through
from flatwright.geometry.outline import Outline, from_segments

ReliefKind = Literal["dog-bone", "T-bone in", "T-bone out"]
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


@dataclass(frozen=True, slots=True)
class ReliefShape:
    """An arc from `start` (on the edge before) through the corner to `end` (on the edge after)."""

    kind: ReliefKind
    centre: Point
    radius: float
    start: Point
    end: Point
    bulge: float
    takes_before: float  # length of each edge that the arc replaces
    takes_after: float


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


def relief(corner: Corner, kind: ReliefKind, r: float) -> ReliefShape:
    """The relief of radius r at a corner between two straight edges.

    Dog-bone: centre on the bisector at r from the corner; each edge loses 2 r cos(opening/2).
    T-bone: centre on one edge at r from the corner; that edge loses 2 r.
    """
    (ax, ay), (bx, by) = corner.before.direction(1.0), corner.after.direction(0.0)
    x, y = corner.at
    if kind == "T-bone out":
        c, d0, d1 = (x + r * bx, y + r * by), 0.0, 2 * r
    elif kind == "T-bone in":
        c, d0, d1 = (x - r * ax, y - r * ay), 2 * r, 0.0
    else:
        mx, my = bx - ax, by - ay
        m = math.hypot(mx, my)
        c = (x + r * mx / m, y + r * my / m)
        d0 = d1 = 2 * r * math.cos(corner.opening / 2)
    start = (x - d0 * ax, y - d0 * ay)
    end = (x + d1 * bx, y + d1 * by)
    bulge = bulge_through(start, corner.at, end) if kind == "dog-bone" else -1.0
    return ReliefShape(kind, c, r, start, end, bulge, d0, d1)


def relieved(outline: Outline, shapes: Mapping[int, ReliefShape]) -> Outline:
    """The loop with the relief shapes put in at the given vertices.

    Raises ValueError when two reliefs ask for more of an edge than it has.
    """
    segs = outline.segments()
    n = len(segs)
    out: list[Segment] = []
    for i, s in enumerate(segs):
        here, there = shapes.get(i), shapes.get((i + 1) % n)
        if here is not None:
            out.append(Segment(here.start, here.end, here.bulge))
        taken = (here.takes_after if here else 0.0) + (there.takes_before if there else 0.0)
        if taken > s.length + 1e-9:
            raise ValueError(f"two reliefs take {taken:.3f} mm of an edge of {s.length:.3f} mm")
        p = here.end if here else s.p
        q = there.start if there else s.q
        if math.dist(p, q) > 1e-9:
            out.append(Segment(p, q, s.b) if (here is None and there is None) or s.is_line else s)
    return from_segments(out)
