# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Corner reliefs that are already in an outline: an arc that bulges into the wood where two straight
edges would meet in an inside corner."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.outline import Outline, from_segments
from flatwright.geometry.relief_shapes import ReliefKind

MISSES = 0.3  # mm: by how much a drawn circle may miss its corner
STEP = math.sin(math.radians(15.0))  # least turn where a relief leaves an edge; a rounding leaves it smoothly
LONGEST = math.radians(300.0)


@dataclass(frozen=True, slots=True)
class DrawnRelief:
    """Arc `index` of a loop, and the corner that it relieves."""

    index: int
    kind: ReliefKind
    at: Point
    centre: Point
    radius: float


def drawn_reliefs(loop: Outline) -> list[DrawnRelief]:
    """The reliefs of a loop (wood on its left) in order."""
    if not (loop.bulges < 0).any():
        return []
    segs = loop.segments()
    n = len(segs)
    found = []
    for i, arc in enumerate(segs):
        one = _relief(i, segs[i - 1], arc, segs[(i + 1) % n]) if arc.b < 0 and n > 3 else None
        if one is not None:
            found.append(one)
    return found


def longest_relief(loop: Outline) -> float:
    """How much of an edge the loop's drawn reliefs take at most: the largest diameter, 0 without any."""
    return max((2.0 * d.radius for d in drawn_reliefs(loop)), default=0.0)


def without(loop: Outline, reliefs: Collection[DrawnRelief]) -> Outline:
    """The loop with sharp corners in place of those reliefs."""
    at = {r.index: r.at for r in reliefs}
    if not at:
        return loop
    segs = loop.segments()
    n = len(segs)
    out: list[Segment] = []
    for i, s in enumerate(segs):
        if i not in at:
            p, q = at.get((i - 1) % n, s.p), at.get((i + 1) % n, s.q)
            if math.dist(p, q) > 1e-9:
                out.append(Segment(p, q, s.b))
    return from_segments(out)


def _relief(i: int, before: Segment, arc: Segment, after: Segment) -> DrawnRelief | None:
    if not (before.is_line and after.is_line) or abs(arc.sweep) > LONGEST:
        return None
    (ax, ay), (bx, by) = before.direction(1.0), after.direction(0.0)
    cross = ax * by - ay * bx
    if cross > -STEP:  # not an inside corner
        return None
    (px, py), (qx, qy) = arc.direction(0.0), arc.direction(1.0)
    if max(ax * py - ay * px, qx * by - qy * bx) < STEP:  # both ends run on: a rounding
        return None
    # where the edges would meet: ahead of the one, behind the other
    dx, dy = after.p[0] - before.q[0], after.p[1] - before.q[1]
    ahead, behind = (dx * by - dy * bx) / cross, (dx * ay - dy * ax) / -cross
    at = (before.q[0] + ax * ahead, before.q[1] + ay * ahead)
    centre, r = arc.centre, arc.radius
    if ahead < -1e-3 or behind < -1e-3 or math.dist(at, centre) > r + MISSES:
        return None
    return DrawnRelief(i, _kind(at, centre, (ax, ay), (bx, by), r), at, centre, r)


def _kind(at: Point, centre: Point, a: Point, b: Point, r: float) -> ReliefKind:
    """A T-bone has its centre on an edge, well away from the corner."""
    dx, dy = centre[0] - at[0], centre[1] - at[1]
    if abs(a[0] * dy - a[1] * dx) < 0.15 * r and -(a[0] * dx + a[1] * dy) > 0.5 * r:
        return "T-bone in"
    if abs(b[0] * dy - b[1] * dx) < 0.15 * r and b[0] * dx + b[1] * dy > 0.5 * r:
        return "T-bone out"
    return "dog-bone"
