# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faces in one direction, seen along it, merged into the closed loops of their union.

Modellers leave faces split, and a pocket's floor and the face around it share an edge when
seen from above: edges that occur in both senses cancel, what is left bounds the union.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from flatwright.geometry.arcs import FLAT, Point, Segment, bulge_through
from flatwright.geometry.biarc import arcs_through
from flatwright.geometry.outline import Outline, chain_area, from_segments, simplified
from flatwright.panels.solid import Curve, Vector

SNAP = 1e-4  # mm: ends nearer than this are one point


class LoopError(ValueError):
    """The edges do not close."""


def plane_segments(wires: Iterable[Sequence[Curve]], x: Vector, y: Vector) -> list[list[Segment]]:
    """Each wire's curves as plane segments along the axes x and y; edges of no length are dropped."""
    axes = np.stack([x, y], axis=1)
    out: list[list[Segment]] = []
    for wire in wires:
        starts, ends = _flat([c.start for c in wire], axes), _flat([c.end for c in wire], axes)
        segs: list[Segment] = []
        for c, p, q in zip(wire, starts, ends, strict=True):
            if c.kind == "arc" and c.mid is not None:
                segs.append(Segment(p, q, bulge_through(p, _flat([c.mid], axes)[0], q)))
            elif c.kind == "other" and c.samples is not None and c.tangents is not None:
                segs.extend(arcs_through(c.samples @ axes, c.tangents @ axes))
            else:
                segs.append(Segment(p, q))
        out.append([s for s in segs if s.chord > SNAP])
    return [w for w in out if w]


def _flat(points: Sequence[Vector], axes: Vector) -> list[Point]:
    return [(x, y) for x, y in (np.array(points).reshape(-1, 3) @ axes).tolist()]


def oriented(wires: Sequence[list[Segment]]) -> list[list[Segment]]:
    """One face's wires with the largest run counter-clockwise and the others clockwise."""
    areas = [chain_area(wire) for wire in wires]
    outer = max(range(len(wires)), key=lambda k: abs(areas[k]), default=-1)
    out = []
    for k, wire in enumerate(wires):
        if (areas[k] > 0) != (k == outer):
            wire = [s.reversed() for s in reversed(wire)]
        out.append(wire)
    return out


def united(faces: Sequence[list[list[Segment]]], *, split: bool) -> list[Outline]:
    """Loops of the union of faces that do not overlap: counter-clockwise outside, clockwise inside.

    Each face is its wires as `oriented` gives them. `split` also cancels edges that overlap only
    partly (steps of pockets at several depths). Raises LoopError when what remains does not close.
    """
    if len(faces) == 1 and _is_plain(faces[0]):
        return [simplified(from_segments(_closed(wire))) for wire in faces[0]]
    segs = [s for wires in faces for wire in wires for s in wire]
    if split:
        segs = _split_at_ends(segs)
    return [simplified(from_segments(chain)) for chain in _chains(_cancelled(segs))]


def _is_plain(wires: Sequence[list[Segment]]) -> bool:
    """True when every wire runs head to tail and no two points of the face meet: nothing to cancel."""
    for wire in wires:
        if any(math.dist(s.q, t.p) > SNAP for s, t in zip(wire, wire[1:] + wire[:1], strict=True)):
            return False
    points = np.array([s.p for wire in wires for s in wire]) / (4.0 * SNAP)
    # two points that meet share a cell in at least one of these four grids
    for shift in ((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5)):
        cells = np.floor(points + shift)
        if len(set(zip(*cells.T.tolist(), strict=True))) < len(points):
            return False
    return True


def _key(p: Point) -> tuple[int, int]:
    return (round(p[0] / SNAP / 4), round(p[1] / SNAP / 4))


def _same(s: Segment, t: Segment) -> bool:
    return (
        math.dist(s.p, t.p) < SNAP
        and math.dist(s.q, t.q) < SNAP
        and math.dist(s.at(0.5), t.at(0.5)) < 10 * SNAP
    )


def _cancelled(segs: list[Segment]) -> list[Segment]:
    by_start = _Near([s.p for s in segs])
    gone = [False] * len(segs)
    for i, s in enumerate(segs):
        if gone[i]:
            continue
        back = s.reversed()
        for j in by_start.near(s.q):
            if j != i and not gone[j] and _same(segs[j], back):
                gone[i] = gone[j] = True
                break
    return [s for s, g in zip(segs, gone, strict=True) if not g]


def _split_at_ends(segs: list[Segment]) -> list[Segment]:
    points = np.array([s.p for s in segs])
    out: list[Segment] = []
    for s in segs:
        x0, y0, x1, y1 = s.bounds()
        inside = (
            (points[:, 0] > x0 - SNAP)
            & (points[:, 0] < x1 + SNAP)
            & (points[:, 1] > y0 - SNAP)
            & (points[:, 1] < y1 + SNAP)
        )
        marks = [0.0]
        end = SNAP / s.length
        cuts = sorted(
            t
            for t in (
                s.fraction((float(x), float(y))) for x, y in points[inside] if s.distance((x, y)) < SNAP
            )
            if end < t < 1.0 - end
        )
        for t in cuts:
            if t - marks[-1] > end:
                marks.append(t)
        marks.append(1.0)
        out.extend(s.part(a, b) for a, b in zip(marks, marks[1:], strict=False))
    return out


def _chains(segs: list[Segment]) -> list[list[Segment]]:
    """Closed chains, turning right at a crossing so that loops that touch stay apart."""
    by_start = _Near([s.p for s in segs])
    used = [False] * len(segs)
    chains: list[list[Segment]] = []
    for k in range(len(segs)):
        if used[k]:
            continue
        chain = [segs[k]]
        used[k] = True
        while math.dist(chain[-1].q, chain[0].p) > 2 * SNAP:
            ux, uy = chain[-1].direction(1.0)
            options = [i for i in by_start.near(chain[-1].q) if not used[i]]
            if not options:
                raise LoopError(f"the boundary is open at ({chain[-1].q[0]:.2f}, {chain[-1].q[1]:.2f})")

            def turn(i: int, ux: float = ux, uy: float = uy) -> float:
                vx, vy = segs[i].direction(0.0)
                return math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)

            nxt = min(options, key=lambda i: (round(turn(i), 6), i))
            used[nxt] = True
            chain.append(segs[nxt])
        chains.append(_closed(chain))
    return chains


def _closed(chain: list[Segment]) -> list[Segment]:
    """Make every segment end exactly where the next begins."""
    return [
        Segment(s.p, chain[(i + 1) % len(chain)].p, s.b if abs(s.b) > FLAT else 0.0)
        for i, s in enumerate(chain)
    ]


class _Near:
    """Points by place."""

    def __init__(self, points: Sequence[Point]) -> None:
        self.points = points
        self.cells: dict[tuple[int, int], list[int]] = {}
        for i, p in enumerate(points):
            self.cells.setdefault(_key(p), []).append(i)

    def near(self, p: Point) -> list[int]:
        cx, cy = _key(p)
        return [
            i
            for dx in (-1, 0, 1)
            for dy in (-1, 0, 1)
            for i in self.cells.get((cx + dx, cy + dy), ())
            if math.dist(self.points[i], p) < 2 * SNAP
        ]
