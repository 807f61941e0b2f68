# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One plate with a hole, a pocket, two tabs and three screws: its plan, and programs that cut it
as planned unless a test changes something."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from flatwright.boards.batch import measured
from flatwright.findings import Finding
from flatwright.geometry.outline import rectangle
from flatwright.plan import Panel, Placement, Plan, Program, ProgramBit, Screw, Sheet, Show, Tab
from flatwright.presets import model
from flatwright.proof.check import prove
from flatwright.proof.verdict import Report
from support.gcode import XY, Box, Bridge, Text, around
from support.pieces import board

T = 12.0
SMALLEST = 11.9
WHOLE: Box = (0.0, 0.0, 120.0, 80.0)
HOLE: Box = (20.0, 20.0, 50.0, 38.0)
POCKET: Box = (70.0, 30.0, 100.0, 60.0)
TABS: tuple[Bridge, ...] = ((60.0, 0.0, 10.0, 4.0), (60.0, 80.0, 10.0, 4.0))
SCREWS: tuple[XY, ...] = ((20.0, 20.0), (330.0, 20.0), (20.0, 250.0))
READINGS = (SMALLEST, 12.0, 12.1)
BATCH = measured("ply 12", T, READINGS)
AT = (60.0, 50.0)
BITS = {1: ("straight", 6.0), 2: ("down-cut", 6.0), 3: ("straight", 4.0), 4: ("compression", 6.0)}
UP_CUT = {4: 3.5}  # mm: the plate's pocket is 4 mm deep


def shop(**machine: object) -> model.Preset:
    """A shop with a straight (1), a down-cut (2), a thin straight (3) and a compression bit (4)."""
    return model.Preset(
        name="test shop",
        boards=(model.Board("ply 12", T, readings=READINGS),),
        fits=model.Fits("glue", {"glue": model.FitClass(0.25, 0.5, 0.5)}),
        reliefs=model.ReliefRules(),
        bits=tuple(
            model.Bit(n, kind, d, 2, 25.0, up_cut_length=UP_CUT.get(n)) for n, (kind, d) in BITS.items()
        ),  # type: ignore[arg-type]
        feeds=(),
        holding=model.Holding(),
        layout=model.Layout(()),
        machine=model.Machine(**{"park": (0.0, 300.0), **machine}),  # type: ignore[arg-type]
        entries=model.Entries(1.0),  # the ramps of small loops are steep
        post=model.Post(),
    )


@dataclass
class PlateJob:
    """Boxes in part coordinates as they are cut; None is not cut. `bit` cuts the outline and the
    pocket, `hole_bit` the hole, in a file of its own if it is another.
    `core` are paths inside the hole that mill it away from its middle outwards, mm from its edge, and
    `core_later` those that do so when its edge is cut already."""

    outline: Box | None = WHOLE
    hole: Box | None = HOLE
    pocket: Box | None = POCKET
    floor: float = 8.0
    bottom: float = -0.5
    shift: XY = (0.0, 0.0)
    tabs: Sequence[Bridge] = TABS
    spots: Sequence[XY] = SCREWS
    spot: float = SMALLEST - 0.6
    screws: Sequence[XY] = SCREWS
    bit: int = 1
    hole_bit: int = 1
    ramp: float = 30.0
    core: Sequence[float] = (8.0, 5.0)
    core_later: Sequence[float] = ()
    angle: float = 0.0
    flipped: bool = False
    lift: float = 0.0
    show: Show = "both"
    edit: Callable[[str], str] = str
    edit_spots: Callable[[str], str] = str

    def panel(self) -> Panel:
        """The plate as planned."""
        pocket = (rectangle(*POCKET), 4.0, "-n" if self.flipped else "+n")
        plate = board("plate", rectangle(*WHOLE), t=T, holes=[rectangle(*HOLE)], pockets=[pocket])  # type: ignore[list-item]
        return replace(plate, show=self.show)

    def place(self, p: XY) -> XY:
        """Part to sheet coordinates: mirror, turn, shift, as the plan says."""
        x, y = (-p[0] if self.flipped else p[0]), p[1]
        c, s = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
        return (c * x - s * y + AT[0] + self._room()[0], s * x + c * y + AT[1] + self._room()[1])

    def _room(self) -> XY:
        """What keeps a turned or mirrored plate on the sheet."""
        if self.angle == 180:
            return (120.0, 80.0)
        return (120.0, 0.0) if self.flipped else (80.0, 0.0) if self.angle else (0.0, 0.0)

    def _cut_place(self, p: XY) -> XY:
        x, y = self.place(p)
        return (x + self.shift[0], y + self.shift[1])

    def texts(self) -> dict[str, str]:
        """The posted files."""
        out = {"spots.nc": self._spots()}
        if self.hole_bit != self.bit:
            out["hole.nc"] = self._cut(self.hole_bit, self._cut_hole)
            out["cut.nc"] = self.edit(self._cut(self.bit, self._cut_pocket, self._cut_outline))
        else:
            out["cut.nc"] = self.edit(
                self._cut(self.bit, self._cut_hole, self._cut_pocket, self._cut_outline)
            )
        return out

    def _spots(self) -> str:
        text = Text(self.hole_bit, lift=self.lift)
        text.start()
        for p in self.spots:
            text.over(p)
            text.plunge(self.spot)
        return self.edit_spots(text.end())

    def _cut(self, bit: int, *features: Callable[[Text], None]) -> str:
        text = Text(bit, self._cut_place, self.lift)
        text.start()
        for feature in features:
            feature(text)
        return text.end()

    def _path(self, box: Box, r: float) -> list[XY]:
        """Around or inside a box, climb on the sheet, where the part may lie mirrored."""
        a, b, c, d = around(box, r)
        return [b, a, d, c] if self.flipped else [a, b, c, d]

    def _cut_hole(self, text: Text) -> None:
        if self.hole:
            r = BITS[text.bit][1] / 2
            for inset in (*self.core, r, *self.core_later):
                ramp = 20.0 if inset == r else 12.0
                text.loop(self._path(self.hole, -inset), [6.0, self.bottom], T, self.ramp and ramp)

    def _cut_pocket(self, text: Text) -> None:
        if self.pocket:
            for inset in (3.0, 8.0, 13.0):
                text.loop(
                    self._path(self.pocket, -inset), [self.floor], T, self.ramp and 26.0 - 2 * inset + 3.0
                )

    def _cut_outline(self, text: Text) -> None:
        if self.outline:
            text.loop(self._path(self.outline, 3.0), [6.0, self.bottom], T, self.ramp, self.tabs)

    def plan(self, files: dict[str, str] | None = None) -> Plan:
        """The plan as it should be cut, whatever the programs do."""
        files = self.texts() if files is None else files
        sheet = Sheet(
            "sheet-1",
            "ply 12",
            T,
            (350.0, 300.0),
            grain="width" if self.angle == 90 else "length",
            placements=(Placement("plate", *self.place((0.0, 0.0)), self.angle, self.flipped),),
            tabs=tuple(Tab("plate", *self.place((x, y)), self.angle, n, h) for x, y, n, h in TABS),
            screws=tuple(Screw(*w) for w in self.screws),
            programs=tuple(self._program(name, text) for name, text in files.items()),
        )
        return Plan(panels=(self.panel(),), sheets=(sheet,), boards=(BATCH.as_planned(),))

    def _program(self, name: str, text: str) -> Program:
        number = self.bit if name == "cut.nc" else self.hole_bit
        bit = ProgramBit(number, *BITS[number])
        kind = "spots" if name == "spots.nc" else "cut"
        return Program(kind, name, hashlib.sha256(text.encode()).hexdigest(), (bit,))  # type: ignore[arg-type]

    def prove(self, preset: model.Preset | None = None) -> tuple[list[Finding], Report]:
        """What the proof says of this job."""
        return prove(self.plan(), preset or shop(), self.texts(), batches=[BATCH])

    def codes(self, preset: model.Preset | None = None) -> set[str]:
        """The codes of its findings."""
        return {f.code for f in self.prove(preset)[0]}
