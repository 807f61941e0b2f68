# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Starting FreeCAD's real window with the add-on in a user folder of its own, and a script in it."""

from __future__ import annotations

import importlib.util
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from support.sources import ROOT

INSIDE = ROOT / "tests" / "gui" / "inside"
LONGEST = 400  # s: a window that hangs must not hang the tests


def program() -> str:
    """FreeCAD's window program."""
    found = shutil.which("freecad") or shutil.which("FreeCAD")
    if found is None:
        raise FileNotFoundError("the program freecad is not on the path")
    return found


def make_home(folder: Path, *, add_on: bool = True) -> Path:
    """A user folder as after installing the add-on, with the packages that the tests' Python has."""
    mods = folder / "Mod"
    mods.mkdir(parents=True)
    if add_on:
        (mods / "Flatwright").symlink_to(ROOT)
    packages = folder / "AdditionalPythonPackages"
    if sys.version_info >= (3, 12):  # FreeCAD 1.0 and later have one for each Python
        packages /= f"py{sys.version_info[0]}{sys.version_info[1]}"
    packages.mkdir(parents=True)
    for name in ("shapely", "numpy"):
        place = _place(name)
        if place.is_relative_to(sys.prefix) and sys.prefix != sys.base_prefix:
            for part in place.glob(f"{name}*"):
                (packages / part.name).symlink_to(part)
    return folder


def without(home: Path, package: str) -> None:
    """Make a package fail to import in the windows of that home, as when it is not installed."""
    block = home / "Mod" / "Block" / package
    block.mkdir(parents=True)
    (block / "__init__.py").write_text(f"raise ImportError('{package} is not installed')\n")


def environment(home: Path) -> dict[str, str]:
    """Of a window: nothing of the user's own."""
    run = home / "run"
    run.mkdir(mode=0o700, exist_ok=True)
    keep = {k: v for k, v in os.environ.items() if not k.startswith(("XDG_", "PYTHON"))}
    own = {"HOME": str(home), "FREECAD_USER_HOME": str(home), "XDG_RUNTIME_DIR": str(run)}
    return {**keep, **own, "PYTHONDONTWRITEBYTECODE": "1", "QTWEBENGINE_DISABLE_SANDBOX": "1"}


def walk(script: str, home: Path, **given: Any) -> dict[str, Any]:
    """Run `tests/gui/inside/<script>.py` in a window: what it found, by step.

    `given` reaches the script. Raises RuntimeError when the window ends without an answer.
    """
    answer = home / f"{script}.json"
    task = json.dumps({**given, "answer": str(answer)}, default=str)
    run = subprocess.run(
        [program(), str(INSIDE / f"{script}.py")],
        env={**environment(home), "FLATWRIGHT_WALK": task},
        cwd=home,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=LONGEST,
    )
    if not answer.is_file():
        raise RuntimeError(f"the window ended with {run.returncode} and no answer:\n{run.stdout[-4000:]}")
    found: dict[str, Any] = json.loads(answer.read_text())
    return found


def step(day: dict[str, Any], name: str) -> Any:
    """What a step of a walk found; a step that broke off fails the test with its traceback."""
    found = day[name]
    if isinstance(found, dict) and "failed" in found:
        pytest.fail(found["failed"], pytrace=False)
    return found


def _place(name: str) -> Path:
    spec = importlib.util.find_spec(name)
    assert spec is not None and spec.origin is not None
    return Path(spec.origin).resolve().parents[1]
