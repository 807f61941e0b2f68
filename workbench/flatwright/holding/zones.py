# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Screw zones: where the centre of a hold-down screw may be.

The sheet less its margin, less everything that any bit sweeps at any depth, less the parts and the bed's
keep-outs, all grown by the head's radius and the margin: a bit never meets a screw that stands in its zone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.polygon import parts
from flatwright.holding.keep_outs import no_screws
from flatwright.plan import Sheet
from flatwright.presets.model import Fasteners, Preset

ALLOWANCE = 0.02  # mm: chords of the swept area and of the grown shapes lie inside the true arcs


def keep_off(fasteners: Fasteners) -> float:
    """From a fastener's centre to the nearest sweep, part or sheet edge: head radius + margin, mm."""
    return fasteners.head_diameter / 2.0 + fasteners.margin


def screw_zones(
    sheet: Sheet, swept: BaseGeometry, laid: Mapping[str, BaseGeometry], preset: Preset
) -> BaseGeometry:
    """The zones in sheet coordinates, maybe several or none.

    `swept` is the union of what all bits sweep, `laid` the wood of the parts by name.
    """
    clear = keep_off(preset.holding.fasteners)
    length, width = sheet.size
    if length <= 2 * clear or width <= 2 * clear:
        return shapely.Polygon()
    inner = box(clear, clear, length - clear, width - clear)
    taken = shapely.union_all([swept, *laid.values(), no_screws(preset)])
    zones = inner.difference(taken.buffer(clear + ALLOWANCE, quad_segs=32))
    return shapely.union_all([p for p in parts(zones) if p.area > 0.01])


def outside(
    points: Sequence[tuple[float, float]], rings: Sequence[Sequence[Sequence[Sequence[float]]]]
) -> list[int]:
    """Numbers, from 1 on, of the points that lie in none of the zones; each zone is given as its outer
    ring and its holes, thinned for the eye."""
    zones = [shapely.Polygon(r[0], r[1:]).buffer(ALLOWANCE) for r in rings]
    return [k for k, (x, y) in enumerate(points, 1) if not any(z.covers(shapely.Point(x, y)) for z in zones)]
