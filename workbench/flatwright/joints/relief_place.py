# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A loop with all that matters to its reliefs, as one value measured from the loop's first point.

Slots and panels that are alike in all of it are one place: they are thought about once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.outline import Floats, Outline
from flatwright.geometry.polygon import polygon
from flatwright.plan import Panel

LoopKind = Literal["outline", "hole", "pocket"]
ALIKE = 6  # decimals of mm in which places must agree to be one


@dataclass(frozen=True, slots=True, eq=False)
class Mate:
    """A mate's wood in the panel's plane, between heights z0 and z1 of the panel, its way in included."""

    shape: BaseGeometry
    z0: float
    z1: float


@dataclass(frozen=True, slots=True, eq=False)
class Covers:
    """What mates hide of each broad face (panel coordinates)."""

    upper: BaseGeometry
    lower: BaseGeometry


@dataclass(frozen=True, slots=True, eq=False)
class Edge:
    """A segment of another loop of the panel; `through` if that loop goes through the board."""

    segment: Segment
    through: bool


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """`loop` with its first point at (0, 0), and round about it: the `wood` of the panel, the wood of its
    `mates`, what is hidden of each face that the loop opens (`faces`, and `sides`: 0 the upper face, 1 the
    lower), `beyond`: the void past the panel's edges and in its holes, and the `edges` of other loops."""

    key: bytes
    kind: LoopKind
    loop: Outline
    wood: BaseGeometry
    mates: BaseGeometry
    faces: tuple[BaseGeometry, ...]
    sides: tuple[int, ...]
    beyond: BaseGeometry
    edges: tuple[Edge, ...]

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Place) and self.key == other.key


class Surveyor:
    """Finds the places of one panel's loops."""

    def __init__(self, panel: Panel, mates: Sequence[Mate], covers: Covers) -> None:
        self.panel, self.mates = panel, mates
        self.loops = panel.loops()
        self._through = 1 + len(panel.holes)
        self._covers = (covers.upper, covers.lower)

    def near(self, index: int) -> BaseGeometry:
        """The wood of the mates at the heights and about the box of a loop."""
        z0, z1 = 0.0, self.panel.thickness
        if index >= self._through:
            pocket = self.panel.pockets[index - self._through]
            z0, z1 = (z1 - pocket.depth, z1) if pocket.side == "+n" else (0.0, pocket.depth)
        hits = sorted(self._tree.query(shapely.box(*self.loops[index].bounds())).tolist())
        mates = [m for m in (self.mates[k] for k in hits) if min(m.z1, z1) - max(m.z0, z0) > 0.01]
        return shapely.union_all(
            [self._beside_pockets(m) if index < self._through else m.shape for m in mates]
        )

    def _beside_pockets(self, mate: Mate) -> BaseGeometry:
        """A mate's wood but for what lies in pockets as deep as it: there is nothing left for it to meet."""
        t = self.panel.thickness
        spans = [(t - p.depth, t) if p.side == "+n" else (0.0, p.depth) for p in self.panel.pockets]
        within = [
            polygon(p.outline.ccw())
            for p, (z0, z1) in zip(self.panel.pockets, spans, strict=True)
            if z0 < mate.z0 + 0.01 and mate.z1 - 0.01 < z1
        ]
        return mate.shape.difference(shapely.union_all(within)) if within else mate.shape

    def place(self, index: int, near: BaseGeometry, margin: float) -> tuple[Place, Point]:
        """The place of a loop, `margin` mm about its box, and where its first point lies in the panel."""
        loop = self.loops[index]
        x, y = loop.points[0].tolist()
        x0, y0, x1, y1 = loop.bounds()
        box = shapely.box(x0 - margin, y0 - margin, x1 + margin, y1 + margin)
        kind: LoopKind = "outline" if index == 0 else "hole" if index < self._through else "pocket"
        wood = self._wood(box)
        beyond: BaseGeometry = Polygon()
        sides: tuple[int, ...] = (0, 1)
        if kind == "pocket":
            sides = (0,) if self.panel.pockets[index - self._through].side == "+n" else (1,)
            beyond = box.difference(wood)
            wood = wood.difference(polygon(loop.ccw()))
        round_about = [near, *(self._covers[k] for k in sides)]
        shapes = [wood, beyond, *(g.intersection(box) for g in round_about)]
        wood, beyond, mates, *faces = (_at(g, -x, -y) for g in shapes)
        edges = self._edges_near(index, box.bounds, (-x, -y))
        local = Outline(loop.points - loop.points[0], loop.bulges)
        numbers = np.array([(*e.segment.p, *e.segment.q, e.segment.b, e.through) for e in edges])
        key = b"|".join(
            [kind.encode(), bytes(sides), *map(_rounded, (local.points, local.bulges, numbers))]
            + [_fingerprint(g) for g in (wood, mates, beyond, *faces)]
        )
        return Place(key, kind, local, wood, mates, tuple(faces), sides, beyond, edges), (x, y)

    @cached_property
    def _tree(self) -> shapely.STRtree:
        return shapely.STRtree([m.shape for m in self.mates])

    def _wood(self, box: Polygon) -> BaseGeometry:
        """The panel's wood in a box."""
        outline, holes, tree = self._shapes
        wood = outline.intersection(box)
        near = sorted(tree.query(box).tolist())
        return wood.difference(shapely.union_all([holes[k] for k in near])) if near else wood

    @cached_property
    def _shapes(self) -> tuple[Polygon, list[Polygon], shapely.STRtree]:
        holes = [polygon(h.ccw()) for h in self.panel.holes]
        return polygon(self.panel.outline), holes, shapely.STRtree(holes)

    @cached_property
    def _edges(self) -> tuple[list[tuple[int, Segment]], Floats]:
        """(loop, segment) of all edges of the panel, and the boxes about them, (n, 4) float."""
        edges = [(k, s) for k, o in enumerate(self.loops) for s in o.segments()]
        return edges, np.array([s.bounds() for _, s in edges])

    def _edges_near(self, index: int, box: Sequence[float], shift: Point) -> tuple[Edge, ...]:
        """The edges of other loops that come into a box, shifted."""
        edges, boxes = self._edges
        near = (boxes[:, :2] <= box[2:]).all(axis=1) & (boxes[:, 2:] >= box[:2]).all(axis=1)
        found = [edges[k] for k in np.flatnonzero(near).tolist()]
        return tuple(Edge(_shifted(s, shift), k < self._through) for k, s in found if k != index)


def _shifted(s: Segment, by: Point) -> Segment:
    return Segment((s.p[0] + by[0], s.p[1] + by[1]), (s.q[0] + by[0], s.q[1] + by[1]), s.b)


def _rounded(values: Floats) -> bytes:
    return (np.round(values, ALIKE) + 0.0).tobytes()


def _at(shape: BaseGeometry, dx: float, dy: float) -> BaseGeometry:
    """A shape moved; rounding may fold the thinnest slivers of it over themselves."""
    moved: BaseGeometry = translate(shape, dx, dy)
    return moved if moved.is_valid else shapely.make_valid(moved)


def _fingerprint(shape: BaseGeometry) -> bytes:
    """Its corners, rounded; each ring ends where it began, so they tell the rings too."""
    kind = bytes([shape.geom_type == "Polygon", shapely.get_num_geometries(shape) % 256])
    return kind + _rounded(shapely.get_coordinates(shape))
