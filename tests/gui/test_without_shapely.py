# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Where shapely is missing the workbench loads, says what to install and how, and keeps its commands off."""

from __future__ import annotations

import os
from typing import Any

import pytest

from support.window import make_home, step, walk, without


@pytest.fixture(scope="module")
def found(app: Any, tmp_path_factory: pytest.TempPathFactory) -> Any:
    home = make_home(tmp_path_factory.mktemp("bare") / "home")
    without(home, "shapely")
    day = walk("nothing_installed", home, shots=os.environ.get("FLATWRIGHT_SHOTS", ""))
    return step(day, "workbench")


def test_it_says_once_what_to_install_and_how(found: Any) -> None:
    [said] = found["said"]
    assert said.startswith("Flatwright needs shapely 2.0 or newer.")
    assert "-m pip install" in said
    assert "AdditionalPythonPackages" in said
    assert "python3-shapely" in said
    assert len(found["report"]) == 1


def test_its_commands_are_off(found: Any) -> None:
    assert len(found["buttons"]) == 12
    assert not any(found["buttons"].values())


def test_nothing_breaks(found: Any) -> None:
    assert found["errors"] == []
