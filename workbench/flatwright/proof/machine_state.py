# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The machine between blocks: its modes, where it stands, and what it has done so far."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from typing import NoReturn

from flatwright.proof.modal import CYCLES, OFFSETS, WITH_AXES
from flatwright.proof.motion import (
    Caution,
    CautionKind,
    Event,
    EventKind,
    Motion,
    MotionKind,
    Point3,
    ReadError,
    Reading,
)
from flatwright.proof.words import Block, whole

INCH = 25.4
NOWHERE: Point3 = (math.nan, math.nan, math.nan)
AXES = "XYZ"
LOOSE = 0.05  # mm off its path that a bit may go: no more than parts are recovered to
CANCELLED = 800  # the motion mode before any motion code, and after G80


@lru_cache(maxsize=1024)
def _used(motion: int | None, once: int | None, path: int | None, length: int | None) -> frozenset[str]:
    """The letters that a line's codes use (the standard's Table 3)."""
    letters = "FST"
    if motion is not None or once in WITH_AXES:
        letters += AXES
    if motion in (20, 30):
        letters += "IJKR"
    if motion in CYCLES:
        letters += {810: "RL", 820: "RLP", 830: "RLQ"}[motion]
    if once == 40 or path == 640:
        letters += "P"
    if length == 430:
        letters += "H"
    return frozenset(letters)


class MachineState:
    """Modes and position; `motions`, `events` and `cautions` grow as blocks are run.

    `shift` is G92's: program coordinate + shift = work coordinate, mm.
    """

    def __init__(self, start: Point3 | None, machine_zero: Point3 | None) -> None:
        self.motions: list[Motion] = []
        self.events: list[Event] = []
        self.cautions: dict[CautionKind, Caution] = {}
        self.ended = False
        self.at: Point3 = start or NOWHERE
        self.home: Point3 = machine_zero or NOWHERE
        self.shift = [0.0, 0.0, 0.0]
        self.kept_shift: list[float] | None = None  # None: the machine's own, from programs before
        self.unit = 1.0
        self.feed = 0.0
        self.speed = 0.0
        self.direction = 0
        self.selected: int | None = None
        self.tool: int | None = None
        self.length = 0  # whose length offset is in force, 0 for none
        self.cut_with: int | None = None  # that offset at this tool's last cut
        self.plane = 170
        self.absolute = True
        self.to_old = False  # as the NIST interpreter begins; a program that relies on it is cautioned
        self.mode = CANCELLED
        self.stated: set[str] = set()
        self.cycle: dict[str, float] = {}
        self.repeats = False  # a cycle right after another
        self.line = 0
        self.words: dict[str, float] = {}

    @property
    def spindle(self) -> float:
        """Signed speed, 1/min; 0 when the spindle stands."""
        return self.direction * self.speed

    @property
    def has_axes(self) -> bool:
        """True when the present line has an axis word."""
        words = self.words
        return "X" in words or "Y" in words or "Z" in words

    def begin(self, block: Block, g: Mapping[str, int]) -> int | None:
        """Take up a block; the motion code that it carries out, if any. Raises ReadError."""
        self.line, self.words = block.line, block.words
        if block.deleted:
            self.caution("block-delete", "this line is left out when the operator's block delete is on")
        motion = self._motion_of(g)
        used = _used(motion, g.get("once"), g.get("path control"), g.get("length offset"))
        for letter in self.words:
            if letter not in used:
                self.fail(f"no code on this line uses the {letter} word")
        return motion

    def _motion_of(self, g: Mapping[str, int]) -> int | None:
        once = g.get("once")
        if "motion" in g:
            if once in WITH_AXES:
                self.fail(f"G{once / 10:g} and G{g['motion'] / 10:g} would both use the axis words")
            return g["motion"]
        return self.mode if self.has_axes and once not in WITH_AXES else None

    def settings(self, m: Mapping[str, int]) -> None:
        """Feed, speed, tool, spindle and coolant."""
        if "F" in self.words:
            if self.words["F"] < 0.0:
                self.fail("the feed is negative")
            self.feed = self.words["F"] * self.unit
        before = self.spindle
        if "S" in self.words:
            if self.words["S"] < 0.0:
                self.fail("the spindle speed is negative")
            self.speed = self.words["S"]
        if "T" in self.words:
            self.selected = whole(self.words["T"], self.line, "T")
        if "tool change" in m:
            if self.selected is None:
                self.fail("M6 changes the tool, but no T word has chosen one")
            self.tool, self.direction, self.cut_with = self.selected, 0, None
            self.event("tool", float(self.tool))
        if "spindle" in m:
            self.direction = {3: 1, 4: -1, 5: 0}[m["spindle"]]
        if self.spindle != before:
            self.event("spindle", self.spindle)
        if "coolant" in m:
            self.event("coolant", 0.0 if m["coolant"] == 9 else 1.0)

    def modes(self, g: Mapping[str, int]) -> None:
        """Dwell, plane, units, length offset, work offset, distance and return level."""
        if not g:
            return
        self.stated.update(g)
        if g.get("once") == 40:
            self._dwell()
        self.plane = g.get("plane", self.plane)
        if "units" in g:
            unit = INCH if g["units"] == 200 else 1.0
            if self.motions and unit != self.unit:
                self.caution("mixed-units", "the program changes between inches and millimetres")
            self.unit = unit
            self.event("units", unit)
        if "length offset" in g:
            self._take_length(g["length offset"] == 430)
        if g.get("path control") == 640 and self.words.get("P", 0.0) * self.unit > LOOSE:
            p = self.words["P"] * self.unit
            self.caution("path-tolerance", f"G64 lets the machine leave its path by {p:g} mm")
        if "work offset" in g:
            self.event("offset", float(OFFSETS.index(g["work offset"]) + 1))
        if "distance" in g:
            self.absolute = g["distance"] == 900
        if "return level" in g:
            self.to_old = g["return level"] == 980

    def _take_length(self, on: bool) -> None:
        """G43 and G49; without H the length of the tool in the spindle."""
        if not on:
            self.length = 0
        elif "H" in self.words:
            self.length = whole(self.words["H"], self.line, "H")
            if self.tool is not None and self.length != self.tool:
                self.caution(
                    "length-offset", f"G43 H{self.length} takes the length of another tool than {self.tool}"
                )
        else:
            self.length = self.tool or self.selected or 0

    def _cut_with_length(self) -> None:
        """A cut under another length offset than the one before it. NIST RS274/NGC v3, 3.5.11 and 3.6.3: an
        offset stays in force until the next G43 or G49, a tool change does not touch it."""
        if self.cut_with is not None:
            self.caution("length-offset", "the length offset changes (G43, G49) between cuts of one tool")
        elif self.length and self.tool is not None and self.length != self.tool:
            self.caution(
                "length-offset", f"tool {self.tool} cuts with the length of tool {self.length} (G43)"
            )
        self.cut_with = self.length

    def _dwell(self) -> None:
        if "P" not in self.words:
            self.fail("G4 needs P, the seconds to dwell")
        if self.words["P"] < 0.0:
            self.fail("a dwell cannot be negative")
        self.event("dwell", self.words["P"])

    def stop(self, m: Mapping[str, int]) -> None:
        """M0, M1, M60 stop; M2 and M30 end."""
        code = m.get("stop")
        if code is not None:
            self.ended = code in (2, 30)
            self.event("end" if self.ended else "stop", float(code))

    def move(
        self, kind: MotionKind, end: Point3, centre: tuple[float, float] | None = None, sweep: float = 0.0
    ) -> None:
        """Go to `end`. Raises ReadError for a cutting move without feed."""
        feed = 0.0
        if kind != "rapid":
            feed = self.feed
            if feed <= 0.0:
                self.fail("a cutting move with feed zero: set F first")
            if self.cut_with != self.length:
                self._cut_with_length()
        self.motions.append(
            Motion(self.line, kind, self.at, end, centre, sweep, feed, self.spindle, self.tool)
        )
        self.at = end

    def event(self, kind: EventKind, value: float) -> None:
        """Note an event before the next motion."""
        self.events.append(Event(self.line, kind, value, len(self.motions)))

    def caution(self, kind: CautionKind, message: str) -> None:
        """Note a caution; the first of its kind stands for all."""
        self.cautions.setdefault(kind, Caution(self.line, kind, message))

    def fail(self, message: str) -> NoReturn:
        """Refuse the present line."""
        raise ReadError(self.line, message)

    def reading(self, name: str, lines: int) -> Reading:
        """What was read so far."""
        return Reading(name, tuple(self.motions), tuple(self.events), tuple(self.cautions.values()), lines)
