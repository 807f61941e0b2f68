# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the add-on adds to the start of FreeCAD's window (less than 50 ms is promised).

Run by `tests/run.sh --bench`. Starts the window with and without the add-on in turn, each in a
user folder of its own, until it waits for the user, and compares the quickest starts: whatever
else the machine does only makes a start slower. Without the splash screen, on which FreeCAD
stops for 50 ms at every line that it writes about an add-on, were it an empty one.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support.window import environment, make_home, program

RUNS = 9
PROMISED = 0.050
SCRIPT = """\
import os, time
from PySide import QtCore

def ready():
    with open(os.environ["FLATWRIGHT_READY"], "w") as f:
        f.write(f"{time.time()} {sum(os.times()[:2])}")
    os._exit(0)

QtCore.QTimer.singleShot(0, ready)
"""


NO_SPLASH = """\
<?xml version="1.0" encoding="UTF-8" standalone="no" ?>
<FCParameters><FCParamGroup Name="Root"><FCParamGroup Name="BaseApp"><FCParamGroup Name="Preferences">
<FCParamGroup Name="General"><FCBool Name="ShowSplasher" Value="0"/></FCParamGroup>
</FCParamGroup></FCParamGroup></FCParamGroup></FCParameters>
"""


def start(home: Path, script: Path) -> tuple[float, float]:
    """Seconds from the call until the window waits, by the wall and of the processor."""
    ready = home / "ready.txt"
    ready.unlink(missing_ok=True)
    began = time.time()
    subprocess.run(
        [program(), str(script)],
        env={**environment(home), "FLATWRIGHT_READY": str(ready)},
        cwd=home,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    ended, used = map(float, ready.read_text().split())
    return ended - began, used


def main() -> int:
    with tempfile.TemporaryDirectory(prefix="flatwright-bench-") as folder:
        script = Path(folder, "end.py")
        script.write_text(SCRIPT)
        homes = {on: make_home(Path(folder, f"home-{on}"), add_on=on) for on in (False, True)}
        for home in homes.values():
            (home / "user.cfg").write_text(NO_SPLASH)
            start(home, script)  # the first start makes settings and caches
        wall: dict[bool, list[float]] = {False: [], True: []}
        processor: dict[bool, list[float]] = {False: [], True: []}
        for k in range(RUNS):
            for on in (False, True) if k % 2 else (True, False):
                seconds = start(homes[on], script)
                wall[on].append(seconds[0])
                processor[on].append(seconds[1])
    for name, found in (("wall", wall), ("processor", processor)):
        print(
            f"{name}: without {min(found[False]):.3f} s, with {min(found[True]):.3f} s; the add-on adds "
            f"{1000 * (min(found[True]) - min(found[False])):.0f} ms (medians "
            f"{1000 * (statistics.median(found[True]) - statistics.median(found[False])):.0f} ms)"
        )
    added = min(
        min(found[True]) - min(found[False]) for found in (wall, processor)
    )  # a busy machine makes walls of its own
    return 0 if added < PROMISED else 1


if __name__ == "__main__":
    sys.exit(main())
