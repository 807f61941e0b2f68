# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs: where wood may bridge the kerf, and whether the planned bridges stand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LinearRing, LineString, Point
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from flatwright.findings import Finding, finding
from flatwright.geometry.polygon import parts
from flatwright.plan import Tab
from flatwright.proof.removal import Maps
from flatwright.proof.target import Expected, Target

SLOPE = 1.5  # mm of run that a sloped end may take per mm of height
SHORTER = 0.1  # mm that a tab may be shorter than planned, at its top
LONGER = 0.4  # mm that it may be longer, just under its top where its ends slope
JUST = 0.05  # mm below and above the tab's top


@dataclass(frozen=True, slots=True, eq=False)
class Kerf:
    """The middle of the kerf beside a tab, as long as the tab's foot may be; `radius` of its bit."""

    tab: Tab
    line: LineString
    radius: float


def kerfs(t: Target, e: Expected) -> list[Kerf]:
    """The kerf beside every tab of a part, on its outline or on one of its holes."""
    loops = _loops(e) if t.tabs else []
    return [_kerf(tab, loops) for tab in t.tabs]


def tab_zones(found: Sequence[Kerf]) -> BaseGeometry:
    """Where the plan lets wood stand in the kerf below the tabs' tops."""
    return shapely.union_all([k.line.buffer(k.radius + 0.5, cap_style="flat") for k in found])


def check_tabs(t: Target, found: Sequence[Kerf], near: Maps, sheet: str) -> Iterator[Finding]:
    """Each planned tab stands below its top, is gone above, and has its length."""
    for k in found:
        tab = k.tab
        local = near.near(k.line.bounds)
        length = _standing(k.line, local.gone(tab.height - JUST))
        above = _standing(k.line, local.gone(tab.height + JUST))
        if length < 0.5 * tab.length:
            if _standing(k.line, local.gone(tab.height / 2)) < 0.5 * tab.length:
                message = f"only {length:.1f} mm of it stand"
                yield _tab_finding("proof.tab-missing", t, tab, sheet, message)
            else:
                message = f"it is lower than the planned {tab.height:.2f} mm"
                yield _tab_finding("proof.tab-size", t, tab, sheet, message)
        elif above > JUST:
            message = f"it is higher than the planned {tab.height:.2f} mm"
            yield _tab_finding("proof.tab-size", t, tab, sheet, message)
        elif not -SHORTER <= length - tab.length <= LONGER:
            message = f"it is {length:.2f} mm long at its top, planned {tab.length:.2f} mm"
            yield _tab_finding("proof.tab-size", t, tab, sheet, message)


def _loops(e: Expected) -> list[tuple[BaseGeometry, float]]:
    """The part's loops, each with how far outwards its bit's path runs."""
    loops = [(e.outer, e.radius), *((h, -r) for h, r in zip(e.holes, e.hole_radius, strict=True))]
    return [(shape, out) for shape, out in loops if not shape.is_empty]


def _kerf(tab: Tab, loops: Sequence[tuple[BaseGeometry, float]]) -> Kerf:
    """Beside the nearest loop; of its paths (a hole may have several) the nearest."""
    at = Point(tab.x, tab.y)
    away = [round(shape.boundary.distance(at), 3) for shape, _ in loops]
    for nearest in sorted(set(away)):
        mine = [loop for loop, d in zip(loops, away, strict=True) if d == nearest]
        rings = [(p.exterior, abs(r)) for shape, r in mine for p in parts(shape.buffer(r, quad_segs=32))]
        if rings:
            ring, r = min(rings, key=lambda p: p[0].distance(at))
            half = min(tab.length / 2 + SLOPE * tab.height + r, 0.49 * ring.length)
            return Kerf(tab, _around(ring, ring.project(at), half), r)
    return Kerf(tab, LineString([at, at]), 0.0)


def _around(ring: LinearRing, middle: float, half: float) -> LineString:
    """The stretch of a ring from `half` before to `half` after a place."""
    once = shapely.get_coordinates(ring)
    twice = LineString(np.vstack([once, once[1:]]))
    if middle < half:
        middle += ring.length
    return LineString(substring(twice, middle - half, middle + half).coords)


def _standing(line: LineString, gone: BaseGeometry) -> float:
    """Length of wood on the line around its middle."""
    middle = line.interpolate(0.5, normalized=True)
    pieces = shapely.get_parts(line.difference(gone))
    return max((float(p.length) for p in pieces if p.distance(middle) < 0.25 * line.length), default=0.0)


def _tab_finding(code: str, t: Target, tab: Tab, sheet: str, message: str) -> Finding:
    return finding(
        code,
        f"{sheet}, {t.name}, tab at ({tab.x:.1f}, {tab.y:.1f})",
        f"The tab of {t.name} at ({tab.x:.1f}, {tab.y:.1f}) is not as planned: {message}.",
        "Do not run this sheet's programs: make them anew, and report the fault if it stays.",
        panels=(t.name,),
        sheet=sheet,
    )
