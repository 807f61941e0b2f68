# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edges of several faces with one number for each point, so that what meets can be told without doubt."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.geometry.arcs import FLAT, Point, Segment

WELD = 5e-4  # mm: points nearer than this are one point, edges shorter are none


@dataclass(frozen=True, slots=True)
class Edge:
    """A segment between two numbered points; its ends are exactly these points."""

    start: int
    end: int
    segment: Segment


def welded(segs: Sequence[Segment], *, split: bool) -> list[Edge]:
    """The segments between welded points, without those that shrink to a point; with `split` also
    parted at every point that lies on them."""
    points = _Points()
    for p in sorted((p for s in segs for p in (s.p, s.q)), key=lambda p: (round(p[0], 4), round(p[1], 4))):
        points.number(p)
    pieces = _split_at(segs, points.known) if split else segs
    edges = []
    for s in pieces:
        a, b = points.number(s.p), points.number(s.q)
        if a != b:
            bulge = s.b if abs(s.b) > FLAT else 0.0
            edges.append(Edge(a, b, Segment(points.known[a], points.known[b], bulge)))
    return edges


class _Points:
    """Points by place: the first of those that meet stands for all."""

    def __init__(self) -> None:
        self.known: list[Point] = []
        self._cells: dict[tuple[int, int], list[int]] = {}

    def number(self, p: Point) -> int:
        """The number of the known point nearest to p, or of p as a new one."""
        cx, cy = math.floor(p[0] / WELD), math.floor(p[1] / WELD)
        near = [
            (math.dist(self.known[i], p), i)
            for dx in (-1, 0, 1)
            for dy in (-1, 0, 1)
            for i in self._cells.get((cx + dx, cy + dy), ())
        ]
        distance, found = min(near, default=(math.inf, -1))
        if distance < WELD:
            return found
        self.known.append(p)
        self._cells.setdefault((cx, cy), []).append(len(self.known) - 1)
        return len(self.known) - 1


def _split_at(segs: Sequence[Segment], known: Sequence[Point]) -> list[Segment]:
    points = np.array(known)
    out: list[Segment] = []
    for s in segs:
        x0, y0, x1, y1 = s.bounds()
        inside = (
            (points[:, 0] > x0 - WELD)
            & (points[:, 0] < x1 + WELD)
            & (points[:, 1] > y0 - WELD)
            & (points[:, 1] < y1 + WELD)
        )
        marks = [0.0]
        end = WELD / s.length
        near = [(float(x), float(y)) for x, y in points[inside]]
        for t in sorted(s.fraction(p) for p in near if s.distance(p) < WELD):
            if marks[-1] + end < t < 1.0 - end:
                marks.append(t)
        marks.append(1.0)
        out.extend(s.part(a, b) for a, b in zip(marks, marks[1:], strict=False))
    return out
