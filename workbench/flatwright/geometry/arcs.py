# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One segment of an outline: a line or an arc given by two ends and a bulge.

bulge = tan(sweep / 4), positive counter-clockwise, 0 for a line: the convention of the
open DXF format (group code 42 of LWPOLYLINE). Angles are radians, lengths mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

Point = tuple[float, float]

FLAT = 1e-9  # a bulge below this is a line: on a 2 m chord the sagitta is then 1e-6 mm


def centre(p: Point, q: Point, bulge: float) -> Point:
    """Centre of the arc from p to q; raises ZeroDivisionError for a line.

    >>> centre((1.0, 0.0), (-1.0, 0.0), 1.0)
    (0.0, 0.0)
    """
    k = (1.0 - bulge * bulge) / (4.0 * bulge)
    dx, dy = q[0] - p[0], q[1] - p[1]
    return ((p[0] + q[0]) / 2.0 - dy * k, (p[1] + q[1]) / 2.0 + dx * k)


def radius(p: Point, q: Point, bulge: float) -> float:
    """Radius of the arc from p to q; infinite for a line."""
    if abs(bulge) < FLAT:
        return math.inf
    return math.dist(p, q) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))


def bulge_about(c: Point, p: Point, q: Point, ccw: bool) -> float:
    """Bulge of the arc about centre c from p to q in the given sense.

    The sweep is taken in (0, 2π); equal ends give 0, not a full circle.
    """
    a = math.atan2(p[1] - c[1], p[0] - c[0])
    b = math.atan2(q[1] - c[1], q[0] - c[0])
    sweep = (b - a) % math.tau if ccw else (a - b) % math.tau
    if sweep > math.tau - 1e-12:
        sweep = 0.0
    value = math.tan(sweep / 4.0)
    return value if ccw else -value


def bulge_through(p: Point, m: Point, q: Point) -> float:
    """Bulge of the arc from p through m to q; 0 when the three lie on a line."""
    ax, ay = p[0] - m[0], p[1] - m[1]
    bx, by = q[0] - m[0], q[1] - m[1]
    cross = ax * by - ay * bx
    dot = ax * bx + ay * by
    inscribed = math.atan2(cross, dot)  # angle p-m-q, signed
    if abs(cross) < 1e-14 * (1.0 + math.hypot(ax, ay) * math.hypot(bx, by)):
        return 0.0
    # sweep/2 = π - |inscribed angle|; an arc turning left sees m on the right of p->q
    half = math.pi - abs(inscribed)
    return -math.copysign(math.tan(half / 2.0), inscribed)


@dataclass(frozen=True, slots=True)
class Segment:
    """A line or arc from `p` to `q` with bulge `b`."""

    p: Point
    q: Point
    b: float = 0.0

    @property
    def is_line(self) -> bool:
        return abs(self.b) < FLAT

    @property
    def chord(self) -> float:
        return math.dist(self.p, self.q)

    @property
    def centre(self) -> Point:
        return centre(self.p, self.q, self.b)

    @property
    def radius(self) -> float:
        return radius(self.p, self.q, self.b)

    @property
    def sweep(self) -> float:
        """Signed sweep in radians, 0 for a line."""
        return 4.0 * math.atan(self.b)

    @property
    def length(self) -> float:
        if self.is_line:
            return self.chord
        return self.radius * abs(self.sweep)

    def at(self, t: float) -> Point:
        """The point at fraction t of the length."""
        if self.is_line:
            return (
                self.p[0] + (self.q[0] - self.p[0]) * t,
                self.p[1] + (self.q[1] - self.p[1]) * t,
            )
        c = self.centre
        a = math.atan2(self.p[1] - c[1], self.p[0] - c[0]) + self.sweep * t
        r = self.radius
        return (c[0] + r * math.cos(a), c[1] + r * math.sin(a))

    def direction(self, t: float) -> Point:
        """Unit tangent at fraction t of the length."""
        if self.is_line:
            d = self.chord or 1.0
            return ((self.q[0] - self.p[0]) / d, (self.q[1] - self.p[1]) / d)
        c = self.centre
        x, y = self.at(t)
        s = math.copysign(1.0 / self.radius, self.b)
        return (-(y - c[1]) * s, (x - c[0]) * s)

    def reversed(self) -> Segment:
        return Segment(self.q, self.p, -self.b)

    def part(self, t0: float, t1: float) -> Segment:
        """The piece between two fractions of the length."""
        p = self.p if t0 <= 0.0 else self.at(t0)
        q = self.q if t1 >= 1.0 else self.at(t1)
        return Segment(p, q, 0.0 if self.is_line else math.tan(self.sweep * (t1 - t0) / 4.0))

    def fraction(self, x: Point) -> float:
        """Fraction of the length at the foot of x; below 0 or above 1 beyond the ends."""
        if self.is_line:
            dx, dy = self.q[0] - self.p[0], self.q[1] - self.p[1]
            return ((x[0] - self.p[0]) * dx + (x[1] - self.p[1]) * dy) / (dx * dx + dy * dy)
        c = self.centre
        a = math.atan2(self.p[1] - c[1], self.p[0] - c[0])
        e = math.atan2(x[1] - c[1], x[0] - c[0])
        sweep = self.sweep
        turn = (e - a) % math.tau if sweep > 0 else (a - e) % math.tau
        total = abs(sweep)
        # beyond the end: count the nearer way round
        if turn > total + (math.tau - total) / 2.0:
            turn -= math.tau
        return turn / total

    def distance(self, x: Point) -> float:
        """Distance from x to the segment."""
        t = self.fraction(x)
        if 0.0 <= t <= 1.0:
            if self.is_line:
                return math.dist(x, self.at(t))
            return abs(math.dist(x, self.centre) - self.radius)
        return min(math.dist(x, self.p), math.dist(x, self.q))

    def bounds(self) -> tuple[float, float, float, float]:
        """(xmin, ymin, xmax, ymax)."""
        xs = [self.p[0], self.q[0]]
        ys = [self.p[1], self.q[1]]
        if not self.is_line:
            c, r = self.centre, self.radius
            for k in range(4):
                x = (c[0] + r * math.cos(k * math.pi / 2), c[1] + r * math.sin(k * math.pi / 2))
                if 0.0 < self.fraction(x) < 1.0:
                    xs.append(x[0])
                    ys.append(x[1])
        return (min(xs), min(ys), max(xs), max(ys))

    def flattened(self, tolerance: float) -> list[Point]:
        """Points from p (included) to q (left out) whose chords stay within the tolerance."""
        if self.is_line:
            return [self.p]
        r = self.radius
        step = 2.0 * math.acos(max(-1.0, 1.0 - tolerance / r)) if r > tolerance else math.pi
        n = max(1, math.ceil(abs(self.sweep) / step - 1e-9))
        (cx, cy), (px, py), sweep = self.centre, self.p, self.sweep
        a = math.atan2(py - cy, px - cx)
        angles = [a + sweep * (k / n) for k in range(1, n)]
        return [self.p, *((cx + r * math.cos(x), cy + r * math.sin(x)) for x in angles)]


def intersections(s: Segment, t: Segment, eps: float = 1e-9) -> list[tuple[float, float]]:
    """Fractions (on s, on t) at which two segments meet, touching ends included.

    `eps` is a length: how far beyond an end still counts. Segments that overlap along a
    piece give the ends of the common piece.
    """
    es = eps / max(s.length, eps)
    et = eps / max(t.length, eps)
    out: list[tuple[float, float]] = []
    for x in centre_points(s, t):
        a, b = s.fraction(x), t.fraction(x)
        if -es <= a <= 1.0 + es and -et <= b <= 1.0 + et:
            out.append((min(1.0, max(0.0, a)), min(1.0, max(0.0, b))))
    return out


def centre_points(s: Segment, t: Segment) -> list[Point]:
    """Points common to the full line or circle of each."""
    if s.is_line and t.is_line:
        return _line_line(s, t)
    if s.is_line:
        return _line_circle(s, t.centre, t.radius)
    if t.is_line:
        return _line_circle(t, s.centre, s.radius)
    points = _circle_circle(s.centre, s.radius, t.centre, t.radius)
    if points is None:  # one circle: the ends are the only candidates
        return [s.p, s.q, t.p, t.q]
    return points


def _line_line(s: Segment, t: Segment) -> list[Point]:
    ux, uy = s.direction(0.0)
    vx, vy = t.direction(0.0)
    wx, wy = t.p[0] - s.p[0], t.p[1] - s.p[1]
    cross = ux * vy - uy * vx
    if abs(cross) < 1e-12:
        if abs(wx * uy - wy * ux) < 1e-9:
            return [s.p, s.q, t.p, t.q]
        return []
    k = (wx * vy - wy * vx) / cross
    return [(s.p[0] + ux * k, s.p[1] + uy * k)]


def _line_circle(s: Segment, c: Point, r: float) -> list[Point]:
    ux, uy = s.direction(0.0)
    k = (c[0] - s.p[0]) * ux + (c[1] - s.p[1]) * uy
    fx, fy = s.p[0] + ux * k, s.p[1] + uy * k
    h2 = r * r - (fx - c[0]) ** 2 - (fy - c[1]) ** 2
    if h2 < -1e-9 * max(1.0, r):
        return []
    h = math.sqrt(max(0.0, h2))
    if h < 1e-7:
        return [(fx, fy)]
    return [(fx - ux * h, fy - uy * h), (fx + ux * h, fy + uy * h)]


def _circle_circle(c: Point, r: float, e: Point, q: float) -> list[Point] | None:
    d = math.dist(c, e)
    if d < 1e-9:
        return None if abs(r - q) < 1e-9 else []
    a = (d * d + r * r - q * q) / (2.0 * d)
    h2 = r * r - a * a
    if h2 < -1e-9 * max(1.0, r):
        return []
    h = math.sqrt(max(0.0, h2))
    ux, uy = (e[0] - c[0]) / d, (e[1] - c[1]) / d
    fx, fy = c[0] + ux * a, c[1] + uy * a
    if h < 1e-7:
        return [(fx, fy)]
    return [(fx - uy * h, fy + ux * h), (fx + uy * h, fy - ux * h)]
