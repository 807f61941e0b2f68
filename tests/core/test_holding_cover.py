# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The fewest screws: against the exact minimum of an integer program."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from flatwright.holding.cover import Matrix, fewest


@st.composite
def tables(draw: st.DrawFn) -> Matrix:
    """Candidates in a square and what each reaches."""
    seed, n, m = draw(st.integers(0, 10**6)), draw(st.integers(5, 40)), draw(st.integers(3, 25))
    random = np.random.default_rng(seed)
    here, there = random.random((n, 2)), random.random((m, 2))
    return np.asarray(np.linalg.norm(here[:, None] - there[None], axis=2) < 0.35)


@given(tables())
def test_every_target_is_served_and_no_cover_is_smaller(table: Matrix) -> None:
    optimize = pytest.importorskip("scipy.optimize")
    chosen = fewest(table, np.zeros(len(table)))
    wanted = table.any(axis=0)
    served = table[chosen].any(axis=0) if chosen else np.zeros(table.shape[1], bool)
    assert (served == wanted).all()
    if wanted.any():
        rows = optimize.LinearConstraint(table[:, wanted].T.astype(float), lb=1)
        exact = optimize.milp(
            np.ones(len(table)), integrality=1, bounds=optimize.Bounds(0, 1), constraints=rows
        )
        assert len(chosen) == round(exact.fun)


def test_of_equals_the_one_of_greater_merit_is_taken() -> None:
    table = np.array([[True, True], [True, True], [True, False]])
    assert fewest(table, np.array([1.0, 5.0, 9.0])) == [1]
