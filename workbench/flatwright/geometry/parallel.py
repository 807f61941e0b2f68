# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Parallel curves: where the centre of a round bit runs to leave an outline standing.

Every segment is moved to the right (away from the wood), every convex vertex becomes an arc
about it, all pieces are split where they meet, and only those stay that are nowhere nearer
to the outline than the distance. The result is exact lines and arcs; shapely's buffer is its
referee in the tests. A relief of exactly the bit's radius shrinks to a point that the pieces
on both sides run into: it comes out as an out-and-back of two arcs.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely

from flatwright.geometry.arcs import Point, Segment, intersections
from flatwright.geometry.outline import Floats, Outline, from_segments, simplified

EPS = 1e-7  # mm: points nearer than this are one point
NEAR = 2e-6  # mm: how much nearer than the distance a kept piece may run (float noise)


def parallel(outline: Outline, distance: float) -> list[Outline]:
    """Closed curves at `distance` (> 0) to the right of the loop.

    Outside an outer loop the first result encloses it; inside a hole there may be one,
    several or none. Curves run in the loop's own sense.
    """
    return parallel_all([outline], distance)


def parallel_all(outlines: list[Outline], distance: float) -> list[Outline]:
    """The same for several loops of one piece of wood at once: no curve is nearer to any of them."""
    if distance <= 0:
        raise ValueError("the distance must be positive")
    walls = [s for o in outlines for s in simplified(o).segments()]
    pieces = [p for o in outlines for p in _raw(simplified(o).segments(), distance)]
    kept = _far_enough(_split(pieces), walls, distance)
    return _with_spikes(closed_loops(kept))


def shifted(s: Segment, distance: float) -> Segment | None:
    """The segment moved to its right; None when an arc shrinks to nothing or turns over."""
    if s.is_line:
        ux, uy = s.direction(0.0)
        dx, dy = uy * distance, -ux * distance
        return Segment((s.p[0] + dx, s.p[1] + dy), (s.q[0] + dx, s.q[1] + dy))
    r = s.radius + distance if s.b > 0 else s.radius - distance
    if r < EPS:
        return None
    c = s.centre
    k = r / s.radius
    return Segment(
        (c[0] + (s.p[0] - c[0]) * k, c[1] + (s.p[1] - c[1]) * k),
        (c[0] + (s.q[0] - c[0]) * k, c[1] + (s.q[1] - c[1]) * k),
        s.b,
    )


def _raw(segs: list[Segment], distance: float) -> list[Segment]:
    out: list[Segment] = []
    for i, s in enumerate(segs):
        before = segs[i - 1]
        ax, ay = before.direction(1.0)
        bx, by = s.direction(0.0)
        cross = ax * by - ay * bx
        dot = ax * bx + ay * by
        # wood turns away (left turn) or back on itself: the bit rolls about the vertex
        if cross > 1e-9 or (dot < 0 and abs(cross) <= 1e-9):
            v = s.p
            start = (v[0] + ay * distance, v[1] - ax * distance)
            end = (v[0] + by * distance, v[1] - bx * distance)
            turn = math.atan2(cross, dot) % math.tau
            out.extend(_arc_pieces(v, start, end, turn, distance))
        moved = shifted(s, distance)
        if moved is not None:
            out.append(moved)
    return out


def _arc_pieces(c: Point, start: Point, end: Point, turn: float, r: float) -> list[Segment]:
    whole = Segment(start, end, math.tan(turn / 4.0))
    return [whole] if whole.chord > EPS else []


def _split(pieces: list[Segment]) -> list[Segment]:
    """Cut the pieces wherever two of them meet."""
    if not pieces:
        return []
    bounds = np.array([p.bounds() for p in pieces]) + np.array([-EPS, -EPS, EPS, EPS])
    boxes = shapely.box(*bounds.T)
    tree = shapely.STRtree(boxes)
    first, second = tree.query(boxes)
    cuts: list[list[float]] = [[] for _ in pieces]
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        if i < j:
            for a, b in intersections(pieces[i], pieces[j], EPS):
                cuts[i].append(a)
                cuts[j].append(b)
    return [part for piece, at in zip(pieces, cuts, strict=True) for part in cut_at(piece, at)]


def cut_at(piece: Segment, fractions: Iterable[float]) -> list[Segment]:
    """The segment cut at fractions of its length; no piece is shorter than twice EPS."""
    length = piece.length
    marks = [0.0]
    for t in sorted((*fractions, 1.0)):
        if (t - marks[-1]) * length > 2 * EPS:
            marks.append(t)
    if (1.0 - marks[-1]) * length <= 2 * EPS and len(marks) > 1:
        marks[-1] = 1.0
    return [piece.part(a, b) for a, b in zip(marks, marks[1:], strict=False)]


def distances(points: Floats, walls: list[Segment]) -> Floats:
    """Least distance of each of (n, 2) points to any of the segments, (n,) float."""
    best = np.full(len(points), np.inf)
    for w in walls:
        p, q = np.array(w.p), np.array(w.q)
        ends = np.minimum(np.hypot(*(points - p).T), np.hypot(*(points - q).T))
        if w.is_line:
            d = q - p
            t = ((points - p) @ d) / float(d @ d)
            foot = p + t[:, None] * d
            inner = np.hypot(*(points - foot).T)
            within = (t >= 0) & (t <= 1)
        else:
            c = np.array(w.centre)
            rel = points - c
            inner = np.abs(np.hypot(*rel.T) - w.radius)
            a0 = math.atan2(p[1] - c[1], p[0] - c[0])
            turn = np.arctan2(rel[:, 1], rel[:, 0]) - a0
            turn = (turn if w.b > 0 else -turn) % math.tau
            within = turn <= abs(w.sweep)
        best = np.minimum(best, np.where(within, np.minimum(inner, ends), ends))
    return best


def _far_enough(pieces: list[Segment], walls: list[Segment], distance: float) -> list[Segment]:
    if not pieces:
        return []
    # three points of each piece: a piece between two meetings is near all along or nowhere
    samples = np.array([p.at(t) for p in pieces for t in (0.25, 0.5, 0.75)])
    near = distances(samples, walls).reshape(-1, 3)
    keep = np.median(near, axis=1) >= distance - NEAR
    out: list[Segment] = []
    seen: set[tuple[float, ...]] = set()
    for piece, ok in zip(pieces, keep.tolist(), strict=True):
        mid = piece.at(0.5)
        key = tuple(round(v, 5) + 0.0 for v in (*piece.p, *mid, *piece.q))
        if ok and key not in seen:
            seen.add(key)
            out.append(piece)
    return out


def closed_loops(pieces: list[Segment]) -> list[Outline]:
    """Join pieces end to start into closed loops; at a crossing turn as far right as possible."""
    starts: dict[tuple[int, int], list[int]] = {}
    for k, s in enumerate(pieces):
        starts.setdefault(_cell(s.p), []).append(k)
    used = [False] * len(pieces)
    loops: list[Outline] = []
    for k in range(len(pieces)):
        if used[k]:
            continue
        chain = _chain(k, pieces, starts, used)
        if chain is not None and sum(s.chord > 10 * EPS for s in chain) >= 2:  # else no extent
            loops.append(simplified(from_segments(chain)))
    return loops


def _with_spikes(loops: list[Outline]) -> list[Outline]:
    """Ways out and back that came out as loops of their own go into the loop that they begin on."""
    spikes = [o for o in loops if len(o) == 2 and abs(float(o.bulges.sum())) < 1e-9]
    out = [o for o in loops if not any(o is s for s in spikes)]
    for spike in spikes:
        for k, o in enumerate(out):
            apart = np.hypot(*(o.points[:, None] - spike.points[None]).transpose(2, 0, 1))
            i, end = divmod(int(np.argmin(apart)), 2)
            if apart[i, end] < 20 * EPS:
                there = [spike.points[1 - end], o.points[i]]
                bulges = [spike.bulges[end], spike.bulges[1 - end]]
                out[k] = Outline(np.insert(o.points, i + 1, there, axis=0), np.insert(o.bulges, i, bulges))
                break
        else:
            out.append(spike)
    return out


def _chain(
    k: int, pieces: list[Segment], starts: dict[tuple[int, int], list[int]], used: list[bool]
) -> list[Segment] | None:
    path = [k]
    taken = {k}
    while True:
        end = pieces[path[-1]].q
        if len(path) > 1 and math.dist(end, pieces[path[0]].p) < 20 * EPS:
            for i in path:
                used[i] = True
            return [pieces[i] for i in path]
        options = [i for i in _near(end, starts, pieces) if not used[i] and i not in taken]
        if not options:
            used[k] = True
            return None
        ux, uy = pieces[path[-1]].direction(1.0)

        def turn(i: int, ux: float = ux, uy: float = uy) -> float:
            vx, vy = pieces[i].direction(0.0)
            return math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)

        nxt = min(options, key=lambda i: (round(turn(i), 6), i))
        path.append(nxt)
        taken.add(nxt)


def _cell(p: Point) -> tuple[int, int]:
    return (math.floor(p[0] * 1000.0), math.floor(p[1] * 1000.0))


def _near(p: Point, starts: dict[tuple[int, int], list[int]], pieces: list[Segment]) -> list[int]:
    cx, cy = _cell(p)
    return [
        i
        for dx in (-1, 0, 1)
        for dy in (-1, 0, 1)
        for i in starts.get((cx + dx, cy + dy), ())
        if math.dist(pieces[i].p, p) < 20 * EPS
    ]
