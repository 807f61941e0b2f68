# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The reader and Debian's RS274 interpreter on small random programs, many of them wrong.

Both take or both refuse a program, and where both take it the moves agree; every difference falls
under a clause of NIST RS274/NGC v3 in EXPLAINED. 150 programs a run, 2,000 with --long.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest

from flatwright.proof.motion import ReadError, Reading
from flatwright.proof.reader import read_program
from support.fuzz import program

ORIGIN = (0.0, 0.0, 0.0)
SETS, EACH = (20, 100) if os.environ.get("FLATWRIGHT_LONG") else (10, 15)
LAST_DECIMAL = 0.0001 * 25.4  # the referee prints four decimals, in inches too
TOOLS = dict.fromkeys(range(1, 100), 6.0)

# What we refuse (by our words) though the referee takes it, and the clause.
EXPLAINED = {
    r"exclude each other": "3.4: two codes of one modal group on a line; the referee takes G80 G80",
    r"more than .* apart is an error": "3.5.3.2: radii within 0.002 mm; the referee takes more (GCD-2)",
    r"an arc needs an X or Y": "3.5.3: an arc names its end",
    r"G53 needs a G0 or G1 move": "3.5.12: G53 goes with a move; the referee takes it without axis words",
    r"arcs are read in the XY plane": "legal (3.5.3); the proof reads routers' programs, in the XY plane",
    r"cycles are read in the XY plane": "legal (3.5.16); likewise",
    r"line number|N and one to five digits": "3.3.1: a line number has at most five digits",
    r"is no code that is read here": "no code of the report's tables 4 and 5",
    r"G38.2|G10 moves|parameters and expressions|turning axis|O words": "legal; the path hangs on more",
    r"inverse time|feed per turn|absolute arc centres|only G81, G82 and G83": "legal; not read, and said so",
    r"uses the P word": "3.4, table 3: a word that no code on its line uses; the referee has arcs of P turns",
    r"no T word has chosen one": "3.6.3: a tool change needs a selected tool; the referee changes to none",
    r"too small to reach": "3.5.3.1: the radius cannot span the ends; the referee allows more (GCD-2)",
    r"arc has no radius": "3.5.3.2: no centre, no arc",
    r"the radius .* is too small": "3.5.3.1",
}
# What the referee refuses though we take it (by its words), and why.
TAKEN = {r"zero feed rate": "3.5.19: G94 says how feeds are meant; the referee forgets F at it"}


def taken(text: str) -> Reading | str:
    """Our reading, or why not."""
    try:
        return read_program(text, start=ORIGIN, machine_zero=ORIGIN)
    except ReadError as e:
        return str(e)


def steps(moves: Iterable[Any]) -> Iterator[tuple[str, tuple[float, float, float]]]:
    """(kind, end) without moves that go nowhere: a bare G1 is one for the referee."""
    at: tuple[float, float, float] | None = None
    for m in moves:
        end = m.end if hasattr(m, "end") else (m.x, m.y, m.z)
        if m.kind == "arc" or at is None or math.dist(at, end) > LAST_DECIMAL:
            yield m.kind, end
        at = end


def comparable(text: str, ours: Reading) -> bool:
    """False for what the two write down otherwise: the referee counts from G92's origin, brings home only
    the axes that G28 names (3.5.8: all), counts a repeated incremental cycle from where the row of cycles
    began (which we caution), and does not rise to a higher R within a row (3.5.16: every cycle does)."""
    heights = {m[1] for m in re.finditer(r"G8[123].*R([-+.\d]+)", text.upper())}
    return (
        len(heights) < 2
        and not re.search(r"G\s*92|G\s*28|G\s*30", text.upper())
        and all(c.kind != "repeated-cycle" for c in ours.cautions)
    )


@pytest.mark.parametrize("group", range(SETS))
def test_both_take_or_both_refuse_and_the_moves_agree(group: int, referee: Any, tmp_path: Path) -> None:
    path = tmp_path / "program.nc"
    for seed in range(group * EACH, (group + 1) * EACH):
        text = program(Random(seed))
        path.write_text(text, encoding="utf-8")
        ours, theirs = taken(text), verdict(referee, path)
        if theirs is None:
            continue
        if isinstance(ours, str):
            explained = any(re.search(words, ours) for words in EXPLAINED)
            assert isinstance(theirs, str) or explained, f"seed {seed}: we refuse, {ours}\n{text}"
        elif isinstance(theirs, str):
            assert any(re.search(w, theirs) for w in TAKEN), (
                f"seed {seed}: the referee refuses, {theirs}\n{text}"
            )
        elif comparable(text, ours):
            mine, others = list(steps(ours.motions)), list(steps(theirs.moves))
            assert [k for k, _ in mine] == [k for k, _ in others], f"seed {seed}\n{text}"
            for (_, a), (_, b) in zip(mine, others, strict=True):
                assert math.dist(a, b) < 1.8 * LAST_DECIMAL, f"seed {seed}: {a}, the referee {b}\n{text}"


def verdict(referee: Any, path: Path) -> Any:
    """The referee's moves, or its words."""
    try:
        done = referee(path, TOOLS)
    except ValueError:  # another plane, which our test support does not read
        return None
    return done if done.exit_code == 0 else done.messages
