# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Hand-made mutants of the planner: one line changed, as a slip of a programmer would. The proof must tell.

A mutant is planned in a process of its own, with the changed text in place of the module's. When the
code of a mutant's place changes, give it its new place: it must stand in its module exactly once.

tests/run.sh --python tests/support/mutants.py          # all of them, as a table
"""

from __future__ import annotations

import importlib.machinery
import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from types import CodeType

TESTS = Path(__file__).resolve().parents[1]
WORKBENCH = TESTS.parent / "workbench"


@dataclass(frozen=True, slots=True)
class Mutant:
    """In `module`, `old` becomes `new`."""

    name: str
    module: str
    old: str
    new: str

    def path(self) -> Path:
        return WORKBENCH.joinpath(*f"flatwright.{self.module}".split(".")).with_suffix(".py")

    def source(self) -> str:
        """The module's text, changed. Raises LookupError where the place is not there once."""
        text = self.path().read_text(encoding="utf-8")
        if text.count(self.old) != 1:
            raise LookupError(
                f"{self.name}: {self.old!r} stands {text.count(self.old)} times in {self.module}"
            )
        return text.replace(self.old, self.new)


FIT, CUT = "joints.fit", "cutting"
MUTANTS = tuple(
    Mutant(*m)
    for m in (
        # fit
        (
            "slots over the thickness get a third of their clearance",
            FIT,
            "moves.close(cheek, c.over(joint, n) / 2, k)",
            "moves.close(cheek, c.over(joint, n) / 6, k)",
        ),
        (
            "slots along the tenon get no clearance",
            FIT,
            "moves.close(side, c.values.along / 2, k)",
            "moves.close(side, 0.0, k)",
        ),
        (
            "fingers retreat twice as far",
            FIT,
            "moves.halve(flank, c.values.along / 2, k)",
            "moves.halve(flank, c.values.along, k)",
        ),
        (
            "cross-laps bear on their floors",
            FIT,
            "moves.halve(floor, c.values.floor, k)",
            "moves.halve(floor, 0.0, k)",
        ),
        (
            "shoulders reach into what they bear on",
            FIT,
            "max(s.gap, 0.0) if plain else 0.0",
            "max(s.gap, 0.0) if plain else -0.3",
        ),
        # what the plan says of the fit is wrong in the same way as what is cut
        (
            "slots over the thickness get the clearance along",
            FIT,
            "else c.over_thickness",
            "else c.along",
        ),
        (
            "clearances along and at floors are halved",
            FIT,
            "return _Clearances(name, values, thickness)",
            "return _Clearances(name, FitClass(values.over_thickness, values.along / 2, values.floor / 2),"
            " thickness)",
        ),
        (
            "slots are cut for boards 0.1 mm thinner",
            "joints.slots",
            "return batch.mean + swelling, None, None",
            "return batch.mean - 0.1 + swelling, None, None",
        ),
        (
            "boards are taken 0.1 mm thicker than they measure",
            "boards.assigning",
            "batch.mean if batch.measured else as_drawn",
            "batch.mean + 0.1 if batch.measured else as_drawn",
        ),
        # reliefs
        (
            "no fillet is ever met",
            "joints.relief_loop",
            "return [bool(m) for m in met]",
            "return [False for m in met]",
        ),
        (
            "a fillet counts as met only when it is large",
            "joints.relief_loop",
            "self.place.mates)) > MEETS",
            "self.place.mates)) > 50.0",
        ),
        # tabs
        (
            "tabs are shorter by the bit",
            f"{CUT}.lifts",
            "half = (t.length + diameter) / 2.0",
            "half = t.length / 2.0",
        ),
        (
            "tabs are 1 mm too low",
            f"{CUT}.lifts",
            "            return self.top\n",
            "            return self.top - 1.0\n",
        ),
        (
            "tabs are lifted over 20 mm beside their place",
            f"{CUT}.lifts",
            "Lift(station - half, station + half,",
            "Lift(station + 20 - half, station + 20 + half,",
        ),
        (
            "tabs are forgotten",
            f"{CUT}.lifts",
            "highest = max((t.height(station, track.length) for t in over), default=z)",
            "highest = z",
        ),
        (
            "tabs' ends hardly slope",
            f"{CUT}.lifts",
            "self.top - away if self.sloped",
            "self.top - 0.1 * away if self.sloped",
        ),
        (
            "tabs may stand on mating edges",
            "holding.tab_rules",
            "{n: r.mating for n, r in here.items()}",
            "{}",
        ),
        # screws
        (
            "marks are 1 mm beside their screws",
            f"{CUT}.spots",
            "pen = Pen((s.x, s.y), over",
            "pen = Pen((s.x + 1.0, s.y), over",
        ),
        (
            "marks count from the thickest board",
            f"{CUT}.spots",
            "height = smallest - preset",
            "height = largest + 0.1 - preset",
        ),
        ("marks are not made", f"{CUT}.spots", "        pen.up(z)\n", ""),
        (
            "every second screw is marked only",
            f"{CUT}.spots",
            "    for s in screws:\n",
            "    for s in screws[::2]:\n",
        ),
        (
            "screw zones know neither cuts nor parts",
            "holding.zones",
            "[swept, *laid.values(), no_screws(preset)]",
            "[no_screws(preset)]",
        ),
        (
            "screws keep off the cuts by nothing",
            "holding.zones",
            "return fasteners.head_diameter / 2.0 + fasteners.margin",
            "return -2.0",
        ),
        (
            "screws are marked 25 mm lower than they are planned",
            "holding.screws",
            "screws = tuple(Screw(float(x), float(y))",
            "screws = tuple(Screw(float(x), max(5.0, float(y) - 25.0))",
        ),
        # passes
        (
            "the last pass stops 0.2 mm early",
            f"{CUT}.passes",
            "for n in range(1, k)] + [bottom]",
            "for n in range(1, k)] + [bottom + 0.2]",
        ),
        (
            "passes are twice as deep as the bit bears",
            f"{CUT}.passes",
            "k = math.ceil(depth / deepest - 1e-9)",
            "k = math.ceil(depth / deepest / 2 - 1e-9)",
        ),
        (
            "the last pass is left out",
            f"{CUT}.profile",
            "    for z in heights:\n        if entry.b > entry.a:",
            "    for z in heights[:-1]:\n        if entry.b > entry.a:",
        ),
        (
            "the last ramp is not levelled",
            f"{CUT}.profile",
            "        follow(pen, track, entry.a, entry.b, heights[-1], over)",
            "        pass",
        ),
        (
            "holes are pecked all but the last time",
            f"{CUT}.holes",
            "    for z in setup.heights(bottom):",
            "    for z in setup.heights(bottom)[:-1]:",
        ),
        (
            "the helix is not levelled at its bottom",
            f"{CUT}.holes",
            "    for _ in range(2):\n        pen.along(_half(pen, centre, setup), bottom)",
            "    pass",
        ),
        (
            "rings of a bore are 3 % too small",
            f"{CUT}.holes",
            "rings = [rough * k / n",
            "rings = [rough * 0.97 * k / n",
        ),
        (
            "pockets are cut to their depth counted from the bed",
            f"{CUT}.loops",
            "floor = panel.thickness - pocket.depth",
            "floor = pocket.depth",
        ),
        (
            "rings of a pocket lie too far apart",
            f"{CUT}.clear",
            "depth += STEPOVER * setup.diameter",
            "depth += 1.3 * setup.diameter",
        ),
        (
            "the bit's radius is 0.1 mm short",
            f"{CUT}.setup",
            "return self.bit.cut / 2.0",
            "return self.bit.cut / 2.0 - 0.1",
        ),
        # sheets that are turned over
        (
            "turned parts lie half a turn off",
            "turned",
            '(180.0 if axis == "x" else 0.0) - p.angle',
            '(0.0 if axis == "x" else 180.0) - p.angle',
        ),
        (
            "a turned sheet lies 1 mm off",
            "turned",
            "return (p[0], clean(size[1] - p[1], DIGITS))",
            "return (p[0], clean(size[1] - p[1] + 1.0, DIGITS))",
        ),
        (
            "the first side is cut as the sheet lies later",
            "cutting.both_sides",
            "lying = turned(self.sheet, axis)",
            "lying = self.sheet",
        ),
        (
            "pins end in the board",
            f"{CUT}.underside",
            "setup, -flip.depth)",
            "setup, flip.depth)",
        ),
        (
            "pins stand beside the line",
            "holding.pins",
            "sheet.size[1 - along] / 2.0",
            "sheet.size[1 - along] / 2.0 + 0.5",
        ),
        # travel, entries, speeds
        (
            "clear height forgets the clearance",
            f"{CUT}.program",
            "return highest + preset.machine.clear_height",
            "return highest + 1.0",
        ),
        (
            "parked at the wrong corner",
            f"{CUT}.program",
            "for v in self.preset.machine.park)",
            "for v in (100.0, 100.0))",
        ),
        (
            "plunges at cutting feed",
            f"{CUT}.pen",
            "clean(min(self.feed, self.plunge / sine), 1)",
            "clean(self.feed, 1)",
        ),
        (
            "cuts at twice the feed",
            f"{CUT}.setup",
            "v_f = self.feed.cutting_feed(self.bit.flutes)",
            "v_f = 2.0 * self.feed.cutting_feed(self.bit.flutes)",
        ),
        ("arcs turn the other way", f"{CUT}.pen", '"ccw" if s.b > 0 else "cw"', '"cw" if s.b > 0 else "ccw"'),
        (
            "ramps do not look at the grain",
            f"{CUT}.entries",
            "(setup.fibres is None or along(s, setup.fibres))",
            "(setup.fibres is None or not along(s, setup.fibres))",
        ),
        (
            "outlines come first",
            f"{CUT}.order",
            'if (cut.kind == "outside" and c.panel == cut.panel and c.kind != "outside")',
            'if (cut.kind != "outside" and c.panel == cut.panel and c.kind == "outside")',
        ),
    )
)


def patch(mutant: Mutant) -> None:
    """From now on the module is imported with the mutant's text."""
    real = importlib.machinery.SourceFileLoader.get_code
    module, text, path = f"flatwright.{mutant.module}", mutant.source(), str(mutant.path())

    def get_code(self: importlib.machinery.SourceFileLoader, fullname: str) -> CodeType | None:
        return compile(text, path, "exec") if fullname == module else real(self, fullname)

    importlib.machinery.SourceFileLoader.get_code = get_code  # type: ignore[method-assign]


def caught(mutant: Mutant) -> list[str]:
    """Codes that the proof raises on the mutant's work, in a new process; empty when it lives."""
    code = "from support.mutants import _child; _child()"
    done = subprocess.run(
        [sys.executable, "-c", code, str(MUTANTS.index(mutant))],
        env={"PYTHONPATH": f"{WORKBENCH}:{TESTS}", "PATH": "/usr/bin:/bin"},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(done.stderr[-2000:])
    codes: list[str] = json.loads(done.stdout.splitlines()[-1])
    return codes


def _child() -> None:
    patch(MUTANTS[int(sys.argv[1])])
    from support.planned_work import MORE_PIECES, PIECES, piece

    for name in (*PIECES, *MORE_PIECES):
        found = sorted(piece(name).codes())
        if found:
            print(json.dumps([name, *found]))
            return
    print("[]")


if __name__ == "__main__":
    sys.path[:0] = [str(WORKBENCH), str(TESTS)]
    alive = 0
    for m in MUTANTS:
        codes = caught(m)
        alive += not codes
        print(f"{m.name:<55} {', '.join(codes) or 'LIVES'}", flush=True)
    print(f"{len(MUTANTS)} mutants, {alive} alive")
