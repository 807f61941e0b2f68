# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Whether a place or a way was open already, by what was cut before."""

from __future__ import annotations

from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import LineString, Point
from shapely.geometry.base import BaseGeometry

from flatwright.proof.removal import swept
from flatwright.proof.sweeps import Flags, Floats, Sweeps

CLOSE = 2e-3  # mm: heights in a posted text are rounded to three decimals
SLACK = 0.02  # mm that the bit is drawn smaller, so that a slot of its own width is open


class Earlier:
    """All sweeps of a sheet in running order, searched by place."""

    def __init__(self, whole: Sweeps) -> None:
        self.whole = whole

    @cached_property
    def _tree(self) -> shapely.STRtree:
        return shapely.STRtree(self.whole.lines())

    @cached_property
    def _reached(self) -> Floats:
        """(n,) how deep an earlier piece of the same bit ended at this piece's end; inf where none did."""
        s = self.whole
        out = np.full(len(s), np.inf)
        lowest: dict[tuple[float, ...], float] = {}
        ends = np.column_stack([np.round(s.b[:, :2], 3), s.bit]).tolist()
        low, falls = s.b[:, 2].tolist(), (~s.rapid).tolist()
        for k, end in enumerate(ends):
            place = tuple(end)
            out[k] = lowest.get(place, np.inf)
            if falls[k]:
                lowest[place] = min(out[k], low[k])
        return out

    def open_place(self, index: int, level: float, usable: Flags | None = None) -> bool:
        """True when the place at the end of piece `index` was open down to `level` before it, by the
        earlier pieces that are `usable` (all if None)."""
        if usable is None and self._reached[index] <= level + CLOSE:
            return True
        s = self.whole
        return self._open(index, Point(float(s.b[index, 0]), float(s.b[index, 1])), level, usable)

    def open_way(self, index: int, level: float) -> bool:
        """True when the whole way of piece `index` was open down to `level` before it."""
        s = self.whole
        if not s.take(np.array([index])).sideways()[0]:
            return self.open_place(index, level)
        return self._open(index, LineString([s.a[index, :2], s.b[index, :2]]), level, None)

    def _open(self, index: int, way: BaseGeometry, level: float, usable: Flags | None) -> bool:
        s = self.whole
        r = float(s.radius[index])
        near = np.sort(self._tree.query(way, predicate="dwithin", distance=r + float(s.radius.max())))
        near = near[(near < index) & (s.lowest()[near] <= level + CLOSE) & ~s.rapid[near]]
        if usable is not None:
            near = near[usable[near]]
        if not len(near):
            return False
        return bool(swept(s.take(near), level + CLOSE).covers(way.buffer(max(r - SLACK, r / 2))))
