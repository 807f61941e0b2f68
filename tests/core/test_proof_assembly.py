# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Ways in and orders of assembly: found where there are any, and said where parts lock each other."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from flatwright.geometry.outline import rectangle
from flatwright.plan import Panel
from flatwright.proof.assembly import Assembly, assembly, cannot_assemble
from flatwright.proof.blocking import blocks
from flatwright.proof.interference import drawn_in, overlaps
from flatwright.proof.slab import Slab, planned
from support.pieces import board, cross_lap, finger_corner, groove, housing, open_slot, slot, through_tenon

X, Y, Z = np.eye(3)


def together(panels: list[Panel], *pairs: tuple[str, str]) -> Assembly:
    return assembly([planned(p) for p in panels], pairs)


# The ways that take the second part off the first, by hand from the drawings in support/pieces.py.
WAYS: dict[str, tuple[Callable[[float], list[Panel]], str]] = {
    "through tenon": (through_tenon, "+x"),
    "housing": (housing, "+x"),
    "groove": (groove, "+x +y -y"),
    "cross-lap": (cross_lap, "+z"),
    "open slot": (open_slot, "+y -y +z"),
    "finger joint": (finger_corner, "-x +y"),
}


@pytest.mark.parametrize("kind", WAYS)
def test_a_mate_leaves_by_the_ways_that_its_joint_leaves_open(kind: str) -> None:
    make, ways = WAYS[kind]
    a, b = (drawn_in(planned(p), 0.05) for p in make(0.3))
    free = set()
    for name, axis in zip("xyz", (X, Y, Z), strict=True):
        free |= {sign + name for sign, way in (("+", axis), ("-", -axis)) if not blocks(b, a, way)}
    assert free == set(ways.split())


@pytest.mark.parametrize("kind", WAYS)
def test_exact_answers_are_those_of_trying_step_by_step(kind: str) -> None:
    a, b = (drawn_in(planned(p), 0.05) for p in WAYS[kind][0](0.3))
    for way in (X, -X, Y, -Y, Z, -Z):
        assert blocks(b, a, way) == stepped(b, a, way)
        assert blocks(b, a, way) == blocks(a, b, -way)


def stepped(a: Slab, b: Slab, way: np.ndarray) -> bool:
    """Moves a by 4 mm at a time and looks whether it meets b: slow, but another way."""
    from dataclasses import replace

    return any(
        overlaps([replace(a, frame=replace(a.frame, origin=a.frame.origin + s * way)), b], 0.0)
        for s in np.arange(4.0, 700.0, 4.0)
    )


def frame_of_tenons() -> list[Panel]:
    """A shelf between two sides, a tenon at each end."""
    side, shelf = through_tenon(0.3)
    whole = board(
        "shelf",
        [(0, 60), (18, 60), (18, 0), (382, 0), (382, 60), (400, 60), (400, 140), (382, 140),
         (382, 200), (18, 200), (18, 140), (0, 140)],
        origin=(0, 0, 100),
    )  # fmt: skip
    mortise = slot(59.85, 99.85, 140.15, 118.15)
    right = board(
        "right", rectangle(0, 0, 200, 300), origin=(382, 0, 0), u=(0, 1, 0), n=(1, 0, 0), holes=[mortise]
    )
    assert shelf.name == whole.name
    return [side, whole, right]


def test_a_shelf_goes_between_two_sides_one_after_the_other() -> None:
    done = together(frame_of_tenons(), ("side", "shelf"), ("right", "shelf"))
    assert (done.locked, done.shut) == ((), ())
    assert [len({*s.parts, *s.onto}) for s in done.steps] == [2, 3]
    assert all(abs(s.way[0]) == 1.0 for s in done.steps)


def test_a_tenon_wider_behind_the_board_has_no_way_in() -> None:
    side, _ = through_tenon(0.3)
    hooked = board(
        "shelf",
        [(-20, 40), (0, 40), (0, 60), (18, 60), (18, 0), (400, 0), (400, 200), (18, 200), (18, 140), (0, 140),
         (0, 160), (-20, 160)],
        origin=(0, 0, 100),
    )  # fmt: skip
    done = together([side, hooked], ("side", "shelf"))
    assert done.shut == (("side", "shelf"),)
    assert [f.code for f in cannot_assemble(done)] == ["proof.insertion-path"]


def corner() -> list[Panel]:
    """Three boards square to each other, each with a blind tenon (10 mm) into a pocket of the next."""
    c = 0.15
    tenon = [(0, 60), (-10, 60), (-10, 120), (0, 120)]

    def pocket(x0: float, y0: float, x1: float, y1: float) -> tuple:
        return (slot(x0 - c, y0 - c, x1 + c, y1 + c), 10.25, "+n")

    # floor: u = x from 18, v = y; its tenon goes along -x into the wall at x 0..18
    floor = board(
        "floor", [(0, -40), (182, -40), (182, 200), (0, 200), *tenon[::-1]], origin=(18, 0, 0),
        pockets=[pocket(42, 0, 102, 18)],
    )  # fmt: skip
    # wall: u = y from 18, v = z, n = x; its tenon goes along -y into the back at y 0..18
    wall = board(
        "wall", [(0, -40), (182, -40), (182, 200), (0, 200), *tenon[::-1]], origin=(0, 18, 0),
        u=(0, 1, 0), n=(1, 0, 0), pockets=[pocket(42, 0, 102, 18)],
    )  # fmt: skip
    # back: u = z from 18, v = x, n = y; its tenon goes along -z into the floor
    back = board(
        "back", [(0, -40), (182, -40), (182, 200), (0, 200), *tenon[::-1]], origin=(0, 0, 18),
        u=(0, 0, 1), n=(0, 1, 0), pockets=[pocket(42, 0, 102, 18)],
    )  # fmt: skip
    return [floor, wall, back]


def test_boards_that_each_go_into_the_next_lock_each_other() -> None:
    """Any two of them come apart, and so does each joint alone; all three together do not."""
    slabs = [planned(p) for p in corner()]
    pairs = [("floor", "wall"), ("wall", "back"), ("back", "floor")]
    assert overlaps(slabs, 0.0) == []
    done = assembly(slabs, pairs)
    assert done.shut == ()
    assert done.locked == (("floor", "wall", "back"),)
    (told,) = cannot_assemble(done)
    assert (told.code, told.severity) == ("proof.closed-cycle", "error")
    assert set(told.panels) == {"floor", "wall", "back"}
    assert assembly(slabs[:2], pairs[:1]).locked == ()


def test_a_leaning_mate_goes_in_along_its_own_plane() -> None:
    from core.test_proof_dry_fit import tilted

    panels = tilted(0.3, 20.0)
    done = together(panels, ("base", "mate"))
    assert (done.locked, done.shut) == ((), ())
    (step,) = done.steps
    leaning = np.array([np.sin(np.radians(20)), 0.0, np.cos(np.radians(20))])
    assert abs(float(np.array(step.way) @ leaning)) == pytest.approx(1.0, abs=1e-6)


def test_the_same_order_however_parts_are_listed() -> None:
    panels = frame_of_tenons()
    pairs = [("side", "shelf"), ("right", "shelf")]
    assert together(panels, *pairs) == together(panels, *reversed(pairs))
