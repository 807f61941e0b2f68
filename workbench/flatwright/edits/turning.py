# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand go with a piece that was turned in space as a whole.

Their places are kept along the assembly's axes. From how the panels lay before and how they lie now follows
the turn that most of them made together; places and directions are turned by it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from flatwright.edits.model import (
    CornerEdit,
    Edits,
    End,
    JointEdit,
    JointRef,
    PanelEdit,
    Point3,
    Pose,
    Spot,
    TabsEdit,
)
from flatwright.edits.spots import Panels, point3
from flatwright.geometry.frame import Vector
from flatwright.geometry.outline import clean
from flatwright.plan import Panel, Show, Side

SAME = 0.05  # mm: points this close are one
LIES = 1e-3  # sine of the angle by which directions may differ
TRIED = 8  # panels whose own turn is tried as that of the whole piece
OTHER: dict[str, Side] = {"+n": "-n", "-n": "+n"}

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Turn:
    """x of before is `matrix` @ x + `shift` now, mm."""

    matrix: Matrix
    shift: Vector

    def point(self, x: Point3 | Vector) -> Vector:
        """Where a point went."""
        return np.asarray(self.matrix @ np.asarray(x) + self.shift)

    def way(self, v: Point3, digits: int = 3) -> Point3:
        """Where a direction, or a way, points now."""
        x, y, z = self.matrix @ np.asarray(v)
        return (clean(x, digits), clean(y, digits), clean(z, digits))


def poses(panels: Panels) -> tuple[Pose, ...]:
    """How panels lie."""
    return tuple(_pose(panels, i, p) for i, p in enumerate(panels.panels))


def turned(edits: Edits, panels: Panels) -> Edits:
    """The edits as they are to be read of the panels as they lie now."""
    return _turned(edits, poses(panels), {p.panel.source: panels.find(p.panel) for p in edits.poses})


def turned_like(edits: Edits, now: Sequence[Pose]) -> Edits:
    """The edits as they are to be read where panels lie as `now` says; as they are if that says nothing."""
    sources = {p.panel.source: i for i, p in enumerate(now)}
    objects = {p.panel.object: i for i, p in enumerate(now) if p.panel.object}
    found = {
        p.panel.source: objects.get(p.panel.object, sources.get(p.panel.source)) for p in edits.poses
    }  # fmt: skip
    return _turned(edits, now, found)


def _turned(edits: Edits, now: Sequence[Pose], index: dict[str, int | None]) -> Edits:
    pairs = {p.panel.source: (p, now[i]) for p in edits.poses if (i := index[p.panel.source]) is not None}
    turn = _common_turn(list(pairs.values()))
    turning = _Turning(turn or Turn(np.eye(3), np.zeros(3)), pairs)
    edits = replace(edits, panels=tuple(turning.panel(e) for e in edits.panels))
    if turn is None:
        return edits
    return replace(
        edits,
        joints=tuple(JointEdit(turning.joint(e.joint), e.fit_class) for e in edits.joints),
        corners=tuple(turning.corner(e) for e in edits.corners),
        tabs=tuple(turning.tabs(e) for e in edits.tabs),
        poses=tuple(now),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Turning:
    """Turns what edits refer to; `pairs`: each panel before and now, by its source before."""

    turn: Turn
    pairs: dict[str, tuple[Pose, Pose]]

    def panel(self, e: PanelEdit) -> PanelEdit:
        """Of a panel that is described from its other face now, faces and the sense of the grain change."""
        pair = self.pairs.get(e.panel.source)
        if pair is None:
            return e
        if e.u is not None:
            e = replace(e, u=self.turn.way(e.u, 9))
        if float(np.dot(self.turn.way(pair[0].n, 9), pair[1].n)) > -0.5:
            return e
        show: Show | None = OTHER.get(e.show, e.show) if e.show is not None else None
        grain = e.grain if e.grain is None or e.grain == "any" else clean(-float(e.grain), 6)
        return replace(e, show=show, stays=None if e.stays is None else OTHER[e.stays], grain=grain)

    def corner(self, e: CornerEdit) -> CornerEdit:
        return replace(
            e,
            at=self.end(e.at),
            joint=None if e.joint is None else self.joint(e.joint),
            from_joint=None if e.from_joint is None else self.turn.way(e.from_joint),
            along=None if e.along is None else self.turn.way(e.along),
        )

    def tabs(self, e: TabsEdit) -> TabsEdit:
        """Their places are in the box about the fitted panel, nearly that of the drawn one."""
        ends = [(t, self.end(End(e.panel, t.spot)).spot) for t in e.tabs]
        return replace(e, tabs=tuple(t if spot is None else replace(t, spot=spot) for t, spot in ends))

    def joint(self, ref: JointRef) -> JointRef:
        return (self.end(ref[0]), self.end(ref[1]))

    def end(self, end: End) -> End:
        pair = self.pairs.get(end.panel.source)
        if pair is None or end.spot is None:
            return end
        before, now = pair
        at = self.turn.point(np.array(before.low) + np.array(end.spot.at)) - np.array(now.low)
        return End(end.panel, Spot(point3(at), point3(np.array(now.high) - np.array(now.low))))


def _common_turn(pairs: Sequence[tuple[Pose, Pose]]) -> Turn | None:
    """The turn that more than half of the panels made together; None if there is none, or if as many of
    them were not turned at all. Of several that explain as much the smallest one."""
    if not pairs:
        return None
    before, now = _Many([b for b, _ in pairs]), _Many([n for _, n in pairs])
    still = max(before.explained(now, Turn(np.eye(3), now.middle[k] - before.middle[k])) for k in _few(pairs))
    best, most = None, max(still, len(pairs) // 2)
    if still == len(pairs):
        return None
    tried = [t for k in _few(pairs) for t in _turns_of(*pairs[k])]
    for turn in sorted(tried, key=lambda t: -round(float(np.trace(t.matrix)), 6)):
        count = before.explained(now, turn)
        if count > most:
            best, most = turn, count
    return best


def _few(pairs: Sequence[tuple[Pose, Pose]]) -> range:
    return range(min(TRIED, len(pairs)))


def _turns_of(before: Pose, now: Pose) -> Iterator[Turn]:
    """The turns that bring one panel from where it lay to where it lies, whichever way its axes came out."""
    old = _axes(before)
    for u_sign, n_sign, swap in product((1.0, -1.0), (1.0, -1.0), (False, True)):
        u, v, n = _axes(now)
        u, v = (v, -u) if swap else (u, v)
        new = np.array([u_sign * u, n_sign * u_sign * v, n_sign * n])
        matrix = new.T @ old
        yield Turn(matrix, np.array(now.middle) - matrix @ np.array(before.middle))


def _axes(pose: Pose) -> Matrix:
    """u, v and n as rows."""
    u, n = np.array(pose.u), np.array(pose.n)
    return np.array([u, np.cross(n, u), n])


class _Many:
    """Poses as arrays."""

    def __init__(self, poses: Sequence[Pose]) -> None:
        self.middle = np.array([p.middle for p in poses])
        self.mean = np.array([p.mean for p in poses])
        self.n = np.array([p.n for p in poses])

    def explained(self, now: _Many, turn: Turn) -> int:
        """How many of these lie now where the turn brings them."""
        good = np.ones(len(self.n), dtype=bool)
        for a, b in ((self.middle, now.middle), (self.mean, now.mean)):
            good &= np.linalg.norm(a @ turn.matrix.T + turn.shift - b, axis=1) < SAME
        good &= np.linalg.norm(np.cross(self.n @ turn.matrix.T, now.n), axis=1) < LIES
        return int(good.sum())


def _pose(panels: Panels, index: int, panel: Panel) -> Pose:
    low, high = panels.boxes[index]
    points = np.concatenate([o.points for o in panel.loops()])
    mean = panel.frame.to_space(points.mean(axis=0)[None], panel.thickness / 2)[0]
    # a pocket tells the two faces apart
    depths = [p.depth * (1.0 if p.side == "+n" else -1.0) for p in panel.pockets]
    mean = mean + sum(depths) * panel.frame.n
    u, n = (_unit(v) for v in (panel.frame.u, panel.frame.n))
    return Pose(panels.ref(index), point3(low), point3(high), point3(panel.centre()), point3(mean), u, n)


def _unit(v: Vector) -> Point3:
    return (clean(v[0], 9), clean(v[1], 9), clean(v[2], 9))
