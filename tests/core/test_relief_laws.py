# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Laws of reliefs over voids of any shape: they only take wood away, and a mate with square corners enters
what a round bit leaves. The judge is an opening by shapely alone (CHECKS GEO-14)."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from flatwright.geometry.corners import concave_corners
from flatwright.geometry.outline import Outline
from flatwright.geometry.parallel import parallel
from flatwright.geometry.polygon import polygon, ring
from flatwright.presets.model import ReliefRules
from support.relief_check import blocked, mate_of, only_removes, plate, relieved

KINDS = ("least visible", "dog-bone", "T-bone")
radii = st.sampled_from([1.0, 1.5875, 3.0])
kinds = st.sampled_from(KINDS)


@st.composite
def voids(draw: st.DrawFn, curved: bool = True) -> Outline:
    """A hole of three to five corners on a circle, of 20° to 150°, its edges straight or bent either way."""
    n = draw(st.integers(3, 5))
    steps = draw(st.lists(st.floats(0.5, 3.0), min_size=n, max_size=n))
    angles = np.cumsum(steps) * math.tau / sum(steps)
    radius = draw(st.floats(25.0, 60.0))
    bends = [0.0, 0.0, 0.12, 0.3, -0.12, -0.25] if curved else [0.0]
    bulges = draw(st.lists(st.sampled_from(bends), min_size=n, max_size=n))
    loop = Outline(radius * np.stack([np.cos(angles), np.sin(angles)], axis=1), np.array(bulges)).cw()
    openings = [math.degrees(c.opening) for c in concave_corners(loop)]
    assume(max(steps) < 0.45 * sum(steps) and openings and min(openings) > 20)
    assume(Polygon(ring(loop)).is_valid and not polygon(loop.ccw()).buffer(-6).is_empty)
    return loop


@given(voids(), radii, kinds)
def test_a_square_mate_enters_what_a_round_bit_leaves(loop: Outline, r: float, kind: str) -> None:
    mate = mate_of(loop)
    assume(mate.geom_type == "Polygon")
    done = relieved(plate(loop), [mate], r, ReliefRules(kind=kind))  # type: ignore[arg-type]
    assert [f for f in done.findings if f.severity == "error"] == []
    new = done.panel.holes[0]
    assert only_removes(loop, new)
    assert blocked(new, mate, r) < 0.02
    arcs = {round(s.radius, 6) for s in new.segments() if not s.is_line}
    drawn = {round(s.radius, 6) for s in loop.segments() if not s.is_line}
    assert arcs <= drawn | {round(r, 6)}, "reliefs are arcs of the bit's own radius"


@given(voids(), radii, kinds)
def test_the_bits_own_path_clears_the_way(loop: Outline, r: float, kind: str) -> None:
    """The exact tool-centre curves come to every relief's centre, in one walk."""
    done = relieved(plate(loop), [mate_of(loop)], r, ReliefRules(kind=kind))  # type: ignore[arg-type]
    curves = parallel(done.panel.holes[0], r)
    assert len(curves) == 1
    path = np.array(ring(curves[0], 1e-4))
    for relief in done.reliefs:
        assert np.hypot(*(path - relief.centre).T).min() < 0.01


@given(voids(), radii, st.sampled_from([0.0, 0.7, 2.0, math.pi / 2]), st.booleans())
def test_turning_or_mirroring_the_panel_turns_the_reliefs(
    loop: Outline, r: float, angle: float, mirror: bool
) -> None:
    other = loop.moved((7.0, -3.0), angle, mirror).cw()
    here = relieved(plate(loop), [mate_of(loop)], r)
    there = relieved(plate(other), [mate_of(other)], r)
    assert sorted(x.kind for x in here.reliefs) == sorted(x.kind for x in there.reliefs)
    centres = Outline(np.array([x.centre for x in here.reliefs] * 2), np.zeros(2 * len(here.reliefs)))
    moved = centres.moved((7.0, -3.0), angle, mirror).points
    for x in there.reliefs:
        assert np.hypot(*(moved - x.centre).T).min() < 1e-4


@given(voids(), st.floats(0.1, 1.5))
def test_a_bigger_bit_never_needs_fewer_reliefs(loop: Outline, clear: float) -> None:
    mate = mate_of(loop, clear)
    due = [{x.corner for x in relieved(plate(loop), [mate], r).reliefs} for r in (0.5, 1.0, 2.0, 3.0)]
    for small, big in pairwise(due):
        assert small <= big


@given(voids(curved=False), radii)
def test_relieving_again_changes_nothing(loop: Outline, r: float) -> None:
    """What was relieved needs nothing more, and its own reliefs are good enough to be kept."""
    mate = mate_of(loop)
    once = relieved(plate(loop), [mate], r)
    twice = relieved(once.panel, [mate], r)
    assert twice.reliefs == () and twice.findings == ()
    assert np.allclose(once.panel.holes[0].points, twice.panel.holes[0].points, atol=1e-9)


@pytest.mark.parametrize("degrees", [15, 30, 60, 85, 89.99, 90 - 1e-5, 90, 90 + 1e-5, 95, 120, 150])
@pytest.mark.parametrize("kind", KINDS)
def test_a_corner_of_any_angle(degrees: float, kind: str) -> None:
    a = math.radians(degrees)
    points = np.array([(0.0, 0.0), (120.0, 0.0), (120 * math.cos(a), 120 * math.sin(a))])
    loop = Outline(points, np.zeros(3)).cw()
    mate = mate_of(loop)
    done = relieved(plate(loop), [mate], 3.0, ReliefRules(kind=kind))  # type: ignore[arg-type]
    assert done.findings == ()
    assert blocked(loop, mate, 3.0) > 0.05 or degrees > 140
    assert blocked(done.panel.holes[0], mate, 3.0) < 0.02
