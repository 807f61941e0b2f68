# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Joints whose boards move more than they have room for, where pieces are used."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from flatwright.boards.assigning import Assigned
from flatwright.boards.batch import Batch, measured
from flatwright.boards.moisture import IN_PLANE_ACROSS, IN_PLANE_ALONG, THICKNESS_BIRCH
from flatwright.findings import Finding
from flatwright.geometry.outline import rectangle
from flatwright.joints.movement import coefficients, movements
from flatwright.joints.piece import fit_piece
from flatwright.joints.slots import thicknesses
from flatwright.plan import Panel
from flatwright.presets.model import Climate, FitClass, Fits
from support.pieces import board, finger_corner, housing, slot

CLASSES = {"press": FitClass(0.05, 0.2, 0.3), "glue": FitClass(0.25, 0.5, 0.5)}
CLASSES["wide"] = FitClass(0.40, 0.5, 0.5)
DAMP = Climate(15.0, 0.75)
PRESS = Fits("press", CLASSES, used_at=DAMP)
WIDE = replace(PRESS, default="wide")


def birch(moisture: float) -> Batch:
    return measured("birch 18", 18.0, (17.9, 18.0, 18.1), moisture)


def found(panels: Sequence[Panel], batch: Batch, fits: Fits, turned: Sequence[str] = ()) -> list[Finding]:
    """Of the piece cut from one batch; `turned` panels have their face grain across their longer side."""
    boarded = [replace(p, board=batch.name) for p in panels]
    slots = thicknesses({p.name: Assigned(batch.name, batch.mean, batch) for p in panels}, fits)
    piece, _ = fit_piece(boarded, slots, fits)
    grained = [replace(p, grain=90.0 if p.name in turned else 0.0) for p in piece.panels]
    return movements(piece.joints, piece.found, grained, {batch.name: batch}, fits)


def test_a_board_that_swells_by_more_than_the_clearance() -> None:
    """18 mm and 4 % more: 0.184 mm (Wood Handbook Table 13-5, birch), over the 0.05 mm of a press fit."""
    [warning] = found(housing(), birch(4.0), PRESS)
    assert (warning.code, warning.severity) == ("joint.moves-in-slot", "warning")
    for words in ("15 °C and 75 %", "0.18 mm thicker", "0.05 mm", "of side and shelf", "the gap is 0.23 mm"):
        assert words in warning.message
    assert "not exact" in warning.remedy  # MOI-4: FPL-GTR-229


def test_a_board_that_shrinks_by_more_than_the_clearance() -> None:
    [warning] = found(housing(), birch(-4.0), PRESS)
    assert "0.18 mm thinner" in warning.message and "there the gap will be 0.23 mm" in warning.message


@pytest.mark.parametrize("moisture", [-4.0, 0.0, 4.0])
def test_joints_with_room_enough_are_not_told(moisture: float) -> None:
    assert found(housing(), birch(moisture), replace(PRESS, default="glue")) == []


def test_without_an_air_of_use_nothing_is_told() -> None:
    assert found(housing(), birch(4.0), replace(PRESS, used_at=None)) == []


def test_as_much_as_the_clearance_is_not_more_than_it() -> None:
    just = 0.05 / (18.0 * THICKNESS_BIRCH)
    assert found(housing(), birch(just), PRESS) == []
    assert len(found(housing(), birch(just + 0.01), PRESS)) == 1


def rack(length: float) -> list[Panel]:
    """A shelf with a tenon near each of its ends through a long side: 40 mm wide each."""
    first, last = (20.0, 60.0), (length - 60.0, length - 20.0)
    side = board(
        "side", rectangle(0, 0, length, 200), u=(0, 1, 0), n=(1, 0, 0),
        holes=[slot(y0, 100, y1, 118) for y0, y1 in (first, last)],
    )  # fmt: skip
    edge = [(18, 0), (400, 0), (400, length), (18, length), (18, last[1]), (0, last[1]), (0, last[0])]
    edge += [(18, last[0]), (18, first[1]), (0, first[1]), (0, first[0]), (18, first[0])]
    return [side, board("shelf", edge, origin=(0, 0, 100))]


def test_panels_whose_grain_is_crossed_grow_apart_between_their_tenons() -> None:
    """0.0208 % across less 0.0138 % along for every % (MOI-6), over 1960 mm and 6 %: 0.81 mm."""
    panels = rack(2000.0)
    assert panels[1].frame.u[0] == 1.0  # the shelf's u lies across the line of tenons, so 0 is across
    [warning] = found(panels, birch(6.0), WIDE)
    assert warning.code == "joint.moves-along" and warning.panels == ("side", "shelf")
    wanted = 1960.0 * 6.0 * (IN_PLANE_ACROSS - IN_PLANE_ALONG)
    assert f"{wanted:.2f} mm more" in warning.message and "0.50 mm along" in warning.message


def test_panels_whose_grain_agrees_move_together() -> None:
    assert found(rack(2000.0), birch(6.0), WIDE, turned=["shelf"]) == []


def test_short_panels_have_room_for_it() -> None:
    assert found(rack(600.0), birch(6.0), WIDE) == []


def test_fingers_count_like_tenons() -> None:
    tall = finger_corner(fingers=5, width=500.0)
    codes = {f.code for f in found(tall, birch(6.0), WIDE, turned=["left"])}
    assert codes == {"joint.moves-along"}


@pytest.mark.parametrize(("grain", "share"), [(0.0, 0.0), (90.0, 1.0), (45.0, 0.5)])
def test_movement_lies_between_along_and_across_by_the_angle(grain: float, share: float) -> None:
    panel = board("p", rectangle(0, 0, 100, 50))
    [k] = coefficients(replace(panel, grain=grain), np.array([1.0, 0.0, 0.0]))
    assert k == pytest.approx(IN_PLANE_ALONG + share * (IN_PLANE_ACROSS - IN_PLANE_ALONG))


def test_free_grain_may_lie_either_way() -> None:
    panel = replace(board("p", rectangle(0, 0, 100, 50)), grain=None)
    assert coefficients(panel, np.array([1.0, 0.0, 0.0])) == (IN_PLANE_ALONG, IN_PLANE_ACROSS)
