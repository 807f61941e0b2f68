# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Short travel: the order in which stops are visited."""

from __future__ import annotations

import math
from collections.abc import Sequence

from flatwright.geometry.arcs import Point

LAPS = 50  # rounds of exchanges at most
LONGEST = 3  # stops that are moved together
GAIN = 1e-3  # mm: a smaller gain is float noise


def short_tour(stops: Sequence[tuple[Point, Point]], start: Point) -> list[int]:
    """Order of the stops, each given by where it is entered and left: nearest neighbour, then stretches
    turned round (2-opt) and short ones moved elsewhere (Or-opt) while that shortens the way."""
    order = _nearest(stops, start)
    for _ in range(LAPS):
        turned = _improve(order, stops, start)
        if not _moved(order, stops, start) and not turned:
            break
    return order


def tour_length(order: Sequence[int], stops: Sequence[tuple[Point, Point]], start: Point) -> float:
    """Length of the way from `start` through the stops, mm."""
    total, at = 0.0, start
    for k in order:
        total += math.dist(at, stops[k][0])
        at = stops[k][1]
    return total


def _nearest(stops: Sequence[tuple[Point, Point]], start: Point) -> list[int]:
    left = list(range(len(stops)))
    order: list[int] = []
    at = start
    while left:
        k = min(left, key=lambda i: (round(math.dist(at, stops[i][0]), 3), i))
        left.remove(k)
        order.append(k)
        at = stops[k][1]
    return order


def _improve(order: list[int], stops: Sequence[tuple[Point, Point]], start: Point) -> bool:
    """Turn round every stretch whose turning shortens the way; a stop itself is never run backwards."""
    improved = False
    for i in range(len(order) - 1):
        for j in range(i + 1, len(order)):
            before = start if i == 0 else stops[order[i - 1]][1]
            old, new = order[i : j + 1], order[i : j + 1][::-1]
            if j + 1 < len(order):
                after = stops[order[j + 1]][0]
                tails = (math.dist(stops[old[-1]][1], after), math.dist(stops[new[-1]][1], after))
            else:
                tails = (0.0, 0.0)
            gain = tour_length(old, stops, before) + tails[0] - tour_length(new, stops, before) - tails[1]
            if gain > GAIN:
                order[i : j + 1] = new
                improved = True
    return improved


def _moved(order: list[int], stops: Sequence[tuple[Point, Point]], start: Point) -> bool:
    """Put every stretch of up to LONGEST stops where it costs least, if that shortens the way."""
    improved = False
    for length in range(1, LONGEST + 1):
        for i in range(len(order) - length + 1):
            stretch, rest = order[i : i + length], order[:i] + order[i + length :]
            costs = [_detour(stretch, rest, k, stops, start) for k in range(len(rest) + 1)]
            best = min(range(len(costs)), key=lambda k: (round(costs[k], 3), k))
            if costs[best] < costs[i] - GAIN:
                order[:] = rest[:best] + stretch + rest[best:]
                improved = True
    return improved


def _detour(
    stretch: Sequence[int], rest: Sequence[int], k: int, stops: Sequence[tuple[Point, Point]], start: Point
) -> float:
    """How much longer the way becomes when the stretch is put before stop k of the rest, mm."""
    before = stops[rest[k - 1]][1] if k else start
    way = math.dist(before, stops[stretch[0]][0])
    if k == len(rest):
        return way
    after = stops[rest[k]][0]
    return way + math.dist(stops[stretch[-1]][1], after) - math.dist(before, after)
