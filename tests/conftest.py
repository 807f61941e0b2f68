# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What every test can ask for: FreeCAD, a document, the open designs, the G-code referee."""

from __future__ import annotations

import atexit
import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import hypothesis
import pytest

from flatwright.findings import UsageError
from flatwright.host.bootstrap import freecad
from support import referee as referee_

ROOT = Path(__file__).resolve().parents[1]
FOLDER_MARKS = {"host": ("host",), "gui": ("host", "gui")}

# Examples are drawn the same way in every run, so a red test stays red until it is mended;
# `run.sh --long` draws many more, anew each time. No test is timed.
hypothesis.settings.register_profile("repeatable", derandomize=True, max_examples=50, deadline=None)
hypothesis.settings.register_profile("long", max_examples=2000, deadline=None, print_blob=True)
hypothesis.settings.load_profile("long" if os.environ.get("FLATWRIGHT_LONG") else "repeatable")


def pytest_configure(config: pytest.Config) -> None:
    """Give FreeCAD a user folder of its own before anything imports it."""
    if "FREECAD_USER_HOME" not in os.environ:
        home = tempfile.mkdtemp(prefix="flatwright-test-")
        os.environ["FREECAD_USER_HOME"] = home
        atexit.register(shutil.rmtree, home, ignore_errors=True)
    # modules of host/ import FreeCAD as they are imported; where there is none, their tests skip
    with contextlib.suppress(UsageError):
        freecad()


# The hosts' results are compared when they are all there: run.sh says so.
collect_ignore = [] if os.environ.get("FLATWRIGHT_RUNS") else ["across"]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests are marked by the folder they lie in."""
    for item in items:
        below = Path(item.path).relative_to(ROOT).parts
        for mark in FOLDER_MARKS.get(below[1], ()) if below[0] == "tests" else ():
            item.add_marker(mark)


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Without a display there is no window to test; `run.sh` always brings one."""
    if item.get_closest_marker("gui") and not os.environ.get("DISPLAY"):
        pytest.skip("no display: run it by tests/run.sh or xvfb-run")


@pytest.fixture(scope="session")
def app() -> Any:
    """The module FreeCAD. Where `run.sh` promised a host, its absence is a failure, no skip."""
    try:
        return freecad()
    except UsageError as reason:
        if "FLATWRIGHT_HOST" in os.environ:
            raise
        pytest.skip(str(reason))


@pytest.fixture
def document(app: Any) -> Iterator[Any]:
    """An empty document, closed afterwards."""
    doc = app.newDocument("Test")
    yield doc
    app.closeDocument(doc.Name)


@pytest.fixture(scope="session")
def shared_models() -> Path:
    """The folder of open designs that nobody here drew."""
    folder = Path(os.environ.get("FLATWRIGHT_MODELS", ROOT.parent / "shared" / "models"))
    if not folder.is_dir():
        pytest.skip(f"the open designs are not here ({folder})")
    return folder


@pytest.fixture(scope="session")
def referee() -> Any:
    """`referee(program, {1: 6.0})` runs a program through the RS274 interpreter."""
    try:
        referee_.interpreter()
    except FileNotFoundError as reason:
        if "FLATWRIGHT_HOST" in os.environ:
            raise
        pytest.skip(str(reason))
    return referee_.run
