# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The host reads package.xml as meant, and it agrees with the code."""

from __future__ import annotations

import ast
from typing import Any

import pytest

import flatwright
from support.sources import ROOT


@pytest.fixture
def package(app: Any) -> Any:
    """package.xml as the host reads it."""
    return app.Metadata(str(ROOT / "package.xml"))


@pytest.fixture
def workbench(package: Any) -> Any:
    """Its one workbench."""
    [found] = package.Content["workbench"]
    return found


def test_the_add_on_manager_can_show_it(package: Any) -> None:
    assert package.Name == "Flatwright"
    assert package.Description
    assert package.Maintainer[0]["name"] == "The Flatwright authors"
    assert [each["name"] for each in package.License] == ["LGPL-2.1-or-later", "CC-BY-SA-4.0"]
    assert {url["type"] for url in package.Urls} >= {"repository", "readme"}
    assert all((ROOT / each["file"]).is_file() for each in package.License)


def test_it_has_the_version_of_the_code(package: Any) -> None:
    assert package.Version == flatwright.__version__


def test_this_host_accepts_it(package: Any, workbench: Any) -> None:
    assert package.supportsCurrentFreeCAD()
    assert workbench.supportsCurrentFreeCAD()


def test_it_lies_where_the_workbench_lies(workbench: Any) -> None:
    assert workbench.Subdirectory == "./"
    assert 3 <= len(workbench.Tag) <= 7
    assert {d["package"] for d in workbench.Depend} == {"part", "cam", "numpy", "shapely"}


def test_the_class_it_names_is_the_one_in_initgui(workbench: Any) -> None:
    tree = ast.parse((ROOT / "InitGui.py").read_text())
    assert workbench.Classname in {n.name for n in ast.walk(tree) if isinstance(n, ast.ClassDef)}


def test_its_icon_is_there(package: Any, workbench: Any) -> None:
    assert (ROOT / package.Icon).is_file()
    assert (ROOT / workbench.Icon).is_file()
