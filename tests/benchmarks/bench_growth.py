# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How reading, fitting and relieving grow with the model: a shelving wall of 60 to 480 panels.

Prints the seconds of each step, its share at 480 panels (about 3,000 joints and 18,000 reliefs), the
exponent between the ends and the peak memory; ends with 1 above the exponent or the memory that is
promised, or if nothing is relieved. Seconds are of the processor, each the smallest of three runs: a busy
machine counts as little as can be. Every run begins with nothing remembered from the one before. The wall
itself is drawn before the clock starts; its boards are alike but for those at its ends, as those of a real
one are.
"""

from __future__ import annotations

import math
import resource
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from flatwright.bits.relieved import cut_panel
from flatwright.host.bootstrap import freecad
from flatwright.joints.contacts import find_contacts
from flatwright.joints.fit import Thickness
from flatwright.joints.piece import fit_piece, surroundings
from flatwright.panels.find import find_panels
from flatwright.presets.reading import load
from flatwright.resources import path
from flatwright.steps import collector_at_rest
from support.wall import wall

Row = tuple[tuple[int, int, int], dict[str, float]]  # panels, joints and reliefs; seconds by step

BAYS = (6, 12, 24, 48)
TENONS = 7  # of a shelf
RUNS = 3
EXPONENT, MEMORY = 1.15, 1024.0  # at most; MB


def main() -> int:
    """Measure every size once; the exit code."""
    freecad()
    measure(1)  # what is loaded and made once
    rows = [smallest([measure(bays) for _ in range(RUNS)]) for bays in BAYS]
    steps = list(rows[0][1])
    print(
        f"{'panels':>7}{'joints':>8}{'reliefs':>9}" + "".join(f"{s:>10}" for s in steps) + f"{'together':>10}"
    )
    for (panels, joints, reliefs), times in rows:
        total = sum(times.values())
        print(
            f"{panels:>7}{joints:>8}{reliefs:>9}"
            + "".join(f"{t:>9.2f}s" for t in times.values())
            + f"{total:>9.2f}s"
        )
    last = rows[-1][1]
    print(f"{'share':>24}" + "".join(f"{t / sum(last.values()):>10.0%}" for t in last.values()))
    growth = math.log(sum(last.values()) / sum(rows[0][1].values())) / math.log(
        rows[-1][0][0] / rows[0][0][0]
    )
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"grows as n^{growth:.2f} (at most {EXPONENT}); peak memory {memory:.0f} MB (at most {MEMORY:.0f})")
    relieved = all(reliefs >= joints for (_, joints, reliefs), _ in rows)  # else a step had nothing to do
    return 0 if growth <= EXPONENT and memory <= MEMORY and relieved else 1


def smallest(runs: list[Row]) -> Row:
    """The runs as one, each step with its smallest time."""
    counts, first = runs[0]
    return counts, {step: min(times[step] for _, times in runs) for step in first}


def forget() -> None:
    """Empty every cache of the package."""
    for name, module in list(sys.modules.items()):
        if name.startswith("flatwright"):
            for thing in vars(module).values():
                if hasattr(thing, "cache_clear"):
                    thing.cache_clear()


@collector_at_rest()  # as while the rules are applied
def measure(bays: int) -> Row:
    """Panels, joints, reliefs and seconds by step for a wall of that many bays."""
    import FreeCAD

    from flatwright.host.shapes import flat_solid, frame_placement, panel_solid
    from flatwright.host.solids import read_solids

    doc = FreeCAD.newDocument("Wall")
    for panel in wall(bays, tenons=TENONS):
        o = doc.addObject("Part::Feature", "Board")
        drawn = flat_solid(panel)  # each by itself, as drawn in the host: no two share a geometry
        drawn.Placement = frame_placement(panel.frame)
        o.Label, o.Shape = panel.name, drawn
    preset = load(path("presets/metric.shop.json"))
    times: dict[str, float] = {}
    forget()

    def timed(name: str, work: Callable[[], Any]) -> Any:
        start = time.process_time()
        out = work()
        times[name] = time.process_time() - start
        return out

    solids, _ = timed("read", lambda: read_solids(doc))
    panels, _ = timed("find", lambda: find_panels(solids))
    panels = [replace(p, board="birch 18", show="+n") for p in panels]  # without a board nothing is relieved
    scene = timed("contacts", lambda: find_contacts(panels))
    real = {p.name: Thickness(17.7, 17.7) for p in panels}
    piece, _ = timed("fit", lambda: fit_piece(panels, real, preset.fits))
    times["fit"] -= times["contacts"]  # it finds the contacts again
    del scene
    cut = timed("reliefs", lambda: [cut_panel(s, preset) for s in surroundings(piece)])
    timed("solids", lambda: [panel_solid(c.relieved.panel) for c in cut])
    FreeCAD.closeDocument(doc.Name)
    return (len(panels), len(piece.joints), sum(len(c.relieved.reliefs) for c in cut)), times


if __name__ == "__main__":
    sys.exit(main())
