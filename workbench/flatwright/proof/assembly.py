# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Whether the piece can be put together, and in which order.

What goes together comes apart the other way round: a group of parts is split by a move in a straight
line that nothing blocks, and each half again (the directional blocking graph of R. H. Wilson and
J.-C. Latombe, "Geometric reasoning about mechanical assembly", Artificial Intelligence 71, 1994; from
memory). Parts that no move splits lock each other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.findings import Finding, finding
from flatwright.geometry.frame import Vector
from flatwright.proof import codes as codes
from flatwright.proof.blocking import blocks, shared_way
from flatwright.proof.components import components, strong_components
from flatwright.proof.interference import drawn_in
from flatwright.proof.meeting import PARALLEL, Meeting, cross_angle
from flatwright.proof.slab import Slab

SLIDE = 0.05  # mm that every surface is drawn in: parts slide along each other
TOUCH = 1.0  # mm: parts whose boxes are nearer than this are looked at first
NAMED = 3  # parts that are named one by one
AXES = ("x", "y", "z")

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Step:
    """`parts` go to `onto` in the direction `way` (unit vector)."""

    parts: tuple[str, ...]
    onto: tuple[str, ...]
    way: tuple[float, float, float]

    def __str__(self) -> str:
        x, y, z = self.way
        named = [a for a, c in zip(AXES, self.way, strict=True) if abs(c) > 1.0 - 1e-4]
        sign = "+" if x + y + z > 0.0 else "−"
        way = f"{sign}{named[0]}" if named else f"({x:.2f}, {y:.2f}, {z:.2f})"
        return f"{_named(self.parts)} onto {_named(self.onto)}, moving along {way}"


def _named(parts: Sequence[str]) -> str:
    return " + ".join(parts) if len(parts) <= NAMED else f"the {len(parts)} parts before"


@dataclass(frozen=True, slots=True)
class Assembly:
    """Steps in order; groups of parts that lock each other; pairs of parts with no way in."""

    steps: tuple[Step, ...]
    locked: tuple[tuple[str, ...], ...]
    shut: tuple[tuple[str, str], ...]


def assembly(slabs: Sequence[Slab], joined: Sequence[tuple[str, str]]) -> Assembly:
    """How parts go together; `joined` are the pairs with a joint."""
    index = {s.name: k for k, s in enumerate(slabs)}
    pairs = sorted({(index[a], index[b]) for a, b in joined if a in index and b in index and a != b})
    moves = _Moves(slabs, _ways(slabs, pairs))
    shut = [p for p in pairs if all(moves.blocked(*p, w) for w in range(len(moves.ways)))]
    steps: list[Step] = []
    locked: list[tuple[str, ...]] = []
    for group in components(len(slabs), pairs):
        for found in _apart(group, moves, set(shut)):
            if isinstance(found, Step):
                steps.append(found)
            else:
                locked.append(tuple(slabs[k].name for k in found))
    names = tuple((slabs[i].name, slabs[j].name) for i, j in shut)
    return Assembly(tuple(reversed(steps)), tuple(locked), names)


def cannot_assemble(a: Assembly) -> Iterator[Finding]:
    """Pairs without a way in, and groups that lock each other."""
    for one, other in a.shut:
        yield finding(
            "proof.insertion-path",
            f"{one} and {other}",
            f"{one} and {other} cannot be put together: no straight way in is free.",
            "Open the slot towards one side, or leave out what stands in the way.",
            panels=(one, other),
        )
    for names in a.locked:
        shown = ", ".join(names[:8]) + (f" and {len(names) - 8} more" if len(names) > 8 else "")
        yield finding(
            "proof.closed-cycle",
            shown,
            f"No order of assembly was found for {shown}: each part blocks the next, all the way round.",
            "Turn one of the joints, or open one slot to its edge, so that the last part can slide in.",
            panels=names,
        )


def _ways(slabs: Sequence[Slab], pairs: Sequence[Pair]) -> list[Vector]:
    """Directions to try: the normals of joined parts, the line where they meet, across it in each."""
    axes: list[Vector] = [np.eye(3)[k] for k in range(3)]
    for i, j in pairs:
        a, b = slabs[i], slabs[j]
        axes += [a.frame.n, b.frame.n]
        if cross_angle(a, b) >= PARALLEL:
            m = Meeting(a, b)
            axes += [m.d, m.e, m.f]
    found: dict[tuple[float, ...], Vector] = {}
    for axis in axes:
        for way in (axis, -axis):
            found.setdefault(tuple(np.round(way, 4) + 0.0), np.asarray(way, dtype=np.float64))
    return list(found.values())


class _Moves:
    """Which part blocks which, worked out when asked for and only once."""

    def __init__(self, slabs: Sequence[Slab], ways: list[Vector]) -> None:
        self.slabs, self.ways = slabs, ways
        self._thin = [drawn_in(s, SLIDE) for s in slabs]
        self._boxes = [s.box() if s.layers else (np.full(3, np.inf), np.full(3, -np.inf)) for s in self._thin]
        self._known: dict[tuple[int, int, int], bool] = {}

    def blocked(self, i: int, j: int, way: int) -> bool:
        """True when part i, moved along a way, meets part j."""
        key = (i, j, way)
        if key not in self._known:
            first, last = shared_way(self._boxes[i], self._boxes[j], self.ways[way])
            self._known[key] = first < last and blocks(self._thin[i], self._thin[j], self.ways[way])
        return self._known[key]

    def near(self, i: int, j: int) -> bool:
        """True when the boxes of two parts touch or nearly do."""
        (a, b), (c, d) = self._boxes[i], self._boxes[j]
        return bool((a < d + TOUCH).all() and (c < b + TOUCH).all())


def _apart(group: list[int], moves: _Moves, shut: set[Pair]) -> Iterator[Step | list[int]]:
    """Steps that take a group apart, and groups that nothing takes apart."""
    todo = [group]
    while todo:
        whole = todo.pop()
        if len(whole) < 2:
            continue
        split = _split(whole, moves)
        if split is None:
            if not any(i in whole and j in whole for i, j in shut):
                yield whole
            continue
        taken, way = split
        rest = [k for k in whole if k not in set(taken)]
        names = moves.slabs
        towards = -moves.ways[way] + 0.0
        yield Step(
            tuple(names[k].name for k in taken),
            tuple(names[k].name for k in rest),
            (float(towards[0]), float(towards[1]), float(towards[2])),
        )
        todo += [taken, rest]


def _split(whole: list[int], moves: _Moves) -> tuple[list[int], int] | None:
    """The fewest parts that come off in one move, and the way; None when no move splits the group."""
    best: tuple[list[int], int] | None = None
    for way in range(len(moves.ways)):
        found = _removable(whole, moves, way)
        if found is not None and (best is None or len(found) < len(best[0])):
            best = (found, way)
            if len(found) == 1:
                break
    return best


def _removable(whole: list[int], moves: _Moves, way: int) -> list[int] | None:
    """The smallest subset that moves along a way past all the others. Near pairs are looked at first,
    far ones only where they matter."""
    arcs = {i: {j for j in whole if j != i and moves.near(i, j) and moves.blocked(i, j, way)} for i in whole}
    while True:
        groups = strong_components(whole, arcs)
        sinks = [g for g in groups if not any(arcs[i] - set(g) for i in g)]
        least = min(sinks, key=lambda g: (len(g), g))
        if len(least) == len(whole):
            return None
        others = [j for j in whole if j not in set(least)]
        more = [(i, j) for i in least for j in others if moves.blocked(i, j, way)]
        if not more:
            return least
        for i, j in more:
            arcs[i].add(j)
