# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A closed tool-centre curve measured by the length along it (mm from its first point)."""

from __future__ import annotations

import math
from bisect import bisect_right
from itertools import accumulate

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.outline import Outline


class Track:
    """Lines and arcs in running order; stations wrap round at `length`. Immutable once made."""

    def __init__(self, curve: Outline) -> None:
        self.curve = curve
        self.segments = curve.segments()
        self.starts = [0.0, *accumulate(s.length for s in self.segments)]
        self.length = self.starts[-1]

    def at(self, station: float) -> Point:
        """The point at a station."""
        k, t = self._locate(station % self.length)
        return self.segments[k].at(t)

    def pieces(self, a: float, b: float) -> list[Segment]:
        """The lines and arcs from station a on to b >= a, over the start as often as needed."""
        out: list[Segment] = []
        lap = math.floor(a / self.length + 1e-12)
        while lap * self.length < b - 1e-9:
            for k, s in enumerate(self.segments):
                lo, hi = (lap * self.length + v for v in (self.starts[k], self.starts[k + 1]))
                u, v = max(lo, a), min(hi, b)
                if v - u > 1e-7:
                    out.append(s.part((u - lo) / s.length, (v - lo) / s.length))
            lap += 1
        return out

    def nearest(self, p: Point) -> tuple[float, float]:
        """(station, distance) of the point of the curve nearest to p; the first of equals."""
        best = (0.0, math.inf)
        for k, s in enumerate(self.segments):
            t = min(1.0, max(0.0, s.fraction(p)))
            if s.distance(p) < math.dist(p, s.at(t)) - 1e-9:  # beyond an arc's end the other end is nearer
                t = 0.0 if math.dist(p, s.p) < math.dist(p, s.q) else 1.0
            d = math.dist(p, s.at(t))
            if d < best[1] - 1e-6:
                best = (self.starts[k] + t * s.length, d)
        return best

    def _locate(self, station: float) -> tuple[int, float]:
        k = min(max(bisect_right(self.starts, station) - 1, 0), len(self.segments) - 1)
        return k, min(1.0, max(0.0, (station - self.starts[k]) / self.segments[k].length))
