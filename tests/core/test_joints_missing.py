# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boards drawn through each other: the slot that is missing is cut, and it is the slot that fits."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from flatwright.geometry.outline import rectangle
from flatwright.joints.fit import Thickness
from flatwright.joints.missing import cut_missing
from flatwright.joints.piece import fit_piece
from flatwright.plan import Panel
from flatwright.presets.model import FitClass, Fits
from support.angled import crossing, leaning_through
from support.pieces import cross_lap, housing, open_slot, through_tenon

CUT = ("long", "short", "base", "side")
GLUE = Fits("glue", {"glue": FitClass(0.25, 0.50, 0.40)})


def without_slots(panels: Sequence[Panel]) -> list[Panel]:
    """The boards before anything was cut into them; shelves and mates keep their shape."""
    return [
        replace(
            p, holes=(), pockets=(), outline=rectangle(*p.outline.bounds()) if p.name in CUT else p.outline
        )
        for p in panels
    ]


def fitted(panels: Sequence[Panel]) -> tuple[list[str], list[Panel], list[str]]:
    boards = {p.name: Thickness(p.thickness - 0.3, p.thickness - 0.3) for p in panels}
    piece, findings = fit_piece([replace(p, board="any") for p in panels], boards, GLUE)
    bad = [f.code for f in findings if f.severity == "error"]
    return [j.kind for j in piece.joints], list(piece.panels), bad


@pytest.mark.parametrize(
    "draw", [through_tenon, cross_lap, housing, lambda: leaning_through(0.3), lambda: crossing(0.5)]
)
def test_the_cut_slot_is_the_one_that_would_be_drawn(draw: Callable[[], list[Panel]]) -> None:
    drawn = draw()
    bare = without_slots(drawn)
    assert "joint.collision" in fitted(bare)[2]
    cut, findings = cut_missing(bare)
    assert {f.code for f in findings} == {"joint.slot-cut"}
    kinds, panels, bad = fitted(cut)
    want, expected, _ = fitted(drawn)
    assert kinds == want and bad == []
    for a, b in zip(panels, expected, strict=True):
        for p, q in zip(a.loops(), b.loops(), strict=True):
            assert abs(p.area()) == pytest.approx(abs(q.area()), abs=0.01)
            assert np.allclose(p.bounds(), q.bounds(), atol=1e-3)


def test_a_piece_with_all_its_slots_is_left_alone() -> None:
    for draw in (through_tenon, cross_lap, housing, open_slot):
        drawn = draw()
        assert cut_missing(drawn) == (drawn, [])
