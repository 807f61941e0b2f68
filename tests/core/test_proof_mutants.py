# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The proof catches slips in the planner: three mutants a day, all of them with --long.

The table: `tests/run.sh --python tests/support/mutants.py`.
"""

from __future__ import annotations

import os
from datetime import date

import pytest

from support.mutants import MUTANTS, Mutant, caught

A_DAY = 3
FIRST = A_DAY * int(os.environ.get("FLATWRIGHT_PLACE", date.today().toordinal()))
TODAY = [MUTANTS[(FIRST + k) % len(MUTANTS)] for k in range(A_DAY)]


def test_there_are_enough_and_each_has_its_place() -> None:
    assert len(MUTANTS) >= 30
    for mutant in MUTANTS:
        compile(mutant.source(), mutant.module, "exec")


@pytest.mark.parametrize(
    "mutant", MUTANTS if os.environ.get("FLATWRIGHT_LONG") else TODAY, ids=lambda m: m.name
)
def test_the_proof_tells(mutant: Mutant) -> None:
    assert caught(mutant)
