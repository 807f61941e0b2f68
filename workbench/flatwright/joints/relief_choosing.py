# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Choosing among the reliefs that fit: keep the web and what bears, then show least.

All corners of a panel are chosen for at once, so that the order of its loops and edges makes no difference:
where two choices leave too thin a web between them, both corners take their next best, and where two
would together take the whole end of a slot, one of them spares it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.geometry.arcs import Point
from flatwright.geometry.outline import Floats
from flatwright.joints.relief_loop import Needs
from flatwright.joints.relief_place import DIGITS, Place
from flatwright.joints.relief_rating import WALL, WHOLE, Candidate, wood_between
from flatwright.presets.model import ReliefRules

ALIKE = 0.05  # mm²: reliefs that show as much as that more show the same
ROUNDS = 2  # of taking the next best, one for each kind but the last
SPARE = 0.5  # of the wanted web is enough where an edge would else be gone that holds a mate in place

Numbers = tuple[int, ...]
Webs = tuple[float, ...]
Loop = tuple[Needs, Point]  # what a loop needs, and where its place lies in the panel


@dataclass(slots=True, eq=False)
class _Pick:
    """A corner while it is chosen for: the numbers of the options that are left, and the one taken."""

    needs: Needs
    at: Point
    options: tuple[Candidate, ...]
    left: list[int]
    taken: int = -1

    @property
    def chosen(self) -> Candidate | None:
        return self.options[self.taken] if self.taken >= 0 else None


def choose(loops: Sequence[Loop], rules: ReliefRules) -> tuple[list[Numbers], list[Webs]]:
    """For each loop and each corner in need, the number of its relief among the options (-1 where none fits),
    and the wood that it leaves to edges and other reliefs (infinite where that is enough)."""
    rows = [
        [_Pick(needs, at, n.options, list(range(len(n.options)))) for n in needs.needs] for needs, at in loops
    ]
    picks = [p for row in rows for p in row]
    best: dict[int, int] = {}  # by the options themselves, which loops alike share
    for p in picks:
        if id(p.options) not in best:
            best[id(p.options)] = _best(p, rules)
        p.taken = best[id(p.options)]
    for _ in range(ROUNDS):
        again = [p for p in _too_close(picks, rules) if len(_wide(p, rules)) > 1]
        if not again:
            break
        for p in again:
            p.left.remove(p.taken)
            p.taken = _best(p, rules)
    for row in rows:
        _keep_ends(row, rules)
    close = _too_close(picks, rules)
    webs = [
        tuple(math.inf if p.chosen is None else min(p.chosen.web, close.get(p, math.inf)) for p in row)
        for row in rows
    ]
    return [tuple(p.taken for p in row) for row in rows], webs


def _wide(pick: _Pick, rules: ReliefRules) -> list[int]:
    return [k for k in pick.left if pick.options[k].web >= rules.minimum_web - 1e-6]


def _best(pick: _Pick, rules: ReliefRules) -> int:
    """The first of these that there are: those that leave web and edges and are of the wanted kind, those of
    another kind, those that take too much of an edge, those that leave too little web."""
    options, wide = pick.options, _wide(pick, rules)
    sparing = [k for k in wide if options[k].eaten <= 1.0]
    good = [k for k in sparing if options[k].wanted] or sparing
    if good:
        least = min(options[k].visible for k in good)
        alike = [k for k in good if options[k].visible <= least + ALIKE]
        return min(alike, key=lambda k: round(options[k].eaten, 2))
    if wide:
        return min(wide, key=lambda k: (round(options[k].eaten, 2), round(options[k].visible, 1)))
    return max(pick.left, key=lambda k: round(options[k].web, 3), default=-1)


def _keep_ends(row: Sequence[_Pick], rules: ReliefRules) -> None:
    """Where the reliefs of two neighbouring corners take the whole edge between them, which holds a mate in
    place, the corner that can best spare it takes another one; both do if neither is better."""
    for a, b in zip(row, [*row[1:], *row[:1]], strict=True):
        one, two = a.chosen, b.chosen
        if one is None or two is None or math.dist(one.corner.after.q, two.corner.at) > 1e-6:
            continue
        if one.shares[1] + two.shares[0] < WHOLE:
            continue
        ways = [(a, _sparing(a, 1, two.shares[0], rules)), (b, _sparing(b, 0, one.shares[1], rules))]
        best = max((web for _, (web, _) in ways), default=0.0)
        for pick, (web, k) in ways:
            if k >= 0 and web == best:
                pick.taken = k


def _sparing(pick: _Pick, side: int, other: float, rules: ReliefRules) -> tuple[float, int]:
    """Of the options that leave some of the edge before (0) or after (1) the corner, whose other end's relief
    takes `other` of it, the one with most web: that web, mm, and its number; (0, -1) if none serves."""
    wanted = rules.minimum_web
    webs = [
        (round(min(o.web, wanted), 2), -round(o.visible, 1), -k)
        for k, o in enumerate(pick.options)
        if o.shares[side] + other < WHOLE and o.eaten <= 1.0 and o.web >= SPARE * wanted
    ]
    web, _, k = max(webs, default=(0.0, 0.0, 1))
    return web, -k


def _too_close(picks: Sequence[_Pick], rules: ReliefRules) -> dict[_Pick, float]:
    """Reliefs with too little wood between them, and how much there is."""
    some = [p for p in picks if p.taken >= 0]
    shapes = [p.options[p.taken].shape for p in some]
    if len(shapes) < 2:
        return {}
    at = np.array([p.at for p in some])
    centres = np.array([s.centre for s in shapes]) + at
    radii = np.array([s.radius for s in shapes])
    (x, y), least = centres.T, radii[:, None] + radii + (rules.minimum_web - 1e-6)
    square = (x[:, None] - x) ** 2 + (y[:, None] - y) ** 2
    pairs = np.argwhere((least > 0) & (square < least**2))
    pairs = pairs[pairs[:, 0] < pairs[:, 1]]
    i, j = pairs.T
    web = np.sqrt(square[i, j]) - radii[i] - radii[j]
    # reliefs of one slot see each other across it or along its edge, and near ones may run together; the
    # slots of one panel are often alike, and are looked at once
    ways = np.concatenate([centres[pairs[:, k]] - at[pairs[:, 0]] for k in (0, 1)], axis=1)
    places = [some[i].needs.place for i in pairs[:, 0].tolist()]
    first, which = _alike(places, ways)
    walls = wood_between([places[k].wood for k in first], ways[first, :2], ways[first, 2:])
    out: dict[_Pick, float] = {}
    near = walls[which] > WALL
    for (a, b), w in zip(pairs[near].tolist(), web[near].tolist(), strict=True):
        if _back_to_back(some[a].needs.place, some[b].needs.place):
            continue
        for q in (some[a], some[b]):
            out[q] = min(out.get(q, math.inf), w)
    return out


def _back_to_back(a: Place, b: Place) -> bool:
    """Pockets in opposite faces: their floors lie between them."""
    return a.kind == b.kind == "pocket" and a.sides != b.sides


def _alike(places: Sequence[Place], ways: Floats) -> tuple[list[int], list[int]]:
    """The ways (n, 4) in places that differ from all before, and for each way which of these it equals."""
    known: dict[tuple[Place, bytes], int] = {}
    first: list[int] = []
    which: list[int] = []
    for k, (place, way) in enumerate(zip(places, np.round(ways, DIGITS) + 0.0, strict=True)):
        number = known.setdefault((place, way.tobytes()), len(first))
        if number == len(first):
            first.append(k)
        which.append(number)
    return first, which
