# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Moving the edges of an outline, each by its own signed distance: what a fit is.

A positive distance moves an edge to its right, away from the wood (the part grows there);
a negative one takes wood away. Vertices are the intersections of the moved neighbours; an arc
that rounds the corner of two lines goes with them and stays tangent to both.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flatwright.geometry.arcs import Point, Segment, bulge_about, centre_points
from flatwright.geometry.outline import Outline, from_segments
from flatwright.geometry.parallel import shifted

SAME = 1e-9  # mm: distances this close are one distance
STRAIGHT = 1e-6  # sine below which two edges run on in one direction


@dataclass(frozen=True, slots=True, eq=False)
class Moved:
    """`origins[k]` is the edge of the old loop that edge k came from, -1 for a step between two;
    `collapsed` lists old edges that vanished or turned over."""

    outline: Outline
    origins: tuple[int, ...]
    collapsed: tuple[int, ...]


def split_edges(outline: Outline, at: Mapping[int, Sequence[float]]) -> tuple[Outline, list[int]]:
    """Split edges at fractions of their length; also returns the old edge of each new one."""
    out: list[Segment] = []
    origins: list[int] = []
    for i, s in enumerate(outline.segments()):
        inner = sorted(t for t in at.get(i, ()) if SAME < t < 1.0 - SAME)
        marks = [0.0, *inner, 1.0]
        for a, b in zip(marks, marks[1:], strict=False):
            out.append(s.part(a, b))
            origins.append(i)
    return from_segments(out), origins


def move_edges(outline: Outline, distances: Sequence[float]) -> Moved:
    """Move edge i by distances[i] (mm, positive away from the wood).

    Neighbours that run on in one direction but move differently get a square step.
    Raises ValueError if the counts differ.
    """
    segs = outline.segments()
    if len(distances) != len(segs):
        raise ValueError("one distance for each edge is needed")
    if all(abs(d) < SAME for d in distances):
        return Moved(outline, tuple(range(len(segs))), ())
    moved: list[Segment | None] = [shifted(s, d) for s, d in zip(segs, distances, strict=True)]
    carried = _carry_roundings(segs, moved, distances)
    lost = [i for i, m in enumerate(moved) if m is None]
    keep = [i for i in range(len(segs)) if moved[i] is not None]
    joints: list[tuple[Point, Point]] = []  # per kept edge: end of the one before, start of this
    for k, i in enumerate(keep):
        h = keep[k - 1]
        before, here = moved[h], moved[i]
        assert before is not None and here is not None
        if h in carried or i in carried:
            at = before.q if h in carried else here.p
            joints.append((at, at))
            continue
        joints.append(_vertex(segs[h], segs[i], before, here, distances[h], distances[i]))
    out: list[Segment] = []
    origins: list[int] = []
    collapsed = list(lost)
    for k, i in enumerate(keep):
        end_before, start = joints[k]
        if math.dist(end_before, start) > 1e-9:
            out.append(Segment(end_before, start))
            origins.append(-1)
        end = joints[(k + 1) % len(keep)][0]
        piece = _between(segs[i], moved[i], start, end)
        if piece is None:
            collapsed.append(i)
            out.append(Segment(start, end))
        else:
            out.append(piece)
        origins.append(i)
    return Moved(from_segments(out), tuple(origins), tuple(sorted(collapsed)))


def _carry_roundings(
    segs: list[Segment], moved: list[Segment | None], distances: Sequence[float]
) -> set[int]:
    """Put arcs that round a corner of two lines between the moved lines; returns their numbers."""
    n = len(segs)
    done: set[int] = set()
    for i, arc in enumerate(segs):
        h, j = (i - 1) % n, (i + 1) % n
        before, after = moved[h], moved[j]
        if arc.is_line or before is None or after is None or not (before.is_line and after.is_line):
            continue
        if abs(distances[h] - distances[i]) < SAME and abs(distances[j] - distances[i]) < SAME:
            continue
        if not (_runs_on(segs[h], arc) and _runs_on(arc, segs[j])):
            continue
        new = _rounding(arc, before, after)
        if new is not None:
            moved[i] = new
            done.add(i)
    return done


def _runs_on(a: Segment, b: Segment) -> bool:
    (ux, uy), (vx, vy) = a.direction(1.0), b.direction(0.0)
    return abs(ux * vy - uy * vx) < STRAIGHT and ux * vx + uy * vy > 0


def _rounding(arc: Segment, before: Segment, after: Segment) -> Segment | None:
    """The arc with its radius, tangent to two lines; between parallel lines the radius is what fits."""
    (ux, uy), (vx, vy) = before.direction(0.0), after.direction(0.0)
    cross = ux * vy - uy * vx
    side = 1.0 if arc.b > 0 else -1.0  # the centre lies on the left of a counter-clockwise arc
    r = arc.radius
    if abs(cross) < STRAIGHT:
        across = (after.p[0] - before.q[0]) * -uy + (after.p[1] - before.q[1]) * ux
        r = across * side / 2.0
        if r <= SAME:
            return None
        c = arc.centre
        off = (c[0] - before.q[0]) * -uy + (c[1] - before.q[1]) * ux - side * r
        c = (c[0] + uy * off, c[1] - ux * off)
    else:
        p = (before.q[0] - side * r * uy, before.q[1] + side * r * ux)
        q = (after.p[0] - side * r * vy, after.p[1] + side * r * vx)
        c = _corner(p, (ux, uy), q, (vx, vy), cross)
    start = (c[0] + side * r * uy, c[1] - side * r * ux)
    end = (c[0] + side * r * vy, c[1] - side * r * vx)
    return Segment(start, end, arc.b)


def _vertex(
    old_a: Segment, old_b: Segment, a: Segment, b: Segment, da: float, db: float
) -> tuple[Point, Point]:
    """Where moved neighbours meet: (end of a, start of b), equal unless there is a step."""
    ux, uy = old_a.direction(1.0)
    vx, vy = old_b.direction(0.0)
    cross = ux * vy - uy * vx
    if abs(cross) < STRAIGHT:
        if abs(da - db) < SAME and ux * vx + uy * vy > 0:
            return a.q, a.q
        # a line that ran on into an arc may still meet it, a little earlier or later
        found = [] if a.is_line and b.is_line else centre_points(a, b)
        near = min(found, key=lambda x: math.dist(x, old_b.p), default=None)
        if near is not None and math.dist(near, old_b.p) < min(old_a.length, old_b.length) / 2:
            return near, near
        return a.q, b.p
    # first guess: the corner of the two moved tangents
    guess = _corner(a.q, (ux, uy), b.p, (vx, vy), cross)
    if a.is_line and b.is_line:
        return guess, guess
    found = centre_points(a, b)
    if not found:
        return a.q, b.p
    best = min(found, key=lambda x: math.dist(x, guess))
    return best, best


def _corner(p: Point, u: Point, q: Point, v: Point, cross: float) -> Point:
    k = ((q[0] - p[0]) * v[1] - (q[1] - p[1]) * v[0]) / cross
    return (p[0] + u[0] * k, p[1] + u[1] * k)


def _between(old: Segment, moved: Segment | None, start: Point, end: Point) -> Segment | None:
    assert moved is not None
    if old.is_line:
        ux, uy = old.direction(0.0)
        along = (end[0] - start[0]) * ux + (end[1] - start[1]) * uy
        return Segment(start, end) if along > SAME else None
    b = bulge_about(moved.centre, start, end, moved.b > 0)
    piece = Segment(start, end, b)
    # an arc that came out nearly a full turn where the old was short has turned over
    if abs(piece.sweep) > abs(old.sweep) + math.pi:
        return None
    return piece
