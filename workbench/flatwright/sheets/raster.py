# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Shapes as sets of cells, and the search for a free place, in whole numbers.

A set of cells is one Python integer: cell (i, j) is bit i * stride + j, so that shifting it
moves every cell at once and the lowest bit of a set is its leftmost, then lowest cell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from flatwright.sheets.shapes import Ring

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A cell counts as touched only if touched by more than this (mm), so that an edge drawn along the
# border of cells never falls on one side or the other by float noise.
TOUCH = 2e-5


Runs = tuple[tuple[int, int], ...]  # (first row, count)


@dataclass(frozen=True, slots=True)
class Mask:
    """The cells of a shape: blocks of equal columns, each (first column, count, runs of rows)."""

    rows: int
    blocks: tuple[tuple[int, int, Runs], ...]

    def cells(self, stride: int) -> int:
        """The set of its cells with its corner in cell (0, 0)."""
        out = 0
        for first, count, runs in self.blocks:
            column = sum(((1 << n) - 1) << j for j, n in runs)
            out |= filled(column, count, stride) << (first * stride)
        return out

    def effort(self) -> int:
        """How many shifts of a whole set of cells a search for a place takes."""
        return sum(2 * len(runs) + count.bit_length() + 1 for _, count, runs in self.blocks)


def mask(ring: Ring, half: float, cell: tuple[float, float]) -> Mask:
    """The cells that a ring grown by `half` (mm, round corners) touches.

    The grown ring's extents begin at (0, 0); `cell` is the size of a cell in mm.
    """
    columns = _columns(np.array(ring, dtype=np.float64) + half, half, cell)
    blocks: list[tuple[int, int, Runs]] = []
    start = 0
    for i in range(1, len(columns) + 1):
        if i == len(columns) or columns[i] != columns[start]:
            if columns[start]:
                blocks.append((start, i - start, _runs(columns[start])))
            start = i
    return Mask(max(c.bit_length() for c in columns), tuple(blocks))


def _columns(ring: Floats, half: float, cell: tuple[float, float]) -> list[int]:
    """For each column of cells the touched rows, as bits."""
    cx, cy = cell
    p, q = ring, np.roll(ring, -1, axis=0)
    swap = p[:, 0] > q[:, 0]
    left = np.where(swap[:, None], q, p)[:, None, :]
    right = np.where(swap[:, None], p, q)[:, None, :]
    count = max(1, int(np.ceil((ring[:, 0].max() + half - TOUCH) / cx)))
    strip = np.arange(count, dtype=np.float64) * cx
    low, high = _extent(left, right, half, strip + TOUCH, strip + cx - TOUCH)
    j0: Ints = np.floor((low + TOUCH) / cy).astype(np.int64)
    j1: Ints = np.ceil((high - TOUCH) / cy).astype(np.int64)
    columns = [0] * count
    for e, i in zip(*np.nonzero(j1 > j0), strict=True):
        first = max(0, int(j0[e, i]))
        columns[i] |= (1 << int(j1[e, i])) - (1 << first)
    _fill(columns, left[:, 0], right[:, 0], strip + cx / 2.0, cy)
    return columns


def _extent(left: Floats, right: Floats, half: float, a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """Lowest and highest y that each edge, grown by `half`, has within each strip [a, b].

    `left`, `right`: (n, 1, 2) ends of the edges. Strips that an edge misses get high < low.
    """
    x0, y0, x1, y1 = left[..., 0], left[..., 1], right[..., 0], right[..., 1]
    start, end = np.maximum(a, x0 - half), np.minimum(b, x1 + half)
    peak = np.where(y1 > y0, x1, x0)
    dip = np.where(y1 > y0, x0, x1)
    high = _upper(x0, y0, x1, y1, half, np.minimum(np.maximum(peak, start), end))
    low = -_upper(x0, -y0, x1, -y1, half, np.minimum(np.maximum(dip, start), end))
    missed = start > end
    return np.where(missed, 0.0, low), np.where(missed, -1.0, high)


def _upper(x0: Floats, y0: Floats, x1: Floats, y1: Floats, half: float, x: Floats) -> Floats:
    """Height at x of the upper side of edges grown by a disc: round end, straight, round end."""
    dx, dy = x1 - x0, y1 - y0
    length = np.sqrt(dx * dx + dy * dy)
    length = np.where(length > 0.0, length, 1.0)
    lean = half * dy / length
    slope = dy / np.where(dx > 0.0, dx, 1.0)
    straight = np.where(dx > 0.0, y0 + half * dx / length + (x - x0 + lean) * slope, np.maximum(y0, y1))
    at0 = y0 + np.sqrt(np.maximum(0.0, half * half - (x - x0) * (x - x0)))
    at1 = y1 + np.sqrt(np.maximum(0.0, half * half - (x - x1) * (x - x1)))
    out: Floats = np.where(x < x0 - lean, at0, np.where(x > x1 - lean, at1, straight))
    return out


def _fill(columns: list[int], left: Floats, right: Floats, middle: Floats, cy: float) -> None:
    """Add the cells inside the ring, column by column, by counting crossings along its middle."""
    for i, x in enumerate(middle.tolist()):
        hit = (left[:, 0] <= x) & (x < right[:, 0])
        a, b = left[hit], right[hit]
        y = np.sort(a[:, 1] + (b[:, 1] - a[:, 1]) * ((x - a[:, 0]) / (b[:, 0] - a[:, 0])))
        for low, high in zip(y[0::2].tolist(), y[1::2].tolist(), strict=True):
            first, last = int((low + TOUCH) // cy), -int(-(high - TOUCH) // cy)
            if last > first:
                columns[i] |= (1 << last) - (1 << max(0, first))


def _runs(column: int) -> Runs:
    """The runs of ones in a column."""
    out = []
    j = 0
    while column:
        gap = (column & -column).bit_length() - 1
        column >>= gap
        count = (~column & (column + 1)).bit_length() - 1
        out.append((j + gap, count))
        column >>= count
        j += gap + count
    return tuple(out)


def filled(column: int, count: int, stride: int) -> int:
    """The set of `count` columns that are all alike, from column 0 on."""
    have = 1
    while have * 2 <= count:
        column |= column << (have * stride)
        have *= 2
    return column | column << ((count - have) * stride)


def blocked(taken: Sequence[int], shape: Mask, stride: int) -> int:
    """The cells in which the shape's corner must not lie, or it would meet a taken cell.

    `taken` comes from `ladder`. A shape that would stick out above its column blocks rows of
    the column before that are too high for it anyway, as long as no shape leaves the sheet.
    """
    out = 0
    for first, count, runs in shape.blocks:
        block = 0
        for j, n in runs:
            k = n.bit_length() - 1
            block |= (taken[k] | taken[k] >> (n - (1 << k))) >> j
        have = 1
        while have * 2 <= count:
            block |= block >> (have * stride)
            have *= 2
        out |= (block | block >> ((count - have) * stride)) >> (first * stride)
    return out


def ladder(taken: int, rows: int) -> list[int]:
    """Taken cells smeared downwards over 1, 2, 4, … rows, up to `rows`."""
    out = [taken]
    while 1 << len(out) <= rows:
        out.append(out[-1] | out[-1] >> (1 << (len(out) - 1)))
    return out
