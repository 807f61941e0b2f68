# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a program makes the machine do, as plain values: the reader's answer.

Coordinates are mm in the program's work frame (no G92 shift left in them), feeds mm/min.
A coordinate that the text does not settle is NaN: where the machine stands before the first
move, and where G53, G28 and G30 take it when the machine's own zero is not known.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Point3 = tuple[float, float, float]
MotionKind = Literal["rapid", "feed", "arc"]
EventKind = Literal["tool", "spindle", "dwell", "stop", "coolant", "offset", "units", "end"]
CautionKind = Literal[
    "block-delete",
    "assumed-state",
    "radius-arc",
    "machine-coordinates",
    "length-offset",
    "mixed-units",
    "repeated-cycle",
    "path-tolerance",
]


class ReadError(ValueError):
    """A program that cannot be read: `line` (1-based, 0 for the file as a whole) and why."""

    def __init__(self, line: int, message: str) -> None:
        self.line = line
        self.message = message
        super().__init__(f"line {line}: {message}" if line else message)


@dataclass(frozen=True, slots=True)
class Motion:
    """One move. Arcs and helices lie in the xy plane about `centre` (x, y).

    `sweep` is the turn in radians, positive counter-clockwise, 0 for straight moves;
    `feed` 0 for rapids; `spindle` in 1/min, positive clockwise (M3), negative
    counter-clockwise (M4), 0 when it stands; `tool` the number last changed to, None before any.
    """

    line: int
    kind: MotionKind
    start: Point3
    end: Point3
    centre: tuple[float, float] | None = None
    sweep: float = 0.0
    feed: float = 0.0
    spindle: float = 0.0
    tool: int | None = None

    @property
    def turn(self) -> int:
        """+1 counter-clockwise, -1 clockwise, 0 straight."""
        return (self.sweep > 0.0) - (self.sweep < 0.0)


@dataclass(frozen=True, slots=True)
class Event:
    """Something that is no motion; it happens before motion number `before` (0-based).

    `value`: tool number, signed spindle speed, seconds of dwell, M number of a stop or an end,
    1/0 for coolant, number of the work offset (1 for G54), 1 or 25.4 mm per unit.
    """

    line: int
    kind: EventKind
    value: float
    before: int


@dataclass(frozen=True, slots=True)
class Caution:
    """Legal, but the result hangs on something outside the program or on rounding."""

    line: int
    kind: CautionKind
    message: str


@dataclass(frozen=True, slots=True)
class Reading:
    """A program as read."""

    name: str
    motions: tuple[Motion, ...]
    events: tuple[Event, ...]
    cautions: tuple[Caution, ...]
    lines: int

    def of_kind(self, kind: EventKind) -> tuple[Event, ...]:
        """The events of one kind, in order."""
        return tuple(e for e in self.events if e.kind == kind)
