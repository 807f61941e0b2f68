# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which panels share sheets, which side is up, and which turns the grain allows."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.geometry.outline import rectangle
from flatwright.plan import Panel, Pocket, Show, Side
from flatwright.presets.model import SheetStock
from flatwright.sheets.prepare import Grain, batches, hidden_show_face, lies_flipped, turns
from support.layouts import QUARTERS, ell, panel, preset

RECESS = rectangle(10, 10, 20, 20).cw()


def pocketed(show: Show, *sides: Side) -> Panel:
    """A panel with a pocket on each of the sides."""
    return panel(
        "a", rectangle(0, 0, 100, 50), show=show, pockets=tuple(Pocket(RECESS, 6.0, s) for s in sides)
    )


@pytest.mark.parametrize(
    ("show", "pockets", "flipped", "hidden"),
    [
        ("+n", [], False, False),
        ("-n", [], True, False),
        ("both", [], False, False),
        ("none", [], False, False),
        ("none", ["-n"], True, False),
        ("-n", ["-n"], True, False),
        ("+n", ["-n"], True, True),
        ("-n", ["+n"], False, True),
        ("-n", ["+n", "-n"], True, False),
        ("+n", ["+n", "-n"], False, False),
    ],
)
def test_pockets_are_up_and_else_the_show_face(
    show: Show, pockets: list[Side], flipped: bool, hidden: bool
) -> None:
    assert lies_flipped(pocketed(show, *pockets)) is flipped
    assert hidden_show_face(pocketed(show, *pockets)) is hidden


@given(st.floats(0.0, 360.0), st.booleans(), st.sampled_from(["length", "width"]))
def test_every_allowed_turn_brings_the_grain_along_the_sheets(
    grain: float, flipped: bool, sheet: Grain
) -> None:
    allowed = turns(grain, flipped, sheet)
    assert len(allowed) == 2
    assert abs(allowed[1] - allowed[0] - 180.0) < 1e-9
    u, v = math.cos(math.radians(grain)), math.sin(math.radians(grain))
    for turn in allowed:
        assert 0.0 <= turn < 360.0
        a = math.radians(turn)
        x, y = (-u if flipped else u), v
        across = x * math.sin(a) + y * math.cos(a) if sheet == "length" else x * math.cos(a) - y * math.sin(a)
        assert abs(across) < 1e-6


def test_a_free_panel_may_take_quarter_turns() -> None:
    assert turns(None, True, "length") == QUARTERS


def test_panels_are_grouped_by_board_and_thickness_thickest_first() -> None:
    shape = rectangle(0, 0, 100, 50)
    panels = [
        panel("thin", shape, board="thin", thickness=9.0),
        panel("b", shape, board="thick", thickness=18.0),
        panel("same", shape, board="thick", thickness=18.0004),
        panel("a", shape, board="other", thickness=18.0),
        panel("planed", shape, board="thick", thickness=17.0),
        panel("as drawn", shape, board=None),
    ]
    found = batches(panels, preset())
    assert [(b.board, [p.name for p in b.panels]) for b in found] == [
        ("other", ["a"]),
        ("thick", ["b", "same"]),
        ("thick", ["planed"]),
        ("thin", ["thin"]),
    ]
    assert [b.grain for b in found] == ["length", "length", "length", "width"]


def test_a_board_gets_its_own_sheets_and_those_that_serve_all() -> None:
    sheets = (
        SheetStock(2000, 1000, board="thin"),
        SheetStock(1500, 1500),
        SheetStock(900, 600, board="other"),
    )
    rules = preset(sheets=sheets)
    (one,) = batches([panel("a", ell(), board="thin")], rules)
    assert [(s.length, s.width) for s in one.job.stock] == [(2000, 1000), (1500, 1500)]
    (one,) = batches([panel("a", ell(), board="thin")], rules, sheet_size=(800, 700), seed=9, time=2.0)
    assert [(s.length, s.width) for s in one.job.stock] == [(800, 700)]
    assert (one.job.seed, one.job.time) == (9, 2.0)


def test_the_grain_of_a_flipped_panel_is_mirrored() -> None:
    (batch,) = batches([panel("a", ell(), grain=30.0, show="-n")], preset())
    (part,) = batch.job.parts
    assert part.flipped
    assert part.turns == (30.0, 210.0)
