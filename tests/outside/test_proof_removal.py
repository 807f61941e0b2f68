# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The removal maps against closed forms, and against a fine grid that knows nothing of polygons."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from flatwright.geometry.outline import polygon_outline, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.proof.reach import SLACK, closed, opened
from flatwright.proof.reader import read_program
from flatwright.proof.removal import ROUND, swept
from flatwright.proof.sweeps import Sweeps, sweeps

R = 3.0


def path(body: str) -> Sweeps:
    motions = read_program(f"G21 G90 G17\nF100\n{body}\nM2\n").motions
    return sweeps(motions, [R] * len(motions), [1] * len(motions), 0.0)


def area(body: str, level: float) -> float:
    return float(swept(path(body), level).area)


def slack(length: float) -> float:
    """What drawing circles with chords may cost."""
    return 3 * ROUND * length


def test_geo_7_a_straight_cut() -> None:
    """Steiner's formula on a segment: 2 r L + π r² (Schneider, Convex Bodies)."""
    assert area("G0 X0 Y0 Z0\nG1 X50 Y0", 0) == pytest.approx(2 * R * 50 + math.pi * R**2, abs=slack(120))


def test_geo_7_a_convex_path_and_its_inside() -> None:
    """Steiner on a pentagon (P 158.95220): outside P d + π d²; inside, the area of all but its inner
    parallel body. Area 1687.5, grown by 3: 2192.63095."""
    corners = [(0, 0), (40, 0), (50, 25), (20, 45), (-5, 20)]
    body = "G0 X-5 Y20 Z0\n" + "\n".join(f"G1 X{x} Y{y}" for x, y in corners)
    inner = polygon(polygon_outline(corners)).buffer(-R, join_style="mitre").area
    assert area(body, 0) == pytest.approx(2192.63095 - inner, abs=slack(320))


def test_a_full_turn_leaves_a_core() -> None:
    """A ring of mean radius 10: 4 π R r."""
    assert area("G0 X10 Y0 Z0\nG2 X10 Y0 I-10", 0) == pytest.approx(4 * math.pi * 10 * R, abs=slack(130))


@pytest.mark.parametrize("level", [1.0, 3.0, 4.5])
def test_a_ramp_is_clipped_at_the_level(level: float) -> None:
    """MAC-11's ramp: 60 mm long from 6 down to 0; at a level only what lies at or below it counts."""
    expected = 2 * R * 60 * level / 6 + math.pi * R**2
    assert area("G0 X0 Y0 Z6\nG1 X60 Y0 Z0", level) == pytest.approx(expected, abs=slack(140))


def test_a_helix_is_clipped_at_the_level() -> None:
    """One turn of radius 20 from 4 to 0: at level 1 its last quarter, 2 r · 10 π + π r²."""
    expected = 2 * R * 20 * math.pi / 2 + math.pi * R**2
    assert area("G0 X20 Y0 Z4\nG3 X20 Y0 Z0 I-20", 1.0) == pytest.approx(expected, abs=slack(90))


def test_passes_that_repeat_a_path_change_nothing() -> None:
    one = "G0 X0 Y0 Z-1\nG1 X30 Y0\nG1 X30 Y20\nG2 X20 Y30 I-10\nG1 X0 Y0"
    many = "\n".join(one.replace("Z-1", f"Z-{k}") for k in (1, 2, 3, 4))
    assert swept(path(many), 0).symmetric_difference(swept(path(one), 0)).area < 1e-6


def test_above_the_level_nothing_is_gone() -> None:
    assert area("G0 X0 Y0 Z5\nG1 X10", 4.9) == 0.0


def test_geo_5_what_a_round_bit_cannot_reach() -> None:
    """A 40 x 30 rectangle loses (4 - π) r² = 7.72567; a 30-40-50 triangle 25.72567 (Serra; shapely)."""
    room = polygon(rectangle(0, 0, 40, 30))
    assert room.area - opened(room, R + SLACK).area == pytest.approx(7.72567, abs=0.05)
    triangle = polygon(polygon_outline([(0, 0), (40, 0), (0, 30)]))
    assert triangle.area - opened(triangle, R + SLACK).area == pytest.approx(25.72567, abs=0.05)


def test_geo_14_opening_and_closing_are_idempotent() -> None:
    """opening(opening(P)) = opening(P), and the wood's closing is the waste's opening."""
    wood = polygon(polygon_outline([(0, 0), (60, 0), (60, 40), (30, 40), (30, 20), (0, 20)]))
    once = closed(wood, R)
    assert closed(once, R).symmetric_difference(once).area < 0.01
    room = shapely.box(-20, -20, 80, 60)
    assert opened(room.difference(wood), R).symmetric_difference(room.difference(once)).area == pytest.approx(
        4 * (1 - math.pi / 4) * (R - SLACK) ** 2, abs=0.05
    )


STEP = 0.1  # mm of the grid
moves = st.lists(
    st.tuples(
        st.sampled_from(["line", "cw", "ccw"]),
        st.integers(5, 25),
        st.integers(5, 25),
        st.integers(-3, 3),
    ),
    min_size=2,
    max_size=6,
)


def on_grid(s: Sweeps, level: float) -> float:
    """Area by counting cells whose middle lies within r of a path point at or below the level."""
    axis = np.arange(STEP / 2, 40, STEP)
    x, y = np.meshgrid(axis, axis)
    gone = np.zeros_like(x, dtype=bool)
    for a, b in zip(s.a, s.b, strict=True):
        n = max(2, math.ceil(float(np.linalg.norm(b - a)) / 0.05))
        t = np.linspace(0, 1, n)[:, None]
        points = a + (b - a) * t
        points = points[points[:, 2] <= level + 1e-9]
        if len(points):
            # the path is straight: the nearest of its points is the foot, or an end
            p, q = points[0, :2], points[-1, :2]
            d = q - p
            k = np.clip(((x - p[0]) * d[0] + (y - p[1]) * d[1]) / max(float(d @ d), 1e-12), 0, 1)
            gone |= (x - p[0] - k * d[0]) ** 2 + (y - p[1] - k * d[1]) ** 2 <= R * R
    return float(gone.sum()) * STEP * STEP


@settings(max_examples=12)
@given(moves)
def test_the_same_area_as_on_a_grid(rows: list[tuple[str, int, int, int]]) -> None:
    lines, at = ["G0 X15 Y15 Z3"], (15, 15)
    for kind, x, y, z in rows:
        if kind == "line" or (x, y) == at:
            lines.append(f"G1 X{x} Y{y} Z{z}")
        else:  # a half turn about the middle
            i, j = (x - at[0]) / 2, (y - at[1]) / 2
            lines.append(f"{'G2' if kind == 'cw' else 'G3'} X{x} Y{y} Z{z} I{i} J{j}")
        at = (x, y)
    s = path("\n".join(lines))
    region = swept(s, 0.5)
    assert float(region.intersection(shapely.box(0, 0, 40, 40)).area) == pytest.approx(
        on_grid(s, 0.5), abs=1.0 + 0.02 * region.length
    )
