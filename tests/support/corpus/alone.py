# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What is to be left alone: pegs, pins, screws, cut-outs, boards that are near each other by chance."""

from __future__ import annotations

from flatwright.geometry.outline import Outline
from support.corpus.drawing import Drawing, Model
from support.corpus.joints import butt, through


def shelf_pins(t: float, c: float) -> Model:
    """Rows of holes for shelf pins; the shelf lies loose on them, 1.5 mm from each side."""
    d = Drawing(c)
    bottom = d.board("bottom", x=(t, 400 - t), y=(0, 240), z=(40, 40 + t))
    d.board("shelf", x=(t + 1.5, 400 - t - 1.5), y=(0, 238), z=(200, 200 + t))
    for name, x, inner in (("left", 0.0, "+n"), ("right", 400 - t, "-n")):
        side = d.board(name, x=(x, x + t), y=(0, 240), z=(0, 500))
        for k in range(6):
            for y in (37.0, 203.0):
                side.bore(2.5, t * 0.6, "+n" if inner == "+n" else "-n", y=y, z=150 + 32.0 * k)
        through(d, side, bottom, (80, 160))
    return d.done("shelf pins")


def screwed_crate(t: float, c: float) -> Model:
    """Butt joints with holes for screws through the sides."""
    d = Drawing(c)
    side = d.board("side", x=(0, t), y=(0, 200), z=(0, 300))
    shelf = d.board("shelf", x=(t, 350), y=(0, 200), z=(120, 120 + t))
    for y in (40.0, 100.0, 160.0):
        side.hole(3.5, y=y, z=120 + t / 2)
    butt(d, side, shelf)
    return d.done("screwed crate")


def pegged_boards(t: float, c: float) -> Model:
    """Peg holes of one size in two boards that face each other, 60 mm apart, held by a shelf."""
    d = Drawing(c)
    back = d.board("back", x=(0, t), y=(0, 300), z=(0, 300))
    front = d.board("front", x=(60 + t, 60 + 2 * t), y=(0, 300), z=(0, 300))
    for board in (back, front):
        for k in range(3):
            board.hole(6.0, y=60 + 90.0 * k, z=220.0)
    shelf = d.board("shelf", x=(t, 60 + t), y=(0, 300), z=(80, 80 + t))
    for board in (back, front):
        through(d, board, shelf, (110, 190))
    return d.done("pegged boards")


def round_handles(t: float, c: float) -> Model:
    """A toy box end with a handle, rounded corners and a heart of arcs beside its mortise."""
    d = Drawing(c)
    end = d.board("end", x=(0, t), y=(0, 300), z=(0, 260))
    floor = d.board("floor", x=(t, 300), y=(0, 300), z=(40, 40 + t))
    through(d, end, floor, (100, 200))
    for y in (0.0, 300.0):
        end.round_corner(30.0, y=y, z=260.0)
    # plane coordinates of a board across x: u is y, v is z
    handle = [(110, 190), (190, 190), (190, 220), (110, 220)]
    heart = [(220, 110), (240, 140), (220, 150), (200, 140)]
    end.circles.append(Outline(handle, [0, 1, 0, 1]).cw())
    end.circles.append(Outline(heart, [0, 0.8, 0.8, 0]).cw())
    return d.done("round handles")


def stadium_mortise(t: float, c: float) -> Model:
    """A mortise that ends in half rounds, as a bit as wide as the board leaves it: no sides to measure."""
    d = Drawing(c)
    side = d.board("side", x=(0, t), y=(0, 200), z=(0, 200))
    shelf = d.board("shelf", x=(t, 300), y=(0, 200), z=(90, 90 + t))
    through(d, side, shelf, (60, 140))
    side.wood = side.wood.envelope
    lo, hi = 90 - c / 2, 90 + t + c / 2
    side.circles.append(Outline([(60, lo), (140, lo), (140, hi), (60, hi)], [0, 1, 0, 1]).cw())
    return d.done("stadium mortise")


def wide_hole(t: float, c: float) -> Model:
    """A rail hangs loose in holes far wider than it: no joint; a shelf holds the ends together."""
    d = Drawing(c)
    ends = [d.board(f"end {k}", x=(x, x + t), y=(0, 200), z=(0, 300)) for k, x in ((0, 0.0), (1, 400.0))]
    d.board("rail", x=(-20, 440 + t), y=(80, 120), z=(200, 200 + t))
    shelf = d.board("shelf", x=(t, 400), y=(0, 200), z=(60, 60 + t))
    for end in ends:
        end.cut(y=(76, 124), z=(196, 204 + t))
        through(d, end, shelf, (50, 150))
    return d.done("wide hole")


def near_boards(t: float, c: float) -> Model:
    """Boards that run past each other 1.2 mm apart, and one that stands on another by a corner only."""
    d = Drawing(c)
    base = d.board("base", x=(0, 300), y=(0, 200), z=(0, t))
    wall = d.board("wall", x=(0, t), y=(0, 200), z=(t, 200))
    d.board("slider", x=(t + 1.2, 2 * t + 1.2), y=(0, 200), z=(t + 5, 180))
    d.board("corner", x=(300, 400), y=(0, 200), z=(t, 2 * t))
    butt(d, base, wall)
    return d.done("near boards")
