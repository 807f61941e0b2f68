# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Taking small shapes out of the wood along a loop, exactly: lines stay lines and arcs stay arcs.

Both boundaries are cut where they meet; of the loop stays what lies outside the shapes, of the
shapes what lies in the wood and in no other shape. Shapes may overlap each other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from flatwright.geometry.arcs import Point, Segment, intersections
from flatwright.geometry.outline import Outline
from flatwright.geometry.parallel import EPS, closed_loops, cut_at

Box = tuple[float, float, float, float]
SAME = 1e-6  # mm: boundaries nearer than this run along each other


@dataclass(frozen=True, slots=True, eq=False)
class _Curve:
    """A closed curve with a box about each of its segments and one about all."""

    segments: list[Segment]
    boxes: list[Box]
    box: Box

    @staticmethod
    def of(loop: Outline) -> _Curve:
        segments = loop.segments()
        boxes = [s.bounds() for s in segments]
        lows, highs = zip(*((b[:2], b[2:]) for b in boxes), strict=True)
        (x0, y0), (x1, y1) = map(min, zip(*lows, strict=True)), map(max, zip(*highs, strict=True))
        return _Curve(segments, boxes, (x0, y0, x1, y1))

    def near(self, box: Box) -> list[Segment]:
        """The segments whose boxes meet a box."""
        if not _meet(self.box, box):
            return []
        return [s for s, b in zip(self.segments, self.boxes, strict=True) if _meet(b, box)]


def carved(loop: Outline, shapes: Sequence[Outline]) -> list[Outline]:
    """The loop (wood on its left) after the closed shapes are taken away.

    More than one loop comes back where pieces of wood were cut off, none where nothing stays.
    """
    around = _Curve.of(loop)
    tools = [_Curve.of(s.cw()) for s in shapes]
    void_inside = loop.area() < 0
    kept: list[Segment] = []
    for s, box in zip(around.segments, around.boxes, strict=True):
        close = [t for t in tools if _meet(t.box, box)]
        pieces = _cut(s, [o for t in close for o in t.near(box)]) if close else [s]
        kept += [p for p in pieces if not any(_takes(t, p) for t in close)]
    for k, tool in enumerate(tools):
        others = [(i, t) for i, t in enumerate(tools) if i != k and _meet(t.box, tool.box)]
        for s, box in zip(tool.segments, tool.boxes, strict=True):
            walls = [*around.near(box), *(o for _, t in others for o in t.near(box))]
            for p in _cut(s, walls):
                middle = p.at(0.5)
                in_wood = not _on(around, middle) and inside(middle, around.segments) != void_inside
                if in_wood and not any(_takes(t, p, first=i < k) for i, t in others):
                    kept.append(p)
    return closed_loops(kept)


def inside(x: Point, loop: Sequence[Segment]) -> bool:
    """Whether a point lies inside a closed curve (even-odd rule, arcs exact)."""
    result = False
    for s in loop:
        (px, py), (qx, qy) = s.p, s.q
        # left of the chord; a point on it counts as a little right of it, above it if it is level
        side = (qx - px) * (x[1] - py) - (qy - py) * (x[0] - px) or (py - qy) or (qx - px)
        if (py > x[1]) != (qy > x[1]) and (side > 0) == (qy > py):
            result = not result
        if not s.is_line and side * s.b < 0 and math.dist(x, s.centre) < s.radius:
            result = not result  # between the chord and its arc
    return result


def _cut(s: Segment, walls: Sequence[Segment]) -> list[Segment]:
    return cut_at(s, [a for w in walls for a, _ in intersections(s, w, EPS)])


def _takes(tool: _Curve, piece: Segment, first: bool = False) -> bool:
    """Whether a piece of another boundary lies in the shape. Where it runs along the shape's boundary in
    the same sense it stays, unless the shape comes first."""
    middle = piece.at(0.5)
    for s in tool.segments:
        if s.distance(middle) < SAME:
            ux, uy = piece.direction(0.5)
            vx, vy = s.direction(min(1.0, max(0.0, s.fraction(middle))))
            return first or ux * vx + uy * vy < 0
    return inside(middle, tool.segments)


def _on(curve: _Curve, x: Point) -> bool:
    return any(s.distance(x) < SAME for s in curve.near((x[0] - SAME, x[1] - SAME, x[0] + SAME, x[1] + SAME)))


def _meet(a: Box, b: Box) -> bool:
    return a[0] <= b[2] + SAME and b[0] <= a[2] + SAME and a[1] <= b[3] + SAME and b[1] <= a[3] + SAME
