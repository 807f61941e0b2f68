# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The program as plain moves: what the host's operations hold and its posts write.

Coordinates are absolute, in the sheet's frame (lower left corner of the sheet, x along its
length), mm; z counts from the machine's zero (bed or board top, by the preset). Feeds are mm/min.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

MoveKind = Literal["rapid", "line", "cw", "ccw"]
OperationKind = Literal["spots", "pin", "hole", "pocket", "inside", "outside", "park"]


@dataclass(frozen=True, slots=True)
class Move:
    """A move to (x, y, z). Arcs and helices lie in the xy plane; i, j point from the start to the centre.

    `feed` is None for rapids.
    """

    kind: MoveKind
    x: float
    y: float
    z: float
    feed: float | None = None
    i: float = 0.0
    j: float = 0.0


@dataclass(frozen=True, slots=True)
class Operation:
    """One cut of one part: what stands as a line in the host's job tree.

    `label` is what the user reads; `panel` None for spot marks, registration pins and parking;
    `stops_spindle` makes the operation end with the spindle stopped (parking).
    """

    kind: OperationKind
    label: str
    bit: int
    moves: tuple[Move, ...]
    panel: str | None = None
    stops_spindle: bool = False


@dataclass(frozen=True, slots=True)
class SheetProgram:
    """One program file to post: its operations in running order.

    `stem` is the file's name without folder and ending, for example `sheet-1.cut-1`; `underside`: it is
    run before the sheet is turned over, in coordinates of the sheet as it then lies.
    """

    kind: Literal["spots", "cut"]
    sheet: str
    stem: str
    operations: tuple[Operation, ...]
    underside: bool = False

    @property
    def bits(self) -> tuple[int, ...]:
        """Bit numbers in the order in which they first cut."""
        return tuple(dict.fromkeys(o.bit for o in self.operations))
