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
    """Drop what only repeats other pieces, but keep strokes that are mostly new whole, from their
    first new piece to their last: one long line costs less than its pieces."""
    new = ~_repeated(a, b, radius)
    if not new.any():
        return new
    stroke = np.cumsum(_breaks(a, b)) - 1
    share = np.bincount(stroke, new) / np.bincount(stroke)
    before, after = np.cumsum(new), np.cumsum(new[::-1])[::-1]
    starts = np.flatnonzero(_breaks(a, b))
    begun = before > (before - new)[starts][stroke]
    goes_on = after > (after - new)[_ends(_breaks(a, b))][stroke]
    return np.asarray(new | ((share[stroke] >= 0.5) & begun & goes_on), dtype=np.bool_)


def _breaks(a: Floats, b: Floats) -> Flags:
    """True where a piece does not go on from the one before."""
    out = np.ones(len(a), dtype=np.bool_)
    out[1:] = (np.abs(a[1:] - b[:-1]) > GRAIN).any(axis=1)
    return out


def _repeated(a: Floats, b: Floats, radius: Floats) -> Flags:
    """True for pieces that lie within another one of the same bit on the same line, whichever way they
    are run; of equal ones all but the first. Slanted pieces count only when they are equal."""
    line, low, high = _on_lines(a, b, radius)
    order = np.lexsort((-high, low, *line.T[::-1]))  # stable: equal rows stay in running order
    new_line, reached = _reached(line[order], high[order])
    out = np.zeros(len(a), dtype=np.bool_)
    out[order[1:]] = ~new_line[1:] & (high[order][1:] <= reached[:-1])
    return out


def _on_lines(a: Floats, b: Floats, radius: Floats) -> tuple[Ints, Ints, Ints]:
    """(n, 6) the line of each piece with its bit, as whole numbers of GRAIN, and from where to where on it.
    A slanted piece has a line of its own."""
    ka, kb = np.rint(a / GRAIN).astype(np.int64), np.rint(b / GRAIN).astype(np.int64)
    swap = (ka[:, 0] > kb[:, 0]) | ((ka[:, 0] == kb[:, 0]) & (ka[:, 1] > kb[:, 1]))
    first = np.where(swap[:, None], kb, ka)
    second = np.where(swap[:, None], ka, kb)
    level, upright = first[:, 1] == second[:, 1], first[:, 0] == second[:, 0]
    kind = np.where(level, 1, np.where(upright, 2, 0))
    k = np.where(kind == 2, 1, 0)[:, None]
    low, high = np.take_along_axis(first, k, 1)[:, 0], np.take_along_axis(second, k, 1)[:, 0]
    bit = np.rint(radius / GRAIN).astype(np.int64)
    line = np.column_stack([kind, bit, first, second])
    line[kind == 1, 2], line[kind == 1, 4] = 0, 0  # only y and the bit count
    line[kind == 2, 3], line[kind == 2, 5] = 0, 0
    return line, low, high


def _reached(line: Ints, high: Ints) -> tuple[Flags, Ints]:
    """Of sorted pieces: True where another line begins, and how far its pieces have reached up to each."""
    new_line = np.ones(len(line), dtype=np.bool_)
    new_line[1:] = (line[1:] != line[:-1]).any(axis=1)
    if not len(line):
        return new_line, high
    far = int(high.max() - high.min()) + 1  # lifts each line over all before it
    lift = np.cumsum(new_line) * far
    return new_line, np.maximum.accumulate(high + lift) - lift


def _covered(a: Floats, b: Floats, radius: Floats) -> bytes:
    """A key of what a bit's paths run over, whichever way and however often; where it only goes down
    counts unless a path ends there."""
    line, low, high = _on_lines(a, b, radius)
    still = (line[:, 0] == 1) & (low == high)
    ends = np.column_stack([line[:, 1], np.rint(a / GRAIN).astype(np.int64)])
    tails = np.column_stack([line[:, 1], np.rint(b / GRAIN).astype(np.int64)])
    points = np.unique(ends[still], axis=0)
    on_paths = {tuple(k) for k in np.concatenate([ends[~still], tails[~still]]).tolist()}
    alone = [k for k in points.tolist() if tuple(k) not in on_paths]
    line, low, high = line[~still], low[~still], high[~still]
    order = np.lexsort((high, low, *line.T[::-1]))
    line, low, high = line[order], low[order], high[order]
    new_line, reached = _reached(line, high)
    begins = new_line
    begins[1:] |= low[1:] > reached[:-1]
    at = np.flatnonzero(begins)
    spans = np.column_stack([line[at], low[at], reached[_ends(begins)]]) if len(at) else line[:0]
    return bytes(spans.tobytes()) + repr(alone).encode()


def swept(s: Sweeps, level: float) -> BaseGeometry:
    """The region (mm, sheet coordinates) that is gone at a level."""
    return _drawn(*paths_below(s, level))


def _drawn(a: Floats, b: Floats, radius: Floats) -> BaseGeometry:
    shapes = [_swept(a[radius == r], b[radius == r], float(r)) for r in np.unique(radius)]
    return shapes[0] if len(shapes) == 1 else merged(shapely.get_parts(np.array(shapes, dtype=np.object_)))


class Maps:
    """The maps of one set of sweeps, each drawn once: levels at which the same is gone share one."""

    def __init__(self, s: Sweeps) -> None:
        self.sweeps = s
        self._at: dict[float, BaseGeometry] = {}
        self._of: dict[bytes, BaseGeometry] = {}

    def gone(self, level: float) -> BaseGeometry:
        """The region that is gone at a level."""
        key = round(level, 4)
        if key not in self._at:
            paths = paths_below(self.sweeps, level)
            covered = _covered(*paths)
            if covered not in self._of:
                self._of[covered] = _drawn(*paths)
            self._at[key] = self._of[covered]
        return self._at[key]

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
