# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Uprights with shelves on both sides: pockets in both broad faces of one board."""

from __future__ import annotations

from support.corpus.drawing import Drawing, Model
from support.corpus.joints import blind, housed


def divided_cabinet(t: float, c: float) -> Model:
    """A puzzle cabinet: shelves at different heights left and right of a divider, in housings."""
    d = Drawing(c)
    left = d.board("left", x=(0, t), y=(0, 180), z=(0, 300))
    right = d.board("right", x=(520 - t, 520), y=(0, 180), z=(0, 300))
    x = 260 - t / 2
    divider = d.board("divider", x=(x, x + t), y=(0, 180), z=(0, 300))
    low = d.board("low shelf", x=(t, x), y=(0, 180), z=(90, 90 + t))
    high = d.board("high shelf", x=(x + t, 520 - t), y=(0, 180), z=(190, 190 + t))
    for upright, shelf in ((left, low), (divider, low), (divider, high), (right, high)):
        housed(d, upright, shelf, t / 3)
    return d.done("divided cabinet")


def back_to_back(t: float, c: float) -> Model:
    """Game shelves at one height from both sides of an upright: stopped housings against blind tenons."""
    d = Drawing(c)
    upright = d.board("upright", x=(0, t), y=(0, 200), z=(0, 280))
    one = d.board("one shelf", x=(-240, 0), y=(25, 175), z=(130, 130 + t))
    other = d.board("other shelf", x=(t, t + 240), y=(0, 200), z=(130, 130 + t))
    housed(d, upright, one, t / 4, stop="low high")
    for at in ((30, 80), (120, 170)):
        blind(d, upright, other, at, t / 3)
    return d.done("back to back")
