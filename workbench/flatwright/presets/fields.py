# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a place in a preset file may hold: leaf values, lists, records, rows and named records.

A leaf reads one JSON value or raises `ValueError` with a sentence. Where a value cannot be
read its `stand_in` takes its place, so that one reading reports all problems: NaN for a
number of a quantity, 0 for a whole number, "" for a text. The cross checks pass over stand-ins,
and nothing that holds one ever leaves the reader.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from flatwright.presets.quantities import Dimension, Sign, canonical, parse

MAX_TEXT = 500
_WORD = re.compile(r"[A-Za-z][A-Za-z0-9_]{0,59}")


def _as_is(value: Any) -> Any:
    return value


@dataclass(frozen=True, slots=True)
class Leaf:
    """One value; it may be written as an object with `value` and `note`."""

    read: Callable[[Any], Any]
    stand_in: Any
    canonical: Callable[[Any], Any] = _as_is
    nullable: bool = False


@dataclass(frozen=True, slots=True)
class ListOf:
    """A list of bare values, of a fixed or (length None) any length; the whole list may carry a note."""

    item: Leaf
    length: int | None = None
    least: int = 0
    distinct: bool = False


@dataclass(frozen=True, slots=True)
class Record:
    """An object with known keys, in canonical order; keys not required take the model's default."""

    build: Callable[..., Any]
    keys: Mapping[str, Shape]
    required: frozenset[str]
    nullable: bool = False


@dataclass(frozen=True, slots=True)
class Rows:
    """A list of records."""

    row: Record
    least: int = 0


@dataclass(frozen=True, slots=True)
class Names:
    """An object whose keys the user names, each holding the same kind of thing."""

    of: Record | Leaf
    least: int = 0


Shape = Leaf | ListOf | Record | Rows | Names


def record(build: Callable[..., Any], required: Iterable[str], **keys: Shape) -> Record:
    """A record whose canonical key order is the order of the keywords."""
    return Record(build, keys, frozenset(required))


def nullable(leaf: Leaf) -> Leaf:
    """The same leaf, where null means "not given"."""
    return replace(leaf, nullable=True)


def quantity(dimension: Dimension, sign: Sign = "positive") -> Leaf:
    """A number with its unit, read into the model's unit."""

    def read(value: Any) -> float:
        if not isinstance(value, str):
            raise ValueError(
                f'{kind(value)} is no quantity; write text with a unit, as in "{dimension.example}"'
            )
        return parse(value, dimension, sign)

    return Leaf(read, math.nan, lambda text: canonical(text, dimension))


def whole(least: int) -> Leaf:
    """A bare whole number."""

    def read(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int | float) or value != math.floor(value):
            raise ValueError(f"{kind(value)} is no whole number; write one without quotes, as in {least}")
        if value < least:
            raise ValueError(f"{value} is too small; it must be at least {least}")
        return int(value)

    return Leaf(read, 0)


def number(least: float) -> Leaf:
    """A bare number."""

    def read(value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError(f"{kind(value)} is no number; write one without quotes, as in {least:g}")
        if value < least:
            raise ValueError(f"{value:g} is too small; it must be at least {least:g}")
        return float(value)

    return Leaf(read, math.nan)


def text(empty: bool = False) -> Leaf:
    """A text."""

    def read(value: Any) -> str:
        if not isinstance(value, str):
            raise ValueError(f"{kind(value)} is no text; write text in quotes")
        if not value.strip() and not (empty and value == ""):
            raise ValueError("the text is empty")
        if len(value) > MAX_TEXT:
            raise ValueError(f"the text is longer than {MAX_TEXT} characters")
        return value

    return Leaf(read, "")


def word() -> Leaf:
    """A name of letters, digits and underscores, such as a post-processor's: it never is a path."""

    def read(value: Any) -> str:
        if not isinstance(value, str) or not _WORD.fullmatch(value):
            raise ValueError(f"{kind(value)} is no plain name; use letters, digits and underscores")
        return value

    return Leaf(read, "")


def one_of(*choices: str) -> Leaf:
    """One text of a few."""

    def read(value: Any) -> str:
        if isinstance(value, str) and value in choices:
            return value
        shown = f'"{value}"' if isinstance(value, str) else kind(value)
        raise ValueError(f"{shown} is not known here{suggestion(value, choices)}")

    return Leaf(read, "")


def flag() -> Leaf:
    """true or false."""

    def read(value: Any) -> bool:
        if not isinstance(value, bool):
            raise ValueError(f"{kind(value)} is neither true nor false (without quotes)")
        return value

    return Leaf(read, False)


def kind(value: Any) -> str:
    """What a JSON value is, for a message."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"the bare number {str(value)[:40]}"
    if isinstance(value, str):
        return f'the text "{value}"' if len(value) <= 40 else f'the text "{value[:40]}…"'
    return "a list" if isinstance(value, list) else "an object"


def suggestion(wrong: object, choices: Iterable[str]) -> str:
    """`; did you mean "x"?`, else the choices."""
    known = list(choices)
    close = difflib.get_close_matches(wrong, known, 1, 0.6) if isinstance(wrong, str) else []
    if close:
        return f'; did you mean "{close[0]}"?'
    return "; known are " + ", ".join(f'"{c}"' for c in known) if known else ""
