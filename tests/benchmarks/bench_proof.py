# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The proof on 200,000 moves: 64 plates of 100 slots each, four passes.

tests/run.sh --python tests/benchmarks/bench_proof.py
"""

from __future__ import annotations

import hashlib
import resource
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "workbench"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from flatwright.geometry.outline import rectangle
from flatwright.plan import Placement, Plan, Program, ProgramBit, Sheet, Tab
from flatwright.proof.check import prove
from flatwright.proof.reader import read_program
from support.gcode import Text, around
from support.pieces import board
from support.plate_job import T, shop

WHOLE = (0.0, 0.0, 300.0, 200.0)
SLOTS = [(10.0 + 28 * i, 12.0 + 18 * j, 24.0 + 28 * i, 24.0 + 18 * j) for i in range(10) for j in range(10)]
TABS = [(150.0, y, 10.0, 4.0) for y in (0.0, 200.0)]
DEPTHS = (9.0, 6.0, 3.0, -0.5)
SECONDS, GIGABYTES = 30.0, 2.0  # of one core; wanted


def work() -> tuple[Plan, str]:
    """The plan and its one program."""
    text = Text()
    text.start()
    panels, placements, tabs = [], [], []
    for k in range(64):
        x0, y0 = 20.0 + k % 8 * 320, 20.0 + k // 8 * 220
        text.place = lambda p, x0=x0, y0=y0: (p[0] + x0, p[1] + y0)
        for slot in SLOTS:
            text.loop(around(slot, -3.0), DEPTHS, T, 7.0)
        text.loop(around(WHOLE, 3.0), DEPTHS, T, 40.0, TABS)
        holes = [rectangle(*slot) for slot in SLOTS]
        panels.append(board(f"plate {k}", rectangle(*WHOLE), t=T, origin=(0, 0, 20 * k), holes=holes))
        placements.append(Placement(f"plate {k}", x0, y0, 0.0, False))
        tabs += [Tab(f"plate {k}", x0 + x, y0 + y, 0.0, *size) for x, y, *size in TABS]
    program = text.end()
    digest = hashlib.sha256(program.encode()).hexdigest()
    file = Program("cut", "cut.nc", digest, (ProgramBit(1, "straight", 6.0),))
    sheet = Sheet(
        "sheet-1",
        "ply 12",
        T,
        (2600.0, 1800.0),
        placements=tuple(placements),
        tabs=tuple(tabs),
        programs=(file,),
    )
    return Plan(tuple(panels), (), (), (sheet,)), program


def main() -> int:
    """Seconds are those of one core: other work on the machine does not count."""
    plan, program = work()
    start = time.process_time()
    moves = len(read_program(program).motions)
    read = time.process_time()
    findings, report = prove(plan, shop(travel=(3000.0, 2000.0, 150.0)), {"cut.nc": program}, batches=())
    done = time.process_time()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    times = f"{read - start:.1f} s; the whole proof {done - read:.1f} s"
    print(f"reading {moves} moves {times}; peak memory {peak:.2f} GB")
    print(f"{len(findings)} findings. {report.verdict}")
    return 0 if not findings and done - read < SECONDS and peak < GIGABYTES else 1


if __name__ == "__main__":
    sys.exit(main())
