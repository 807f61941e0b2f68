# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Stiffness of plywood and the sag of shelves, against published tables."""

from __future__ import annotations

import pytest
from scipy import integrate

from flatwright import resources
from flatwright.boards.stiffness import bending, sag, second_moment, veneers
from flatwright.presets.reading import load

# PLY-2: Handbook of Finnish Plywood, tables of section 3 (from memory; a closed form gives all of them):
# plies -> mean bending E along and across, N/mm². Veneers 1.4 mm, sanded faces 1.1 mm.
FINNISH_BIRCH = {
    3: (16471, 1029),
    5: (12737, 4763),
    7: (11395, 6105),
    9: (10719, 6781),
    11: (10316, 7184),
    13: (10048, 7452),
    15: (9858, 7642),
    17: (9717, 7783),
    19: (9607, 7893),
    21: (9519, 7981),
}

# SHF-2: Architectural Woodwork Standards, ed. 1 (2009), 4.4.14.10: longest adjustable shelf, in.
# (thickness in, E psi, load lb/ft²) -> length. Sag L/144 is inferred.
LONGEST_SHELF = {
    (0.75, 950_000, 40): 40,
    (0.75, 950_000, 50): 37,
    (1.0, 950_000, 40): 53,
    (1.0, 950_000, 50): 49,
    (0.75, 1_800_000, 40): 49,
    (0.75, 1_800_000, 50): 46,
    (1.0, 1_800_000, 40): 66,
    (1.0, 1_800_000, 50): 61,
}


def birch(plies: int) -> tuple[float, ...]:
    return veneers(2 * 1.1 + (plies - 2) * 1.4, plies, 1.1)


@pytest.mark.parametrize("plies", FINNISH_BIRCH)
def test_ply_2_bending_stiffness_of_birch_plywood(plies: int) -> None:
    stiffness = bending(birch(plies))
    assert (stiffness.along, stiffness.across) == pytest.approx(FINNISH_BIRCH[plies], abs=0.5)


@pytest.mark.parametrize("plies", FINNISH_BIRCH)
def test_ply_3_along_and_across_share_the_fibres(plies: int) -> None:
    stiffness = bending(birch(plies))
    assert stiffness.along + stiffness.across == pytest.approx(17500)


@pytest.mark.parametrize(("plies", "ratio"), [(13, 1.3484), (5, 2.674), (3, 16.0)])
def test_ply_3_ratio_along_to_across(plies: int, ratio: float) -> None:
    stiffness = bending(birch(plies))
    assert stiffness.along / stiffness.across == pytest.approx(ratio, rel=5e-4)


def test_ply_2_the_starters_boards_are_such_boards() -> None:
    board = next(b for b in load(resources.path("presets/metric.shop.json")).boards if b.name == "birch 18")
    assert board.plies is not None
    assert bending(veneers(17.6, board.plies, board.face_veneer)).along == pytest.approx(10048, abs=0.5)


@pytest.mark.parametrize(
    ("thickness", "moment"),
    [(6.1, 18.9), (8.8, 56.8), (11.5, 127), (17.1, 417), (20.0, 667), (22.9, 1001)],
)
def test_thk_11_section_of_a_metre_of_plywood(thickness: float, moment: float) -> None:
    """BS 5268-2:2002, Finnish birch-faced plywood: I in 10³ mm⁴ for 1 m width at the least thickness."""
    assert second_moment(1000, thickness) / 1000 == pytest.approx(moment, rel=5e-3)  # three digits


def test_ply_4_the_starters_boards_are_no_stiffer_or_softer_than_wood_can_be() -> None:
    """Wood Handbook Table 12-1 has plywood at 7 to 8.6 GPa; 4 to 17 GPa along the grain is plausible."""
    boards = load(resources.path("presets/metric.shop.json")).boards
    for board in boards:
        assert board.plies is not None
        assert 4000 < bending(veneers(board.nominal, board.plies, board.face_veneer)).along < 17000


def test_ply_6_a_shelf_cut_across_sags_more() -> None:
    """PLY-2 with SHF-1: 800 × 300 × 18 mm under 0.5 N/mm sags 1.820 mm along the grain, 2.454 mm across."""
    stiffness, moment = bending(birch(13)), second_moment(300, 18)
    assert sag(0.5, 800, stiffness.along, moment) == pytest.approx(1.820, abs=5e-4)
    assert sag(0.5, 800, stiffness.across, moment) == pytest.approx(2.454, abs=5e-4)


def test_shf_1_sag_agrees_with_the_principle_of_virtual_work() -> None:
    """δ = ∫ M m / EI over the span, integrated by scipy."""
    w, span, ei = 0.5, 800.0, 10048.0 * 145800.0
    virtual = integrate.quad(lambda x: (w * x * (span - x) / 2) * (x / 2) / ei, 0, span / 2)[0]
    assert sag(w, span, 10048.0, 145800.0) == pytest.approx(2 * virtual)


@pytest.mark.parametrize(("thickness", "modulus", "load"), LONGEST_SHELF)
def test_shf_2_longest_shelf(thickness: float, modulus: float, load: float) -> None:
    """At the printed whole inches less and plus 0.6 the sag lies below and above L/144."""
    printed = LONGEST_SHELF[thickness, modulus, load]
    moment = second_moment(1.0, thickness)
    short, long = (printed - 0.6, printed + 0.6)
    assert sag(load / 144, short, modulus, moment) < short / 144
    assert sag(load / 144, long, modulus, moment) > long / 144


def test_plies_that_leave_no_core_are_refused() -> None:
    with pytest.raises(ValueError, match="nothing for the plies"):
        veneers(2.0, 3, 1.0)
    with pytest.raises(ValueError, match="one ply"):
        veneers(2.0, 0)
