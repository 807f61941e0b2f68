# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Quantities as people write them: a number and its unit, read exactly.

>>> parse("23/32 in", LENGTH), parse("1 1/4 in", LENGTH), parse("35 in/min", FEED)
(18.25625, 31.75, 889.0)
>>> write(18.25625, "in"), write(900, "mm/min")
('23/32 in', '900 mm/min')
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Sign = Literal["positive", "zero or more", "any"]

MAX_CHARACTERS = 40
_NUMBER = r"[+-]?(?:[0-9]+ +[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_SHAPE = re.compile(rf" *({_NUMBER})(?: +(1/min)| *([^0-9\s.,+/-]\S*))? *")
_DECIMAL_COMMA = re.compile(r" *[+-]?[0-9]+,[0-9]+.*")
_NOT_FINITE = re.compile(r" *[+-]?(?:inf|infinity|nan)\b.*", re.IGNORECASE)

# What people also write, for the hint only: one unit has one spelling in a file.
_MEANT = {
    '"': "in", "″": "in", "inch": "in", "inches": "in", "millimetre": "mm", "millimeter": "mm",
    "°": "deg", "degree": "deg", "degrees": "deg", "rpm": "1/min", "rev/min": "1/min", "/min": "1/min",
    "ipm": "in/min", "mm/minute": "mm/min", "w": "W", "watt": "W", "percent": "%", "C": "degC",
    "°C": "degC", "F": "degF", "°F": "degF", "sec": "s", "seconds": "s", "second": "s",
}  # fmt: skip


class QuantityError(ValueError):
    """A text that is not the quantity wanted; the message says what to write instead."""


@dataclass(frozen=True, slots=True)
class Unit:
    """base value = (number - zero) · factor, both exact."""

    factor: Fraction
    zero: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Dimension:
    """What a quantity measures: its units by spelling, the first being the base, and an example."""

    name: str
    example: str
    units: Mapping[str, Unit]


_ONE = Unit(Fraction(1))
_INCH = Unit(Fraction(127, 5))  # 25.4 mm, exactly

LENGTH = Dimension("a length", "18 mm", {"mm": _ONE, "in": _INCH})
FEED = Dimension("a feed", "900 mm/min", {"mm/min": _ONE, "in/min": _INCH})
ANGLE = Dimension("an angle", "5 deg", {"deg": _ONE})
SPEED = Dimension("a spindle speed", "18000 1/min", {"1/min": _ONE})
POWER = Dimension("a power", "2200 W", {"W": _ONE})
SHARE = Dimension("a share", "95 %", {"%": Unit(Fraction(1, 100))})
TEMPERATURE = Dimension(
    "a temperature", "20 degC", {"degC": _ONE, "degF": Unit(Fraction(5, 9), Fraction(32))}
)
TIME = Dimension("a time", "20 s", {"s": _ONE, "ms": Unit(Fraction(1, 1000))})
# 1 mmHg is 133.322387415 Pa by convention, so that 1 inHg = 3.386389 kPa (NIST SP 811)
_INCH_OF_MERCURY = Unit(Fraction("133.322387415") * Fraction(127, 5000))
PRESSURE = Dimension(
    "a pressure",
    "60 kPa",
    {"kPa": _ONE, "mbar": Unit(Fraction(1, 10)), "inHg": _INCH_OF_MERCURY},
)
ACCELERATION = Dimension("an acceleration", "500 mm/s2", {"mm/s2": _ONE, "in/s2": _INCH})

DIMENSIONS = (LENGTH, FEED, ANGLE, SPEED, POWER, SHARE, TEMPERATURE, TIME, PRESSURE, ACCELERATION)


def parse(text: str, dimension: Dimension, sign: Sign = "any") -> float:
    """The quantity as the model holds it: mm, mm/min, rad, 1/min, W, fraction, °C, s, kPa or mm/s².

    Raises `QuantityError`, a sentence without a full stop, on anything else.
    """
    value = float(exact(text, dimension, sign))
    return math.radians(value) if dimension is ANGLE else value


def exact(text: str, dimension: Dimension, sign: Sign = "any") -> Fraction:
    """Like `parse`, as an exact fraction of the base unit (an angle in degrees)."""
    number, spelling = _split(text, dimension)
    unit = dimension.units[spelling]
    value = (_fraction(number, text) - unit.zero) * unit.factor
    if number.startswith("-") and sign != "any":
        raise QuantityError(f'"{text}" is negative, which {dimension.name} cannot be here')
    if value == 0 and sign == "positive":
        raise QuantityError(f'"{text}" is zero; it must be greater than zero here')
    return value


def canonical(text: str, dimension: Dimension) -> str:
    """The same quantity with its number as written (its digits tell the precision) and one space.

    >>> canonical(" 17.70mm", LENGTH)
    '17.70 mm'
    """
    number, unit = _split(text, dimension)
    return f"{re.sub(' +', ' ', number.removeprefix('+'))} {unit}"


def write(value: float, unit: str) -> str:
    """A value in the model's unit as text in `unit`: 64ths of an inch as fractions, else up to six decimals.

    Raises KeyError for a unit that no dimension has.
    """
    dimension = next((d for d in DIMENSIONS if unit in d.units), None)
    if dimension is None:
        raise KeyError(unit)
    base = Fraction(math.degrees(value) if dimension is ANGLE else value)
    number = base / dimension.units[unit].factor + dimension.units[unit].zero
    return f"{_number_text(number, fractions=unit == 'in')} {unit}"


def _number_text(number: Fraction, fractions: bool) -> str:
    ticks = round(number * 64)
    if fractions and ticks % 64 and abs(number - Fraction(ticks, 64)) < Fraction(1, 10**9):
        whole, rest = divmod(abs(Fraction(ticks, 64)), 1)
        sign = "-" if ticks < 0 else ""
        return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"
    text = f"{float(number):.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _split(text: str, dimension: Dimension) -> tuple[str, str]:
    """(number, unit spelling), the unit one of the dimension's."""
    like = f'as in "{dimension.example}"'
    if len(text) > MAX_CHARACTERS:
        raise QuantityError(f'"{text[:12]}…" is too long for a quantity; write {dimension.name}, {like}')
    if _NOT_FINITE.fullmatch(text):
        raise QuantityError(f'"{text}" is not a finite number')
    if _DECIMAL_COMMA.fullmatch(text):
        raise QuantityError(f'"{text}" has a decimal comma; write decimals with a point, {like}')
    match = _SHAPE.fullmatch(text)
    if match is None:
        raise QuantityError(f'"{text}" is not a number with its unit; write {dimension.name}, {like}')
    number, unit = match[1], match[2] or match[3]
    if unit is None:
        raise QuantityError(f'"{text}" has no unit; write {_quoted(dimension)} after it, {like}')
    if unit not in dimension.units:
        raise QuantityError(f'"{text}" {_wrong_unit(unit, dimension)}')
    return number, unit


def _wrong_unit(unit: str, dimension: Dimension) -> str:
    like = f'as in "{dimension.example}"'
    other = next((d for d in DIMENSIONS if unit in d.units), None)
    if other is not None:
        return f"is {other.name}; {dimension.name} is wanted here, {like}"
    meant = _MEANT.get(unit)
    if meant not in dimension.units:
        meant = next(iter(difflib.get_close_matches(unit, dimension.units, 1)), None)
    wanted = f'"{meant}"' if meant else _quoted(dimension)
    return f"has the unknown unit {unit}; write {wanted}, {like}"


def _quoted(dimension: Dimension) -> str:
    return " or ".join(f'"{unit}"' for unit in dimension.units)


def _fraction(number: str, text: str) -> Fraction:
    sign = -1 if number.startswith("-") else 1
    try:
        return sign * sum((Fraction(part) for part in number.lstrip("+-").split()), Fraction(0))
    except ZeroDivisionError:
        raise QuantityError(f'"{text}" divides by zero') from None
