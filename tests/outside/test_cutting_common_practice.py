# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The trade's rules of thumb on a whole sheet: common practice, no source (CHECKS CP-3 to CP-8)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from flatwright.presets.model import Bit, Holding, Tabs
from support.shopwork import BITS, LARGEST, SMALLEST, Work, legs, shop, trolley, work


@pytest.fixture(scope="module")
def done() -> Work:
    return work(*trolley(), shop())


def test_cut_through_by_half_a_millimetre(done: Work) -> None:
    """CP-3: about 0.020 in (0.5 mm) into the spoilboard, Z zero on the bed."""
    lowest = min(leg.end[2] for p in done.programs for leg in legs(p, done.preset))
    assert lowest == -0.5


def test_tabs_are_10_mm_of_wood_6_mm_high_along_the_grain() -> None:
    """CP-4: on edges parallel to the face grain; a third of the board is the limit here."""
    asked = replace(shop(), holding=Holding(tabs=Tabs(length=10.0, height=6.0)))
    laid, panels = trolley()
    thick = {n: replace(p, thickness=18.3, pockets=()) for n, p in panels.items()}
    tabs = work(replace(laid, thickness=18.3), thick, asked).sheet.tabs
    assert {(t.length, t.height, t.angle) for t in tabs} == {(10.0, 6.0, 0.0)}


def test_spot_marks_are_a_program_of_their_own_before_any_cutting(done: Work) -> None:
    """CP-5: 0.5 to 0.8 mm deep; here also in the thinnest board."""
    first, *rest = done.programs
    assert [p.kind for p in done.programs] == ["spots", "cut", "cut"]
    lowest = min(leg.end[2] for leg in legs(first, done.preset))
    assert 0.5 <= SMALLEST - lowest <= LARGEST - lowest <= 0.8
    assert all(o.kind in ("spots", "park") for o in first.operations)
    assert all(o.kind != "spots" for p in rest for o in p.operations)


def test_ramps_along_the_face_grain(done: Work) -> None:
    """CP-6: never across it on a show face (helices in round holes apart)."""
    for p in done.programs:
        for leg in legs(p, done.preset):
            falls = leg.end[2] < leg.start[2] - 1e-4 and leg.start[2] > 6.5
            if falls and leg.move.kind == "line" and leg.end[:2] != leg.start[:2]:
                assert abs(leg.end[1] - leg.start[1]) < 1e-3


@pytest.mark.parametrize("bits", [BITS, BITS[1:], BITS[1:3], (BITS[1], BITS[3])])
def test_holes_by_up_cut_or_straight_bits(bits: tuple[Bit, ...]) -> None:
    """CP-7: never drill with a down-cut or compression bit."""
    done = work(*trolley(), shop(bits))
    kinds = {shop(bits).bit(o.bit).kind for p in done.programs for o in p.operations if o.kind == "hole"}
    assert kinds <= {"up-cut", "straight"}
    assert kinds


def test_a_compression_bits_first_pass(done: Work) -> None:
    """CP-8: deeper than its up-cut part, no shallow peck."""
    compression = work(*trolley(), shop((BITS[1], BITS[3])))
    levels = {
        leg.end[2]
        for p in compression.programs
        for leg in legs(p, compression.preset)
        if leg.bit.kind == "compression" and leg.start[2] == leg.end[2] < LARGEST and leg.move.kind != "rapid"
    }
    assert levels
    assert max(levels) < SMALLEST - 5.0
