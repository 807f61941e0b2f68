# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Readings are read as they are typed, and what cannot be a board's is refused in a sentence."""

from __future__ import annotations

import pytest

from flatwright.boards.readings import parse_readings
from flatwright.findings import UsageError


def test_values_and_nominal_thickness() -> None:
    plain, named = parse_readings(["17.7, 17.75,17.8", "12: 11.9,12.0"])
    assert (plain.values, plain.nominal) == ((17.7, 17.75, 17.8), None)
    assert (named.values, named.nominal) == ((11.9, 12.0), 12.0)


def test_the_option_gives_the_nominal_to_readings_without_one() -> None:
    plain, named = parse_readings(["17.7", "12:11.9"], nominal=18.0)
    assert (plain.nominal, named.nominal) == (18.0, 12.0)


def test_each_value_may_carry_its_unit() -> None:
    [group] = parse_readings(["23/32 in:0.71 in,17.9 mm,17.9"])
    assert group.nominal == 18.25625
    assert group.values == pytest.approx((18.034, 17.9, 17.9))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("abc", '"abc" is not a number'),
        ("17.7,thick", '"thick" is not a number'),
        ("", "a reading is missing"),
        ("17.7,,17.8", "a reading is missing"),
        ("17.7,", "a reading is missing"),
        (":17.7", "nominal thickness is missing"),
        ("18:", "a reading is missing"),
        ("18:17:17", "two colons"),
        ("-17.7", "negative"),
        ("0", "zero"),
        ("18:nan", "not a finite number"),
        ("18:inf", "not a finite number"),
        ("18:1e2", "unknown unit"),
        ("18:3/4", "no unit"),
        ("18:17.7 kg", "unknown unit"),
        ("18:12.6,12.5", "12.5 mm .* 31% off 18 mm"),
        ("18:17.7,23.4", "23.4 mm .* 30% off 18 mm"),
        ("18:17.7,177", "177 mm"),
        ("18:0.71", "in inches, write 0.71 in"),
        ("17,7", "Decimals are written with a point"),
        ("17.7,1.78,17.8", "from 1.78 to 17.8 mm"),
    ],
)
def test_refused_with_a_sentence(text: str, said: str) -> None:
    with pytest.raises(UsageError, match=said) as caught:
        parse_readings([text])
    assert "\n" not in str(caught.value)


def test_a_thin_board_may_differ_by_more_of_its_thickness() -> None:
    """0.6 mm is what a reading may always be off: 3 mm boards of 2.5 mm are sold."""
    [group] = parse_readings(["3:2.5"])
    assert group.values == (2.5,)
    with pytest.raises(UsageError):
        parse_readings(["3:2.1"])  # 30 % off
