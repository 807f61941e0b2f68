# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the planner makes of pieces without a host, posted by a small post of the tests' own.

Rows keep each move with the operation that it belongs to, so that a test can spoil one on purpose.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from flatwright import resources, steps
from flatwright.boards.batch import Batch
from flatwright.boards.readings import parse_readings
from flatwright.cutting.moves import Operation, SheetProgram
from flatwright.edits.model import Edits
from flatwright.findings import Finding
from flatwright.geometry.outline import rectangle
from flatwright.panels.solid import Solid
from flatwright.plan import Panel, Plan, Program, ProgramBit
from flatwright.presets.model import Layout, Machine, Preset, SheetStock
from flatwright.presets.reading import load
from flatwright.proof.check import prove
from support.corpus.both_faces import back_to_back
from support.corpus.boxes import rabbet_corner, rabbet_tray
from support.pieces import board, cross_lap, finger_corner, through_tenon
from support.two_sided import cabinet

READINGS = ("18:17.72,17.70,17.75,17.68,17.71,17.74,17.69,17.73",)
PARK = (0.0, 0.0)
REACH = 180.0  # mm: small pieces get as many screws as large sheets do
CODES = {"line": "G1", "cw": "G2", "ccw": "G3", "rapid": "G0"}


@dataclass(frozen=True, slots=True)
class Row:
    """One line: a move to (x, y, z) of an operation (its index in the file), or `raw` text."""

    g: str = ""
    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    i: float = 0.0
    j: float = 0.0
    f: float = 0.0
    op: int = -1
    raw: str = ""

    def __str__(self) -> str:
        if not self.g:
            return self.raw
        words = f"{self.g} X{self.x:.4f} Y{self.y:.4f} Z{self.z:.4f}"
        words += f" I{self.i:.4f} J{self.j:.4f}" if self.g in ("G2", "G3") else ""
        return words + (f" F{self.f:.1f}" if self.g != "G0" else "")


@dataclass(frozen=True, slots=True)
class File:
    """A program: rows, and the operations that they belong to."""

    name: str
    kind: str
    rows: tuple[Row, ...]
    operations: tuple[Operation, ...]
    bits: tuple[ProgramBit, ...]
    underside: bool = False

    def text(self) -> str:
        return "\n".join(str(r) for r in self.rows) + "\n"

    def with_rows(self, rows: Sequence[Row]) -> File:
        return replace(self, rows=tuple(rows))

    def edited(self, change: Callable[[Row], Row]) -> File:
        """Every move changed."""
        return self.with_rows([change(r) if r.g else r for r in self.rows])

    def inserted(self, at: int, lines: Sequence[Row]) -> File:
        return self.with_rows([*self.rows[:at], *lines, *self.rows[at:]])

    def of(self, op: int) -> list[int]:
        """Row numbers of an operation."""
        return [k for k, r in enumerate(self.rows) if r.op == op]


@dataclass(frozen=True, slots=True)
class Work:
    """A piece, planned and posted. `plan` is what the proof is told; hashes are those of the files."""

    plan: Plan
    preset: Preset
    batches: tuple[Batch, ...]
    files: Mapping[str, File]
    findings: tuple[Finding, ...] = ()
    honest_hashes: bool = True

    def prove(self) -> list[Finding]:
        """What the proof finds."""
        texts = {name: f.text() for name, f in self.files.items()}
        plan = self.plan
        for sheet in plan.sheets if self.honest_hashes else ():
            programs = tuple(
                replace(p, sha256=_hash(texts[p.file])) if p.file in texts else p for p in sheet.programs
            )
            plan = plan.with_sheet(replace(sheet, programs=programs))
        return prove(plan, self.preset, texts, batches=self.batches)[0]

    def codes(self) -> set[str]:
        """Codes of errors and warnings."""
        return {f.code for f in self.prove() if f.severity != "note"}

    def with_file(self, file: File) -> Work:
        return replace(self, files={**self.files, file.name: file})

    def cuts(self) -> Iterator[File]:
        return (f for f in self.files.values() if f.kind == "cut")


def shop(sheet: tuple[float, float] = (900.0, 600.0), **machine: Any) -> Preset:
    """The metric starter with small sheets and parking at the corner."""
    preset = load(resources.path("presets/metric.shop.json"))
    layout = Layout((SheetStock(*sheet),), edge=25.0, spacing=16.0, time=2.0)
    stated: Machine = replace(preset.machine, park=PARK, **machine)
    fasteners = replace(preset.holding.fasteners, reach=REACH)
    held = replace(preset.holding, fasteners=fasteners)
    return replace(preset, layout=layout, machine=stated, holding=held)


def work_of(
    panels: Sequence[Panel],
    preset: Preset | None = None,
    readings: Sequence[str] = READINGS,
    edits: Edits | None = None,
) -> Work:
    """Plan and post these panels. Patches the step that would read them from solids."""
    known = steps.find_panels
    steps.find_panels = lambda solids: (list(panels), [])  # type: ignore[assignment]
    try:
        return work_from((), preset, readings, edits)
    finally:
        steps.find_panels = known


def work_from(
    solids: Sequence[Solid],
    preset: Preset | None = None,
    readings: Sequence[str] = READINGS,
    edits: Edits | None = None,
) -> Work:
    """Plan and post what is found in these solids."""
    preset = preset or shop()
    options = steps.Options(engine="built-in")
    done = steps.decide(solids, preset, parse_readings(readings, None), options, edits=edits)
    files: dict[str, File] = {}
    plan = done.plan
    for sheet in plan.sheets:
        made = [posted(p, preset) for p in done.programs[sheet.name]]
        files |= {f.name: f for f in made}
        programs = tuple(
            Program(f.kind, f.name, _hash(f.text()), f.bits, f.underside)  # type: ignore[arg-type]
            for f in made
        )
        plan = plan.with_sheet(replace(sheet, programs=programs))
    return Work(plan, preset, done.batches, files, done.findings)


def posted(program: SheetProgram, preset: Preset) -> File:
    """The moves as rows; rapids in two legs, as a router must make them."""
    bits = tuple(ProgramBit(b.number, b.kind, b.cut) for b in map(preset.bit, program.bits))
    speed = preset.feed(program.bits[0], None).spindle
    rows = [
        Row(raw="G17 G21 G40 G49 G54 G80 G90 G94"),
        Row(raw=f"T{program.bits[0]} M6"),
        Row(raw=f"M3 S{speed:.0f}"),
    ]
    at: tuple[float, float, float] | None = None
    for n, operation in enumerate(program.operations):
        for m in operation.moves:
            if at is None:
                rows.append(Row(raw=f"G0 Z{m.z:.4f}", op=n))
                at = (math.inf, math.inf, m.z)
            if m.kind == "rapid":
                middle = (at[0], at[1], m.z) if m.z >= at[2] and at[0] < math.inf else (m.x, m.y, at[2])
                legs = [leg for leg in (middle, (m.x, m.y, m.z)) if leg != at]
                rows += [Row("G0", *leg, op=n) for leg in dict.fromkeys(legs)]
            else:
                rows.append(Row(CODES[m.kind], m.x, m.y, m.z, m.i, m.j, m.feed or 0.0, n))
            at = (m.x, m.y, m.z)
    rows += [Row(raw="M5"), Row(raw="M2")]
    return File(f"{program.stem}.nc", program.kind, tuple(rows), program.operations, bits, program.underside)


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


PIECES: dict[str, Callable[[], Sequence[Panel]]] = {
    "cabinet": cabinet,
    "through tenon": lambda: shown(through_tenon(0.0)),
    "cross-lap": lambda: shown(cross_lap(0.0)),
    "finger corner": lambda: shown(finger_corner(0.0)),
    "rabbet corner": lambda: shown(rabbet_corner(18.0, 0.0).panels),
    "window": lambda: shown(
        [board("window", rectangle(0, 0, 420, 300), holes=[rectangle(110, 80, 310, 220)])]
    ),
    "small window": lambda: shown(  # its drop hangs on tabs and has no room for a screw
        [board("small window", rectangle(0, 0, 300, 200), holes=[rectangle(120, 80, 164, 114)])]
    ),
    "back to back": lambda: shown(back_to_back(18.0, 0.0).panels),
}


def shown(panels: Sequence[Panel]) -> list[Panel]:
    """Panels that show both faces."""
    return [replace(p, show="both") for p in panels]


# Looked at only where PIECES are not enough to tell: in this one, tabs have little choice.
MORE_PIECES: dict[str, Callable[[], Sequence[Panel]]] = {
    "rabbeted tray": lambda: shown(rabbet_tray(18.0, 0.0).panels),
}


@cache
def piece(name: str) -> Work:
    """A piece of PIECES or MORE_PIECES, planned once for a test session."""
    return work_of({**PIECES, **MORE_PIECES}[name]())
