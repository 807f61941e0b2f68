# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A sheet's posted files: read, checked against the plan's list, and turned into sweeps."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass

from flatwright.findings import Finding, finding
from flatwright.plan import Program, ProgramBit, Sheet
from flatwright.presets.model import Preset
from flatwright.proof import codes as codes
from flatwright.proof.motion import CautionKind, Motion, ReadError, Reading
from flatwright.proof.reader import read_program
from flatwright.proof.sweeps import Sweeps, sweeps

ANEW = "Post the sheet's programs anew; never run this file."
ANOTHER_POST = (
    "Post the sheet's programs anew, with a post that writes plain RS274 (linuxcnc and grbl are tested); "
    "never run this file."
)

_CAUTIONS: dict[CautionKind, str] = {
    "block-delete": "proof.block-delete",
    "assumed-state": "proof.assumed-state",
    "repeated-cycle": "proof.assumed-state",
    "radius-arc": "proof.radius-arc",
    "machine-coordinates": "proof.unplaced-move",
    "length-offset": "proof.unplaced-move",
    "path-tolerance": "proof.path-tolerance",
}


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """One file as read. `bits[i]` goes with motion i; `sweeps` counts heights from the bed by
    adding `lift` to the program's z."""

    program: Program
    sheet: str | None
    sha256: str
    reading: Reading
    bits: tuple[ProgramBit, ...]
    sweeps: Sweeps
    lift: float

    def line(self, motion: int) -> int:
        """Line of a motion."""
        return self.reading.motions[motion].line

    def finding(self, code: str, line: int, message: str, remedy: str = ANEW) -> Finding:
        """A finding at a line of this file (0: the file as a whole)."""
        return file_finding(code, self.program, self.sheet, line, message, remedy)


def file_finding(
    code: str, program: Program, sheet: str | None, line: int, message: str, remedy: str = ANEW
) -> Finding:
    """A finding at a line of a program (0: the file as a whole)."""
    where = f"{program.file}, line {line}" if line else program.file
    return finding(code, where, message, remedy, sheet=sheet)


def sha256(text: str | bytes) -> str:
    """The sha256 of a file's contents."""
    return hashlib.sha256(text.encode() if isinstance(text, str) else text).hexdigest()


def load(
    program: Program, sheet: Sheet, preset: Preset, texts: Mapping[str, str | bytes]
) -> tuple[Run | None, list[Finding]]:
    """Read one file of a sheet; None when it cannot be read."""
    if program.file not in texts:
        message = f"The program {program.file} is not there."
        return None, [file_finding("proof.file-missing", program, sheet.name, 0, message)]
    text = texts[program.file]
    digest = sha256(text)
    found: list[Finding] = []
    if digest != program.sha256:
        message = f"{program.file} is not the file that the plan was written for: its sha256 differs."
        found.append(file_finding("proof.file-changed", program, sheet.name, 0, message))
    try:
        reading = read_program(text, program.file)
    except ReadError as e:
        message = f"{program.file} cannot be read: {e}."
        return None, [
            *found,
            file_finding("proof.reader", program, sheet.name, e.line, message, ANOTHER_POST),
        ]
    found += cautions(program, sheet.name, preset, reading)
    bits, wrong = _bits(program, sheet, preset, reading)
    lift = 0.0 if preset.machine.zero == "bed" else sheet.thickness
    swept = sweeps(reading.motions, [b.diameter / 2 for b in bits], [b.number for b in bits], lift)
    run = Run(program, sheet.name, digest, reading, bits, swept, lift)
    return run, [*found, *wrong]


def cautions(program: Program, sheet: str | None, preset: Preset, reading: Reading) -> list[Finding]:
    """What of a program hangs on something outside its text."""
    out = [
        file_finding(_CAUTIONS[c.kind], program, sheet, c.line, f"{program.file}: {c.message}.")
        for c in reading.cautions
        if c.kind in _CAUTIONS
    ]
    names = ["G54", "G55", "G56", "G57", "G58", "G59", "G59.1", "G59.2", "G59.3"]
    events = reading.of_kind("offset")
    until = [*(e.before for e in events[1:]), len(reading.motions)]
    for event, end in zip(events, until, strict=False):
        name = names[int(event.value) - 1]
        # posts begin and end with G54 whatever the shop uses: what counts is where something moves
        if name != preset.machine.work_offset and end > event.before:
            message = (
                f"{program.file} cuts from {name}; the machine is set up for {preset.machine.work_offset}."
            )
            out.append(file_finding("proof.unplaced-move", program, sheet, event.line, message))
            break
    return out


def _bits(
    program: Program, sheet: Sheet, preset: Preset, reading: Reading
) -> tuple[tuple[ProgramBit, ...], list[Finding]]:
    """The bit of every motion, and what is wrong with the bits."""
    planned = {b.number: b for b in program.bits}
    found = [
        file_finding("proof.bit", program, sheet.name, 0, f"{program.file}: {message}")
        for b in program.bits
        if (message := _unlike_preset(b, preset))
    ]
    if not planned:
        message = f"{program.file}: the plan names no bit for it."
        return (stranger(preset, 0),) * len(reading.motions), [
            *found,
            file_finding("proof.bit", program, sheet.name, 0, message),
        ]
    changes = reading.of_kind("tool")
    for e in changes:
        if int(e.value) not in planned:
            message = f"{program.file} asks for bit {int(e.value)}, which the plan does not list for it."
            found.append(file_finding("proof.bit", program, sheet.name, e.line, message))
            break
    numbers = {int(e.value) for e in changes}
    if preset.machine.bit_change == "by hand" and len(numbers) > 1:
        message = f"{program.file} changes bits inside the file; this machine's bits are changed by hand."
        found.append(file_finding("proof.bit", program, sheet.name, changes[-1].line, message))
    if not changes and len(planned) > 1:
        message = f"{program.file} never says which of its bits is in the spindle."
        found.append(file_finding("proof.bit", program, sheet.name, 0, message))
    return tuple(_bit_of(m, planned, preset, program.bits[0]) for m in reading.motions), found


def _bit_of(m: Motion, planned: Mapping[int, ProgramBit], preset: Preset, first: ProgramBit) -> ProgramBit:
    if m.tool is None:
        return first
    return planned.get(m.tool) or stranger(preset, m.tool)


def stranger(preset: Preset, number: int) -> ProgramBit:
    """A bit that the plan does not list: as the preset knows it, else the widest there is."""
    known = next((b for b in preset.bits if b.number == number), None)
    b = known or max(preset.bits, key=lambda b: b.cut)
    return ProgramBit(number, b.kind, b.cut)


def _unlike_preset(b: ProgramBit, preset: Preset) -> str:
    """What sets a planned bit apart from the preset's bit of that number, "" if nothing."""
    known = next((p for p in preset.bits if p.number == b.number), None)
    if known is None:
        return f"the preset has no bit {b.number}."
    if abs(known.cut - b.diameter) > 0.001 or known.kind != b.kind:
        theirs = f"{known.kind} {known.cut:g} mm"
        return f"bit {b.number} is {b.kind} {b.diameter:g} mm in the plan, {theirs} in the preset."
    return ""
