# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The referee of the fit, on boards whose gaps can be told by hand; and that it sees every fault."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from flatwright.geometry.outline import Outline, circle, rectangle
from flatwright.plan import Panel
from support.corpus.boxes import finger_corner
from support.corpus.laps import puppet_cross
from support.corpus.shelves import cabinet, housed_shelves, toy_shelf
from support.laws import Fit, fitted, shared_wood, wrong_gaps
from support.pieces import board
from support.rays import Body, Vector, body, gap, leaves, shared, wood
from support.reliefs import as_cut, wrong_reliefs
from support.touching import passed_over

UP, ACROSS = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])


def through(plate: Body, start: Sequence[float], way: Vector) -> list[tuple[float, float]]:
    """Where a line is in the wood, to a millionth."""
    return [(round(a, 6), round(b, 6)) for a, b in wood(plate, np.array(start, float), way)]


def test_a_line_is_in_the_wood_between_its_edges() -> None:
    plate = body(board("a", rectangle(0, 0, 100, 50), holes=[rectangle(40, 10, 60, 40).cw()]))
    assert through(plate, (-10, 25, 9), ACROSS) == [(10, 50), (70, 110)]
    assert through(plate, (50, 25, -5), UP) == []
    assert through(plate, (20, 25, -5), UP) == [(5, 23)]
    assert through(plate, (-10, 25, 18.5), ACROSS) == []


def test_a_slanting_line_and_a_pocket() -> None:
    plate = body(board("a", rectangle(0, 0, 100, 50), pockets=[(rectangle(40, 0, 60, 50), 6.0, "+n")]))
    assert through(plate, (50, 25, -5), UP) == [(5, 17)]
    down = np.array([1.0, 0.0, -1.0]) / np.sqrt(2)
    # over the pocket's mouth at x 45, through its floor (z 12) at x 51, out below at x 63
    assert through(plate, (15, 25, 48), down) == [(round(36 * 2**0.5, 6), round(48 * 2**0.5, 6))]


def test_arcs_are_seen_as_arcs() -> None:
    """A hole of radius 10 about (50, 25): its edge lies at x 40 on the middle line, to the chord's 0.0005."""
    plate = body(board("a", rectangle(0, 0, 100, 50), holes=[circle((50, 25), 10).cw()]))
    assert leaves(plate, np.array([20.0, 25, 9]), ACROSS) == pytest.approx(20, abs=6e-4)
    half = body(board("b", Outline([(0, 0), (60, 0), (60, 40), (0, 40)], [0, 1, 0, 0])))
    assert leaves(half, np.array([20.0, 20, 9]), ACROSS) == pytest.approx(60, abs=6e-4)


@pytest.mark.parametrize("apart", [-0.02, 0.0, 0.125])
def test_gap_and_shared_wood_of_two_plates(apart: float) -> None:
    a = body(board("a", rectangle(0, 0, 100, 50)))
    b = body(board("b", rectangle(0, 0, 100, 50), origin=(100 + apart, 0, 0)))
    assert gap(a, b, np.array([50.0, 25, 9]), ACROSS) == pytest.approx(apart)
    upright = body(board("c", rectangle(0, 0, 50, 80), origin=(100 + apart, 0, 0), u=(0, 1, 0), n=(1, 0, 0)))
    assert (shared(a, b) > 0) == (shared(a, upright) > 0) == (apart < 0)


def test_a_corner_keeps_the_fillet_of_its_bit() -> None:
    """GEO-5: a bit of radius r leaves (1 − π/4) r² in a square corner: r 3 -> 1.93142 (elementary)."""
    hole = rectangle(30, 10, 60, 40)
    left = as_cut(board("a", rectangle(0, 0, 100, 50), holes=[hole.cw()]), 3.0)
    assert left.layers[0].shape.area - (5000 - 900) == pytest.approx(4 * 1.93142, abs=0.01)


def moved(fit: Fit, name: str, change: Callable[[Panel], Panel]) -> Fit:
    """A fit with one panel spoilt."""
    panels = tuple(change(p) if p.name == name else p for p in fit.piece.panels)
    piece = replace(fit.piece, panels=panels)
    return replace(fit, piece=piece, bodies={p.name: body(p) for p in panels})


def shift(by: float) -> Callable[[Panel], Panel]:
    """Along its own normal."""
    return lambda p: replace(p, frame=p.frame.shifted(by))


@pytest.mark.parametrize("draw", [toy_shelf, housed_shelves, puppet_cross, finger_corner, cabinet])
def test_a_board_out_of_place_by_three_thousandths_is_seen(draw: Callable[[float, float], object]) -> None:
    fit = fitted(draw(18.0, 0.3), {18.0: 17.7})  # type: ignore[arg-type]
    assert wrong_gaps(fit) == []
    for p in fit.piece.panels:
        assert wrong_gaps(moved(fit, p.name, shift(0.003))), p.name


@pytest.mark.parametrize("draw", [toy_shelf, housed_shelves, puppet_cross, finger_corner])
def test_boards_that_touch_wood_are_seen(draw: Callable[[float, float], object]) -> None:
    fit = fitted(draw(18.0, 0.3), {18.0: 17.7})  # type: ignore[arg-type]
    assert shared_wood(fit.piece.panels) == []
    for p in fit.piece.panels:
        spoilt = [moved(fit, p.name, shift(by)) for by in (-0.45, 0.45)]
        assert any(shared_wood(s.piece.panels) for s in spoilt), p.name


def test_a_pair_that_nothing_tells_of_is_seen() -> None:
    fit = fitted(toy_shelf(18.0, 0.0), {})
    silent = replace(fit, piece=replace(fit.piece, joints=fit.piece.joints[1:], found=fit.piece.found[1:]))
    assert passed_over(fit) == []
    assert len(passed_over(silent)) == 1


def test_corners_without_reliefs_are_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Were no corner relieved, the mate would meet the fillets."""
    from flatwright.joints.piece import Surroundings
    from flatwright.joints.relief import Relieved

    fit = fitted(toy_shelf(18.0, 0.0), {})
    assert wrong_reliefs(fit, 3.0) == []

    def none(self: Surroundings, *_: object) -> Relieved:
        return Relieved(self.panel, (), (), ())

    monkeypatch.setattr(Surroundings, "relieve", none)
    assert len(wrong_reliefs(fit, 3.0)) > 0
