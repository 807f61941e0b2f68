# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Choosing n of m places: rules broken as little as possible, then spread as far apart as possible."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from flatwright.geometry.outline import Floats

Indices = NDArray[np.int64]
EXHAUSTIVE = 40_000  # sets up to which every one is looked at
PER_COST = 1e5  # mm of spread that a unit of cost outweighs: more than any sheet is long
FORBIDDEN = 1e12


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """`points` (m, 2) mm and `costs` (m,) of the rules that each breaks; two chosen ones keep `apart` mm."""

    points: Floats
    costs: Floats
    apart: float


def spread_cheaply(places: Places, n: int, around: tuple[float, float] | None = None) -> list[int] | None:
    """The same as `spread`, looking at dear places only where cheaper ones are not enough.

    Costs must grow so fast that n places of one cost are cheaper than one of the next.
    """
    for limit in sorted(set(places.costs.tolist())):
        cheap = np.flatnonzero(places.costs <= limit)
        picked = spread(Places(places.points[cheap], places.costs[cheap], places.apart), n, around)
        if picked is not None:
            return [int(cheap[i]) for i in picked]
    return None


def spread(places: Places, n: int, around: tuple[float, float] | None = None) -> list[int] | None:
    """Indices of the best n places, or None when no set qualifies.

    With `around`, that point must lie inside the places' hull. Exhaustive while there are at most
    EXHAUSTIVE sets, else farthest points first, improved by exchanges from every start.
    """
    m = len(places.points)
    if m < n:
        return None
    gaps = np.round(np.linalg.norm(places.points[:, None] - places.points[None], axis=2), 3)
    if math.comb(m, n) <= EXHAUSTIVE:
        sets = _sets(m, n)
    else:
        sets = np.array([_improved(start, places, gaps, n, around) for start in range(m)], dtype=np.int64)
    scores = _scores(sets, places, gaps, around)
    best = float(scores.max())
    if best < -FORBIDDEN / 2:
        return None
    # the first of those that are equal within float noise
    first = int(np.flatnonzero(scores >= best - 0.005)[0])
    return sorted(int(i) for i in sets[first])


@lru_cache(maxsize=16)
def _sets(m: int, n: int) -> Indices:
    """All (k, n) sets of n of m indices."""
    flat = itertools.chain.from_iterable(itertools.combinations(range(m), n))
    return np.fromiter(flat, dtype=np.int64).reshape(-1, n)


def least_distance(points: Floats) -> float:
    """The least distance between any two of (n, 2) points; infinite for one."""
    gaps = np.linalg.norm(points[:, None] - points[None], axis=2)
    gaps[np.diag_indices(len(points))] = np.inf
    return float(gaps.min())


def _scores(sets: Indices, places: Places, gaps: Floats, around: tuple[float, float] | None) -> Floats:
    """(k,) for (k, n) sets: the least gap, less the cost of broken rules."""
    least = np.full(len(sets), 0.0)
    n = sets.shape[1]
    if n > 1:
        pairs = [gaps[sets[:, i], sets[:, j]] for i, j in itertools.combinations(range(n), 2)]
        least = np.min(pairs, axis=0)
    score = np.where((n > 1) & (least < places.apart), least - FORBIDDEN, least)
    score = score - PER_COST * places.costs[sets].sum(axis=1)
    if around is not None and n > 2:
        score = np.where(_surrounds(sets, places.points, around), score, score - FORBIDDEN)
    return np.asarray(score, dtype=np.float64)


def _surrounds(sets: Indices, points: Floats, around: tuple[float, float]) -> NDArray[np.bool_]:
    """Whether the point lies inside each set's hull: no half plane through it is free of places."""
    rel = points - np.asarray(around)
    angles = np.sort(np.arctan2(rel[:, 1], rel[:, 0])[sets], axis=1)
    steps = np.diff(angles, axis=1, append=angles[:, :1] + math.tau)
    return np.asarray(steps.max(axis=1) <= math.pi - 0.01)


def surrounds(points: Floats, around: tuple[float, float]) -> bool:
    """Whether a point lies inside the hull of (n, 2) points."""
    return bool(_surrounds(np.arange(len(points))[None], points, around)[0])


def _improved(
    start: int, places: Places, gaps: Floats, n: int, around: tuple[float, float] | None
) -> list[int]:
    chosen = [start]
    while len(chosen) < n:
        value = gaps[chosen].min(axis=0) - PER_COST * places.costs
        value[chosen] = -np.inf
        chosen.append(int(np.argmax(np.round(value, 2))))
    everything = np.arange(len(places.points))
    improved = True
    while improved:
        improved = False
        for i in range(n):
            current = float(_scores(np.array([chosen]), places, gaps, around)[0])
            trial = np.tile(np.array(chosen), (len(everything), 1))
            trial[:, i] = everything
            scores = _scores(trial, places, gaps, around)
            scores[np.array([k in chosen for k in everything])] = -np.inf
            best = int(np.argmax(np.round(scores, 2)))
            if scores[best] > current + 0.01:
                chosen[i] = best
                improved = True
    return sorted(chosen)
