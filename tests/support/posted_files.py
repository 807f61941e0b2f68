# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A run's posted files as steps of a bit over the bed: what the proof's reader makes of the text, and
nothing that was planned but the parts' shapes and places."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.polygon import polygon
from flatwright.plan import Plan, Sheet, placed
from flatwright.presets.model import Bit, Preset
from flatwright.presets.reading import load
from flatwright.proof.motion import Reading
from flatwright.proof.reader import read_program
from support.runs import Run

Spot = tuple[float, float, float]
CHORD = 0.02  # radians between the points of an arc


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """One motion; heights from the bed, mm. `sweep` radians, positive counter-clockwise; feed mm/min."""

    file: str
    line: int
    kind: str
    start: Spot
    end: Spot
    centre: tuple[float, float] | None
    sweep: float
    feed: float
    spindle: float
    bit: Bit

    @property
    def flat(self) -> float:
        """Its length in the plane, mm."""
        if self.centre is None:
            return math.dist(self.start[:2], self.end[:2])
        return abs(self.sweep) * math.dist(self.start[:2], self.centre)

    @property
    def drop(self) -> float:
        return self.start[2] - self.end[2]

    @property
    def low(self) -> float:
        return min(self.start[2], self.end[2])

    @property
    def place(self) -> str:
        """For messages."""
        return f"{self.file}, line {self.line}"

    def way(self) -> BaseGeometry:
        """The tip's way in the plane; a point where it only goes up or down."""
        if self.flat < 1e-6:
            return shapely.Point(self.end[:2])
        if self.centre is None:
            return shapely.LineString([self.start[:2], self.end[:2]])
        cx, cy = self.centre
        r, a = math.dist(self.start[:2], self.centre), math.atan2(self.start[1] - cy, self.start[0] - cx)
        turns = a + self.sweep * np.linspace(0.0, 1.0, 2 + int(abs(self.sweep) / CHORD))
        return shapely.LineString(np.column_stack([cx + r * np.cos(turns), cy + r * np.sin(turns)]))


@dataclass(frozen=True, eq=False)
class File:
    """One posted file; `steps` only from where the bit's place is known."""

    name: str
    kind: str
    reading: Reading
    steps: tuple[Step, ...]


@dataclass(frozen=True, eq=False)
class Laid:
    """One sheet: its files in running order, its parts' wood by name, its board's smallest and largest
    reading."""

    sheet: Sheet
    files: tuple[File, ...]
    woods: dict[str, BaseGeometry]
    smallest: float
    largest: float

    def cutting(self) -> Iterator[Step]:
        """The feed moves of the cutting files, in running order."""
        return (s for f in self.files if f.kind == "cut" for s in f.steps if s.kind != "rapid")

    @cached_property
    def rims(self) -> dict[str, BaseGeometry]:
        """The parts without their openings."""
        return {n: shapely.Polygon(w.exterior) for n, w in self.woods.items()}

    def beside(self, step: Step, names: set[str], within: float = 8.0) -> bool:
        """Whether a step ends beside or in one of these parts."""
        at = shapely.Point(step.end[:2])
        return any(self.rims[n].distance(at) < within for n in names if n in self.rims)


@dataclass(frozen=True, eq=False)
class Posted:
    """A run with its files read back."""

    run: Run
    tolerance: float  # mm: half a unit of the last posted decimal, and a little

    @cached_property
    def plan(self) -> Plan:
        return self.run.plan

    @cached_property
    def preset(self) -> Preset:
        """The shop that the run was made for."""
        return load(self.run.folder / "preset.shop.json")

    @cached_property
    def sheets(self) -> tuple[Laid, ...]:
        """The sheets that are cut from one side."""
        texts = self.run.programs()
        return tuple(self._laid(s, texts) for s in self.plan.sheets if s.flip is None)

    def told(self, code: str) -> set[str]:
        """The panels that findings of this code name."""
        return {n for f in self.run.result.findings if f.code == code for n in f.panels}

    def _laid(self, sheet: Sheet, texts: dict[str, str]) -> Laid:
        panels = {p.panel: self.plan.panel(p.panel) for p in sheet.placements}
        woods = {
            p.panel: polygon(
                placed(panels[p.panel].outline, p), [placed(h, p) for h in panels[p.panel].holes], 1e-3
            )
            for p in sheet.placements
        }
        lift = sheet.thickness if self.preset.machine.zero == "board top" else 0.0
        made = tuple(
            self._file(p.kind, p.file, texts[p.file], p.bits[0].number, lift) for p in sheet.programs
        )
        board = next(b for b in self.plan.boards if b.name == sheet.board)
        read = board.readings or (sheet.thickness,)
        return Laid(sheet, made, woods, min(read), max(read))

    def _file(self, kind: str, name: str, text: str, first: int, lift: float) -> File:
        reading = read_program(text)
        steps = []
        for m in reading.motions:
            if any(map(math.isnan, (*m.start, *m.end))):
                continue
            start, end = ((x, y, z + lift) for x, y, z in (m.start, m.end))
            bit = self.preset.bit(first if m.tool is None else m.tool)
            steps.append(Step(name, m.line, m.kind, start, end, m.centre, m.sweep, m.feed, m.spindle, bit))
        return File(name, kind, reading, tuple(steps))
