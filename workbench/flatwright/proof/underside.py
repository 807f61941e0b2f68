# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The side that is cut before a sheet is turned over, joined to what the other side leaves.

Heights of its cuts count from the bed, on which the part then lay with its other face.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding
from flatwright.plan import Sheet
from flatwright.proof.compare import Worst, compare_pockets, part_finding
from flatwright.proof.over import in_pins
from flatwright.proof.programs import Run
from flatwright.proof.reach import Cutters
from flatwright.proof.recover import NEAR, Recovered, floor_of
from flatwright.proof.removal import Maps
from flatwright.proof.tabs import Kerf
from flatwright.proof.target import Target, reaches

WASTE = 1.0  # mm beside what a bit needs to run out of a pocket


def join(
    part: Recovered, below: Target, near: Maps, beside: Sequence[Kerf], sheet: str
) -> tuple[Recovered, list[Finding], Worst]:
    """The part with what was cut into its underside, what is wrong there, and the largest deviation.

    `near` are the maps of the first side's sweeps near the part, on the sheet as the plan draws it;
    `beside` the kerfs in which the part's tabs stand.
    """
    expected = replace(part.expected, reach=reaches(below, part.expected.foot, Cutters(near.sweeps)))
    floors = tuple(floor_of(f, r, near, below.top) for f, r in zip(below.floors, expected.reach, strict=True))
    other = replace(part, target=below, expected=expected, floors=floors, parted=None)
    findings, worst = compare_pockets(other, near, sheet)
    findings += _undercut(part, near, beside, sheet)
    cut = [m.high for m in floors if m is not None and m.high is not None]
    hung = tuple(sorted({round(below.top - z, 3) for z in cut}))
    return replace(part, layers=_cut(part, near, hung), hung=hung), findings, worst


def _cut(part: Recovered, near: Maps, hung: Sequence[float]) -> tuple[tuple[float, float, BaseGeometry], ...]:
    """The layers split at the floors of the underside, less what is gone from there."""
    top = part.target.top
    out = []
    for low, high, wood in part.layers:
        steps = [low, *(h for h in hung if low + NEAR < h < high - NEAR), high]
        for a, b in zip(steps, steps[1:], strict=False):
            out.append((a, b, wood.difference(near.gone(top - (a + b) / 2))))
    return tuple(out)


def _undercut(part: Recovered, near: Maps, beside: Sequence[Kerf], sheet: str) -> Iterator[Finding]:
    """Tabs whose foot the first side has taken away."""
    for k in beside:
        middle = k.line.interpolate(0.5, normalized=True)
        gone = near.gone(part.target.top - k.tab.height / 2)
        if gone.intersects(middle.buffer(k.tab.length / 2)):
            message = "the cuts of the other side take the foot of its tab away"
            yield part_finding("proof.tab-missing", part.target, sheet, message, (k.tab.x, k.tab.y))


def stray(run: Run, sheet: Sheet, targets: Sequence[Target]) -> Iterator[Finding]:
    """Cuts of the first side that belong to no pocket of it and to no pin: the sheet must stay whole."""
    low = run.sweeps.take(run.sweeps.lowest() < sheet.thickness - 1e-3)
    if sheet.flip is not None:
        low = low.take(~in_pins(low, sheet.flip))
    if not len(low):
        return
    reach = 2 * float(low.radius.max()) + WASTE
    allowed = shapely.union_all([f.region.buffer(reach) for t in targets for f in t.floors])
    deepest = min((f.height for t in targets for f in t.floors), default=sheet.thickness)
    wrong = ~shapely.covers(allowed, low.lines()) | (low.lowest() < deepest - NEAR - 1e-6)
    if wrong.any():
        m = run.reading.motions[int(low.motion[np.flatnonzero(wrong)[0]])]
        yield run.finding(
            "proof.unplanned-cut",
            m.line,
            f"Line {m.line} of {run.program.file} cuts at ({m.end[0]:.1f}, {m.end[1]:.1f}), where the plan "
            "has no pocket so deep on the underside.",
        )
