# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Sheets filled with the parts' real shapes, cell by cell: tenons lie in notches, curves in curves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from flatwright.sheets.boxes import Box
from flatwright.sheets.filling import Place, Size, Sizes
from flatwright.sheets.raster import Mask, blocked, filled, ladder, mask
from flatwright.sheets.shapes import Identity, Shape, identity

FINE = 1_500  # µm: smaller cells gain nothing on sheets of metres


@dataclass(frozen=True, slots=True)
class Grid:
    """The cells of one job: their size (µm) and, for every part, its shapes with mask numbers."""

    cell: Size
    spacing: int
    masks: tuple[Mask, ...]
    rows: int  # of the highest mask
    sizes: tuple[Size, ...]  # of the shape of each mask
    choices: tuple[tuple[tuple[Shape, int], ...], ...]

    def effort(self, usable: Size) -> int:
        """Cells shifted by one search for each part on one sheet of that size."""
        cells = (usable[0] // self.cell[0] + 1) * (usable[1] // self.cell[1] + 1)
        # a dozen shifts go into the taken cells, whatever the shape
        return cells * sum(self.masks[k].effort() + 12 for each in self.choices for _, k in each)


def grid(sizes: Sizes, spacing: int, cells: int) -> Grid:
    """A grid of about that many cells on the largest sheet."""
    largest = max(sizes.usable, key=lambda u: u[0] * u[1])
    side = max(math.isqrt(largest[0] * largest[1] // cells), min(FINE, max(largest) // 400), 20)
    boxes = [box for shapes in sizes.shapes for box in sorted({s.size for s in shapes})]
    cell = (
        _fitting_cell(side, [(a + spacing, b // 1000 + 1) for a, b in boxes]),
        _fitting_cell(side, [(b + spacing, a // 1000 + 1) for a, b in boxes]),
    )
    numbers: dict[Identity, int] = {}
    masks: list[Mask] = []
    extents: list[Size] = []
    choices = []
    for shapes in sizes.shapes:
        for shape in shapes:
            if identity(shape) not in numbers:
                numbers[identity(shape)] = len(masks)
                masks.append(mask(shape.ring, spacing / 2000.0, (cell[0] / 1000.0, cell[1] / 1000.0)))
                extents.append(shape.size)
        choices.append(tuple((s, numbers[identity(s)]) for s in shapes))
    rows = max((m.rows for m in masks), default=1)
    return Grid(cell, spacing, tuple(masks), rows, tuple(extents), tuple(choices))


def _fitting_cell(side: int, lengths: list[tuple[int, int]]) -> int:
    """The cell side near `side` that the (length, weight) fill with the least rounding up."""
    length, weight = np.array(lengths, dtype=np.int64).reshape(-1, 2).T
    sides = np.arange(side * 3 // 4, side * 21 // 20 + 1, dtype=np.int64)
    waste = ((-length[:, None] % sides) * weight[:, None]).sum(axis=0)
    return int(sides[np.argmin(waste)])


@dataclass(frozen=True, slots=True)
class StockGrid:
    """A grid laid on one size of sheet. For each mask: in how many columns its corner may lie, the
    set of cells in which it may, and its own cells."""

    grid: Grid
    stride: int
    columns: tuple[int, ...]
    allowed: tuple[int, ...]
    cells: tuple[int, ...]
    taken: int = 0  # by keep-outs

    @staticmethod
    def of(grid: Grid, usable: Size, keep_outs: Sequence[Box] = ()) -> StockGrid:
        stride = (usable[1] + grid.spacing) // grid.cell[1] + 2
        columns = [max(0, (usable[0] - a) // grid.cell[0] + 1) for a, _ in grid.sizes]
        rows = [max(0, (usable[1] - b) // grid.cell[1] + 1) for _, b in grid.sizes]
        allowed = [filled((1 << r) - 1, c, stride) if c else 0 for c, r in zip(columns, rows, strict=True)]
        cells = [m.cells(stride) for m in grid.masks]
        taken = 0
        for x, y, length, width in keep_outs:  # as a shape is: grown by half the spacing and shifted by it
            i0, j0 = max(0, x // grid.cell[0]), max(0, y // grid.cell[1])
            i1 = -(-(x + length + grid.spacing) // grid.cell[0])
            j1 = min(stride, -(-(y + width + grid.spacing) // grid.cell[1]))
            if i1 > i0 and j1 > j0:
                taken |= filled((1 << j1) - (1 << j0), i1 - i0, stride) << (i0 * stride)
        return StockGrid(grid, stride, tuple(columns), tuple(allowed), tuple(cells), taken)


@dataclass(slots=True)
class CellSheet:
    """A sheet of cells, empty from column `reach` on. `after` holds for each mask the first place that
    was free when last asked, or None: a sheet only gets fuller."""

    stock: StockGrid
    taken: int = 0
    reach: int = 0
    after: dict[int, int | None] = field(default_factory=dict)
    smeared: list[int] | None = None

    def __post_init__(self) -> None:
        self.taken = self.stock.taken
        self.reach = -(-self.taken.bit_length() // self.stock.stride)

    def offer(self, part: int) -> Place | None:
        """The place that reaches least far along the sheet, then the lowest, then the earlier turn."""
        best: Place | None = None
        for shape, number in self.stock.grid.choices[part]:
            corner = self._first_free(number)
            if corner is None:
                continue
            x = corner // self.stock.stride * self.stock.grid.cell[0]
            y = corner % self.stock.stride * self.stock.grid.cell[1]
            place = Place((x + shape.size[0], y), x, y, shape, number)
            if best is None or place.key < best.key:
                best = place
        return best

    def take(self, place: Place) -> None:
        """Mark the shape's cells."""
        i, j = place.x // self.stock.grid.cell[0], place.y // self.stock.grid.cell[1]
        self.taken |= self.stock.cells[place.mask] << (i * self.stock.stride + j)
        self.reach = -(-self.taken.bit_length() // self.stock.stride)
        self.smeared = None

    def _first_free(self, number: int) -> int | None:
        """The leftmost, then lowest cell in which the mask's corner may lie."""
        start = self.after.get(number, 0)
        if start is None or not self.stock.allowed[number]:
            return None
        stride, shape = self.stock.stride, self.stock.grid.masks[number]
        first = start // stride
        columns = min(self.stock.columns[number], self.reach + 1) - first
        if self.smeared is None:
            self.smeared = ladder(self.taken, self.stock.grid.rows)
        taken = [s >> (first * stride) for s in self.smeared]
        window = (1 << (columns * stride)) - 1
        free = (self.stock.allowed[number] >> (first * stride)) & window & ~blocked(taken, shape, stride)
        found = (free & -free).bit_length() - 1 + first * stride if free else None
        self.after[number] = found
        return found
