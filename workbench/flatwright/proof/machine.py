# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What holds for every program, whatever it cuts: spindle, heights, depth, travel, parking."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from flatwright.findings import Finding
from flatwright.plan import Sheet
from flatwright.presets.model import Preset
from flatwright.proof.programs import Run
from flatwright.proof.sweeps import Flags, Sweeps

ABOVE = 0.5  # mm over the board that a rapid move must keep: readings differ by less
DEEPER = 0.01  # mm below the overcut that rounding may go
PARKED = 0.05  # mm
SMALL = 1e-4  # mm


def check_machine(run: Run, sheet: Sheet, preset: Preset) -> list[Finding]:
    """All checks on one file that need no map of the wood."""
    return [
        *_spindle(run, sheet),
        *_rapids(run, sheet),
        *_depth(run, preset),
        *_travel(run, preset),
        *_end(run, sheet, preset),
    ]


def sideways(s: Sweeps) -> Flags:
    """True where a piece moves in the plane."""
    return np.asarray((np.abs(s.b[:, :2] - s.a[:, :2]) > SMALL).any(axis=1), dtype=np.bool_)


def over_sheet(s: Sweeps, sheet: Sheet) -> Flags:
    """True where a piece's box, grown by its bit, meets the sheet."""
    r = s.radius[:, None]
    low = np.minimum(s.a[:, :2], s.b[:, :2]) - r
    high = np.maximum(s.a[:, :2], s.b[:, :2]) + r
    return np.asarray((low < sheet.size).all(axis=1) & (high > 0.0).all(axis=1), dtype=np.bool_)


def _more(count: int) -> str:
    return f" ({count - 1} more like it)" if count > 1 else ""


def _spindle(run: Run, sheet: Sheet) -> Iterator[Finding]:
    speed = np.array([m.spindle for m in run.reading.motions])[run.sweeps.motion]
    cutting = ~run.sweeps.rapid & (run.sweeps.lowest() < sheet.thickness + ABOVE)
    wrong = np.unique(run.sweeps.motion[cutting & (speed <= 0.0)])
    if len(wrong):
        line = run.line(int(wrong[0]))
        backwards = run.reading.motions[int(wrong[0])].spindle < 0.0
        how = "turning backwards" if backwards else "stopped"
        yield run.finding(
            "proof.spindle-off",
            line,
            f"Line {line} of {run.program.file} cuts with the spindle {how}{_more(len(wrong))}.",
        )


def _rapids(run: Run, sheet: Sheet) -> Iterator[Finding]:
    """Rapid moves sideways too low over the sheet, or at an unknown height."""
    s = run.sweeps
    low = s.rapid & sideways(s) & (s.lowest() < sheet.thickness + ABOVE) & over_sheet(s, sheet)
    wrong = np.unique(s.motion[low])
    if len(wrong):
        m = run.reading.motions[int(wrong[0])]
        z = min(m.start[2], m.end[2]) + run.lift
        yield run.finding(
            "proof.rapid-in-wood",
            m.line,
            f"Line {m.line} of {run.program.file} moves sideways by rapid at {z:.2f} mm above the bed, "
            f"in or just above a board of {sheet.thickness:.2f} mm{_more(len(wrong))}.",
        )
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


def _depth(run: Run, preset: Preset) -> Iterator[Finding]:
    s, machine = run.sweeps, preset.machine
    low = s.lowest()
    deep = np.unique(s.motion[low < -machine.overcut - DEEPER])
    if not len(deep):
        return
    worst = float(low.min())
    line = run.line(int(deep[0]))
    table = worst <= -machine.spoilboard
    limit = f"the table lies at {-machine.spoilboard:.2f}" if table else f"{-machine.overcut:.2f} is allowed"
    yield run.finding(
        "proof.table-hit" if table else "proof.overcut",
        line,
        f"{run.program.file} goes to {worst:.2f} mm from the bed (first on line {line}); {limit} mm.",
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
