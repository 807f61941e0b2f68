# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A preset file is read whole: everything that is wrong with it is said at once, with its place."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from flatwright.findings import UsageError
from flatwright.presets.model import Entries, Holding, Machine, Post, ReliefRules, Report
from flatwright.presets.reading import PresetError, load, loads, preset_of
from support.preset_documents import LEFT_OUT, changed, problems, starter

MINIMAL: dict[str, Any] = {
    "format": "flatwright-shop-preset",
    "version": 1,
    "name": "Toy library",
    "boards": [],
    "fits": {
        "default": "glue",
        "classes": {"glue": {"over_thickness": "0.25 mm", "along": "0.5 mm", "floor": "0.5 mm"}},
    },
    "bits": [
        {"number": 1, "kind": "straight", "diameter": "6 mm", "flutes": 2, "cutting_length": "25 mm"},
    ],
    "feeds": [
        {
            "bit": 1,
            "spindle": "18000 1/min",
            "chip_load": "0.1 mm",
            "pass_depth": "6 mm",
            "plunge": "900 mm/min",
        },
    ],
    "layout": {"sheets": [{"size": ["2440 mm", "1220 mm"]}]},
}


def refusal(text: str) -> str:
    with pytest.raises(PresetError) as caught:
        loads(text, "shop.json")
    return str(caught.value)


def test_sections_left_out_take_the_models_defaults() -> None:
    preset = preset_of(MINIMAL)
    assert (preset.machine, preset.holding, preset.entries) == (Machine(), Holding(), Entries())
    assert (preset.post, preset.report, preset.reliefs) == (Post(), Report(), ReliefRules())
    assert preset.fits.classes["glue"].tip == "flush"


@pytest.mark.parametrize("section", ["name", "boards", "fits", "bits", "feeds", "layout"])
def test_sections_that_the_model_needs_are_required(section: str) -> None:
    assert problems(changed(section, LEFT_OUT)) == {section: "is missing"}


def test_values_come_in_the_models_units() -> None:
    preset = preset_of(starter("inch"))
    assert preset.bit(1).diameter == 6.35
    assert preset.feed(1, None).plunge == 889.0
    assert preset.entries.ramp_angle == math.radians(5)
    assert preset.fits.wanted_probability == 0.95


def test_a_note_changes_no_value() -> None:
    noted = changed("machine.spoilboard", {"value": "19 mm", "note": "new one fitted in March"})
    assert preset_of(noted) == preset_of(changed("machine.spoilboard", "19 mm"))


def test_all_problems_are_told_at_once_with_their_places() -> None:
    document = starter()
    document["bits"][0]["diameter"] = 6
    document["bits"][1]["kind"] = "upcut"
    document["layout"]["spacng"] = "14 mm"
    document["fits"]["default"] = "glu"
    document["machine"]["park"] = ["0 mm"]
    assert set(problems(document)) == {
        "bits[0].diameter",
        "bits[1].kind",
        "layout.spacng",
        "fits.default",
        "machine.park",
    }


def test_the_message_is_one_sentence_with_file_count_and_first_problems() -> None:
    document = changed("bits[0].diameter", "6", changed("bits[1].flutes", 0))
    told = refusal(json.dumps(changed("feeds", [], changed("name", " ", document))))
    assert told.startswith("shop.json cannot be used; it has 4 problems: name: the text is empty; bits[0]")
    assert told.endswith("and 1 more")
    assert "\n" not in told
    assert issubclass(PresetError, UsageError)


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("machine.overcutt", "1 mm", 'did you mean "overcut"?'),
        ("sections", {}, "no such key"),
        ("bits[0].kind", "up_cut", 'did you mean "up-cut"?'),
        ("machine.zero", "table", 'known are "bed", "board top"'),
        ("fits.classes", {}, "at least one"),
        ("bits", {}, "no list"),
        ("fits", [], "no object"),
        ("machine.overcut", None, "null is not allowed"),
        ("layout.seed", 1.5, "no whole number"),
        ("layout.seed", True, "no whole number"),
        ("entries.along_grain", "yes", "neither true nor false"),
        ("machine.power", "2200 mm", "a power is wanted"),
        ("post.processor", "../linuxcnc", "no plain name"),
    ],
)
def test_a_wrong_value_is_told(path: str, value: object, said: str) -> None:
    assert said in problems(changed(path, value))[path]


def test_a_note_must_say_something() -> None:
    assert "machine.power.note" in problems(changed("machine.power", {"value": "2200 W"}))
    assert "machine.power.why" in problems(
        changed("machine.power", {"value": "2 W", "note": "x", "why": "y"})
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "not JSON"),
        ("hello", "not JSON"),
        ('{"format": "flatwright-shop-preset",}', "line 1"),
        ("[]", "not a shop preset"),
        ("{}", "no shop preset"),
        ('{"format": "flatwright-plan", "version": 1}', "no shop preset"),
        ('{"format": "flatwright-shop-preset"}', "has no version"),
        ('{"format": "flatwright-shop-preset", "version": 2}', "version 1 is read here"),
        ('{"format": "flatwright-shop-preset", "version": true}', "version 1 is read here"),
        ('{"format": 1, "format": 2}', '"format" is given twice'),
        ('{"x": NaN}', "NaN is not a number"),
        ("[" * 100_000, "nested too deeply"),
        ('{"x": ' + "9" * 5000 + "}", "not usable JSON"),
    ],
)
def test_what_is_no_preset_is_told(text: str, said: str) -> None:
    assert said in refusal(text)


def test_files_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    binary = tmp_path / "binary.shop.json"
    binary.write_bytes(b"\x00\xff\xfe\x80")
    for path, said in (
        (tmp_path / "none", "no such file"),
        (tmp_path, "a folder"),
        (binary, "not a text file"),
    ):
        with pytest.raises(PresetError, match=said) as caught:
            load(path)
        assert str(path) in str(caught.value)


def test_a_file_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    path = tmp_path / "marked.shop.json"
    path.write_text(json.dumps(MINIMAL), encoding="utf-8-sig")
    assert load(path) == preset_of(MINIMAL)
