# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A layout job and its result, as values: what an engine is given and what it returns.

Lengths are mm and angles degrees. A job holds the parts of one board batch; no engine sees
more than this, so that one may be put in place of another.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from flatwright.geometry.outline import Outline

Progress = Callable[[float, str], None]  # fraction done, what is being done
Cancelled = Callable[[], bool]


class LayoutCancelled(Exception):
    """The user stopped the layout; nothing was changed."""


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A part to place. `outer` is its outline in panel coordinates (openings are not used:
    what lies in a drop is laid out before, see in_drops); `turns` are the angles
    allowed, counter-clockwise in [0, 360), applied after u is mirrored if `flipped`. The sheet that one with
    `both_faces` lies on is turned over.
    """

    name: str
    outer: Outline
    turns: tuple[float, ...] = (0.0, 90.0, 180.0, 270.0)
    flipped: bool = False
    both_faces: bool = False


@dataclass(frozen=True, slots=True)
class Stock:
    """A size of sheet, length along x; `count` None: as many as needed; `cost` None: by area."""

    length: float
    width: float
    count: int | None = None
    cost: float | None = None


Rectangle = tuple[float, float, float, float]  # x0, y0, x1, y1 from the sheet's corner


@dataclass(frozen=True, slots=True, eq=False)
class LayoutJob:
    """`edge`: least distance from a part to the sheet's edge; `spacing`: between two parts.

    `time` is seconds, at most, for this job; the same `seed` gives the same layout. Parts keep the
    spacing from `keep_outs`, which lie on every sheet (clamps on the bed).
    """

    parts: tuple[Part, ...]
    stock: tuple[Stock, ...]
    edge: float
    spacing: float
    seed: int = 1
    time: float = 20.0
    keep_outs: tuple[Rectangle, ...] = ()


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a part lies: sheet index, then mirror if flipped, turn by `angle`, shift by x, y."""

    part: str
    sheet: int
    x: float
    y: float
    angle: float


@dataclass(frozen=True, slots=True)
class Layout:
    """A result: the stock size that each sheet is cut from, the spots, and the parts left over."""

    sheets: tuple[Stock, ...] = ()
    spots: tuple[Spot, ...] = ()
    left: tuple[str, ...] = ()


def costs(stock: tuple[Stock, ...]) -> list[float]:
    """What a sheet of each size counts for: its cost, or for all of them the area if a cost is missing."""
    given = [s.cost for s in stock if s.cost is not None]
    if len(given) == len(stock):
        return [round(c, 3) for c in given]
    return [round(s.length * s.width, 3) for s in stock]
