# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Above its edges a bit cuts nothing: its shank and the collet must stay out of wood and off screw heads."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from flatwright.findings import Finding
from flatwright.plan import Screw
from flatwright.presets.model import Preset
from flatwright.proof.programs import Run
from flatwright.proof.sweeps import Floats

BEYOND = 10.0  # mm that a bit stands out more than it cuts, if the preset does not say (its own rule)
COLLET = 25.0  # mm, radius of a router's collet nut; common practice, no source
ROUNDED = 0.01  # mm


def cutting_lengths(run: Run, preset: Preset) -> dict[int, float]:
    """Length of the edges by bit number, as far as the preset knows the bit."""
    used = {b.number for b in run.bits}
    return {b.number: b.cutting_length for b in preset.bits if b.number in used}


def check_length(run: Run, top: float, preset: Preset) -> Iterator[Finding]:
    """Cuts deeper than the bit's edges are long; `top` is the board's, from the bed."""
    s = run.sweeps
    for number, length in sorted(cutting_lengths(run, preset).items()):
        low = (s.bit == number) & ~s.rapid & (s.lowest() < top - length - ROUNDED)
        if low.any():
            k = int(s.motion[np.flatnonzero(low)[0]])
            deep = top - float(s.lowest()[low].min())
            yield run.finding(
                "proof.cutting-length",
                run.line(k),
                f"Line {run.line(k)} of {run.program.file}: bit {number} goes {deep:.2f} mm below the "
                f"board's top, its edges are {length:g} mm long.",
                "Use a longer bit, or correct its cutting length in the preset.",
            )


def check_collet(run: Run, top: float, screws: tuple[Screw, ...], preset: Preset) -> Iterator[Finding]:
    """The collet must clear every screw head."""
    s, head = run.sweeps, preset.holding.fasteners
    if not screws or not len(s):
        return
    low = s.take(_collets(run, preset) < top + head.head_height - ROUNDED)
    if not len(low):
        return
    points = shapely.points([(w.x, w.y) for w in screws])
    hits = shapely.STRtree(low.lines()).query(
        points, predicate="dwithin", distance=COLLET + head.head_diameter / 2
    )
    if not hits.shape[1]:
        return
    first = int(low.motion[hits[1]].min())
    w = screws[int(hits[0][low.motion[hits[1]] == first][0])]
    yield run.finding(
        "proof.holder-hit",
        run.line(first),
        f"Line {run.line(first)} of {run.program.file}: the collet comes lower than the head of the "
        f"{head.kind} at ({w.x:.1f}, {w.y:.1f}) and within {COLLET:g} mm of it.",
        "Use a longer bit, or move the screw away.",
    )


def _collets(run: Run, preset: Preset) -> Floats:
    """(n,) height of the collet's nut over every piece; infinite where the preset does not know the bit."""
    out = {b.number: b.cutting_length + BEYOND if b.stick_out is None else b.stick_out for b in preset.bits}
    s = run.sweeps
    return s.lowest() + np.array([out.get(b, np.inf) for b in s.bit.tolist()], dtype=np.float64)


def check_clamps(run: Run, preset: Preset) -> Iterator[Finding]:
    """Bits and collets against the clamps that the preset places on the bed, rapids included."""
    s, collets = run.sweeps, _collets(run, preset)
    for clamp in preset.machine.keep_outs:
        if clamp.kind != "clamp" or not len(s):
            continue
        x0, x1 = sorted(clamp.corners[0::2])
        y0, y1 = sorted(clamp.corners[1::2])
        away = shapely.distance(s.lines(), shapely.box(x0, y0, x1, y1))
        hit = (s.lowest() < clamp.height) & (away < s.radius - ROUNDED)
        hit |= (collets < clamp.height) & (away < COLLET)
        if hit.any():
            line = run.line(int(s.motion[np.flatnonzero(hit)[0]]))
            yield run.finding(
                "proof.clamp-hit",
                line,
                f"Line {line} of {run.program.file} runs into the clamp {clamp.name}, "
                f"{clamp.height:g} mm high.",
                "Move the clamp, or lay out again with its place kept out.",
            )
