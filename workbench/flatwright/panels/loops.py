# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Faces in one direction, seen along it, merged into the closed loops of their union.

Modellers leave faces split, and a pocket's floor and the face around it share an edge when
seen from above: edges that occur in both senses cancel, what is left bounds the union.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Literal

import numpy as np

from flatwright.geometry.arcs import FLAT, Point, Segment, bulge_through
from flatwright.geometry.biarc import arcs_through
from flatwright.geometry.outline import Outline, chain_area, from_segments, simplified
from flatwright.panels.solid import Curve, StraightWire, Vector
from flatwright.panels.welding import WELD, Edge, welded

Touching = Literal["wood", "floors"]

AS_LINE = 1e-3  # mm: an arc that leaves its chord by no more is a line


class LoopError(ValueError):
    """The edges do not close."""


def plane_segments(wires: Iterable[Sequence[Curve]], x: Vector, y: Vector) -> list[list[Segment]]:
    """Each wire's curves as plane segments along the axes x and y; edges of no length are dropped."""
    axes = np.stack([x, y], axis=1)
    out = [_straight(w, axes) if isinstance(w, StraightWire) else _curved(w, axes) for w in wires]
    return [kept for segs in out if (kept := [s for s in segs if s.chord > WELD])]


def _straight(wire: StraightWire, axes: Vector) -> list[Segment]:
    return [Segment((a, b), (c, d)) for (a, b), (c, d) in (wire.ends @ axes).tolist()]


def _curved(wire: Sequence[Curve], axes: Vector) -> list[Segment]:
    ends = iter(_flat([p for c in wire for p in (c.start, c.end)], axes))
    segs: list[Segment] = []
    for c in wire:
        p, q = next(ends), next(ends)
        if c.kind == "arc" and c.mid is not None:
            segs.extend(_arc(p, _flat([c.mid], axes)[0], q))
        elif c.kind == "other" and c.samples is not None and c.tangents is not None:
            segs.extend(arcs_through(c.samples @ axes, c.tangents @ axes))
        else:
            segs.append(Segment(p, q))
    return [_straightened(s) for s in segs]


def _straightened(s: Segment) -> Segment:
    """A line in place of an arc that is as good as one: imports and fits give arcs of many metres radius, on
    which nothing would be known for an edge of a joint."""
    return Segment(s.p, s.q) if abs(s.b) * s.chord / 2 <= AS_LINE else s


def _arc(p: Point, m: Point, q: Point) -> list[Segment]:
    """The arc from p through its middle m to q; as two halves when it comes nearly full circle."""
    arc = Segment(p, q, bulge_through(p, m, q))
    return [arc] if arc.chord > WELD else [arc.part(0.0, 0.5), arc.part(0.5, 1.0)]


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


def united(
    faces: Sequence[list[list[Segment]]], *, split: bool, touching: Touching = "wood"
) -> list[Outline]:
    """Loops of the union of faces that do not overlap: counter-clockwise outside, clockwise inside.

    Each face is its wires as `oriented` gives them. `split` also cancels edges that overlap only
    partly (steps of pockets at several depths). Where two corners meet in one point, `wood` hangs
    together there and holes stay apart; `floors` stay apart. Raises LoopError when what remains does
    not close.
    """
    try:
        if len(faces) == 1 and _is_plain(faces[0]):
            return [simplified(from_segments(_closed(wire))) for wire in faces[0]]
        edges = welded([s for wires in faces for wire in wires for s in wire], split=split)
        chains = _chains(_cancelled(edges), left=touching == "floors")
        return [simplified(from_segments(chain)) for chain in chains]
    except LoopError:
        raise
    except ValueError as reason:  # a loop of two edges that lie on each other
        raise LoopError(str(reason)) from reason


def _is_plain(wires: Sequence[list[Segment]]) -> bool:
    """True when every wire runs head to tail and no two points of the face meet: nothing to cancel."""
    for wire in wires:
        if any(math.dist(s.q, t.p) > WELD for s, t in zip(wire, wire[1:] + wire[:1], strict=True)):
            return False
    points = np.array([s.p for wire in wires for s in wire]) / (2.0 * WELD)
    # two points that meet share a cell in at least one of these four grids
    for shift in ((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5)):
        cells = np.floor(points + shift)
        if len(set(zip(*cells.T.tolist(), strict=True))) < len(points):
            return False
    return True


def _closed(chain: list[Segment]) -> list[Segment]:
    """Make every segment end exactly where the next begins."""
    return [
        Segment(s.p, chain[(i + 1) % len(chain)].p, s.b if abs(s.b) > FLAT else 0.0)
        for i, s in enumerate(chain)
    ]


def _cancelled(edges: list[Edge]) -> list[Edge]:
    between: dict[tuple[int, int], list[int]] = {}
    for i, e in enumerate(edges):
        between.setdefault((e.start, e.end), []).append(i)
    gone: set[int] = set()
    for i, e in enumerate(edges):
        if i in gone:
            continue
        for j in between.get((e.end, e.start), ()):
            if j not in gone and math.dist(e.segment.at(0.5), edges[j].segment.at(0.5)) < 2 * WELD:
                gone |= {i, j}
                break
    return [e for i, e in enumerate(edges) if i not in gone]


def _chains(edges: list[Edge], left: bool) -> list[list[Segment]]:
    """Closed chains; where several go on from a point, the one furthest to the left or the right."""
    starts: dict[int, list[int]] = {}
    for i, e in enumerate(edges):
        starts.setdefault(e.start, []).append(i)
    used = [False] * len(edges)
    chains: list[list[Segment]] = []
    for first in range(len(edges)):
        if used[first]:
            continue
        chain: list[Segment] = []
        k = first
        while not used[k]:
            used[k] = True
            chain.append(edges[k].segment)
            options = [i for i in starts.get(edges[k].end, ()) if not used[i] or i == first]
            if not options:
                x, y = chain[-1].q
                raise LoopError(f"the boundary is open at ({x:.2f}, {y:.2f})")
            turns = {i: round(_turn(chain[-1], edges[i].segment), 6) for i in options}
            k = min(options, key=lambda i: (-turns[i] if left else turns[i], i))
        chains.append(chain)
    return chains


def _turn(s: Segment, t: Segment) -> float:
    """Angle from the end of s to the start of t, radians, positive to the left."""
    (ux, uy), (vx, vy) = s.direction(1.0), t.direction(0.0)
    return math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
