# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boxes: finger joints at the corners, rabbets, bottoms in grooves."""

from __future__ import annotations

from support.corpus.drawing import Board, Drawing, Model
from support.corpus.joints import butt, fingers, housed, rabbet, through


def _ring(d: Drawing, t: float, x: float, y: float, z: float) -> dict[str, Board]:
    """Four upright boards that share their corners."""
    return {
        "front": d.board("front", x=(0, x), y=(0, t), z=(0, z)),
        "back": d.board("back", x=(0, x), y=(y - t, y), z=(0, z)),
        "left": d.board("left", x=(0, t), y=(0, y), z=(0, z)),
        "right": d.board("right", x=(x - t, x), y=(0, y), z=(0, z)),
    }


def finger_corner(t: float, c: float) -> Model:
    """One corner with five fingers."""
    d = Drawing(c)
    a = d.board("front", x=(0, 200), y=(0, t), z=(0, 100))
    b = d.board("left", x=(0, t), y=(0, 150), z=(0, 100))
    fingers(d, a, b, 5)
    return d.done("finger corner")


def two_fingers(t: float, c: float) -> Model:
    """The fewest fingers there can be, one of each board, with boards of two thicknesses."""
    d = Drawing(c)
    a = d.board("front", x=(0, 200), y=(0, t), z=(0, 120))
    b = d.board("left", x=(0, t / 2), y=(0, 150), z=(0, 120))
    fingers(d, a, b, 2, a_first=False)
    return d.done("two fingers")


def book_box(t: float, c: float) -> Model:
    """A box with fingers at four corners, its bottom in grooves."""
    d = Drawing(c)
    ring = _ring(d, t, 360, 260, 140)
    for a in ("front", "back"):
        for b in ("left", "right"):
            fingers(d, ring[a], ring[b], 7)
    thin = max(3.0, t / 3)
    bottom = d.board("bottom", x=(t, 360 - t), y=(t, 260 - t), z=(14, 14 + thin))
    for k, at in (("front", 360), ("back", 360), ("left", 260), ("right", 260)):
        housed(d, ring[k], bottom, t / 3, stop="low high", at=(t + 8, at - t - 8))
    return d.done("book box")


def rabbet_corner(t: float, c: float) -> Model:
    """A front that sits in a step along the edge of a side."""
    d = Drawing(c)
    side = d.board("side", x=(0, t), y=(0, 200), z=(0, 150))
    front = d.board("front", x=(t, 250), y=(0, t), z=(0, 150))
    rabbet(d, side, front, t / 2)
    return d.done("rabbet corner")


def rabbet_tray(t: float, c: float) -> Model:
    """A tray: front and back sit in rabbets of the sides."""
    d = Drawing(c)
    for name, x in (("left", 0.0), ("right", 400 - t)):
        d.board(name, x=(x, x + t), y=(0, 300), z=(0, 80))
    for name, y in (("front", 0.0), ("back", 300 - t)):
        board = d.board(name, x=(t, 400 - t), y=(y, y + t), z=(0, 80))
        for side in ("left", "right"):
            rabbet(d, d.boards[side], board, t * 0.6)
    return d.done("rabbet tray")


def drawer(t: float, c: float) -> Model:
    """A drawer: the sides in rabbets of the front, the back on tenons, the bottom in grooves."""
    d = Drawing(c)
    front = d.board("front", x=(0, 400), y=(-t, 0), z=(0, 150))
    sides = [
        d.board("left", x=(0, t), y=(0, 350), z=(0, 150)),
        d.board("right", x=(400 - t, 400), y=(0, 350), z=(0, 150)),
    ]
    back = d.board("back", x=(t, 400 - t), y=(300, 300 + t), z=(40, 150))
    thin = max(3.0, t / 3)
    bottom = d.board("bottom", x=(t, 400 - t), y=(0, 350), z=(20, 20 + thin))
    for side in sides:
        rabbet(d, front, side, t / 2)
        through(d, side, back, (75, 115))
        housed(d, side, bottom, t / 3)
    housed(d, front, bottom, t / 3, stop="low high", at=(t + 8, 392 - t))
    return d.done("drawer")


def plain_crate(t: float, c: float) -> Model:
    """Nothing but butt joints: for glue and screws."""
    d = Drawing(c)
    base = d.board("base", x=(0, 300), y=(0, 200), z=(0, t))
    left = d.board("left", x=(0, t), y=(0, 200), z=(t, 120))
    right = d.board("right", x=(300 - t, 300), y=(0, 200), z=(t, 120))
    front = d.board("front", x=(t, 300 - t), y=(0, t), z=(t, 120))
    butt(d, base, left)
    butt(d, base, right)
    butt(d, base, front)
    butt(d, left, front)
    butt(d, right, front)
    return d.done("plain crate")
