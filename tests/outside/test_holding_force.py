# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Cutting force and what holds against it (CHECKS MAC-5, HLD-1, HLD-3, HLD-4)."""

from __future__ import annotations

import pytest

from flatwright.bits.figures import SPECIFIC_FORCE, full_slot
from flatwright.holding.force import (
    share_along,
    side_hold,
    tab_strength,
    tabs_needed,
    vacuum_force,
)
from flatwright.presets.model import Bit, Board, Feed

BIT = Bit(1, "straight", 6.0, 2, 25.0)
FEED = Feed(1, 18000, 0.10, 6.0, 900)
BIRCH = Board("birch 18", 18.0, 13, "length", 1.1)
THICK = 17.6  # two faces of 1.1 and eleven cores of 1.4 mm: the build-up of HLD-4


@pytest.mark.parametrize(("k_c", "force"), [(32.0, 12.2), (37.6, 14.4)])
def test_cutting_force(k_c: float, force: float) -> None:
    """MAC-5: F_t = P/v_c of a 6 × 6 mm slot at 3600 mm/min and 18 000/min; k_c of particleboard from
    Pałubicki 2021, Materials 14, 2208."""
    assert full_slot(BIT, FEED).force * k_c / SPECIFIC_FORCE == pytest.approx(force, abs=0.05)


def test_vacuum_holds() -> None:
    """HLD-1: 80 kPa on 0.09 m² = 7200 N, × 0.3 = 2160 N; 25 inHg = 84.66 kPa (NIST SP 811)."""
    assert vacuum_force(80.0, 0.09) == pytest.approx(7200.0)
    assert side_hold(7200.0, 0.3) == pytest.approx(2160.0)
    assert vacuum_force(25 * 3.386389, 0.09) == pytest.approx(84.66 * 90.0, rel=1e-4)


def test_safety_ratio_of_a_vacuum() -> None:
    """HLD-3: 2160 N against 14.4 N is 150 for a 300 mm square; cut free and leaking (10 kPa), a 60 mm
    square is held by 10.8 N: less than the cut pulls, so it needs tabs."""
    force = full_slot(BIT, FEED).force * 37.6 / SPECIFIC_FORCE
    assert side_hold(vacuum_force(80.0, 0.3 * 0.3), 0.3) / force == pytest.approx(150, abs=0.5)
    assert side_hold(vacuum_force(80.0, 0.06 * 0.06), 0.3) == pytest.approx(86.4)
    assert side_hold(vacuum_force(10.0, 0.06 * 0.06), 0.3) == pytest.approx(10.8)
    assert force > 10.8


@pytest.mark.parametrize(("height", "along"), [(1.0, 1.0), (2.0, 0.55), (3.0, 0.533), (4.0, 0.625)])
def test_plies_in_a_tab(height: float, along: float) -> None:
    """HLD-4: share of a tab's plies that run along the face grain, 13-ply 18 mm birch."""
    assert share_along(height, THICK, 13, 1.1) == pytest.approx(along, abs=5e-4)


def test_a_tab_thinner_than_the_face_ply_has_no_fibres_across() -> None:
    """HLD-4."""
    assert tab_strength(10.0, 1.0, "along", THICK, BIRCH) == 0.0
    assert tab_strength(10.0, 1.0, "across", THICK, BIRCH) > 0.0
    assert tab_strength(10.0, 4.0, "along", THICK, BIRCH) < tab_strength(10.0, 4.0, "across", THICK, BIRCH)


def test_the_whole_board_is_shared_by_all_plies() -> None:
    """PLY-1 lamination: seven plies along (two faces, five cores), six across."""
    assert share_along(THICK, THICK, 13, 1.1) == pytest.approx((2 * 1.1 + 5 * 1.4) / THICK)


def test_tabs_needed() -> None:
    """So many that their strength is the asked-for multiple of the force."""
    assert tabs_needed(force=15.0, strength=30.0, factor=4.0, at_least=3) == 3
    assert tabs_needed(force=15.0, strength=15.0, factor=4.0, at_least=3) == 4
    assert tabs_needed(force=15.0, strength=0.0, factor=4.0, at_least=3) == 3
