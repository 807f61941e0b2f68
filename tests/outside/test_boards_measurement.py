# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Means, uncertainties and the probability of a fit, against published examples."""

from __future__ import annotations

from dataclasses import replace

import pytest

from flatwright.boards.batch import measured
from flatwright.boards.fit_probability import Gap, clearance_for, gap
from flatwright.boards.uncertainty import (
    combined,
    expanded,
    of_resolution,
    rectangular,
    standard_error,
    t_factor,
)
from flatwright.joints.likelihood import Slot, slot_odds
from flatwright.presets.model import FitClass, Fits

EIGHT = [17.85, 17.90, 17.92, 17.88, 17.95, 17.87, 17.91, 17.93]

# JCGM 100:2008 (GUM) Table 1, as printed there (readings from memory, the printed results come out).
GUM_1 = """96.90 98.18 98.25 98.61 99.03 99.49 99.56 99.74 99.89 100.07
100.33 100.42 100.68 100.95 101.11 101.20 101.57 101.84 102.36 102.72"""


def test_fit_5_probability_that_a_joint_assembles() -> None:
    """Normal theory (FIT-5): slot 18.10, s 0.05; board 17.90, s 0.12."""
    joint = gap(18.10, 0.05, 17.90, 0.12)
    assert joint.mean == pytest.approx(0.20)
    assert joint.spread == pytest.approx(0.13)
    assert joint.assembles == pytest.approx(0.93803, abs=5e-6)
    assert clearance_for(0.95, 0.05, 0.12) == pytest.approx(0.21384, abs=1e-5)


def test_fit_5_as_the_plan_says_it_of_a_joint() -> None:
    """The same board and slot as a joint: 17.90 mm, s 0.12; a slot 0.20 mm wider, s 0.05."""
    batch = replace(measured("birch 18", 18.0, [17.90]), spread=0.12)
    fits = Fits("glue", {"glue": FitClass(0.20, 0.5, 0.5)}, wanted_probability=0.95, slot_spread=0.05)
    odds = slot_odds([Slot(0.20, ((17.90, batch),))], fits.classes["glue"], fits)
    assert odds.assembles == pytest.approx(0.93803, abs=5e-6)
    assert odds.wanted == pytest.approx(0.21384, abs=1e-5)


def test_fit_4_worst_case_and_root_of_squares() -> None:
    """Texts on tolerances: four parts of ±0.1 are ±0.4 at worst and ±0.2 by the root of their squares."""
    parts = (0.1,) * 4
    assert sum(parts) == pytest.approx(0.4)
    assert combined(*parts) == pytest.approx(0.2)


@pytest.mark.parametrize(("z", "probability"), [(1.645, 0.95002), (1.96, 0.97500), (3.0, 0.99865)])
def test_fit_6_the_normal_table(z: float, probability: float) -> None:
    """Any table of the normal distribution (FIT-6)."""
    assert Gap(z, 1.0).assembles == pytest.approx(probability, abs=5e-6)


def test_fit_7_gum_table_1() -> None:
    """JCGM 100:2008, 4.4.3: 20 readings, mean 100.145, s 1.489, s of the mean 0.333."""
    readings = [float(r) for r in GUM_1.split()]
    batch = measured("GUM table 1", 100.0, readings)
    assert batch.deviation is not None
    assert batch.mean == pytest.approx(100.145, abs=5e-4)
    assert batch.deviation == pytest.approx(1.489, abs=5e-4)
    assert standard_error(batch.deviation, 20) == pytest.approx(0.333, abs=5e-4)


def test_fit_8_rectangular_distribution_and_resolution() -> None:
    """JCGM 100, 4.3.7 and F.2.2.1 (from memory): a/√3, and a step q gives q/√12."""
    assert rectangular(4.0) == pytest.approx(2.309, abs=5e-4)
    assert of_resolution(0.01) == pytest.approx(0.00289, abs=5e-6)


def test_fit_9_gum_end_gauge() -> None:
    """JCGM 100, H.1 (components from memory, the printed results come out): in nm the standard 25, the
    differences 5.8, 3.9 and 6.7, expansion 2.9, temperature 16.6; u 31.7, t99 of 16 is 2.92, U99 93."""
    difference = combined(5.8, 3.9, 6.7)
    u = combined(25.0, difference, 2.9, 16.6)
    assert difference == pytest.approx(9.7, abs=0.05)
    assert u == pytest.approx(31.7, abs=0.05)
    assert t_factor(0.99, 16) == pytest.approx(2.92, abs=5e-3)
    assert expanded(u, 16, 0.99) == pytest.approx(93.0, abs=0.6)  # 2.92 times a u rounded up to 32


def test_fit_10_uncertainty_of_the_mean_of_eight() -> None:
    """JCGM 100 on the readings of THK-8; u 0.01207 takes in a resolution of 0.01 mm."""
    batch = measured("birch 18", 18.0, EIGHT)
    assert batch.deviation is not None
    error = standard_error(batch.deviation, 8)
    assert batch.deviation == pytest.approx(0.03314, abs=5e-6)
    assert error == pytest.approx(0.01172, abs=5e-6)
    assert t_factor(0.95, 7) == pytest.approx(2.3646, abs=5e-5)
    assert expanded(error, 7) == pytest.approx(0.0277, abs=5e-5)
    assert combined(error, of_resolution(0.01)) == pytest.approx(0.01207, abs=5e-6)
    assert batch.standard_uncertainty == pytest.approx(0.01207, abs=5e-6)


def test_fit_11_numerically_hard_means() -> None:
    """NIST StRD, NumAcc1 and NumAcc4 (from memory, recomputed): means and deviations keep their digits."""
    one = measured("NumAcc1", 1e7, [10000001.0, 10000003.0, 10000002.0])
    four = measured("NumAcc4", 1e7, [10000000.2, *[10000000.1, 10000000.3] * 500])
    assert (one.mean, one.deviation) == (10000002.0, 1.0)
    assert four.mean == pytest.approx(10000000.2, abs=1e-8)
    assert four.deviation == pytest.approx(0.1, abs=1e-8)
