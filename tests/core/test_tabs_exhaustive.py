# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where tabs stand on small parts, against every set of three places on a fine grid of the free edges."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from flatwright.bits.choose import choose_bits
from flatwright.findings import Finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import Floats, Outline, polygon_outline, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.holding.edges import CORNER
from flatwright.holding.tabs import place_tabs
from flatwright.plan import Placement, Tab
from support.shopwork import THICK, panel, sheet, shop

GRID = 3.0  # mm
HALF = (10.0 + 6.0) / 2.0 + round(THICK / 3.0, 4) + 0.5  # half of what a sloped tab takes: length, bit, slope
AT = (300.0, 200.0)

STEM = [(90, 120), (90, 0), (160, 0), (160, 120)]
SHAPES: dict[str, tuple[Outline, list[Segment]]] = {
    "small": (rectangle(0, 0, 110, 70), []),
    "square": (rectangle(0, 0, 160, 160), []),
    "long and narrow": (rectangle(0, 0, 320, 60), []),
    "of an L": (polygon_outline([(0, 0), (240, 0), (240, 80), (100, 80), (100, 200), (0, 200)]), []),
    "of a T": (
        polygon_outline([(0, 120), *STEM, (250, 120), (250, 200), (0, 200)]),
        [],
    ),
    "with a notch": (
        polygon_outline([(0, 0), (260, 0), (260, 140), (170, 140), (170, 90), (90, 90), (90, 140), (0, 140)]),
        [],
    ),
    "with a mate below": (rectangle(0, 0, 240, 120), [Segment((70.0, 0.0), (170.0, 0.0))]),
    "with two mates": (
        rectangle(0, 0, 280, 150),
        [Segment((0.0, 0.0), (120.0, 0.0)), Segment((100.0, 150.0), (180.0, 150.0))],
    ),
}


def placed(outline: Outline, mating: Sequence[Segment]) -> tuple[tuple[Tab, ...], list[Finding]]:
    one = panel("part", outline)
    bits = {"part": choose_bits(one, shop())[0]}
    laid = sheet(Placement("part", *AT, 0, False))
    return place_tabs(laid, {"part": one}, bits, shop(), {}, {"part": list(mating)})


def free_places(outline: Outline, mating: Sequence[Segment]) -> Floats:
    """(n, 2) places along x, off corners and mates, worked out here; a corner in which no bit goes square
    is left to it by the same margin."""
    points = outline.points
    found: list[tuple[float, float]] = []
    for (x0, y0), (x1, y1) in zip(points, np.roll(points, -1, axis=0), strict=True):
        if y0 != y1:
            continue
        low, high = min(x0, x1) + HALF + CORNER, max(x0, x1) - HALF - CORNER
        for x in np.arange(low, high + 1e-9, GRID):
            taken = (
                min(m.p[0], m.q[0]) - HALF < x < max(m.p[0], m.q[0]) + HALF for m in mating if m.p[1] == y0
            )
            if not any(taken):
                found.append((float(x), float(y0)))
    return np.array(found)


def spreads(points: Floats, middle: tuple[float, float]) -> Iterator[float]:
    """The least distance of every three places whose triangle holds the middle, widest first or not."""
    gaps = np.linalg.norm(points[:, None] - points[None], axis=2)
    for i, j in itertools.combinations(range(len(points)), 2):
        rest = np.arange(j + 1, len(points))
        if not len(rest):
            continue
        sides = [_side(points[i], points[j], middle), _sides(points[j], points[rest], middle)]
        sides.append(-_sides(points[i], points[rest], middle))
        inside = (sides[0] * sides[1] > 0) & (sides[0] * sides[2] > 0)
        least = np.minimum(gaps[i, j], np.minimum(gaps[i, rest], gaps[j, rest]))
        yield float(np.where(inside, least, 0.0).max())


def _side(a: Floats, b: Floats, p: tuple[float, float]) -> float:
    return float((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]))


def _sides(a: Floats, b: Floats, p: tuple[float, float]) -> Floats:
    return np.asarray((b[:, 0] - a[0]) * (p[1] - a[1]) - (b[:, 1] - a[1]) * (p[0] - a[0]))


@pytest.mark.parametrize(("outline", "mating"), SHAPES.values(), ids=SHAPES)
def test_no_three_places_are_spread_by_two_per_cent_more(outline: Outline, mating: list[Segment]) -> None:
    tabs, findings = placed(outline, mating)
    assert [f.code for f in findings] == []
    assert len(tabs) == 3
    at = np.array([(t.x - AT[0], t.y - AT[1]) for t in tabs])
    ours = min(float(np.linalg.norm(a - b)) for a, b in itertools.combinations(at, 2))
    middle = polygon(outline).centroid
    assert shapely.MultiPoint(at).convex_hull.covers(middle)
    best = max(spreads(free_places(outline, mating), (middle.x, middle.y)))
    assert ours >= 0.98 * best


@settings(max_examples=40, deadline=None)
@given(st.integers(70, 420), st.integers(60, 300), st.integers(0, 3), st.integers(0, 100))
def test_the_middle_of_a_part_lies_within_its_tabs_or_it_is_told(w: int, h: int, mates: int, at: int) -> None:
    """Whatever edges are taken by mates."""
    edges = list(rectangle(0, 0, float(w), float(h)).segments())
    mating = [s.part(0.0, 0.3 + at / 200.0) for s in edges[:mates]]
    tabs, findings = placed(rectangle(0, 0, float(w), float(h)), mating)
    hull = shapely.MultiPoint([(t.x - AT[0], t.y - AT[1]) for t in tabs]).convex_hull
    inside = len(tabs) >= 3 and hull.covers(shapely.Point(w / 2, h / 2))
    said = " ".join(f.message for f in findings)
    assert inside or "they do not surround its middle" in said or "no edge has room" in said or "only" in said
    for t in tabs:
        on = [s for s in mating if s.distance((t.x - AT[0], t.y - AT[1])) < HALF - 0.01]
        assert t.dress == bool(on), "a tab at a mate, and only that, is to be dressed"


@pytest.mark.parametrize("ends", [(110.0, 70.0), (44.0, 30.0), (30.0, 20.0)])
def test_the_smaller_a_part_the_less_holds_it_and_it_is_told_with_remedies(ends: tuple[float, float]) -> None:
    tabs, findings = placed(rectangle(0, 0, *ends), [])
    if len(tabs) == 3:
        assert findings == []
        return
    assert [f.code for f in findings] == ["holding.tabs-relaxed" if tabs else "holding.no-tab"]
    assert findings[0].severity == ("warning" if tabs else "error")
    assert "shorter" in findings[0].remedy
