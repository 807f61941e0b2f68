# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand go with a piece that was turned in space as a whole, however its panels are read then."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.edits.by_hand import ByHand
from flatwright.edits.model import Edits, PanelEdit, PanelRef
from flatwright.edits.text import dumps, loads
from flatwright.edits.turning import turned_like
from flatwright.geometry.frame import Vector, canonical_sign
from flatwright.plan import Panel
from support.edited import Done, done, of_side, slip_near, unit
from support.moving import SHIFT, Angles, other_face, other_way_round, rotation, turned_panels

HALF, QUARTER = math.pi, math.pi / 2
TURNS: list[Angles] = [(HALF, 0, 0), (QUARTER, 0, 0), (0, QUARTER, 0), (0, 0, HALF), (0.3, -0.5, 1.1)]


def turned(panels: Sequence[Panel], angles: Angles) -> list[Panel]:
    """The piece turned, and read anew: normal and longer side of a panel point where the rule has them."""
    out = []
    for p in turned_panels(panels, angles):
        if not np.allclose(canonical_sign(p.frame.n), p.frame.n):
            p = other_face(p)
        out.append(p if np.allclose(canonical_sign(p.frame.u), p.frame.u) else other_way_round(p))
    return out


def everything() -> Edits:
    """A class, a T-bone, and all that can be said of a panel, as a run of the piece as drawn keeps it."""
    side = PanelEdit(PanelRef("side"), grain=30.0, show="-n", stays="+n", board="birch")
    corners = of_side(unit(), "T-bone longer").corners
    return done(unit(), replace(slip_near(unit()), panels=(side,), corners=corners)).hand.kept


def in_piece(run: Done, angles: Angles) -> list[object]:
    """What the edits came to, turned back: the places of the joints with their classes, the reliefs of the
    side, where its show face and its staying face look, and how its grain runs."""
    back = rotation(angles).T
    side, index = next((p, i) for i, p in enumerate(run.piece.panels) if p.name == "side")
    f = side.frame
    assert side.grain is not None
    a = math.radians(side.grain)
    joints = []
    for joint, ref in zip(run.piece.joints, run.hand.spots(run.piece.joints), strict=True):
        if ref is not None and "class" in joint.fit:
            middle = (np.array(ref.low) + np.array(ref.high)) / 2
            joints.append((str(joint.fit["class"]), *rounded(back @ (middle - SHIFT * any(angles)), 1)))
    reliefs = [
        rounded(back @ ((r.centre[0] - r.corner[0]) * f.u + (r.centre[1] - r.corner[1]) * f.v), 3)
        for r in run.reliefs
        if r.panel == "side"
    ]
    faces = [f.n if side_ == "+n" else -f.n for side_ in (side.show, run.hand.stays()[index])]
    grain = canonical_sign(back @ (math.cos(a) * f.u + math.sin(a) * f.v))
    return [sorted(joints), sorted(reliefs), *(rounded(back @ n, 6) for n in faces), rounded(grain, 6)]


def rounded(v: Vector, digits: int) -> tuple[float, ...]:
    return tuple((np.round(v, digits) + 0.0).tolist())


@pytest.mark.parametrize("angles", TURNS, ids=str)
def test_all_edits_go_with_a_piece_that_was_turned(angles: Angles) -> None:
    edits = everything()
    still, there = done(unit(), edits), done(turned(unit(), angles), edits)
    assert still.codes == there.codes == []
    assert in_piece(there, angles) == in_piece(still, (0, 0, 0))


def test_turned_and_turned_back_is_as_it_was() -> None:
    edits = everything()
    there = done(turned(unit(), (0.3, -0.5, 1.1)), edits).hand.kept
    back = done(unit(), there).hand.kept
    for a, b in zip(edits.panels, back.panels, strict=True):
        assert (a.grain, a.show, a.stays) == (pytest.approx(b.grain), b.show, b.stays)
    for c, d in zip(edits.corners, back.corners, strict=True):
        assert c.kind == d.kind and c.from_joint == pytest.approx(d.from_joint, abs=0.01)


@given(st.tuples(*[st.floats(-3.1, 3.1)] * 3))
def test_any_turn(angles: Angles) -> None:
    hand = ByHand(everything_once, turned(unit(), angles), {})
    joint = hand.kept.joints or hand._edits.joints
    assert len(joint) == 1 and hand.told.findings == []
    f, (edit,) = hand._panels.panels[0].frame, hand.kept.panels
    shown = rotation(angles).T @ (f.n if edit.show == "+n" else -f.n)
    assert shown == pytest.approx([-1, 0, 0], abs=1e-6)


everything_once = everything()


def test_a_piece_that_was_turned_and_changed_in_one_panel_keeps_the_edits() -> None:
    """Three panels of four tell the turn."""
    three = [p for k in (0, 1) for p in _beside(k)]
    edits = done(three, slip_near(three)).hand.kept
    changed = [*_beside(0), *_beside(1, height=400.0)]
    run = done(turned(changed, (QUARTER, 0, 0)), edits)
    assert run.codes == []
    assert sorted(str(j.fit["class"]) for j in run.piece.joints if "class" in j.fit) == ["glue"] * 3 + [
        "slip"
    ]


def test_a_lean_too_slight_to_tell_may_yet_turn_a_normal_round() -> None:
    """The rule for normals looks at the sign of what is over 1e-6: 0.00006 rad turn one round."""
    edits = done(unit(), Edits((PanelEdit(PanelRef("side"), show="-n", stays="+n", grain=30.0),))).hand.kept
    [kept] = ByHand(edits, turned(unit(), (-6e-5, 0, 0)), {}).kept.panels
    assert (kept.show, kept.stays, kept.grain) == ("+n", "-n", -30.0)


def test_a_moved_shelf_is_no_turn() -> None:
    edits = done(unit(), slip_near(unit())).hand.kept
    run = done(unit(rise=140.0), edits)
    assert run.codes == [] and "slip" in run.classes().values()


def test_a_file_of_edits_is_read_where_the_document_lies() -> None:
    """Poses stand in the file, and are written as published."""
    there = turned(unit(), (QUARTER, 0, 0))
    file = loads(dumps(everything()))
    assert set(file.poses) == set(everything().poses)
    document = done(there, Edits()).hand.kept
    run = done(there, document.under(turned_like(file, document.poses)))
    assert run.codes == []
    assert in_piece(run, (QUARTER, 0, 0)) == in_piece(done(unit(), everything()), (0, 0, 0))


def _beside(k: int, **changes: float) -> list[Panel]:
    """The unit, the second one renamed and a metre along x."""
    if k == 0:
        return unit()
    out = []
    for p in unit(**changes):  # type: ignore[arg-type]
        origin = p.frame.origin + np.array([1000.0, 0.0, 0.0])
        out.append(
            replace(p, name=f"{p.name} 2", source=f"{p.name} 2", frame=replace(p.frame, origin=origin))
        )
    return out
