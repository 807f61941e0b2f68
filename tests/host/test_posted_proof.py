# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The posted text before two judges: the RS274 interpreter takes every program and reads the moves that we
read; the dry fit finds nothing to say of a clean drawing but what its own shape asks for."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from flatwright.proof.reader import read_program
from support.posted_files import Posted
from support.runs import Run

pytestmark = pytest.mark.slow

# What a drawing itself may ask for: a slot across the grain of a show face, too narrow to ramp in; a part
# whose free edges are too few for tabs, or that has none; a bit as thin as the board that it must slot; a
# board that leans on its square end.
OF_THE_DRAWING = {
    "cutting.ramp-across-grain",
    "holding.tabs-relaxed",
    "holding.dress-edge",
    "bits.bends",
    "joint.line-bearing",
    "relief.thin-web",
}
# What the proof says wrongly: mend it, then take it out here. In a thin board it takes a mate beside the edge
# for one beyond it; a shelf that ends 5 mm before its housing does is no fit of 5 mm.
WAITING: dict[str, str] = {}
FOLLOWS = {"proof.ramp-across-grain": "cutting.ramp-across-grain"}


def test_nothing_is_refused_and_only_the_drawing_is_warned_of(posted: Posted) -> None:
    findings = posted.run.result.findings
    codes = {f.code for f in findings}
    said = [f"{f.code}: {f.where}: {f.message}" for f in findings if f.severity == "error"]
    said += [
        f"{f.code}: {f.where}: {f.message}"
        for f in findings
        if f.severity == "warning" and f.code not in OF_THE_DRAWING and FOLLOWS.get(f.code) not in codes
    ]
    waits = WAITING.get(posted.run.piece, "-")
    assert [s for s in said if not s.startswith(waits)] == []
    assert waits == "proof.gap" or all(sheet.programs for sheet in posted.plan.sheets)


def test_every_gap_of_the_demo_is_measured(run: Run) -> None:
    """A gap that could not be measured is a note alone: nobody would miss it."""
    assert [f.where for f in run.result.findings if f.code == "proof.gap-unmeasured"] == []


def test_the_referee_takes_every_program_and_reads_what_we_read(
    posted: Posted, referee: Callable[..., Any]
) -> None:
    """GCD-14: Debian's RS274 interpreter ends with 0; every end agrees within its last decimal."""
    grid = 1.1e-4 if posted.preset.post.units == "mm" else 1.1e-4 * 25.4
    diameters = {b.number: b.cut for b in posted.preset.bits}
    for name, text in posted.run.programs().items():
        verdict = referee(posted.run.folder / name, diameters)
        assert verdict.exit_code == 0, verdict.messages
        motions = read_program(text).motions
        assert len(verdict.moves) == len(motions)
        for ours, theirs in zip(motions, verdict.moves, strict=True):
            # what the program has not said yet our reader does not know (nan); the referee takes 0
            pairs = zip(ours.end, (theirs.x, theirs.y, theirs.z), strict=True)
            assert all(math.isnan(p) or abs(p - q) <= grid for p, q in pairs), f"{name}, line {ours.line}"
            if ours.centre is not None:
                assert math.dist(ours.centre, (theirs.cx, theirs.cy)) <= 20 * grid
                assert ours.turn == theirs.turns
