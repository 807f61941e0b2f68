# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Corner reliefs that are already in an outline: an arc that bulges into the wood where two edges would
meet in an inside corner, or two such arcs that meet where the end of a narrow slot was."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from flatwright.geometry.arcs import Point, Segment, bulge_about, centre_points
from flatwright.geometry.carve import carved
from flatwright.geometry.corners import concave_corners
from flatwright.geometry.outline import Outline, circle, from_segments
from flatwright.geometry.relief_shapes import ReliefKind

MISSES = 0.3  # mm: by how much a drawn circle may miss its corner
STEP = math.sin(math.radians(15.0))  # least turn where a relief leaves an edge; a rounding leaves it smoothly
POINT = math.sin(math.radians(2.0))  # least turn between two reliefs that meet
LONGEST = math.radians(300.0)
WIDE = 2.0  # radii of the relief: a round edge that curves more is no edge of a corner but another arc
CENTRED = 0.15  # radii: how far from an edge, or from the bisector, the centre of a kind may lie
WALL = 0.5  # mm: least length of the end of a slot that two reliefs took whole
FINE = 1e-3  # mm
CARRIED = 3.0  # mm: how far a corner may move and still be that corner, where corners came or went


@dataclass(frozen=True, slots=True)
class DrawnRelief:
    """Arc `index` of a loop, and the corner that it relieves. Reliefs that meet are of one `run`: they can
    only be taken back together."""

    index: int
    kind: ReliefKind
    at: Point
    centre: Point
    radius: float
    run: int


def drawn_reliefs(loop: Outline) -> list[DrawnRelief]:
    """The reliefs of a loop (wood on its left) in order."""
    if not (loop.bulges < 0).any():
        return []
    segs = loop.segments()
    n = len(segs)
    found: dict[int, DrawnRelief] = {}
    for i, arc in enumerate(segs):
        if arc.b >= 0 or i in found:
            continue
        j = (i + 1) % n
        both = _meeting(i, j, segs[i - 1], arc, segs[j], segs[(j + 1) % n]) if n > 4 and segs[j].b < 0 else ()
        one = _relief(i, segs[i - 1], arc, segs[j]) if n > 3 and not both else None
        found |= {r.index: r for r in (*both, *([one] if one is not None else []))}
    return [found[i] for i in sorted(found)]


def without(loop: Outline, reliefs: Collection[DrawnRelief]) -> Outline:
    """The loop with sharp corners in place of those reliefs, all of a run among them."""
    at = {r.index: r.at for r in reliefs}
    if not at:
        return loop
    segs = loop.segments()
    n = len(segs)
    out: list[Segment] = []
    for i, s in enumerate(segs):
        p, q = at.get((i - 1) % n, s.p), at.get((i + 1) % n, s.q)
        if i not in at:
            b = 0.0 if s.is_line else bulge_about(s.centre, p, q, s.b > 0)
            out.append(Segment(p, q, b))
        elif (i + 1) % n in at:  # two that meet: the end of the slot comes back
            out.append(Segment(at[i], q))
    return from_segments([s for s in out if s.chord > 1e-9])


def with_reliefs(
    loop: Outline, was: Outline, reliefs: Sequence[DrawnRelief]
) -> tuple[Outline, list[DrawnRelief]]:
    """A loop that was moved, with the reliefs put back that stood at the sharp corners of the loop as it
    `was`; and those that found no corner, or would cut a piece off."""
    now = _corners_now(was, loop)
    moved, lost = [], []
    for r in reliefs:
        at = now.get(_rounded(r.at))
        if at is None:
            lost.append(r)
        else:
            dx, dy = at[0] - r.at[0], at[1] - r.at[1]
            moved.append(replace(r, at=at, centre=(r.centre[0] + dx, r.centre[1] + dy)))
    if not moved:
        return loop, lost
    loops = carved(loop, [circle(r.centre, r.radius) for r in moved])
    if len(loops) != 1 or (loops[0].area() > 0) != (loop.area() > 0):
        return loop, list(reliefs)
    return loops[0], lost


def _corners_now(was: Outline, now: Outline) -> dict[Point, Point]:
    """Where each inside corner went: in their order if there are as many as before, else to the nearest."""
    a, b = ([c.at for c in concave_corners(o)] for o in (was, now))
    n = len(a)
    if n == len(b):
        turns = range(n)
        way = min(turns, key=lambda k: round(sum(math.dist(a[i], b[i - k]) for i in turns), 6), default=0)
        return {_rounded(a[i]): b[i - way] for i in turns}
    near = {x: min(b, key=lambda y: round(math.dist(x, y), 6), default=x) for x in a}
    return {_rounded(x): y for x, y in near.items() if b and math.dist(x, y) <= CARRIED}


def _rounded(x: Point) -> Point:
    return (round(x[0], 3), round(x[1], 3))


def _relief(i: int, before: Segment, arc: Segment, after: Segment) -> DrawnRelief | None:
    """A relief that stands alone."""
    centre, r = arc.centre, arc.radius
    if not (_is_edge(before, r) and _is_edge(after, r)) or abs(arc.sweep) > LONGEST:
        return None
    leaves = (
        _cross(before.direction(1.0), arc.direction(0.0)),
        _cross(arc.direction(1.0), after.direction(0.0)),
    )
    if max(leaves) < STEP:  # both ends run on: a rounding
        return None
    at = _corner(before, after, centre, r)
    if at is None or not _is_inside(_tangent(before, at), _tangent(after, at)):
        return None
    return DrawnRelief(i, _kind(at, centre, before, after, r) or "dog-bone", at, centre, r, i)


def _meeting(
    i: int, j: int, before: Segment, first: Segment, second: Segment, after: Segment
) -> tuple[DrawnRelief, ...]:
    """Two reliefs between which nothing is left of the edge that joined their corners."""
    r = first.radius
    if abs(second.radius - r) > 0.01 * r or not (_is_edge(before, r) and _is_edge(after, r)):
        return ()
    if _cross(first.direction(1.0), second.direction(0.0)) < POINT:  # no point of wood between them
        return ()
    p, q = _end(before, first), _end(after.reversed(), second.reversed())
    wall = Segment(p, q)
    if wall.chord < WALL or _cross(wall.direction(0.0), (first.q[0] - p[0], first.q[1] - p[1])) < -FINE:
        return ()
    way = wall.direction(0.0)
    if not (_is_inside(_tangent(before, p), way) and _is_inside(way, _tangent(after, q))):
        return ()
    kinds = _kind(p, first.centre, before, wall, r), _kind(q, second.centre, wall, after, r)
    if kinds[0] is None or kinds[1] is None:
        return ()
    return (
        DrawnRelief(i, kinds[0], p, first.centre, r, i),
        DrawnRelief(j, kinds[1], q, second.centre, second.radius, i),
    )


def _is_edge(s: Segment, r: float) -> bool:
    return s.is_line or s.radius >= WIDE * r


def _is_inside(a: Point, b: Point) -> bool:
    """Whether the loop turns right from one way to the other, by more than a little."""
    return _cross(a, b) <= -STEP


def _corner(before: Segment, after: Segment, centre: Point, r: float) -> Point | None:
    """Where the edges would meet, ahead of the one and behind the other, within reach of the circle."""
    found = [
        (round(abs(math.dist(x, centre) - r), 6), x)
        for x in centre_points(before, after)
        if _ahead(before, x) > -FINE
        and _ahead(after.reversed(), x) > -FINE
        and math.dist(x, centre) <= r + MISSES
    ]
    return min(found)[1] if found else None


def _end(edge: Segment, arc: Segment) -> Point:
    """The corner of a relief whose other edge is gone: the circle goes through it and through the end of
    the edge, or touches the edge there."""
    found = [(_ahead(edge, x), x) for x in centre_points(edge, arc)]
    return max([(0.0, edge.q), *(f for f in found if FINE < f[0] < 2.0 * arc.radius + FINE)])[1]


def _ahead(edge: Segment, x: Point) -> float:
    """How far a point lies beyond the end of an edge, mm."""
    (ux, uy), (qx, qy) = edge.direction(1.0), edge.q
    return (x[0] - qx) * ux + (x[1] - qy) * uy


def _tangent(edge: Segment, x: Point) -> Point:
    """The direction in which an edge, run on, passes a point."""
    if edge.is_line:
        return edge.direction(0.0)
    (cx, cy), sense = edge.centre, math.copysign(1.0 / edge.radius, edge.b)
    return (-(x[1] - cy) * sense, (x[0] - cx) * sense)


def _kind(at: Point, centre: Point, before: Segment, after: Segment, r: float) -> ReliefKind | None:
    """A T-bone has its centre on an edge, well away from the corner, a dog-bone on the bisector."""
    a, b = _tangent(before, at), _tangent(after, at)
    d = (centre[0] - at[0], centre[1] - at[1])
    if _off(before, centre) < CENTRED * r and -(a[0] * d[0] + a[1] * d[1]) > 0.5 * r:
        return "T-bone in"
    if _off(after, centre) < CENTRED * r and b[0] * d[0] + b[1] * d[1] > 0.5 * r:
        return "T-bone out"
    m = (b[0] - a[0], b[1] - a[1])
    return "dog-bone" if abs(_cross(m, d)) < CENTRED * r * math.hypot(*m) else None


def _off(edge: Segment, x: Point) -> float:
    """Distance of a point from an edge that is run on."""
    if edge.is_line:
        return abs(_cross(edge.direction(0.0), (x[0] - edge.p[0], x[1] - edge.p[1])))
    return abs(math.dist(x, edge.centre) - edge.radius)


def _cross(a: Point, b: Point) -> float:
    return a[0] * b[1] - a[1] * b[0]
