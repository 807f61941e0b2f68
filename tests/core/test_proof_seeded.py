# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Seeded faults in what the planner makes: every kind is caught in any place, clean work raises nothing.

One place a kind, another every day (FLATWRIGHT_PLACE chooses one); 20 with --long. The table:
`tests/run.sh --python tests/support/fault_table.py`.
"""

from __future__ import annotations

import os
from datetime import date

import pytest

from support.fault_table import seeded
from support.faults import FAULTS
from support.planned_work import PIECES, piece

PLACE = int(os.environ.get("FLATWRIGHT_PLACE", date.today().toordinal()))
PLACES = range(20) if os.environ.get("FLATWRIGHT_LONG") else range(PLACE, PLACE + 1)


@pytest.mark.parametrize("name", PIECES)
def test_clean_work_raises_neither_warning_nor_error(name: str) -> None:
    assert piece(name).codes() == set()


def test_there_are_enough_kinds() -> None:
    assert len(FAULTS) >= 60


@pytest.mark.parametrize("kind", FAULTS)
@pytest.mark.parametrize("place", PLACES)
def test_every_kind_is_caught_under_its_code(kind: str, place: int) -> None:
    outcome = seeded(kind, place)
    assert outcome.caught, f"{kind}, place {place} in {outcome.piece}: {sorted(outcome.codes)}"
