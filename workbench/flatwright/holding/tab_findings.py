# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What there is to say of a part's tabs: rules that were relaxed, too few of them, too weak, none."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.polygon import polygon
from flatwright.holding.edges import CORNER, GENTLE, LEAST
from flatwright.holding.force import board_of, tab_strength
from flatwright.holding.ground import FIRM, THIN, Ground
from flatwright.holding.places import DRESS, Part, Place
from flatwright.holding.spread import surrounds
from flatwright.plan import Sheet, Tab
from flatwright.presets.model import Preset

declare(
    "error",
    holding__no_tab="a part has no place for any tab",
    holding__all_tabs_taken="all tabs of a part were taken away by hand: it comes loose",
    holding__leans_on_loose="a tab put by hand is a bridge to a part that nothing holds",
)
declare(
    "warning",
    holding__dress_edge="tabs stand on an edge of a joint, which must be dressed flush before assembly",
    holding__tabs_relaxed="the rules for tabs were relaxed for a part",
    holding__hand_tabs="the tabs put by hand on a part are too few, or do not surround its middle",
    holding__thin_waste="the tabs of a slender part end in a thin strip of waste that bends with it",
    holding__weak="a part's tabs bear less than the asked-for multiple of the cutting force",
    holding__without_tabs="the preset asks for no tabs, so nothing holds the parts at their edges",
)

STIFF = 20.0  # mm: a strip of waste as wide holds slender parts (common practice, no source)


def weak(one: Part, tabs: Sequence[Tab], sheet: Sheet, preset: Preset) -> list[Finding]:
    """A warning when all tabs of a part together bear less than the factor over the cutting force."""
    board = board_of(preset, sheet.board)
    mine = [t for t in tabs if t.panel == one.panel.name]
    hold = sum(tab_strength(t.length, t.height, _runs(t, one), one.panel.thickness, board) for t in mine)
    if not mine or hold >= one.bear - 1e-6:
        return []
    force = one.bear / preset.holding.tabs.factor
    sizes = " and ".join(f"{a:g} by {b:.2f}" for a, b in sorted({(t.length, t.height) for t in mine}))
    return [
        finding(
            "holding.weak",
            f"{sheet.name}, {one.panel.name}",
            f"its {len(mine)} tabs of {sizes} mm bear about {hold:.0f} N by the plies "
            f"that run across them; the cut pulls with {force:.0f} N, and {one.bear:.0f} N are asked for",
            "Ask for longer or higher tabs or for more of them, take shallower passes, or hold the "
            "part by an onion skin or with a screw in its waste.",
            panels=[one.panel.name],
            sheet=sheet.name,
        )
    ]


def _runs(tab: Tab, one: Part) -> Literal["along", "across"]:
    """How the tab's edge runs to the fibres."""
    off = math.radians(tab.angle) - one.fibres
    return "along" if abs(math.sin(off)) <= math.sin(math.radians(45.0)) else "across"


def to_dress(one: Part, tabs: Sequence[Tab], sheet: Sheet) -> list[Finding]:
    """A warning when stubs would stand in the way of a joint."""
    mine = [t for t in tabs if t.panel == one.panel.name and t.dress]
    if not mine:
        return []
    places = ", ".join(f"({t.x:.0f}, {t.y:.0f})" for t in mine)
    return [
        finding(
            "holding.dress-edge",
            f"{sheet.name}, {one.panel.name}",
            f"{len(mine)} of its tabs, at {places}, stand on an edge that goes into a joint",
            "Dress that edge flush before assembling, or leave more of the part's edge free of mates.",
            panels=[one.panel.name],
            sheet=sheet.name,
        )
    ]


def relaxed(
    one: Part, chosen: Sequence[Place], stage: int, tabs: Sequence[Tab], sheet: Sheet, spacing: float
) -> list[Finding]:
    broken = [w for w in dict.fromkeys(c.relaxed for c in chosen) if w and w != DRESS]
    said = [f"{sum(c.relaxed == w for c in chosen)} of its tabs {w}" for w in broken]
    count = sum(t.panel == one.panel.name for t in tabs)
    if count < one.wanted:
        said.append(f"only {count} of {one.wanted} tabs")
    if stage == 1:
        said.append("they do not surround its middle")
    if not said:
        return []
    return [
        finding(
            "holding.tabs-relaxed",
            f"{sheet.name}, {one.panel.name}",
            f"too few edges qualify for tabs: {'; '.join(said)}",
            _remedy(one, spacing),
            panels=[one.panel.name],
            sheet=sheet.name,
        )
    ]


def _remedy(one: Part, spacing: float) -> str:
    """More spacing where it would leave firm wood between two parts, else what is left to try."""
    wanted = 2.0 * one.laid.diameter + FIRM + 0.1
    room = f"Lay the parts out with {wanted:.1f} mm of spacing or more, a" if spacing < wanted else "A"
    if one.edges != one.all_edges:
        return room + "llow shorter tabs, or leave more of the part's edge free of mates."
    edge = math.ceil(2.0 * (one.footprint + CORNER))
    return room + f"llow shorter tabs, or draw straight edges of {edge} mm that run with the grain."


def no_tab(one: Part, sheet: Sheet) -> Finding:
    return finding(
        "holding.no-tab",
        f"{sheet.name}, {one.panel.name}",
        f"no edge has room for a tab: it takes {math.ceil(2.0 * (one.footprint + LEAST))} mm of free edge "
        f"between corners (with the bit's width and the slopes), straight or on a curve of {GENTLE:g} mm "
        f"radius or more, and {one.laid.diameter + FIRM:.1f} mm of wood beyond",
        "Allow shorter or square-ended tabs in the preset, give the layout more spacing, take a narrower "
        "bit, hold the sheet's parts by an onion skin, or draw the part with a strip of waste to hold it.",
        panels=[one.panel.name],
        sheet=sheet.name,
    )


def thin_waste(one: Part, ground: Ground, sheet: Sheet) -> list[Finding]:
    """A warning for a slender part beside others as slender: nothing stiff is there to hold it."""
    if not one.slender or not ground.alongside(one.panel.name):
        return []
    spacing = 2.0 * one.laid.diameter + STIFF
    return [
        finding(
            "holding.thin-waste",
            f"{sheet.name}, {one.panel.name}",
            f"it is slender, and a strip of waste of less than {THIN:g} mm is all that is left between it "
            "and its neighbour: tabs there end in wood that bends with it",
            f"Lay such parts out with {spacing:.0f} mm of spacing or more, or hold the sheet by an onion "
            "skin.",
            panels=[one.panel.name],
            sheet=sheet.name,
        )
    ]


def without_tabs(sheet: Sheet) -> Finding:
    return finding(
        "holding.without-tabs",
        sheet.name,
        "the preset's holding method has no tabs: each part is loose once its outline is cut",
        'Add "tabs" to holding.method in the preset, unless something else holds the parts.',
        sheet=sheet.name,
    )


def taken_away(one: Part, sheet: Sheet) -> Finding:
    """All its tabs were taken away by hand."""
    return finding(
        "holding.all-tabs-taken",
        f"{sheet.name}, {one.panel.name}",
        "all its tabs were taken away by hand: it comes loose at its last cut",
        "Put tabs on it, or leave them to the rules.",
        panels=[one.panel.name],
        sheet=sheet.name,
    )


def leans_on_loose(one: Part, place: Place, sheet: Sheet) -> Finding:
    """A hand tab bridges to a part that holds on nothing firm itself."""
    neighbour = place.twin.panel if place.twin is not None else ""
    return finding(
        "holding.leans-on-loose",
        f"{sheet.name}, {one.panel.name}",
        f"the tab put by hand at ({place.tab.x:.0f}, {place.tab.y:.0f}) is a bridge to {neighbour}, which no "
        "tab holds on firm wood",
        "Put it where it ends in the sheet, or give the neighbour a tab there.",
        panels=[one.panel.name, neighbour],
        sheet=sheet.name,
    )


def by_hand(one: Part, tabs: Sequence[Tab], sheet: Sheet) -> list[Finding]:
    """What the rules would have asked of tabs that were all put by hand."""
    mine = [t for t in tabs if t.panel == one.panel.name]
    if not mine:
        return [taken_away(one, sheet)]
    said = [f"they are {len(mine)}, where the rules ask for {one.wanted}"] if len(mine) < one.wanted else []
    if not _around(one, mine):
        said.append("they do not surround its middle")
    if not said:
        return []
    return [
        finding(
            "holding.hand-tabs",
            f"{sheet.name}, {one.panel.name}",
            f"of its tabs, put by hand: {'; '.join(said)}",
            "Add or move tabs so that the part cannot swing on them, or leave them to the rules.",
            panels=[one.panel.name],
            sheet=sheet.name,
        )
    ]


def _around(one: Part, tabs: Sequence[Tab]) -> bool:
    """Whether the middle of a part lies within the hull of its tabs."""
    if len(tabs) < 3:
        return False
    middle = polygon(one.laid.outline, one.laid.holes).centroid
    return surrounds(np.array([(t.x, t.y) for t in tabs]), (middle.x, middle.y))
