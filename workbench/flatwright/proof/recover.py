# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The part that the programs really leave, found from the maps of what is gone."""

from __future__ import annotations

from dataclasses import dataclass, replace

import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.polygon import parts
from flatwright.proof.removal import Maps, swept
from flatwright.proof.target import BELOW, Expected, Floor, Target, grown

NEAR = 0.05  # mm: heights this near are the same
ROUNDED = 1e-3  # mm: heights are listed to three decimals
MARGIN = 2.0  # mm of sheet looked at beyond the kerf


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """A floor as cut: lowest and highest level found in it; None where it is not cleared at all."""

    low: float
    high: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Recovered:
    """A part that comes loose at `free` mm above the bed (once its tabs are cut).

    `foot` is its wood in plan, tabs and pockets aside; `floors` match the target's, None where
    nothing was cut; `layers` (from, to, wood) from the bed to the top; `parted` is the map that cut the
    foot out, None where it was cut out by more than one; `hung` are the heights of floors that were cut
    from the other side, before the sheet was turned over.
    """

    target: Target
    expected: Expected
    free: float
    foot: BaseGeometry
    floors: tuple[Measured | None, ...]
    layers: tuple[tuple[float, float, BaseGeometry], ...]
    parted: BaseGeometry | None = None
    hung: tuple[float, ...] = ()


def recover(t: Target, e: Expected, near: Maps, sheet_area: BaseGeometry, through: float) -> Recovered | None:
    """The recovered part, or None when nothing like it comes loose.

    `near` are the maps of the sweeps near the part, `through` the level at which through cuts must be open.
    """
    area = sheet_area.intersection(shapely.box(*grown(t.outer.bounds, 2 * e.radius + MARGIN)))
    for level in _free_levels(t, through):
        gone = near.gone(level)
        deep = _deep_pockets(t, near, gone, level, through).intersection(e.outer)
        foot = _component(area.difference(gone).union(deep), area, e)
        if foot is not None:
            floors = tuple(floor_of(f, r, near, t.top) for f, r in zip(t.floors, e.reach, strict=True))
            part = Recovered(t, e, level, foot, floors, (), gone if deep.is_empty else None)
            return replace(part, layers=_layers(part, near))
    return None


def _free_levels(t: Target, through: float) -> list[float]:
    """Where the part should come loose, then ever higher, to tell how much holds it."""
    right = max([through, *(tab.height + NEAR for tab in t.tabs)])
    return [right, *(x for x in (0.5, 1.5, 0.25 * t.top, 0.5 * t.top, t.top - NEAR) if x > right)]


def _deep_pockets(t: Target, near: Maps, gone: BaseGeometry, level: float, through: float) -> BaseGeometry:
    """The wood under pockets whose floor lies below the level."""
    deep = [f for f in t.floors if f.height <= level + BELOW]
    if not deep:
        return shapely.Polygon()
    under = max(through, min(f.height for f in deep) - 0.5)
    regions = shapely.union_all([f.region.buffer(0.3) for f in deep])
    return gone.difference(near.gone(under)).intersection(regions)


def _component(wood: BaseGeometry, area: BaseGeometry, e: Expected) -> BaseGeometry | None:
    """The loose piece of wood that is the part, if it is one."""
    best, shared = None, 0.0
    for p in sorted(parts(wood), key=lambda p: -p.area):  # stable: the order of places among equals
        if p.area <= shared:
            break
        mine = p.intersection(e.foot).area
        if mine > shared:
            best, shared = p, mine
    if best is None or shared < 0.5 * e.foot.area:
        return None
    rim = area.boundary.buffer(0.01)
    return None if best.intersects(rim) and not e.foot.intersects(rim) else best


def floor_of(f: Floor, reach: BaseGeometry, near: Maps, top: float) -> Measured | None:
    """The lowest height that any path has inside a pocket, and the one at which it is clear."""
    inner = reach.buffer(-0.1)
    if inner.is_empty:
        return None
    local = near.sweeps.near(inner.bounds)
    local = local.take(local.lowest() < top - NEAR)
    shapely.prepare(inner)
    inside = local.take(shapely.distance(local.lines(), inner) < local.radius)
    if not len(inside):
        return None
    levels = sorted({round(z, 3) for z in (*inside.a[:, 2].tolist(), *inside.b[:, 2].tolist()) if z < top})
    for level in levels:
        left = inner.difference(swept(inside, level + ROUNDED))
        if left.buffer(-NEAR / 2).is_empty:
            return Measured(levels[0], level)
    return Measured(levels[0], None)


def _layers(r: Recovered, near: Maps) -> tuple[tuple[float, float, BaseGeometry], ...]:
    """Layers between the floors as cut."""
    top = r.target.top
    cuts = [m.high for m in r.floors if m is not None and m.high is not None]
    steps = sorted({0.0, top, *(round(z, 3) for z in cuts if NEAR < z < top - NEAR)})
    return tuple(
        (low, high, wood_at(r, near, (low + high) / 2)) for low, high in zip(steps, steps[1:], strict=False)
    )


def wood_at(r: Recovered, near: Maps, height: float) -> BaseGeometry:
    """The part's wood at a height: the foot itself where nothing more is gone."""
    gone = near.gone(height)
    return r.foot if gone is r.parted else r.foot.difference(gone)
