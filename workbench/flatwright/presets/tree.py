# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Walking a preset document by its shape: every problem is noted with its path, none stops the walk."""

from __future__ import annotations

import json
import math
import re
from dataclasses import dataclass, field
from typing import Any

from flatwright.presets.fields import Leaf, ListOf, Names, Record, Rows, Shape, kind, suggestion

_PLAIN_KEY = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


@dataclass(slots=True)
class Problems:
    """The problems met so far, as (path, message), in the order of the file."""

    found: list[tuple[str, str]] = field(default_factory=list)

    def add(self, path: str, message: str) -> None:
        self.found.append((path, message))


def step(path: str, key: str | int) -> str:
    """The path one step further in: `bits[0].diameter`, `fits.classes["very loose"]`."""
    if isinstance(key, int):
        return f"{path}[{key}]"
    if not _PLAIN_KEY.fullmatch(key):
        return f"{path}[{json.dumps(key, ensure_ascii=False)}]"
    return f"{path}.{key}" if path else key


def read(shape: Shape, value: Any, path: str, problems: Problems) -> Any:
    """The value as the model holds it, with stand-ins where it cannot be read."""
    match shape:
        case Leaf():
            return _leaf(shape, _without_note(value, path, problems), path, problems)
        case ListOf():
            return _list(shape, _without_note(value, path, problems), path, problems)
        case Record():
            return _record(shape, value, path, problems)
        case Rows():
            return _rows(shape, value, path, problems)
        case Names():
            return _names(shape, value, path, problems)


def is_noted(value: Any) -> bool:
    """True for an object with `value` and `note`, the second way to write a leaf."""
    return isinstance(value, dict) and "value" in value


def _without_note(value: Any, path: str, problems: Problems) -> Any:
    if not is_noted(value):
        return value
    for key in value:
        if key not in ("value", "note"):
            problems.add(step(path, key), _unknown(key, ("value", "note")))
    note = value.get("note")
    if not isinstance(note, str) or not note.strip():
        problems.add(step(path, "note"), "an object with a value needs a note, a text in quotes")
    return value["value"]


def _leaf(shape: Leaf, value: Any, path: str, problems: Problems) -> Any:
    if value is None and shape.nullable:
        return None
    try:
        if value is None:
            raise ValueError("null is not allowed here")
        if isinstance(value, float) and not math.isfinite(value):
            raise ValueError("the number is not finite")
        return shape.read(value)
    except (ValueError, OverflowError) as e:
        problems.add(path, str(e))
        return shape.stand_in


def _list(shape: ListOf, value: Any, path: str, problems: Problems) -> tuple[Any, ...]:
    missing: tuple[Any, ...] = stand_in(shape)
    if not isinstance(value, list):
        problems.add(path, f"{kind(value)} is no list; write one in square brackets")
        return missing
    if shape.length is not None and len(value) != shape.length:
        problems.add(path, f"the list has {len(value)} values; it needs {shape.length}")
        return missing
    if len(value) < shape.least:
        problems.add(path, "the list is empty")
    items = tuple(_leaf(shape.item, v, step(path, i), problems) for i, v in enumerate(value))
    if shape.distinct and len(set(items)) < len(items):
        problems.add(path, "the list names something twice")
    return items


def _record(shape: Record, value: Any, path: str, problems: Problems) -> Any:
    if value is None and shape.nullable:
        return None
    if not isinstance(value, dict):
        problems.add(path, f"{kind(value)} is no object; write keys and values in curly brackets")
        return stand_in(shape)
    for key in value:
        if key not in shape.keys:
            problems.add(step(path, key), _unknown(key, shape.keys))
    parts = {}
    for key, inner in shape.keys.items():
        if key in value:
            parts[key] = read(inner, value[key], step(path, key), problems)
        elif key in shape.required:
            problems.add(step(path, key), "is missing")
            parts[key] = stand_in(inner)
    return shape.build(**parts)


def _rows(shape: Rows, value: Any, path: str, problems: Problems) -> tuple[Any, ...]:
    if not isinstance(value, list):
        problems.add(path, f"{kind(value)} is no list; write one in square brackets")
        return ()
    if len(value) < shape.least:
        problems.add(path, "the list is empty; at least one row is needed")
    return tuple(read(shape.row, row, step(path, i), problems) for i, row in enumerate(value))


def _names(shape: Names, value: Any, path: str, problems: Problems) -> dict[str, Any]:
    if not isinstance(value, dict):
        problems.add(path, f"{kind(value)} is no object; write names and values in curly brackets")
        return {}
    if len(value) < shape.least:
        problems.add(path, "is empty; at least one is needed")
    for key in value:
        if not key.strip():
            problems.add(step(path, key), "the name is empty")
    return {key: read(shape.of, inner, step(path, key), problems) for key, inner in value.items()}


def stand_in(shape: Shape) -> Any:
    """What takes the place of a value that is missing or cannot be read."""
    match shape:
        case Leaf():
            return shape.stand_in
        case ListOf():
            return (shape.item.stand_in,) * (shape.length or 0)
        case Record():
            return shape.build(
                **{key: stand_in(shape.keys[key]) for key in shape.keys if key in shape.required}
            )
        case Rows():
            return ()
        case Names():
            return {}


def _unknown(key: str, known: Any) -> str:
    return f"there is no such key here{suggestion(key, known)}"
