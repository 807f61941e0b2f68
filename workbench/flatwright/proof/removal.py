# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the bits take away: exact maps of the sheet by level.

A flat-ended bit at (x, y, z) clears the disc of its radius about (x, y) down to z. So the wood
that is gone at a level is the union of the discs of all path points at or below that level:
ramps and helices are clipped there, and passes that only repeat a path deeper count once.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from flatwright.proof.components import components
from flatwright.proof.sweeps import Box, Flags, Floats, Ints, Sweeps

ROUND = 0.001  # mm between a bit's drawn circle and its circle
GRAIN = 1e-4  # mm: path ends nearer than this are the same
EPS = 1e-6  # mm of height
CHAIN = 400  # pieces buffered as one line at most: longer ones cost more than they save


def paths_below(s: Sweeps, level: float) -> tuple[Floats, Floats, Floats]:
    """The parts of the paths at or below a level: (k, 2) starts, (k, 2) ends, (k,) radii; in
    running order, repeats left out."""
    za, zb = s.a[:, 2] - level, s.b[:, 2] - level
    inside = np.minimum(za, zb) <= EPS
    a, b, radius, za, zb = s.a[inside, :2], s.b[inside, :2], s.radius[inside], za[inside], zb[inside]
    with np.errstate(divide="ignore", invalid="ignore"):
        cross = za / (za - zb)
    point = a + (b - a) * np.where(np.isfinite(cross), cross, 0.0)[:, None]
    a = np.where((za > EPS)[:, None], point, a)
    b = np.where((zb > EPS)[:, None], point, b)
    kept = _worth_keeping(a, b, radius)
    return a[kept], b[kept], radius[kept]


def _worth_keeping(a: Floats, b: Floats, radius: Floats) -> Flags:
    """Drop what only repeats an earlier piece, but keep whole strokes that are mostly new:
    one long line costs less than its pieces."""
    new = _first_of_equals(a, b, radius)
    stroke = np.cumsum(_breaks(a, b)) - 1
    share = np.bincount(stroke, new) / np.maximum(1, np.bincount(stroke)) if len(stroke) else new
    return np.asarray(new | (share[stroke] >= 0.5), dtype=np.bool_)


def _breaks(a: Floats, b: Floats) -> Flags:
    """True where a piece does not go on from the one before."""
    out = np.ones(len(a), dtype=np.bool_)
    out[1:] = (np.abs(a[1:] - b[:-1]) > GRAIN).any(axis=1)
    return out


def _first_of_equals(a: Floats, b: Floats, radius: Floats) -> Flags:
    """True for the first of each set of equal pieces, whichever way they are run."""
    ka, kb = np.rint(a / GRAIN).astype(np.int64), np.rint(b / GRAIN).astype(np.int64)
    swap = (ka[:, 0] > kb[:, 0]) | ((ka[:, 0] == kb[:, 0]) & (ka[:, 1] > kb[:, 1]))
    first = np.where(swap[:, None], kb, ka)
    second = np.where(swap[:, None], ka, kb)
    key = np.column_stack([first, second, np.rint(radius / GRAIN).astype(np.int64)])
    order = np.lexsort(key.T)  # stable: equal rows stay in running order
    changed = np.ones(len(key), dtype=np.bool_)
    changed[1:] = (np.diff(key[order], axis=0) != 0).any(axis=1)
    first_ones = np.zeros(len(key), dtype=np.bool_)
    first_ones[order[changed]] = True
    return first_ones


def swept(s: Sweeps, level: float) -> BaseGeometry:
    """The region (mm, sheet coordinates) that is gone at a level."""
    a, b, radius = paths_below(s, level)
    shapes = [_swept(a[radius == r], b[radius == r], float(r)) for r in np.unique(radius)]
    return shapes[0] if len(shapes) == 1 else merged(shapely.get_parts(np.array(shapes, dtype=np.object_)))


class Maps:
    """The maps of one set of sweeps, each drawn once."""

    def __init__(self, s: Sweeps) -> None:
        self.sweeps = s
        self._drawn: dict[float, BaseGeometry] = {}

    def gone(self, level: float) -> BaseGeometry:
        """The region that is gone at a level."""
        key = round(level, 4)
        if key not in self._drawn:
            self._drawn[key] = swept(self.sweeps, level)
        return self._drawn[key]

    def near(self, box: Box) -> Maps:
        """The maps of the sweeps near a box."""
        return Maps(self.sweeps.near(box))


def merged(shapes: NDArray[np.object_]) -> BaseGeometry:
    """The union, taken cluster by cluster: far quicker than at once when most lie apart."""
    if len(shapes) == 0:
        return shapely.Polygon()
    tree = shapely.STRtree(shapes)
    near = tree.query(shapes, predicate="intersects")
    clusters = components(len(shapes), zip(*(row.tolist() for row in near), strict=True))
    pieces = [shapely.union_all(shapes[c]) if len(c) > 1 else shapes[c[0]] for c in clusters]
    return shapely.MultiPolygon(list(shapely.get_parts(np.array(pieces, dtype=np.object_))))


def _swept(a: Floats, b: Floats, r: float) -> BaseGeometry:
    if r <= 0.0:
        return shapely.Polygon()
    return merged(shapely.buffer(_chains(a, b), r, quad_segs=quarter(r)))


def _chains(a: Floats, b: Floats) -> NDArray[np.object_]:
    """Lines through pieces that follow each other; points where the bit only goes down."""
    moved = (np.abs(b - a) > GRAIN).any(axis=1)
    on_lines = {tuple(k) for k in np.rint(np.concatenate([a[moved], b[moved]]) / GRAIN).tolist()}
    down = np.unique(np.rint(a[~moved] / GRAIN), axis=0)
    down = np.array([k for k in down.tolist() if tuple(k) not in on_lines]).reshape(-1, 2)
    points = shapely.points(down * GRAIN)
    a, b = a[moved], b[moved]
    if not len(a):
        return np.asarray(points, dtype=np.object_)
    starts = _breaks(a, b)
    group = np.cumsum(starts) - 1
    place = np.arange(len(a)) - np.flatnonzero(starts)[group]
    starts |= place % CHAIN == 0
    ends = _ends(starts)
    # GEOS buffers a closed line as a ring, and up to 3.11 loses ground within a small one: leave it open
    closed = (np.abs(a[starts] - b[ends]) <= GRAIN).all(axis=1)
    starts[ends[closed]] = True
    group, ends = np.cumsum(starts) - 1, _ends(starts)
    coordinates = np.insert(a, ends + 1, b[ends], axis=0)
    owner = np.insert(group, ends + 1, group[ends])
    lines = shapely.linestrings(coordinates, indices=owner)
    return np.concatenate([points, lines])


def _ends(starts: Flags) -> Ints:
    """Index of the last piece of each line, from the flags of the first ones."""
    return np.append(np.flatnonzero(starts)[1:] - 1, len(starts) - 1)


def quarter(r: float, tolerance: float = ROUND) -> int:
    """Segments of a quarter circle that keep a drawn circle within the tolerance."""
    if r <= tolerance:
        return 2
    return max(4, math.ceil(math.pi / (4.0 * math.acos(1.0 - tolerance / r))))
