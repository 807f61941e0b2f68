# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Shelves of the toy library: through and blind tenons, housings, a panel in grooves on four sides."""

from __future__ import annotations

from support.corpus.drawing import Board, Drawing, Model
from support.corpus.joints import blind, butt, housed, through


def _sides(d: Drawing, t: float, width: float, depth: float, height: float) -> tuple[Board, Board]:
    left = d.board("left", x=(0, t), y=(0, depth), z=(0, height))
    right = d.board("right", x=(width - t, width), y=(0, depth), z=(0, height))
    return left, right


def _shelf(d: Drawing, name: str, t: float, width: float, depth: float, z: float, t2: float = 0) -> Board:
    """Between two sides; its tenons are drawn by the joints."""
    return d.board(name, x=(t, width - t), y=(0, depth), z=(z, z + (t2 or t)))


def toy_shelf(t: float, c: float) -> Model:
    """A shelf with one tenon at each end."""
    d = Drawing(c)
    left, right = _sides(d, t, 400, 200, 300)
    shelf = _shelf(d, "shelf", t, 400, 200, 140)
    for side in (left, right):
        through(d, side, shelf, (60, 140))
    return d.done("toy shelf")


def bookcase(t: float, c: float) -> Model:
    """Three shelves, two tenons at each end, the tips flush with the sides."""
    d = Drawing(c)
    left, right = _sides(d, t, 700, 260, 900)
    for k in range(3):
        shelf = _shelf(d, f"shelf {k}", t, 700, 260, 40 + 380 * k)
        for side in (left, right):
            for at in ((30, 90), (170, 230)):
                through(d, side, shelf, at)
    return d.done("bookcase")


def book_wall(t: float, c: float) -> Model:
    """An upright in the middle takes the tenons of shelves from both sides."""
    d = Drawing(c)
    uprights = [d.board(f"upright {k}", x=(400 * k, 400 * k + t), y=(0, 300), z=(0, 600)) for k in range(3)]
    for k in range(2):
        for row, z in enumerate((100, 360)):
            shelf = d.board(f"shelf {k}{row}", x=(400 * k + t, 400 * (k + 1)), y=(0, 300), z=(z, z + t))
            for at in ((20, 60), (200, 240)) if k else ((100, 140), (250, 290)):
                through(d, uprights[k], shelf, at)
                through(d, uprights[k + 1], shelf, at)
    # a tenon's tip and the next shelf's shoulder end on one face of the upright
    d.passing += [frozenset((f"shelf 0{row}", f"shelf 1{row}")) for row in range(2)]
    return d.done("book wall")


def proud_shelf(t: float, c: float) -> Model:
    """Tenons that stand 12 mm out of the sides are meant to: they stay."""
    d = Drawing(c)
    left, right = _sides(d, t, 500, 180, 260)
    shelf = _shelf(d, "shelf", t, 500, 180, 100)
    for side in (left, right):
        through(d, side, shelf, (60, 120), proud=12)
    return d.done("proud shelf")


def long_tenon(t: float, c: float) -> Model:
    """A rail's tenon passes two boards: an inner one with a shoulder, and the outer one behind it."""
    d = Drawing(c)
    inner = d.board("inner", x=(0, t), y=(0, 200), z=(0, 240))
    outer = d.board("outer", x=(-80, -80 + t), y=(0, 200), z=(0, 240))
    rail = d.board("rail", x=(t, 400), y=(20, 180), z=(110, 110 + t))
    rail.add(x=(-80, t), y=(70, 130))
    through(d, inner, rail, (70, 130), tip=False)
    through(d, outer, rail, (70, 130))
    return d.done("long tenon")


def blind_shelf(t: float, c: float) -> Model:
    """Two blind tenons at each end of a shelf: nothing shows outside."""
    d = Drawing(c)
    left, right = _sides(d, t, 450, 240, 500)
    shelf = _shelf(d, "shelf", t, 450, 240, 220)
    for side in (left, right):
        for at in ((40, 90), (150, 200)):
            blind(d, side, shelf, at, t * 0.6)
    return d.done("blind shelf")


def blind_bench(t: float, c: float) -> Model:
    """A bench top on two legs whose blind tenons go up into it."""
    d = Drawing(c)
    top = d.board("top", x=(0, 700), y=(0, 300), z=(400, 400 + t))
    for k, x in enumerate((100, 600 - t)):
        leg = d.board(f"leg {k}", x=(x, x + t), y=(30, 270), z=(0, 400))
        for at in ((60, 110), (190, 240)):
            blind(d, top, leg, at, t * 0.5)
    return d.done("blind bench")


def housed_shelves(t: float, c: float) -> Model:
    """Two shelves in housings across the sides."""
    d = Drawing(c)
    left, right = _sides(d, t, 500, 220, 700)
    for k, z in enumerate((150, 420)):
        shelf = _shelf(d, f"shelf {k}", t, 500, 220, z)
        for side in (left, right):
            housed(d, side, shelf, t / 3)
    return d.done("housed shelves")


def thin_dividers(t: float, c: float) -> Model:
    """Thin dividers in housings across a thicker base and lid: a sorter for puzzle pieces."""
    d = Drawing(c)
    base = d.board("base", x=(0, 400), y=(0, 160), z=(0, t))
    lid = d.board("lid", x=(0, 400), y=(0, 160), z=(200, 200 + t))
    for k in range(3):
        x = 80 + 100 * k
        divider = d.board(f"divider {k}", x=(x, x + t / 2), y=(0, 160), z=(t, 200))
        housed(d, base, divider, t / 3)
        housed(d, lid, divider, t / 3)
    return d.done("thin dividers")


def stopped_shelves(t: float, c: float) -> Model:
    """Housings that stop before the front edge: the shelf's front corner is notched round them."""
    d = Drawing(c)
    left, right = _sides(d, t, 480, 230, 600)
    shelf = _shelf(d, "shelf", t, 480, 230, 300)
    for side in (left, right):
        housed(d, side, shelf, t / 3, stop="low", at=(20, 230))
    return d.done("stopped shelves")


def inset_shelf(t: float, c: float) -> Model:
    """A shelf narrower than the sides, its housings closed at both ends."""
    d = Drawing(c)
    left, right = _sides(d, t, 420, 260, 400)
    shelf = d.board("shelf", x=(t, 420 - t), y=(30, 220), z=(200, 200 + t))
    for side in (left, right):
        housed(d, side, shelf, t / 3, stop="low high")
    return d.done("inset shelf")


def cabinet(t: float, c: float) -> Model:
    """A cabinet whose thin back sits in grooves on four sides; top and bottom on tenons."""
    d = Drawing(c)
    thin = max(3.0, t / 3)
    left, right = _sides(d, t, 600, 300, 800)
    back = d.board("back", x=(t, 600 - t), y=(270, 270 + thin), z=(100 + t, 700))
    for name, z in (("bottom", 100), ("top", 700)):
        shelf = _shelf(d, name, t, 600, 300, z)
        housed(d, shelf, back, t / 3)  # from shoulder to shoulder: the tenons come after it
        for side in (left, right):
            for at in ((30, 90), (150, 210)):
                through(d, side, shelf, at)
    deep = t / 3
    for side in (left, right):
        housed(d, side, back, deep, stop="low high")
    return d.done("cabinet")


def display_case(t: float, c: float) -> Model:
    """A long, low case: bottom and back in grooves along the sides, a shelf butting against the back."""
    d = Drawing(c)
    left, right = _sides(d, t, 400, 500, 200)
    bottom = d.board("bottom", x=(t, 400 - t), y=(0, 500), z=(30, 30 + t / 2))
    for side in (left, right):
        housed(d, side, bottom, t / 4)
    back = d.board("back", x=(t, 400 - t), y=(460, 460 + t / 2), z=(30 + t / 2, 200))
    butt(d, left, back)
    butt(d, right, back)
    butt(d, bottom, back)
    return d.done("display case")
