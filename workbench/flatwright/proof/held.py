# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""In which order a part is cut: its inside before its outline, and held until its last cut.

What holds a part: its tabs, a hold-down screw in it, vacuum by the preset. Without any of these it
is loose from the move that opens its outline all around; nothing may cut on it after that.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely

from flatwright.findings import Finding
from flatwright.plan import Sheet
from flatwright.proof.earlier import Earlier
from flatwright.proof.programs import Run
from flatwright.proof.recover import NEAR, Recovered
from flatwright.proof.removal import Maps
from flatwright.proof.sweeps import Ints, Sweeps
from flatwright.proof.target import grown

LOOSE = "Give the part tabs, or cut its outline last."
INSIDE = "Cut holes and pockets before the outline frees the part."


def check_order(
    runs: Sequence[Run], part: Recovered, near: Maps, tabbed: bool, sheet: Sheet, through: float, vacuum: bool
) -> Iterator[Finding]:
    """Findings on one part; `near` are the maps of all sweeps near it in running order, `tabbed` says
    that its planned tabs stand, `vacuum` that the bed holds it down."""
    s, t = near.sweeps, part.target
    cuts = np.flatnonzero(~s.rapid & (s.lowest() < t.top - NEAR))
    if not len(cuts):
        return
    lines = s.lines()
    core = t.outer.buffer(-NEAR)
    shapely.prepare(core)
    within = shapely.intersects(core, lines[cuts])
    inside, around = cuts[within], cuts[~within]
    around = around[s.lowest()[around] <= through]
    away = shapely.distance(lines[around], part.expected.outer)
    outline = around[np.abs(away - s.radius[around]) < 2 * NEAR]
    if len(inside) and len(outline) and inside[-1] > outline[0]:
        yield _finding(
            "proof.inside-after-outside", runs, s, int(inside[inside > outline[0]][0]), part, INSIDE
        )
    if tabbed or vacuum or any(t.outer.contains(shapely.Point(w.x, w.y)) for w in sheet.screws):
        return
    freed = _freed(s, outline, part, through)
    if freed is None:
        return
    earlier, later = Earlier(s), cuts[cuts > freed]
    touching = later[shapely.distance(lines[later], t.outer) < s.radius[later] + NEAR]
    for k in touching.tolist():
        if not earlier.open_way(k, float(s.lowest()[k])):  # along an open kerf a bit only spins in air
            yield _finding("proof.loose-part", runs, s, k, part, LOOSE)
            return


def _freed(s: Sweeps, outline: Ints, part: Recovered, through: float) -> int | None:
    """The piece with which the outline is open all around; None if it never is."""
    low, high = 0, len(outline) - 1
    if high < 0 or not _is_free(s, int(outline[high]), part, through):
        return None
    while low < high:
        middle = (low + high) // 2
        if _is_free(s, int(outline[middle]), part, through):
            high = middle
        else:
            low = middle + 1
    return int(outline[low])


def _is_free(s: Sweeps, last: int, part: Recovered, through: float) -> bool:
    """True when the kerf up to piece `last` parts the foot from what is around it."""
    outer = part.expected.outer
    gone = Maps(s.take(np.arange(last + 1))).gone(through)
    around = shapely.box(*grown(outer.bounds, 2 * part.expected.radius + 1.0)).difference(gone)
    core = part.expected.foot.representative_point()
    piece = [p for p in shapely.get_parts(around) if p.distance(core) < NEAR]
    edge = around.boundary.intersection(shapely.box(*around.bounds).boundary)
    return bool(piece) and all(p.distance(edge) > 0.0 for p in piece)


def _finding(code: str, runs: Sequence[Run], s: Sweeps, piece: int, part: Recovered, remedy: str) -> Finding:
    run = runs[int(s.file[piece])]
    line, name = run.line(int(s.motion[piece])), part.target.name
    what = {
        "proof.loose-part": f"cuts on {name} when its outline is open all around and nothing holds it",
        "proof.inside-after-outside": f"cuts inside {name} after its outline",
    }[code]
    found = run.finding(code, line, f"Line {line} of {run.program.file} {what}.", remedy)
    return replace(found, panels=(name,))
