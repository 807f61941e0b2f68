# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The shapes that let a round bit clear an inside corner.

A relief is where the bit's circle ends, through the corner: for a dog-bone with its centre on the
bisector, for a T-bone on one of the two edges. In a corner sharper than a right angle the bit does
not get there without widening the way in; the way is then part of the shape.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from flatwright.geometry.arcs import Point, Segment, centre_points, intersections
from flatwright.geometry.corners import Corner
from flatwright.geometry.outline import Outline, circle
from flatwright.geometry.parallel import distances, parallel, shifted

ReliefKind = Literal["dog-bone", "T-bone in", "T-bone out"]
SPARING = math.radians(60.0)  # in a sharper corner a T-bone takes more than r of the other edge too
NARROW = 2e-7  # mm: a way in that is narrower than the bit by less is wide enough
FREE = 1e-6  # mm: a bit that comes nearer to the wood by less does not touch it


@dataclass(frozen=True, slots=True)
class ReliefShape:
    """A bit's circle through a corner, and `way`: where the bit comes from if its way in must be widened."""

    kind: ReliefKind
    centre: Point
    radius: float
    way: Point | None = None

    def outline(self) -> Outline:
        """The circle, with the straight way in, counter-clockwise."""
        if self.way is None:
            return circle(self.centre, self.radius)
        (cx, cy), (wx, wy), r = self.centre, self.way, self.radius
        d = math.dist(self.centre, self.way)
        nx, ny = -(wy - cy) / d * r, (wx - cx) / d * r
        points = [(cx - nx, cy - ny), (wx - nx, wy - ny), (wx + nx, wy + ny), (cx + nx, cy + ny)]
        return Outline(np.array(points), np.array([0.0, 0.0, 0.0, 1.0]))


def suits(corner: Corner, kind: ReliefKind) -> bool:
    """Whether a kind makes sense at a corner: a T-bone spares one of its edges."""
    return kind == "dog-bone" or corner.opening >= SPARING


def relief(corner: Corner, kind: ReliefKind, r: float, loop: Outline) -> ReliefShape:
    """The relief of radius r at a corner of the loop, between lines or arcs."""
    centre = _centre(corner, kind, r)
    if _way_is_wide(corner, centre, r):
        return ReliefShape(kind, centre, r)
    place = _between(corner, centre, r, loop) or _nearest(centre, parallel(loop, r))
    far = place is not None and math.dist(place, centre) > FREE
    return ReliefShape(kind, centre, r, place if far else None)


def _centre(corner: Corner, kind: ReliefKind, r: float) -> Point:
    """At r from the corner: on the bisector of its tangents, or on one of its edges."""
    (ax, ay), (bx, by) = corner.before.direction(1.0), corner.after.direction(0.0)
    x, y = corner.at
    if kind == "T-bone out":
        return _along(corner.after, corner.at, r, (bx, by))
    if kind == "T-bone in":
        return _along(corner.before.reversed(), corner.at, r, (-ax, -ay))
    mx, my = bx - ax, by - ay
    m = math.hypot(mx, my)
    return (x + r * mx / m, y + r * my / m)


def _along(edge: Segment, at: Point, r: float, d: Point) -> Point:
    """The point at distance r from the edge's beginning, on its arc if it is one that reaches so far."""
    straight = (at[0] + r * d[0], at[1] + r * d[1])
    if edge.is_line or 2 * edge.radius <= r:
        return straight
    turn = math.copysign(2 * math.asin(r / (2 * edge.radius)), edge.b)
    c, s = math.cos(turn), math.sin(turn)
    (cx, cy), (dx, dy) = edge.centre, (at[0] - edge.centre[0], at[1] - edge.centre[1])
    return (cx + dx * c - dy * s, cy + dx * s + dy * c)


def _way_is_wide(corner: Corner, centre: Point, r: float) -> bool:
    """Whether the circle meets the two edges so far apart that the bit gets in between."""
    disc = circle(centre, r).segments()
    p = _last(corner.before.reversed(), disc, centre, r)
    q = _last(corner.after, disc, centre, r)
    if p is None or q is None:
        return False  # an edge is shorter than what the circle takes of it
    (dx, dy), d = (q[0] - p[0], q[1] - p[1]), math.dist(p, q)
    # how far the centre lies on the wood's side of the line from p to q
    return d > 0 and (dx * (centre[1] - p[1]) - dy * (centre[0] - p[0])) / d < NARROW


def _last(edge: Segment, disc: Sequence[Segment], centre: Point, r: float) -> Point | None:
    """Where an edge that begins on the circle leaves it for good; None if it ends inside."""
    if math.dist(edge.q, centre) < r - FREE:
        return None
    return edge.at(max((a for s in disc for a, _ in intersections(edge, s)), default=0.0))


def _between(corner: Corner, centre: Point, r: float, loop: Outline) -> Point | None:
    """Where the bit touches both edges; None if it is not free there."""
    before, after = shifted(corner.before, r), shifted(corner.after, r)
    found = centre_points(before, after) if before is not None and after is not None else []
    if not found:
        return None
    place = min(found, key=lambda p: round(math.dist(p, centre), 6))
    return place if distances(np.array([place]), loop.segments())[0] > r - FREE else None


def _nearest(x: Point, curves: Sequence[Outline]) -> Point | None:
    """The point of the curves that is nearest to x."""
    feet = [s.at(min(1.0, max(0.0, s.fraction(x)))) for c in curves for s in c.segments()]
    return min(feet, key=lambda p: round(math.dist(p, x), 6), default=None)
