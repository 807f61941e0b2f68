# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Quantities are read exactly, with their units, and written back canonically."""

from __future__ import annotations

import math
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.presets.quantities import (
    ANGLE,
    DIMENSIONS,
    FEED,
    LENGTH,
    POWER,
    SHARE,
    SPEED,
    TEMPERATURE,
    TIME,
    Dimension,
    QuantityError,
    canonical,
    exact,
    parse,
    write,
)

UNITS = pint.UnitRegistry()
PINT_NAMES = {
    "%": "percent",
    "mm/s2": "mm/s**2",
    "in/s2": "in/s**2",
}  # where the general library spells a unit its own way
BASE = {
    "a length": "mm",
    "a feed": "mm/min",
    "an angle": "rad",
    "a spindle speed": "1/min",
    "a power": "W",
    "a share": "dimensionless",
    "a temperature": "degC",
    "a time": "s",
    "a pressure": "kPa",
    "an acceleration": "mm/s**2",
}

READ = [
    ("18 mm", LENGTH, 18.0),
    ("0.25 in", LENGTH, 6.35),
    ("1/4 in", LENGTH, 6.35),
    ("23/32 in", LENGTH, 18.25625),
    ("1 1/4 in", LENGTH, 31.75),
    ("18mm", LENGTH, 18.0),
    (" +.5 mm ", LENGTH, 0.5),
    ("5 deg", ANGLE, math.radians(5)),
    ("18000 1/min", SPEED, 18000.0),
    ("900 mm/min", FEED, 900.0),
    ("35 in/min", FEED, 889.0),
    ("2200 W", POWER, 2200.0),
    ("95 %", SHARE, 0.95),
    ("20 degC", TEMPERATURE, 20.0),
    ("68 degF", TEMPERATURE, 20.0),
    ("-4 degF", TEMPERATURE, -20.0),
    ("20 s", TIME, 20.0),
    ("500 ms", TIME, 0.5),
]


@pytest.mark.parametrize(("text", "dimension", "value"), READ)
def test_read(text: str, dimension: Dimension, value: float) -> None:
    assert parse(text, dimension) == value


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("18", 'has no unit; write "mm" or "in"'),
        ("18 inch", 'write "in"'),
        ('1/4"', 'write "in"'),
        ("18 W", "is a power; a length is wanted"),
        ("18 mm/min", "is a feed"),
        ("18 furlong", "unknown unit"),
        ("-3 mm", "negative"),
        ("-0 mm", "negative"),
        ("0 mm", "greater than zero"),
        ("0/4 in", "greater than zero"),
        ("1/0 in", "divides by zero"),
        ("inf mm", "not a finite number"),
        ("nan", "not a finite number"),
        ("0,5 mm", "with a point"),
        ("", "not a number"),
        ("mm", "not a number"),
        ("1e3 mm", "not a number"),
        ("1-1/4 in", "not a number"),
        ("18 mm wide", "not a number"),
        ("٣ mm", "not a number"),
        ("9" * 5000 + " mm", "too long"),
    ],
)
def test_refused_with_a_sentence(text: str, said: str) -> None:
    with pytest.raises(QuantityError, match=said.replace("/", "[/]")):
        parse(text, LENGTH, "positive")


def test_zero_and_signs_where_allowed() -> None:
    assert parse("0 mm", LENGTH, "zero or more") == 0.0
    assert parse("-3 mm", LENGTH, "any") == -3.0


UNIT_OF = [(d, u) for d in DIMENSIONS for u in d.units]
DECIMALS = st.decimals(0, 10**6, places=4)
FRACTIONS = st.tuples(st.integers(0, 99), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))


@pytest.mark.parametrize(("dimension", "unit"), UNIT_OF)
@given(number=DECIMALS)
def test_units_agree_with_pint(dimension: Dimension, unit: str, number: object) -> None:
    theirs = UNITS.Quantity(float(str(number)), PINT_NAMES.get(unit, unit)).to(BASE[dimension.name])
    assert math.isclose(parse(f"{number} {unit}", dimension), theirs.magnitude, rel_tol=1e-12, abs_tol=1e-9)


@given(mixed=FRACTIONS)
def test_mixed_numbers_are_exact(mixed: tuple[int, int, int]) -> None:
    whole, top, bottom = mixed
    assert exact(f"{whole} {top}/{bottom} in", LENGTH) == (whole + Fraction(top, bottom)) * Fraction("25.4")


@pytest.mark.parametrize(("dimension", "unit"), UNIT_OF)
@given(number=DECIMALS)
def test_what_is_written_reads_back_the_same(dimension: Dimension, unit: str, number: object) -> None:
    value = parse(f"{number} {unit}", dimension)
    text = write(value, unit)
    assert math.isclose(parse(text, dimension), value, rel_tol=1e-12, abs_tol=1e-9)
    assert canonical(text, dimension) == text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (18.0, "mm", "18 mm"),
        (0.1 + 0.2, "mm", "0.3 mm"),
        (18.25625, "in", "23/32 in"),
        (31.75, "in", "1 1/4 in"),
        (2438.4, "in", "96 in"),
        (0.508, "in", "0.02 in"),
        (math.radians(5), "deg", "5 deg"),
        (0.95, "%", "95 %"),
        (20.0, "degF", "68 degF"),
        (-1e-12, "mm", "0 mm"),
    ],
)
def test_written_canonically(value: float, unit: str, text: str) -> None:
    assert write(value, unit) == text


@pytest.mark.parametrize(
    ("text", "kept"),
    [("17.70mm", "17.70 mm"), (" +18  mm ", "18 mm"), ("1  1/4in", "1 1/4 in"), ("0.020 in", "0.020 in")],
)
def test_canonical_keeps_the_digits(text: str, kept: str) -> None:
    assert canonical(text, LENGTH) == kept
