# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""HTML and SVG elements as text. Whatever is not markup already is escaped."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Sequence

Attribute = str | int | float | None

_VOID = frozenset({"meta", "br", "hr", "col"})
_SHAPES = frozenset({"path", "circle", "line", "rect", "polygon"})  # SVG elements without content
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


class Markup(str):
    """Text that is HTML or SVG already."""

    __slots__ = ()


def text(value: str) -> Markup:
    """The value as it may stand between tags or in a quoted attribute."""
    return value if isinstance(value, Markup) else Markup(html.escape(_CONTROL.sub("\ufffd", value)))


def tag(name: str, /, *content: str, **attributes: Attribute) -> Markup:
    """An element. In attribute names `class_` stands for class and `_` for a hyphen; None leaves one out.

    >>> tag("td", "a < b", class_="num")
    '<td class="num">a &lt; b</td>'
    """
    pairs = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{text(_value(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
    if name in _VOID or (name in _SHAPES and not content):
        return Markup(f"<{name}{pairs}/>")
    return Markup(f"<{name}{pairs}>{''.join(text(c) for c in content)}</{name}>")


def join(items: Iterable[str], between: str = "") -> Markup:
    """The items one after the other, each escaped unless it is markup."""
    return Markup(text(between).join(text(i) for i in items))


def table(heads: Sequence[str], rows: Iterable[Sequence[str]], **attributes: Attribute) -> Markup:
    """A table with one line of heads. Columns that hold nothing but numbers are set to the right."""
    lines = [tuple(row) for row in rows]
    kinds = ["num" if all(map(_is_number, column)) else None for column in zip(*lines, strict=True)]
    kinds += [None] * (len(heads) - len(kinds))  # no rows at all
    head = tag("tr", *(tag("th", h, scope="col", class_=k) for h, k in zip(heads, kinds, strict=True)))
    body = [tag("tr", *(tag("td", c, class_=k) for c, k in zip(row, kinds, strict=True))) for row in lines]
    return tag("table", tag("thead", head), tag("tbody", *body), **attributes)


def _is_number(value: str) -> bool:
    return re.fullmatch(r"-?\d+(\.\d+)?|–", value) is not None


def _value(value: str | int | float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
