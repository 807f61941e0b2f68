# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The places on a laid part where a tab could stand, each with the rule that it breaks, if any."""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from flatwright.geometry.arcs import Segment
from flatwright.geometry.polygon import polygon
from flatwright.holding.edges import CORNER, LEAST, MOST, Edge, edges, on_sheet
from flatwright.holding.force import TabSize, longest_span
from flatwright.holding.ground import Ground, Laid, direction
from flatwright.holding.spread import Places, least_distance, spread_cheaply
from flatwright.plan import Panel, Placement, Sheet, Tab, placed
from flatwright.presets.model import Bit, Preset

# What a place costs by the rule that it breaks, in the stated order of relaxation: a later rule is
# broken only where breaking earlier ones is not enough.
RELAXATIONS: dict[str, float] = {
    "": 0.0,
    "on an edge across the grain": 1.0,
    "as a bridge to a neighbour": 10.0,
    "as a bridge to a neighbour, across the grain": 100.0,
    "on a gentle curve": 1000.0,
    f"less than {CORNER:g} mm from a corner": 10_000.0,
    "on an edge of a joint": 100_000.0,
}
NEAR_CORNER = f"less than {CORNER:g} mm from a corner"
DRESS = "on an edge of a joint"  # its stub must be dressed flush before assembly


WIDTHS = [8.3 * 1.05**k for k in range(70)]  # mm; none is a width that boards are drawn with
STANDING = -1e5  # a tab that a neighbour's bridge has put here already is always one of the set


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A tab that could be; `twin` is the neighbour's tab that a bridge needs."""

    tab: Tab
    relaxed: str
    twin: Tab | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A laid panel with what its tabs depend on; `keep_clear` and `mating` in sheet coordinates;
    `footprint` is half of the edge that a tab takes, `bear` the force that all of them together must bear,
    N; a `slender` one gets more tabs, so that it does not give way between them; `edges` have room for a tab
    off all joints, `all_edges` also in them."""

    panel: Panel
    laid: Laid
    keep_clear: tuple[Segment, ...]
    mating: tuple[Segment, ...]
    length: float
    height: float
    footprint: float
    wanted: int
    slender: bool
    bear: float
    fibres: float
    edges: tuple[Edge, ...]
    all_edges: tuple[Edge, ...]


def evenly(wanted: int) -> int:
    """Steps between the places tried on an edge, about MOST, on which so many tabs stand evenly."""
    gaps = max(1, wanted - 1)
    return gaps * max(1, round(MOST / gaps))


def fibres(sheet: Sheet) -> float:
    """Direction of the sheet's face grain, radians."""
    return 0.0 if sheet.grain == "length" else math.pi / 2.0


def slopes(preset: Preset, bit: Bit) -> bool:
    """Whether tabs get sloped ends: as asked for, and wherever a bit may not plunge beside a tab."""
    return preset.holding.tabs.ends == "sloped" or not bit.may_drill


def footprint(preset: Preset, bit: Bit, size: TabSize) -> float:
    """Half of the edge that a tab takes up: half its length, the bit's radius, and the slope (45° up
    from the lowest pass)."""
    slope = size.height + preset.machine.overcut if slopes(preset, bit) else 0.0
    return (size.length + bit.cut) / 2.0 + slope


def lie(panel: Panel, placement: Placement, diameter: float) -> Laid:
    """The panel's loops as they lie on the sheet."""
    return Laid(
        panel.name,
        placed(panel.outline, placement),
        tuple(placed(h, placement) for h in panel.holes),
        diameter,
    )


def part(
    panel: Panel,
    placement: Placement,
    bit: Bit,
    sheet: Sheet,
    preset: Preset,
    keep_clear: Sequence[Segment],
    mating: Sequence[Segment],
    laid: Laid,
    size: TabSize,
) -> Part:
    """All that place_tabs needs to know of one part; `keep_clear` and `mating` in panel coordinates."""
    half = footprint(preset, bit, size)
    clear, joined = (tuple(on_sheet(s, placement)) for s in (keep_clear, mating))
    along = fibres(sheet)
    force = size.bear / preset.holding.tabs.factor
    wanted = _tabs_along(laid, half, force, panel.thickness, size.wanted)
    return Part(
        panel=panel,
        laid=laid,
        keep_clear=clear,
        mating=joined,
        length=size.length,
        height=size.height,
        footprint=half,
        wanted=wanted,
        slender=wanted > size.wanted,
        bear=size.bear,
        fibres=along,
        edges=tuple(edges(laid.outline, 0, (*clear, *joined), half, along)),
        all_edges=tuple(edges(laid.outline, 0, clear, half, along)),
    )


def _tabs_along(laid: Laid, half: float, force: float, thickness: float, at_least: int) -> int:
    """How many tabs keep a slender part, straight or bent, from giving way between them."""
    wood = laid.wood()

    def count(width: float) -> int:
        way = wood.area / width - 2.0 * (half + CORNER)  # from end to end of a strip as wide
        return 1 + math.ceil(round(way / longest_span(force, width, thickness), 2))

    mean = 2.0 * wood.area / wood.length
    return at_least if count(mean) <= at_least else max(at_least, count(_widest(wood)))


def _widest(wood: shapely.Polygon) -> float:
    """How wide a part is where it is widest, mm, as the next greater of WIDTHS."""
    gone = bisect.bisect_left(WIDTHS, True, key=lambda w: bool(wood.buffer(-w / 2.0).is_empty))
    return WIDTHS[min(gone, len(WIDTHS) - 1)]


class Options:
    """Where a part could be tabbed: to firm wood, or to a neighbour; `facing` has all parts' edges.

    Run through, it yields the places off all corners and joints, then these and the ones near corners, then
    these and the ones on edges of joints; the latter are looked for only when they are asked for."""

    def __init__(self, part: Part, ground: Ground, facing: Mapping[str, Sequence[Edge]]) -> None:
        self._part, self._ground, self._facing = part, ground, facing
        self._steps = evenly(part.wanted)
        self._free = [
            p for e in part.edges for s in e.stations(self._steps) if (p := self._at(e, s)) is not None
        ]
        self._near: list[Place] | None = None
        self._all: list[Place] | None = None

    @classmethod
    def of(
        cls, parts: Mapping[str, Part], ground: Ground, facing: Mapping[str, Sequence[Edge]]
    ) -> dict[str, Options]:
        """For each part of a sheet."""
        return {n: cls(p, ground, facing) for n, p in parts.items()}

    def __iter__(self) -> Iterator[list[Place]]:
        yield self._free
        if self._near is None:
            self._near = [*self._free, *self._near_corners()]
        yield self._near
        if self._all is None:
            self._all = [*self._near, *self._in_joints()]
        yield self._all

    def _near_corners(self) -> list[Place]:
        """Those in firm wood, along the grain first."""
        p = self._part
        free = {e.segment: e for e in p.edges}
        inside = LEAST + p.laid.diameter / 2.0
        close = edges(p.laid.outline, 0, (*p.keep_clear, *p.mating), p.footprint, p.fibres, LEAST, inside)
        return [
            replace(place, relaxed=NEAR_CORNER)
            for edge in sorted(close, key=lambda e: not e.with_grain)
            for s in edge.stations(self._steps)
            if not (edge.segment in free and free[edge.segment].admits(s))
            and (place := self._at(edge, s)) is not None
            and place.twin is None
        ]

    def _in_joints(self) -> list[Place]:
        free = {e.segment: e for e in self._part.edges}
        return [
            replace(place, tab=replace(place.tab, dress=True), relaxed=DRESS)
            for edge in self._part.all_edges
            for s in edge.stations(self._steps)
            if not (edge.segment in free and free[edge.segment].admits(s))
            and (place := self._at(edge, s)) is not None
        ]

    def _at(self, edge: Edge, station: float) -> Place | None:
        return _place(self._part, edge, station, self._ground, self._facing)


def _place(
    part: Part, edge: Edge, station: float, ground: Ground, facing: Mapping[str, Sequence[Edge]]
) -> Place | None:
    """The place at a station of an edge; None where a tab would end in no wood."""
    name = part.panel.name
    tab = tab_at(name, edge, station, part.length, part.height)
    if ground.firm(name, edge, station, part.length, part.laid.diameter):
        return Place(tab, rule(edge))
    if not edge.straight or (bridge := ground.bridge(name, edge, station, facing)) is None:
        return None
    x, y = (round(v, 6) for v in bridge.point)
    return Place(tab, rule(edge, True), Tab(bridge.name, x, y, bridge.angle, part.length, part.height))


def tab_at(name: str, edge: Edge, station: float, length: float, height: float) -> Tab:
    """A tab whose middle is at a station of the edge."""
    (x, y), _ = edge.at(station)
    return Tab(name, round(x, 6), round(y, 6), direction(edge, station), length, height)


def rule(edge: Edge, bridge: bool = False) -> str:
    """The rule that a tab on this edge breaks: a key of RELAXATIONS."""
    if not edge.straight:
        return "on a gentle curve"
    if bridge:
        return "as a bridge to a neighbour" + ("" if edge.with_grain else ", across the grain")
    return "" if edge.with_grain else "on an edge across the grain"


def choose(
    part: Part, options: Sequence[Place], n: int, around_centre: bool, standing: Sequence[Tab] = ()
) -> list[Place] | None:
    """The best places, so that with the tabs that stand already there are n (or more, if it takes more to
    surround the part's centroid); None when no set qualifies."""
    at = polygon(part.laid.outline, part.laid.holes).centroid
    points = np.array([(t.x, t.y) for t in (*standing, *(c.tab for c in options))]).reshape(-1, 2)
    costs = np.array([STANDING] * len(standing) + [RELAXATIONS[c.relaxed] for c in options])
    apart = 2.0 * part.footprint
    if len(standing) > 1:  # they stay, however near to each other they were put
        apart = min(apart, least_distance(points[: len(standing)]))
    for total in range(max(n, len(standing)), max(n, len(standing) + 1) + 1):
        around = (at.x, at.y) if around_centre and total > 2 else None
        picked = spread_cheaply(Places(points, costs, apart), total, around)
        if picked is not None:
            return [options[i - len(standing)] for i in picked if i >= len(standing)]
        if not standing:
            return None
    return None
