# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a cut asks of bit and spindle, against handbooks' formulas (CHECKS MAC-1 to MAC-5, MAC-7 to MAC-9)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.bits.figures import (
    FLUTED,
    SPECIFIC_FORCE,
    chip_thinning,
    deflection,
    figures,
    full_slot,
    mean_chip,
    stick_out,
    surface_speed,
)
from flatwright.presets.model import Bit, Feed

BIT = Bit(1, "straight", 6.0, 2, 25.0, stick_out=25.0)
FEED = Feed(1, 18000, 0.10, 6.0, 900)


def test_feed_and_surface_speed() -> None:
    """MAC-1, MAC-2 (ISO 3002-3 terms): 18 000 × 2 × 0.10 = 3600 mm/min; π · 6 · 18 000 = 339.29 m/min."""
    assert full_slot(BIT, FEED).feed == pytest.approx(3600.0)
    assert surface_speed(6.0, 18000.0) == pytest.approx(339.29, abs=5e-3)
    assert surface_speed(6.0, 18000.0) / 60.0 == pytest.approx(5.655, abs=5e-4)


@pytest.mark.parametrize(
    ("engaged", "ratio"),
    [(0.02, 0.28), (0.05, 0.43589), (0.10, 0.6), (0.20, 0.8), (0.30, 0.91652), (0.5, 1.0)],
)
def test_chip_thinning(engaged: float, ratio: float) -> None:
    """MAC-3: the tooth's way taken as a circle; 0.10 and 0.20 are exact (Pythagoras)."""
    assert chip_thinning(engaged) == pytest.approx(ratio, abs=5e-6)
    assert chip_thinning(0.8) == 1.0


def test_mean_chip() -> None:
    """MAC-4: the mean of sin over half a turn, by quadrature too."""
    integrate = pytest.importorskip("scipy.integrate")
    assert mean_chip(0.1) == pytest.approx(0.06366, abs=5e-6)
    area, _ = integrate.quad(lambda a: 0.1 * math.sin(a), 0.0, math.pi)
    assert mean_chip(0.1) == pytest.approx(area / math.pi)


@pytest.mark.parametrize(("k_c", "power", "force"), [(32.0, 69.1, 12.2), (37.6, 81.2, 14.4)])
def test_power_and_force(k_c: float, power: float, force: float) -> None:
    """MAC-5: 6 × 6 mm at 3600 mm/min: 2160 mm³/s; k_c: Pałubicki 2021, Materials 14, 2208."""
    full = full_slot(BIT, FEED)
    assert full.removal == pytest.approx(2160.0)
    assert full.power * k_c / SPECIFIC_FORCE == pytest.approx(power, abs=0.05)
    assert full.force * k_c / SPECIFIC_FORCE == pytest.approx(force, abs=0.05)


def test_power_rises_with_feed_and_speed_and_depth() -> None:
    """MAC-6, directions only (Sedlecký and Gašparík 2017, BioResources 12(4) 7413)."""
    base = full_slot(BIT, FEED).power
    assert full_slot(BIT, replace(FEED, chip_load=0.12)).power > base
    assert full_slot(BIT, replace(FEED, spindle=20000)).power > base
    assert full_slot(BIT, replace(FEED, pass_depth=7.0)).power > base


def test_deflection_of_a_round_bar_and_of_a_fluted_bit() -> None:
    """MAC-7 (Euler–Bernoulli): 50 N, 25 mm, 6 mm, 600 GPa: 6.82 µm. MAC-8 (Kops and Vo 1990, CIRP Annals
    39(1) 93): a fluted bit bends like 0.80 of its diameter: 16.66 µm."""
    assert deflection(50.0, 25.0, 6.0, 600e3) == pytest.approx(6.82e-3, abs=5e-6)
    assert deflection(50.0, 25.0, FLUTED * 6.0, 600e3) == pytest.approx(16.66e-3, abs=5e-6)
    full = full_slot(BIT, FEED)
    assert full.bend == pytest.approx(full.force / 50.0 * 16.66e-3, rel=1e-3)


@pytest.mark.filterwarnings("ignore::DeprecationWarning")  # the library's own, of another library
def test_the_same_beam_by_a_general_library() -> None:
    """MAC-7 against sympy's beam."""
    beams = pytest.importorskip("sympy.physics.continuum_mechanics.beam")
    sympy = pytest.importorskip("sympy")
    beam = beams.Beam(sympy.Integer(25), sympy.Integer(600000), sympy.pi * 6**4 / 64)
    beam.apply_load(-50, 25, -1)
    beam.apply_load(50, 0, -1)
    beam.apply_load(-50 * 25, 0, -2)
    beam.bc_slope = [(0, 0)]
    beam.bc_deflection = [(0, 0)]
    tip = abs(float(beam.deflection().subs("x", 25)))
    assert deflection(50.0, 25.0, 6.0, 600e3) == pytest.approx(tip, rel=1e-9)


@given(st.floats(1.0, 100.0), st.floats(5.0, 80.0), st.floats(2.0, 20.0))
def test_scaling_laws(force: float, length: float, diameter: float) -> None:
    """MAC-9: twice the length bends eight times as far, twice the diameter a sixteenth."""
    base = deflection(force, length, diameter, 600e3)
    assert deflection(force, 2 * length, diameter, 600e3) == pytest.approx(8 * base)
    assert deflection(force, length, 2 * diameter, 600e3) == pytest.approx(base / 16)


def test_a_light_cut_along_a_wall_bends_less() -> None:
    """A tenth of the bit wide and three times as deep: the force is 0.3 of a full slot's."""
    light, full = figures(BIT, FEED, 0.6, 18.0), full_slot(BIT, FEED)
    assert light.force == pytest.approx(0.3 * full.force)
    assert light.chip == pytest.approx(0.06)


def test_stick_out_is_the_cutting_length_and_ten_where_not_given() -> None:
    assert stick_out(replace(BIT, stick_out=None)) == 35.0
    assert stick_out(BIT) == 25.0
