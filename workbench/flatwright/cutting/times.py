# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How long moves take, with the machine's accelerations.

Every move runs as a trapezium of speed. At a corner the machine keeps what fits the turn: all of the
speed straight on, none of it at a right angle or more. Speeds are then limited backwards and forwards so
that no change asks for more than the acceleration. Controls differ; this is an estimate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from flatwright.cutting.moves import Move

Way = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class _Leg:
    """A move's length (mm), speed (mm/s) and directions at its ends."""

    length: float
    speed: float
    start: Way
    end: Way


def seconds(moves: Sequence[Move], rapid: float, acceleration: float) -> float:
    """Time of the moves from the first position on, s; `rapid` mm/min, `acceleration` mm/s².

    >>> moves = [Move("rapid", 0, 0, 0), Move("line", 100, 0, 0, 3600)]
    >>> round(seconds(moves, 6000, 600), 4)  # 100 mm at 60 mm/s, and 0.1 s to start and stop
    1.7667
    """
    legs = [leg for a, b in zip(moves, moves[1:], strict=False) for leg in _legs(a, b, rapid)]
    if not legs:
        return 0.0
    limits = [0.0, *(_corner(a, b) for a, b in zip(legs, legs[1:], strict=False)), 0.0]
    for k in range(len(legs) - 1, -1, -1):
        limits[k] = min(limits[k], math.sqrt(limits[k + 1] ** 2 + 2.0 * acceleration * legs[k].length))
    total = 0.0
    for k, leg in enumerate(legs):
        limits[k + 1] = min(limits[k + 1], math.sqrt(limits[k] ** 2 + 2.0 * acceleration * leg.length))
        total += _time(leg, limits[k], limits[k + 1], acceleration)
    return total


def sweep(start: Sequence[float], move: Move) -> float:
    """How far an arc turns, radians in (0, 2π]; equal ends are a full circle, as in RS274/NGC."""
    cx, cy = start[0] + move.i, start[1] + move.j
    if math.dist(start[:2], (move.x, move.y)) < 1e-9:
        return math.tau
    a = math.atan2(start[1] - cy, start[0] - cx)
    b = math.atan2(move.y - cy, move.x - cx)
    return ((b - a) if move.kind == "ccw" else (a - b)) % math.tau


def _legs(a: Move, b: Move, rapid: float) -> list[_Leg]:
    here, goal = (a.x, a.y, a.z), (b.x, b.y, b.z)
    if here == goal:
        return []
    if b.kind == "rapid":  # rises before it travels and travels before it sinks
        middle = (a.x, a.y, b.z) if b.z >= a.z else (b.x, b.y, a.z)
        ways = [(p, q) for p, q in ((here, middle), (middle, goal)) if p != q]
        return [_Leg(math.dist(p, q), rapid / 60.0, _unit(p, q), _unit(p, q)) for p, q in ways]
    speed = (b.feed or rapid) / 60.0
    if b.kind == "line":
        return [_Leg(math.dist(here, goal), speed, _unit(here, goal), _unit(here, goal))]
    radius, rise = math.hypot(b.i, b.j), b.z - a.z
    flat = radius * sweep(here, b)
    length = math.hypot(flat, rise)
    turn = 1.0 if b.kind == "ccw" else -1.0
    cx, cy = a.x + b.i, a.y + b.j
    ends = [
        (-turn * (y - cy) / radius * flat / length, turn * (x - cx) / radius * flat / length, rise / length)
        for x, y in ((a.x, a.y), (b.x, b.y))
    ]
    return [_Leg(length, speed, ends[0], ends[1])]


def _unit(p: Way, q: Way) -> Way:
    d = math.dist(p, q)
    return ((q[0] - p[0]) / d, (q[1] - p[1]) / d, (q[2] - p[2]) / d)


def _corner(a: _Leg, b: _Leg) -> float:
    """Speed kept from one leg to the next: the slower one's, by the cosine of the turn."""
    cosine = sum(u * v for u, v in zip(a.end, b.start, strict=True))
    return min(a.speed, b.speed) * max(0.0, min(1.0, cosine))


def _time(leg: _Leg, v0: float, v1: float, acceleration: float) -> float:
    """A trapezium from v0 to v1 under the leg's speed; a triangle where it is too short to reach it."""
    top = min(leg.speed, math.sqrt(acceleration * leg.length + (v0 * v0 + v1 * v1) / 2.0))
    top = max(top, v0, v1)
    ramps = (2.0 * top * top - v0 * v0 - v1 * v1) / (2.0 * acceleration)
    return (2.0 * top - v0 - v1) / acceleration + max(0.0, leg.length - ramps) / top
