# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The summary in plain text."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.plan import Plan, Relief
from flatwright.reports.operator_sheet import operator_sheet
from flatwright.reports.summary import summary_table, visible_reliefs, yield_of
from support.printed_plan import TOO_NARROW, plan, preset


def test_says_what_was_made():
    text = summary_table(plan(), [TOO_NARROW], {"read": 1.5, "fit": 0.25})
    for part in ("4 of 3 shapes", "2 housing", "1 error, 0 warnings, 0 notes", "read 1.50, fit 0.25", "1.75"):
        assert part in text
    assert "refused" in text.split("Sheet 2")[1] and "3 files" in text.split("Sheet 1")[1]


def test_visible_reliefs_are_summed_in_the_summary_and_on_the_operator_sheet():
    reliefs = tuple(Relief("shelf", "dog-bone", (0, 0), (2, 2), 3.0, shown) for shown in (5.137, 10.274, 0.0))
    of = replace(plan(), reliefs=reliefs)
    assert visible_reliefs(of) == pytest.approx(15.411)
    assert "3, 15 mm2 stay visible" in summary_table(of, [], {})
    page = operator_sheet(of, preset(), [], title="t")
    assert "3 corners are relieved for square mates; 15 mm² of that stay visible" in page
    hidden = replace(plan(), reliefs=reliefs[2:])
    assert "1 corner is relieved for square mates; nothing of it shows" in operator_sheet(
        hidden, preset(), [], title="t"
    )
    assert "relieved" not in operator_sheet(plan(), preset(), [], title="t")


def test_yield_takes_holes_off():
    of = plan()
    parts = 600 * 300 - math.pi * 20**2 + 2 * 400 * 80
    assert yield_of(of, of.sheets[0]) == pytest.approx(parts / (1220 * 610))
    assert f"yield {100 * parts / (1220 * 610):.1f} %" in summary_table(of, [], {})


@given(st.lists(st.text(st.characters(codec="ascii", categories=["L", "N"]), max_size=120), max_size=12))
def test_lines_are_never_longer_than_80(names):
    of = plan()
    sheets = tuple(replace(of.sheets[0], name=n, board=n or None) for n in names)
    text = summary_table(replace(of, sheets=sheets), [], dict.fromkeys(names, 0.1))
    assert all(len(line) <= 80 for line in text.splitlines())


def test_empty_plan_is_no_trouble():
    assert "0 of 0 shapes" in summary_table(Plan(), [], {})
