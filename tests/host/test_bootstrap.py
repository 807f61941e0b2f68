# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""FreeCAD in a plain Python."""

from __future__ import annotations

import importlib
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from flatwright.findings import UsageError
from flatwright.host import bootstrap


def test_the_host_is_the_one_that_was_asked_for(app: Any) -> None:
    asked = os.environ.get("FLATWRIGHT_HOST", "native")
    version = ".".join(app.Version()[:3])
    assert asked == "native" or version.startswith(f"{asked}.")


def test_asking_twice_gives_the_same_module(app: Any) -> None:
    assert bootstrap.freecad() is app


@pytest.mark.parametrize("module", ["Part", "Sketcher", "Spreadsheet", "Path", "Draft", "Import"])
def test_its_modules_can_be_imported(app: Any, module: str) -> None:
    assert importlib.import_module(module)


def test_posts_and_tools_are_found(app: Any) -> None:
    """In a plain Python the host looks for them in a folder that isn't there (bootstrap mends it)."""
    assert (Path(app.getHomePath()) / "Mod").is_dir()


def test_the_users_own_settings_are_out_of_reach(app: Any) -> None:
    assert Path(app.getUserAppDataDir()).is_relative_to(Path(os.environ["FREECAD_USER_HOME"]).resolve())


def test_without_freecad_one_sentence_says_what_to_do(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.delitem(sys.modules, "FreeCAD", raising=False)
    monkeypatch.setattr(bootstrap, "LIBRARY", tmp_path / "none")
    monkeypatch.setattr(sys, "path", [])
    with pytest.raises(UsageError, match="apt-get install freecad"):
        bootstrap.freecad()


def test_a_python_that_is_not_the_hosts_is_told_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "FreeCAD.py").write_text("raise ImportError('built for another Python')\n")
    monkeypatch.delitem(sys.modules, "FreeCAD", raising=False)
    monkeypatch.setattr(bootstrap, "LIBRARY", tmp_path)
    monkeypatch.setattr(sys, "path", [])
    with pytest.raises(UsageError, match="use /usr/bin/python3"):
        bootstrap.freecad()


def test_it_starts_within_a_fresh_python(app: Any) -> None:
    """As the command line does it: nothing but the package on the path."""
    code = "from flatwright.host.bootstrap import freecad; print(freecad().Version()[0])"
    told = subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(Path(bootstrap.__file__).parents[2])},
    )
    assert told.stdout.split()[-1] == app.Version()[0]
