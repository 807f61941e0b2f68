# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boards that cross at other angles than a right one: torsion boxes, easels, tilted shelves.

A router cuts upright walls: a slot for a mate of thickness t that leans by a, through a board of
thickness d, is (t + c) / cos a + d · tan a wide; one for a square end in a pocket of depth d is
t · cos a + c / cos a + d · tan a (elementary).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from flatwright.geometry.frame import Frame
from support.corpus.drawing import Board, Drawing, Model, Probe
from support.corpus.joints import along, blind, through


def _width(t: float, d: float, a: float, c: float) -> float:
    """Of a slot that lets a leaning board right through."""
    return (t + c) / math.cos(a) + d * math.tan(a)


def _upright(
    d: Drawing,
    name: str,
    degrees: float,
    t: float,
    length: float,
    height: float,
    at: Sequence[float] = (0, 0),
) -> Board:
    """A board that stands on the ground, its middle over a place, turned about z."""
    w = math.radians(degrees)
    u, n = np.array([math.cos(w), math.sin(w), 0]), np.array([math.sin(w), -math.cos(w), 0])
    frame = Frame.of(np.array([*at, 0]) - u * length / 2 - n * t / 2, u, n)
    return d.at_angle(name, frame, t, [(0, 0), (length, 0), (length, height), (0, height)])


def _cross(d: Drawing, a: Board, b: Board, height: float) -> None:
    """Upright boards through each other; a's slot opens upwards."""
    fa, fb, c = a.frame, b.frame, d.c / 2
    lean = math.acos(abs(float(fa.u @ fb.n)))
    middles = [x.frame.origin + x.frame.n * x.t / 2 for x in (a, b)]
    place = middles[0] + fa.u * float((middles[1] - middles[0]) @ fb.n) / float(fa.u @ fb.n)
    for own, other, low, high in ((a, b, height / 2 - c, 1e4), (b, a, -1e4, height / 2 + c)):
        w = _width(other.t, own.t, lean, d.c) / 2
        mid = float((place - own.frame.origin) @ own.frame.u)
        own.shave([(mid - w, low), (mid + w, low), (mid + w, high), (mid - w, high)])
    probes = []
    for own, other, z in ((a, b, 0.75 * height), (b, a, 0.25 * height)):
        start = place + np.array([0, 0, z])
        probes += [
            Probe("cheek", other.name, own.name, start, s * own.frame.u, math.cos(lean)) for s in (1.0, -1.0)
        ]
    probes.append(Probe("floor", a.name, b.name, place + np.array([0, 0, height / 2 - 3]), along("z")))
    d.joint("cross-lap", a, b, probes, along("z", -1.0))


def torsion_box(t: float, c: float) -> Model:
    """Ribs that cross at 60° between two skins, two by three."""
    d = Drawing(c)
    along_x = [_upright(d, f"long {k}", 0, t, 520, 60, (0, 130 * k)) for k in range(2)]
    for k in range(3):
        rib = _upright(d, f"short {k}", 60, t, 300, 60, (150 * k - 150, 65))
        for one in along_x:
            _cross(d, one, rib, 60)
    return d.done("torsion box")


def crossing(name: str, t: float, c: float, degrees: float, t2: float = 0.0) -> Model:
    d = Drawing(c)
    a = _upright(d, "a", 20, t, 300, 90)
    b = _upright(d, "b", 20 + degrees, t2 or t, 300, 90)
    _cross(d, a, b, 90)
    return d.done(name)


def cross_45(t: float, c: float) -> Model:
    """The steepest crossing that is fitted."""
    return crossing("cross at 45", t, c, 45)


def cross_60(t: float, c: float) -> Model:
    """Two ribs of a torsion box."""
    return crossing("cross at 60", t, c, 60, t / 2)


def cross_80(t: float, c: float) -> Model:
    """Nearly square."""
    return crossing("cross at 80", t, c, 80)


def cross_120(t: float, c: float) -> Model:
    """Beyond a right angle."""
    return crossing("cross at 120", t, c, 120)


def cross_135(t: float, c: float) -> Model:
    """The other end of the range."""
    return crossing("cross at 135", t, c, 135)


def _leaning(
    d: Drawing, name: str, degrees: float, t: float, spans: tuple[float, float], width: float
) -> Board:
    """A board that runs along y and leans: its u rises by `degrees` from x. u spans are given."""
    w = math.radians(degrees)
    u, n = np.array([math.cos(w), 0, math.sin(w)]), np.array([-math.sin(w), 0, math.cos(w)])
    frame = Frame.of(-n * t / 2, u, n)
    lo, hi = spans
    return d.at_angle(name, frame, t, [(lo, 0), (hi, 0), (hi, width), (lo, width)])


def _passes(d: Drawing, side: Board, board: Board, x: float, degrees: float, at: tuple[float, float]) -> None:
    """A mortise in an upright side at x (its middle) for a board that leans and passes right through."""
    lean = math.radians(degrees)
    z = x * math.tan(lean)
    w = _width(board.t, side.t, abs(lean), d.c) / 2
    c = d.c / 2
    side.cut(y=(at[0] - c, at[1] + c), z=(z - w, z + w))
    start = np.array([x, sum(at) / 2, z])
    cos = math.cos(lean)
    probes = [Probe("cheek", board.name, side.name, start, along("z", s), cos) for s in (1.0, -1.0)]
    probes += [Probe("side", board.name, side.name, start, along("y", s)) for s in (1.0, -1.0)]
    d.joint("mortise and tenon", side, board, probes)


def tilted_shelf(name: str, t: float, c: float, degrees: float, t2: float = 0.0) -> Model:
    """A leaning shelf that passes through two upright sides, held apart by a rail."""
    d = Drawing(c)
    shelf = _leaning(d, "shelf", degrees, t2 or t, (-220, 220), 120)
    sides = [
        d.board(f"side {k}", x=(x - t / 2, x + t / 2), y=(-40, 160), z=(-200, 200))
        for k, x in ((0, -150), (1, 150))
    ]
    for side in sides:
        _passes(d, side, shelf, side.middle("x"), degrees, (0, 120))
    rail = d.board("rail", x=(-150 + t / 2, 150 - t / 2), y=(-30, 150), z=(-180, -180 + t))
    for side in sides:
        through(d, side, rail, (30, 90))
    return d.done(name)


def tilted_10(t: float, c: float) -> Model:
    """A picture-book shelf that leans a little."""
    return tilted_shelf("shelf at 10", t, c, 10)


def tilted_20(t: float, c: float) -> Model:
    """A display shelf."""
    return tilted_shelf("shelf at 20", t, c, 20)


def tilted_30(t: float, c: float) -> Model:
    """An easel's ledge, leaning the other way."""
    return tilted_shelf("shelf at 30", t, c, -30)


def tilted_pocket(t: float, c: float) -> Model:
    """An easel: a leaning board stands with its square end in a pocket of the base, which stands on legs."""
    d = Drawing(c)
    depth, a = t / 2, math.radians(15)
    base = d.board("base", x=(-150, 150), y=(-20, 220), z=(-depth, t - depth))
    # the board's u goes up, leaning towards +x; its lower end stands on the pocket's floor at one corner
    u, n = np.array([math.sin(a), 0, math.cos(a)]), np.array([math.cos(a), 0, -math.sin(a)])
    low = -t / 2 * n
    lowest = low[2] + t * n[2]
    frame = Frame.of(low + np.array([0, 0, t - depth - depth - lowest]), u, n)
    board = d.at_angle("board", frame, t, [(0, 0), (300, 0), (300, -200), (0, -200)])
    floor = t - 2 * depth - d.c / 2
    corners = frame.to_space(np.array([[0, 0], [0, 0]], float), np.array([0, t]))
    top = t - depth
    # between the lower corner of the end and the face that leans over the rim
    over = corners[0, 0] + (top - corners[0, 2]) * math.tan(a)
    rim = corners[1, 0] + (top - corners[1, 2]) * math.tan(a)
    x0 = min(corners[0, 0], over) - c / 2 / math.cos(a)
    x1 = max(corners[1, 0], rim) + c / 2 / math.cos(a)
    v = frame.v[1]
    y = (0.0, 200.0) if v < 0 else (-200.0, 0.0)
    base.pocket(z=(floor, top), x=(x0, x1), y=(y[0] - c / 2, y[1] + c / 2))
    d.joint("stopped housing", base, board)
    for k, x in enumerate((-120.0, 120.0 - t)):
        leg = d.board(f"leg {k}", x=(x, x + t), y=(-10, 210), z=(-150, -depth))
        blind(d, base, leg, (60, 120), t * 0.4)
    return d.done("tilted pocket")
