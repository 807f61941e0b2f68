# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Feeds, passes and ramps against machining handbooks' formulas (CHECKS MAC-1, MAC-11, MAC-12)."""

from __future__ import annotations

import math

import pytest

from flatwright.cutting.entries import ramp_length
from flatwright.cutting.holes import bore, helix_length
from flatwright.cutting.passes import first_pass, passes
from flatwright.cutting.setup import Setup
from flatwright.presets.model import Bit, Feed

STRAIGHT = Bit(1, "straight", 6.0, 2, 25.0)


def test_feed() -> None:
    """MAC-1: v_f = n z f_z (ISO 3002-3 terms): 18 000 × 2 × 0.10 = 3600 mm/min; 300 in/min with 2 flutes
    at 10 000/min is a chip load of 0.015 in."""
    assert Feed(1, 18000, 0.10, 6.0, 900).cutting_feed(2) == pytest.approx(3600.0)
    assert Feed(1, 10000, 0.015 * 25.4, 6.0, 900).cutting_feed(2) == pytest.approx(300 * 25.4)


@pytest.mark.parametrize(("drop", "degrees", "length"), [(3.0, 3.0, 57.243), (1.0, 5.0, 11.430)])
def test_ramp_length(drop: float, degrees: float, length: float) -> None:
    """MAC-11: depth / tan β."""
    assert ramp_length(drop, math.radians(degrees)) == pytest.approx(length, abs=5e-4)


def test_helix_length() -> None:
    """MAC-11: r 2, pitch 1, three turns: 37.8183 (the interpreter rs274 gives 37.81828967254955)."""
    assert helix_length(2.0, 1.0, 3.0) == pytest.approx(37.81828967254955)


def test_a_bored_hole_runs_that_helix() -> None:
    """MAC-11 on the moves: radius 2 (a hole of 10 mm, a bit of 6), the pitch that the ramp's angle gives."""
    setup = Setup(STRAIGHT, Feed(1, 18000, 0.1, 6.0, 900), 3.0, 3.0, True, math.radians(4.55), None)
    chain = bore((0.0, 0.0), 5.0, setup, 0.0)
    arcs = [m for m in chain.moves if m.kind == "ccw"]
    falling = [m for m, before in zip(arcs, [None, *arcs], strict=False) if before is None or m.z < before.z]
    turns, drop = len(falling) / 2, 3.5
    length = sum(math.hypot(math.pi * 2.0, drop / len(falling)) for _ in falling)
    assert length == pytest.approx(helix_length(2.0, drop / turns, turns))
    assert drop / turns <= math.tau * 2.0 * math.tan(math.radians(4.55))


def test_whole_passes() -> None:
    """MAC-12: 18.3 mm (board and 0.3 into the spoilboard), at most 6 mm: four passes of 4.575."""
    heights = passes(18.0, -0.3, 6.0)
    assert heights == pytest.approx([18.0 - 4.575 * k for k in (1, 2, 3, 4)])
    assert passes(18.0, 6.0, 6.0) == [12.0, 6.0]
    assert passes(5.0, -0.5, 6.0) == [-0.5]


def test_a_compression_bits_first_pass_buries_its_up_cut_part() -> None:
    """CP-8, common practice: deeper than the up-cut part, in the thinnest board too; the rest even."""
    bit = Bit(4, "compression", 6.0, 2, 25.0, up_cut_length=5.0)
    first = first_pass(bit, Feed(4, 18000, 0.1, 6.0, 900), 17.8, 17.6)
    assert first == pytest.approx(5.7)
    heights = passes(17.8, -0.5, 6.0, first)
    assert heights == pytest.approx([12.1, 7.9, 3.7, -0.5])
    assert 17.6 - heights[0] > 5.0
    assert first_pass(STRAIGHT, Feed(1, 18000, 0.1, 6.0, 900), 17.8, 17.6) is None
