# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where the hold-down screws go: the fewest that reach every part and every corner of the sheet,
each as deep inside its zone as it can be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.outline import Floats
from flatwright.holding.cover import fewest
from flatwright.holding.depths import DIGITS, Depths, candidate_points, deepest
from flatwright.holding.zones import keep_off
from flatwright.plan import Screw, Sheet
from flatwright.presets.model import Preset

declare(
    "warning",
    holding__uncovered="no screw zone is within reach of a part or of a corner of the sheet",
)
declare("error", holding__screw_in_path="a screw stands outside the screw zones")

SAME_CORNER = 5.0  # mm: how coarsely a part's hull is taken for the points that must be reached


@dataclass(frozen=True, slots=True, eq=False)
class _Targets:
    """(n, 2) points that a screw must reach, and whose they are: a part's name or "" for the sheet."""

    points: Floats
    owners: tuple[str, ...]


def place_screws(
    sheet: Sheet, zones: BaseGeometry, laid: Mapping[str, BaseGeometry], preset: Preset, bit: float
) -> tuple[tuple[Screw, ...], list[Finding]]:
    """Screw points in sheet coordinates, and what they cannot reach.

    `laid` is the wood of each part by name; `bit` the widest outline bit (mm), for the spacing that
    would make room. Without "screws" in the preset's holding method there are none.
    """
    if "screws" not in preset.holding.method:
        return (), []
    targets = _targets(sheet, laid)
    depths = Depths(zones)
    candidates, merit = candidate_points(sheet.size, depths)
    reach = preset.holding.fasteners.reach
    serves = _within(candidates, targets.points, reach)
    chosen = fewest(serves, merit)
    points = _deepened(candidates[chosen], targets.points, depths, reach)
    screws = tuple(Screw(float(x), float(y)) for x, y in sorted(points.tolist()))
    return screws, check_cover(sheet, laid, screws, preset, bit)


def check_cover(
    sheet: Sheet, laid: Mapping[str, BaseGeometry], screws: Sequence[Screw], preset: Preset, bit: float
) -> list[Finding]:
    """A warning about the parts and corners of the sheet that no screw reaches."""
    targets = _targets(sheet, laid)
    served = np.zeros(len(targets.owners), dtype=np.bool_)
    points = np.array([(s.x, s.y) for s in screws]).reshape(-1, 2)
    for row in _within(points, targets.points, preset.holding.fasteners.reach):
        served |= row
    return _uncovered(sheet, targets, served, preset, bit)


def check_screws(sheet: Sheet, zones: BaseGeometry, screws: Sequence[Screw]) -> list[Finding]:
    """One error for each screw that stands outside the zones (dragged there by hand, or overtaken by a
    new layout)."""
    at = np.array([(s.x, s.y) for s in screws]).reshape(-1, 2)
    outside = Depths(zones)(at) < -1e-6
    return [
        finding(
            "holding.screw-in-path",
            f"{sheet.name}, screw at x {s.x:.1f}, y {s.y:.1f} mm",
            "a bit, a part or the sheet's edge comes too near to this screw",
            "Move the screw into one of the screw zones, or lay the sheet out with more spacing.",
            sheet=sheet.name,
        )
        for s, out in zip(screws, outside.tolist(), strict=True)
        if out
    ]


def _targets(sheet: Sheet, laid: Mapping[str, BaseGeometry]) -> _Targets:
    length, width = sheet.size
    points: list[tuple[float, float]] = [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]
    owners = [""] * 4
    for name, wood in laid.items():
        hull = wood.convex_hull.simplify(SAME_CORNER)
        corners = sorted({(round(x, 3), round(y, 3)) for x, y in shapely.get_coordinates(hull)})
        centre = wood.centroid
        for p in [*corners, (round(centre.x, 3), round(centre.y, 3))]:
            points.append(p)
            owners.append(name)
    return _Targets(np.array(points), tuple(owners))


def _within(points: Floats, targets: Floats, reach: float) -> NDArray[np.bool_]:
    gaps = np.linalg.norm(points[:, None] - targets[None], axis=2)
    return np.asarray(gaps <= reach + 1e-6)


def _deepened(points: Floats, targets: Floats, depths: Depths, reach: float) -> Floats:
    """Each point moved as deep into its zone as it can be while it keeps the targets that only it serves."""
    out = points.copy()
    for i in range(len(out)):
        others = _within(np.delete(out, i, axis=0), targets, reach).any(axis=0)
        mine = targets[_within(out[i : i + 1], targets, reach)[0] & ~others]
        out[i] = _climb(out[i], mine, depths, reach)
    return out


def _climb(point: Floats, mine: Floats, depths: Depths, reach: float) -> Floats:
    """Pattern search with ever smaller steps; positions stay on the 0.1 mm grid."""
    around = [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1) if a or b]
    turns: Floats = np.array([(0, 0), *around], dtype=np.float64)
    best: Floats = np.round(point, DIGITS)
    for step in (64.0, 32.0, 16.0, 8.0, 4.0, 2.0, 1.0, 0.5, 0.2, 0.1):
        for _ in range(40):
            trial = np.asarray(np.round(best + turns * step, DIGITS), dtype=np.float64)
            depth = depths(trial)
            depth[~_within(trial, mine, reach).all(axis=1)] = -np.inf
            if depth.max() <= depth[0] + 0.02:
                break
            best = trial[deepest(depth)]
    return np.asarray(best, dtype=np.float64)


def _uncovered(
    sheet: Sheet, targets: _Targets, served: NDArray[np.bool_], preset: Preset, bit: float
) -> list[Finding]:
    missed = [o for o, ok in zip(targets.owners, served.tolist(), strict=True) if not ok]
    if not missed:
        return []
    names = [n for n in dict.fromkeys(missed) if n]
    what = ", ".join([*names, *(["a corner of the sheet"] if "" in missed else [])])
    return [
        finding(
            "holding.uncovered",
            sheet.name,
            f"no screw zone lies within {preset.holding.fasteners.reach:g} mm of all of: {what}",
            _more_room(preset, bit),
            panels=names,
            sheet=sheet.name,
        )
    ]


def _more_room(preset: Preset, bit: float) -> str:
    """What of the layout's spacing and edge is too little for a screw between kerfs."""
    clear, kerf = keep_off(preset.holding.fasteners), bit + preset.entries.finish_allowance
    rules = preset.layout
    wanted = [
        (2.0 * (kerf + clear) + 1.0, rules.spacing, "between parts"),
        (kerf + 2.0 * clear + 1.0, rules.edge, "to the sheet's edge"),
    ]
    more = [f"{room:.1f} mm {place} (now {now:g})" for room, now, place in wanted if room > now]
    if not more:
        return "Clamp the sheet there, or let a screw reach further (holding.fasteners.reach)."
    return f"Give {' and '.join(more)} to make room for screws; or clamp the sheet there."
