# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Waste that comes loose: the core of an opening, an islet between cuts. A bit may jam on it or throw it.

Held is what hangs together with the sheet's rim or has a hold-down screw in it, by tabs or without; on a
vacuum bed everything counts as held. What becomes of the parts themselves is judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding, finding
from flatwright.geometry.polygon import parts
from flatwright.plan import Sheet
from flatwright.proof.recover import Recovered
from flatwright.proof.removal import swept
from flatwright.proof.sweeps import Sweeps

CHIP = 2.0  # mm: where no larger disc fits, it is a chip and no piece; a rule of our own, no source
NEAR = 0.05  # mm
MOMENTS = 12  # at which an opening that ends up empty is looked at while it is milled
HOLD = (
    "Give it tabs, put a screw into it, mill it to chips from its middle outwards, or, between parts, lay "
    "these further apart."
)


def check_waste(
    sheet: Sheet, parted: Mapping[str, Recovered], whole: Sweeps, through: float
) -> Iterator[Finding]:
    """Loose waste of one sheet; `through` is the level at which cuts go right through the board."""
    cuts = whole.take(~whole.rapid & (whole.lowest() <= through))
    area = shapely.box(0.0, 0.0, *sheet.size)
    left = _loose(area, swept(cuts, through), sheet)
    feet = [r.foot for r in parted.values()]
    tree = shapely.STRtree([p.representative_point() for p in feet])
    waste = [p for p in left if not any(_is_part(p, feet[k]) for k in tree.query(p).tolist())]
    if waste:
        yield _finding(sheet, waste, "comes loose: nothing holds it")
        return
    for r in parted.values():
        early = [p for hole in r.target.holes for p in _while_milled(hole, cuts, sheet, through)]
        if early:
            yield _finding(sheet, early, f"comes loose in {r.target.name} before it is milled away")
            return


def _loose(area: BaseGeometry, gone: BaseGeometry, sheet: Sheet) -> list[Polygon]:
    """Pieces of an area's wood that neither its rim nor a screw holds, chips left out."""
    rim = area.boundary
    screws = shapely.MultiPoint([(s.x, s.y) for s in sheet.screws])
    pieces = [p for p in parts(area.difference(gone)) if p.area > CHIP * CHIP / 2]
    free = [p for p in pieces if p.distance(rim) > NEAR and not p.intersects(screws)]
    return [p for p in free if not p.buffer(-CHIP / 2).is_empty]


def _is_part(piece: Polygon, foot: BaseGeometry) -> bool:
    return bool(piece.intersection(foot).area > 0.5 * foot.area)


def _while_milled(hole: Polygon, cuts: Sweeps, sheet: Sheet, through: float) -> list[Polygon]:
    """Loose pieces in an opening at some moments before it is empty."""
    x0, y0, x1, y1 = hole.bounds
    if not len(cuts) or min(x1 - x0, y1 - y0) < 4.0 * float(cuts.radius.min()) + CHIP:
        return []  # no core stays between the kerfs
    room = hole.buffer(NEAR)
    near = cuts.near(hole.bounds)
    near = near.take(shapely.intersects(room, near.lines()))
    moments = np.unique(np.linspace(1, len(near), MOMENTS + 1).astype(np.int64))[:-1]
    for k in moments.tolist():
        found = _loose(room, swept(near.take(np.arange(k)), through), sheet)
        if found:
            return found
    return []


def _finding(sheet: Sheet, pieces: Sequence[Polygon], what: str) -> Finding:
    """About the largest piece."""
    piece = max(pieces, key=lambda p: (round(p.area, 1), p.bounds))
    x0, y0, x1, y1 = piece.bounds
    at = piece.representative_point()
    more = f" ({len(pieces) - 1} more like it)" if len(pieces) > 1 else ""
    return finding(
        "proof.loose-waste",
        f"{sheet.name}, at ({at.x:.1f}, {at.y:.1f})",
        f"A piece of waste of {x1 - x0:.0f} × {y1 - y0:.0f} mm at ({at.x:.1f}, {at.y:.1f}) {what}{more}.",
        HOLD,
        sheet=sheet.name,
    )
