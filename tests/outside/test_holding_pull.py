# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Withdrawal of screws (CHECKS SCR-3, SCR-7, SCR-8, HLD-5). The coefficients are from memory and for
orientation; what is held against a source here is the arithmetic and the direction."""

from __future__ import annotations

import pytest

from flatwright.holding.pull import FIBREBOARD, WOOD, board_pull, wood_pull

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
