# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Finding the places of a panel's loops.

What is round about a loop is gathered as numbers first; only a place not met before is worked out as shapes.
A panel has many slots alike, and a piece many panels alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.arcs import Point, Segment
from flatwright.geometry.outline import Floats, Outline
from flatwright.geometry.polygon import polygon
from flatwright.joints.relief_place import DIGITS, Covers, Edge, LoopKind, Mate, Place
from flatwright.plan import Panel

Box = tuple[float, float, float, float]

LEVEL = 0.01  # mm: floors this near to each other are level


class _Shapes:
    """Shapes with the boxes about them, and their corners as numbers."""

    def __init__(self, shapes: Sequence[BaseGeometry]) -> None:
        self.shapes = list(shapes)
        self.boxes: Floats = shapely.bounds(np.array(self.shapes, dtype=object)).reshape(-1, 4)
        # each ring ends where it began, so the corners tell the rings too
        self.corners = [shapely.get_coordinates(s) for s in self.shapes]
        self.kinds = [
            f"{s.geom_type} {shapely.get_num_geometries(s)} {len(c)} "
            for s, c in zip(self.shapes, self.corners, strict=True)
        ]


class _Edges:
    """The edges of all loops of a panel: segments, the loop of each, and as numbers."""

    def __init__(self, loops: Sequence[Outline]) -> None:
        self.loop = np.repeat(np.arange(len(loops)), [len(o) for o in loops])
        self.segments = [s for o in loops for s in o.segments()]
        self.boxes = np.array([s.bounds() for s in self.segments])
        self.ends = np.array([(*s.p, *s.q) for s in self.segments])
        self.bulges = np.array([s.b for s in self.segments])


@dataclass(frozen=True, slots=True, eq=False)
class _Around:
    """All that decides a place, as it lies in the panel: `at` is the loop's first point, `mates` and
    `covers` are near it, `edges` those of other loops; `holes` are all of the panel's, and for a pocket the
    pockets as deep in its face. Equal by `key`: all of it as numbers, from `at` on."""

    key: bytes
    kind: LoopKind
    sides: tuple[int, ...]
    loop: Outline
    at: Point
    box: Box
    outline: Outline
    holes: Sequence[Outline]
    mates: Sequence[BaseGeometry]
    covers: Sequence[Sequence[BaseGeometry]]
    edges: Sequence[Edge]

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Around) and self.key == other.key


class Surveyor:
    """Finds the places of one panel's loops."""

    def __init__(self, panel: Panel, mates: Sequence[Mate], covers: Covers) -> None:
        self.panel, self.mates = panel, mates
        self.loops = panel.loops()
        self._through = 1 + len(panel.holes)
        self._covers = (_Shapes(covers.upper), _Shapes(covers.lower))

    def near(self, index: int) -> list[int]:
        """The numbers of the mates with wood at the heights and about the box of a loop."""
        z0, z1 = 0.0, self.panel.thickness
        if index >= self._through:
            pocket = self.panel.pockets[index - self._through]
            z0, z1 = (z1 - pocket.depth, z1) if pocket.side == "+n" else (0.0, pocket.depth)
        hits = _meeting(self._wood(index).boxes, self.loops[index].bounds())
        return [k for k in hits if min(self.mates[k].z1, z1) - max(self.mates[k].z0, z0) > 0.01]

    def place(self, index: int, near: Sequence[int], margin: float) -> tuple[Place, Point]:
        """The place of a loop, `margin` mm about its box, and where its first point lies in the panel;
        `near` are the mates by it."""
        loop = self.loops[index]
        x, y = loop.points[0].tolist()
        x0, y0, x1, y1 = loop.bounds()
        box = (x0 - margin, y0 - margin, x1 + margin, y1 + margin)
        kind: LoopKind = "outline" if index == 0 else "hole" if index < self._through else "pocket"
        sides: tuple[int, ...] = (0, 1)
        if kind == "pocket":
            sides = (0,) if self.panel.pockets[index - self._through].side == "+n" else (1,)
        wood, e = self._wood(index), self._edges
        groups = [(wood, near), *((self._covers[k], _meeting(self._covers[k].boxes, box)) for k in sides)]
        edges = [k for k in _meeting(e.boxes, box) if e.loop[k] not in self._no_web[index]]
        open_to = self._open_to(index)
        through = [int(e.loop[k]) < self._through or int(e.loop[k]) in open_to for k in edges]
        kinds = ["".join(g.kinds[k] for k in some) for g, some in groups]
        corners = [g.corners[k] for g, some in groups for k in some]
        key = b"|".join(
            [
                repr((kind, sides, margin, through, kinds)).encode(),
                _rounded(np.concatenate([loop.points, e.ends[edges].reshape(-1, 2), *corners]) - (x, y)),
                _rounded(np.concatenate([loop.bulges, e.bulges[edges]])),
            ]
        )
        mates, *covers = ([g.shapes[k] for k in some] for g, some in groups)
        holes = [*self.panel.holes, *(self.loops[k] for k in open_to)]
        others = [Edge(e.segments[k], t) for k, t in zip(edges, through, strict=True)]
        around = _Around(
            key, kind, sides, loop, (x, y), box, self.panel.outline, holes, mates, covers, others
        )  # fmt: skip
        return _place(around), (x, y)

    def _wood(self, index: int) -> _Shapes:
        """The wood of the mates that a loop may meet."""
        return self._beside_pockets if index < self._through and self.panel.pockets else self._all_mates

    @cached_property
    def _all_mates(self) -> _Shapes:
        return _Shapes([m.shape for m in self.mates])

    @cached_property
    def _beside_pockets(self) -> _Shapes:
        """The mates' wood but for what lies in pockets as deep as it: nothing is left for it to meet."""
        t = self.panel.thickness
        spans = [(t - p.depth, t) if p.side == "+n" else (0.0, p.depth) for p in self.panel.pockets]
        pockets = [polygon(p.outline.ccw()) for p in self.panel.pockets]
        out = []
        for m in self.mates:
            within = [
                p for p, (z0, z1) in zip(pockets, spans, strict=True) if z0 < m.z0 + 0.01 and m.z1 - 0.01 < z1
            ]
            out.append(m.shape.difference(shapely.union_all(within)) if within else m.shape)
        return _Shapes(out)

    @cached_property
    def _no_web(self) -> list[frozenset[int]]:
        """For each loop those that bound no web of its reliefs: itself, and of a pocket those in the other
        face, over which its floor lies."""
        sides = [""] * self._through + [p.side for p in self.panel.pockets]
        return [
            frozenset(i for i, other in enumerate(sides) if i == k or (side and other and side != other))
            for k, side in enumerate(sides)
        ]

    def _open_to(self, index: int) -> list[int]:
        """The loops of the pockets into which a pocket runs out: as deep as it or deeper, in its face."""
        if index < self._through:
            return []
        own = self.panel.pockets[index - self._through]
        return [
            self._through + k
            for k, p in enumerate(self.panel.pockets)
            if p is not own and p.side == own.side and p.depth >= own.depth - LEVEL
        ]

    @cached_property
    def _edges(self) -> _Edges:
        return _Edges(self.loops)


@lru_cache(maxsize=512)
def _place(around: _Around) -> Place:
    """What is round about a loop as shapes, from its first point on."""
    x, y = around.at
    box = shapely.box(*around.box)
    wood = polygon(around.outline).intersection(box)
    boxes = np.array([h.bounds() for h in around.holes]).reshape(-1, 4)
    holes = [polygon(around.holes[k].ccw()) for k in _meeting(boxes, around.box)]
    if holes:
        wood = wood.difference(shapely.union_all(holes))
    beyond: BaseGeometry = Polygon()
    if around.kind == "pocket":
        beyond = box.difference(wood)
        wood = wood.difference(polygon(around.loop.ccw()))
    round_about = [shapely.union_all(g).intersection(box) for g in (around.mates, *around.covers)]
    wood, beyond, mates, *faces = (_at(g, -x, -y) for g in (wood, beyond, *round_about))
    edges = tuple(Edge(_shifted(e.segment, (-x, -y)), e.through) for e in around.edges)
    local = Outline(around.loop.points - around.loop.points[0], around.loop.bulges)
    return Place(around.key, around.kind, local, wood, mates, tuple(faces), around.sides, beyond, edges)


def _meeting(boxes: Floats, box: Box) -> list[int]:
    """Which of the boxes (n, 4) meet a box."""
    x0, y0, x1, y1 = box
    found = (boxes[:, 0] <= x1) & (boxes[:, 1] <= y1) & (boxes[:, 2] >= x0) & (boxes[:, 3] >= y0)
    out: list[int] = np.flatnonzero(found).tolist()
    return out


def _shifted(s: Segment, by: Point) -> Segment:
    return Segment((s.p[0] + by[0], s.p[1] + by[1]), (s.q[0] + by[0], s.q[1] + by[1]), s.b)


def _rounded(values: Floats) -> bytes:
    return (np.round(values, DIGITS) + 0.0).tobytes()


def _at(shape: BaseGeometry, dx: float, dy: float) -> BaseGeometry:
    """A shape moved; rounding may fold the thinnest slivers of it over themselves."""
    moved: BaseGeometry = translate(shape, dx, dy)
    return moved if moved.is_valid else shapely.make_valid(moved)
