# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The corpus planned and posted: every drawing of it as work for the proof.

Seeded faults know boards of 18 mm: `PIECES_18` are those drawings that hold no other.
"""

from __future__ import annotations

from functools import cache

from support.corpus import Draw, drawings
from support.planned_work import READINGS, Work, shop, shown, work_of

T = 18.0
CLEARANCE = 0.3  # mm as drawn: the fit makes its own
SHEET = (1600.0, 1300.0)  # mm: the largest board of the corpus lies either way
DRAWINGS: dict[str, Draw] = {d.__name__: d for d in drawings()}
# drawings that no program is posted for
REFUSED = {"shelf_pins": "its holes of 5 mm are narrower than any bit of the starter preset"}
CLEAN = tuple(n for n in DRAWINGS if n not in REFUSED)
PIECES_18 = tuple(n for n in CLEAN if all(abs(p.nominal - T) < 1e-6 for p in DRAWINGS[n](T, 0.0).panels))


@cache
def corpus_work(name: str) -> Work:
    """A drawing of the corpus, planned once for a run; every board shows both faces."""
    model = DRAWINGS[name](T, CLEARANCE)
    thin = sorted({round(p.nominal, 3) for p in model.panels} - {T})
    return work_of(shown(model.panels), shop(SHEET), [*READINGS, *(_reading(t) for t in thin)])


def _reading(t: float) -> str:
    """Eight readings of a board a little thinner than its name."""
    spread = (0.0, -0.02, 0.03, -0.04, -0.01, 0.02, -0.03, 0.01)
    return f"{t:g}:" + ",".join(f"{0.984 * t + s:.2f}" for s in spread)
