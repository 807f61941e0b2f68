# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What to do at the machine, step by step, for one sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath

from flatwright.plan import Program, ProgramBit, Sheet
from flatwright.presets.model import Preset
from flatwright.reports.lengths import Lengths
from flatwright.reports.setup import Setup
from flatwright.reports.step import Step, count, fastener
from flatwright.reports.turning import turning

BIT_NAMES = {
    "straight": "straight bit",
    "up-cut": "up-cut bit",
    "down-cut": "down-cut bit",
    "compression": "compression bit",
}


def steps(sheet: Sheet, preset: Preset, numbers: Setup, lengths: Lengths) -> list[Step]:
    """All steps for a sheet, from checking the board to the fire watch."""
    return list(_steps(_Writer(sheet, preset, numbers, lengths)))


def bit_name(bit: ProgramBit, lengths: Lengths) -> str:
    """For example "bit 3, down-cut bit 6.00 mm (0.236 in)"."""
    return f"bit {bit.number}, {BIT_NAMES.get(bit.kind, bit.kind)} {lengths.says(bit.diameter)}"


def file_name(program: Program) -> str:
    """The program's file without its folder."""
    return PurePosixPath(program.file).name


@dataclass(frozen=True, slots=True)
class _Writer:
    sheet: Sheet
    preset: Preset
    numbers: Setup
    lengths: Lengths


def _steps(w: _Writer) -> Iterator[Step]:
    yield _check_board(w)
    yield _lay_down(w)
    fitted: tuple[ProgramBit, ...] = ()
    for program in w.sheet.programs:
        if program.bits != fitted:
            yield _fit_bits(w, program.bits, first=not fitted)
            fitted = program.bits
        yield _dry_run(w, program)
        yield _run(program, w)
        if program.kind == "spots":
            yield _drive(w)
        if w.sheet.flip is not None and program == _last_of_first_side(w.sheet):
            yield from turning(w.sheet, w.sheet.flip, w.numbers, w.preset, w.lengths)
    yield _free(w)
    yield Step(
        "Watch for fire",
        "Leave the extraction on for a while, clean the bed, look into the dust container. Stay until "
        "nothing can still be smouldering.",
    )


def _last_of_first_side(sheet: Sheet) -> Program | None:
    return next((p for p in reversed(sheet.programs) if p.underside), None)


def _check_board(w: _Writer) -> Step:
    n, says = w.numbers, w.lengths.says
    if n.readings:
        band = f"{says(n.smallest)} to {says(n.largest)}"
        how = (
            f"Measure this sheet with the caliper near all four corners. The programs count with "
            f"{says(n.thickness)}; the batch read {band}. If the sheet reads outside that, stop: "
            "have the programs made again."
        )
    else:
        how = (
            f"This board was never measured; the programs count with {says(n.thickness)}. Measure it now "
            "near all four corners. If it differs, stop: have the programs made again."
        )
    return Step("Check the board", how)


def _lay_down(w: _Writer) -> Step:
    grain = "X" if w.sheet.grain == "length" else "Y"
    first = "The sheet is cut from both sides and lies as on the map of side 1. " if w.sheet.flip else ""
    how = (
        f"Sweep the bed. Face grain runs along {grain}. The corner marked 0 on the map is the zero of X and "
        f"Y. {first}The show face of parts marked ▲ lies up, that of parts marked ▽ lies down. Clamp the "
        "sheet, or press it flat with weights, in the grey areas near its edges, away from every line of the "
        "map: "
    )
    if w.sheet.screws:
        how += "it must touch the bed everywhere while it is spotted."
    elif "vacuum" in w.preset.holding.method:
        how += "it must touch the bed everywhere. Switch the vacuum on and read its gauge."
    else:
        how += "it must touch the bed everywhere, and these clamps are all that holds it."
    return Step("Lay the sheet down and press it flat", how)


def _fit_bits(w: _Writer, bits: tuple[ProgramBit, ...], first: bool) -> Step:
    names = "; ".join(bit_name(b, w.lengths) for b in bits)
    machine = w.preset.machine
    where = (
        "Z zero is the bed: the top of the spoilboard, beside the sheet."
        if machine.zero == "bed"
        else "Z zero is the top of the board."
    )
    if machine.bit_change == "automatic":
        do = "Load the bits and set zero"
        how = f"Into the changer: {names}. Measure every bit's length. {where}"
    else:
        do = "Fit the bit and set zero" if first else "Change the bit and set Z zero again"
        stopped = "" if first else "Spindle stopped, motion held. "
        how = f"{stopped}{names.capitalize()}. {where} Check it: bring the bit down to zero by hand, slowly."
    if first:
        how += f" X and Y zero ({machine.work_offset}) is the sheet's corner marked 0."
    return Step(do, how)


def _dry_run(w: _Writer, program: Program) -> Step:
    lift = w.lengths.says(w.numbers.dry_run_lift, 0)
    return Step(
        f"Dry run: {file_name(program)}",
        f"Raise Z zero by {lift} and run the file in the air above the board. Watch that it stays over "
        "the sheet and clear of all that holds it. Put Z zero back and check it.",
    )


def _run(program: Program, w: _Writer) -> Step:
    name = file_name(program)
    end = "It ends at the parking point with the spindle stopped."
    if program.kind == "spots":
        depth = w.lengths.says(w.preset.holding.fasteners.mark_depth)
        return Step(
            f"Run {name}",
            f"Extraction on, hand near the stop. It marks {count(len(w.sheet.screws), 'place')} for "
            f"{fastener(w.preset)}s, {depth} deep in the thinnest board of the batch. {end}",
        )
    return Step(
        f"Run {name}",
        f"Extraction on, hand near the stop, eyes on the cut; do not leave. If a part moves, stop. {end}",
    )


def _drive(w: _Writer) -> Step:
    f, says = w.preset.holding.fasteners, w.lengths.says
    head = f"head no wider than {says(f.head_diameter)}, no higher than {says(f.head_height)}"
    return Step(
        f"Stop the spindle, hold the motion, drive {count(len(w.sheet.screws), fastener(w.preset))}",
        f"One into each mark and nowhere else: length {says(w.numbers.screw_length, 1)}, never longer than "
        f"{says(w.numbers.longest_screw, 1)}; {head}. Drive until the sheet lies tight on the bed. "
        "Take away clamps that a program comes near. Nothing may be able to start until your hands are out.",
    )


def _free(w: _Writer) -> Step:
    how = "Spindle stopped, motion held. "
    if w.sheet.tabs:
        how += (
            f"Cut the {count(len(w.sheet.tabs), 'tab')} with a chisel or a fine saw, away from the hand "
            "that holds the part. "
        )
    if w.sheet.skin > 0.0:
        how += (
            f"Cut the skin of {w.lengths.says(w.sheet.skin)} around each part with a knife, away from "
            "the hand "
            "that holds it, and sand its rest off. "
        )
    if w.sheet.screws:
        how += f"Take the {fastener(w.preset)}s out. "
    if w.sheet.flip is not None:
        how += "Pull the dowels out of the spoilboard. "
    return Step("Free the parts", f"{how}Mark each part with its name from the map.")
