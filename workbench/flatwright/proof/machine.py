# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What holds for every program, whatever it cuts: spindle, heights, depth, travel, parking."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from flatwright.findings import Finding
from flatwright.plan import Flip, Sheet
from flatwright.presets.model import Preset
from flatwright.proof.over import flip_of, in_pins
from flatwright.proof.programs import ANEW, Run
from flatwright.proof.speeds import ABOVE, check_speeds, more_like_it

DEEPER = 0.01  # mm below the overcut that rounding may go
PARKED = 0.05  # mm


def check_machine(run: Run, sheet: Sheet, preset: Preset) -> list[Finding]:
    """All checks on one file that need no map of the wood."""
    return [
        *check_speeds(run, sheet, preset),
        *_rapids(run, sheet),
        *unplaced(run),
        *depth(run, preset, flip=flip_of(run, sheet)),
        *_travel(run, preset),
        *_end(run, sheet, preset),
    ]


def _rapids(run: Run, sheet: Sheet) -> Iterator[Finding]:
    """Rapid moves sideways too low over the sheet."""
    s = run.sweeps
    low = s.rapid & s.sideways() & (s.lowest() < sheet.thickness + ABOVE) & s.over(sheet.size)
    wrong = np.unique(s.motion[low])
    if len(wrong):
        m = run.reading.motions[int(wrong[0])]
        z = min(m.start[2], m.end[2]) + run.lift
        yield run.finding(
            "proof.rapid-in-wood",
            m.line,
            f"Line {m.line} of {run.program.file} moves sideways by rapid at {z:.2f} mm above the bed, "
            f"in or just above a board of {sheet.thickness:.2f} mm{more_like_it(len(wrong))}.",
        )


def unplaced(run: Run) -> Iterator[Finding]:
    """Cuts from an unknown place, moves at an unknown height."""
    for k, m in enumerate(run.reading.motions):
        unknown_height = math.isnan(m.end[2]) and not math.isnan(m.end[0])
        unknown_start = m.kind != "rapid" and any(math.isnan(c) for c in m.start)
        if unknown_height or unknown_start:
            line = run.line(k)
            yield run.finding(
                "proof.unplaced-move",
                line,
                f"Line {line} of {run.program.file} moves before it is known where the bit stands.",
            )
            return


def depth(run: Run, preset: Preset, remedy: str = ANEW, flip: Flip | None = None) -> Iterator[Finding]:
    """Cuts below the overcut, and into the table; at the pins of a `flip` (where the file has them) as deep
    as these go."""
    s, machine = run.sweeps, preset.machine
    low = s.lowest()
    wrong = low < -machine.overcut - DEEPER
    if flip is not None:
        wrong &= ~((low >= -flip.depth - DEEPER) & in_pins(s, flip))
    deep = np.unique(s.motion[wrong])
    if not len(deep):
        return
    worst = -float(low[wrong].min())
    line = run.line(int(deep[0]))
    table = worst >= machine.spoilboard
    lies = f"the table lies under {machine.spoilboard:.2f} mm of it"
    yield run.finding(
        "proof.table-hit" if table else "proof.overcut",
        line,
        f"{run.program.file} goes {worst:.2f} mm into the spoilboard, from line {line} on; "
        f"{lies if table else f'{machine.overcut:.2f} mm are allowed'}.",
        remedy,
    )


def _travel(run: Run, preset: Preset) -> Iterator[Finding]:
    s = run.sweeps
    if not len(s):
        return
    points = np.vstack([s.a, s.b])
    low, high = points.min(axis=0), points.max(axis=0)
    limit = preset.machine.travel
    for k, axis in enumerate("xyz"):
        if high[k] > limit[k] + PARKED or (k < 2 and low[k] < -PARKED):
            yield run.finding(
                "proof.travel",
                0,
                f"{run.program.file} moves {axis} from {low[k]:.2f} to {high[k]:.2f} mm; "
                f"the machine has {limit[k]:.2f} mm.",
                "Place the sheet or the parts otherwise, or correct the machine's travel in the preset.",
            )


def _end(run: Run, sheet: Sheet, preset: Preset) -> Iterator[Finding]:
    """The last place and the spindle before M2."""
    motions = run.reading.motions
    if not motions:
        yield run.finding("proof.not-parked", 0, f"{run.program.file} holds no move.")
        return
    x, y, z = motions[-1].end
    park = preset.machine.park
    clear = sheet.thickness + preset.machine.clear_height
    faults = []
    if not math.hypot(x - park[0], y - park[1]) <= PARKED:
        faults.append(f"at ({x:.1f}, {y:.1f}), not parked at ({park[0]:.1f}, {park[1]:.1f})")
    if not z + run.lift >= clear - DEEPER:
        faults.append(f"at {z + run.lift:.2f} mm above the bed, not at the clear height {clear:.2f} mm")
    speeds = [e.value for e in run.reading.of_kind("spindle")]
    if speeds and speeds[-1] != 0.0:
        faults.append("with the spindle turning (no M5 before the end)")
    if faults:
        message = f"{run.program.file} ends {' and '.join(faults)}."
        yield run.finding("proof.not-parked", motions[-1].line, message)
