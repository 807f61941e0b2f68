# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Loaded shelves tell what they sag either way of the grain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from flatwright.boards.stiffness import bending, sag, second_moment, veneers
from flatwright.findings import Finding
from flatwright.geometry.outline import rectangle
from flatwright.joints.piece import fit_piece
from flatwright.joints.sag import sags, stiffness_of
from flatwright.plan import Panel
from flatwright.presets.model import Board, FitClass, Fits
from support.pieces import board

BIRCH = Board("birch 18", 18.0, plies=13, face_veneer=1.1)
GLUE = Fits("glue", {"glue": FitClass(0.25, 0.5, 0.5)})


def rack(length: float, t: float = 18.0) -> list[Panel]:
    """A shelf of 300 mm let 6 mm into two upright sides."""
    sides = [
        board(name, rectangle(0, 0, 300, 400), origin=(x, 0, 0), u=(0, 1, 0), n=(1, 0, 0),
              pockets=[(rectangle(0, 200, 300, 200 + t), 6.0, face)])
        for name, x, face in (("left", -12.0, "+n"), ("right", length - 6.0, "-n"))
    ]  # fmt: skip
    return [*sides, board("shelf", rectangle(0, 0, length, 300), origin=(0, 0, 200), t=t)]


def told(panels: Sequence[Panel], shop: Board = BIRCH, grain: float | None = 0.0) -> list[Finding]:
    piece, _ = fit_piece([replace(p, board="birch 18") for p in panels], {}, GLUE)
    done = [replace(p, grain=grain) for p in piece.panels]
    return sags(done, piece.found, {"birch 18": shop})


def test_a_shelf_tells_both_figures_and_how_its_grain_lies() -> None:
    """PLY-6: a shelf of 18 mm under 0.5 N/mm; the supports here are 796 mm apart, from joint to joint."""
    [note] = told(rack(800.0))
    assert (note.code, note.severity, note.panels) == ("panel.sag", "note", ("shelf",))
    stiffness, moment = bending(veneers(18.0, 13, 1.1)), second_moment(300, 18)
    along, across = (sag(0.5, 796.0, e, moment) for e in (stiffness.along, stiffness.across))
    assert (along, across) == pytest.approx((1.8, 2.4), abs=0.05)
    for words in (
        "796 mm apart",
        f"{along:.1f} mm with its face grain along",
        f"{across:.1f} mm with it across",
    ):
        assert words in note.message
    assert note.message.endswith("its grain runs along.")


@pytest.mark.parametrize(
    ("grain", "lies"), [(90.0, "runs across"), (180.0, "runs along"), (30.0, "runs askew"), (None, "is free")]
)
def test_turning_the_grain_is_told(grain: float | None, lies: str) -> None:
    [note] = told(rack(800.0), grain=grain)
    assert note.message.endswith(f"its grain {lies}.")


def test_what_is_not_worth_telling_or_not_known_is_not_told() -> None:
    assert told(rack(300.0)) == []  # too short to sag by a tenth
    assert told(rack(800.0), replace(BIRCH, plies=None)) == []
    assert told(rack(800.0), replace(BIRCH, face_veneer=9.0)) == []
    assert told(rack(800.0)[:2]) == []  # nothing lies level


def test_a_floor_held_all_round_is_no_shelf() -> None:
    panels = rack(800.0)
    walls = [
        board(name, rectangle(0, 0, 788, 400), origin=(6.0, y, 0), u=(1, 0, 0), n=(0, -1, 0),
              pockets=[(rectangle(0, 200, 788, 218), 6.0, face)])
        for name, y, face in (("front", 6.0, "-n"), ("rear", 312.0, "+n"))
    ]  # fmt: skip
    assert len(told(panels)) == 1
    assert told([*panels, *walls]) == []


def test_the_stiffness_of_a_board_needs_its_plies() -> None:
    assert stiffness_of(replace(BIRCH, plies=None), 18.0) is None
    known = stiffness_of(BIRCH, 17.6)
    assert known is not None and known.along == pytest.approx(10048, abs=0.5)  # PLY-2
