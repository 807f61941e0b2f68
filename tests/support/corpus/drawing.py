# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Drawing a piece as a designer does: boards as boxes in space, added to and cut from by boxes.

A board knows its plane; whatever is drawn in space is seen in that plane. What comes out are plain
panels, and the truth about the joints that were drawn, with the lines along which they are measured.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import Outline, circle, polygon_outline
from flatwright.plan import Panel, Pocket, Side
from support.rays import Body, body, gap

Vector = NDArray[np.float64]
Span = tuple[float, float]
AXES = "xyz"
EVERYWHERE = (-1e6, 1e6)


@dataclass(frozen=True, slots=True, eq=False)
class Probe:
    """A line from inside one board towards another; `role` says what its gap must be.

    Where the two lean, `lean` is the cosine of the angle between the line and the face that it leaves,
    and the line is drawn anew at both rims of the other board: the smallest gap counts, square to the face.
    """

    role: str
    of: str
    to: str
    start: Vector
    way: Vector
    lean: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """A joint that was drawn. `insert` is the way in which the mate comes, None if there is no one way."""

    kind: str
    receiver: str
    mate: str
    probes: tuple[Probe, ...] = ()
    insert: Vector | None = None

    @property
    def boards(self) -> frozenset[str]:
        return frozenset((self.receiver, self.mate))


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """A piece: its panels and the joints between them, every pair that touches among them. `stacks` are
    the panels, by name, that are glued broad face to broad face; `passing` are pairs that touch only
    because both bear on one face: no joint."""

    name: str
    panels: tuple[Panel, ...]
    joints: tuple[Truth, ...]
    stacks: tuple[tuple[str, ...], ...] = ()
    passing: tuple[frozenset[str], ...] = ()

    def panel(self, name: str) -> Panel:
        return next(p for p in self.panels if p.name == name)


class Board:
    """A board while it is drawn. Plane coordinates: u is the axis after the board's own, v the next."""

    def __init__(self, name: str, frame: Frame, t: float, wood: BaseGeometry, axis: int | None) -> None:
        self.name, self.frame, self.t, self.wood, self.axis = name, frame, t, wood, axis
        self.uncut = wood  # the same wood with nothing cut out of it
        self.circles: list[Outline] = []
        self.pockets: list[Pocket] = []
        self.rounded: list[tuple[float, float, float]] = []

    def span(self, axis: str) -> Span:
        """From where to where it reaches along an axis of the assembly."""
        k = AXES.index(axis)
        low = float(self.frame.origin[k])
        if k == self.axis:
            return (low, low + self.t)
        x0, y0, x1, y1 = self.wood.bounds
        return (x0, x1) if k == self._plane()[0] else (y0, y1)

    def middle(self, axis: str) -> float:
        return sum(self.span(axis)) / 2

    def add(self, **spans: Span) -> Board:
        """Wood in a box; an axis that is not given is the board's whole reach."""
        more = self._seen(spans)
        self.wood, self.uncut = self.wood.union(more), self.uncut.union(more)
        return self

    def cut(self, **spans: Span) -> Board:
        """No wood in a box, through the whole thickness."""
        self.wood = self.wood.difference(self._seen(spans, EVERYWHERE))
        return self

    def pocket(self, **spans: Span) -> Board:
        """A recess: the box must give the board's own axis, and reach one of its faces."""
        assert self.axis is not None
        lo, hi = spans.pop(AXES[self.axis])
        low, high = self.span(AXES[self.axis])
        side: Side = "+n" if hi >= high - 1e-9 else "-n"
        depth = high - lo if side == "+n" else hi - low
        assert 0 < depth < self.t
        assert hi >= high - 1e-9 or lo <= low + 1e-9
        shape = self._seen(spans).intersection(self.wood.envelope)
        self.pockets.append(Pocket(_outline(shape.exterior).cw(), depth, side))
        return self

    def hole(self, r: float, **at: float) -> Board:
        """A round hole through the board."""
        a, b = self._plane()
        self.circles.append(circle((at[AXES[a]], at[AXES[b]]), r).cw())
        return self

    def bore(self, r: float, depth: float, side: Side, **at: float) -> Board:
        """A round hole that ends in the board."""
        a, b = self._plane()
        self.pockets.append(Pocket(circle((at[AXES[a]], at[AXES[b]]), r).cw(), depth, side))
        return self

    def round_corner(self, r: float, **at: float) -> Board:
        """A corner of the outline, rounded."""
        a, b = self._plane()
        self.rounded.append((at[AXES[a]], at[AXES[b]], r))
        return self

    def panel(self) -> Panel:
        """The board as it was drawn."""
        assert isinstance(self.wood, Polygon), f"{self.name} falls into pieces"
        outline = _outline(self.wood.exterior).ccw()
        for x, y, r in self.rounded:
            outline = _with_round(outline, (x, y), r)
        holes = [_outline(ring).cw() for ring in self.wood.interiors]
        holes.sort(key=lambda h: tuple(round(v, 6) for v in h.bounds()))
        return Panel(
            name=self.name, source=self.name, frame=self.frame, nominal=self.t, thickness=self.t,
            outline=outline, holes=(*holes, *self.circles), pockets=tuple(self.pockets), board="board",
        )  # fmt: skip

    def bare(self) -> Panel:
        """The board before anything was cut out of it."""
        assert isinstance(self.uncut, Polygon), f"{self.name} falls into pieces"
        return replace(self.panel(), outline=_outline(self.uncut.exterior).ccw(), holes=(), pockets=())

    def shave(self, points: Sequence[Sequence[float]]) -> Board:
        """No wood in a polygon of plane coordinates."""
        self.wood = self.wood.difference(Polygon(points))
        return self

    def _plane(self) -> tuple[int, int]:
        assert self.axis is not None, "only boards along the axes are drawn in space"
        return (self.axis + 1) % 3, (self.axis + 2) % 3

    def _seen(self, spans: dict[str, Span], default: Span | None = None) -> Polygon:
        a, b = (AXES[k] for k in self._plane())
        (u0, u1), (v0, v1) = (spans.get(k, default or self.span(k)) for k in (a, b))
        return box(u0, v0, u1, v1)


@dataclass(slots=True, eq=False)
class Drawing:
    """A piece while it is drawn; `c` is the clearance drawn, over both sides of a slot together."""

    c: float = 0.0
    boards: dict[str, Board] = field(default_factory=dict)
    truths: list[Truth] = field(default_factory=list)
    stacks: list[tuple[str, ...]] = field(default_factory=list)
    passing: list[frozenset[str]] = field(default_factory=list)

    def board(self, name: str, **spans: Span) -> Board:
        """A board by its box; its thickness is the smallest side."""
        sides = [spans[k] for k in AXES]
        axis = min(range(3), key=lambda k: round(sides[k][1] - sides[k][0], 9))
        lo, hi = sides[axis]
        u, v = (axis + 1) % 3, (axis + 2) % 3
        frame = Frame.of(np.eye(3)[axis] * lo, np.eye(3)[u], np.eye(3)[axis])
        wood = box(sides[u][0], sides[v][0], sides[u][1], sides[v][1])
        return self._keep(Board(name, frame, hi - lo, wood, axis))

    def at_angle(self, name: str, frame: Frame, t: float, points: Sequence[Sequence[float]]) -> Board:
        """A board in any plane, its outline in that plane."""
        return self._keep(Board(name, frame, t, Polygon(points), None))

    def joint(
        self,
        kind: str,
        receiver: Board,
        mate: Board,
        probes: Sequence[Probe] = (),
        insert: Vector | None = None,
    ) -> None:
        """Enter a joint that was drawn."""
        self.truths.append(Truth(kind, receiver.name, mate.name, tuple(probes), insert))

    def done(self, name: str) -> Model:
        """The piece. Of sides and shoulders only those are measured where wood faces wood as drawn."""
        panels = tuple(b.panel() for b in self.boards.values())
        bodies = {p.name: body(p) for p in panels}
        joints = tuple(replace(j, probes=tuple(self._kept(j.probes, bodies))) for j in self.truths)
        return Model(name, panels, joints, tuple(self.stacks), tuple(self.passing))

    def _keep(self, board: Board) -> Board:
        assert board.name not in self.boards
        self.boards[board.name] = board
        return board

    @staticmethod
    def _kept(probes: Sequence[Probe], bodies: dict[str, Body]) -> Iterator[Probe]:
        for p in probes:
            if p.role in ("side", "shoulder"):
                drawn = gap(bodies[p.of], bodies[p.to], p.start, p.way)
                if drawn is None or drawn > 1.01:
                    continue
            yield p


def _outline(ring: BaseGeometry) -> Outline:
    """A ring as straight lines: no point on a line, beginning at the lowest, then leftmost corner."""
    points = [tuple(np.round(p, 9) + 0.0) for p in shapely.get_coordinates(ring)[:-1]]
    n = len(points)
    bent = [p for k, p in enumerate(points) if _bends(points[k - 1], p, points[(k + 1) % n])]
    first = min(range(len(bent)), key=lambda k: (bent[k][1], bent[k][0]))
    return polygon_outline(bent[first:] + bent[:first])


def _bends(a: Sequence[float], b: Sequence[float], c: Sequence[float]) -> bool:
    (ux, uy), (vx, vy) = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
    return abs(ux * vy - uy * vx) > 1e-7 * max(1.0, np.hypot(ux, uy) * np.hypot(vx, vy))


def _with_round(outline: Outline, at: Sequence[float], r: float) -> Outline:
    """The square corner at a point becomes an arc of radius r."""
    points, bulges = [], []
    n = len(outline)
    for k, (p, b) in enumerate(zip(outline.points, outline.bulges, strict=True)):
        if np.hypot(*(p - at)) > 1e-6:
            points.append(p)
            bulges.append(b)
            continue
        back, on = outline.points[k - 1] - p, outline.points[(k + 1) % n] - p
        points += [p + back * r / np.hypot(*back), p + on * r / np.hypot(*on)]
        convex = on[0] * back[1] - on[1] * back[0] > 0
        bulges += [np.tan(np.pi / 8) * (1 if convex else -1), b]
    return Outline(np.array(points), np.array(bulges))
