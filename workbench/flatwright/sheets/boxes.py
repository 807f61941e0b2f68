# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Sheets filled with the parts' extents, exact to the micrometre.

Rows of rectangles that fill a sheet to the last tenth are found here and nowhere else; the free
room is kept as the set of largest free rectangles.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from flatwright.sheets.filling import Place, Size
from flatwright.sheets.shapes import Shape

Box = tuple[int, int, int, int]  # x, y, length, width in µm


@dataclass(slots=True)
class BoxSheet:
    """Parts and sheet are grown by the spacing on the far sides, so that touching boxes are spaced.

    `snug` puts a part where it leaves the narrowest strip, else it goes as far left as it can.
    """

    shapes: tuple[tuple[Shape, ...], ...]
    usable: Size
    spacing: int
    snug: bool
    keep_outs: tuple[Box, ...] = ()
    free: list[Box] = field(init=False)

    def __post_init__(self) -> None:
        self.free = [(0, 0, self.usable[0] + self.spacing, self.usable[1] + self.spacing)]
        for x, y, length, width in self.keep_outs:
            self._cut(x, y, x + length + self.spacing, y + width + self.spacing)

    def offer(self, part: int) -> Place | None:
        """The best free place, ties to the left, then down, then the earlier turn."""
        best: Place | None = None
        for x, y, length, width in self.free:
            for shape in self.shapes[part]:
                spare = length - shape.size[0] - self.spacing, width - shape.size[1] - self.spacing
                if min(spare) < 0:
                    continue
                key = (x + shape.size[0], y)
                place = Place((min(spare), *key) if self.snug else key, x, y, shape)
                if best is None or place.key < best.key:
                    best = place
        return best

    def take(self, place: Place) -> None:
        """Put a part where it was offered."""
        x, y = place.x, place.y
        self._cut(x, y, x + place.shape.size[0] + self.spacing, y + place.shape.size[1] + self.spacing)

    def _cut(self, x0: int, y0: int, x1: int, y1: int) -> None:
        """Cut a box out of every free rectangle and keep the largest pieces."""
        whole: list[Box] = []
        pieces: set[Box] = set()
        for box in self.free:
            x, y, length, width = box
            if x0 >= x + length or x1 <= x or y0 >= y + width or y1 <= y:
                whole.append(box)
                continue
            pieces.add((x, y, x0 - x, width))
            pieces.add((x1, y, x + length - x1, width))
            pieces.add((x, y, length, y0 - y))
            pieces.add((x, y1, length, y + width - y1))
        real = sorted(p for p in pieces if p[2] > 0 and p[3] > 0)
        kept = [p for p in real if not any(_inside(p, q) for q in (*whole, *real) if q != p)]
        self.free = sorted(whole + kept)


def _inside(p: Box, q: Box) -> bool:
    return q[0] <= p[0] and q[1] <= p[1] and q[0] + q[2] >= p[0] + p[2] and q[1] + q[3] >= p[1] + p[3]
