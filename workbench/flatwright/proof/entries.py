# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How the bit goes down: rapids into wood, plunges by bits that must not drill, ramps across the
grain of a show face. Common practice, no source (CHECKS CP-6, CP-7)."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding
from flatwright.plan import Sheet
from flatwright.presets.model import Preset
from flatwright.proof.earlier import Earlier
from flatwright.proof.programs import Run
from flatwright.proof.speeds import ABOVE
from flatwright.proof.sweeps import Flags, Ints, Sweeps

MARK = 1.0  # mm: a plunge of at most this is a mark, not drilling
STEEP = 20.0  # degrees off the grain that a ramp may run
GRAZE = 0.05  # mm
STEEPER = 1.1  # times the preset's angle
ROUNDED = 0.01  # radians that rounding may add to a short ramp's slope
DRILLERS = ("straight", "up-cut")


def check_entries(
    runs: list[Run], whole: Sweeps, showing: BaseGeometry, sheet: Sheet, preset: Preset
) -> Iterator[Finding]:
    """Checks on all files of a sheet in running order; `whole` are their sweeps joined, `showing` the
    region of the parts whose show face is up."""
    first = 0
    drills = _may_drill(runs)
    earlier = Earlier(whole)
    for run in runs:
        count = len(run.sweeps)
        mine = np.arange(first, first + count)
        first += count
        yield from _rapid_plunges(run, earlier, mine, sheet)
        yield from _drilling(run, earlier, mine, sheet, drills)
        yield from _steep_ramps(run, earlier, mine, sheet, preset, drills)
        yield from _shallow_passes(run, earlier, mine, sheet, preset)
        if preset.entries.along_grain:
            yield from _cross_ramps(run, earlier, mine, showing, sheet)


def _may_drill(runs: list[Run]) -> Flags:
    """True for pieces cut by a bit that may drill."""
    kinds = [np.array([b.kind in DRILLERS for b in run.bits], dtype=np.bool_) for run in runs]
    pieces = [k[run.sweeps.motion] for k, run in zip(kinds, runs, strict=True)]
    return np.concatenate([np.empty(0, dtype=np.bool_), *pieces])


def _rapid_plunges(run: Run, earlier: Earlier, mine: Ints, sheet: Sheet) -> Iterator[Finding]:
    """Rapids straight down below the board's top where wood stands."""
    s = run.sweeps
    down = s.rapid & ~s.sideways() & (s.b[:, 2] < s.a[:, 2] - 1e-6) & (s.b[:, 2] < sheet.thickness - 1e-3)
    inside = (s.b[:, :2] > 0.0).all(axis=1) & (s.b[:, :2] < sheet.size).all(axis=1)
    for k in np.flatnonzero(down & inside).tolist():
        if not earlier.open_place(int(mine[k]), float(s.b[k, 2])):
            line = run.line(int(s.motion[k]))
            yield run.finding(
                "proof.rapid-in-wood",
                line,
                f"Line {line} of {run.program.file} goes down by rapid into wood, "
                f"to {s.b[k, 2]:.2f} mm above the bed.",
            )
            return


def _drilling(run: Run, earlier: Earlier, mine: Ints, sheet: Sheet, drills: Flags) -> Iterator[Finding]:
    """Plunges of more than MARK into solid wood by a bit that must not drill."""
    s = run.sweeps
    down = (
        ~s.rapid
        & ~s.sideways()
        & ~drills[mine]
        & (s.b[:, 2] < s.a[:, 2] - 1e-6)
        & (s.b[:, 2] < sheet.thickness - MARK - 1e-3)
    )
    usable = drills | earlier.whole.sideways()
    for k in np.flatnonzero(down).tolist():
        if not earlier.open_place(int(mine[k]), float(s.b[k, 2]) + MARK, usable):
            m = int(s.motion[k])
            bit = run.bits[m]
            yield run.finding(
                "proof.drilled-with",
                run.line(m),
                f"Line {run.line(m)} of {run.program.file} plunges the {bit.kind} bit {bit.number} into "
                f"solid wood, to {s.b[k, 2]:.2f} mm above the bed.",
                "Enter by a ramp, or drill first with an up-cut or straight bit.",
            )
            return


def _steep_ramps(
    run: Run, earlier: Earlier, mine: Ints, sheet: Sheet, preset: Preset, drills: Flags
) -> Iterator[Finding]:
    """Descents of more than MARK in solid wood that a bit that must not drill takes more steeply than the
    preset's ramps; a tab's sloped ends are none."""
    s = run.sweeps
    drop = np.minimum(s.a[:, 2], sheet.thickness) - s.b[:, 2]
    flat = np.hypot(*(s.b - s.a)[:, :2].T)
    slope = np.arctan2(s.a[:, 2] - s.b[:, 2], flat)
    steep = slope > preset.entries.ramp_angle * STEEPER + ROUNDED
    slopes = max((t.height for t in sheet.tabs), default=0.0) + ABOVE
    down = ~s.rapid & ~drills[mine] & s.sideways() & (drop > MARK) & steep & (s.a[:, 2] > slopes)
    for k in np.flatnonzero(down).tolist():
        if not earlier.open_place(int(mine[k]), float(s.b[k, 2]) + MARK):
            m = int(s.motion[k])
            bit, angle = run.bits[m], np.degrees(slope[k])
            yield run.finding(
                "proof.steep-ramp",
                run.line(m),
                f"Line {run.line(m)} of {run.program.file} takes the {bit.kind} bit {bit.number} into solid "
                f"wood at {angle:.0f}°; {np.degrees(preset.entries.ramp_angle):.0f}° are the preset's ramps.",
                "Enter by a longer ramp, or drill first with an up-cut or straight bit.",
            )
            return


def _shallow_passes(
    run: Run, earlier: Earlier, mine: Ints, sheet: Sheet, preset: Preset
) -> Iterator[Finding]:
    """Level passes of a compression bit in solid wood that are no deeper than its up-cut part, which then
    tears the upper veneer (CHECKS CP-8, common practice)."""
    s = run.sweeps
    edges = {b.number: b.up_cut_length or 0.0 for b in preset.bits if b.kind == "compression"}
    up_cut = np.array([edges.get(b, 0.0) for b in s.bit.tolist()], dtype=np.float64)
    depth = sheet.thickness - s.b[:, 2]
    level = ~s.rapid & s.sideways() & (np.abs(s.b[:, 2] - s.a[:, 2]) < 1e-3)
    for k in np.flatnonzero(level & (depth > GRAZE) & (depth < up_cut - GRAZE)).tolist():
        if not earlier.open_way(int(mine[k]), float(s.b[k, 2])):
            line, bit = run.line(int(s.motion[k])), int(s.bit[k])
            yield run.finding(
                "proof.shallow-pass",
                line,
                f"Line {line} of {run.program.file} takes the compression bit {bit} only {depth[k]:.2f} mm "
                f"deep; its up-cut part is {up_cut[k]:g} mm long.",
                "Let its first pass go deeper than its up-cut part, or use a down-cut or straight bit.",
            )
            return


def _cross_ramps(
    run: Run, earlier: Earlier, mine: Ints, showing: BaseGeometry, sheet: Sheet
) -> Iterator[Finding]:
    """Straight ramps that drop more than MARK in solid wood across the grain; helices are free."""
    s = run.sweeps
    drop = np.minimum(s.a[:, 2], sheet.thickness) - s.b[:, 2]
    run_xy = s.b[:, :2] - s.a[:, :2]
    angle = np.degrees(np.arctan2(np.abs(run_xy[:, 1]), np.abs(run_xy[:, 0])))
    if sheet.grain == "width":
        angle = 90.0 - angle
    slopes = max((t.height for t in sheet.tabs), default=0.0) + ABOVE  # a tab's sloped ends are no entry
    ramp = ~s.rapid & ~s.arc & s.sideways() & (drop > 1e-6) & (s.a[:, 2] > slopes)
    across = ramp & (angle > STEEP)
    for chosen in _runs(ramp, across):
        if float(drop[chosen].sum()) <= MARK:
            continue
        shown = any(line.intersects(showing) for line in s.take(chosen).lines())
        bottom = float(s.b[chosen[-1], 2])
        if shown and not earlier.open_place(int(mine[chosen[0]]), bottom):
            line = run.line(int(s.motion[chosen[0]]))
            off = f"{angle[chosen[0]]:.0f}° off the grain"
            yield run.finding(
                "proof.ramp-across-grain",
                line,
                f"Line {line} of {run.program.file} ramps into a show face {off}.",
                "Let the ramp run along the grain: choose another place to enter, or turn the part.",
            )
            return


def _runs(ramp: Flags, across: Flags) -> Iterator[Ints]:
    """The pieces marked `across` of every unbroken row of ramp pieces that has any."""
    ends = np.flatnonzero(~ramp).tolist()
    for start, end in zip([0, *(e + 1 for e in ends)], [*ends, len(ramp)], strict=True):
        chosen = start + np.flatnonzero(across[start:end])
        if len(chosen):
            yield chosen
