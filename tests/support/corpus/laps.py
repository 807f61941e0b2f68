# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boards slotted into each other: benches, egg-crate dividers, feet and rails."""

from __future__ import annotations

from support.corpus.drawing import Drawing, Model
from support.corpus.joints import cross_lap, slot, through


def puppet_cross(t: float, c: float) -> Model:
    """Two boards that cross at the middle: the foot of a puppet stand."""
    d = Drawing(c)
    a = d.board("long", x=(0, 300), y=(150 - t / 2, 150 + t / 2), z=(0, 100))
    b = d.board("short", x=(150 - t / 2, 150 + t / 2), y=(0, 300), z=(0, 100))
    cross_lap(d, a, b)
    return d.done("puppet cross")


def egg_crate(t: float, c: float) -> Model:
    """A grid of three by two thin boards."""
    d = Drawing(c)
    rows = [d.board(f"row {k}", x=(0, 400), y=(100 * k + 80, 100 * k + 80 + t), z=(0, 90)) for k in range(2)]
    for k in range(3):
        column = d.board(f"column {k}", x=(90 * k + 90, 90 * k + 90 + t), y=(0, 300), z=(0, 90))
        for row in rows:
            cross_lap(d, row, column)
    return d.done("egg crate")


def uneven_cross(t: float, c: float) -> Model:
    """Boards of two thicknesses that cross off the middle, one slot deeper than the other."""
    d = Drawing(c)
    a = d.board("thick", x=(0, 260), y=(100, 100 + t), z=(0, 120))
    b = d.board("thin", x=(170, 170 + t / 2), y=(0, 260), z=(0, 120))
    cross_lap(d, a, b, at=80)
    return d.done("uneven cross")


def rail_in_slot(t: float, c: float) -> Model:
    """A rail let into a notch in the upper edge of two uprights."""
    d = Drawing(c)
    rail = d.board("rail", x=(0, 500), y=(90, 90 + t), z=(220, 300))
    for k, x in enumerate((60, 420)):
        upright = d.board(f"upright {k}", x=(x, x + t), y=(0, 200), z=(0, 300))
        slot(d, upright, rail, 220, 1.0)
    return d.done("rail in slot")


def costume_rack(t: float, c: float) -> Model:
    """Two ends stand in notches of a long rail; a top rail passes through them."""
    d = Drawing(c)
    foot = d.board("foot", x=(0, 800), y=(120, 120 + t), z=(0, 110))
    for k, x in enumerate((80, 700)):
        end = d.board(f"end {k}", x=(x, x + t), y=(0, 240 + t), z=(50, 700))
        slot(d, foot, end, 50, 1.0)
    rail = d.board("rail", x=(80 + t, 700), y=(120, 120 + t), z=(560, 640))
    for k in range(2):
        through(d, d.boards[f"end {k}"], rail, (585, 615))
    return d.done("costume rack")
