# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where the dowels stand that put a sheet back when it was turned over.

A hole's mirror image about the turning line must be a hole too: two holes on the line itself, or a pair
across it, in wood that neither side's cuts come near. Places are preferred that do not fit when the sheet
is turned end for end as well; among these, those that are furthest apart.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Point
from flatwright.geometry.outline import Floats
from flatwright.geometry.polygon import parts
from flatwright.holding.depths import LEAST, Depths, candidate_points
from flatwright.holding.zones import ALLOWANCE
from flatwright.plan import Flip, Pin, Sheet
from flatwright.presets.model import Preset
from flatwright.turned import mirrored, mirrored_region

declare("error", holding__no_pin_place="a sheet that must be turned over has no room for registration pins")
declare("note", holding__pins_alike="the registration pins also fit when the sheet is turned end for end")

RIM = 6.0  # mm of wood between a pin's hole and the sheet's edge (common practice, no source)
ASKEW = 20.0  # mm: a sheet turned end for end lies at least so far off its place, plain to see
STEP = 0.5  # mm between places that are tried on the turning line
NEAREST = 0.25  # of the sheet's longer side: pins that stand nearer together let it turn


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two places and how far off a sheet lies that was turned end for end as well, mm."""

    a: Point
    b: Point
    askew: float

    @property
    def apart(self) -> float:
        return round(float(np.hypot(self.a[0] - self.b[0], self.a[1] - self.b[1])), 1)

    @property
    def rank(self) -> tuple[bool, float]:
        return (self.askew >= ASKEW, self.apart)


def place_pins(
    sheet: Sheet, taken: BaseGeometry, laid: Mapping[str, BaseGeometry], preset: Preset
) -> tuple[Flip | None, list[Finding]]:
    """How the sheet is turned over, or None with the reason.

    `taken` is what the bits of both sides sweep and where nothing may stand in either set-up, sheet
    coordinates; `laid` the wood of the parts by name.
    """
    rules = preset.flipping
    zone = _zone(sheet, taken, laid, preset)
    pairs = [*_on_line(sheet, zone, preset), *_across(sheet, zone, preset)]
    far = [p for p in pairs if p.apart >= NEAREST * max(sheet.size)]
    if not far:
        return None, [_no_place(sheet, preset)]
    best = max(far, key=lambda p: p.rank)
    pins = tuple(Pin(*p) for p in sorted((best.a, best.b)))
    alike = [] if best.askew >= ASKEW else [_alike(sheet)]
    return Flip(rules.axis, pins, rules.pin_diameter, rules.pin_depth), alike


def pin_area(flip: Flip) -> BaseGeometry:
    """The dowels' holes, sheet coordinates."""
    return shapely.union_all([shapely.Point(p.x, p.y).buffer(flip.diameter / 2.0) for p in flip.pins])


def _zone(
    sheet: Sheet, taken: BaseGeometry, laid: Mapping[str, BaseGeometry], preset: Preset
) -> BaseGeometry:
    """Where a pin's centre and its mirror image may both be."""
    radius = preset.flipping.pin_diameter / 2.0
    length, width = sheet.size
    rim = radius + RIM
    if min(length, width) <= 2.0 * rim:
        return shapely.Polygon()
    clear = radius + preset.holding.fasteners.margin + ALLOWANCE
    gone = shapely.union_all([taken, *laid.values()]).buffer(clear, quad_segs=32)
    free = box(rim, rim, length - rim, width - rim).difference(gone)
    both = free.intersection(mirrored_region(free, sheet.size, preset.flipping.axis))
    return shapely.union_all([p for p in parts(both) if p.area > 0.01])


def _on_line(sheet: Sheet, zone: BaseGeometry, preset: Preset) -> list[_Pair]:
    """The two outermost places on the turning line, and the outermost that do not fit end for end."""
    along = 0 if preset.flipping.axis == "x" else 1
    size, middle = sheet.size[along], sheet.size[1 - along] / 2.0
    stations = np.arange(STEP, size, STEP)
    points: Floats = np.full((len(stations), 2), middle)
    points[:, along] = stations
    free = stations[np.round(Depths(zone)(points), 3) > LEAST].tolist()
    if len(free) < 2:
        return []
    first, last = free[0], free[-1]
    chosen = [(first, last)]
    chosen += [(first, s) for s in reversed(free) if s > first and abs(first + s - size) >= ASKEW][:1]
    chosen += [(s, last) for s in free if s < last and abs(s + last - size) >= ASKEW][:1]

    def at(s: float) -> Point:
        return (s, middle) if along == 0 else (middle, s)

    return [_Pair(at(s), at(e), abs(s + e - size)) for s, e in chosen]


def _across(sheet: Sheet, zone: BaseGeometry, preset: Preset) -> list[_Pair]:
    """For each patch of the zone the pair of a place and its mirror image."""
    axis = preset.flipping.axis
    along = 0 if axis == "x" else 1
    points, depths = candidate_points(sheet.size, Depths(zone))
    order = np.lexsort((points[:, 1], points[:, 0], -np.round(depths, 1)))
    out = []
    for x, y in points[order].tolist():
        other = mirrored((x, y), sheet.size, axis)
        askew = abs(2.0 * (x, y)[along] - sheet.size[along])
        out.append(_Pair((x, y), other, askew))
    return out


def _no_place(sheet: Sheet, preset: Preset) -> Finding:
    rules, f = preset.flipping, preset.holding.fasteners
    bit = max((b.cut for b in preset.bits), default=0.0)
    edge = bit + f.margin + rules.pin_diameter + RIM + 1.0
    return finding(
        "holding.no-pin-place",
        sheet.name,
        f"parts of this sheet have pockets in both faces, and two pins of {rules.pin_diameter:g} mm that "
        f"stand on its middle line along {rules.axis.upper()}, or opposite across it, find no room beside "
        "the cuts",
        f"{edge:.1f} mm to the sheet's edge (layout.edge, now {preset.layout.edge:g}) make room for pins; or "
        "take a larger sheet or thinner pins.",
        sheet=sheet.name,
    )


def _alike(sheet: Sheet) -> Finding:
    return finding(
        "holding.pins-alike",
        sheet.name,
        "the pins stand so evenly that the sheet also fits on them turned end for end",
        "Mark the edge that lies towards you with a cross before you turn the sheet.",
        sheet=sheet.name,
    )
