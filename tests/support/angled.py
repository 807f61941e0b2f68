# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Pieces whose boards lean, lap, lie on each other or are held by keys."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from flatwright.geometry.outline import rectangle
from flatwright.plan import Panel
from support.pieces import board, slot


def leaning_through(a: float, clear: float = 0.0, t: float = 18.0, *, shoulders: bool = False) -> list[Panel]:
    """A board that leans by a (radians) from upright and passes through a flat one, upright walls drawn."""
    c = clear / 2 / math.cos(a)
    w = t / math.cos(a) + t * math.tan(a)
    base = board(
        "base", rectangle(0, 0, 400, 300), t=t, holes=[slot(200 - w / 2 - c, 100, 200 + w / 2 + c, 200)]
    )
    n = np.array([math.cos(a), 0.0, -math.sin(a)])
    origin = np.array([200.0, 0.0, t / 2]) - n * t / 2
    shape = [(100, -60), (200, -60), (200, 220), (100, 220)]
    if shoulders:  # the lower rim of a square shoulder lies on the base
        v = (t - (origin + t * n)[2]) / math.cos(a)
        shape = [(0, v), (100, v), (100, -60), (200, -60), (200, v), (300, v), (300, 220), (0, 220)]
    return [base, board("mate", shape, origin=origin, u=(0, 1, 0), n=n, t=t)]


def leaning_pocket(a: float, clear: float = 0.0, t: float = 18.0, depth: float = 6.0) -> list[Panel]:
    """A square-ended board that leans by a in a pocket, its lower corner on the floor."""
    c = clear / 2 / math.cos(a)
    n = np.array([math.cos(a), 0.0, -math.sin(a)])
    walls = rectangle(200 - t * math.cos(a) - c, 50 - c, 200 + depth * math.tan(a) + c, 250 + c)
    base = board("base", rectangle(0, 0, 400, 300), t=t, pockets=[(walls, depth, "+n")])
    origin = np.array([200.0, 0.0, t - depth]) - t * n
    return [base, board("mate", rectangle(50, 0, 250, 200), origin=origin, u=(0, 1, 0), n=n, t=t)]


def crossing(a: float, clear: float = 0.0, t: float = 18.0) -> list[Panel]:
    """Two upright boards that cross at 90° − a, each slotted to half its height."""
    w = (t + clear) / math.cos(a) + t * math.tan(a)
    left, right, c = 150 - w / 2, 150 + w / 2, clear / 2
    long = [
        (0, 0),
        (300, 0),
        (300, 100),
        (right, 100),
        (right, 50 - c),
        (left, 50 - c),
        (left, 100),
        (0, 100),
    ]
    short = [(0, 0), (left, 0), (left, 50 + c), (right, 50 + c), (right, 0), (300, 0), (300, 100), (0, 100)]
    way = np.array([math.sin(a), math.cos(a), 0.0])
    n = np.cross(way, [0.0, 0.0, 1.0])
    origin = np.array([150.0, 0.0, 0.0]) - 150 * way - n * t / 2
    return [
        board("long", long, origin=(0, t / 2, 0), u=(1, 0, 0), n=(0, -1, 0), t=t),
        board("short", short, origin=origin, u=way, n=n, t=t),
    ]


def half_lap(clear: float = 0.0, t: float = 18.0) -> list[Panel]:
    """Two rails that cross in one plane, each cut away by half."""
    c = clear / 2
    a = board("lower", rectangle(0, 100, 300, 150), t=t,
              pockets=[(rectangle(120 - c, 100, 180 + c, 150), t / 2, "+n")])  # fmt: skip
    b = board("upper", rectangle(120, 0, 180, 300), t=t,
              pockets=[(rectangle(120, 100 - c, 180, 150 + c), t / 2, "-n")])  # fmt: skip
    return [a, b]


def t_halving(clear: float = 0.0, t: float = 18.0) -> list[Panel]:
    """The end of one rail let into the middle of another, half from each."""
    c = clear / 2
    a = board("rail", rectangle(0, 100, 300, 150), t=t,
              pockets=[(rectangle(120 - c, 100, 180 + c, 150), t / 2, "+n")])  # fmt: skip
    b = board("post", rectangle(120, 100, 180, 300), t=t,
              pockets=[(rectangle(120, 100, 180, 150 + clear), t / 2, "-n")])  # fmt: skip
    return [a, b]


def stack_in_slot(clear: float = 0.0, t: float = 18.0) -> list[Panel]:
    """Two boards glued face to face stand together in one mortise of a base, shoulders on it."""
    c = clear / 2
    base = board(
        "base", rectangle(0, 0, 400, 300), t=t, holes=[slot(200 - t - c, 100 - c, 200 + t + c, 200 + c)]
    )
    cheek = [(0, t), (100, t), (100, 0), (200, 0), (200, t), (300, t), (300, 220), (0, 220)]
    return [
        base,
        board("left", cheek, origin=(200 - t, 0, 0), u=(0, 1, 0), n=(1, 0, 0), t=t),
        board("right", cheek, origin=(200, 0, 0), u=(0, 1, 0), n=(1, 0, 0), t=t),
    ]


def keyed_tenon(clear: float = 0.0, t: float = 18.0, key: float = 9.0, slant: float = 0.0) -> list[Panel]:
    """A rail's tenon comes out of a side and is held by a key through its end; `slant` makes a wedge."""
    c = clear / 2
    side = board(
        "side", rectangle(0, 0, 200, 300), u=(0, 1, 0), n=(1, 0, 0), t=t,
        holes=[slot(60 - c, 100 - c, 140 + c, 100 + t + c)],
    )  # fmt: skip
    # the tenon stands 50 mm out of the far face (x = 0); the key's mortise begins inside the side and ends
    # where the key's edge leaves it at the top
    end = -25 + slant - 1.5 * slant * (50 + t) / 120
    rail = board(
        "rail",
        [(-50, 60), (t, 60), (t, 0), (400, 0), (400, 200), (t, 200), (t, 140), (-50, 140)],
        origin=(0, 0, 100), t=t, holes=[slot(end - c, 100 - key / 2 - c, 4, 100 + key / 2 + c)],
    )  # fmt: skip
    low = -25 + slant
    peg = board(
        "key", [(0, 50), (low, 50), (-25 - slant * 0.5, 170), (0, 170)],
        origin=(0, 100 + key / 2, 0), u=(1, 0, 0), n=(0, -1, 0), t=key,
    )  # fmt: skip
    return [side, rail, peg]


def flat_key(clear: float = 0.0, t: float = 18.0, key: float = 9.0) -> list[Panel]:
    """The same with a key that lies flat on the side, its broad face against it."""
    side, rail, _ = keyed_tenon(clear, t, key)
    c = clear / 2
    rail = replace(rail, holes=(slot(-key - c, 88 - c, 0 + c, 112 + c),))
    peg = board("key", rectangle(88, 40, 112, 180), origin=(-key, 0, 0), u=(0, 1, 0), n=(1, 0, 0), t=key)
    return [side, rail, peg]
