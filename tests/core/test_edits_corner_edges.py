# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A T-bone by hand lies along the edge that was meant, however the panel is looked at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from flatwright.edits.choosing import pointed_edges
from flatwright.edits.corner_edges import Asked
from flatwright.edits.model import Edits
from flatwright.findings import UsageError
from flatwright.geometry.outline import rectangle
from flatwright.plan import Panel
from support.edited import done, of_side, unit
from support.pieces import board, slot


def way(panels: Sequence[Panel], edits: Edits, y: float = 20.0) -> tuple[float, float, float]:
    """The way in the assembly from the corner at y, z = 100 to the middle of its relief."""
    run = done(panels, edits)
    assert run.codes == []
    [side] = [p for p in run.piece.panels if p.name == "side"]
    for r in run.reliefs:
        corner, centre = side.frame.to_space(np.array([r.corner, r.centre]), 0.0)
        if r.panel == "side" and np.allclose(corner[1:], (y, 100), atol=1.0):
            x, y, z = np.round(centre - corner, 3).tolist()
            return x, y, z
    raise LookupError(y)


@pytest.mark.parametrize(
    ("asked", "expected"), [("T-bone longer", (0.0, 3.0, 0.0)), ("T-bone shorter", (0.0, 0.0, 3.0))]
)
def test_the_edge_is_chosen_by_its_length(asked: Asked, expected: tuple[float, float, float]) -> None:
    edits = of_side(unit(), asked)
    assert way(unit(), edits) == expected
    again = done(unit(), edits).hand.kept
    assert way(unit(), again) == expected


@pytest.mark.parametrize("asked", ["T-bone longer", "T-bone shorter"])
def test_the_other_end_of_a_slot_mirrors_it(asked: Asked) -> None:
    """In and out of a loop change places at the other end; longer and shorter do not."""
    near, far = of_side(unit(), asked), of_side(unit(), asked, (9.0, 60.0, 100.0))
    assert {e.kind for e in (*near.corners, *far.corners)} == {"T-bone in", "T-bone out"}
    x, y, z = way(unit(), near)
    assert way(unit(), far, 60.0) == (x, -y, z)


def test_the_edge_stays_when_the_panel_is_described_from_its_other_face() -> None:
    edits = of_side(unit(), "T-bone longer")
    [edit] = edits.corners
    other = replace(edit, kind="T-bone in" if edit.kind == "T-bone out" else "T-bone out")
    assert way(unit(), replace(edits, corners=(other,))) == (0.0, 3.0, 0.0)


def test_a_file_that_names_no_way_means_the_edge_of_the_kind() -> None:
    [edit] = of_side(unit(), "T-bone longer").corners
    bare = Edits(corners=(replace(edit, along=None),))
    assert way(unit(), bare) == (0.0, 3.0, 0.0)
    assert done(unit(), bare).hand.kept.corners[0].along == (0.0, 1.0, 0.0)


def test_edges_of_one_length_are_told_by_the_way_they_run() -> None:
    plate = board("plate", rectangle(0, 0, 200, 100), holes=[slot(50, 30, 80, 60)])
    edges = pointed_edges(plate, [], (50, 30, 9))
    assert edges is not None and edges.equal
    assert {edges.longer.way, edges.shorter.way} == {(1.0, 0.0, 0.0), (0.0, 1.0, 0.0)}
    assert edges.of("T-bone longer") is edges.longer and edges.of("dog-bone") is None


def test_far_from_any_corner_there_is_nothing_to_choose() -> None:
    plate = board("plate", rectangle(0, 0, 200, 100), holes=[slot(50, 30, 80, 60)])
    with pytest.raises(UsageError, match="no inside corner"):
        pointed_edges(plate, [], (190, 90, 9))
