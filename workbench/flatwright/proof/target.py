# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A planned part where it lies on its sheet: what the programs ought to leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.polygon import polygon
from flatwright.plan import Panel, Placement, Sheet, Tab, placed
from flatwright.proof.reach import Cutters, closed, opened, opened_each
from flatwright.proof.sweeps import Box, Sweeps

BELOW = 0.06  # mm under a floor: just beneath what belongs to it


@dataclass(frozen=True, slots=True, eq=False)
class Floor:
    """A planned pocket open to the top: `region` in sheet coordinates, `height` of its floor."""

    number: int
    region: Polygon
    height: float


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """A placed panel; `underside` numbers the pockets that face the bed and are never cut. Heights from
    the bed; `below`: as the sheet lies before it is turned over, with the face up that is down later."""

    panel: Panel
    placement: Placement
    top: float
    outer: Polygon
    holes: tuple[Polygon, ...]
    floors: tuple[Floor, ...]
    underside: tuple[int, ...]
    tabs: tuple[Tab, ...]
    below: bool = False

    @property
    def name(self) -> str:
        return self.panel.name

    @property
    def shows(self) -> bool:
        """True when the face that is up is a show face."""
        return self.panel.show in ("both", "-n" if self.placement.flipped != self.below else "+n")

    def wood_at(self, height: float) -> BaseGeometry:
        """The planned wood at a height, every corner as drawn."""
        gone = [*self.holes, *(f.region for f in self.floors if f.height < height)]
        return without(self.outer, gone)


def without(shape: BaseGeometry, voids: Sequence[BaseGeometry]) -> BaseGeometry:
    """A shape less voids; voids that lie well inside need no overlay."""
    if not voids:
        return shape
    if isinstance(shape, Polygon) and all(isinstance(v, Polygon) and not v.interiors for v in voids):
        rings = [v.exterior for v in voids if isinstance(v, Polygon) and not v.is_empty]
        plain = Polygon(shape.exterior, [*shape.interiors, *rings])
        if plain.is_valid:
            return plain
    return shape.difference(shapely.union_all(voids))


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """The planned shape as the bits that were used can leave it.

    `outer` is the wood inside the outline and `foot` the same less the holes; `radius` is that of
    the bit that cut the outline, `hole_radius` of those that cut the holes; `holes[i]` and
    `reach[i]` are what the bit can clear of hole i and of floor i.
    """

    outer: BaseGeometry
    foot: BaseGeometry
    radius: float
    holes: tuple[BaseGeometry, ...]
    hole_radius: tuple[float, ...]
    reach: tuple[BaseGeometry, ...]

    def at(self, target: Target, height: float) -> BaseGeometry:
        """The wood at a height."""
        gone = [r for f, r in zip(target.floors, self.reach, strict=True) if f.height < height]
        return without(self.foot, gone)


def target(panel: Panel, placement: Placement, sheet: Sheet, below: bool = False) -> Target:
    """Where the panel's loops lie on the sheet; `below` with the pockets of the side that is cut first."""
    up = "-n" if placement.flipped != below else "+n"
    floors = [
        Floor(k, polygon(placed(p.outline, placement).ccw()), sheet.thickness - p.depth)
        for k, p in enumerate(panel.pockets)
        if p.side == up
    ]
    never = () if sheet.flip else tuple(k for k, p in enumerate(panel.pockets) if p.side != up)
    return Target(
        panel,
        placement,
        sheet.thickness,
        polygon(placed(panel.outline, placement).ccw()),
        tuple(polygon(placed(h, placement).ccw()) for h in panel.holes),
        tuple(floors),
        never,
        tuple(t for t in sheet.tabs if t.panel == panel.name),
        below,
    )


def grown(box: Box, by: float) -> Box:
    """A box larger by `by` on every side."""
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)


def expected(t: Target, s: Sweeps) -> Expected:
    """What the bits of the sweeps `s` (those near the part) can leave of the plan."""
    cutters = Cutters(s)
    radius = cutters.radius(t.outer.exterior, t.top / 2)
    outer = closed(t.outer, radius)
    radii = tuple(cutters.radii([h.exterior for h in t.holes], t.top / 2))
    holes = tuple(opened_each(t.holes, radii))
    foot = without(outer, holes)
    return Expected(outer, foot, radius, holes, radii, reaches(t, foot, cutters))


def reaches(t: Target, foot: BaseGeometry, cutters: Cutters) -> tuple[BaseGeometry, ...]:
    """What the bits can clear of each floor, in wood of the shape `foot`."""
    return tuple(_reach(t, f, foot, cutters) for f in t.floors)


def _reach(t: Target, floor: Floor, foot: BaseGeometry, cutters: Cutters) -> BaseGeometry:
    """What of a pocket its bit can clear, coming from everything that is open at its height."""
    r = cutters.radius(floor.region.exterior, floor.height + 0.1)
    room = shapely.box(*grown(floor.region.bounds, 4 * r + 1.0))
    pockets = [f.region for f in t.floors if f.height <= floor.height]
    deeper = [f.region for f in t.floors if f.height < floor.height]
    free = room.difference(foot.difference(shapely.union_all(pockets)))
    own = opened(free, r).intersection(floor.region).intersection(foot)
    return own.difference(shapely.union_all(deeper)) if deeper else own


def heights(t: Target) -> list[float]:
    """Heights at which a part is compared: just under the top and under each floor but the
    lowest. Between them the wood can only grow downwards, so nothing hides."""
    floors = sorted({round(f.height, 3) for f in t.floors if f.height < t.top})
    return [*(f - BELOW for f in floors[1:]), t.top - BELOW]
