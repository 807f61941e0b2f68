# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Corners drawn round, as a bit leaves them: square where a mate goes, round where none does."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from flatwright.geometry.outline import Outline
from flatwright.joints.fit import Thickness
from flatwright.joints.piece import Piece, fit_piece
from flatwright.plan import Panel
from flatwright.presets.model import FitClass, Fits
from support.laws import shared_wood
from support.pieces import through_tenon

GLUE = Fits("glue", {"glue": FitClass(0.25, 0.50, 0.40)})


def rounded(loop: Outline, r: float) -> Outline:
    """A clockwise rectangle with rounded corners."""
    x0, y0, x1, y1 = loop.bounds()
    points = [
        (x0, y0 + r), (x0, y1 - r), (x0 + r, y1), (x1 - r, y1),
        (x1, y1 - r), (x1, y0 + r), (x1 - r, y0), (x0 + r, y0),
    ]  # fmt: skip
    return Outline(np.array(points), np.array([0.0, -math.tan(math.pi / 8)] * 4))


def fitted(panels: list[Panel]) -> tuple[Piece, list[str]]:
    boards = {p.name: Thickness(p.thickness - 0.3, p.thickness - 0.3) for p in panels}
    piece, findings = fit_piece([replace(p, board="any") for p in panels], boards, GLUE)
    return piece, [f.code for f in findings if f.code != "fit.size"]


@pytest.mark.parametrize("clear", [0.0, 0.3])
@pytest.mark.parametrize("r", [1.5, 3.0, 6.35])
def test_a_mortise_with_round_corners_is_fitted_as_the_square_one(r: float, clear: float) -> None:
    side, shelf = through_tenon(clear)
    square, _ = fitted([side, shelf])
    piece, codes = fitted([replace(side, holes=(rounded(side.holes[0], r),)), shelf])
    assert [j.kind for j in piece.joints] == ["mortise and tenon"]
    assert sorted(map(tuple, piece.panels[0].holes[0].points.round(6).tolist())) == sorted(
        map(tuple, square.panels[0].holes[0].points.round(6).tolist())
    )
    assert codes == ["joint.round-corner"] and shared_wood(piece.panels) == []


def test_round_corners_that_no_mate_reaches_stay_round() -> None:
    side, shelf = through_tenon()
    window = rounded(Outline(np.array([[20, 200], [180, 200], [180, 260], [20, 260]]), np.zeros(4)), 6.0)
    piece, codes = fitted([replace(side, holes=(*side.holes, window.cw())), shelf])
    assert [(piece.panels[0].holes[1].bulges != 0.0).sum()] == [4]
    assert codes == []
