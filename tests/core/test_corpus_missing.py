# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boards drawn through each other with no slot: told as drawn; with the slots cut, as `--cut-slots` does,
they are the piece that was meant, and it goes together (judged by straight lines through wood)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from flatwright.joints.missing import cut_missing
from flatwright.plan import Panel
from support.corpus.missing import MISSING, Missing, puzzle_sorter
from support.laws import Fit, fitted, shared_wood, wrong_gaps
from support.moving import other_face
from support.recognition import Score
from support.reliefs import wrong_reliefs
from support.touching import passed_over

Draw = Callable[[float], Missing]
SIZES = [(18.0, 17.7), (12.0, 12.1), (6.35, 5.9), (19.05, 18.3)]
CASES = [pytest.param(m, t, r, id=f"{m.__name__}-{t:g}") for m in MISSING for t, r in SIZES]


def cut(drawn: Missing, t: float, real: float) -> tuple[Fit, list[str]]:
    """The piece with its slots cut and fitted, and the codes of what was said on the way."""
    panels, findings = cut_missing(drawn.bare)
    fit = fitted(replace(drawn.meant, panels=tuple(panels)), {t: real})
    return fit, [f.code for f in (*findings, *fit.findings)]


@pytest.mark.parametrize(("draw", "t", "real"), CASES)
def test_as_drawn_it_is_refused_with_every_pair(
    draw: Callable[[float], Missing], t: float, real: float
) -> None:
    drawn = draw(t)
    fit = fitted(replace(drawn.meant, panels=drawn.bare), {t: real})
    told = {frozenset(f.panels) for f in fit.findings if f.code == "joint.collision"}
    assert told == {j.boards for j in drawn.meant.joints}
    assert len(shared_wood(drawn.bare)) == len(told)


@pytest.mark.parametrize(("draw", "t", "real"), CASES)
def test_with_its_slots_cut_it_goes_together(draw: Draw, t: float, real: float) -> None:
    drawn = draw(t)
    fit, codes = cut(drawn, t, real)
    assert shared_wood(fit.piece.panels) == []
    assert wrong_gaps(fit) == []
    assert passed_over(fit) == []
    assert wrong_reliefs(fit, min(3.0, 0.4 * real)) == []
    assert {f.code for f in fit.findings if f.severity != "note"} == set()
    assert "joint.slot-cut" in codes


@pytest.mark.parametrize(("draw", "t", "real"), CASES)
def test_its_joints_are_those_that_were_meant(
    draw: Callable[[float], Missing], t: float, real: float
) -> None:
    drawn = draw(t)
    fit, _ = cut(drawn, t, real)
    score = Score()
    score.count(fit.model, fit.piece.joints)
    assert score.wrong == []


@pytest.mark.parametrize("flip", range(5))
def test_boards_of_a_grid_are_slotted_from_one_edge_each(flip: int) -> None:
    """Whichever face a board is described from, and in any order: slots from both edges could not be put
    together."""
    drawn = puzzle_sorter(12.0)
    panels = [other_face(p) if k == flip else p for k, p in enumerate(drawn.bare)]
    panels = [*panels[flip:], *panels[:flip]]
    cut_panels, _ = cut_missing(panels)
    opens = {p.name: edges_opened(p) for p in cut_panels}
    assert {len(o) for o in opens.values()} == {1}
    rows, columns = ({next(iter(o)) for n, o in opens.items() if n.startswith(w)} for w in ("row", "column"))
    assert len(rows) == len(columns) == 1 and rows != columns


def edges_opened(panel: Panel) -> set[str]:
    """From which edges, low or high, a board of the grid is slotted: where its outline leaves them."""
    points = panel.frame.to_space(panel.outline.points)[:, 2]
    low, high = points.min(), points.max()
    return {name for name, z in (("low", low), ("high", high)) if (abs(points - z) < 1e-6).sum() > 2}
