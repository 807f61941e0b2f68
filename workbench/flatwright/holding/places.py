# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The places on a laid part where a tab could stand, each with the rule that it breaks, if any."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.geometry.arcs import Segment
from flatwright.geometry.polygon import polygon
from flatwright.holding.edges import Edge, edges, on_sheet
from flatwright.holding.force import TabSize
from flatwright.holding.ground import Ground, Laid, direction
from flatwright.holding.spread import Places, spread_cheaply
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
}


STANDING = -1e5  # a tab that a neighbour's bridge has put here already is always one of the set


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """A tab that could be; `twin` is the neighbour's tab that a bridge needs."""

    tab: Tab
    relaxed: str
    twin: Tab | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A laid panel with what its tabs depend on; `footprint` is half of the edge that a tab takes, `bear`
    the force that all of them together must bear, N."""

    panel: Panel
    laid: Laid
    keep_clear: tuple[Segment, ...]
    length: float
    height: float
    footprint: float
    wanted: int
    bear: float
    fibres: float
    edges: tuple[Edge, ...]


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
    laid: Laid,
    size: TabSize,
) -> Part:
    """All that place_tabs needs to know of one part; `keep_clear` in panel coordinates."""
    half = footprint(preset, bit, size)
    clear = tuple(on_sheet(keep_clear, placement))
    found = tuple(edges(laid.outline, 0, clear, half, fibres(sheet)))
    return Part(
        panel, laid, clear, size.length, size.height, half, size.wanted, size.bear, fibres(sheet), found
    )


def places(part: Part, ground: Ground, facing: Mapping[str, Sequence[Edge]]) -> list[Place]:
    """Where the part could be tabbed: to firm wood, or to a neighbour; `facing` has all parts' edges."""
    name = part.panel.name
    out: list[Place] = []
    for edge in part.edges:
        for s in edge.stations():
            tab = tab_at(name, edge, s, part.length, part.height)
            if ground.firm(name, edge, s, part.length, part.laid.diameter):
                out.append(Place(tab, rule(edge)))
            elif edge.segment.is_line and (bridge := ground.bridge(name, edge, s, facing)) is not None:
                x, y = (round(v, 6) for v in bridge.point)
                twin = Tab(bridge.name, x, y, bridge.angle, part.length, part.height)
                out.append(Place(tab, rule(edge, True), twin))
    return out


def tab_at(name: str, edge: Edge, station: float, length: float, height: float) -> Tab:
    """A tab whose middle is at a station of the edge."""
    (x, y), _ = edge.at(station)
    return Tab(name, round(x, 6), round(y, 6), direction(edge, station), length, height)


def rule(edge: Edge, bridge: bool = False) -> str:
    """The rule that a tab on this edge breaks: a key of RELAXATIONS."""
    if not edge.segment.is_line:
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
    for total in range(max(n, len(standing)), max(n, len(standing) + 1) + 1):
        around = (at.x, at.y) if around_centre and total > 2 else None
        picked = spread_cheaply(Places(points, costs, 2.0 * part.footprint), total, around)
        if picked is not None:
            return [options[i - len(standing)] for i in picked if i >= len(standing)]
        if not standing:
            return None
    return None
