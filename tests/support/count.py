# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Count the tests of a run: `count.py RESULTS HOST…` prints a line per host and the total.

RESULTS holds HOST.xml (pytest's JUnit report), HOST.passed and HOST.failed (a line for each other
thing that counts as one) and HOST.version. Ends with 1 when anything failed or nothing passed.
"""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path


def tests(report: Path) -> tuple[int, int, int]:
    """(passed, failed, skipped) of a JUnit report; none of each when there is no report."""
    if not report.is_file():
        return 0, 0, 0
    cases = list(ElementTree.parse(report).iter("testcase"))
    failed = sum(any(c.find(tag) is not None for tag in ("failure", "error")) for c in cases)
    skipped = sum(c.find("skipped") is not None for c in cases)
    return len(cases) - failed - skipped, failed, skipped


def main(results: Path, hosts: list[str]) -> int:
    """Print the counts and return the exit code."""
    total = [0, 0, 0]
    for host in hosts:
        passed, failed, skipped = tests(results / f"{host}.xml")
        others = lines(results / f"{host}.failed")
        passed += len(lines(results / f"{host}.passed"))
        failed += len(others)
        total = [total[0] + passed, total[1] + failed, total[2] + skipped]
        version = "".join(lines(results / f"{host}.version")) or "no FreeCAD"
        note = f" (failed: {'; '.join(others)})" if others else ""
        print(f"host {host}, {version}: {passed} passed, {failed} failed, {skipped} skipped{note}")
    print("tests: {} passed, {} failed, {} skipped".format(*total))
    return 1 if total[1] or not total[0] else 0


def lines(file: Path) -> list[str]:
    """The lines of a file, none when it is missing."""
    return file.read_text().splitlines() if file.is_file() else []


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2:]))
