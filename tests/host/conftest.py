# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Runs on the demo's pieces, made once for all files of tests that look at them."""

from __future__ import annotations

from typing import Any

import pytest

from support.runs import PIECES, Run, results_folder, run_piece


@pytest.fixture(scope="session", params=PIECES)
def run(request: pytest.FixtureRequest, app: Any, tmp_path_factory: pytest.TempPathFactory) -> Run:
    folder = results_folder(tmp_path_factory.mktemp("runs")) / request.param
    return run_piece(request.param, folder)
