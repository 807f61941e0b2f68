# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boards drawn through each other with no slot, as a beginner draws them, and what the piece is once the
slots are cut: the same drawing with its joints. They are no part of the corpus that is swept as it is drawn.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from flatwright.plan import Panel
from support.corpus.drawing import Drawing, Model
from support.corpus.joints import blind, cross_lap, housed, slot, through


@dataclass(frozen=True, slots=True, eq=False)
class Missing:
    """`bare`: the boards with nothing cut out of them; `meant`: the same piece with its slots, and where
    its joints are measured."""

    bare: tuple[Panel, ...]
    meant: Model


def _missing(d: Drawing, name: str) -> Missing:
    meant = d.done(name)
    return Missing(tuple(b.bare() for b in d.boards.values()), meant)


def toy_rack(t: float) -> Missing:
    """Two sides, three shelves whose tenons run through them: mortises."""
    d = Drawing()
    sides = [d.board(f"side {k}", x=(x, x + t), y=(0, 240), z=(0, 600)) for k, x in enumerate((0.0, 500.0))]
    for k in range(3):
        shelf = d.board(f"shelf {k}", x=(t, 500), y=(0, 240), z=(80 + 180 * k, 80 + 180 * k + t))
        for side in sides:
            through(d, side, shelf, (40, 90))
            through(d, side, shelf, (150, 200))
    return _missing(d, "toy rack")


def puzzle_sorter(t: float) -> Missing:
    """A grid of boards that cross at half their height: two slots each."""
    d = Drawing()
    rows = [d.board(f"row {k}", x=(0, 400), y=(100 * k + 80, 100 * k + 80 + t), z=(0, 90)) for k in range(2)]
    for k in range(3):
        column = d.board(f"column {k}", x=(90 * k + 90, 90 * k + 90 + t), y=(0, 300), z=(0, 90))
        for row in rows:
            cross_lap(d, row, column)
    return _missing(d, "puzzle sorter")


def costume_shelf(t: float) -> Missing:
    """A shelf whose ends stand a third deep in the sides, over their whole width: housings."""
    d = Drawing()
    for k, x in enumerate((0.0, 400.0)):
        d.board(f"side {k}", x=(x, x + t), y=(0, 200), z=(0, 400))
    shelf = d.board("shelf", x=(t, 400), y=(0, 200), z=(150, 150 + t))
    for k in range(2):
        housed(d, d.boards[f"side {k}"], shelf, t / 3)
    return _missing(d, "costume shelf")


def bench(t: float) -> Missing:
    """A rail through the upper edges of two ends, and a stretcher with blind tenons between them."""
    d = Drawing()
    rail = d.board("rail", x=(-40, 540 + t), y=(90, 90 + t), z=(220, 300))
    ends = [d.board(f"end {k}", x=(x, x + t), y=(0, 200), z=(0, 300)) for k, x in enumerate((0.0, 500.0))]
    stretcher = d.board("stretcher", x=(t, 500), y=(40, 160), z=(60, 60 + t))
    for end in ends:
        slot(d, end, rail, 220, 1.0)
        blind(d, end, stretcher, (75, 125), t / 2)
    return _missing(d, "bench")


MISSING: tuple[Callable[[float], Missing], ...] = (toy_rack, puzzle_sorter, costume_shelf, bench)
