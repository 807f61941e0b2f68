# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The scripts that install and run: what they promise without installing anything."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from support.sources import ROOT

REPORT = """<testsuites><testsuite>
<testcase name="a"/><testcase name="b"><failure/></testcase>
<testcase name="c"><error/></testcase><testcase name="d"><skipped/></testcase>
</testsuite></testsuites>"""


def shell(script: str, cache: Path) -> subprocess.CompletedProcess[str]:
    """Run bash with resources/setup.sh read in."""
    env = {**os.environ, "FLATWRIGHT_CACHE": str(cache)}
    script = f'. "{ROOT}/resources/setup.sh"\n{script}'
    return subprocess.run(["bash", "-c", script], env=env, capture_output=True, text=True, check=False)


def count(folder: Path, *hosts: str) -> tuple[int, list[str]]:
    """Exit code and lines of the count of a run."""
    script = [sys.executable, ROOT / "tests/support/count.py", folder, *hosts]
    done = subprocess.run(script, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout.splitlines()


def test_a_download_is_tried_three_times(tmp_path: Path) -> None:
    done = shell('sleep() { :; }; flaky() { echo try; [ "$((++n))" = 3 ]; }; fw_retry flaky', tmp_path)
    assert (done.returncode, done.stdout.split()) == (0, ["try"] * 3)
    done = shell("sleep() { :; }; dead() { echo try; return 1; }; fw_retry dead", tmp_path)
    assert (done.returncode, done.stdout.split()) == (1, ["try"] * 3)


def test_a_stamp_holds_for_what_was_asked_only(tmp_path: Path) -> None:
    script = "fw_stamp x 1; fw_stamped x 1 && echo yes; fw_stamped x 2 || echo no\n"
    script += "fw_unstamp x; fw_stamped x 1 || echo gone"
    assert shell(script, tmp_path).stdout.split() == ["yes", "no", "gone"]


def test_the_cache_stays_out_of_the_checkout() -> None:
    done = shell("echo went on", ROOT / "cache")
    assert (done.returncode, done.stdout) == (2, "")
    assert "lies inside the checkout" in done.stderr
    assert not (ROOT / "cache").exists()


def test_an_unknown_host_is_refused_in_one_sentence(tmp_path: Path) -> None:
    run = ["bash", ROOT / "tests/run.sh", "--host", "0.19"]
    env = {**os.environ, "FLATWRIGHT_CACHE": str(tmp_path)}
    done = subprocess.run(run, env=env, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "flatwright: There is no host 0.19; choose one of 1.1 1.0 0.20, native or all.\n"


def test_the_count_of_a_run(tmp_path: Path) -> None:
    (tmp_path / "1.0.xml").write_text(REPORT)
    (tmp_path / "1.0.version").write_text("FreeCAD 1.0.0\n")
    (tmp_path / "1.0.failed").write_text("mypy --strict\n")
    code, lines = count(tmp_path, "1.0")
    assert code == 1
    assert lines == [
        "host 1.0, FreeCAD 1.0.0: 1 passed, 3 failed, 1 skipped (failed: mypy --strict)",
        "tests: 1 passed, 3 failed, 1 skipped",
    ]


@pytest.mark.parametrize(
    ("report", "code"),
    [('<testsuite><testcase name="a"/></testsuite>', 0), ("<testsuite/>", 1)],
)
def test_a_run_is_good_when_something_passed_and_nothing_failed(
    tmp_path: Path, report: str, code: int
) -> None:
    (tmp_path / "0.20.xml").write_text(report)
    assert count(tmp_path, "0.20")[0] == code
