# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The stretches of a laid part's edges that may carry the middle of a tab. Sheet coordinates."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.outline import Outline, simplified
from flatwright.plan import Placement

WITH_GRAIN = math.radians(10.0)  # an edge this near to the fibres' direction runs with the grain
GENTLE = 25.0  # mm: a curve of a smaller radius carries no tab
TOUCH = 0.5  # mm: what is nearer to an edge lies on it
CORNER = 6.0  # mm: kept free beside a corner, beyond the tab's own footprint
STEP = 12.0  # mm: between the places that are tried on an edge


@dataclass(frozen=True, slots=True)
class Edge:
    """A line or gentle arc of loop `loop` (0 the outline, k hole k); `free` distances along it, mm,
    at which a tab's middle may stand."""

    loop: int
    segment: Segment
    with_grain: bool
    free: tuple[tuple[float, float], ...]

    def stations(self) -> list[float]:
        """Distances along the edge to try: both ends of each free stretch and even steps between."""
        out: list[float] = []
        for a, b in self.free:
            n = max(2, min(12, round((b - a) / STEP)))
            out.extend([a] if b - a < 1.0 else [a + (b - a) * k / n for k in range(n + 1)])
        return out

    def admits(self, station: float) -> bool:
        return any(a - 1e-3 <= station <= b + 1e-3 for a, b in self.free)

    def at(self, station: float) -> tuple[Point, Point]:
        """(point on the edge, unit normal away from the wood)."""
        t = station / self.segment.length
        ux, uy = self.segment.direction(t)
        return self.segment.at(t), (uy, -ux)


def edges(
    loop: Outline, index: int, keep_clear: Sequence[Segment], footprint: float, fibres: float
) -> list[Edge]:
    """The loop's edges that have room for a tab.

    `footprint` is half of the edge that the tab takes up (mm), `fibres` the grain's direction (radians).
    """
    out: list[Edge] = []
    boxes = [(c, c.bounds()) for c in keep_clear]
    for s in simplified(loop).segments():
        if not s.is_line and s.radius < GENTLE:
            continue
        free = [(footprint + CORNER, s.length - footprint - CORNER)]
        own = s.bounds()
        for c in (c for c, box in boxes if not _apart(own, box)):
            hit = covered(s, c)
            if hit is not None:
                free = _without(free, hit[0] - footprint, hit[1] + footprint)
        kept = tuple((a, b) for a, b in free if b - a > -1e-9)
        if kept:
            out.append(Edge(index, s, s.is_line and along(s, fibres), kept))
    return out


def along(s: Segment, fibres: float) -> bool:
    """Whether a line runs with the grain."""
    ux, uy = s.direction(0.5)
    return abs(ux * math.sin(fibres) - uy * math.cos(fibres)) <= math.sin(WITH_GRAIN)


def on_sheet(segments: Iterable[Segment], placement: Placement) -> list[Segment]:
    """Segments in panel coordinates -> sheet coordinates."""
    sign = -1.0 if placement.flipped else 1.0
    return [
        Segment(point_on_sheet(g.p, placement), point_on_sheet(g.q, placement), sign * g.b) for g in segments
    ]


def point_on_sheet(p: Point, placement: Placement) -> Point:
    """A point in panel coordinates -> sheet coordinates."""
    c, s = math.cos(math.radians(placement.angle)), math.sin(math.radians(placement.angle))
    x, y = -p[0] if placement.flipped else p[0], p[1]
    return (x * c - y * s + placement.x, x * s + y * c + placement.y)


def point_on_panel(p: Point, placement: Placement) -> Point:
    """A point in sheet coordinates -> panel coordinates.

    >>> laid = Placement("shelf", 10.0, 20.0, 90.0, True)
    >>> [round(v, 9) for v in point_on_panel(point_on_sheet((3.0, 4.0), laid), laid)]
    [3.0, 4.0]
    """
    c, s = math.cos(math.radians(placement.angle)), math.sin(math.radians(placement.angle))
    dx, dy = p[0] - placement.x, p[1] - placement.y
    x, y = dx * c + dy * s, dy * c - dx * s
    return (-x if placement.flipped else x, y)


def edge_at(loop: Outline, index: int, p: Point, fibres: float) -> tuple[Edge, float]:
    """The edge of a loop nearest to a point of it, free over its whole length, and the station there."""
    segments = simplified(loop).segments()
    s = min(segments, key=lambda e: round(e.distance(p), 3))
    edge = Edge(index, s, s.is_line and along(s, fibres), ((0.0, s.length),))
    return edge, min(1.0, max(0.0, s.fraction(p))) * s.length


def covered(edge: Segment, other: Segment) -> tuple[float, float] | None:
    """The stretch of the edge (distances along it) that `other` lies on or touches."""
    if _apart(edge.bounds(), other.bounds()):
        return None
    n = max(2, min(400, math.ceil(other.length / TOUCH)))
    near = [other.at(k / n) for k in range(n + 1)]
    stations = [edge.fraction(p) * edge.length for p in near if edge.distance(p) <= TOUCH]
    stations += [d for p, d in ((edge.p, 0.0), (edge.q, edge.length)) if other.distance(p) <= TOUCH]
    return (min(stations), max(stations)) if stations else None


def _apart(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    """Whether two boxes are further apart than TOUCH."""
    return a[0] > b[2] + TOUCH or a[2] < b[0] - TOUCH or a[1] > b[3] + TOUCH or a[3] < b[1] - TOUCH


def _without(free: list[tuple[float, float]], a: float, b: float) -> list[tuple[float, float]]:
    out: list[tuple[float, float]] = []
    for lo, hi in free:
        out.extend(p for p in ((lo, min(hi, a)), (max(lo, b), hi)) if p[1] - p[0] > 1e-9)
    return out
