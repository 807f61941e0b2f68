# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The built-in layout engine: needs no library and gives the same layout on every host.

It fills sheets first fit with the parts in several orders, by their extents and by their real
shapes, and then tries small changes of the best order. How many orders and changes is set by the
size of the job and never by the clock, so that a slow machine finds the same layout.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, replace

from flatwright.sheets.bound import sheets_needed
from flatwright.sheets.boxes import Box, BoxSheet
from flatwright.sheets.cells import CellSheet, Grid, StockGrid, grid
from flatwright.sheets.filling import Filling, Opener, Place, Sizes, fill, trimmed
from flatwright.sheets.job import Cancelled, Layout, LayoutJob, Progress, Spot, costs
from flatwright.sheets.shapes import (
    Shape,
    micrometres_down,
    micrometres_up,
    quantised,
    shapes_of,
)

# Seconds to shift a cell, for a job's effort on one sheet times the sheets it needs: 0.3e-11 to
# 1.4e-11 were measured on one core of a small computer.
SECONDS = 1.2e-11
CHANGES = 400  # at most

Order = tuple[int, ...]


def lay_out(
    job: LayoutJob,
    *,
    progress: Progress = lambda fraction, what: None,
    cancelled: Cancelled = lambda: False,
) -> Layout:
    """Lay the job out; parts that fit on no sheet, or for which none is left, are left over. Where parts that
    are cut in both faces come to lie on several sheets, they are gathered if that takes no more sheets.

    Raises LayoutCancelled.
    """
    tall = bool(job.stock) and job.stock[0].width > job.stock[0].length
    sizes = _sizes(job, tall)
    scattered = replace(sizes, both_faces=frozenset())
    search = _Search(job, scattered, progress, cancelled, _keep_outs(job, sizes, tall))
    best = search.run()
    if best.turned(sizes) > 1:
        rest = replace(job, time=max(0.0, job.time - _seconds(job)))
        gathered = replace(search, job=rest, sizes=sizes, progress=lambda fraction, what: None).run()
        best = min(best, gathered, key=lambda f: f.score(sizes))
    return _layout(job, best, tall)


def _seconds(job: LayoutJob) -> float:
    """How long a search goes on: less than it may in a small job."""
    return min(job.time, 1.0 + 0.08 * len(job.parts))


def _sizes(job: LayoutJob, tall: bool) -> Sizes:
    edge = micrometres_up(job.edge)
    usable = [
        (max(0, micrometres_down(s.length) - 2 * edge), max(0, micrometres_down(s.width) - 2 * edge))
        for s in job.stock
    ]
    shapes = [shapes_of(p) for p in job.parts]
    if tall:  # fill along the long side, whichever that is
        usable = [(b, a) for a, b in usable]
        shapes = [tuple(_transposed(s) for s in each) for each in shapes]
    return Sizes(
        tuple(usable),
        tuple(s.count for s in job.stock),
        tuple(costs(job.stock)),
        tuple(shapes),
        tuple(quantised(abs(p.outer.area()), 0.1) for p in job.parts),
        frozenset(k for k, p in enumerate(job.parts) if p.both_faces),
    )


def _keep_outs(job: LayoutJob, sizes: Sizes, tall: bool) -> tuple[tuple[Box, ...], ...]:
    """For each stock size what keep-outs take of its usable area. One in the edge margin counts too where it
    lies within the spacing: it has places below 0, or beyond the area."""
    edge, near = micrometres_up(job.edge), micrometres_up(job.spacing)
    out = []
    for usable in sizes.usable:
        boxes = []
        for x0, y0, x1, y1 in job.keep_outs:
            low = [max(-near, micrometres_down(v) - edge) for v in (x0, y0)]
            high = [micrometres_up(v) - edge for v in (x1, y1)]
            if tall:
                low, high = low[::-1], high[::-1]
            high = [min(h, u + near) for h, u in zip(high, usable, strict=True)]
            if high[0] > low[0] and high[1] > low[1]:
                boxes.append((low[0], low[1], high[0] - low[0], high[1] - low[1]))
        out.append(tuple(boxes))
    return tuple(out)


def _transposed(s: Shape) -> Shape:
    """The shape with x and y exchanged."""
    ring = tuple((y, x) for x, y in reversed(s.ring))
    return Shape(s.turn, ring, (s.size[1], s.size[0]), (s.corner[1], s.corner[0]))


def _layout(job: LayoutJob, best: Filling, tall: bool) -> Layout:
    edge = micrometres_up(job.edge)
    spots = []
    for k, sheet in enumerate(best.sheets):
        for part, place in sheet.places.items():
            spots.append(_spot(job.parts[part].name, k, place, edge, tall))
    return Layout(
        tuple(job.stock[s.stock] for s in best.sheets),
        tuple(spots),
        tuple(job.parts[i].name for i in sorted(best.left)),
    )


def _spot(name: str, sheet: int, place: Place, edge: int, tall: bool) -> Spot:
    x, y = place.shape.spot(place.x + edge, place.y + edge)
    return Spot(name, sheet, *((y, x) if tall else (x, y)), place.shape.turn)


@dataclass(frozen=True, slots=True)
class _Search:
    job: LayoutJob
    sizes: Sizes
    progress: Progress
    cancelled: Cancelled
    keep_outs: tuple[tuple[Box, ...], ...]  # by stock size

    def run(self) -> Filling:
        """The best filling found."""
        orders = _orders(self.sizes)
        best = min((self._boxes(o, snug) for o in orders for snug in (False, True)), key=self._score)
        if len(self.job.parts) < 2 or not best.sheets:
            return best
        table = grid(self.sizes, micrometres_up(self.job.spacing), self._cells())
        opener = self._cell_opener(table)
        tries = self._tries(table)
        by_cell: list[tuple[Filling, Order]] = []
        for k, order in enumerate(orders[: max(1, tries)]):
            self.progress(0.5 * k / len(orders), "laying out")
            by_cell.append((self._fill(order, opener), order))
        found, order = min(by_cell, key=lambda pair: self._score(pair[0]))
        changes = tries - len(by_cell)
        if len(found.sheets) <= sheets_needed(self.job) and not found.left:
            changes //= 4  # only the room left on the last sheet is at stake
        return min(best, self._improved(found, order, opener, changes), key=self._score)

    def _improved(self, filling: Filling, order: Order, opener: Opener, changes: int) -> Filling:
        """Small changes of the order, each kept if it is no worse."""
        rng = random.Random(self.job.seed)
        for k in range(changes):
            self.progress(0.5 + 0.5 * k / changes, "improving the layout")
            changed = _changed(order, filling, rng)
            tried = self._fill(changed, opener)
            if self._score(tried) <= self._score(filling):
                filling, order = tried, changed
        return filling

    def _tries(self, table: Grid) -> int:
        """How often sheets can be filled in the job's time, or sooner for a small job."""
        effort = max(table.effort(u) for u in self.sizes.usable) * len(_preferences(self.sizes))
        once = SECONDS * effort * max(1.0, sheets_needed(self.job))
        return min(CHANGES, int(_seconds(self.job) / once))

    def _cells(self) -> int:
        """How many cells a sheet is divided into."""
        n = len(self.job.parts)
        return 900_000 if n <= 16 else 330_000 if n <= 80 else 190_000

    def _score(self, filling: Filling) -> tuple[int, float, int, int, int]:
        return filling.score(self.sizes)

    def _boxes(self, order: Order, snug: bool) -> Filling:
        spacing = micrometres_up(self.job.spacing)
        return self._fill(
            order,
            lambda stock: BoxSheet(
                self.sizes.shapes, self.sizes.usable[stock], spacing, snug, self.keep_outs[stock]
            ),
        )

    def _cell_opener(self, table: Grid) -> Opener:
        stocks = [StockGrid.of(table, u, k) for u, k in zip(self.sizes.usable, self.keep_outs, strict=True)]
        return lambda stock: CellSheet(stocks[stock])

    def _fill(self, order: Order, opener: Opener) -> Filling:
        """The best filling over the ways to choose among the sizes of sheet."""
        tries = [
            fill(order, self.sizes, prefer, opener, self.cancelled) for prefer in _preferences(self.sizes)
        ]
        if len(self.sizes.usable) > 1:
            tries = [trimmed(f, self.sizes, opener, self.cancelled) for f in tries]
        return min(tries, key=self._score)


def _orders(sizes: Sizes) -> list[Order]:
    """Orders to try: large first, in several meanings of large; equal parts by number. Where some parts are
    cut in both faces, each order also with these first, so that they come to lie on few sheets.
    """
    boxes = [shapes[0].size for shapes in sizes.shapes]
    parts = range(len(boxes))
    keys: list[Callable[[int], int]] = [
        lambda i: sizes.areas[i],
        lambda i: boxes[i][0] * boxes[i][1],
        lambda i: max(boxes[i]),
        lambda i: boxes[i][1],
        lambda i: sum(boxes[i]),
        lambda i: min(boxes[i]),
    ]
    orders = [tuple(sorted(parts, key=lambda i, k=key: (-k(i), i))) for key in keys]  # type: ignore[misc]
    first = [tuple(sorted(o, key=lambda i: i not in sizes.both_faces)) for o in orders]
    return list(dict.fromkeys(o for pair in zip(first, orders, strict=True) for o in pair))


def _preferences(sizes: Sizes) -> list[Order]:
    """Orders of the stock sizes: largest first, smallest first, cheapest for its area first."""
    stock = range(len(sizes.usable))
    large = tuple(sorted(stock, key=lambda s: (-sizes.room(s), s)))
    cheap = tuple(sorted(stock, key=lambda s: (sizes.costs[s] / max(sizes.room(s), 1e-9), s)))
    return list(dict.fromkeys([large, large[::-1], cheap]))


def _changed(order: Order, filling: Filling, rng: random.Random) -> Order:
    """Some parts, mostly of the last sheet, moved forward, or some exchanged."""
    new = list(order)
    forward = rng.random() < 0.5
    for _ in range(_pick(rng, 3) + 1):
        if forward:
            source = list(filling.sheets[-1].places) if rng.random() < 0.7 else new
            at = new.index(source[_pick(rng, len(source))])
            new.insert(_pick(rng, at + 1), new.pop(at))
        else:
            a, b = _pick(rng, len(new)), _pick(rng, len(new))
            new[a], new[b] = new[b], new[a]
    return tuple(new)


def _pick(rng: random.Random, count: int) -> int:
    # only random() is promised to give the same sequence in every Python
    return int(rng.random() * count)
