# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a relief costs: what stays visible of it, what it takes of an edge that bears, what web it leaves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.corners import Corner
from flatwright.geometry.outline import Floats, Outline
from flatwright.geometry.polygon import polygon
from flatwright.geometry.relief_shapes import ReliefShape
from flatwright.joints.relief_place import Place

# How near a mate an edge bears on it or holds it in place (mm), and how much of that a relief may take at
# each end: half of what bears must stay, and of what holds a mate in place a piece in the middle.
ROLES = ((0.02, 0.25), (1.0, 0.45))
WHOLE = 0.9  # of such an edge: as good as all of it
STRIP = 0.5  # mm: width of what is looked at on each side of a way
TOUCH = 0.01  # mm: a pocket's edge this near to a corner of the outline ends there and bounds no web
LEAK = 0.01  # mm²: chords of arcs feign less than this
WALL = 0.1  # mm: two places with less wood between them lie in one slot

Shapes = NDArray[np.object_]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A relief for a corner. `visible` mm² over both faces; `web` mm of wood to the next edge, infinite where
    there is more than asked for; `eaten`: what it takes of an edge that bears on a mate or holds it in place,
    1 for as much as may go, infinite if that is the whole edge; `shares` of such an edge before and after
    its corner that it takes; `wanted` if it is of a kind asked for."""

    corner: Corner
    shape: ReliefShape
    visible: float
    web: float
    eaten: float
    shares: tuple[float, float] = (0.0, 0.0)
    wanted: bool = True


def rated(
    place: Place, loop: Outline, corners: Sequence[Corner], shapes: Sequence[ReliefShape], least_web: float
) -> list[Candidate]:
    """The costs of each shape at its corner of the place's loop, drawn as `loop`."""
    if not shapes:
        return []
    shapely.prepare(place.wood)
    discs = polygons(shapes)
    visible = shown(place, taken(place, discs)).sum(axis=0).tolist()
    webs = _Webs(place, loop, least_web)
    eaten, shares = _eaten(place, corners, discs)
    through = _breaks_through(place, loop, discs)
    return [
        Candidate(c, s, v, 0.0 if leaks else webs.least_web(c, s), e, both)
        for c, s, v, e, both, leaks in zip(corners, shapes, visible, eaten, shares, through, strict=True)
    ]


def polygons(shapes: Sequence[ReliefShape]) -> Shapes:
    """The shapes as polygons."""
    discs = shapely.buffer(
        shapely.points(np.array([s.centre for s in shapes])), [s.radius for s in shapes], quad_segs=32
    )
    for k, s in enumerate(shapes):
        if s.way is not None:
            discs[k] = polygon(s.outline())
    return np.asarray(discs, dtype=np.object_)


def taken(place: Place, discs: Shapes) -> Shapes:
    """The wood that each shape takes."""
    return np.asarray(shapely.intersection(discs, place.wood), dtype=np.object_)


def shown(place: Place, wood: Shapes) -> Floats:
    """Area of each piece of wood that no mate hides, mm²; a row for each face that the loop opens."""
    return np.array([shapely.area(shapely.difference(wood, face)) for face in place.faces])


def _breaks_through(place: Place, loop: Outline, discs: Shapes) -> list[bool]:
    """Whether a shape reaches what is neither wood nor the void of its own loop: another hole, the outside.
    A pocket may."""
    if place.kind == "pocket":
        return [False] * len(discs)
    own: BaseGeometry = polygon(loop.ccw())
    if place.kind == "outline":
        own = shapely.box(*shapely.union_all(discs).union(own).bounds).buffer(1.0).difference(own)
    room = own.union(place.wood).buffer(TOUCH)
    return [bool(a > LEAK) for a in shapely.area(shapely.difference(discs, room)).tolist()]


def _eaten(
    place: Place, corners: Sequence[Corner], discs: Shapes
) -> tuple[list[float], list[tuple[float, float]]]:
    """The largest share of what each shape may take of the edges of its corner, and the largest share that it
    takes of the edge before and of that after it."""
    touching: dict[tuple[Point, Point], list[tuple[BaseGeometry, float]]] = {}
    grown = [place.mates.buffer(near, join_style="mitre") for near, _ in ROLES]
    out, shares = [], []
    for corner, disc in zip(corners, discs, strict=True):
        worst, taken = 0.0, [0.0, 0.0]
        for k, edge in enumerate((corner.before, corner.after)):
            key = (edge.p, edge.q)
            if key not in touching:
                touching[key] = _touching(place, grown, edge)
            for line, share in touching[key]:
                lost = line.intersection(disc).length / line.length
                worst = max(worst, lost / share if lost < WHOLE else math.inf)
                taken[k] = max(taken[k], round(lost, 3))
        out.append(round(worst, 3))
        shares.append((taken[0], taken[1]))
    return out, shares


def _touching(place: Place, grown: Sequence[BaseGeometry], edge: Segment) -> list[tuple[BaseGeometry, float]]:
    """The parts of an edge that bear on a mate or hold it in place, each with the share that may go;
    `grown` are the mates with what is as near as each of `ROLES` says."""
    line = LineString([*edge.flattened(0.01), edge.q])
    with np.errstate(invalid="ignore"):  # a corner of a mate that comes twice makes an edge of no length
        away = line.distance(place.mates)
    found = []
    for (near, share), mates in zip(ROLES, grown, strict=True):
        if away <= near:
            part = line.intersection(mates)
            if part.length > max(1.0, 1.3 * near):
                found.append((part, share))
    return found


class _Webs:
    """Wood from reliefs to the edges of a panel."""

    def __init__(self, place: Place, loop: Outline, least: float) -> None:
        self.wood, self.least, self.n = place.wood, least, len(loop)
        self.edges = [*enumerate(loop.segments()), *((-1, e.segment) for e in place.edges)]
        # a pocket ends at the edge of the outline or of a hole: there is no web between them
        self.open = [place.kind == "pocket" or not e.through for e in place.edges]
        self.boxes = np.array([s.bounds() for _, s in self.edges])

    def least_web(self, corner: Corner, shape: ReliefShape) -> float:
        """Least wood to any edge but those of the relief's own corner, infinite if it is enough."""
        reach = shape.radius + self.least
        ends = np.array([shape.centre, shape.way or shape.centre])
        near = (self.boxes[:, :2] <= ends.max(axis=0) + reach).all(axis=1)
        near &= (self.boxes[:, 2:] >= ends.min(axis=0) - reach).all(axis=1)
        own = self._own(corner)
        best = reach
        for k in np.flatnonzero(near).tolist():
            i, s = self.edges[k]
            away = s.distance(shape.centre) if i >= 0 or shape.way is None else _from_way(shape, s)
            if away >= best or i in own:
                continue
            if i < 0 and self.open[k - self.n] and s.distance(corner.at) < TOUCH:
                continue
            if i < 0 or self._through_wood(shape, s):
                best = away
        return best - shape.radius if best < reach else math.inf

    def _own(self, corner: Corner) -> set[int]:
        """The edges of a corner, and those beyond an outer corner at their ends: there a relief may take the
        outer corner off but parts nothing."""
        i, n = corner.index, self.n
        before, after = (i - 1) % n, i
        own = {before, after}
        if _turns_left(self.edges[(i - 2) % n][1], corner.before):
            own.add((i - 2) % n)
        if _turns_left(corner.after, self.edges[(i + 1) % n][1]):
            own.add((i + 1) % n)
        return own

    def _through_wood(self, shape: ReliefShape, s: Segment) -> bool:
        """False for an edge that the relief's centre sees only across the slot itself or along its edge."""
        foot = s.at(min(1.0, max(0.0, s.fraction(shape.centre))))
        wall = wood_between([self.wood], np.array([shape.centre]), np.array([foot]))
        return bool(wall[0] > WALL)


def _from_way(shape: ReliefShape, s: Segment) -> float:
    """Distance of an edge from the bit's way into a corner."""
    way = LineString([shape.centre, shape.way or shape.centre])
    return float(way.distance(LineString([*s.flattened(0.01), s.q])))


def _turns_left(a: Segment, b: Segment) -> bool:
    (ux, uy), (vx, vy) = a.direction(1.0), b.direction(0.0)
    return ux * vy - uy * vx > 0


def wood_between(wood: Sequence[BaseGeometry], a: Floats, b: Floats) -> Floats:
    """Thickness in mm of each wood on the straight way from a to b, (n, 2) float each; wood that lies on one
    side of the way only does not count."""
    if not len(a):
        return np.zeros(0)
    way = b - a
    length = np.hypot(*way.T)
    across = np.stack([-way[:, 1], way[:, 0]], axis=1) / np.maximum(length, 1e-9)[:, None] * STRIP
    whole = np.array(list(wood), dtype=object)
    sides = [
        shapely.area(shapely.intersection(shapely.polygons(np.stack([a, b, b + w, a + w], axis=1)), whole))
        for w in (across, -across)
    ]
    return np.where(length < 1e-6, 0.0, np.minimum(*sides) / STRIP)
