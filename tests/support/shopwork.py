# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Parts of the toy library's trolley, a shop, and what the moves of a program leave: for tests of bits,
holding and cutting. The map of what is gone is worked out here, not by the code under test."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.bits.choose import PanelBits, choose_bits
from flatwright.cutting.cut import Cut
from flatwright.cutting.moves import Move, SheetProgram
from flatwright.cutting.parts import cut_parts
from flatwright.cutting.program import make_programs
from flatwright.cutting.swept import swept
from flatwright.findings import Finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.carve import carved
from flatwright.geometry.corners import concave_corners
from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import Outline, circle, polygon_outline, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.geometry.relief_shapes import relief
from flatwright.holding.screws import place_screws
from flatwright.holding.tabs import place_tabs
from flatwright.holding.without_tabs import skin_left
from flatwright.holding.zones import screw_zones
from flatwright.plan import Panel, Placement, Pocket, Sheet, placed
from flatwright.presets import model

BOARD = model.Board("birch 18", 18.0, 13, "length", 1.1)
THICK = 17.7
SMALLEST, LARGEST = 17.62, 17.81
BITS = (
    model.Bit(1, "straight", 6.0, 2, 25.0),
    model.Bit(2, "up-cut", 6.0, 2, 25.0),
    model.Bit(3, "down-cut", 6.0, 2, 25.0),
    model.Bit(4, "compression", 6.0, 2, 25.0, up_cut_length=5.0),
)
FLAT = Frame.of((0, 0, 0), (1, 0, 0), (0, 0, 1))


def shop(bits: Sequence[model.Bit] = BITS, **sections: Any) -> model.Preset:
    """A shop with feeds of 3600 mm/min, passes of 6 mm, plunges of 900 mm/min for every bit."""
    preset = model.Preset(
        name="toy library",
        boards=(BOARD,),
        fits=model.Fits("glue", {}),
        reliefs=model.ReliefRules(),
        bits=tuple(bits),
        feeds=tuple(model.Feed(b.number, 18000, 0.10, 6.0, 900) for b in bits),
        holding=model.Holding(),
        layout=model.Layout((), spacing=16.0),
        machine=model.Machine(park=(0.0, 700.0)),
        entries=model.Entries(math.radians(5)),
        post=model.Post(),
    )
    return replace(preset, **sections)


def slot(x0: float, y0: float, x1: float, y1: float) -> Outline:
    """A rectangular hole with dog-bones of 3 mm."""
    loop = rectangle(x0, y0, x1, y1).cw()
    shapes = [relief(c, "dog-bone", 3.0, loop).outline() for c in concave_corners(loop)]
    return carved(loop, shapes)[0]


def panel(name: str, outline: Outline, **fields: Any) -> Panel:
    values: dict[str, Any] = {"board": "birch 18", "show": "+n", "shape": name, **fields}
    return Panel(name, name, FLAT, 18.0, THICK, outline, **values)


def side(name: str = "side") -> Panel:
    """A trolley side: rounded corner, two slots, three round holes, a handle, two housings."""
    q = math.tan(math.pi / 8)
    outline = Outline(
        np.array([[0, 0], [800, 0], [800, 300], [760, 340], [0, 340]]), np.array([0, 0, q, 0, 0])
    )
    holes: tuple[Outline, ...] = (
        slot(100, 60, 117.95, 140.5),
        slot(100, 200, 117.95, 280.5),
        slot(500, 100, 640, 220),
    )
    holes += tuple(circle(c, r).cw() for c, r in (((700, 60), 6.0), ((740, 60), 4.0), ((60, 60), 3.0)))
    pockets = (
        Pocket(rectangle(300, 0, 317.95, 250).cw(), 6.0, "+n"),
        Pocket(rectangle(380, 40, 397.95, 250).cw(), 6.0, "+n"),
    )
    return panel(name, outline, holes=holes, pockets=pockets, grain=0.0)


def shelf(name: str = "shelf") -> Panel:
    """A shelf with two tenons."""
    tip = -THICK
    points = [(0, 0), (60, 0), (60, tip), (140, tip), (140, 0), (260, 0), (260, tip), (340, tip), (340, 0)]
    return panel(name, polygon_outline([*points, (400, 0), (400, 250), (0, 250)]), show="none", grain=0.0)


def sheet(*placements: Placement, size: tuple[float, float] = (1300.0, 750.0)) -> Sheet:
    return Sheet("sheet-1", "birch 18", THICK, size, "length", placements)


def trolley() -> tuple[Sheet, dict[str, Panel]]:
    """A side and two shelves on one sheet, one of them turned over."""
    parts = [side(), shelf("shelf 1"), shelf("shelf 2")]
    at = [
        Placement("side", 25, 50, 0, False),
        Placement("shelf 1", 850, 80, 0, False),
        Placement("shelf 2", 850, 690, 180, True),
    ]
    return sheet(*at), {p.name: p for p in parts}


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """All that came of one sheet."""

    sheet: Sheet
    panels: Mapping[str, Panel]
    preset: model.Preset
    bits: Mapping[str, PanelBits]
    cuts: tuple[Cut, ...]
    zones: BaseGeometry
    programs: tuple[SheetProgram, ...]
    findings: tuple[Finding, ...]

    def wood(self, name: str) -> BaseGeometry:
        """A part's outline as laid, less its holes."""
        p = next(p for p in self.sheet.placements if p.panel == name)
        one = self.panels[name]
        return polygon(placed(one.outline, p), [placed(h, p) for h in one.holes])

    def codes(self) -> list[str]:
        return [f.code for f in self.findings]


def work(
    laid: Sheet,
    panels: Mapping[str, Panel],
    preset: model.Preset,
    keep_clear: Mapping[str, Sequence[Segment]] | None = None,
) -> Work:
    """The steps from bits to programs, in the order of the house."""
    findings: list[Finding] = []
    bits: dict[str, PanelBits] = {}
    for name, one in panels.items():
        bits[name], found = choose_bits(one, preset)
        findings += found
    tabs, found = place_tabs(laid, panels, bits, preset, {}, keep_clear or {})
    findings += found
    cuts, found = cut_parts(laid, panels, bits, preset, tabs=tabs, smallest=SMALLEST, largest=LARGEST)
    findings += found
    woods = {
        p.panel: polygon(placed(panels[p.panel].outline, p), [placed(h, p) for h in panels[p.panel].holes])
        for p in laid.placements
    }
    zones = screw_zones(laid, swept(cuts), woods, preset)
    screws, found = place_screws(laid, zones, woods, preset, bit=6.0)
    findings += found
    programs, found = make_programs(laid, cuts, preset, screws=screws, smallest=SMALLEST, largest=LARGEST)
    findings += found
    done = replace(laid, tabs=tabs, screws=screws, skin=skin_left(preset))
    return Work(done, panels, preset, bits, cuts, zones, programs, tuple(findings))


@dataclass(frozen=True, slots=True)
class Leg:
    """One move with where it starts; `bit` and `kind` of its operation; z from the bed."""

    start: tuple[float, float, float]
    move: Move
    bit: model.Bit
    operation: str
    panel: str | None

    @property
    def end(self) -> tuple[float, float, float]:
        return (self.move.x, self.move.y, self.move.z)

    def points(self) -> list[tuple[float, float, float]]:
        """(x, y, z) along the move, arcs in steps of 0.1 mm or less of sagitta 0.001."""
        (x0, y0, z0), (x1, y1, z1) = self.start, self.end
        if self.move.kind in ("rapid", "line"):
            return [self.start, self.end]
        cx, cy = x0 + self.move.i, y0 + self.move.j
        r, a0, a1 = math.dist((x0, y0), (cx, cy)), math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
        turn = (a1 - a0) % math.tau if self.move.kind == "ccw" else -((a0 - a1) % math.tau)
        n = max(2, math.ceil(abs(turn) / (2 * math.acos(1 - min(0.001 / r, 1.0)))))
        steps = [k / n for k in range(n + 1)]
        return [
            (cx + r * math.cos(a0 + turn * t), cy + r * math.sin(a0 + turn * t), z0 + (z1 - z0) * t)
            for t in steps
        ]


def legs(program: SheetProgram, preset: model.Preset, lift: float = 0.0) -> Iterator[Leg]:
    """The moves of a program from its first position on; `lift` is added to z."""
    at: tuple[float, float, float] | None = None
    for o in program.operations:
        for m in o.moves:
            m = replace(m, z=m.z + lift)
            if at is not None:
                yield Leg(at, m, preset.bit(o.bit), o.kind, o.panel)
            at = (m.x, m.y, m.z)


def gone(moves: Iterable[Leg], z: float) -> BaseGeometry:
    """What the feed moves take away at height z: the discs of all that runs at or below it."""
    lines: dict[float, set[tuple[tuple[float, float], ...]]] = {}
    for leg in moves:
        low = () if leg.move.kind == "rapid" else tuple(_below(leg.points(), z))
        if len(low) > 1:
            lines.setdefault(leg.bit.cut / 2, set()).add(low)
    discs = [_line(low).buffer(r, quad_segs=32) for r, all_of in lines.items() for low in all_of]
    return shapely.union_all(discs)


def _line(points: tuple[tuple[float, float], ...]) -> BaseGeometry:
    return shapely.LineString(points) if len(set(points)) > 1 else shapely.Point(points[0])


def _below(points: list[tuple[float, float, float]], z: float) -> list[tuple[float, float]]:
    """The stretch of a rising or falling polyline that lies at or below z."""
    out: list[tuple[float, float]] = []
    for p, q in zip(points, points[1:], strict=False):
        for a, b in ((p, q), (q, p)):
            if a[2] <= z + 1e-4:
                out.append(a[:2])
            elif b[2] <= z + 1e-4:
                t = (z + 1e-4 - b[2]) / (a[2] - b[2])
                out.append((b[0] + (a[0] - b[0]) * t, b[1] + (a[1] - b[1]) * t))
    return out
