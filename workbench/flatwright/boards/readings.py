# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Calliper readings as they are typed: `17.7,17.75,17.8` or `12:11.9,12.0` or `0.71 in,0.712 in`."""

from __future__ import annotations

import re
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from flatwright.findings import UsageError
from flatwright.presets.crosschecks import reading_is_off
from flatwright.presets.quantities import LENGTH, QuantityError, parse

_BARE = re.compile(r"\s*[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*")
_INCH = 25.4


@dataclass(frozen=True, slots=True)
class ReadingGroup:
    """The readings of one batch, mm; `nominal` None where the thickness nearest their mean is meant.

    `text` is what was typed, for messages.
    """

    values: tuple[float, ...]
    nominal: float | None
    text: str

    @property
    def mean(self) -> float:
        return statistics.fmean(self.values)


def parse_readings(texts: Iterable[str], nominal: float | None = None) -> tuple[ReadingGroup, ...]:
    """The groups of readings in some texts, each `VALUES` or `NOMINAL:VALUES`, values between commas.

    Bare numbers are mm. `nominal` serves the texts that name none. Raises UsageError for
    text, nothing, negative values, zero, and values that cannot belong to the board.
    """
    return tuple(_group(text, nominal) for text in texts)


def _group(text: str, nominal: float | None) -> ReadingGroup:
    before, colon, after = text.rpartition(":")
    if ":" in before:
        raise UsageError(f'the readings "{text}" have two colons; write NOMINAL:VALUES, as in 18:17.7,17.75')
    named = _length(before, text, "nominal thickness") if colon else nominal
    values = tuple(_length(part, text, "reading") for part in after.split(","))
    group = ReadingGroup(values, named, text)
    if named is None:
        _check_alike(group)
    else:
        check_plausible(group, named)
    return group


def _length(part: str, text: str, what: str) -> float:
    if not part.strip():
        raise UsageError(f'in the readings "{text}" a {what} is missing; write them like 17.7,17.75,17.8')
    try:
        return parse(f"{part.strip()} mm" if _BARE.fullmatch(part) else part.strip(), LENGTH, "positive")
    except QuantityError as e:
        raise UsageError(f'in the readings "{text}" a {what} cannot be used: {e}') from None


def check_plausible(group: ReadingGroup, board: float) -> None:
    """Raise UsageError when a value cannot belong to a board of that thickness, naming the worst."""
    off = [v for v in group.values if reading_is_off(v, board)]
    if off:
        worst = max(off, key=lambda v: abs(v - board))
        raise UsageError(
            f'the reading {worst:g} mm in "{group.text}" is {abs(worst / board - 1.0):.0%} off {board:g} mm; '
            f"{_hint(off, board)}"
        )


def _check_alike(group: ReadingGroup) -> None:
    """Raise UsageError for readings that cannot all be of one board, whatever board it is."""
    middle = statistics.median(group.values)
    off = [v for v in group.values if reading_is_off(v, middle)]
    if off:
        raise UsageError(
            f'the readings "{group.text}" run from {min(group.values):g} to {max(group.values):g} mm, '
            f"which no board does; {_hint(off, middle)}"
        )


def _hint(off: Sequence[float], board: float) -> str:
    if all(not reading_is_off(v * _INCH, board) for v in off):
        return f"if it is in inches, write {off[0]:g} in"
    return "is it a typing error? (Decimals are written with a point, readings with commas between.)"
