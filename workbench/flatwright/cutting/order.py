# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The running order: groups of one bit each, as few as can be, and inside a group the stages.

What must hold: everything else of a part comes before its outline, and a part that lies in another's
opening is cut before that opening. What is preferred, in this order: few bit changes; a straight or
up-cut bit first (it may mark and drill); pins, holes, pockets, openings, outlines; small parts before large;
short travel.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from flatwright.cutting.cut import Cut
from flatwright.cutting.moves import OperationKind
from flatwright.cutting.travel import short_tour
from flatwright.geometry.arcs import Point

STAGES: tuple[OperationKind, ...] = ("pin", "hole", "pocket", "inside", "outside")


def ordered(cuts: Sequence[Cut], start: Point) -> list[tuple[int, list[Cut]]]:
    """Groups (bit number, cuts in running order); the tool comes from `start`."""
    before = [_before(c, cuts) for c in cuts]
    groups: list[tuple[int, list[Cut]]] = []
    at = start
    for bit, members in _grouped(cuts, before):
        run = _in_order(members, cuts, before, at)
        groups.append((bit, [cuts[k] for k in run]))
        at = cuts[run[-1]].end
    return groups


def _before(cut: Cut, cuts: Sequence[Cut]) -> frozenset[int]:
    """Indices of the cuts that must come first."""
    return frozenset(
        k
        for k, c in enumerate(cuts)
        if (cut.kind == "outside" and c.panel == cut.panel and c.kind != "outside")
        or (cut.kind in ("inside", "outside") and c.panel in cut.after)
    )


def _grouped(cuts: Sequence[Cut], before: Sequence[frozenset[int]]) -> list[tuple[int, list[int]]]:
    """The shortest sequence of bits in which everything can be cut; breadth first, preferred bits first."""
    bits = {c.bit.number: c.bit for c in cuts}
    stage = {n: min(STAGES.index(c.kind) for c in cuts if c.bit.number == n) for n in bits}
    numbers = sorted(bits, key=lambda n: (not bits[n].may_drill, stage[n], n))
    everything = frozenset(range(len(cuts)))
    front: list[tuple[frozenset[int], list[tuple[int, list[int]]]]] = [(frozenset(), [])]
    seen: set[frozenset[int]] = set()
    while front:
        following: list[tuple[frozenset[int], list[tuple[int, list[int]]]]] = []
        for done, groups in front:
            if done == everything:
                return groups
            for n in numbers:
                ready = _ready(n, cuts, before, done)
                state = done | ready
                if ready and state not in seen:
                    seen.add(state)
                    following.append((state, [*groups, (n, sorted(ready))]))
        front = following
    raise ValueError("the cuts wait for each other in a circle")


def _ready(
    bit: int, cuts: Sequence[Cut], before: Sequence[frozenset[int]], done: frozenset[int]
) -> frozenset[int]:
    """All that this bit can cut now, including what its own cuts make ready."""
    ready: set[int] = set()
    grown = True
    while grown:
        more = {
            k
            for k, c in enumerate(cuts)
            if k not in done and k not in ready and c.bit.number == bit and before[k] <= done | ready
        }
        ready |= more
        grown = bool(more)
    return frozenset(ready)


def _in_order(
    members: Sequence[int], cuts: Sequence[Cut], before: Sequence[frozenset[int]], start: Point
) -> list[int]:
    """Stage by stage, in each stage small parts first, in each size short travel; guests before hosts."""
    out: list[int] = []
    at = start
    left = sorted(members, key=lambda k: (_rank(cuts[k]), k))
    while left:
        waiting = set(left)
        free = [k for k in left if not before[k] & waiting]
        rank = _rank(cuts[free[0]])
        batch = [k for k in free if _rank(cuts[k]) == rank]
        stops = [(cuts[k].start, cuts[k].end) for k in batch]
        run = [batch[i] for i in short_tour(stops, at)]
        out += run
        at = cuts[run[-1]].end
        left = [k for k in left if k not in run]
    return out


def _rank(cut: Cut) -> tuple[int, int]:
    """(stage, size class); parts of one class differ in area by less than a factor of four."""
    size = math.floor(math.log(max(1.0, round(cut.area)), 4.0) + 0.00271) if cut.kind == "outside" else 0
    return STAGES.index(cut.kind), size
