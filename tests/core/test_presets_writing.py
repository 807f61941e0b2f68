# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Presets are written so that version control shows one changed value as one changed line."""

from __future__ import annotations

import difflib
import json
import random
from typing import Any

import pytest

from flatwright import resources
from flatwright.presets.reading import PresetError, load_document, loads, preset_of
from flatwright.presets.writing import dumps
from support.preset_documents import STARTERS, changed, starter


@pytest.mark.parametrize("name", STARTERS)
def test_a_canonical_file_is_written_back_byte_for_byte(name: str) -> None:
    path = resources.path(f"presets/{name}.shop.json")
    assert dumps(load_document(path)).encode() == path.read_bytes()


def shuffled(value: Any, order: random.Random) -> Any:
    """The same document with the keys of every record in another order."""
    if isinstance(value, dict):
        keys = list(value)
        order.shuffle(keys)
        return {k: shuffled(value[k], order) for k in keys}
    return [shuffled(v, order) for v in value] if isinstance(value, list) else value


def test_key_order_spacing_and_units_spelling_do_not_matter() -> None:
    document = changed("machine.overcut", {"note": "common practice", "value": "0.5mm"})
    messy = shuffled(document, random.Random(1))
    messy["fits"]["classes"] = {k: messy["fits"]["classes"][k] for k in ("press", "glue", "slip")}
    assert dumps(json.loads(json.dumps(messy, indent=7))) == dumps(starter())


def test_writing_twice_changes_nothing_and_keeps_the_meaning() -> None:
    text = dumps(changed("boards[6].readings", ["17.70 mm", "17.725mm"]))
    assert dumps(json.loads(text)) == text
    assert loads(text).boards[6].readings == (17.70, 17.725)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("fits.classes.glue.along", "0.45 mm"),
        ("boards[6].readings", ["17.7 mm"]),
        ("bits[0].measured_diameter", "5.98 mm"),
        ("layout.edge", {"value": "30 mm", "note": "bowed sheets"}),
        ("machine.park", ["0 mm", "0 mm"]),
    ],
)
def test_one_changed_value_is_one_changed_line(path: str, value: object) -> None:
    before, after = dumps(starter()), dumps(changed(path, value))
    lines = list(difflib.unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm=""))[2:]
    assert [line[0] for line in lines] == ["@", "-", "+"]


def test_notes_and_names_in_any_script_are_kept() -> None:
    document = changed("name", "Spielzeugausleihe für Öfen 玩具")
    assert json.loads(dumps(document))["name"] == document["name"]
    assert "Öfen" in dumps(document)


def test_an_unsound_document_is_not_written() -> None:
    with pytest.raises(PresetError):
        dumps(changed("bits[0].diameter", "0 mm"))


def test_rows_stand_on_a_line_each_and_the_text_ends_with_one_newline() -> None:
    text = dumps(starter())
    assert text.endswith("}\n") and not text.endswith("\n\n")
    assert sum(line.startswith('    {"number": ') for line in text.splitlines()) == len(
        preset_of(starter()).bits
    )
