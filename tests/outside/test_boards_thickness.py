# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Thickness of plywood as sold, against the standards and a trade data sheet."""

from __future__ import annotations

from fractions import Fraction

import pytest

from flatwright import resources
from flatwright.boards.assigning import assign_boards
from flatwright.boards.batch import measured
from flatwright.boards.readings import parse_readings
from flatwright.boards.standards import CATEGORIES, category_of, en_315, ps_1, variation_limit
from flatwright.presets.reading import load

INCH = Fraction(127, 5)
METRIC_BOARDS = load(resources.path("presets/metric.shop.json")).boards

# THK-1: Voluntary Product Standard PS 1, panel thickness table (as reproduced by a trade association).
PS_1 = """1/4 0.219 0.281; 11/32 0.313 0.375; 3/8 0.344 0.406; 15/32 0.438 0.500; 1/2 0.469 0.531;
19/32 0.563 0.625; 5/8 0.594 0.656; 23/32 0.688 0.750; 3/4 0.719 0.781; 13/16 0.781 0.844;
7/8 0.831 0.919; 1 0.950 1.050; 9/8 1.069 1.181; 5/4 1.188 1.313"""

# THK-4 and THK-5: EN 315:2000 Table 1, sanded and unsanded (expressions from sister standards).
EN_315_SANDED = [
    (6.5, 5.91, 6.90),
    (9, 8.33, 9.47),
    (12, 11.24, 12.56),
    (15, 14.15, 15.65),
    (18, 17.06, 18.74),
    (21, 19.97, 21.83),
    (24, 22.88, 24.92),
]
EN_315_UNSANDED = [(12, 11.24, 13.16), (18, 17.06, 19.34), (24, 22.88, 25.52)]

# THK-7: birch plywood data sheet, same figures as the Handbook of Finnish Plywood 2.4:
# nominal, mean, lower, upper, plies.
BIRCH = [
    (4, 3.8, 3.5, 4.1, 3),
    (6.5, 6.4, 6.1, 6.9, 5),
    (9, 9.2, 8.8, 9.5, 7),
    (12, 12.0, 11.5, 12.5, 9),
    (15, 14.9, 14.3, 15.3, 11),
    (18, 17.7, 17.1, 18.1, 13),
    (21, 20.5, 20.0, 20.9, 15),
    (24, 23.4, 22.9, 23.7, 17),
]


@pytest.mark.parametrize("row", PS_1.split(";"))
def test_thk_1_us_categories(row: str) -> None:
    category, low, high = (Fraction(part) for part in row.split())
    band = ps_1(category)
    half_digit = 0.000501 * float(INCH)
    assert category in CATEGORIES
    assert band.low == pytest.approx(float(low * INCH), abs=half_digit)
    assert band.high == pytest.approx(float(high * INCH), abs=half_digit)


def test_thk_1_a_thickness_in_mm_is_known_as_its_category() -> None:
    assert [category_of(float(c * INCH)) for c in CATEGORIES] == list(CATEGORIES)
    assert [category_of(nominal) for nominal, *_ in BIRCH] == [None] * len(BIRCH)


@pytest.mark.parametrize(
    ("nominal", "low", "high", "sanded"),
    [(*r, True) for r in EN_315_SANDED] + [(*r, False) for r in EN_315_UNSANDED],
)
def test_thk_4_and_5_european_limits(nominal: float, low: float, high: float, sanded: bool) -> None:
    band = en_315(nominal, sanded)
    assert band is not None
    assert (band.low, band.high) == pytest.approx((low, high), abs=0.00501)


def test_thk_6_variation_within_a_panel() -> None:
    """EN 315 / ISO 1954, producers' tables: readings 17.6 to 18.3 are too far apart for a sanded panel."""
    assert (variation_limit(18), variation_limit(12, False), variation_limit(18, False)) == (0.6, 1.0, 1.5)
    readings = parse_readings(["18:17.6,17.8,17.9,18.0,18.1,18.2,18.25,18.3"])
    _, findings = assign_boards({"side": 18.0}, METRIC_BOARDS, readings)
    assert [f.code for f in findings] == ["board.uneven"]


@pytest.mark.parametrize(("nominal", "mean", "low", "high", "plies"), BIRCH)
def test_thk_7_birch_lies_within_the_general_limits(
    nominal: float, mean: float, low: float, high: float, plies: int
) -> None:
    band = en_315(nominal)
    assert band is not None
    assert round(band.low, 1) <= low <= mean <= high <= round(band.high, 1)
    assert [b.plies for b in METRIC_BOARDS if b.nominal == nominal] == [plies]


def test_thk_7_an_18_mm_board_measured_17_7_is_not_taken_for_18() -> None:
    assigned, findings = assign_boards({"side": 18.0}, METRIC_BOARDS, parse_readings(["17.7"]))
    assert assigned["side"].thickness == 17.7
    assert findings == []


def test_thk_8_eight_points_of_a_panel() -> None:
    """EN 324-1:1993: the mean of eight readings, told to 0.1 mm."""
    batch = measured("birch 18", 18.0, [17.85, 17.90, 17.92, 17.88, 17.95, 17.87, 17.91, 17.93])
    assert batch.mean == pytest.approx(17.90125, abs=1e-9)
    assert f"{batch.mean:.1f}" == "17.9"


def test_thk_9_us_retest_by_the_mean_of_four() -> None:
    """PS 1 measurement clause: the first reading fails, the mean of four decides."""
    [group] = parse_readings(["3/4 in:0.716 in,0.724 in,0.722 in,0.726 in"])
    batch, band = measured("plywood 3/4", 19.05, group.values), ps_1(Fraction(3, 4))
    assert batch.mean == pytest.approx(0.722 * 25.4, abs=1e-9)
    assert not band.holds(batch.readings[0])
    assert band.holds(batch.mean)
