# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Screws: heads and withdrawal (SCR-2 to SCR-4, SCR-7, SCR-8, HLD-5). The coefficients are from memory, for
orientation; what is held against a source here is the arithmetic and the direction."""

from __future__ import annotations

import pytest

from flatwright import resources
from flatwright.holding.pull import FIBREBOARD, WOOD, board_pull, wood_pull
from flatwright.presets.reading import load

NUMBER_8 = (0.060 + 0.013 * 8) * 25.4  # SCR-1: shank D = 0.060 + 0.013 N in (ASME B18.6.1)


def test_the_metric_coefficients_are_the_inch_ones() -> None:
    """Unit identities: 15 700 psi; 2655 lb/in^(7/4)."""
    assert pytest.approx(15700 * 6.894757e-3, rel=1e-4) == WOOD
    assert pytest.approx(4.44822 * 25.4**-1.75 * 2655, rel=1e-3) == FIBREBOARD


def test_worked_numbers() -> None:
    """SCR-3: G 0.50, #8, 1 in: 643.7 lb = 2863 N. SCR-7: 12 mm in MDF of 0.72: 833 N, of 0.65: 679 N."""
    assert wood_pull(NUMBER_8, 25.4, 0.5) == pytest.approx(2863, abs=1)
    assert board_pull(NUMBER_8, 12.0, 0.72) == pytest.approx(833, abs=1)
    assert board_pull(NUMBER_8, 12.0, 0.65) == pytest.approx(679, abs=1)


def test_four_screws_at_factor_five() -> None:
    """HLD-5: 4 × 833 / 5 = 666 N."""
    assert 4 * board_pull(NUMBER_8, 12.0) / 5 == pytest.approx(666, abs=1)


def test_a_longer_or_thicker_screw_bears_more() -> None:
    """SCR-8: Yorur et al. 2020, Maderas 22(3) 375."""
    assert board_pull(4.2, 14.0) > board_pull(4.2, 12.0)
    assert board_pull(4.8, 12.0) > board_pull(4.2, 12.0)
    assert board_pull(4.2, 1.0) == 0.0, "a point that does not bite holds nothing"


@pytest.mark.parametrize("starter", ["metric", "inch"])
def test_bits_keep_off_the_largest_head_of_a_number_8(starter: str) -> None:
    """SCR-2: flat countersunk head of #8, at most 0.332 in wide and 0.100 in high (ASME B18.6.1)."""
    fasteners = load(resources.path(f"presets/{starter}.shop.json")).holding.fasteners
    assert fasteners.head_diameter >= 0.332 * 25.4
    assert fasteners.head_height >= 0.100 * 25.4
    assert fasteners.shank_diameter == pytest.approx(NUMBER_8, abs=0.05)


def test_what_a_screw_bears_at_last_is_five_and_a_half_times_what_is_allowed() -> None:
    """SCR-4: 2850 G² D lb/in are allowed: 109.65 for #10 in wood of 0.45 (NDS; the source prints 109)."""
    inches = 0.060 + 0.013 * 10
    allowed = 2850 * 0.45**2 * inches
    assert allowed == pytest.approx(109.65, abs=0.01)
    assert wood_pull(inches * 25.4, 25.4, 0.45) / 4.44822 / allowed == pytest.approx(5.509, abs=0.002)
