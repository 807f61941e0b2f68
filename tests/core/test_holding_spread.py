# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Choosing places: against every possible set, looked at one by one."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from flatwright.geometry.outline import Floats
from flatwright.holding import spread as module
from flatwright.holding.spread import Places, least_distance, spread, spread_cheaply

points = st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), min_size=5, max_size=9, unique=True)


def best_of_all(at: Floats, n: int, around: tuple[float, float] | None) -> float:
    """The greatest least distance over all sets of n points whose hull holds the point."""
    found = [0.0]
    for chosen in itertools.combinations(range(len(at)), n):
        hull = shapely.MultiPoint(at[list(chosen)]).convex_hull
        if around is None or hull.buffer(-0.3).contains(shapely.Point(around)):
            found.append(least_distance(at[list(chosen)]))
    return max(found)


@given(points, st.sampled_from([2, 3, 4]))
def test_no_set_is_spread_further(at: list[tuple[int, int]], n: int) -> None:
    places = Places(np.array(at, float), np.zeros(len(at)), 0.0)
    picked = spread(places, n)
    assert picked is not None
    assert least_distance(places.points[picked]) == pytest.approx(
        best_of_all(places.points, n, None), abs=0.01
    )


@given(points)
def test_the_point_lies_inside_the_chosen_hull(at: list[tuple[int, int]]) -> None:
    places = Places(np.array(at, float), np.zeros(len(at)), 0.0)
    picked = spread(places, 3, (30.0, 30.0))
    if picked is None:
        assert best_of_all(places.points, 3, (30.0, 30.0)) == 0.0
    else:
        assert shapely.MultiPoint(places.points[picked]).convex_hull.covers(shapely.Point(30, 30))
        best = best_of_all(places.points, 3, (30.0, 30.0))
        assert least_distance(places.points[picked]) >= best - 0.01


def test_the_exchange_search_comes_within_two_per_cent(monkeypatch: pytest.MonkeyPatch) -> None:
    """On edges of parts, against the exhaustive search."""
    for w, h in ((400, 250), (800, 300), (300, 300), (500, 120)):
        xs = np.linspace(20, w - 20, 13)
        at = np.array([(x, y) for y in (0, h) for x in xs] + [(x, y) for x in (0, w) for y in (h / 3, h / 2)])
        places = Places(at, np.zeros(len(at)), 30.0)
        monkeypatch.setattr(module, "EXHAUSTIVE", 10**9)
        best = spread(places, 4, (w / 2, h / 2))
        monkeypatch.setattr(module, "EXHAUSTIVE", 0)
        found = spread(places, 4, (w / 2, h / 2))
        assert best is not None
        assert found is not None
        assert least_distance(at[found]) >= 0.98 * least_distance(at[best])


def test_a_broken_rule_outweighs_any_spread() -> None:
    at = np.array([(0, 0), (100, 0), (50, 40), (50, 900)], float)
    places = Places(at, np.array([0.0, 0.0, 0.0, 1.0]), 10.0)
    assert spread(places, 3) == [0, 1, 2]
    assert spread_cheaply(places, 4) == [0, 1, 2, 3]


def test_places_that_overlap_are_no_set() -> None:
    assert spread(Places(np.array([(0, 0), (5, 0)], float), np.zeros(2), 10.0), 2) is None
    assert spread(Places(np.array([(0, 0)], float), np.zeros(1), 10.0), 2) is None


def test_one_point_has_no_least_distance() -> None:
    assert least_distance(np.zeros((1, 2))) == math.inf
