# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the trade does at a joint: common practice, no source."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from flatwright import resources
from flatwright.boards.assigning import assign_boards
from flatwright.boards.readings import parse_readings
from flatwright.geometry.outline import rectangle
from flatwright.joints.piece import Piece, fit_piece, surroundings
from flatwright.joints.slots import thicknesses
from flatwright.plan import Panel
from flatwright.presets.model import ReliefRules
from flatwright.presets.reading import load
from support.pieces import board, slot, through_tenon

INCH = 25.4
SHOP = load(resources.path("presets/inch.shop.json"))


def fitted(panels: Sequence[Panel], readings: str) -> Piece:
    """The piece fitted by the inch starter preset to boards of these readings."""
    assigned, _ = assign_boards(
        {p.name: p.thickness for p in panels}, SHOP.boards, parse_readings([readings])
    )
    return fit_piece(panels, thicknesses(assigned, SHOP.fits), SHOP.fits)[0]


def test_cp_1_and_2_a_board_of_71_hundredths_in_its_slot() -> None:
    """A board of 0.71 in gets a slot of 0.72 in; what is 1.25 in wide gets one 1.27 in long."""
    width, t = 1.25 * INCH, 0.75 * INCH
    side = board(
        "side", rectangle(0, 0, 200, 300), u=(0, 1, 0), n=(1, 0, 0), t=t,
        holes=[slot(60, 100, 60 + width, 100 + t)],
    )  # fmt: skip
    tenon = [(0, 60), (t, 60), (t, 0), (400, 0), (400, 200), (t, 200), (t, 60 + width), (0, 60 + width)]
    shelf = board("shelf", tenon, origin=(0, 0, 100), t=t)
    piece = fitted([side, shelf], "0.71 in,0.71 in,0.71 in")
    x0, y0, x1, y1 = piece.panels[0].holes[0].bounds()
    assert y1 - y0 == pytest.approx(0.72 * INCH, abs=1e-6)
    assert x1 - x0 == pytest.approx(1.27 * INCH, abs=1e-6)


def test_cp_11_the_thickness_is_the_mean_of_several_readings() -> None:
    piece = fitted(through_tenon(t=19.05), "18.0,18.1,18.2,18.3")
    assert [p.thickness for p in piece.panels] == pytest.approx([18.15, 18.15])


def cross_shelf(length: float, depth: float) -> list[Panel]:
    """A level shelf let into two upright sides that stand `length` apart, `depth` from front to back."""
    sides = [
        board(name, rectangle(0, 0, depth, 400), origin=(x, 0, 0), u=(0, 1, 0), n=(1, 0, 0),
              pockets=[(rectangle(0, 200, depth, 218), 6.0, face)])
        for name, x, face in (("left", -12.0, "+n"), ("right", length - 6.0, "-n"))
    ]  # fmt: skip
    # a panel's u runs along its longer side
    if length >= depth:
        shelf = board("shelf", rectangle(0, 0, length, depth), origin=(0, 0, 200))
    else:
        shelf = board("shelf", rectangle(0, -length, depth, 0), origin=(0, 0, 200), u=(0, 1, 0))
    return [*sides, shelf]


@pytest.mark.parametrize(("length", "depth"), [(800.0, 300.0), (250.0, 600.0)])
def test_cp_9_a_loaded_shelf_has_its_face_grain_along_its_span(length: float, depth: float) -> None:
    """The strong direction: from side to side, even where the shelf is deeper than it is long."""
    piece, _ = fit_piece(cross_shelf(length, depth), {}, SHOP.fits)
    shelf = piece.panels[2]
    assert shelf.grain is not None
    turn = round(shelf.grain) % 180
    along = shelf.frame.u if turn == 0 else shelf.frame.v
    assert abs(along[0]) == pytest.approx(1.0)


def test_cp_10_square_inside_corners_that_take_a_square_mate_are_relieved() -> None:
    """All four of a mortise; an inside corner where no mate goes stays clean."""
    side, shelf = through_tenon()
    notched = board(
        "side", [(0, 0), (200, 0), (200, 300), (150, 300), (150, 260), (0, 260)], u=(0, 1, 0), n=(1, 0, 0),
        holes=side.holes,
    )  # fmt: skip
    piece, _ = fit_piece([notched, shelf], {}, SHOP.fits)
    relieved = surroundings(piece)[0].relieve([3.0, 3.0], ReliefRules())
    assert len(relieved.reliefs) == 4
    x0, y0, x1, y1 = piece.panels[0].holes[0].bounds()
    corners = {(round(r.corner[0], 3), round(r.corner[1], 3)) for r in relieved.reliefs}
    assert corners == {(round(x, 3), round(y, 3)) for x in (x0, x1) for y in (y0, y1)}
