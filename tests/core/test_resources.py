# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Presets and schemas are found in a checkout and in an installed copy."""

from __future__ import annotations

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from flatwright import resources
from support.sources import PACKAGE, ROOT


def test_a_checkout_has_them_beside_the_workbench() -> None:
    assert resources.path("presets") == ROOT / "resources" / "presets"


def test_what_is_missing_is_named() -> None:
    with pytest.raises(FileNotFoundError, match=r"presets/none\.shop\.json"):
        resources.path("presets/none.shop.json")


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What `pip install .` unpacks, made from a copy so that the checkout stays clean."""
    copy = tmp_path_factory.mktemp("copy")
    for item in ("workbench", "resources"):
        ignore = shutil.ignore_patterns("__pycache__", ".mypy_cache", "*.egg-info")
        shutil.copytree(ROOT / item, copy / item, ignore=ignore)
    for item in ("pyproject.toml", "LICENSE", "README.md"):
        shutil.copy(ROOT / item, copy)
    build = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--no-deps",
        "--no-build-isolation",
        "-q",
        "-w",
        copy / "out",
    ]
    subprocess.run([*build, copy], check=True, capture_output=True, text=True)
    [wheel] = (copy / "out").glob("*.whl")
    zipfile.ZipFile(wheel).extractall(copy / "site")
    return copy / "site"


@pytest.mark.slow
def test_an_installed_copy_has_every_module(installed: Path) -> None:
    there = {p.relative_to(installed / "flatwright") for p in (installed / "flatwright").rglob("*.py")}
    assert {p.relative_to(PACKAGE) for p in PACKAGE.rglob("*.py")} <= there


@pytest.mark.slow
def test_an_installed_copy_finds_the_same_presets_and_schemas(installed: Path) -> None:
    code = "from flatwright.resources import path; print(path('presets')); print(path('schemas'))"
    told = subprocess.run(
        [sys.executable, "-c", code], cwd=installed, check=True, capture_output=True, text=True
    )
    for printed, source in zip(told.stdout.splitlines(), ("presets", "schemas"), strict=True):
        assert Path(printed).is_relative_to(installed)
        wanted = sorted(p.name for p in (ROOT / "resources" / source).glob("*.json"))
        assert sorted(p.name for p in Path(printed).iterdir()) == wanted


@pytest.mark.slow
def test_an_installed_copy_brings_the_command(installed: Path) -> None:
    [entries] = installed.glob("*.dist-info/entry_points.txt")
    assert "flatwright = flatwright.__main__:main" in entries.read_text()
