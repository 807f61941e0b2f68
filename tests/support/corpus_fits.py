# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Each model of the corpus fitted once for all tests of a run."""

from __future__ import annotations

from functools import cache

from support.corpus import CASES, Case
from support.laws import Fit, fitted


@cache
def fit_of(index: int) -> Fit:
    """The fit of `CASES[index]` to its boards."""
    case = CASES[index]
    model = case.model()
    return fitted(model, case.boards(model))


def first_of_each() -> list[Case]:
    """One case of each drawing."""
    return [c for c in CASES if c.variant == 0]
