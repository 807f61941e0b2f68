# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""From posted text to assembled parts: the dry fit takes what the programs leave, not what was planned."""

from __future__ import annotations

import hashlib

import pytest

from flatwright.findings import Finding
from flatwright.geometry.outline import rectangle
from flatwright.plan import Joint, Placement, Plan, Program, ProgramBit, Sheet
from flatwright.proof.check import prove
from flatwright.proof.verdict import Report
from support.gcode import Text, around
from support.pieces import board
from support.plate_job import BATCH, T, shop

WIDE, DEEP, SEAT = T + 0.25, 4.0, 0.5  # the housing, and the gap at its floor
BASE_AT, SHELF_AT = (40.0, 40.0), (120.0, 180.0)


def plan_of(text: str) -> Plan:
    """A base with a housing right across it, and a shelf that stands in it, 0.5 mm off its floor."""
    base = board(
        "base", rectangle(0, 0, 120, 80), t=T, pockets=[(rectangle(50, 0, 50 + WIDE, 80), DEEP, "+n")]
    )
    # upright in the yz plane, its thickness along x from 50.125 on
    shelf = board(
        "shelf", rectangle(0, 0, 80, 60), t=T, u=(0, 1, 0), n=(1, 0, 0),
        origin=(50 + (WIDE - T) / 2, 0, T - DEEP + SEAT),
    )  # fmt: skip
    digest = hashlib.sha256(text.encode()).hexdigest()
    sheet = Sheet(
        "sheet-1",
        "ply 12",
        T,
        (350.0, 300.0),
        placements=(Placement("base", *BASE_AT, 0.0, False), Placement("shelf", *SHELF_AT, 90.0, False)),
        programs=(Program("cut", "cut.nc", digest, (ProgramBit(1, "straight", 6.0),)),),
    )
    fit = {"across_mm": 0.25, "floor_mm": SEAT}
    return Plan((base, shelf), (Joint("housing", ("base", "shelf"), fit),), (), (sheet,))


def cut(wide: float = WIDE, deep: float = DEEP) -> tuple[list[Finding], Report]:
    """Prove a program that cuts the base, its housing of this size, and the shelf; without tabs."""
    text = Text(place=lambda p: (p[0] + BASE_AT[0], p[1] + BASE_AT[1]))
    text.start()
    housing = (50.0, -4.0, 50.0 + wide, 84.0)
    for inset in (3.0, 6.0):
        text.loop(around(housing, -inset), [T - deep], T, 0.0)
    text.loop(around((0, 0, 120, 80), 3.0), [6.0, -0.5], T, 40.0)
    text.place = lambda p: (-p[1] + SHELF_AT[0], p[0] + SHELF_AT[1])  # turned a quarter
    text.loop(around((0, 0, 80, 60), 3.0), [6.0, -0.5], T, 0.0)
    program = text.end()
    return prove(plan_of(program), shop(), {"cut.nc": program}, batches=[BATCH])


def test_right_programs_leave_parts_with_the_gaps_of_their_class() -> None:
    findings, report = cut()
    assert findings == []
    gaps = {g.kind: g.value for g in report.gaps}
    assert gaps == pytest.approx({"across": 0.25, "floor": 0.5}, abs=0.003)


def test_a_housing_cut_0_3_too_narrow_is_met_by_the_shelf() -> None:
    assert {"proof.pocket", "proof.interference"} <= {f.code for f in cut(wide=WIDE - 0.3)[0]}


def test_a_housing_cut_0_1_too_wide_has_another_gap() -> None:
    findings, report = cut(wide=WIDE + 0.1)
    assert {"proof.pocket", "proof.gap"} == {f.code for f in findings}
    assert next(g.value for g in report.gaps if g.kind == "across") == pytest.approx(0.35, abs=0.003)


def test_a_housing_cut_too_shallow_lifts_the_shelf() -> None:
    findings, report = cut(deep=DEEP - 0.2)
    assert {"proof.depth", "proof.gap"} == {f.code for f in findings}
    assert next(g.value for g in report.gaps if g.kind == "floor") == pytest.approx(0.3, abs=0.003)


def test_an_error_within_the_tolerance_shows_in_the_gap_only() -> None:
    findings, report = cut(wide=WIDE + 0.04)
    assert findings == []
    assert next(g.value for g in report.gaps if g.kind == "across") == pytest.approx(0.29, abs=0.003)
    assert report.worst.depth == pytest.approx(0.04, abs=0.003)
