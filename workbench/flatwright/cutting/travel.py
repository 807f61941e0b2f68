# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Short travel: the order in which stops are visited."""

from __future__ import annotations

import math
from collections.abc import Sequence

from flatwright.geometry.arcs import Point

LAPS = 50  # rounds of exchanges at most
GAIN = 1e-3  # mm: a smaller gain is float noise


def short_tour(stops: Sequence[tuple[Point, Point]], start: Point) -> list[int]:
    """Order of the stops, each given by where it is entered and left: nearest neighbour, then 2-opt."""
    order = _nearest(stops, start)
    for _ in range(LAPS):
        if not _improve(order, stops, start):
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
