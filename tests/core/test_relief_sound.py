# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reliefs beside thin wood: what comes out is a sound panel, or a finding names the corner."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from flatwright.geometry.outline import Outline, circle, polygon_outline
from flatwright.geometry.polygon import parts, polygon
from flatwright.joints.relief import Relieved
from flatwright.joints.relief_choice import CornerChoice, CornerKind
from flatwright.presets.model import ReliefRules
from support.relief_check import blocked, mate_of, plate, relieved

FINE = 1e-4


def overlap(done: Relieved) -> float:
    """mm² that holes share, or that lie outside of the panel, or that a loop goes round wrongly."""
    outer, *holes = (polygon(o.ccw(), tolerance=FINE) for o in done.panel.loops())
    total = sum(abs(abs(o.area()) - polygon(o.ccw(), tolerance=FINE).area) for o in done.panel.loops())
    for k, hole in enumerate(holes):
        total += hole.difference(outer).area + sum(hole.intersection(h).area for h in holes[:k])
    return float(total)


def codes(done: Relieved) -> set[str]:
    return {f.code for f in done.findings}


@pytest.mark.parametrize(
    ("void", "beside", "r"),
    [
        (
            [(12.39, 3.587), (-9.012, 7.07), (15.781, -8.706)],
            [(-5.677, -5.528), (10.32, -5.528), (-2.501, 2.63), (-5.677, 2.63)], 3.0,
        ),
        (
            [(14.599, 3.212), (20.909, 14.967), (4.704, 15.624), (-0.946, -25.875)],
            [(-5.37, -21.899), (-0.556, -21.899), (4.252, 13.411), (-5.37, 13.411)], 1.5,
        ),
    ],
    ids=["a quarter of a mm beside", "a seventh of a mm beside"],
)  # fmt: skip
def test_the_way_into_a_sharp_corner_does_not_run_into_the_next_hole(
    void: list[tuple[float, float]], beside: list[tuple[float, float]], r: float
) -> None:
    """The circle found room, the widened way to it was not looked at: two holes became one."""
    loop, other = polygon_outline(void).cw(), polygon_outline(beside).cw()
    done = relieved(plate(loop, other), [mate_of(loop, 0.02)], r)
    assert overlap(done) < 0.05
    assert "relief.no-room" in codes(done) or blocked(done.panel.holes[0], mate_of(loop, 0.02), r) < 0.05


def test_a_hole_that_touches_the_corner_is_broken_into_by_no_relief() -> None:
    """What ends at a corner is passed over where pockets are open to an edge; a round hole is none."""
    slot = polygon_outline([(0, 0), (47.698, 0), (47.698, 7.295), (0, 7.295)]).cw()
    done = relieved(plate(slot, circle((55.299, 9.786), 8.0).cw()), [mate_of(slot, 0.02)], 3.0)
    assert overlap(done) < 0.05


@given(
    st.lists(st.floats(8.0, 40.0), min_size=3, max_size=5), st.floats(0.0, 6.28),
    st.sampled_from([0.02, 0.09, 0.25, 0.6]), st.sampled_from([1.5, 3.0]),
    st.sampled_from(["least visible", "dog-bone", "T-bone"]),
)  # fmt: skip
def test_beside_a_sliver_all_is_sound_or_told(
    radii: list[float], turn: float, thin: float, r: float, kind: str
) -> None:
    """A void with any corners, and a second one that leaves a sliver along one of its sides."""
    angles = turn + np.arange(len(radii)) * math.tau / len(radii)
    points = np.array(radii)[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    loop = Outline(points, np.zeros(len(radii))).cw()
    wood = polygon(loop.ccw()).buffer(thin, join_style="mitre", mitre_limit=20)
    x0, y0, x1, y1 = wood.bounds
    rest = parts(shapely.box(x0, y0, (x0 + x1) / 2, y1).difference(wood))
    assume(rest and rest[0].area > 20)
    other = polygon_outline(list(rest[0].exterior.coords)[:-1]).cw()
    done = relieved(plate(loop, other), [mate_of(loop, 0.02)], r, ReliefRules(kind=kind))  # type: ignore[arg-type]
    assert overlap(done) < 0.05
    if not {f.severity for f in done.findings} & {"error"}:
        assert blocked(done.panel.holes[0], mate_of(loop, 0.02), r) < 0.05
    for f in done.findings:
        assert "plate at (" in f.where


# -- a tongue of wood, 5 mm wide, that stands in a hole ---------------------------------------

TONGUE = polygon_outline([(0, 0), (28, 0), (28, 20), (33, 20), (33, 0), (60, 0), (60, 40), (0, 40)]).cw()
# along both sides of the tongue, 3 mm deep each: together they would cut it off
BOTH: list[tuple[tuple[float, float], CornerKind]] = [((28, 0), "T-bone in"), ((33, 0), "T-bone out")]


def chosen(met: bool) -> Relieved:
    mates = [mate_of(TONGUE, 0.02)] if met else []
    return relieved(plate(TONGUE), mates, 3.0, corners=[CornerChoice(at, kind) for at, kind in BOTH])


def test_of_two_reliefs_by_hand_that_cut_a_piece_off_one_is_left_out_where_no_mate_needs_it() -> None:
    done = chosen(met=False)
    assert codes(done) == {"relief.not-placed", "relief.thin-web"} and overlap(done) < 0.05
    assert len(done.reliefs) == 1 and done.failed == ()


def test_where_mates_need_both_the_error_names_one_of_the_two_corners() -> None:
    done = chosen(met=True)
    [error] = [f for f in done.findings if f.severity == "error"]
    assert error.code == "relief.no-room" and error.where in ("plate at (28.0, 0.0)", "plate at (33.0, 0.0)")
    assert "cut a piece off" in error.message
    assert done.panel.holes[0].area() == TONGUE.area()
