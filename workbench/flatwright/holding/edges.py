# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The stretches of a laid part's edges that may carry the middle of a tab. Sheet coordinates."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.outline import Outline, simplified
from flatwright.plan import Placement

WITH_GRAIN = math.radians(10.0)  # an edge this near to the fibres' direction runs with the grain
GENTLE = 25.0  # mm: a curve of a smaller radius carries no tab
TOUCH = 0.5  # mm: what is nearer to an edge lies on it
CORNER = 6.0  # mm: kept free beside a corner, beyond the tab's own footprint
LEAST = 1.0  # mm: of that, where a part has no other room for tabs
STEP = 12.0  # mm: between the places that are tried on an edge
MOST = 12  # steps on one stretch
SMOOTH = math.radians(5.5)  # edges that meet at less of a corner go on into each other
FACET = 30.0  # mm: a line that goes on so is a piece of a curve if it is shorter
BEYOND = 100.0  # mm: how far an edge is followed into those that it goes on into


@dataclass(frozen=True, slots=True)
class Edge:
    """A line or gentle arc of loop `loop` (0 the outline, k hole k); `free` distances along it, mm,
    at which a tab's middle may stand. `chain`: the edge itself and, of a piece of a curve, the gentle edges
    that it goes on into without a corner, each with where it begins, mm along this one."""

    loop: int
    segment: Segment
    with_grain: bool
    free: tuple[tuple[float, float], ...]
    chain: tuple[tuple[float, Segment], ...]

    def stations(self, most: int = MOST) -> list[float]:
        """Distances along the edge to try: both ends of each free stretch and even steps between, so many at
        `most`; of a short piece of a curve its middle."""
        out: list[float] = []
        for a, b in self.free:
            n = max(2, min(most, round((b - a) / STEP)))
            if len(self.chain) > 1 and b - a < 2.0 * STEP:
                out.append((a + b) / 2.0)
            else:
                out.extend([a] if b - a < 1.0 else [a + (b - a) * k / n for k in range(n + 1)])
        return out

    @property
    def straight(self) -> bool:
        """A line, and no piece of a curve."""
        return self.segment.is_line and len(self.chain) == 1

    def ends(self) -> tuple[float, float]:
        """Where the chain begins and ends, mm along this edge."""
        return min(a for a, _ in self.chain), max(a + s.length for a, s in self.chain)

    def covered(self, other: Segment) -> list[tuple[float, float]]:
        """The stretches of the chain, in distances along this edge, that `other` lies on or touches."""
        hits = ((start, covered(s, other)) for start, s in self.chain)
        return [(start + h[0], start + h[1]) for start, h in hits if h is not None]

    def admits(self, station: float) -> bool:
        return any(a - 1e-3 <= station <= b + 1e-3 for a, b in self.free)

    def at(self, station: float) -> tuple[Point, Point]:
        """(point on the edge, unit normal away from the wood)."""
        t = station / self.segment.length
        ux, uy = self.segment.direction(t)
        return self.segment.at(t), (uy, -ux)


def edges(
    loop: Outline,
    index: int,
    keep_clear: Sequence[Segment],
    footprint: float,
    fibres: float,
    corner: float = CORNER,
    inside: float = CORNER,
) -> list[Edge]:
    """The loop's edges that have room for a tab.

    `footprint` is half of the edge that the tab takes up (mm), `fibres` the grain's direction (radians),
    `corner` what is kept free beside a corner (mm), `inside` that beside an inside corner, where the bit
    turns off its radius before the edge ends.
    """
    out: list[Edge] = []
    boxes = [(c, c.bounds()) for c in keep_clear]
    segments = simplified(loop).segments()
    for k, s in enumerate(segments):
        if not _gentle(s):
            continue
        whole = _whole(index, segments, k, (), fibres)
        low, high = whole.ends()
        before, after = (
            inside if len(whole.chain) > 1 or _turns_in(a, b) else corner
            for a, b in ((segments[k - 1], s), (s, segments[(k + 1) % len(segments)]))
        )
        free = [(max(0.0, low + footprint + before), min(s.length, high - footprint - after))]
        around = [g.bounds() for _, g in whole.chain]
        for c in (c for c, box in boxes if not all(_apart(g, box) for g in around)):
            for a, b in whole.covered(c):
                free = _without(free, a - footprint, b + footprint)
        kept = tuple((a, b) for a, b in free if b - a > -1e-9)
        if kept:
            out.append(replace(whole, free=kept))
    return out


def _turns_in(a: Segment, b: Segment) -> bool:
    """Whether the wood is concave where edge b follows on edge a."""
    (ax, ay), (bx, by) = a.direction(1.0), b.direction(0.0)
    return ax * by - ay * bx < -1e-3


def _whole(
    loop: int, segments: Sequence[Segment], k: int, free: tuple[tuple[float, float], ...], fibres: float
) -> Edge:
    edge = Edge(loop, segments[k], False, free, _chain(segments, k))
    return replace(edge, with_grain=edge.straight and along(segments[k], fibres))


def _gentle(s: Segment) -> bool:
    return s.is_line or round(s.radius, 3) >= GENTLE


def _chain(segments: Sequence[Segment], k: int) -> tuple[tuple[float, Segment], ...]:
    """Edge k of a loop, and of an arc or a short line what it goes on into both ways, up to BEYOND. A tab may
    bend with a curve, but one on a long line keeps to it."""
    own = segments[k]
    if own.is_line and own.length >= FACET:
        return ((0.0, own),)
    out = [(0.0, own)]
    for way in (1, -1):
        at, last = (own.length if way > 0 else 0.0), own
        for j in range(1, len(segments)):
            s = segments[(k + way * j) % len(segments)]
            beyond = at - own.length if way > 0 else -at
            if beyond >= BEYOND or not _gentle(s) or not _smooth(*((last, s) if way > 0 else (s, last))):
                break
            out.append((at if way > 0 else at - s.length, s))
            at, last = at + way * s.length, s
    return tuple(out)


def _smooth(a: Segment, b: Segment) -> bool:
    """Whether edge b goes on where edge a ends, without a corner."""
    (ax, ay), (bx, by) = a.direction(1.0), b.direction(0.0)
    turn = abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by))
    bends = turn * GENTLE > (a.length + b.length) / 2.0 and a.is_line and b.is_line  # as a sharp curve does
    return turn <= SMOOTH and not bends


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
    k = min(range(len(segments)), key=lambda n: round(segments[n].distance(p), 3))
    s = segments[k]
    edge = _whole(index, segments, k, ((0.0, s.length),), fibres)
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
