# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What of the edges takes part in a joint: also of those that the fit leaves as drawn."""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.geometry.outline import rectangle
from flatwright.joints.fit import Thickness
from flatwright.joints.piece import Piece, fit_piece
from flatwright.plan import Panel
from flatwright.presets.model import FitClass, Fits
from support.pieces import board, housing
from support.planned_work import shown, work_of

FITS = Fits("glue", {"glue": FitClass(0.25, 0.5, 0.5, "flush")})


def piece(panels: Sequence[Panel]) -> Piece:
    return fit_piece(panels, {p.name: Thickness(17.7, 17.7) for p in panels}, FITS)[0]


def test_the_end_of_a_shelf_in_a_housing_mates_though_it_stays_as_drawn() -> None:
    done = piece(housing())
    end = next(s for s in done.panels[1].outline.segments() if s.p[0] == s.q[0] == 12.0)
    assert not any(s.distance(end.at(0.5)) < 0.5 for s in done.mating["shelf"])
    assert any(s.distance(end.at(0.5)) < 0.5 and s.length > 159 for s in done.in_joints()["shelf"])


def on_feet() -> list[Panel]:
    """A wall of 600 mm that stands on two feet of 80 mm, lying flat under its ends."""
    wall = board("wall", rectangle(0, 0, 600, 160), origin=(0, 100, 18), u=(1, 0, 0), n=(0, -1, 0))
    feet = [board(f"foot {k}", rectangle(x, 0, x + 80, 200)) for k, x in enumerate((0, 520))]
    return [wall, *feet]


def test_of_an_edge_that_merely_stands_on_others_only_what_stands_there_mates() -> None:
    done = piece(on_feet())
    below = [s for s in done.mating["wall"] if max(s.p[1], s.q[1]) < 1.0]
    assert sorted((round(min(s.p[0], s.q[0])), round(max(s.p[0], s.q[0]))) for s in below) == [
        (0, 81),
        (519, 600),
    ]
    assert done.panels[0].outline.bounds()[1] == below[0].p[1], "they lie on the edge as it was fitted"


def test_a_wall_of_a_slot_mates_from_end_to_end_though_the_mate_fills_half_of_it() -> None:
    """The rail of 60 mm goes in along the whole wall of a notch of 100 mm."""
    notch = [(109, 300), (109, 200), (91, 200), (91, 300)]
    upright = board(
        "upright", [(0, 0), (200, 0), (200, 300), *notch, (0, 300)], origin=(0, 9, 0), n=(0, -1, 0)
    )
    rail = board("rail", rectangle(0, 0, 300, 60), origin=(91, -150, 200), u=(0, 1, 0), n=(1, 0, 0))
    done = piece([upright, rail])
    walls = [s for s in done.mating["upright"] if abs(s.p[0] - s.q[0]) < 0.01]
    assert len(walls) == 2
    assert all(max(s.p[1], s.q[1]) == 300.0 and s.length > 99.0 for s in walls)


def test_tabs_stand_on_the_rest_of_such_an_edge_and_the_proof_agrees() -> None:
    done = work_of(shown(on_feet()))
    below = [t for s in done.plan.sheets for t in s.tabs if t.panel == "wall" and not t.dress]
    assert len(below) == 3
    assert not {"holding.dress-edge", "holding.tabs-relaxed"} & {f.code for f in done.findings}
    assert done.codes() == set()
