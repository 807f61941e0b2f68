# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Moisture content and movement, against the Wood Handbook and published tests."""

from __future__ import annotations

import pytest

from flatwright.boards.assigning import Assigned
from flatwright.boards.batch import measured
from flatwright.boards.moisture import (
    IN_PLANE_ACROSS,
    IN_PLANE_ALONG,
    THICKNESS_BIRCH,
    equilibrium,
    movement,
)
from flatwright.joints.slots import thicknesses
from flatwright.presets.model import FitClass, Fits

# MOI-3: Wood Handbook (FPL-GTR-190) Table 4-2, p. 4-4: % at 5, 10 … 95 % relative humidity by °F.
TABLE_4_2 = {
    40: "1.4 2.6 3.7 4.6 5.5 6.3 7.1 7.9 8.7 9.5 10.4 11.3 12.3 13.5 14.9 16.5 18.5 21.0 24.3",
    70: "1.3 2.5 3.5 4.5 5.4 6.2 6.9 7.7 8.5 9.2 10.1 11.0 12.0 13.1 14.4 16.0 17.9 20.5 23.9",
    90: "1.2 2.3 3.4 4.3 5.1 5.9 6.7 7.4 8.1 8.9 9.7 10.5 11.5 12.6 13.9 15.4 17.3 19.8 23.3",
}


@pytest.mark.parametrize(
    ("celsius", "humidity", "content"),
    [(20, 0.50, 9.271), (20, 0.65, 11.996), (21.1, 0.50, 9.243), (25, 0.35, 6.861), (15.6, 0.80, 16.209)],
)
def test_moi_1_equilibrium_by_simpsons_equation(celsius: float, humidity: float, content: float) -> None:
    """Simpson 1998, FPL-RN-0268 (coefficients as an open conservation-science package cites them)."""
    assert equilibrium(celsius, humidity) == pytest.approx(content, abs=5e-4)


@pytest.mark.parametrize("fahrenheit", TABLE_4_2)
def test_moi_3_equilibrium_by_the_handbooks_table(fahrenheit: int) -> None:
    row = [float(v) for v in TABLE_4_2[fahrenheit].split()]
    ours = [equilibrium((fahrenheit - 32) / 1.8, k / 20) for k in range(1, 20)]
    assert ours == pytest.approx(row, abs=0.07)  # the table is rounded to 0.1


def fahrenheit_form(t: float, h: float) -> float:
    """MOI-2: the same equation with its coefficients for °F (from memory; it reproduces Table 4-2)."""
    w = 330 + 0.452 * t + 0.00415 * t**2
    k = 0.791 + 0.000463 * t - 0.000000844 * t**2
    k1 = 6.34 + 0.000775 * t - 0.0000935 * t**2
    k2 = 1.09 + 0.0284 * t - 0.0000904 * t**2
    kh = k * h
    return 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2))


@pytest.mark.parametrize(("fahrenheit", "humidity", "content"), [(70, 0.50, 9.246), (140, 0.55, 8.38)])
def test_moi_2_the_equation_in_fahrenheit_agrees(fahrenheit: float, humidity: float, content: float) -> None:
    assert fahrenheit_form(fahrenheit, humidity) == pytest.approx(content, abs=5e-3)
    ours = equilibrium((fahrenheit - 32) / 1.8, humidity)
    assert ours == pytest.approx(fahrenheit_form(fahrenheit, humidity), abs=0.01)


def test_moi_5_solid_birch_across() -> None:
    """Wood Handbook Table 13-5, C_T of yellow birch: 300 mm flat-sawn, 6 to 10 %, grow by 4.06 mm."""
    assert movement(300, 4, 0.00338) == pytest.approx(4.06, abs=5e-3)


def test_moi_6_plywood_hardly_moves_in_its_plane() -> None:
    """Forest Products Research Laboratory, 22 species: 1200 mm and 4 % give 0.66 mm along, 1.00 mm across."""
    assert movement(1200, 4, IN_PLANE_ALONG) == pytest.approx(0.66, abs=0.005)
    assert movement(1200, 4, IN_PLANE_ACROSS) == pytest.approx(1.00, abs=0.005)
    assert movement(1200, 4, 0.00338) > 15 * movement(1200, 4, IN_PLANE_ACROSS)  # solid birch, MOI-5


def test_moi_7_a_trade_figure_is_of_the_same_order() -> None:
    """A trade association's note: 0.0002 of a length for every 10 % of relative humidity, either way of
    the grain. Ours, by MOI-1 and MOI-6, is more, but not twice as much."""
    takes_up = equilibrium(20, 0.60) - equilibrium(20, 0.40)
    trade = 1200 * 0.0002 * 2
    assert trade == pytest.approx(0.48)
    for coefficient in (IN_PLANE_ALONG, IN_PLANE_ACROSS):
        assert trade < movement(1200, takes_up, coefficient) < 2 * trade


def test_moi_8_but_it_moves_in_thickness() -> None:
    """Wood Handbook Table 13-5, C_R of yellow birch: 18 mm from 8 to 12 % grow by 0.184 mm."""
    assert movement(18, 4, THICKNESS_BIRCH) == pytest.approx(0.184, abs=5e-4)


def test_moi_8_swelling_boards_get_that_much_wider_slots() -> None:
    """18 mm from 8 to 12 %: more than a sliding clearance of 0.1 mm, so slots are cut for it."""
    batch = measured("birch 18", 18.0, [18.0], moisture=4.0)
    fits = Fits("slip", {"slip": FitClass(0.1, 0.5, 0.5)})
    slot = thicknesses({"shelf": Assigned("birch 18", 18.0, batch)}, fits)["shelf"]
    assert slot.slot == pytest.approx(18.184, abs=5e-4)
    assert slot.real == 18.0


@pytest.mark.parametrize("humidity", [-0.01, 1.01])
def test_no_humidity_beyond_nothing_or_saturation(humidity: float) -> None:
    with pytest.raises(ValueError, match="humidity"):
        equilibrium(20, humidity)
