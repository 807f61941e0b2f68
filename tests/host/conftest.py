# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Runs on the demo's pieces and on a share of the corpus, made once for all tests that look at them."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from support.corpus_shop import run_case, share
from support.posted_files import Posted
from support.runs import PIECES, Run, results_folder, run_piece

TODAY = {c.name: c for c in share()}
GRID = {"mm": 0.001, "in": 0.004}  # four decimals are posted


@pytest.fixture(scope="session")
def demo(app: Any, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Run]:
    """A demo piece's run, by name."""
    folder = results_folder(tmp_path_factory.mktemp("runs"))
    return cache(lambda piece: run_piece(piece, folder / piece))


@pytest.fixture(scope="session", params=PIECES)
def run(request: pytest.FixtureRequest, demo: Callable[[str], Run]) -> Run:
    return demo(request.param)


@pytest.fixture(scope="session", params=[*PIECES, *TODAY])
def posted(
    request: pytest.FixtureRequest, demo: Callable[[str], Run], tmp_path_factory: pytest.TempPathFactory
) -> Posted:
    """The posted files of the demo's pieces and of this run's share of the corpus (all with --long)."""
    name = request.param
    if name in PIECES:
        return Posted(demo(name), GRID["mm"])
    made = run_case(TODAY[name], tmp_path_factory.mktemp("corpus") / name)
    posted = Posted(made, GRID["mm"])
    return Posted(made, GRID[posted.preset.post.units])
