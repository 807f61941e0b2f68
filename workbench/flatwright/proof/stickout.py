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
    """The collet sits at least a cutting length above the bit's tip: it must clear every screw head."""
    s, head = run.sweeps, preset.holding.fasteners
    if not screws or not len(s):
        return
    lengths = cutting_lengths(run, preset)
    length = np.array([lengths.get(int(b), np.inf) for b in s.bit])
    low = s.take(s.lowest() + length < top + head.head_height - ROUNDED)
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
