# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What lies beside a joint when the joint moves: open pockets follow, edges that only touch stay."""

from __future__ import annotations

import numpy as np
import pytest

from flatwright.geometry.outline import rectangle
from flatwright.geometry.polygon import region
from flatwright.joints.collide import collisions
from flatwright.joints.fit import Thickness
from flatwright.joints.moved import moved_panel
from flatwright.joints.moves import Moves, Wish
from flatwright.joints.piece import fit_piece
from flatwright.plan import Panel
from flatwright.presets.model import FitClass, Fits
from support.pieces import board

GLUE = Fits("glue", {"glue": FitClass(0.25, 0.50, 0.40)})


def upright(*pockets: tuple[tuple[float, float, float, float], float]) -> Panel:
    """A board in the xz plane, 300 × 200, with recesses in the face that looks along −y."""
    return board(
        "upright", rectangle(0, 0, 300, 200), u=(1, 0, 0), n=(0, -1, 0),
        pockets=[(rectangle(*where), depth, "+n") for where, depth in pockets],
    )  # fmt: skip


def beside() -> Panel:
    """A board that stands on the end of the upright's edge, beside the lid."""
    return board("beside", rectangle(250, 200, 300, 300), u=(1, 0, 0), n=(0, -1, 0))


def lid(x0: float, x1: float) -> Panel:
    """A board that lies on the upright's edge from x0 to x1."""
    return board("lid", rectangle(x0, -100, x1, 100), origin=(0, 0, 200))


@pytest.mark.parametrize("less", [0.3, -0.3])
def test_an_edge_on_which_boards_merely_stand_stays_whole(less: float) -> None:
    """It goes as far as leaves both clear: no step of some tenths, which no bit could cut."""
    drawn = [upright(((0, 150, 300, 200), 6.0)), lid(50, 250), beside()]
    boards = {p.name: Thickness(18 - less, 18 - less) for p in drawn}
    piece, _ = fit_piece(drawn, boards, GLUE, stays={1: "+n"})
    fitted = piece.panels[0]
    assert {round(float(y), 3) for x, y in fitted.outline.points if y > 190} == {min(200.0, 200 + less)}
    wood = region(fitted.outline, [p.outline for p in fitted.pockets])
    assert wood.area == pytest.approx(300 * 150)  # no sliver stands above the recess


def test_a_recess_open_to_an_edge_goes_with_each_piece_of_it() -> None:
    panel = upright(((0, 150, 300, 200), 6.0))
    moves = Moves(np.zeros((1, 3)), {(0, "+n"): 0.0, (0, "-n"): 0.0})
    moves.wishes[0, 0, 2] = [Wish(0.0, 100.0, 0.4, 0), Wish(200.0, 300.0, -0.3, 1)]  # the upper edge
    fitted = moved_panel(0, panel, 18.0, moves, ["one", "another"]).panel
    assert {round(float(y), 3) for x, y in fitted.outline.points if y > 190} == {200.4, 199.7}
    assert region(fitted.outline, [p.outline for p in fitted.pockets]).area == pytest.approx(300 * 150)


def test_a_recess_beside_a_deeper_one_leaves_no_sliver_between() -> None:
    drawn = [
        upright(((0, 150, 300, 200), 12.0), ((0, 100, 40, 150), 6.0)),
        board("shelf", rectangle(0, -100, 300, -6), origin=(0, 0, 150)),
    ]
    boards = {p.name: Thickness(17.7, 17.7) for p in drawn}
    piece, _ = fit_piece(drawn, boards, GLUE, stays={1: "+n"})
    deep, shallow = sorted(piece.panels[0].pockets, key=lambda p: -p.depth)
    assert deep.outline.bounds()[1] == pytest.approx(shallow.outline.bounds()[3])


def test_edges_that_only_touch_are_not_taken_along() -> None:
    """Neither what lies on the upright's edge nor what only touches it collides with it."""
    drawn = [upright(), lid(50, 250), beside()]
    boards = {p.name: Thickness(17.7, 17.7) for p in drawn}
    piece, findings = fit_piece(drawn, boards, GLUE, stays={1: "+n"})
    assert collisions(piece.panels) == []
    assert [f.code for f in findings if f.severity == "error"] == []
