# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Whole pieces of the toy library, several kinds of joint in each."""

from __future__ import annotations

from support.corpus.drawing import Drawing, Model
from support.corpus.joints import blind, butt, cross_lap, fingers, housed, rabbet, slot, through
from support.corpus.parallel import glued, halving


def drawer_unit(t: float, c: float) -> Model:
    """A case with a divider in housings, a plinth slotted under it, and two drawers that slide in it."""
    d = Drawing(c)
    left = d.board("left", x=(0, t), y=(0, 350), z=(0, 420))
    right = d.board("right", x=(500 - t, 500), y=(0, 350), z=(0, 420))
    top = d.board("top", x=(t, 500 - t), y=(0, 350), z=(420 - t, 420))
    middle = d.board("middle", x=(t, 500 - t), y=(0, 350), z=(210, 210 + t))
    rabbet(d, left, top, t / 2)
    rabbet(d, right, top, t / 2)
    housed(d, left, middle, t / 3)
    housed(d, right, middle, t / 3)
    plinth = d.board("plinth", x=(t, 500 - t), y=(40, 40 + t), z=(0, 70))
    for side in (left, right):
        through(d, side, plinth, (15, 55))
    for k, z in enumerate((80.0, 215 + t)):
        # 3 mm of play on each side
        low, wide = z, (t + 3, 500 - t - 3)
        front = d.board(f"front {k}", x=wide, y=(0, t), z=(low, low + 120))
        back = d.board(f"back {k}", x=wide, y=(320 - t, 320), z=(low, low + 120))
        walls = [
            d.board(f"wall {k}{n}", x=x, y=(0, 320), z=(low, low + 120))
            for n, x in (("l", (wide[0], wide[0] + t)), ("r", (wide[1] - t, wide[1])))
        ]
        for wall in walls:
            fingers(d, front, wall, 5)
            fingers(d, back, wall, 5)
    return d.done("drawer unit")


def puppet_theatre(t: float, c: float) -> Model:
    """A front with an opening, wings slotted onto feet, a playing shelf on blind tenons, a valance rail."""
    d = Drawing(c)
    front = d.board("front", x=(0, 900), y=(0, t), z=(0, 1200))
    front.cut(x=(150, 750), z=(700, 1080))
    for name, x in (("left wing", 60.0), ("right wing", 840 - t)):
        wing = d.board(name, x=(x, x + t), y=(t, 400), z=(0, 1100))
        for at in ((80, 160), (480, 560), (900, 980)):
            through(d, front, wing, at)
        foot = d.board(f"{name} foot", x=(x - 60, x + t + 60), y=(330, 330 + t), z=(0, 80))
        cross_lap(d, foot, wing, at=40)
    shelf = d.board("shelf", x=(60 + t, 840 - t), y=(t, 160), z=(640, 640 + t))
    for wing in ("left wing", "right wing"):
        blind(d, d.boards[wing], shelf, (60, 120), t / 2)
    butt(d, front, shelf)
    return d.done("puppet theatre")


def shoe_rack(t: float, c: float) -> Model:
    """Sides of a thick board, shelves of a thinner one in housings, a back of a thin one in rabbets."""
    d = Drawing(c)
    t2, t3 = t * 2 / 3, t / 3
    left = d.board("left", x=(0, t), y=(0, 300), z=(0, 520))
    right = d.board("right", x=(640 - t, 640), y=(0, 300), z=(0, 520))
    for k, z in enumerate((60.0, 230.0, 400.0)):
        shelf = d.board(f"shelf {k}", x=(t, 640 - t), y=(0, 300 - t3), z=(z, z + t2))
        housed(d, left, shelf, t / 3)
        housed(d, right, shelf, t / 3)
    return d.done("shoe rack")


def costume_box(t: float, c: float) -> Model:
    """Fingers at the corners, a bottom in grooves, two battens under it in the ends' housings."""
    d = Drawing(c)
    ring = {
        "front": d.board("front", x=(0, 420), y=(0, t), z=(0, 210)),
        "back": d.board("back", x=(0, 420), y=(300 - t, 300), z=(0, 210)),
        "left": d.board("left", x=(0, t), y=(0, 300), z=(0, 210)),
        "right": d.board("right", x=(420 - t, 420), y=(0, 300), z=(0, 210)),
    }
    for a in ("front", "back"):
        for b in ("left", "right"):
            fingers(d, ring[a], ring[b], 7, a_first=False)
    bottom = d.board("bottom", x=(t, 420 - t), y=(t, 300 - t), z=(45, 45 + t / 2))
    for k, at in (("front", 420), ("back", 420), ("left", 300), ("right", 300)):
        housed(d, ring[k], bottom, t / 3, stop="low high", at=(t + 10, at - t - 10))
    return d.done("costume box")


def reading_bench(t: float, c: float) -> Model:
    """A seat glued of two boards, legs with blind tenons in it, a stretcher in slots of the legs."""
    d = Drawing(c)
    seat = d.board("seat", x=(0, 800), y=(0, 320), z=(400, 400 + t))
    pad = d.board("pad", x=(0, 800), y=(0, 320), z=(400 + t, 400 + 2 * t))
    rail = d.board("rail", x=(40, 760), y=(160 - t / 2, 160 + t / 2), z=(0, 120))
    for k, x in enumerate((100.0, 700 - t)):
        leg = d.board(f"leg {k}", x=(x, x + t), y=(20, 300), z=(0, 400))
        for at in ((50, 110), (210, 270)):
            blind(d, seat, leg, at, t / 2)
        cross_lap(d, rail, leg, at=60)
    glued(d, seat, pad)
    return d.done("reading bench")


def room_screen(t: float, c: float) -> Model:
    """A frame of laths, half-lapped at the corners, a middle post let in."""
    d = Drawing(c)
    laths = {
        "bottom": ((0, 600), (0, 60)),
        "top": ((0, 600), (1140, 1200)),
        "left": ((0, 60), (0, 1200)),
        "right": ((540, 600), (0, 1200)),
        "middle": ((270, 330), (0, 1200)),
    }
    boards = {n: d.board(n, x=x, z=z, y=(0, t)) for n, (x, z) in laths.items()}
    for rail in ("bottom", "top"):
        for stile in ("left", "right"):
            halving(d, boards[rail], boards[stile], "half-lap")
        halving(d, boards[rail], boards["middle"], "T-halving")
    return d.done("room screen")


def toy_trolley(t: float, c: float) -> Model:
    """Ends with handles, a floor on tenons, a shelf in stopped housings, a rail in slots, a divider."""
    d = Drawing(c)
    ends = [d.board(f"end {k}", x=(x, x + t), y=(0, 360), z=(0, 520)) for k, x in ((0, 0.0), (1, 600 - t))]
    floor = d.board("floor", x=(t, 600 - t), y=(0, 360), z=(70, 70 + t))
    shelf = d.board("shelf", x=(t, 600 - t), y=(0, 360), z=(280, 280 + t))
    for end in ends:
        through(d, end, floor, (40, 120))
        through(d, end, floor, (240, 320))
        housed(d, end, shelf, t / 3, stop="low", at=(25, 360))
        for y in (0.0, 360.0):
            end.round_corner(40.0, y=y, z=520.0)
    divider = d.board("divider", x=(300, 300 + t / 2), y=(0, 360), z=(70 + t, 280))
    housed(d, floor, divider, t / 3)
    housed(d, shelf, divider, t / 3)
    rail = d.board("rail", x=(-30, 630), y=(180 - t / 2, 180 + t / 2), z=(430, 490))
    for end in ends:
        slot(d, end, rail, 430, 1.0)
    return d.done("toy trolley")
