# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Limits of bits and spindle: a finding for each one that is passed, and its remedy cures it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from flatwright.bits.choose import choose_bits
from flatwright.bits.limits import check_limits
from flatwright.findings import Finding
from flatwright.geometry.outline import circle, rectangle
from flatwright.presets.model import Board, Entries, Feed, FitClass, Fits, Machine, Preset
from support.shopwork import BITS, panel, shop

FITS = Fits("glue", {"glue": FitClass(0.25, 0.5, 0.5), "press": FitClass(0.05, 0.2, 0.3)})


def limits(preset: Preset, bit: int = 1) -> list[Finding]:
    return check_limits({(bit, "birch 18")}, preset)


def with_feed(**values: float) -> Preset:
    feed = replace(Feed(1, 18000, 0.10, 6.0, 900), **values)  # type: ignore[arg-type]
    return replace(shop(BITS[:1], fits=FITS), feeds=(feed,))


def remedy_number(found: Finding, pattern: str) -> float:
    match = re.search(pattern, found.remedy)
    assert match, found.remedy
    return float(match[1])


def test_ordinary_work_passes_no_limit() -> None:
    assert limits(shop(fits=FITS)) == []


def test_too_much_power_is_cured_by_the_pass_that_is_told() -> None:
    weak = replace(with_feed(), machine=Machine(power=60.0))
    (found,) = limits(weak)
    assert (found.code, found.severity) == ("bits.power", "warning")
    assert "86 W" in found.message
    depth = remedy_number(found, r"at most ([\d.]+) mm a pass")
    assert limits(replace(weak, feeds=(replace(weak.feeds[0], pass_depth=depth),))) == []


def test_a_bit_that_bends_is_cured_by_letting_it_stand_out_less() -> None:
    long = replace(BITS[0], cutting_length=75.0)
    preset = replace(with_feed(), bits=(long,))
    (found,) = limits(preset)
    assert (found.code, found.severity) == ("bits.bends", "warning")
    out = remedy_number(found, r"at most ([\d.]+) mm, or take a wider")
    shorter = replace(long, stick_out=out - 0.5, cutting_length=40.0)
    assert limits(replace(preset, bits=(shorter,))) == []
    assert limits(replace(preset, entries=Entries(finish_allowance=0.3))) == [], "a light last cut bends less"


def test_only_classes_in_use_limit_the_bending() -> None:
    tight = replace(with_feed(), fits=replace(FITS, by_joint={"slot": "press"}))
    assert [f.code for f in limits(tight)] == ["bits.bends"]


def test_dust_instead_of_chips() -> None:
    (found,) = limits(with_feed(chip_load=0.01, plunge=300))
    assert (found.code, found.severity) == ("bits.thin-chip", "warning")
    finishing = replace(with_feed(chip_load=0.04), entries=Entries(finish_allowance=0.1))
    (found,) = [f for f in limits(finishing) if f.code == "bits.thin-chip"]
    load = remedy_number(found, r"to ([\d.]+) mm or more")
    again = replace(finishing, feeds=(replace(finishing.feeds[0], chip_load=load + 0.001),))
    assert limits(again) == []


def test_plunging_faster_than_cutting() -> None:
    assert [f.code for f in limits(with_feed(plunge=4000.0))] == ["bits.fast-plunge"]


@pytest.mark.parametrize(("veneer", "codes"), [(None, []), (1.1, []), (0.4, ["bits.thin-veneer"])])
def test_an_up_cut_bit_under_a_thin_veneer(veneer: float | None, codes: list[str]) -> None:
    preset = replace(shop(fits=FITS), boards=(Board("birch 18", 18.0, 13, "length", veneer),))
    assert [f.code for f in limits(preset, 2)] == codes


def test_a_thin_veneer_changes_the_bit() -> None:
    """Up-cut alone would do for a hidden part of thick veneer; under a thin one down-cut is of choice."""
    up_first = (replace(BITS[1], number=1), replace(BITS[2], number=2), replace(BITS[0], number=3))
    one = panel("back", rectangle(0, 0, 300, 200), holes=(circle((50, 50), 5).cw(),), show="none")
    thick, thin = (
        replace(shop(up_first), boards=(Board("birch 18", 18.0, 13, "length", v),)) for v in (1.1, 0.4)
    )
    outline, hole = choose_bits(one, thick)[0].loops()
    assert outline is not None
    assert hole is not None
    assert (outline.kind, hole.kind) == ("up-cut", "up-cut")
    outline, hole = choose_bits(one, thin)[0].loops()
    assert outline is not None
    assert hole is not None
    assert (outline.kind, hole.kind) == ("down-cut", "straight")
