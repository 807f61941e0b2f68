# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Laws of the probability of a fit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from flatwright.boards.fit_probability import Gap, clearance_for, gap

SPREADS = st.floats(0.001, 1.0)


@given(slot=st.floats(17.0, 19.0), s=SPREADS, board=st.floats(17.0, 19.0), t=SPREADS, limit=st.floats(-1, 1))
def test_agrees_with_scipy(slot: float, s: float, board: float, t: float, limit: float) -> None:
    theirs = stats.norm.sf(limit, loc=slot - board, scale=(s * s + t * t) ** 0.5)
    assert gap(slot, s, board, t).above(limit) == pytest.approx(theirs, abs=1e-12)


@given(wanted=st.floats(0.01, 0.999), s=SPREADS, t=SPREADS)
def test_the_clearance_for_a_probability_reaches_it(wanted: float, s: float, t: float) -> None:
    clearance = clearance_for(wanted, s, t)
    assert gap(18.0 + clearance, s, 18.0, t).assembles == pytest.approx(wanted, abs=1e-9)


@given(clearance=st.floats(-0.5, 0.5), more=st.floats(0.0, 0.5), s=SPREADS)
def test_more_clearance_never_assembles_less_and_is_never_less_loose(
    clearance: float, more: float, s: float
) -> None:
    tight, wide = Gap(clearance, s), Gap(clearance + more, s)
    assert wide.assembles >= tight.assembles
    assert wide.above(0.6) >= tight.above(0.6)


def test_without_any_spread_it_fits_or_not() -> None:
    assert (Gap(0.1, 0.0).assembles, Gap(-0.1, 0.0).assembles) == (1.0, 0.0)


@pytest.mark.parametrize("wanted", [0.0, 1.0])
def test_certainty_has_no_clearance(wanted: float) -> None:
    with pytest.raises(ValueError, match="probability"):
        clearance_for(wanted, 0.05, 0.1)
