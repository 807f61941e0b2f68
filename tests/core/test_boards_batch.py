# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a batch of boards is known to be."""

from __future__ import annotations

import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from flatwright.boards.batch import SPREAD_FLOOR, instrument_step, measured, unmeasured
from flatwright.boards.uncertainty import t_factor

READINGS = st.lists(st.integers(1700, 1850).map(lambda n: n / 100), min_size=1, max_size=20)


@given(readings=READINGS)
def test_laws_of_a_batch(readings: list[float]) -> None:
    batch = measured("birch 18", 18.0, readings)
    assert batch.measured
    assert batch.smallest <= batch.mean <= batch.largest or batch.largest - batch.smallest < 1e-9
    assert batch.extremes == (batch.smallest - batch.step, batch.largest + batch.step)
    assert batch.spread > 0
    assert measured("birch 18", 18.0, readings[::-1]).mean == batch.mean


def test_few_readings_do_not_promise_a_small_spread() -> None:
    assert measured("b", 18.0, [17.7]).spread == SPREAD_FLOOR
    assert measured("b", 18.0, [17.7] * 7).spread == SPREAD_FLOOR
    eight = [17.72, 17.70, 17.75, 17.68, 17.71, 17.74, 17.69, 17.73]
    assert measured("b", 18.0, eight).spread == statistics.stdev(eight)
    assert measured("b", 18.0, [17.0, 18.0]).spread == pytest.approx(0.5**0.5)


def test_equal_readings_still_spread_by_the_callipers_step() -> None:
    assert measured("b", 18.0, [17.7] * 8).spread == pytest.approx(0.05 / 12**0.5)


@pytest.mark.parametrize(
    ("readings", "step"),
    [
        ([17.7, 17.75, 17.8], 0.05),
        ([18.0], 0.05),
        ([17.72, 17.74], 0.02),
        ([17.72, 17.75], 0.01),
        ([0.71 * 25.4, 0.709 * 25.4], 0.0254),
        ([17.7051], 0.01),
    ],
)
def test_the_callipers_step_shows_in_the_readings(readings: list[float], step: float) -> None:
    assert instrument_step(readings) == step


def test_a_single_reading_has_no_uncertainty_to_tell() -> None:
    batch = measured("b", 18.0, [17.7])
    assert batch.deviation is batch.standard_uncertainty is batch.uncertainty is None


def test_an_unmeasured_board_has_only_a_mean_and_a_wide_spread() -> None:
    batch = unmeasured("birch 18", 18.0, 18.1)
    assert not batch.measured
    assert (batch.mean, batch.extremes) == (18.1, (18.1, 18.1))
    assert batch.spread == pytest.approx(0.42)  # EN 315, 17.06 to 18.74 mm: ±2 s
    assert batch.expected == pytest.approx(17.9)


def test_an_unmeasured_inch_board_spreads_by_its_own_standard() -> None:
    """PS 1: ±1/32 in about 3/4 in."""
    batch = unmeasured("plywood 3/4", 19.05, 19.05)
    assert batch.spread == pytest.approx(25.4 / 32 / 2)
    assert batch.expected == pytest.approx(19.05)


@pytest.mark.parametrize("nominal", [2.5, 30.0])
def test_where_no_standard_reaches_a_board_is_expected_as_drawn(nominal: float) -> None:
    batch = unmeasured("b", nominal, nominal + 0.1)
    assert batch.expected == nominal + 0.1
    assert batch.spread == pytest.approx((0.6 + 0.06 * nominal) / 4)


def test_no_readings_are_no_measured_batch() -> None:
    with pytest.raises(ValueError, match="readings"):
        measured("b", 18.0, [])


@pytest.mark.parametrize("confidence", [0.5, 0.8, 0.95, 0.99, 0.9999])
@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 7, 8, 19, 100, 1000])
def test_t_factors_agree_with_scipy(confidence: float, freedom: int) -> None:
    theirs = stats.t.ppf((1.0 + confidence) / 2.0, freedom)
    assert t_factor(confidence, freedom) == pytest.approx(theirs, rel=1e-7)


@pytest.mark.parametrize(("confidence", "freedom"), [(0.0, 5), (1.0, 5), (0.95, 0)])
def test_no_t_factor_without_confidence_or_freedom(confidence: float, freedom: int) -> None:
    with pytest.raises(ValueError, match="t-factor"):
        t_factor(confidence, freedom)
