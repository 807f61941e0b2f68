# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A packing library may be missing, crash, hang, print or lie: the built-in layout is always there.

The misbehaving libraries are little modules of the same names, found before any installed one.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from flatwright.sheets import engines, libraries
from flatwright.sheets.built_in import lay_out
from flatwright.sheets.engines import Task, score
from flatwright.sheets.job import Layout, LayoutCancelled, LayoutJob, Part, Stock
from flatwright.sheets.verify import verify
from support.layouts import HALVES, box, boxes, ell, job

CRASHES = "import os; os.abort()"
HANGS = "import time; time.sleep(600)"
FAILS = "def solve_2d(*a): raise RuntimeError('no luck today')"
# what it answers is right for two parts of 100 x 50 or wrong, and it prints where it should not
ANSWERS = """
import os
def solve_2d(parts, sheet, rules):
    os.write(1, b'{"sheets": [0], "spots": "never read"}\\n')
    spots = [dict(geometry_id="0", boundary_index=0, position=[x, 10.0], rotation=[0.0]) for x in (10.0, X)]
    return dict(error=None, all_placed=True, boundaries_used=1, placements=spots)
"""
JOB = job(*boxes(2, 100, 50, (0.0,)))


def task(j: LayoutJob, cancelled: bool = False) -> Task:
    return Task(j, "birch", lambda done, what: None, lambda: cancelled)


Install = Callable[[str], None]


@pytest.fixture
def fake(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Install:
    """Puts a module in the place of u-nesting."""

    def install(source: str) -> None:
        (tmp_path / "u_nesting.py").write_text(source)
        monkeypatch.syspath_prepend(str(tmp_path))
        monkeypatch.setattr(libraries, "GRACE", 0.5 if source is HANGS else 30.0)

    return install


@pytest.mark.parametrize(
    ("source", "code", "says"),
    [
        (CRASHES, "layout.library-failed", "it ended with code"),
        (HANGS, "layout.library-failed", "did not end within 0.1 s"),
        (FAILS, "layout.library-failed", "no luck today"),
        ("raise ImportError", "layout.library-missing", "not installed"),
        (
            ANSWERS.replace("X", "117.0"),
            "layout.library-refused",
            "part 1 and part 2 are only 7.0000 mm apart",
        ),
    ],
)
def test_a_library_that_fails_leaves_a_warning_and_the_built_in_layout(
    fake: Install, source: str, code: str, says: str
) -> None:
    fake(source)
    j = LayoutJob(JOB.parts, JOB.stock, JOB.edge, JOB.spacing, 1, 0.1)
    layout, findings = engines.run("u-nesting", task(j))
    assert [f.code for f in findings] == [code]
    assert findings[0].severity == "warning" and says in findings[0].message
    assert layout == lay_out(j)


def test_a_right_answer_is_used_whatever_is_printed(fake: Install) -> None:
    fake(ANSWERS.replace("X", "400.0"))
    layout, findings = engines.run("u-nesting", task(JOB))
    assert findings == []
    assert [(s.part, s.x) for s in layout.spots] == [("part 1", 10.0), ("part 2", 400.0)]


def test_cancel_ends_the_child_at_once(fake: Install) -> None:
    fake(HANGS)
    start = time.monotonic()
    with pytest.raises(LayoutCancelled):
        libraries.ask("u-nesting", JOB, cancelled=lambda: time.monotonic() > start + 0.5)


def test_the_child_leaves_nothing_behind(
    fake: Install, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fake("open('left.txt', 'w').write('x')\n" + FAILS)
    room = tmp_path / "room"
    room.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(room))
    monkeypatch.chdir(room)
    libraries.ask("u-nesting", JOB)
    assert list(room.iterdir()) == []


def test_a_library_of_one_size_is_not_asked_for_two() -> None:
    two = job(*boxes(2, 100, 50), stock=(Stock(500, 300), Stock(600, 300)))
    assert "one size" in libraries.ask("u-nesting", two).trouble


CLAMPED = replace(JOB, keep_outs=((0.0, 0.0, 200.0, 100.0),))


def test_a_library_that_knows_no_clamps_is_not_asked_and_that_is_said(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(libraries, "installed", lambda name: name == "u-nesting")
    layout, findings = engines.run("u-nesting", task(CLAMPED))
    assert [f.code for f in findings] == ["layout.library-failed"]
    assert "it keeps no part off a clamp" in findings[0].message
    assert layout == lay_out(CLAMPED)
    tight = replace(job(*boxes(9, 520, 350, (0.0,))), keep_outs=CLAMPED.keep_outs, time=0.01)
    assert [f.code for f in engines.run("auto", task(tight))[1]] == ["layout.library-passed-over"]
    assert engines.run("auto", task(CLAMPED))[1] == [], "no layout could do with fewer sheets"


def test_a_layout_on_a_clamp_is_refused(fake: Install, monkeypatch: pytest.MonkeyPatch) -> None:
    fake(ANSWERS.replace("X", "400.0"))
    monkeypatch.setattr(libraries, "NO_KEEP_OUTS", set())
    layout, findings = engines.run("u-nesting", task(CLAMPED))
    assert [f.code for f in findings] == ["layout.library-refused"]
    assert "keep-out" in findings[0].message
    assert layout == lay_out(CLAMPED)


def test_a_host_that_runs_python_inside_itself_still_finds_one(monkeypatch: pytest.MonkeyPatch) -> None:
    assert libraries.python_executable() == sys.executable
    monkeypatch.setattr(sys, "executable", "/opt/host/bin/freecad")
    found = libraries.python_executable()
    assert found is not None and Path(found).name.startswith("python")


def test_auto_keeps_the_built_in_layout_where_area_allows_no_better(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(libraries, "installed", lambda name: True)
    monkeypatch.setattr(libraries, "ask", None)  # would fail if called
    assert engines.run("auto", task(JOB)) == (lay_out(JOB), [])


@pytest.mark.parametrize("better", [True, False])
def test_auto_keeps_the_better_of_two(monkeypatch: pytest.MonkeyPatch, better: bool) -> None:
    # nine parts of just over half a sheet's width: 9 sheets, where 6 would do by area
    j = replace(job(*boxes(9, 520, 350, (0.0,))), time=0.01)
    own = lay_out(j)
    other = own
    if better:
        monkeypatch.setattr(engines.built_in, "lay_out", lambda j, **k: _spread_out(own))
    else:
        other = _spread_out(own)
    monkeypatch.setattr(libraries, "installed", lambda name: True)
    monkeypatch.setattr(libraries, "ask", lambda *a, **k: libraries.Answer((other,)))
    layout, findings = engines.run("auto", task(j))
    assert findings == []
    assert layout == own


def _spread_out(layout: Layout) -> Layout:
    """The same parts, further along their sheets."""
    return Layout(
        layout.sheets, tuple(type(s)(s.part, s.sheet, s.x + 100, s.y, s.angle) for s in layout.spots)
    )


@pytest.mark.parametrize("name", libraries.MODULES)
def test_an_installed_library_gives_a_layout_that_holds(name: str) -> None:
    if not libraries.installed(name):
        pytest.skip(f"{name} is not installed")
    shapes = [
        *boxes(3, 250, 130),
        Part("ell", ell(), HALVES, flipped=True),
        Part("hook", ell(), (30.0, 210.0)),
    ]
    j = job(*shapes, box("full", 980, 580, HALVES))
    answer = libraries.ask(name, j)
    assert answer.trouble == "" and answer.layouts
    best = answer.layouts[-1]
    assert verify(j, best) == []
    assert score(j, best)[0] == 0


def test_an_installed_library_keeps_parts_off_clamps(monkeypatch: pytest.MonkeyPatch) -> None:
    name = next(
        (n for n in libraries.MODULES if libraries.installed(n) and not libraries.cannot(n, CLAMPED)), ""
    )
    if not name:
        pytest.skip("no library that knows clamps is installed")
    clamps = ((-20.0, 100.0, 40.0, 160.0), (480.0, 560.0, 540.0, 640.0))
    j = replace(job(*boxes(6, 300, 250, HALVES), Part("ell", ell(), HALVES)), keep_outs=clamps)
    answer = libraries.ask(name, j)
    assert answer.trouble == "" and answer.layouts
    assert verify(j, answer.layouts[-1]) == []
    # how far a library comes in its time depends on the machine: the same answer is asked for again
    monkeypatch.setattr(libraries, "ask", lambda *a, **k: answer)
    layout, findings = engines.run(name, task(j))
    assert findings == [] and layout == answer.layouts[-1]
