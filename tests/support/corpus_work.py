# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The corpus planned and posted: every drawing of 18 mm boards as work for the proof."""

from __future__ import annotations

from functools import cache

from support.corpus import Draw, drawings
from support.planned_work import Work, shop, shown, work_of

T = 18.0
CLEARANCE = 0.3  # mm as drawn: the fit makes its own
SHEET = (1600.0, 1300.0)  # mm: the largest board of the corpus lies either way
DRAWINGS: dict[str, Draw] = {d.__name__: d for d in drawings()}


@cache
def corpus_work(name: str) -> Work:
    """A drawing of the corpus, planned once for a run; every board shows both faces."""
    model = DRAWINGS[name](T, CLEARANCE)
    readings = [_reading(t) for t in sorted({round(p.nominal, 3) for p in model.panels})]
    return work_of(shown(model.panels), shop(SHEET), readings)


def _reading(t: float) -> str:
    """Eight readings of a board a little thinner than its name."""
    spread = (0.0, -0.02, 0.03, -0.04, -0.01, 0.02, -0.03, 0.01)
    return f"{t:g}:" + ",".join(f"{0.984 * t + s:.2f}" for s in spread)
