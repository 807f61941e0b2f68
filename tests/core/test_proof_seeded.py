# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Seeded faults in what the planner makes: every kind is caught in any place, clean work raises nothing.

One place a kind, another every day (FLATWRIGHT_PLACE chooses one), in the pieces of `planned_work` and a
few of the corpus that change from day to day. With --long 20 places a kind over all of them; the table:
`tests/run.sh --long -- tests/core/test_proof_seeded.py -s`.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Iterator
from datetime import date

import pytest

from support.corpus_work import CLEAN, PIECES_18, corpus_work
from support.fault_table import Outcome, everything, seeded, table
from support.faults import FAULTS
from support.planned_work import PIECES, piece

LONG = bool(os.environ.get("FLATWRIGHT_LONG"))
PLACE = int(os.environ.get("FLATWRIGHT_PLACE", date.today().toordinal()))
PLACES = range(20) if LONG else range(PLACE, PLACE + 1)
A_DAY = 4


def today(names: tuple[str, ...]) -> tuple[str, ...]:
    """A few of the pieces, others every day; all with --long."""
    return names if LONG else tuple(names[(A_DAY * PLACE + k) % len(names)] for k in range(A_DAY))


@pytest.fixture(scope="module")
def outcomes() -> Iterator[dict[str, list[Outcome]]]:
    """Collects what came of all places, for the table."""
    done: dict[str, list[Outcome]] = defaultdict(list)
    yield done
    print("\n" + "\n".join(table(done)))


@pytest.fixture(scope="module")
def names() -> tuple[str, ...]:
    """The pieces that places are drawn from."""
    return everything() if LONG else (*PIECES, *today(PIECES_18))


@pytest.mark.parametrize("name", PIECES)
def test_clean_work_raises_neither_warning_nor_error(name: str) -> None:
    assert piece(name).codes() == set()


@pytest.mark.parametrize("name", today(CLEAN))
def test_the_clean_corpus_raises_neither_warning_nor_error(name: str) -> None:
    assert corpus_work(name).codes() == set()


def test_there_are_enough_kinds() -> None:
    assert len(FAULTS) >= 60


@pytest.mark.parametrize("kind", FAULTS)
@pytest.mark.parametrize("place", PLACES)
def test_every_kind_is_caught_under_its_code(
    kind: str, place: int, names: tuple[str, ...], outcomes: dict[str, list[Outcome]]
) -> None:
    outcome = seeded(kind, place, names)
    outcomes[kind].append(outcome)
    assert outcome.caught, str(outcome)
