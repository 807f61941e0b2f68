# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Hold-down screws: their spot marks, and that no bit ever meets their heads."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from flatwright.findings import Finding, finding
from flatwright.plan import Screw, Sheet
from flatwright.presets.model import Preset
from flatwright.proof.programs import ANEW, Run
from flatwright.proof.speeds import ABOVE
from flatwright.proof.target import Target

PLACE = 0.05  # mm: how near a mark must be to its screw
DEPTH = 0.05  # mm: how near a mark must be to its depth


def check_heads(run: Run, sheet: Sheet, preset: Preset) -> Iterator[Finding]:
    """Every move of a cutting program against the screws' heads, rapids included."""
    if not sheet.screws or not len(run.sweeps):
        return
    head = preset.holding.fasteners
    low = run.sweeps.take(run.sweeps.lowest() < sheet.thickness + head.head_height)
    if not len(low):
        return
    points = shapely.points([(w.x, w.y) for w in sheet.screws])
    tree = shapely.STRtree(low.lines())
    reach = float(low.radius.max()) + head.head_diameter / 2
    screw, piece = tree.query(points, predicate="dwithin", distance=reach)
    distance = shapely.distance(points[screw], tree.geometries[piece])
    hit = distance < low.radius[piece] + head.head_diameter / 2 - 1e-3
    for k in sorted(set(screw[hit].tolist())):
        first = int(low.motion[piece[hit & (screw == k)]].min())
        w, line = sheet.screws[k], run.line(first)
        steel, at = head.kind == "screw", f"({w.x:.1f}, {w.y:.1f})"
        yield run.finding(
            "proof.screw-hit" if steel else "proof.nail-hit",
            line,
            f"Line {line} of {run.program.file} touches the head of the {head.kind} at {at}.",
            "Move the screw into a screw zone, or give the parts more spacing.",
        )


def check_parts(sheet: Sheet, targets: Sequence[Target]) -> Iterator[Finding]:
    """No screw through a part: its hole would stay. Screws in the waste of a hole are none of it."""
    for t in targets:
        wood = t.outer.difference(shapely.union_all(list(t.holes))) if t.holes else t.outer
        for w in sheet.screws:
            if wood.intersects(shapely.Point(w.x, w.y)):
                yield finding(
                    "proof.screw-in-part",
                    f"{sheet.name}, {t.name}, screw at ({w.x:.1f}, {w.y:.1f})",
                    f"The screw at ({w.x:.1f}, {w.y:.1f}) on {sheet.name} goes through {t.name}.",
                    "Move the screw into a screw zone.",
                    panels=(t.name,),
                    sheet=sheet.name,
                )


def check_spots(runs: list[Run], sheet: Sheet, preset: Preset, smallest: float) -> Iterator[Finding]:
    """Spot marks: one at every screw, of the planned depth below the smallest reading, nothing else."""
    height = smallest - preset.holding.fasteners.mark_depth
    left = list(sheet.screws)
    for run in runs:
        s = run.sweeps
        for k in np.flatnonzero(~s.rapid & (s.lowest() < sheet.thickness + ABOVE)).tolist():
            x, y = float(s.b[k, 0]), float(s.b[k, 1])
            line = run.line(int(s.motion[k]))
            screw = next((w for w in sheet.screws if math.hypot(w.x - x, w.y - y) <= PLACE), None)
            if screw is None or np.hypot(*(s.b[k, :2] - s.a[k, :2])) > PLACE:
                message = (
                    f"Line {line} of {run.program.file} cuts at ({x:.1f}, {y:.1f}), where no screw goes."
                )
                yield run.finding("proof.unplanned-cut", line, message)
                return
            z = float(s.lowest()[k])
            if abs(z - height) > DEPTH:
                yield run.finding(
                    "proof.spot-depth",
                    line,
                    f"Line {line} of {run.program.file} marks the screw at ({x:.1f}, {y:.1f}) at "
                    f"{z:.2f} mm above the bed; {height:.2f} mm are planned.",
                )
                return
            left = [w for w in left if w is not screw]
    for w in left[:1]:
        yield _unmarked(w, sheet, len(left))


def _unmarked(w: Screw, sheet: Sheet, count: int) -> Finding:
    others = f" and {count - 1} more" if count > 1 else ""
    return finding(
        "proof.spot-missing",
        f"{sheet.name}, screw at ({w.x:.1f}, {w.y:.1f})",
        f"The screw at ({w.x:.1f}, {w.y:.1f}) on {sheet.name}{others} has no spot mark.",
        ANEW,
        sheet=sheet.name,
    )
