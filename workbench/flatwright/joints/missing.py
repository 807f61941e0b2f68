# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boards drawn through each other with no slot: where it is asked for, the slot is cut.

A board that goes through the middle of another gets a mortise, one that ends inside it a recess, one
that comes in from an edge a slot; two that cross get half a slot each. They are cut tight: the fit
gives them their clearance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.frame import Vector, canonical_sign, cross, unit
from flatwright.geometry.outline import Outline, from_segments, polygon_outline, simplified
from flatwright.geometry.polygon import parts, region
from flatwright.joints.collide import SKIN, common_place
from flatwright.joints.contacts import near_pairs
from flatwright.joints.sections import section, slabs
from flatwright.plan import Panel, Pocket, Side

declare("note", joint__slot_cut="a slot that was not drawn was cut, since it was asked for")

EDGE = 0.05  # mm: an end this near to the end of the wood reaches it
FLOOR = 2.0  # mm of wood that stays under a recess; else the slot goes through
FAR = 1e5  # mm: longer than any board


def cut_missing(panels: Sequence[Panel]) -> tuple[list[Panel], list[Finding]]:
    """The panels with the slots cut that are missing, and a note for each. Where no simple slot serves
    they stay as they are, and the fit reports the collision."""
    done = list(panels)
    findings: list[Finding] = []
    opened: dict[int, Vector] = {}  # from which end of the line a board that crosses others is slotted
    for i, j in near_pairs(panels, margin=0.0):
        if common_place(slabs(done[i]), slabs(done[j])) is None:
            continue
        for cut in (_recess, _mortise, _slot):
            new = cut(done[i], done[j]) or cut(done[j], done[i])
            if new is not None:
                k = i if new.name == done[i].name else j
                done[k] = new
                findings.append(_told(new, done[i + j - k]))
                break
        else:
            way = _way(done[i], done[j], opened.get(i), opened.get(j))
            both = _half_each(done[i], done[j], way)
            if both is not None:
                done[i], done[j] = both
                opened[i], opened[j] = way, -way
                findings += [_told(done[i], done[j]), _told(done[j], done[i])]
    return done, findings


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a mate stands in a panel: from `start` to `end` along the line of the two planes, `near` to
    `far` across it; `opens` tells of both ends whether the panel's wood ends there. `axis` and `across`
    are directions in the panel's plane."""

    start: float
    end: float
    near: float
    far: float
    opens: tuple[bool, bool]
    axis: Point
    across: Point

    def corners(self, start: float, end: float) -> list[Point]:
        """The corners of a stretch: near and far at its start, far and near at its end."""
        return [
            (x * self.axis[0] + y * self.across[0], x * self.axis[1] + y * self.across[1])
            for x, y in ((start, self.near), (start, self.far), (end, self.far), (end, self.near))
        ]


def _places(panel: Panel, mate: Panel) -> list[_Place]:
    """The places where the mate stands in the panel's wood; none if it hangs out of it at a side."""
    line = cross(panel.frame.n, mate.frame.n)
    size = float(np.linalg.norm(line))
    if size < 0.1:
        return []
    f = panel.frame
    axis = (float(line @ f.u) / size, float(line @ f.v) / size)
    across = (-axis[1], axis[0])
    turn = np.array([axis, across]).T

    def turned(shape: BaseGeometry) -> BaseGeometry:
        return shapely.transform(shape, lambda p: p @ turn)

    wood = turned(region(panel.outline, panel.holes))
    out = []
    for seen in parts(turned(section(f, SKIN, panel.thickness - SKIN, slabs(mate)))):
        for common in parts(seen.intersection(wood)):
            if common.area <= 1.0:
                continue
            start, near, end, far = common.bounds
            _, low, _, high = seen.bounds
            if abs(far - high) > EDGE or abs(near - low) > EDGE:
                return []
            if common.area < (end - start) * (far - near) - 1.0:
                return []
            lane = parts(wood.intersection(shapely.box(-FAR, near, FAR, far)))
            here = next(p.bounds for p in lane if p.intersects(common.buffer(-SKIN)))
            opens = (start - here[0] < EDGE, here[2] - end < EDGE)
            out.append(_Place(start, end, near, far, opens, axis, across))
    return out


def _heights(panel: Panel, mate: Panel) -> tuple[bool, bool, float]:
    """Does the mate come through the -n face, through the +n face, and how deep it stands in from one."""
    f, t, layers = panel.frame, panel.thickness, slabs(mate)
    wood = region(panel.outline, panel.holes)

    def stands(z0: float, z1: float) -> bool:
        return bool(section(f, z0, z1, layers).intersection(wood).area > 1.0)

    low, high = stands(SKIN, 2 * SKIN), stands(t - 2 * SKIN, t - SKIN)
    if low == high:
        return low, high, t
    inside, outside = (0.0, t) if low else (t, 0.0)
    for _ in range(40):  # bisection for the mate's end
        middle = (inside + outside) / 2
        beyond = stands(middle, t - SKIN) if low else stands(SKIN, middle)
        inside, outside = (middle, outside) if beyond else (inside, middle)
    return low, high, round(outside if low else t - outside, 4)


def _recess(panel: Panel, mate: Panel) -> Panel | None:
    places = _places(panel, mate)
    low, high, depth = _heights(panel, mate)
    if not places or low == high or panel.thickness - depth < FLOOR:
        return None
    side: Side = "-n" if low else "+n"
    shapes = [polygon_outline(p.corners(p.start, p.end)).cw() for p in places]
    return replace(panel, pockets=(*panel.pockets, *(Pocket(s, depth, side) for s in shapes)))


def _mortise(panel: Panel, mate: Panel) -> Panel | None:
    places = _places(panel, mate)
    if not places or any(p.opens != (False, False) for p in places):
        return None
    holes = [polygon_outline(p.corners(p.start, p.end)).cw() for p in places]
    return replace(panel, holes=(*panel.holes, *holes))


def _slot(panel: Panel, mate: Panel) -> Panel | None:
    places = _places(panel, mate)
    if not places or any(p.opens.count(True) != 1 for p in places):
        return None
    done: Panel | None = panel
    for p in places:
        done = None if done is None else _notched(done, p, p.start, p.end)
    return done


def _way(a: Panel, b: Panel, a_opened: Vector | None, b_opened: Vector | None) -> Vector:
    """Along which way of their line two boards that cross are let into each other: the way in space in which
    a's slot opens. Boards that cross several others are slotted from one edge only, or a grid of them would
    not go together."""
    line = canonical_sign(unit(cross(a.frame.n, b.frame.n)))
    for known in (a_opened, None if b_opened is None else -b_opened):
        if known is not None and abs(float(known @ line)) > 0.9:
            return line if float(known @ line) > 0 else -line
    return line


def _half_each(a: Panel, b: Panel, way: Vector) -> tuple[Panel, Panel] | None:
    """Two boards that end together: a is slotted from the end of the line to which `way` leads, b from the
    other, each to the middle."""
    here, there = _places(a, b), _places(b, a)
    if [x.opens for x in (*here, *there)] != [(True, True)] * 2 or len(here) != 1:
        return None
    (p,), (q,) = here, there
    one, other = _half(a, p, way), _half(b, q, -way)
    return None if one is None or other is None else (one, other)


def _half(panel: Panel, place: _Place, way: Vector) -> Panel | None:
    """The panel slotted to the middle from the end to which a way in space leads."""
    f, middle = panel.frame, (place.start + place.end) / 2
    axis = place.axis[0] * f.u + place.axis[1] * f.v
    if float(axis @ way) > 0:
        return _notched(panel, replace(place, opens=(False, True)), middle, place.end)
    return _notched(panel, replace(place, opens=(True, False)), place.start, middle)


def _notched(panel: Panel, place: _Place, start: float, end: float) -> Panel | None:
    """The panel with a slot from its edge; None where that edge is not one straight line there."""
    sn, sf, ef, en = place.corners(start, end)
    inner, mouth = ((sn, sf), (en, ef)) if place.opens[1] else ((en, ef), (sn, sf))
    segs = panel.outline.segments()
    for k, s in enumerate(segs):
        if s.is_line and all(s.distance(m) < EDGE for m in mouth):
            at = [s.fraction(m) for m in mouth]
            (first, deep1), (last, deep2) = sorted(
                zip(mouth, inner, strict=True), key=lambda m: s.fraction(m[0])
            )
            if not all(-1e-9 <= x <= 1 + 1e-9 for x in at):
                continue
            ring: list[Point] = [s.p, first, deep1, deep2, last, s.q]
            cut = [Segment(a, b) for a, b in zip(ring, ring[1:], strict=False)]
            outline: Outline = simplified(from_segments([*segs[:k], *cut, *segs[k + 1 :]]))
            return replace(panel, outline=outline)
    return None


def _told(panel: Panel, mate: Panel) -> Finding:
    return finding(
        "joint.slot-cut",
        f"{mate.name} in {panel.name}",
        f"{mate.name} stood in {panel.name} with no slot drawn; one was cut for it.",
        "Draw the slot if it should lie elsewhere.",
        panels=[panel.name, mate.name],
    )
