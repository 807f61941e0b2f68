# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Laws of the fit, over joints in any place, drawn tight or loose, on boards thin or thick."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.geometry.frame import Frame
from flatwright.geometry.polygon import polygon, region
from flatwright.joints.collide import collisions
from flatwright.joints.contacts import find_contacts
from flatwright.joints.fit import Fitted, Thickness, fit
from flatwright.joints.mates import covers, mates
from flatwright.joints.recognise import recognise
from flatwright.joints.relief import relieve
from flatwright.joints.tilted import tilted
from flatwright.plan import Panel
from flatwright.presets.model import FitClass, Fits, ReliefRules
from support.pieces import cross_lap, finger_corner, groove, housing, open_slot, through_tenon

GLUE = Fits("glue", {"glue": FitClass(0.25, 0.50, 0.40)})
KINDS = {
    "mortise and tenon": through_tenon,
    "cross-lap": cross_lap,
    "stopped housing": housing,
    "housing": groove,
    "slot": open_slot,
    "finger joint": finger_corner,
}

makers = st.sampled_from(sorted(KINDS))
clearances = st.sampled_from([0.0, 0.1, 0.35, 0.8])
boards = st.floats(17.0, 18.9)
turns = st.tuples(st.floats(-3, 3), st.floats(-1.5, 1.5), st.floats(-3, 3))


def fitted(panels: Sequence[Panel], t: float, fits: Fits = GLUE) -> Fitted:
    scene = find_contacts(panels)
    board = Thickness(t, t)
    return fit(scene, recognise(scene), dict.fromkeys(range(len(panels)), board), fits)


def turned(panels: Sequence[Panel], angles: tuple[float, float, float]) -> list[Panel]:
    """The piece turned about three axes and moved."""
    a, b, c = angles
    rz = np.array([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0], [0, 0, 1]])
    ry = np.array([[math.cos(b), 0, math.sin(b)], [0, 1, 0], [-math.sin(b), 0, math.cos(b)]])
    rx = np.array([[1, 0, 0], [0, math.cos(c), -math.sin(c)], [0, math.sin(c), math.cos(c)]])
    m = rz @ ry @ rx
    shift = np.array([310.0, -45.0, 17.0])
    return [
        replace(p, frame=Frame(m @ p.frame.origin + shift, m @ p.frame.u, m @ p.frame.v, m @ p.frame.n))
        for p in panels
    ]


def gaps(panels: Sequence[Panel]) -> dict[str, set[float]]:
    """Every gap of the piece by role, measured anew from its geometry."""
    out: dict[str, set[float]] = {
        "cheek": set(),
        "side": set(),
        "floor": set(),
        "flank": set(),
        "shoulder": set(),
    }
    scene = find_contacts(panels)
    for j in recognise(scene).joints:
        for role, contacts in (
            ("cheek", j.cheeks), ("side", j.sides), ("floor", j.floors), ("flank", j.flanks),
            ("shoulder", j.shoulders),
        ):  # fmt: skip
            out[role] |= {round(c.gap, 3) + 0.0 for c in contacts}
    return out


@pytest.mark.parametrize("kind", sorted(KINDS))
@pytest.mark.parametrize("clear", [0.0, 0.3, 0.9])
def test_each_kind_is_recognised_drawn_tight_or_loose(kind: str, clear: float) -> None:
    (joint,) = recognise(find_contacts(KINDS[kind](clear))).joints
    assert joint.kind == kind


@given(makers, clearances, boards, turns)
def test_every_gap_is_its_class_value(
    kind: str, clear: float, t: float, angles: tuple[float, float, float]
) -> None:
    found = gaps(fitted(turned(KINDS[kind](clear), angles), t).panels)
    assert found["cheek"] <= {0.125}
    assert found["side"] <= {0.25}
    assert found["flank"] <= {0.25}
    assert found["floor"] <= {0.4}
    assert found["shoulder"] <= {0.0}


@given(makers, clearances, boards)
def test_fitting_twice_changes_nothing(kind: str, clear: float, t: float) -> None:
    once = fitted(KINDS[kind](clear), t).panels
    twice = fitted(once, t).panels
    for a, b in zip(once, twice, strict=True):
        assert np.allclose(a.frame.origin, b.frame.origin, atol=1e-6)
        for p, q in zip(a.loops(), b.loops(), strict=True):
            assert np.allclose(p.points, q.points, atol=2e-6)


@given(makers, clearances, boards)
def test_drawn_clearance_changes_nothing(kind: str, clear: float, t: float) -> None:
    tight, loose = fitted(KINDS[kind](0.0), t).panels, fitted(KINDS[kind](clear), t).panels
    for a, b in zip(tight, loose, strict=True):
        for p, q in zip(a.loops(), b.loops(), strict=True):
            assert np.allclose(p.points, q.points, atol=1e-5)


@given(makers, clearances, boards, turns)
def test_turning_the_piece_turns_the_fit(
    kind: str, clear: float, t: float, angles: tuple[float, float, float]
) -> None:
    here, there = KINDS[kind](clear), turned(KINDS[kind](clear), angles)
    a, b = fitted(here, t), fitted(there, t)
    assert [j.kind for j in a.joints] == [j.kind for j in b.joints]
    for p, q in zip(a.panels, b.panels, strict=True):
        # the middle face may stay on the other side, so only shapes are compared
        assert p.outline.area() == pytest.approx(q.outline.area(), abs=1e-3)


@given(makers, clearances, boards, turns)
def test_fitted_panels_never_collide(
    kind: str, clear: float, t: float, angles: tuple[float, float, float]
) -> None:
    assert collisions(fitted(turned(KINDS[kind](clear), angles), t).panels) == []


@given(makers, boards, boards)
def test_a_thicker_board_never_gets_a_narrower_slot(kind: str, t0: float, t1: float) -> None:
    thin, thick = sorted((t0, t1))
    widths = []
    for t in (thin, thick):
        scene = find_contacts(fitted(KINDS[kind](), t).panels)
        (joint,) = recognise(scene).joints
        widths.append(t + sum(c.gap for c in joint.cheeks[:2]))
    assert widths[0] <= widths[1] + 1e-9


def relieved(panels: Sequence[Panel], r: float) -> list[Panel]:
    found = recognise(find_contacts(panels)).joints
    near, hidden = mates(panels, found), covers(panels)
    out = []
    for i, p in enumerate(panels):
        done = relieve(p, near[i], hidden[i], [r] * len(p.loops()), ReliefRules())
        assert done.findings == ()
        out.append(done.panel)
    return out


@given(makers, boards, st.sampled_from([1.0, 1.5875, 3.0]))
def test_reliefs_only_remove_wood_and_always_suffice(kind: str, t: float, r: float) -> None:
    before = fitted(KINDS[kind](), t).panels
    after = relieved(before, r)
    near = mates(before, recognise(find_contacts(before)).joints)
    for p, q, m in zip(before, after, near, strict=True):
        # arcs run exactly through the corners; their chords pass them by 0.002 mm
        assert polygon(q.outline).difference(polygon(p.outline)).area < 1e-3
        wood = region(q.outline, q.holes)
        # the wood as a round bit leaves it: the void opened by the bit
        void = polygon(p.outline).buffer(30).difference(wood)
        left = void.buffer(-r + 1e-3, quad_segs=64).buffer(r - 1e-3, quad_segs=64)
        for mate in m:
            if not p.pockets:
                assert mate.shape.difference(left.buffer(0.01)).intersection(polygon(p.outline)).area < 0.05


def test_a_mate_at_an_angle_is_named() -> None:
    side, shelf = through_tenon()
    a = math.radians(20)
    frame = Frame.of(shelf.frame.origin, (math.cos(a), 0, math.sin(a)), (-math.sin(a), 0, math.cos(a)))
    (found,) = tilted([side, replace(shelf, frame=frame)], [])
    assert found.panels == ("side", "shelf")
    assert "70.0°" in found.message
    assert tilted([side, shelf], []) == []


def test_a_corner_without_a_mate_stays_clean() -> None:
    panels = fitted(through_tenon(), 17.7).panels
    side = panels[0]
    done = relieve(side, [], covers(panels)[0], [3.0, 3.0], ReliefRules())
    assert done.reliefs == ()
    assert done.panel.holes[0].points.tolist() == side.holes[0].points.tolist()


def test_boards_that_collide_are_named() -> None:
    side, shelf = through_tenon()
    cut = [replace(p, board="birch 18") for p in (replace(side, holes=()), shelf)]
    (hit,) = collisions(cut)
    assert hit.code == "joint.collision"
    assert hit.panels == ("side", "shelf")
    (uncut,) = collisions([replace(cut[0], board=None), cut[1]])
    assert uncut.severity == "warning", "hardware in a slot is no reason to refuse the board"
