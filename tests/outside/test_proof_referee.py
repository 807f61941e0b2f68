# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The G-code reader against Debian's RS274 interpreter on generated programs (GCD-14)."""

from __future__ import annotations

import math
import os
from pathlib import Path
from random import Random
from typing import Any

import pytest

from flatwright.proof.motion import Motion, ReadError
from flatwright.proof.reader import read_program

ORIGIN = (0.0, 0.0, 0.0)
LAST_DECIMAL = {"G21": 0.0001, "G20": 0.0001 * 25.4}  # the referee prints four decimals


def random_program(rng: Random, unit: str) -> str:
    """Straight moves, arcs both ways, helices and cycles, absolute and incremental."""
    scale = 1.0 if unit == "G21" else 1 / 25.4
    lines = [f"{unit} G17 G90 G40 G49 G80 G94", "F600", "G0 X0 Y0 Z0"]
    x, y, absolute = 0.0, 0.0, True

    def number(v: float) -> str:
        return f"{v * scale:.4f}"

    for _ in range(rng.randint(5, 30)):
        kind = rng.choice(["line", "line", "arc", "radius", "drill", "peck", "mode"])
        tx, ty, tz = rng.uniform(-200, 200), rng.uniform(-200, 200), rng.uniform(-10, 10)
        ex, ey = (tx, ty) if absolute else (tx - x, ty - y)
        if kind == "mode":
            absolute = not absolute
            lines.append("G90" if absolute else "G91")
            continue
        if kind == "line":
            height = f" Z{number(tz)}" if absolute else ""
            lines.append(f"{rng.choice(['G0', 'G1'])} X{number(ex)} Y{number(ey)}{height}")
        elif kind == "arc":
            # a full or half turn: rounding the words then cannot break the radius rule by much
            code, i, j = rng.choice(["G2", "G3"]), rng.randint(1, 400) / 10, rng.randint(1, 400) / 10
            half = rng.random() < 0.5
            tx, ty = (x + 2 * i, y + 2 * j) if half else (x, y)
            ex, ey = (tx, ty) if absolute else (tx - x, ty - y)
            lines.append(f"{code} X{number(ex)} Y{number(ey)} I{number(i)} J{number(j)}")
        elif kind == "radius":
            chord = math.hypot(tx - x, ty - y)
            r = chord * rng.uniform(0.6, 3) * rng.choice([1, -1])
            lines.append(f"{rng.choice(['G2', 'G3'])} X{number(ex)} Y{number(ey)} R{number(r)}")
        else:
            # the 7 keeps pecks from ending on the bottom by a hair, where rounding would decide
            q = f" Q{number(rng.uniform(1, 5))}7" if kind == "peck" else ""
            z, r = (-5, 2) if absolute else (-7, 2)
            code = "G83" if kind == "peck" else "G81"
            lines.append(f"G99 {code} X{number(ex)} Y{number(ey)} Z{number(z)} R{number(r)}{q}")
            lines.append("G80")
        # both sides must start the next move from the rounded numbers
        x, y = (
            (round(tx * scale, 4) / scale, round(ty * scale, 4) / scale)
            if absolute
            else (x + round(ex * scale, 4) / scale, y + round(ey * scale, 4) / scale)
        )
    return "\n".join([*lines, "M2", ""])


def differences(ours: tuple[Motion, ...], theirs: Any, tolerance: float) -> list[str]:
    out = [f"{len(ours)} moves, the referee has {len(theirs)}"] if len(ours) != len(theirs) else []
    for m, v in zip(ours, theirs, strict=False):
        if m.kind != v.kind or math.dist(m.end, (v.x, v.y, v.z)) > 1.8 * tolerance:
            out.append(f"line {m.line}: {m.kind} {m.end}, the referee {v}")
        elif m.centre and math.dist(m.centre, (v.cx, v.cy)) > 1.8 * tolerance:
            out.append(f"line {m.line}: centre {m.centre}, the referee {v}")
        elif m.centre and m.turn != v.turns:
            out.append(f"line {m.line}: turns {m.turn}, the referee {v}")
    return out


@pytest.mark.parametrize("seed", range(2000 if os.environ.get("FLATWRIGHT_LONG") else 40))
def test_same_moves_as_the_referee(seed: int, referee: Any, tmp_path: Path) -> None:
    rng = Random(seed)
    unit = rng.choice(["G21", "G20"])
    text = random_program(rng, unit)
    path = tmp_path / "program.nc"
    path.write_text(text)
    verdict = referee(path, {})
    assert (verdict.exit_code, verdict.messages) == (0, ""), text
    ours = read_program(text, start=ORIGIN, machine_zero=ORIGIN).motions
    assert not differences(ours, verdict.moves, LAST_DECIMAL[unit]), text


REFUSED_BY_BOTH = """
G0 X1 X2 | G90 G91 X1 | M3 M5 | M7 M8 | G1 X1 F0 | S-5 | F-5 | G0 X1 J3 | G0 X1 K3 | G80 X1 | G2 X0 Y0 R2
G2 X1 Y1 I0 J1 K0 | G2 X1 R1 Y1 I1 | G81 X1 Z-1 | G83 X1 Z-1 R1 | G83 X1 Z-1 R1 Q0 | G81 X1 Z2 R1
G81 X1 Z-1 R1 L0 | G4 | G4 P-1 | G53 | G92 | G77 | M77 | G0 X1e3 | (a (b) c) | (open | G0 Xfive | G28 G1 X1
G2 X1 Y1 | G0 X1 * 5 | G1 X1 P3 | G43 H-1 | T-1 | G2.5 X1 | M3.5 | X1
"""


@pytest.mark.parametrize(
    "line", [s.strip() for s in REFUSED_BY_BOTH.replace("\n", "|").split("|") if s.strip()]
)
def test_both_refuse(line: str, referee: Any, tmp_path: Path) -> None:
    text = f"G21 G90 G80\n{'' if 'F0' in line else 'F100'}\n{line}\nM2\n"
    path = tmp_path / "program.nc"
    path.write_text(text)
    assert referee(path, {}).exit_code == 1
    with pytest.raises(ReadError, match="line 3: "):
        read_program(text, start=ORIGIN, machine_zero=ORIGIN)


# What only one side refuses, and the clause of NIST RS274/NGC v3 that decides.
STRICTER = {
    "G0 X0\nG2 X10.02 Y0 I5": "3.5.3.2: radii 0.02 mm apart; the referee takes up to 0.0283 mm (GCD-2)",
    "G2 Z1 I0 J1": "3.5.3.2: at least one of X and Y must be used",
    "N100000 G0 X1": "3.3.1: a line number has at most five digits",
    "#1=5": "legal (3.3.3); refused because the path then hangs on values outside the text",
    "G0 X[1+1]": "legal (3.3.2.3); refused for the same reason",
    "G10 L2 P1 X5": "legal (3.5.5); refused because it moves the work offset",
    "G0 A5": "legal (3.3.2); the machine has three axes",
}


@pytest.mark.parametrize("lines", STRICTER)
def test_only_we_refuse(lines: str, referee: Any, tmp_path: Path) -> None:
    text = f"G21 G90 F100\n{lines}\nM2\n"
    path = tmp_path / "program.nc"
    path.write_text(text)
    assert referee(path, {}).exit_code == 0
    with pytest.raises(ReadError):
        read_program(text, start=ORIGIN, machine_zero=ORIGIN)


def test_pecks_go_out_to_clear_z(referee: Any, tmp_path: Path) -> None:
    """§3.5.16.4 step 2 says clear Z, the level before the cycle under G98; the referee goes to R."""
    text = "G21 G90 F100\nG0 X0 Y0 Z10\nG98 G83 X5 Y5 Z-5 R1 Q4\nM2\n"
    path = tmp_path / "program.nc"
    path.write_text(text)
    ours = [m.end[2] for m in read_program(text, start=ORIGIN).motions]
    theirs = [m.z for m in referee(path, {}).moves]
    assert ours == pytest.approx([10, 10, 1, -3, 10, -2.746, -5, 10])
    assert theirs == pytest.approx([10, 10, 1, -3, 1, -2.746, -5, 10])
