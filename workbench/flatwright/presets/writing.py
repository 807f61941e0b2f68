# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Writing a shop preset canonically, so that line-based version control shows clean differences.

Keys stand in the order of the published schema, one to a line; each board, bit, row of feeds
and sheet is a line of its own; a noted value stays on its key's line. Numbers keep the digits they
were written with, and what was left out stays out.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from flatwright.presets.fields import Leaf, ListOf, Names, Record, Rows, Shape
from flatwright.presets.reading import preset_of
from flatwright.presets.shape import PRESET
from flatwright.presets.tree import is_noted

_INDENT = "  "


def dumps(document: Mapping[str, Any]) -> str:
    """The canonical text of a document (see `reading`); raises PresetError for an unsound one."""
    preset_of(document)
    return _lines(PRESET, document, "") + "\n"


def _lines(shape: Shape, value: Any, indent: str) -> str:
    """A value over as many lines as its kind asks for; the first line has no indent."""
    if isinstance(shape, Rows):
        return _block("[]", [_line(shape.row, row) for row in value], indent)
    if isinstance(shape, Record | Names) and value is not None:
        inner = indent + _INDENT
        return _block(
            "{}", [f"{_text(k)}: {_lines(s, value[k], inner)}" for k, s in _parts(shape, value)], indent
        )
    return _line(shape, value)


def _block(brackets: str, parts: list[str], indent: str) -> str:
    if not parts:
        return brackets
    inner = indent + _INDENT
    return f"{brackets[0]}\n{inner}" + f",\n{inner}".join(parts) + f"\n{indent}{brackets[1]}"


def _line(shape: Shape, value: Any) -> str:
    """A value on one line."""
    if value is None:
        return "null"
    if isinstance(shape, Record | Names):
        return "{" + ", ".join(f"{_text(k)}: {_line(s, value[k])}" for k, s in _parts(shape, value)) + "}"
    if isinstance(shape, Rows):
        return "[" + ", ".join(_line(shape.row, row) for row in value) + "]"
    if is_noted(value):
        return f'{{"value": {_bare(shape, value["value"])}, "note": {_text(value["note"])}}}'
    return _bare(shape, value)


def _bare(shape: Leaf | ListOf, value: Any) -> str:
    if value is None:
        return "null"
    if isinstance(shape, ListOf):
        return "[" + ", ".join(_bare(shape.item, v) for v in value) + "]"
    return _text(shape.canonical(value))


def _parts(shape: Record | Names, value: Mapping[str, Any]) -> list[tuple[str, Shape]]:
    """Keys and their shapes: a record's in the schema's order, names in the user's."""
    if isinstance(shape, Names):
        return [(key, shape.of) for key in value]
    return [(key, inner) for key, inner in shape.keys.items() if key in value]


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)
