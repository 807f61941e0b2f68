# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Joints whose boards lean, lap, lie on each other or are held by keys: known, and fitted to the gap."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from flatwright.geometry.outline import Outline, polygon_outline, rectangle
from flatwright.joints.contacts import find_contacts
from flatwright.joints.fit import Thickness
from flatwright.joints.piece import Piece, fit_piece
from flatwright.joints.recognise import recognise
from flatwright.plan import Panel
from flatwright.presets.model import FitClass, Fits
from support.angled import (
    crossing,
    flat_key,
    half_lap,
    keyed_tenon,
    leaning_pocket,
    leaning_through,
    stack_in_slot,
    t_halving,
)
from support.corpus.boxes import drawer
from support.laws import fitted as fits_of
from support.laws import shared_wood, wrong_gaps
from support.pieces import board, through_tenon

GLUE = Fits("glue", {"glue": FitClass(0.25, 0.50, 0.40)})
T, C = 17.7, 0.25
CLEARANCES = pytest.mark.parametrize("clear", [0.0, 0.3])


def fitted(panels: Sequence[Panel], less: float = 0.3) -> tuple[Piece, list[str]]:
    """The piece on boards `less` mm thinner than drawn, and the codes of warnings and errors."""
    boards = {p.name: Thickness(p.thickness - less, p.thickness - less) for p in panels}
    boarded = [replace(p, board="any") for p in panels]
    piece, findings = fit_piece(boarded, boards, GLUE)
    return piece, [f.code for f in findings if f.severity != "note"]


def width(loop_points: Sequence[Sequence[float]], axis: int = 0) -> float:
    values = [p[axis] for p in loop_points]
    return max(values) - min(values)


@pytest.mark.parametrize(
    ("draw", "kinds"),
    [
        (half_lap, ["half-lap"]),
        (t_halving, ["T-halving"]),
        (stack_in_slot, ["mortise and tenon", "face to face"]),
        (keyed_tenon, ["mortise and tenon", "keyed tenon"]),
        (flat_key, ["mortise and tenon", "keyed tenon"]),
        (lambda c: keyed_tenon(c, slant=6.0), ["mortise and tenon", "wedged tenon"]),
        (lambda c: leaning_through(0.3, c), ["mortise and tenon"]),
        (lambda c: leaning_pocket(0.3, c), ["stopped housing"]),
        (lambda c: crossing(0.6, c), ["cross-lap"]),
    ],
)
@CLEARANCES
def test_the_joint_is_known_and_nothing_is_left_over(
    draw: Callable[[float], list[Panel]], kinds: list[str], clear: float
) -> None:
    known = recognise(find_contacts(draw(clear)))
    assert [j.kind for j in known.joints] == kinds
    assert known.left == ()
    assert [j.kind for j in fitted(draw(clear))[0].joints] == kinds


# A router cuts upright walls: a slot that a leaning board passes through is (t + c)/cos a + d·tan a wide
# (plane geometry: the projection of a slab between two heights).
@CLEARANCES
@pytest.mark.parametrize("degrees", [5, 20, 45])
def test_a_leaning_board_passes_through(degrees: float, clear: float) -> None:
    a = math.radians(degrees)
    piece, codes = fitted(leaning_through(a, clear))
    wide = (T + C) / math.cos(a) + T * math.tan(a)
    assert width(piece.panels[0].holes[0].points) == pytest.approx(wide, abs=1e-6)
    assert codes == []
    assert piece.joints[0].fit["lean_deg"] == pytest.approx(degrees)


# A square-ended board in a pocket, standing f off its floor: t·cos a + c/cos a + (d - f)·tan a.
@CLEARANCES
@pytest.mark.parametrize("degrees", [5, 15, 30])
def test_a_leaning_board_stands_in_a_pocket(degrees: float, clear: float) -> None:
    a = math.radians(degrees)
    piece, codes = fitted(leaning_pocket(a, clear))
    (pocket,) = piece.panels[0].pockets
    wide = T * math.cos(a) + C / math.cos(a) + (pocket.depth - 0.40) * math.tan(a)
    assert width(pocket.outline.points) == pytest.approx(wide, abs=1e-5)
    assert codes == ["joint.line-bearing"]


@CLEARANCES
@pytest.mark.parametrize("degrees", [0.5, 15, 30, 45])
def test_boards_cross_at_an_angle(degrees: float, clear: float) -> None:
    a = math.radians(degrees)
    piece, codes = fitted(crossing(a, clear))
    notch = [x for x, y in piece.panels[0].outline.points if 1 < x < 299]
    assert max(notch) - min(notch) == pytest.approx((T + C) / math.cos(a) + T * math.tan(a), abs=1e-6)
    assert codes == []


def test_a_square_shoulder_of_a_leaning_board_bears_on_its_rim() -> None:
    piece, codes = fitted(leaning_through(0.35, shoulders=True))
    base, mate = piece.panels
    shoulder = [p for p in mate.outline.points if p[0] < 99]
    low = min(mate.frame.to_space(np.array(shoulder), z)[:, 2].min() for z in (0.0, mate.thickness))
    assert low == pytest.approx(base.frame.origin[2] + base.thickness, abs=1e-6)
    assert codes == ["joint.line-bearing"]


@CLEARANCES
@pytest.mark.parametrize("draw", [half_lap, t_halving])
def test_lapped_boards_stay_flush_and_lie_on_each_other(
    draw: Callable[[float], list[Panel]], clear: float
) -> None:
    piece, codes = fitted(draw(clear))
    a, b = piece.panels
    assert a.frame.origin[2] == pytest.approx(b.frame.origin[2])  # flush below, and above: equal boards
    assert a.pockets[0].depth + b.pockets[0].depth == pytest.approx(T, abs=1e-6)
    assert width(a.pockets[0].outline.points) == pytest.approx(60 + 0.5, abs=1e-6)
    assert codes == []


@CLEARANCES
def test_a_stack_counts_as_one_board(clear: float) -> None:
    piece, codes = fitted(stack_in_slot(clear))
    base, left, right = piece.panels
    assert width(base.holes[0].points) == pytest.approx(2 * T + C, abs=1e-6)
    assert left.frame.origin[0] + left.thickness == pytest.approx(right.frame.origin[0])  # still touching
    assert codes == []


def test_a_board_behind_a_stack_board_follows_and_what_meets_it_follows_too() -> None:
    drawn = stack_in_slot()
    piece, _ = fitted(drawn)
    moved = [float(p.frame.origin[0] - d.frame.origin[0]) for p, d in zip(piece.panels, drawn, strict=True)]
    # the outer face of the right board stays; its inner face and the whole left board go 0.3 mm, and so does
    # the left board's own inner face
    assert moved[1:] == pytest.approx([0.6, 0.3], abs=1e-6)


@CLEARANCES
@pytest.mark.parametrize("slant", [0.0, 6.0])
def test_a_key_bears_on_the_side_and_fills_its_mortise(slant: float, clear: float) -> None:
    drawn = keyed_tenon(clear, slant=slant)
    piece, codes = fitted(drawn)
    side, rail, key = piece.panels
    bearing = max(key.frame.to_space(key.outline.points)[:, 0])
    assert bearing == pytest.approx(float(side.frame.origin[0]), abs=1e-6)
    hole = rail.holes[0].points
    assert width(hole, 1) == pytest.approx(key.thickness + C, abs=1e-6)
    tight, _ = fitted(keyed_tenon(0.0, slant=slant))
    assert np.allclose(tight.panels[1].holes[0].points, hole, atol=1e-5)
    assert codes == []


@pytest.mark.parametrize(
    "draw", [half_lap, t_halving, stack_in_slot, keyed_tenon, lambda c: leaning_pocket(0.3, c)]
)
def test_fitting_twice_changes_nothing(draw: Callable[[float], list[Panel]]) -> None:
    once, _ = fitted(draw(0.3))
    twice, _ = fitted(once.panels, less=0.0)
    for a, b in zip(once.panels, twice.panels, strict=True):
        assert np.allclose(a.frame.origin, b.frame.origin, atol=1e-6)
        for p, q in zip(a.loops(), b.loops(), strict=True):
            assert np.allclose(p.points, q.points, atol=2e-5)


def test_a_round_ended_slot_is_named_and_one_with_relieved_corners_is_not() -> None:
    side, shelf = through_tenon(0.2)
    x0, y0, x1, y1 = side.holes[0].bounds()
    stadium = Outline(np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]), np.array([0, 1.0, 0, 1.0]))
    fits = {p.name: Thickness(p.thickness, p.thickness) for p in (side, shelf)}
    _, findings = fit_piece([replace(side, holes=(stadium.cw(),)), shelf], fits, GLUE)
    assert [f.where for f in findings if f.code == "joint.free-end"] == ["side at (100.0, 118.0)"]
    half = Outline(stadium.points, np.array([0, 0.02, 0, 0.02]))  # its ends bulge by 0.2 mm only
    _, findings = fit_piece([replace(side, holes=(half.cw(),)), shelf], fits, GLUE)
    assert [f.code for f in findings if f.code == "joint.round"] == ["joint.round"]
    r = 3.0
    corner = [(x0, y1 - 2), (x0, y0 + 2 * r), (x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    relieved = Outline(np.array(corner), np.array([0, 1.0, 0, 0, 0, 0]))  # a T-bone in one corner
    _, findings = fit_piece([replace(side, holes=(relieved.cw(),)), shelf], fits, GLUE)
    assert [f.code for f in findings if f.code in ("joint.round", "joint.free-end")] == []


def test_pads_of_different_thickness_follow_the_board_that_they_lie_on() -> None:
    drawn = [
        board("upright", rectangle(0, 0, 300, 200), t=18),
        board("thin pad", rectangle(20, 20, 80, 80), origin=(0, 0, 18), t=3),
        board("thick pad", rectangle(120, 20, 180, 80), origin=(0, 0, 18), t=9),
    ]
    piece, codes = fitted(drawn)
    top = piece.panels[0].frame.origin[2] + piece.panels[0].thickness
    assert [float(p.frame.origin[2]) for p in piece.panels[1:]] == pytest.approx([top, top])
    assert codes == []


def test_boards_that_cross_and_are_much_thinner_than_drawn_keep_sight_of_each_other() -> None:
    """At 45° a rim goes as far as its board gets thinner: farther than a contact reaches, if at one go."""
    a, t, less = math.pi / 4, 24.0, 1.6
    piece, codes = fitted(crossing(a, t=t), less)
    notch = [x for x, y in piece.panels[0].outline.points if 1 < x < 299]
    real = t - less
    assert max(notch) - min(notch) == pytest.approx((real + C) / math.cos(a) + real * math.tan(a), abs=1e-6)
    assert codes == []


@pytest.mark.parametrize("real", [2.9, 3.1])
def test_the_floor_of_a_groove_1_mm_behind_a_rabbets_wall_is_no_contact_of_that_wall(real: float) -> None:
    """3 mm boards: the side's face and its groove's floor both looked at the wall, within a clearance."""
    fit = fits_of(drawer(3.0, 0.0), {3.0: real})
    assert [f.code for f in fit.findings if f.severity != "note"] == []
    assert wrong_gaps(fit) == [] and shared_wood(fit.piece.panels) == []


@pytest.mark.parametrize("into", [0.001, 0.05, 0.3])
def test_a_butt_drawn_a_hair_into_its_board_ends_at_its_face(into: float) -> None:
    drawn = [
        board("back", rectangle(0, 0, 200, 200)),
        board("foot", rectangle(0, 0, 150, 100), origin=(50, 0, 18 - into), u=(0, 1, 0), n=(1, 0, 0)),
    ]
    piece, codes = fitted(drawn)
    back, foot = piece.panels
    low = min(foot.frame.to_space(foot.outline.points)[:, 2])
    assert low == pytest.approx(back.frame.origin[2] + back.thickness, abs=1e-6)
    assert codes == []


@CLEARANCES
def test_a_rabbet_and_a_groove_of_one_depth_both_get_their_gaps(clear: float) -> None:
    """A drawer's side: the rabbet for the back and the groove for the bottom have one floor."""
    c = clear / 2
    corners = [
        (0, 10 - c),
        (288, 10 - c),
        (288, 0),
        (300, 0),
        (300, 150),
        (288, 150),
        (288, 16 + c),
        (0, 16 + c),
    ]
    side = polygon_outline(corners)
    drawn = [
        board("side", rectangle(0, 0, 300, 150), u=(0, 1, 0), n=(1, 0, 0), t=12, pockets=[(side, 6.0, "+n")]),
        board("back", rectangle(0, 0, 194, 150), origin=(6, 288, 150), n=(0, 1, 0), t=12),
        board("bottom", rectangle(0, 0, 194 - c, 288), origin=(6 + c, 0, 10), t=6),
    ]
    piece, codes = fitted(drawn, less=0.2)
    made, back, bottom = piece.panels
    floor = float(made.frame.origin[0]) + made.thickness - made.pockets[0].depth
    low = [min(p.frame.to_space(p.outline.points)[:, 0]) - floor for p in (back, bottom)]
    assert low == pytest.approx([0.25, 0.40], abs=1e-6)  # half the play along; the floor of the class
    assert codes == []
