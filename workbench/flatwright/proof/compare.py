# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A recovered part against the planned one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding, finding
from flatwright.geometry.polygon import parts
from flatwright.proof.depths import Found, Place, depth_error, floors, through_cuts
from flatwright.proof.deviation import TOLERANCE, Deviation, deviations
from flatwright.proof.recover import Recovered, wood_at
from flatwright.proof.removal import Maps
from flatwright.proof.tabs import Kerf
from flatwright.proof.target import Target, heights

STILL_THIS_LOOP = 0.5  # mm from a loop, within which a wrong edge is that loop's
FILLET = 0.6  # of the bit's radius: a disc this large fits into no fillet of a corner above 30°
THIN = 0.02  # mm: half of what is float and chord noise, not wood
ON = 0.5  # mm: a corner this near to what is left lies in it
WHOLE = 0.5  # of a hole or pocket: as much left standing, and it is missing


@dataclass(frozen=True, slots=True)
class Worst:
    """The largest deviation met, mm, and where."""

    depth: float = 0.0
    where: str = ""


def compare(
    r: Recovered,
    near: Maps,
    beside: Sequence[Kerf],
    sheet: str,
    sheet_area: BaseGeometry,
    through: float,
) -> tuple[list[Finding], Worst]:
    """Findings on one part (one per code, the gravest), and its largest deviation.

    `beside` are the kerfs in which tabs stand, `through` the level at which loops must be open.
    """
    t = r.target
    places = sorted(_deviations(r, near), key=lambda d: (-round(d.depth, 4), d.at))
    wrong = [(*_what(t, d), d.at) for d in places if d.depth > TOLERANCE]
    found = [*floors(r), *_out_of_reach(r), *wrong]
    if not wrong:  # the rim of a wrong outline is no measure of its depth
        found += through_cuts(r, near, beside, sheet_area, through)
    first = {code: (message, at) for code, message, at in reversed(found)}
    findings = [part_finding(code, t, sheet, message, at) for code, (message, at) in sorted(first.items())]
    if not places:
        return findings, Worst()
    return findings, Worst(places[0].depth, f"{sheet}, {t.name}, at {places[0].at}")


def compare_pockets(r: Recovered, near: Maps, sheet: str) -> tuple[list[Finding], Worst]:
    """The same of the pockets alone, for the side that was cut before the sheet was turned over."""
    places = sorted(_in_pockets(r, near, []), key=lambda d: (-round(d.depth, 4), d.at))
    wrong = [(*_what(r.target, d), d.at) for d in places if d.depth > TOLERANCE]
    first = {code: (message, at) for code, message, at in reversed([*floors(r), *wrong])}
    findings = [
        part_finding(code, r.target, sheet, f"{message} (underside)", at)
        for code, (message, at) in sorted(first.items())
    ]
    name = r.target.name
    return findings, Worst(places[0].depth, f"{sheet}, {name}, at {places[0].at}") if places else Worst()


def _deviations(r: Recovered, near: Maps) -> list[Deviation]:
    """Deviations at every height that matters; floors of wrong depth are told elsewhere."""
    return _in_pockets(r, near, deviations(r.foot, r.expected.foot, r.target.wood_at(0.0)))


def _in_pockets(r: Recovered, near: Maps, places: list[Deviation]) -> list[Deviation]:
    """The places, and those at the heights of the floors."""
    t = r.target
    told = [
        f.region.buffer(0.2)
        for f, m in zip(t.floors, r.floors, strict=True)
        if m is None or depth_error(f, m)
    ]
    for height in heights(t):
        wood = wood_at(r, near, height)
        if wood is not r.foot or any(f.height < height for f in t.floors):
            places += deviations(wood, r.expected.at(t, height), t.wood_at(height))
    return [d for d in places if not any(region.covers(d.piece) for region in told)]


def _out_of_reach(r: Recovered) -> Iterator[Found]:
    """Places of the outline and of holes that are narrower than the bit; fillets are none."""
    t, e = r.target, r.expected
    wanted = np.array([t.outer, *t.holes], dtype=np.object_)
    left = shapely.symmetric_difference(wanted, np.array([e.outer, *e.holes], dtype=np.object_))
    radii = np.array([e.radius, *e.hole_radius])
    narrow = shapely.buffer(left, -FILLET * radii)
    for k in np.flatnonzero(~shapely.is_empty(narrow)).tolist():
        apart = left[k].buffer(-THIN).buffer(THIN)  # fillets of two corners may meet along an edge
        wide = [p for p in parts(apart) if p.intersects(narrow[k])]
        missed = [p for p in wide if not _is_fillet(p, wanted[k], float(radii[k]))]
        if not missed:
            continue
        at = missed[0].intersection(narrow[k]).representative_point()
        code, name = ("proof.hole", f"hole {k}") if k else ("proof.outline", "its outline")
        message = f"{name} has a place that no bit of {2 * radii[k]:g} mm gets into"
        yield code, message, (round(at.x, 1), round(at.y, 1))


def _is_fillet(piece: BaseGeometry, loop: Polygon, r: float) -> bool:
    """Whether a piece is what a bit leaves in one sharp corner: at most r² (tan(φ/2) - φ/2) where that turns
    by φ (CHECKS GEO-5)."""
    ring = shapely.get_coordinates(loop.exterior)[:-1]
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turns = np.abs(np.arctan2(cross, (before * after).sum(axis=1)))
    here = turns[shapely.distance(piece, shapely.points(ring)) < ON]
    sharp = here[here > math.pi / 3.0]
    if len(sharp) != 1:
        return False
    return bool(piece.area <= 1.05 * r * r * (math.tan(sharp[0] / 2.0) - sharp[0] / 2.0))


def _what(t: Target, d: Deviation) -> tuple[str, str]:
    """Which code a deviation has, and what to say."""
    loops = [("proof.outline", "its outline", t.outer)]
    loops += [("proof.hole", f"hole {k + 1}", h) for k, h in enumerate(t.holes)]
    loops += [("proof.pocket", f"pocket {f.number + 1}", f.region) for f in t.floors]
    gaps = [round(float(region.exterior.distance(d.piece)), 3) for _, _, region in loops]
    code, name, region = loops[min(range(len(loops)), key=lambda k: (gaps[k], -k))]
    size = f"{d.depth:.3f} mm"
    if not d.excess and min(gaps) > STILL_THIS_LOOP:
        return (
            "proof.unplanned-cut",
            f"wood is cut away where the plan keeps it, {size} from the nearest edge",
        )
    if d.excess and code != "proof.outline" and d.piece.area > WHOLE * region.area:
        return code, f"{name} is not cut"
    how = "too much wood is left" if d.excess else "too much wood is gone"
    return code, f"{name} is off by {size}: {how}"


def part_finding(code: str, t: Target, sheet: str, message: str, at: Place) -> Finding:
    """A finding on a part at a place on its sheet."""
    return finding(
        code,
        f"{sheet}, {t.name}, at ({at[0]:.1f}, {at[1]:.1f})",
        f"{t.name}: {message}.",
        "Do not run this sheet's programs: make them anew, and report the fault if it stays.",
        panels=(t.name,),
        sheet=sheet,
    )
