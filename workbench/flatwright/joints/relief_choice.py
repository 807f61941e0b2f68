# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a user decided about single corners: no relief there, or one of a certain kind."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from flatwright.geometry.arcs import Point
from flatwright.geometry.corners import concave_corners
from flatwright.geometry.drawn_reliefs import drawn_reliefs, without
from flatwright.geometry.outline import Outline

CornerKind = Literal["off", "least visible", "dog-bone", "T-bone in", "T-bone out"]

SAME = 1e-3  # mm
WITHIN = 3.0  # mm: a choice belongs to the nearest inside corner that is no farther away


@dataclass(frozen=True, slots=True)
class CornerChoice:
    """A choice for the inside corner of a panel nearest to `at` (u, v in panel coordinates).

    "off" leaves the bit's fillet there even if a mate meets it; "least visible" chooses by looks where the
    preset forces a kind; the others are put there even if no mate meets the fillet. A "T-bone in" lies
    along the edge that leads into the corner, with the wood on the left, a "T-bone out" along the one
    that leads out of it.
    """

    at: Point
    kind: CornerKind


@dataclass(frozen=True, slots=True)
class Matched:
    """`by_loop` has for each loop the corners that were chosen for; `unused` are the choices that no corner
    is near enough to."""

    by_loop: tuple[tuple[CornerChoice, ...], ...]
    unused: tuple[CornerChoice, ...] = ()


def match_choices(loops: Sequence[Outline], choices: Sequence[CornerChoice]) -> Matched:
    """Each choice to its corner, drawn reliefs taken back; of two choices for one corner the later counts."""
    if not choices:
        return Matched(((),) * len(loops))
    corners = [
        (k, c.index, c.at)
        for k, loop in enumerate(loops)
        for c in concave_corners(without(loop, drawn_reliefs(loop)))
    ]
    kinds: dict[tuple[int, int], CornerChoice] = {}
    unused = []
    for choice in choices:
        near = [(round(math.dist(at, choice.at), 6), k, i, at) for k, i, at in corners]
        distance, k, i, at = min(near, default=(math.inf, 0, 0, choice.at))
        if distance > WITHIN:
            unused.append(choice)
        else:
            kinds[k, i] = CornerChoice(at, choice.kind)
    by_loop = [tuple(c for (of, _), c in kinds.items() if of == k) for k in range(len(loops))]
    return Matched(tuple(by_loop), tuple(unused))


def chosen_at(choices: Sequence[CornerChoice], at: Point) -> CornerKind | None:
    """What was chosen for the corner at that very point."""
    return next((c.kind for c in choices if math.dist(c.at, at) < SAME), None)
