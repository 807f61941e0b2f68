# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How deep points lie inside the screw zones, and the deepest point of each patch of the sheet.

The search is the one for a pole of inaccessibility: square cells are split while their middle's depth
plus their half diagonal could still beat the best point of their patch.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.outline import Floats
from flatwright.geometry.polygon import parts

PATCH = 40.0  # mm: one candidate for each patch of this size
FINEST = 1.25  # mm: smallest cell
LEAST = 0.1  # mm: a candidate lies at least this deep
DIGITS = 1  # positions are given to 0.1 mm


class Depths:
    """The distance to the nearest border of the zones, negative outside them."""

    def __init__(self, zones: BaseGeometry) -> None:
        self.zones = zones
        shapely.prepare(self.zones)
        rings = [r for p in parts(zones) for r in (p.exterior, *p.interiors)]
        lines = [shapely.get_coordinates(r) for r in rings]
        ends = [np.stack([c[:-1], c[1:]], axis=1) for c in lines]
        pairs = np.concatenate(ends) if ends else np.empty((0, 2, 2))
        self.tree = shapely.STRtree([shapely.LineString(p) for p in pairs])

    def __call__(self, points: Floats) -> Floats:
        """(n, 2) mm -> (n,) mm."""
        if not len(points) or not len(self.tree.geometries):
            return np.full(len(points), -np.inf)
        nearest = self.tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
        depth = np.empty(len(points))
        depth[nearest[0][0]] = nearest[1]
        inside = shapely.contains_xy(self.zones, points[:, 0], points[:, 1])
        return np.asarray(np.where(inside, depth, -depth), dtype=np.float64)


def deepest(depths: Floats) -> int:
    """Index of the first of the greatest values; values within 0.01 mm are equal, whatever the kernel."""
    return int(np.flatnonzero(depths >= depths.max() - 0.01)[0])


def candidate_points(size: tuple[float, float], depths: Depths) -> tuple[Floats, Floats]:
    """(n, 2) points to 0.1 mm, the deepest of each patch of the sheet, and their depths (n,) mm."""
    nx, ny = (math.ceil(v / PATCH) for v in size)
    gx, gy = np.meshgrid(np.arange(nx), np.arange(ny))
    middles = np.stack([gx.ravel(), gy.ravel()], axis=1) * PATCH + PATCH / 2.0
    cells: Floats = np.asarray(middles, dtype=np.float64)
    patch = np.arange(len(cells))
    best = np.full(len(cells), -np.inf)
    where = cells.copy()
    half = PATCH / 2.0
    while half >= FINEST / 2.0:
        depth = depths(cells)
        for k in np.flatnonzero(depth > best[patch] + 0.01).tolist():
            if depth[k] > best[patch[k]] + 0.01:
                best[patch[k]], where[patch[k]] = depth[k], cells[k]
        bound = depth + half * math.sqrt(2.0)
        alive = (bound > best[patch] + 0.05) & (bound > LEAST)
        cells, patch = _quartered(cells[alive], half / 2.0), np.repeat(patch[alive], 4)
        half /= 2.0
    points = np.round(where, DIGITS)
    found = depths(points)
    return points[found > LEAST], found[found > LEAST]


def _quartered(cells: Floats, quarter: float) -> Floats:
    """The four middles of each cell's quarters, cell by cell."""
    steps = np.array([(-1, -1), (1, -1), (-1, 1), (1, 1)]) * quarter
    return np.asarray((cells[:, None] + steps[None]).reshape(-1, 2), dtype=np.float64)
