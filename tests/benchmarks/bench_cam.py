# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Entry and tabs of one outline: our moves against the host's own profile, tags and ramp on the same part.

Run by hand or by `tests/run.sh --bench`: both ways in one run, the ratio of their times (at least 20 is
promised) and a table of what each got right, measured on the path that each would post.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "workbench"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import shapely

from flatwright.bits.choose import choose_bits
from flatwright.cutting.parts import cut_parts
from flatwright.geometry.outline import Outline, polygon_outline
from flatwright.geometry.polygon import polygon
from flatwright.holding.tabs import place_tabs
from flatwright.host.bootstrap import freecad
from flatwright.plan import Panel, Placement, Sheet, Tab, placed
from support.shopwork import BITS, LARGEST, SMALLEST, THICK, panel, sheet, shop

WANTED = 20.0
RADIUS, OVERCUT, RAMP = 3.0, 0.5, 5.0
Spot = tuple[float, float, float]
Way = tuple[Spot, Spot, bool]  # from, to, at feed


@dataclass(frozen=True)
class Right:
    """What a path got right."""

    tabs: int  # that stand where they were asked for
    ramps_along: int  # of the descents in wood, those along the grain
    ramps: int
    steepest: float  # degrees
    gouge: float  # mm that the bit cuts into the part


def part() -> tuple[Sheet, Panel]:
    """A shelf with forty fingers, 1000 by 300 mm: many edges across the grain, two along it."""
    points = [(0.0, 0.0), (1000.0, 0.0)]
    for k in range(10):
        y = 30.0 * k
        points += [(1000.0, y + 7.0), (1018.0, y + 7.0), (1018.0, y + 23.0), (1000.0, y + 23.0)]
    points += [(1000.0, 300.0), (0.0, 300.0)]
    for k in range(10):
        y = 300.0 - 30.0 * k
        points += [(0.0, y - 7.0), (-18.0, y - 7.0), (-18.0, y - 23.0), (0.0, y - 23.0)]
    one = panel("shelf", polygon_outline(points), show="+n")
    return sheet(Placement("shelf", 80.0, 80.0, 0.0, False), size=(1300.0, 500.0)), one


def ours(laid: Sheet, one: Panel) -> tuple[list[Way], Sequence[Tab]]:
    """Tabs, entry, passes: as plain moves."""
    preset = shop(BITS[:1])
    bits = {"shelf": choose_bits(one, preset)[0]}
    tabs, _ = place_tabs(laid, {"shelf": one}, bits, preset, {}, {})
    cuts, _ = cut_parts(laid, {"shelf": one}, bits, preset, tabs=tabs, smallest=SMALLEST, largest=LARGEST)
    (chain,) = cuts[0].features[0]
    ways: list[Way] = []
    here = (chain.x, chain.y, chain.z)
    for m in chain.moves:
        ways.append((here, (m.x, m.y, m.z), True))
        here = (m.x, m.y, m.z)
    return ways, tabs


def hosts(outline: Outline, tabs: Sequence[Tab]) -> Callable[[], list[Way]]:
    """The host's own way to the same: profile, holding tags at our places, ramp entry.

    The part, the job and the bit are made beforehand; what is timed is what the operation costs.
    """
    from importlib import import_module

    import FreeCAD as App
    import Part

    from flatwright.host import cam_tools
    from flatwright.host.cam_modules import cam
    from flatwright.host.version import can

    new = can("cam_package")
    profile = import_module("Path.Op.Profile" if new else "PathScripts.PathProfile")
    tags = import_module("Path.Dressup.Tags" if new else "PathScripts.PathDressupHoldingTags")
    ramps = import_module("Path.Dressup.Gui.RampEntry" if new else "PathScripts.PathDressupRampEntry")
    doc = App.newDocument("bench")
    corners = [App.Vector(float(x), float(y), 0) for x, y in outline.points]
    plate = doc.addObject("Part::Feature", "Plate")
    plate.Shape = Part.Face(Part.makePolygon([*corners, corners[0]])).extrude(App.Vector(0, 0, THICK))
    doc.recompute()
    with cam_tools.no_default_bit():
        job = cam("job").Create("Job", [plate], None)
    for tc in list(job.Tools.Group):
        cam_tools.remove_controller(tc)
    bit, feed = BITS[0], shop(BITS[:1]).feeds[0]
    controller = cam_tools.make_controller(job, bit, feed, "mm")
    doc.recompute()

    def run() -> list[Way]:
        op = doc.addObject("Path::FeaturePython", "Profile")
        op.Proxy = profile.ObjectProfile(op, "Profile", job)
        op.ToolController = controller
        for name, value in (
            ("StartDepth", THICK), ("FinalDepth", -OVERCUT), ("StepDown", 6.0),
            ("SafeHeight", THICK + 2.0), ("ClearanceHeight", THICK + 12.0),
        ):  # fmt: skip
            op.setExpression(name, None)
            setattr(op, name, value)
        op.Side, op.Direction = "Outside", "CW"
        doc.recompute()
        last = op
        where = [_centre_line(t, outline) for t in tabs]
        tagged = tags.Create(op, "DressupTag")
        tagged.Width, tagged.Angle, tagged.Radius = tabs[0].length, 45, 0
        tagged.Height = tabs[0].height + OVERCUT  # counted from the overcut's bottom
        tagged.Positions, tagged.Disabled = [App.Vector(x, y, -OVERCUT) for x, y in where], []
        doc.recompute()
        last = tagged
        ramped = doc.addObject("Path::FeaturePython", "RampDressup")
        proxy = ramps.ObjectDressup(ramped)
        ramped.Base = tagged
        job.Proxy.addOperation(ramped, tagged, True)
        proxy.setup(ramped)
        ramped.Method, ramped.Angle = "RampMethod1", 90.0 - RAMP  # measured from the vertical
        ramped.UseStartDepth, ramped.DressupStartDepth = True, THICK
        doc.recompute()
        if ramped.Path.Commands:  # 0.20 cannot ramp over tags
            last = ramped
        ways = _ways(last.Path.Commands)
        for o in (ramped, tagged, op):
            doc.removeObject(o.Name)
        return ways

    return run


def _centre_line(tab: Tab, outline: Outline) -> tuple[float, float]:
    """The place on the tool-centre line beside a tab: the host's tags must lie exactly there."""
    wood = polygon(outline)
    line = wood.buffer(RADIUS).exterior
    at = line.interpolate(line.project(shapely.Point(tab.x, tab.y)))
    return at.x, at.y


def _ways(commands: Sequence[Any]) -> list[Way]:
    here: list[float | None] = [None, None, None]
    ways: list[Way] = []
    for c in commands:
        if c.Name not in ("G0", "G1", "G2", "G3"):
            continue
        there = [c.Parameters.get(k, here[n]) for n, k in enumerate("XYZ")]
        if None not in here and None not in there:
            ways.append((tuple(here), tuple(there), c.Name != "G0"))  # type: ignore[arg-type]
        here = there
    return ways


def judge(ways: Sequence[Way], tabs: Sequence[Tab], outline: Outline) -> Right:
    """Look at a path without asking who made it."""
    wood = polygon(outline, tolerance=1e-3)
    high = tabs[0].height
    ramps = along = 0
    steepest = gouge = 0.0
    for a, b, feed in ways:
        run = math.dist(a[:2], b[:2])
        if feed and b[2] < a[2] - 1e-6 and a[2] > high + 0.6 and b[2] < THICK:
            ramps += 1
            along += abs(b[1] - a[1]) <= 0.18 * abs(b[0] - a[0])
            steepest = max(steepest, math.degrees(math.atan2(a[2] - b[2], run)))
        if feed and b[2] < THICK - 0.1:
            gouge = max(gouge, RADIUS - wood.distance(shapely.Point(b[:2])))
    stands = 0
    for t in tabs:
        beside = [w for w in ways if _passes(w, t, outline) and w[2]]
        stands += bool(beside) and min(min(w[0][2], w[1][2]) for w in beside) >= high - 0.02
    return Right(stands, along, ramps, steepest, gouge)


def _passes(way: Way, tab: Tab, outline: Outline) -> bool:
    """Whether a move runs over the middle of a tab."""
    x, y = _centre_line(tab, outline)
    a, b, _ = way
    length = math.dist(a[:2], b[:2])
    if length < 1e-6:
        return False
    t = ((x - a[0]) * (b[0] - a[0]) + (y - a[1]) * (b[1] - a[1])) / length**2
    off = abs((x - a[0]) * (b[1] - a[1]) - (y - a[1]) * (b[0] - a[0])) / length
    return 0.0 <= t <= 1.0 and off < 0.5


def timed(work: Callable[[], Any], rounds: int) -> tuple[float, Any]:
    """(best of some rounds in seconds, the last result)."""
    best, out = math.inf, None
    for _ in range(rounds):
        start = time.perf_counter()
        out = work()
        best = min(best, time.perf_counter() - start)
    return best, out


def main() -> int:
    freecad()
    laid, one = part()
    outline = placed(one.outline, laid.placements[0])
    mine, (my_ways, tabs) = timed(lambda: ours(laid, one), 5)
    theirs, their_ways = timed(hosts(outline, tabs), 3)
    a, b = judge(my_ways, tabs, outline), judge(their_ways, tabs, outline)
    print(f"ours {1000 * mine:.1f} ms, host {1000 * theirs:.1f} ms: {theirs / mine:.0f} times as fast")
    print(f"{'':34}{'ours':>8}{'host':>8}")
    rows = [
        ("tabs where they were asked for", f"{a.tabs}/{len(tabs)}", f"{b.tabs}/{len(tabs)}"),
        ("descents along the grain", f"{a.ramps_along}/{a.ramps}", f"{b.ramps_along}/{b.ramps}"),
        ("steepest descent, degrees", f"{a.steepest:.1f}", f"{b.steepest:.1f}"),
        ("deepest gouge, mm", f"{a.gouge:.3f}", f"{b.gouge:.3f}"),
    ]
    for name, p, q in rows:
        print(f"{name:34}{p:>8}{q:>8}")
    return 0 if theirs / mine >= WANTED else 1


if __name__ == "__main__":
    sys.exit(main())
