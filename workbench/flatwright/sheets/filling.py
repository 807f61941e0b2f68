# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""First fit: each part, in a given order, on the first sheet that has room for it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from flatwright.sheets.job import Cancelled, LayoutCancelled
from flatwright.sheets.shapes import Shape

Size = tuple[int, int]  # µm


@dataclass(frozen=True, slots=True)
class Place:
    """A shape with the corner of its extents at x, y (µm from the usable area's corner).

    Of two places on one sheet the one with the smaller key is the better; `mask` is for the
    sheet that offered it.
    """

    key: tuple[int, ...]
    x: int
    y: int
    shape: Shape
    mask: int = -1


class OpenSheet(Protocol):
    """A sheet being filled. Parts are numbered as in the job."""

    def offer(self, part: int) -> Place | None:
        """The best place for the part, or None."""

    def take(self, place: Place) -> None:
        """Put a part where it was offered."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """What first fit needs to know of a job: usable sizes (µm) with counts and costs, the parts' shapes and
    areas (0.1 mm²), and which of them are cut in both faces."""

    usable: tuple[Size, ...]
    counts: tuple[int | None, ...]
    costs: tuple[float, ...]
    shapes: tuple[tuple[Shape, ...], ...]
    areas: tuple[int, ...]
    both_faces: frozenset[int] = frozenset()

    def fits(self, part: int, stock: int) -> bool:
        """Whether the part alone fits on a sheet of that size."""
        length, width = self.usable[stock]
        return any(s.size[0] <= length and s.size[1] <= width for s in self.shapes[part])

    def room(self, stock: int) -> int:
        """Usable area, 0.1 mm²."""
        return self.usable[stock][0] * self.usable[stock][1] // 100_000


@dataclass(slots=True)
class Filled:
    """A sheet filled: its stock size and the places by part number."""

    stock: int
    places: dict[int, Place] = field(default_factory=dict)

    def used_length(self) -> int:
        """How far along the sheet the parts reach, µm."""
        return max((p.x + p.shape.size[0] for p in self.places.values()), default=0)


@dataclass(frozen=True, slots=True)
class Filling:
    sheets: tuple[Filled, ...]
    left: tuple[int, ...]

    def score(self, sizes: Sizes) -> tuple[int, float, int, int, int]:
        """Smaller is better: parts left over, cost, sheets, sheets to turn over, length used on the emptiest
        sheet."""
        cost = round(sum(sizes.costs[s.stock] for s in self.sheets), 3)
        least = min((s.used_length() for s in self.sheets), default=0)
        return len(self.left), cost, len(self.sheets), self.turned(sizes), least

    def turned(self, sizes: Sizes) -> int:
        """How many sheets have parts that are cut in both faces."""
        return sum(not sizes.both_faces.isdisjoint(s.places) for s in self.sheets)


Opener = Callable[[int], OpenSheet]  # a fresh sheet of a stock size


def fill(
    order: Iterable[int], sizes: Sizes, prefer: Sequence[int], opener: Opener, cancelled: Cancelled
) -> Filling:
    """Lay the parts out in this order; new sheets are of the first preferred size that will do.

    Raises LayoutCancelled.
    """
    sheets: list[Filled] = []
    open_sheets: list[OpenSheet] = []
    room: list[int] = []
    left: list[int] = []
    for part in order:
        if cancelled():
            raise LayoutCancelled
        for k, sheet in enumerate(open_sheets):
            place = sheet.offer(part) if sizes.areas[part] <= room[k] else None
            if place is not None:
                break
        else:
            stock = _next_stock(part, sizes, prefer, sheets)
            if stock is None:
                left.append(part)
                continue
            k, sheet = len(sheets), opener(stock)
            place = sheet.offer(part)
            if place is None:  # keep-outs leave it no place
                left.append(part)
                continue
            sheets.append(Filled(stock))
            open_sheets.append(sheet)
            room.append(sizes.room(stock))
        sheet.take(place)
        sheets[k].places[part] = place
        room[k] -= sizes.areas[part]
    return Filling(tuple(sheets), tuple(left))


def _next_stock(part: int, sizes: Sizes, prefer: Sequence[int], sheets: Sequence[Filled]) -> int | None:
    for stock in prefer:
        count = sizes.counts[stock]
        if count is not None and sum(s.stock == stock for s in sheets) >= count:
            continue
        if sizes.fits(part, stock):
            return stock
    return None


def trimmed(filling: Filling, sizes: Sizes, opener: Opener, cancelled: Cancelled) -> Filling:
    """Each sheet's parts on the cheapest size of sheet that takes them all."""
    sheets = list(filling.sheets)
    by_cost = sorted(range(len(sizes.usable)), key=lambda s: (sizes.costs[s], s))
    for k, sheet in enumerate(sheets):
        for stock in by_cost:
            if sizes.costs[stock] >= sizes.costs[sheet.stock]:
                break
            others = sum(s.stock == stock for s in sheets)
            count = sizes.counts[stock]
            if count is not None and others >= count:
                continue
            smaller = fill(sheet.places, sizes, [stock], opener, cancelled)
            if not smaller.left and len(smaller.sheets) == 1:
                sheets[k] = smaller.sheets[0]
                break
    return Filling(tuple(sheets), filling.left)
