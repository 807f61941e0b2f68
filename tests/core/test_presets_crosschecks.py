# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Values of a preset that do not agree with each other are refused, at the place to mend."""

from __future__ import annotations

import pytest

from support.preset_documents import LEFT_OUT, changed, problems, starter

BIT_2 = {"number": 1, "kind": "straight", "diameter": "6 mm", "flutes": 2, "cutting_length": "25 mm"}
FEED_1 = {
    "bit": 1,
    "spindle": "18000 1/min",
    "chip_load": "0.1 mm",
    "pass_depth": "6 mm",
    "plunge": "9 mm/min",
}

CLAMP = {"name": "left", "kind": "clamp", "corners": ["0 mm", "0 mm", "60 mm", "60 mm"]}

DISAGREE = [
    ("feeds[0].bit", 9, "feeds[0].bit", "there is no bit 9"),
    ("feeds[0].board", "birch 19", "feeds[0].board", 'did you mean "birch 9"'),
    ("feeds[4]", FEED_1, "feeds[4]", "there twice"),
    ("feeds[0].pass_depth", "26 mm", "feeds[0].pass_depth", "cutting length of bit 1"),
    ("feeds[0].spindle", "30000 1/min", "feeds[0].spindle", "outside the machine's range"),
    ("fits.default", "tight", "fits.default", "no fit class"),
    ("fits.by_joint", {"slot": "tight"}, "fits.by_joint.slot", "no fit class"),
    ("fits.by_joint", {"crosslap": "press"}, "fits.by_joint.crosslap", 'did you mean "cross-lap"'),
    ("fits.classes.glue.too_loose", "0.25 mm", "fits.classes.glue.too_loose", "no more than the clearance"),
    ("fits.used_at", {"temperature": "20 degC", "humidity": "101 %"}, "fits.used_at.humidity", "100 %"),
    ("fits.wanted_probability", "100 %", "fits.wanted_probability", "below 100 %"),
    ("bits[3].up_cut_length", LEFT_OUT, "bits[3].up_cut_length", "is missing"),
    ("bits[3].up_cut_length", "30 mm", "bits[3].up_cut_length", "shorter"),
    ("bits[0].up_cut_length", "5 mm", "bits[0].up_cut_length", "only a compression bit"),
    ("bits[1]", BIT_2, "bits[1].number", "there twice"),
    ("bits[0].measured_diameter", "0.59 mm", "bits[0].measured_diameter", "typing error"),
    ("boards[1].name", "birch 3", "boards[1].name", "there twice"),
    ("boards[6].readings", ["17.7 mm", "12.6 mm"], "boards[6].readings[1]", "typing error"),
    ("boards[6].face_veneer", "9.5 mm", "boards[6].face_veneer", "thicker than the board"),
    ("layout.spacing", "5.9 mm", "layout.spacing", "widest bit"),
    ("layout.edge", "610 mm", "layout.sheets[0].size", "leaves nothing"),
    ("layout.sheets[0].board", "birch", "layout.sheets[0].board", "no board"),
    ("holding.fasteners.bite", "15.1 mm", "holding.fasteners.bite", "allows 15 mm"),
    ("holding.fasteners.mark_depth", "1.6 mm", "holding.fasteners.mark_depth", "half of a board of 3 mm"),
    ("machine.spoilboard", "14 mm", "holding.fasteners.bite", "allows 11 mm"),
    ("machine.overcut", "18 mm", "machine.overcut", "into the table"),
    ("machine.park", ["0 mm", "1400 mm"], "machine.park", "outside the travel"),
    ("machine.spindle", ["24000 1/min", "6000 1/min"], "machine.spindle", "above the fastest"),
    ("machine.clear_height", "150 mm", "machine.clear_height", "travel upwards"),
    ("entries.ramp_angle", "90 deg", "entries.ramp_angle", "flatter"),
    ("entries.finish_allowance", "1.6 mm", "entries.finish_allowance", "a quarter of the narrowest bit"),
    ("flipping.pin_depth", "15.1 mm", "flipping.pin_depth", "allows 15 mm"),
    ("flipping.pin_depth", "0.5 mm", "flipping.pin_depth", "no deeper than the overcut"),
    ("flipping.pin_diameter", "5.9 mm", "flipping.pin_diameter", "narrowest straight or up-cut bit"),
    ("holding.method", ["tabs", "onion skin"], "holding.method", "in place of tabs"),
    ("bits[0].stick_out", "20 mm", "bits[0].stick_out", "less than the cutting length"),
    ("holding.vacuum", {"pressure": "102 kPa"}, "holding.vacuum.pressure", "the air's own"),
    ("machine.keep_outs", [CLAMP, CLAMP], "machine.keep_outs[1].name", "there twice"),
    (
        "machine.keep_outs",
        [CLAMP | {"corners": ["90 mm", "0 mm", "60 mm", "60 mm"]}],
        "machine.keep_outs[0].corners",
        "lower left",
    ),
]


@pytest.mark.parametrize(("path", "value", "where", "said"), DISAGREE)
def test_disagreement_is_told_where_it_is_mended(path: str, value: object, where: str, said: str) -> None:
    assert said in problems(changed(path, value))[where]


@pytest.mark.parametrize(
    "path",
    [
        "feeds[0].spindle",
        "feeds[0].chip_load",
        "feeds[0].pass_depth",
        "feeds[0].plunge",
        "holding.tabs.height",
        "holding.tabs.length",
        "machine.overcut",
        "bits[0].diameter",
    ],
)
def test_no_zero_where_a_program_divides_or_cuts_by_it(path: str) -> None:
    unit = {"spindle": "1/min", "plunge": "mm/min"}.get(path.split(".")[-1], "mm")
    assert "zero" in problems(changed(path, f"0 {unit}"))[path]


def test_a_finish_pass_needs_room_between_parts() -> None:
    document = changed("entries.finish_allowance", "0.5 mm", changed("layout.spacing", "6.2 mm"))
    assert "roughing would cut the next part" in problems(document)["layout.spacing"]


def test_an_onion_skin_is_thinner_than_half_the_board() -> None:
    document = changed("holding.onion_skin", {"thickness": "1.6 mm"})
    assert problems(document) == {}, "nobody asks for it"
    document["holding"]["method"] = ["onion skin"]
    assert "half of a board of 3 mm" in problems(document)["holding.onion_skin.thickness"]


def test_values_at_the_limit_are_allowed() -> None:
    document = changed("holding.fasteners.bite", "15 mm")
    document["layout"]["spacing"] = "6 mm"
    document["feeds"][0]["pass_depth"] = "25 mm"
    document["feeds"][0]["spindle"] = "24000 1/min"
    assert problems(document) == {}


def test_a_bit_number_that_cannot_be_read_is_told_once() -> None:
    assert set(problems(changed("bits[0].number", "one"))) == {"bits[0].number"}


def test_a_section_of_the_wrong_kind_is_told_once() -> None:
    for section in starter():
        if section not in ("format", "version"):
            assert set(problems(changed(section, 5))) == {section}
