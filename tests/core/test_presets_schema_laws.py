# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The published schema and our own reader know the same keys, quantities and defaults."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from flatwright import resources
from flatwright.presets.fields import Names, Record, Rows, Shape
from flatwright.presets.quantities import DIMENSIONS, QuantityError, parse
from flatwright.presets.reading import preset_of
from flatwright.presets.shape import PRESET
from support.preset_documents import changed, problems, starter

SCHEMA = json.loads(resources.path("schemas/shop-preset.schema.json").read_text("utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA)


def places(node: Any, path: str = "") -> list[str]:
    """Where every value of a document stands."""
    inner: list[tuple[str, Any]] = []
    if isinstance(node, dict):
        inner = [(f"{path}.{key}", value) for key, value in node.items()]
    elif isinstance(node, list):
        inner = [(f"{path}[{i}]", value) for i, value in enumerate(node)]
    return [p for place, value in inner for p in (place, *places(value, place))]


SCALARS = st.none() | st.booleans() | st.integers() | st.floats(-1e9, 1e9) | st.text(max_size=8)
SCALARS |= st.sampled_from(["6 mm", "0 mm", "5 %", "glue", "straight", "birch 18", "1/min", 10**400])
ANYTHING = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["value", "note", "size", "name", "x\ny"]), inner, max_size=3)
    ),
    max_leaves=5,
)


@given(place=st.sampled_from(places(starter())), value=ANYTHING)
def test_nothing_that_the_schema_refuses_gets_past_the_reader(place: str, value: Any) -> None:
    """And whatever stands there, the reader never fails in another way than by telling problems."""
    document = changed(place, value)
    found = problems(document)
    assert found or VALIDATOR.is_valid(document)


BARE = {  # definition in the schema -> (dimension, sign) in the reader
    "bareLength": ("a length", "positive"),
    "bareLengthOrZero": ("a length", "zero or more"),
    "bareFeed": ("a feed", "positive"),
    "bareAngle": ("an angle", "positive"),
    "bareSpeed": ("a spindle speed", "positive"),
    "barePower": ("a power", "positive"),
    "bareShare": ("a share", "positive"),
    "bareShareOrZero": ("a share", "zero or more"),
    "bareTemperature": ("a temperature", "any"),
    "bareTime": ("a time", "positive"),
    "barePressure": ("a pressure", "positive"),
    "bareAcceleration": ("an acceleration", "positive"),
}
PIECES = [
    "",
    " ",
    "  ",
    "0",
    "1",
    "12",
    ".",
    "/",
    "-",
    "+",
    "mm",
    "in",
    "/min",
    "1/min",
    "deg",
    "W",
    "%",
    "s",
    "ms",
    "kPa",
    "mm/s2",
]


@pytest.mark.parametrize("definition", BARE)
@given(text=st.lists(st.sampled_from(PIECES), max_size=7).map("".join))
@example(text="0 1/min")
@example(text="0 0/4 in")
@example(text="-0 mm")
@example(text="1 1/0 in")
def test_the_pattern_of_a_quantity_accepts_what_the_reader_reads(definition: str, text: str) -> None:
    name, sign = BARE[definition]
    dimension = next(d for d in DIMENSIONS if d.name == name)
    try:
        parse(text, dimension, sign)
        read = True
    except QuantityError:
        read = False
    assert Draft202012Validator(SCHEMA["$defs"][definition]).is_valid(text) == read


def resolved(node: dict[str, Any]) -> dict[str, Any]:
    ref = node.get("$ref", "")
    return SCHEMA["$defs"][ref.rsplit("/", 1)[1]] if ref.startswith("#") else node


def keys(shape: Shape, node: dict[str, Any], path: str) -> list[tuple[str, list[str], list[str]]]:
    """(path, keys in order, required) of a record and all records in it, by the reader and by the schema."""
    node = resolved(node)
    if isinstance(shape, Rows):
        return keys(shape.row, node["items"], path)
    if isinstance(shape, Names):
        return keys(shape.of, node["additionalProperties"], path) if isinstance(shape.of, Record) else []
    if not isinstance(shape, Record):
        return []
    node = resolved(node["oneOf"][1]) if shape.nullable else node
    assert list(node["properties"]) == list(shape.keys), path
    assert set(node["required"]) == shape.required, path
    assert node["additionalProperties"] is False, path
    inner = [keys(s, node["properties"][k], f"{path}.{k}") for k, s in shape.keys.items()]
    return [(path, list(shape.keys), sorted(shape.required)), *[i for part in inner for i in part]]


SECTIONS = ("holding", "machine", "entries", "flipping", "post")


def test_schema_and_reader_know_the_same_keys_in_the_same_order() -> None:
    assert len(keys(PRESET, SCHEMA, "")) == 22


def test_the_defaults_that_the_schema_tells_are_the_models() -> None:
    minimal = {k: v for k, v in starter().items() if k not in SECTIONS}
    preset = preset_of(minimal | {"layout": {"sheets": starter()["layout"]["sheets"]}})
    told = 0
    for section in ("holding.tabs", "holding.fasteners", "layout", "machine", "entries", "flipping"):
        node, values = SCHEMA, preset
        for step in section.split("."):
            node, values = resolved(node)["properties"][step], getattr(values, step)
        for key, inner in resolved(node)["properties"].items():
            match = re.search(r"left out: ([0-9.]+ (?:mm|deg|s|W))\.$", inner.get("description", ""))
            if match:
                told += 1
                value = getattr(values, key)
                assert any(value == parse_or_none(match[1], d) for d in DIMENSIONS), f"{section}.{key}"
    assert told >= 18


def parse_or_none(text: str, dimension: Any) -> float | None:
    try:
        return parse(text, dimension)
    except QuantityError:
        return None
