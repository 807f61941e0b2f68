# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a round bit can reach: opening and closing by its disc (CHECKS GEO-5, GEO-14), and which
bit cut along a loop."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.proof.removal import quarter
from flatwright.proof.sweeps import Sweeps

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
        self._trees: dict[tuple[float, float], shapely.STRtree] = {}
        self.largest = float(s.radius.max()) if len(s) else 0.0

    def radius(self, loop: BaseGeometry, level: float) -> float:
        """Radius of the smallest bit whose path at or below `level` runs at its radius from a loop
        (a line), over at least SHARE of its length."""
        step = max(0.5, loop.length / 400)
        corners = shapely.get_coordinates(shapely.segmentize(loop, step))
        points = np.asarray(shapely.points(corners), dtype=np.object_)
        for r in np.unique(self._feeds.radius).tolist():
            _, distance = self._tree(r, level).query_nearest(
                points, max_distance=r + TOUCH, return_distance=True, all_matches=False
            )
            if np.count_nonzero(np.abs(distance - r) < TOUCH) >= SHARE * len(points):
                return float(r)
        return self.largest

    def _tree(self, r: float, level: float) -> shapely.STRtree:
        key = (r, round(level, 3))
        if key not in self._trees:
            s = self._feeds
            self._trees[key] = shapely.STRtree(s.take((s.radius == r) & (s.lowest() <= level)).lines())
        return self._trees[key]
