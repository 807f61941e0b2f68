# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a round bit can reach: opening and closing by its disc (CHECKS GEO-5, GEO-14), and which
bit cut along a loop."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from flatwright.proof.removal import quarter
from flatwright.proof.sweeps import Floats, Ints, Sweeps

SLACK = 0.01  # mm taken off the bit, so that a relief of exactly its radius is not lost
TOUCH = 0.1  # mm: a path this near to its offset from a loop is taken to cut the loop
SHARE = 0.05  # of the loop's length that must be touched


def opened(region: BaseGeometry, r: float) -> BaseGeometry:
    """The part of a region that discs of radius r inside it can cover."""
    return opened_each([region], [r])[0]


def opened_each(regions: Sequence[BaseGeometry], radii: Sequence[float]) -> list[BaseGeometry]:
    """`opened` of many regions, each by its own radius."""
    d = np.maximum(np.asarray(radii, dtype=np.float64) - SLACK, 0.0)
    n = quarter(float(d.max())) if len(d) else 2
    shapes = np.array(list(regions), dtype=np.object_)
    return list(shapely.buffer(shapely.buffer(shapes, -d, quad_segs=n), d, quad_segs=n))


def closed(shape: BaseGeometry, r: float) -> BaseGeometry:
    """A shape of wood with its concave corners filled as the disc of radius r leaves them."""
    d = max(r - SLACK, 0.0)
    n = quarter(d)
    return shape.buffer(d, quad_segs=n).buffer(-d, quad_segs=n)


class Cutters:
    """Tells which bit cut along a loop. `largest` is the radius to assume where none did."""

    def __init__(self, s: Sweeps) -> None:
        self._feeds = s.take(~s.rapid)
        self._paths: dict[tuple[float, float], tuple[Floats, Floats, shapely.STRtree]] = {}
        self.largest = float(s.radius.max()) if len(s) else 0.0

    def radius(self, loop: BaseGeometry, level: float) -> float:
        """Radius of the smallest bit whose path at or below `level` runs at its radius from a loop
        (a line), over at least SHARE of its length."""
        return self.radii([loop], level)[0]

    def radii(self, loops: Sequence[BaseGeometry], level: float) -> list[float]:
        """`radius` of many loops at once."""
        lines = np.array(list(loops), dtype=np.object_)
        points, owner = _sampled(lines)
        count = np.maximum(1, np.bincount(owner, minlength=len(lines)))
        out = np.full(len(lines), np.nan)
        for r in np.unique(self._feeds.radius).tolist():
            touched = np.abs(self._distance(points, r, level) - r) < TOUCH
            share = np.bincount(owner, touched, len(lines)) / count
            out[np.isnan(out) & (share >= SHARE)] = r
        return [float(r) for r in np.where(np.isnan(out), self.largest, out)]

    def _distance(self, points: Floats, r: float, level: float) -> Floats:
        """(n,) how far points are from the paths of a bit, infinite beyond its reach."""
        a, b, tree = self._paths_of(r, level)
        out = np.full(len(points), np.inf)
        i, k = tree.query(shapely.points(points), predicate="dwithin", distance=r + TOUCH)
        way, to = b[k] - a[k], points[i] - a[k]
        length = np.maximum((way**2).sum(axis=1), 1e-12)
        along = np.clip((way * to).sum(axis=1) / length, 0.0, 1.0)
        np.minimum.at(out, i, np.hypot(*(to - along[:, None] * way).T))
        return out

    def _paths_of(self, r: float, level: float) -> tuple[Floats, Floats, shapely.STRtree]:
        key = (r, round(level, 3))
        if key not in self._paths:
            s = self._feeds
            s = s.take((s.radius == r) & (s.lowest() <= level))
            once = np.unique(np.column_stack([s.a[:, :2], s.b[:, :2]]), axis=0, return_index=True)[1]
            s = s.take(once)
            self._paths[key] = (s.a[:, :2], s.b[:, :2], shapely.STRtree(s.lines()))
        return self._paths[key]


def _sampled(lines: NDArray[np.object_]) -> tuple[Floats, Ints]:
    """(n, 2) points along lines, not too far apart, and the line of each."""
    steps = np.maximum(0.5, shapely.length(lines) / 400)
    points, owner = shapely.get_coordinates(shapely.segmentize(lines, steps), return_index=True)
    return np.asarray(points, dtype=np.float64), np.asarray(owner, dtype=np.int64)
