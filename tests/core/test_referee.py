# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The referee itself, on the worked examples of the NIST RS274/NGC report (v3)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from support.referee import CanonicalMove

FOUR_DECIMALS = 0.0001


@pytest.fixture
def program(tmp_path: Path) -> Any:
    """Write a program file and return its path."""

    def write(text: str) -> Path:
        path = tmp_path / "program.nc"
        path.write_text(text)
        return path

    return write


def test_centre_format_arc(referee: Any, program: Any) -> None:
    """GCD-1: NIST RS274/NGC v3 §3.5.3: from (7,7) to (10,16) about (10,11), clockwise, rising to 9."""
    verdict = referee(program("G21 G90\nG0 X7 Y7 Z0\nF100\nG17 G2 X10 Y16 I3 J4 Z9\nM2\n"), {})
    assert (verdict.exit_code, verdict.messages) == (0, "")
    assert verdict.moves[-1] == CanonicalMove("arc", 10, 16, 9, 10, 11, -1)


def test_drilling_cycle(referee: Any, program: Any) -> None:
    """GCD-5: NIST RS274/NGC v3 §3.5.16, example 1: over, down to R, drill, back up."""
    verdict = referee(program("G21 G90\nG0 X1 Y2 Z3\nF100\nG90 G81 G98 X4 Y5 Z1.5 R2.8\nM2\n"), {})
    assert verdict.exit_code == 0
    assert verdict.moves[1:] == (
        CanonicalMove("rapid", 4, 5, 3),
        CanonicalMove("rapid", 4, 5, 2.8),
        CanonicalMove("feed", 4, 5, 1.5),
        CanonicalMove("rapid", 4, 5, 3),
    )


def test_tools_are_measured_in_mm(referee: Any, program: Any) -> None:
    """GCD-13: with a 6 mm tool on its left (G41) a straight cut at x = 0 runs at x = -3."""
    text = "G21 G90 F100\nT1 M6\nG0 X-20 Y-20 Z0\nG41 D1\nG1 X0 Y-10\nG1 X0 Y40\nG40\nM2\n"
    verdict = referee(program(text), {1: 6.0})
    assert (verdict.exit_code, verdict.messages) == (0, "")
    assert verdict.moves[-1].x == pytest.approx(-3, abs=FOUR_DECIMALS)


def test_inches_become_mm(referee: Any, program: Any) -> None:
    """GCD-12: G20 changes what the numbers mean; the moves stay in mm."""
    verdict = referee(program("G20 G90\nG0 X1 Y2 Z0.5\nM2\n"), {})
    assert verdict.moves == (CanonicalMove("rapid", 25.4, 50.8, 12.7),)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("G21\nG0 X0 Y0\nF100\nG3 X30 Y0 R10\nM2\n", "Arc radius too small"),  # GCD-4
        ("G21 G90 G1 X1 G2 F10\nM2\n", "same modal group"),  # GCD-8, §3.4
        ("G21\nG1 X1 F0\nM2\n", "zero feed rate"),  # GCD-9
    ],
)
def test_wrong_programs_are_refused(referee: Any, program: Any, text: str, message: str) -> None:
    verdict = referee(program(text), {})
    assert verdict.exit_code == 1
    assert message in verdict.messages
