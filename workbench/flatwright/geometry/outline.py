# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Outlines: closed loops of lines and arcs, exact from the model to the program.

Outer loops run counter-clockwise, holes and pockets clockwise: material is always on the
left of the direction of travel.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from flatwright.geometry.arcs import FLAT, Point, Segment

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """A closed loop: `points` (n, 2) float mm, `bulges` (n,) float; segment i ends at point i + 1."""

    points: Floats
    bulges: Floats
    _segments: list[tuple[Segment, ...]] = field(init=False, repr=False, default_factory=list)
    _area: list[float] = field(init=False, repr=False, default_factory=list)
    _box: list[tuple[float, float, float, float]] = field(init=False, repr=False, default_factory=list)

    def __post_init__(self) -> None:
        points = np.array(self.points, dtype=np.float64).reshape(-1, 2)
        bulges = np.array(self.bulges, dtype=np.float64).reshape(-1)
        if len(points) != len(bulges) or len(points) < 2:
            raise ValueError("an outline needs as many bulges as points, and at least two")
        points.flags.writeable = False
        bulges.flags.writeable = False
        object.__setattr__(self, "points", points)
        object.__setattr__(self, "bulges", bulges)

    def __len__(self) -> int:
        return len(self.bulges)

    def segments(self) -> list[Segment]:
        """The segments in order."""
        return list(self._chain())

    def _chain(self) -> tuple[Segment, ...]:
        if not self._segments:  # made when first asked for: many loops are only on the way to another
            ends: list[Point] = [(x, y) for x, y in self.points.tolist()]
            self._segments.append(tuple(map(Segment, ends, ends[1:] + ends[:1], self.bulges.tolist())))
        return self._segments[0]

    def area(self) -> float:
        """Signed area, positive counter-clockwise (Green's theorem, arcs exact).

        >>> round(circle((0, 0), 3).area(), 5)
        28.27433
        """
        if not self._area:
            self._area.append(chain_area(self._chain()))
        return self._area[0]

    def length(self) -> float:
        """Length of the whole loop."""
        return sum(s.length for s in self._chain())

    def bounds(self) -> tuple[float, float, float, float]:
        """(xmin, ymin, xmax, ymax), arcs included."""
        if not self._box:
            curved = [s.bounds() for s in self._chain() if not s.is_line] if self.bulges.any() else []
            ends = [(x, y, x, y) for x, y in self.points.tolist()]
            x0, y0, x1, y1 = zip(*ends, *curved, strict=True)
            self._box.append((min(x0), min(y0), max(x1), max(y1)))
        return self._box[0]

    def reversed(self) -> Outline:
        """The same loop run the other way, from the same first point."""
        points = np.roll(self.points[::-1], 1, axis=0)
        return Outline(points, -self.bulges[::-1])

    def ccw(self) -> Outline:
        """This loop run counter-clockwise."""
        return self if self.area() > 0 else self.reversed()

    def cw(self) -> Outline:
        """This loop run clockwise."""
        return self if self.area() < 0 else self.reversed()

    def started_at(self, index: int) -> Outline:
        """The same loop starting at point `index`."""
        return Outline(np.roll(self.points, -index, axis=0), np.roll(self.bulges, -index))

    def moved(self, shift: Sequence[float] = (0.0, 0.0), angle: float = 0.0, mirror: bool = False) -> Outline:
        """Mirror u if asked, then turn by `angle` radians, then shift.

        A mirrored loop runs the other way round.
        """
        if not angle and not mirror:
            return Outline(self.points + np.asarray(shift, dtype=np.float64), self.bulges)
        pts = self.points.copy()
        bulges = self.bulges
        if mirror:
            pts[:, 0] = -pts[:, 0]
            bulges = -bulges
        c, s = math.cos(angle), math.sin(angle)
        turned = pts @ np.array([[c, s], [-s, c]])
        return Outline(turned + np.asarray(shift, dtype=np.float64), bulges)

    def as_json(self, digits: int = 6) -> dict[str, Any]:
        """{"points": [[u, v], ...], "bulges": [...]} rounded (6 decimals: below 1e-6 mm)."""
        return {
            "points": [[clean(x, digits), clean(y, digits)] for x, y in self.points.tolist()],
            "bulges": [clean(b, 9) for b in self.bulges.tolist()],
        }

    @staticmethod
    def from_json(data: dict[str, Any]) -> Outline:
        return Outline(np.array(data["points"]), np.array(data["bulges"]))


def chain_area(segments: Iterable[Segment]) -> float:
    """Signed area within a closed chain, arcs exact."""
    total = 0.0
    for s in segments:
        total += (s.p[0] * s.q[1] - s.q[0] * s.p[1]) / 2.0
        if not s.is_line:
            a = abs(s.sweep)
            total += math.copysign(0.5, s.b) * s.radius**2 * (a - math.sin(a))
    return total


def clean(x: float, digits: int) -> float:
    """Round, and never write -0.0."""
    return round(float(x), digits) + 0.0


def polygon_outline(points: Iterable[Sequence[float]]) -> Outline:
    """An outline of straight lines."""
    pts = np.array([tuple(p) for p in points], dtype=np.float64)
    return Outline(pts, np.zeros(len(pts)))


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Outline:
    """A counter-clockwise rectangle."""
    return polygon_outline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def circle(c: Sequence[float], r: float) -> Outline:
    """A counter-clockwise circle as two half turns."""
    return Outline(np.array([[c[0] - r, c[1]], [c[0] + r, c[1]]], dtype=np.float64), np.array([1.0, 1.0]))


def from_segments(segments: Sequence[Segment]) -> Outline:
    """The loop through the segments' start points."""
    return Outline(np.array([s.p for s in segments]), np.array([s.b for s in segments]))


def is_circle(outline: Outline, tolerance: float = 1e-4) -> tuple[Point, float] | None:
    """(centre, radius) if every segment lies on one circle, else None."""
    segs = outline.segments()
    if any(s.is_line for s in segs):
        return None
    c, r = segs[0].centre, segs[0].radius
    for s in segs[1:]:
        if math.dist(s.centre, c) > tolerance or abs(s.radius - r) > tolerance:
            return None
    return c, r


def simplified(outline: Outline, tolerance: float = 1e-6) -> Outline:
    """Drop points of no length and join collinear lines and equal arcs.

    A full circle keeps two points.
    """
    segs = [s for s in outline.segments() if s.chord > tolerance]
    if len(segs) == len(outline) and not any(map(_may_join, segs[-1:] + segs[:-1], segs)):
        return outline
    changed = True
    while changed and len(segs) > 2:
        changed = False
        for i in range(len(segs)):
            a, b = segs[i - 1], segs[i]
            joined = _joined(a, b, tolerance)
            if joined is not None:
                segs[i] = joined
                del segs[i - 1]
                changed = True
                break
    if len(segs) < 2:
        raise ValueError("the outline has no extent")
    return from_segments(segs)


def _may_join(a: Segment, b: Segment) -> bool:
    """False for the many neighbours that turn by more than 60 degrees or from a line into an arc."""
    if not (a.is_line and b.is_line):
        return not (a.is_line or b.is_line)
    ux, uy, vx, vy = a.q[0] - a.p[0], a.q[1] - a.p[1], b.q[0] - b.p[0], b.q[1] - b.p[1]
    return abs(ux * vy - uy * vx) < 1.74 * (ux * vx + uy * vy)


def _joined(a: Segment, b: Segment, tolerance: float) -> Segment | None:
    if a.is_line and b.is_line:
        (ux, uy), (vx, vy) = a.direction(0.0), b.direction(0.0)
        if ux * vx + uy * vy < 0.5:
            return None
        whole = Segment(a.p, b.q)
        return whole if whole.distance(a.q) < tolerance else None
    if a.is_line or b.is_line or (a.b > 0) != (b.b > 0):
        return None
    if math.dist(a.centre, b.centre) > tolerance or abs(a.radius - b.radius) > tolerance:
        return None
    sweep = a.sweep + b.sweep
    if abs(sweep) > math.tau - 0.1:
        return None
    b_new = math.tan(sweep / 4.0)
    return Segment(a.p, b.q, b_new) if abs(b_new) > FLAT else None
