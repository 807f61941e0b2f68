# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs: bridges of wood that hold every part, and every big drop, until the operator frees it.

A tab stands on a straight edge that runs with the grain, off joints and everything in `keep_clear`, and
ends in firm wood. Where too few places qualify the rules are relaxed in the order of
`places.RELAXATIONS`, edges of joints last (a stub is soon dressed, a loose part is not soon mended), then
the tabs need no longer surround the part's centroid, then there are fewer of them; a finding says
so. Among equals the tabs stand as far apart as they can. The fibres are the sheet's: the layout has
turned the parts to them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

from flatwright.bits.choose import PanelBits
from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Segment
from flatwright.holding.drops import hold_drops
from flatwright.holding.force import TabSize, board_of, tab_size, tab_strength
from flatwright.holding.ground import FIRM, Ground
from flatwright.holding.places import DRESS, Options, Part, Place, choose, lie, part
from flatwright.holding.without_tabs import check_hold, part_stays
from flatwright.plan import Panel, Sheet, Tab
from flatwright.presets.model import Preset

declare("error", holding__no_tab="a part has no place for any tab")
declare(
    "warning",
    holding__dress_edge="tabs stand on an edge of a joint, which must be dressed flush before assembly",
    holding__tabs_relaxed="the rules for tabs were relaxed for a part",
    holding__weak="a part's tabs bear less than the asked-for multiple of the cutting force",
    holding__without_tabs="the preset asks for no tabs, so nothing holds the parts at their edges",
)


def place_tabs(
    sheet: Sheet,
    panels: Mapping[str, Panel],
    bits: Mapping[str, PanelBits],
    preset: Preset,
    keep_clear: Mapping[str, Sequence[Segment]],
    mating: Mapping[str, Sequence[Segment]],
) -> tuple[tuple[Tab, ...], list[Finding]]:
    """Tabs for every part of a sheet and for the drops of its big openings.

    By panel name, in panel coordinates, `keep_clear` holds what no tab may touch, `mating` the edges that
    take part in a joint. A panel whose outline has no bit is left out (it has its error already).
    """
    tabbed = {
        p.panel
        for p in sheet.placements
        if (bit := bits[p.panel].outline) is not None
        and not part_stays(panels[p.panel], bit, sheet.board, preset)
    }
    laid = {
        p.panel: lie(panels[p.panel], p, bit.cut + preset.entries.finish_allowance)
        for p in sheet.placements
        if (bit := bits[p.panel].outline) is not None
    }
    weak = check_hold(sheet, panels, bits, preset)
    if "tabs" not in preset.holding.method:
        held = {"onion skin", "vacuum"} & set(preset.holding.method)
        return (), weak or ([_without_tabs(sheet)] if laid and not held else [])
    sizes = _sizes(sheet, panels, bits, preset)
    parts: dict[str, Part] = {}
    for p in sheet.placements:
        bit = bits[p.panel].outline
        if bit is not None and p.panel in tabbed:
            clear, joined = keep_clear.get(p.panel, ()), mating.get(p.panel, ())
            parts[p.panel] = part(
                panels[p.panel], p, bit, sheet, preset, clear, joined, laid[p.panel], sizes[p.panel]
            )
    ground = Ground(sheet.size, laid)
    tabs, findings = _hold(parts, ground, sheet, preset.layout.spacing)
    findings += [f for one in parts.values() for f in _weak(one, tabs, sheet, preset)]
    findings += [f for one in parts.values() for f in _to_dress(one, tabs, sheet)]
    for name, one in parts.items():
        more, found = hold_drops(one, bits[name], ground, sheet, preset)
        tabs += more
        findings += found
    return tuple(tabs), findings


def _sizes(
    sheet: Sheet, panels: Mapping[str, Panel], bits: Mapping[str, PanelBits], preset: Preset
) -> dict[str, TabSize]:
    """The size of each part's tabs; one length for the sheet, so that a bridge suits both its parts."""
    sizes = {
        p.panel: tab_size(bit, sheet.board, panels[p.panel].thickness, preset)
        for p in sheet.placements
        if (bit := bits[p.panel].outline) is not None
    }
    longest = max((s.length for s in sizes.values()), default=0.0)
    return {n: replace(s, length=longest) for n, s in sizes.items()}


def _weak(one: Part, tabs: Sequence[Tab], sheet: Sheet, preset: Preset) -> list[Finding]:
    """A warning when all tabs of a part together bear less than the factor over the cutting force."""
    board = board_of(preset, sheet.board)
    mine = [t for t in tabs if t.panel == one.panel.name]
    hold = sum(tab_strength(t.length, t.height, _runs(t, one), one.panel.thickness, board) for t in mine)
    if not mine or hold >= one.bear - 1e-6:
        return []
    force = one.bear / preset.holding.tabs.factor
    return [
        finding(
            "holding.weak",
            f"{sheet.name}, {one.panel.name}",
            f"its {len(mine)} tabs of {one.length:g} by {one.height:.2f} mm bear about {hold:.0f} N by "
            "the plies "
            f"that run across them; the cut pulls with {force:.0f} N, and {one.bear:.0f} N are asked for",
            "Ask for longer or higher tabs or for more of them, take shallower passes, or hold the "
            "part by an "
            "onion skin or with a screw in its waste.",
            panels=[one.panel.name],
            sheet=sheet.name,
        )
    ]


def _runs(tab: Tab, one: Part) -> Literal["along", "across"]:
    """How the tab's edge runs to the fibres."""
    off = math.radians(tab.angle) - one.fibres
    return "along" if abs(math.sin(off)) <= math.sin(math.radians(45.0)) else "across"


def _hold(
    parts: Mapping[str, Part], ground: Ground, sheet: Sheet, spacing: float
) -> tuple[list[Tab], list[Finding]]:
    """Parts that reach firm wood first, leaning on each other if need be; then those that lean on them."""
    facing = {n: p.edges for n, p in parts.items()}
    options = {n: Options(p, ground, facing) for n, p in parts.items()}
    held = {n for n, found in options.items() if any(c.twin is None for some in found for c in some)}
    tabs: list[Tab] = []
    findings: list[Finding] = []
    waiting = dict(parts)
    stage = 0  # 0: all rules; 1: not around the centroid; 2, 3, …: one tab fewer each
    while waiting and stage <= max(p.wanted for p in waiting.values()):
        found = _next(waiting, options, held, tabs, stage)
        if found is None:
            stage += 1
            continue
        one, chosen = found
        tabs += [t for c in chosen for t in (c.tab, c.twin) if t is not None]
        findings += _relaxed(one, chosen, stage, tabs, sheet, spacing)
        held.add(one.panel.name)
        del waiting[one.panel.name]
        stage = 0
    findings += [_no_tab(p, sheet) for p in waiting.values()]
    return tabs, findings


def _next(
    waiting: Mapping[str, Part],
    options: Mapping[str, Options],
    held: set[str],
    tabs: Sequence[Tab],
    stage: int,
) -> tuple[Part, list[Place]] | None:
    for name, one in waiting.items():
        standing = [t for t in tabs if t.panel == name]
        n = max(1, one.wanted - max(0, stage - 1))
        for some in options[name]:
            free = [c for c in some if _is_free(c, one, held, tabs)]
            chosen = choose(one, free, n, stage == 0, standing)
            if chosen is not None:
                return one, chosen
    return None


def _is_free(place: Place, one: Part, held: set[str], tabs: Sequence[Tab]) -> bool:
    """Whether the place leans on nothing loose, and it and its twin keep their distance from other tabs."""
    if place.twin is not None and place.twin.panel not in held:
        return False
    mine = [place.tab] if place.twin is None else [place.tab, place.twin]
    room = 2.0 * one.footprint
    return all(
        math.dist((m.x, m.y), (t.x, t.y)) >= room - 1e-6 for m in mine for t in tabs if t.panel == m.panel
    )


def _relaxed(
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


def _to_dress(one: Part, tabs: Sequence[Tab], sheet: Sheet) -> list[Finding]:
    """A warning when stubs would stand in the way of a joint."""
    mine = [t for t in tabs if t.panel == one.panel.name and t.dress]
    if not mine:
        return []
    places = ", ".join(f"({t.x:.0f}, {t.y:.0f})" for t in mine)
    return [
        finding(
            "holding.dress-edge",
            f"{sheet.name}, {one.panel.name}",
            f"{len(mine)} of its tabs, at {places}, stand on an edge that "
            "goes into a joint: no other place holds it",
            "Dress that edge flush before assembling, or leave more of the part's edge free of mates.",
            panels=[one.panel.name],
            sheet=sheet.name,
        )
    ]


def _remedy(one: Part, spacing: float) -> str:
    """More spacing where it would leave firm wood between two parts, else what is left to try."""
    wanted = 2.0 * one.laid.diameter + FIRM + 0.1
    room = f"Lay the parts out with {wanted:.1f} mm of spacing or more, a" if spacing < wanted else "A"
    return room + "llow shorter tabs, or leave more of the part's edge free of mates."


def _no_tab(one: Part, sheet: Sheet) -> Finding:
    return finding(
        "holding.no-tab",
        f"{sheet.name}, {one.panel.name}",
        f"no edge has room for a tab: it takes {2 * one.footprint:.1f} mm of free straight edge "
        f"(with the bit's width and the slopes) and {one.laid.diameter + FIRM:.1f} mm of wood beyond",
        "Allow shorter or square-ended tabs in the preset, give the layout more spacing, take a narrower "
        "bit, hold the sheet's parts by an onion skin, or draw the part with a strip of waste to hold it.",
        panels=[one.panel.name],
        sheet=sheet.name,
    )


def _without_tabs(sheet: Sheet) -> Finding:
    return finding(
        "holding.without-tabs",
        sheet.name,
        "the preset's holding method has no tabs: each part is loose once its outline is cut",
        'Add "tabs" to holding.method in the preset, unless something else holds the parts.',
        sheet=sheet.name,
    )
