# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which bit cuts what (DESIGN §9), and what is said when none can."""

from __future__ import annotations

from dataclasses import replace

import pytest

from flatwright.bits.choose import PanelBits, choose_bits
from flatwright.findings import Finding
from flatwright.geometry.outline import circle, rectangle
from flatwright.plan import Panel, Pocket
from flatwright.presets.model import Bit, Feed
from support.shopwork import BITS, panel, shop, side

PLATE = rectangle(0, 0, 300, 200)
HOLE = circle((150, 100), 5).cw()
HOUSING = Pocket(rectangle(100, 0, 117.95, 200).cw(), 6.0, "+n")


def kinds(bits: PanelBits) -> list[str | None]:
    return [b.kind if b else None for b in bits.loops()]


def only(one: Panel, *bits: Bit) -> tuple[PanelBits, Finding]:
    """The choice among these bits, and its one finding."""
    chosen, (found,) = choose_bits(one, shop(bits))
    return chosen, found


def test_the_trolley_side_needs_two_bits_and_each_choice_has_its_reason() -> None:
    one = side()
    bits, findings = choose_bits(one, shop())
    assert findings == []
    assert {b.number for b in bits.loops() if b} == {1, 3}
    assert len(bits.reasons) == len(one.loops())
    assert all(r.startswith(name) for r, name in zip(bits.reasons, ("outline", "opening 1"), strict=False))


@pytest.mark.parametrize(
    ("show", "kind"), [("+n", "down-cut"), ("-n", "down-cut"), ("both", "compression"), ("none", "straight")]
)
def test_profiles_follow_the_faces_that_show(show: str, kind: str) -> None:
    bits, _ = choose_bits(panel("plate", PLATE, show=show), shop())
    assert kinds(bits) == [kind]


@pytest.mark.parametrize("bits", [BITS, BITS[1:], (BITS[1], BITS[3])])
def test_holes_are_bored_by_bits_that_may_drill(bits: tuple[Bit, ...]) -> None:
    """CP-7, common practice: never drill with a down-cut or compression bit."""
    chosen, _ = choose_bits(panel("plate", PLATE, holes=(HOLE,)), shop(bits))
    assert chosen.holes[0] is not None
    assert chosen.holes[0].may_drill


def test_a_hole_without_a_drilling_bit_is_an_error() -> None:
    bits, found = only(panel("plate", PLATE, holes=(HOLE,)), BITS[2])
    assert bits.holes == (None,)
    assert found.code == "bits.no-drill"
    assert "straight or up-cut bit of at most 10.0 mm, 0.393 in," in found.remedy


def test_pockets_take_straight_or_down_cut_and_compression_only_if_it_is_buried() -> None:
    """CP-8, common practice: the up-cut part of 5 mm needs 5.5 mm of wood."""
    one = panel("plate", PLATE, pockets=(HOUSING,))
    assert kinds(choose_bits(one, shop())[0])[1] == "down-cut"
    assert kinds(choose_bits(one, shop(BITS[3:]))[0])[1] == "compression"
    shallow = replace(one, pockets=(replace(HOUSING, depth=5.0),))
    assert only(shallow, BITS[3])[1].code == "bits.first-pass"


def test_the_largest_bit_that_reaches_goes_first() -> None:
    wide = replace(BITS[0], number=9, diameter=12.0)
    one = panel("plate", PLATE, holes=(rectangle(50, 50, 60, 90).cw(),), show="none")
    bits, _ = choose_bits(one, shop((*BITS, wide)))
    assert [b.number for b in bits.loops() if b] == [9, 1]


def test_a_measured_diameter_counts() -> None:
    worn = replace(BITS[0], measured_diameter=5.9)
    one = panel("plate", PLATE, holes=(rectangle(50, 50, 55.95, 90).cw(),), show="none")
    assert choose_bits(one, shop((worn,)))[1] == []
    assert only(one, BITS[0])[1].code == "bits.too-wide"


def test_too_wide_names_the_place_and_the_bit_that_would_do() -> None:
    slotted = panel("seat", PLATE, holes=(rectangle(50, 50, 110, 55.2).cw(),))
    bits, (found,) = choose_bits(slotted, shop())
    assert bits.holes == (None,)
    assert bits.outline is not None
    assert (found.code, found.severity, found.panels) == ("bits.too-wide", "error", ("seat",))
    assert "u 80.0, v 52.6" in found.message
    assert "at most 5.2 mm, 0.204 in" in found.remedy


def test_too_short_says_how_deep() -> None:
    _, found = only(panel("plate", PLATE), replace(BITS[0], cutting_length=12.0))
    assert found.code == "bits.too-short"
    assert "12 mm" in found.message
    assert "18.20 mm" in found.message  # 17.7 + 0.5 overcut


def test_a_bit_without_feeds_is_not_taken() -> None:
    preset = replace(shop(BITS[:1]), feeds=(Feed(1, 18000, 0.1, 6.0, 900, board="oak"),))
    _, (found,) = choose_bits(panel("plate", PLATE), preset)
    assert found.code == "bits.no-feed"


def test_an_up_cut_bit_on_a_face_that_shows_is_warned_of_once() -> None:
    bits, found = only(panel("plate", PLATE, pockets=(HOUSING,)), BITS[1])
    assert kinds(bits) == ["up-cut", "up-cut"]
    assert (found.code, found.severity) == ("bits.second-choice", "warning")


def test_without_any_bit_there_is_an_error_and_no_crash() -> None:
    assert only(panel("plate", PLATE))[1].code == "bits.too-wide"
