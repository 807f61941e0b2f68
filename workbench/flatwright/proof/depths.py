# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How deep a part's cuts go: pocket floors, and whether its loops are open at the bottom."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.proof.deviation import TOLERANCE
from flatwright.proof.recover import NEAR, ROUNDED, Measured, Recovered
from flatwright.proof.removal import Maps
from flatwright.proof.tabs import Kerf, tab_zones
from flatwright.proof.target import Floor, Target

Place = tuple[float, float]
Found = tuple[str, str, Place]  # code, message, where


def depth_error(f: Floor, m: Measured | None) -> float:
    """How much a floor is too high (+) or too low (-), mm; 0 within the tolerance."""
    if m is None:
        return 0.0
    errors = [m.low - f.height] + ([] if m.high is None else [m.high - f.height])
    worst = max(errors, key=abs)
    return worst if abs(worst) > TOLERANCE + 1e-6 else 0.0


def floors(r: Recovered) -> Iterator[Found]:
    """Pocket floors too high or too low, pockets not begun, pockets out of reach."""
    t = r.target
    for f, m in zip(t.floors, r.floors, strict=True):
        if m is None:
            yield "proof.pocket", f"pocket {f.number + 1} is not cut", _place(f.region)
        elif error := depth_error(f, m):
            plan = t.top - f.height
            message = f"pocket {f.number + 1} is {plan - error:.2f} mm deep, planned {plan:.2f} mm"
            yield "proof.depth", message, _place(f.region)
    for number in t.underside:
        yield "proof.pocket", f"pocket {number + 1} faces the bed: no bit reaches it", _place(t.outer)


def through_cuts(
    r: Recovered, near: Maps, beside: Sequence[Kerf], sheet_area: BaseGeometry, through: float
) -> Iterator[Found]:
    """Loops that are not open at the level `through`; `beside` are the kerfs where tabs stand."""
    t, e = r.target, r.expected
    gone = near.gone(through)
    if r.free > released(t, through):
        message = f"it hangs together with the sheet up to {r.free:.2f} mm above the bed"
        yield "proof.depth", message, _place(t.outer.exterior)
        return
    zones = tab_zones(beside)
    rims = [e.outer.buffer(2 * (e.radius - NEAR)).difference(e.outer.buffer(NEAR)).intersection(sheet_area)]
    holes, radii = np.array(e.holes, dtype=np.object_), np.array(e.hole_radius)
    rims += list(shapely.difference(shapely.buffer(holes, -NEAR), shapely.buffer(holes, -2 * (radii - NEAR))))
    standing = shapely.union_all(rims).difference(gone).difference(zones).buffer(-NEAR / 2)
    if standing.is_empty:
        return
    begun = near.gone(t.top)
    for k, rim in enumerate(rims):
        left = standing.intersection(rim)
        # a hole that was not begun is missing, not shallow
        if not left.is_empty and (k == 0 or begun.intersection(left).area > 0.5 * left.area):
            name = f"hole {k}" if k else "its outline"
            yield "proof.depth", f"{name} is {_open_from(left, near, t.top)}", _place(left)


def released(t: Target, through: float) -> float:
    """The level from which up a part must be free: just above its tabs."""
    return max([through, *(tab.height + NEAR for tab in t.tabs)])


def _open_from(left: BaseGeometry, near: Maps, top: float) -> str:
    """Says from which height up a place is clear."""
    local = near.near(left.bounds)
    levels = sorted({round(z, 3) for z in local.sweeps.b[:, 2].tolist() if z < top})
    for z in levels:
        if left.difference(local.gone(z + ROUNDED)).buffer(-NEAR / 2).is_empty:
            return f"cut down to {z:.2f} mm only, counted from the bed"
    return "not cut all along"


def _place(region: BaseGeometry) -> Place:
    at = shapely.point_on_surface(region)
    return (round(float(at.x), 1), round(float(at.y), 1))
