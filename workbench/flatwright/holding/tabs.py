# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs: bridges of wood that hold every part, and every big drop, until the operator frees it.

A tab stands on a straight edge that runs with the grain, off joints and everything in `keep_clear`, and
ends in firm wood. Where too few places qualify the rules are relaxed in the order of
`places.RELAXATIONS`, edges of joints last (a stub is soon dressed, a loose part is not soon mended), and
the one before it distance from a corner; then the tabs need no longer surround the part's centroid, then
there are fewer of them; a finding says so. Among equals the tabs stand as far apart as they can. The
fibres are the sheet's: the layout has turned the parts to them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from flatwright.bits.choose import PanelBits
from flatwright.edits.tabs import HandTabs
from flatwright.findings import Finding
from flatwright.geometry.arcs import Segment
from flatwright.holding.by_hand import Put, idle, put_tabs
from flatwright.holding.drops import hold_drops
from flatwright.holding.force import TabSize, tab_size
from flatwright.holding.ground import Ground
from flatwright.holding.places import Options, Part, Place, choose, lie, part
from flatwright.holding.tab_findings import (
    by_hand,
    leans_on_loose,
    no_tab,
    relaxed,
    thin_waste,
    to_dress,
    weak,
    without_tabs,
)
from flatwright.holding.without_tabs import check_hold, part_stays
from flatwright.plan import Panel, Sheet, Tab
from flatwright.presets.model import Preset

SAME = 1.0  # mm: tabs of a part this close to each other are one


def place_tabs(
    sheet: Sheet,
    panels: Mapping[str, Panel],
    bits: Mapping[str, PanelBits],
    preset: Preset,
    keep_clear: Mapping[str, Sequence[Segment]],
    mating: Mapping[str, Sequence[Segment]],
    hand: Mapping[str, HandTabs] | None = None,
) -> tuple[tuple[Tab, ...], list[Finding]]:
    """Tabs for every part of a sheet and for the drops of its big openings.

    By panel name, in panel coordinates, `keep_clear` holds what no tab may touch, `mating` the edges that
    take part in a joint, `hand` the tabs that were put by hand. A panel whose outline has no bit is left out
    (it has its error already).
    """
    hand = {p.panel: hand[p.panel] for p in sheet.placements if hand and p.panel in hand}
    tabbed = {
        p.panel
        for p in sheet.placements
        if (bit := bits[p.panel].outline) is not None
        and (p.panel in hand or not part_stays(panels[p.panel], bit, sheet.board, preset))
    }
    laid = {
        p.panel: lie(panels[p.panel], p, bit.cut + preset.entries.finish_allowance)
        for p in sheet.placements
        if (bit := bits[p.panel].outline) is not None
    }
    if "tabs" not in preset.holding.method:
        held = {"onion skin", "vacuum"} & set(preset.holding.method)
        found = check_hold(sheet, panels, bits, preset)
        found = found or ([without_tabs(sheet)] if laid and not held else [])
        return (), [*found, *idle(sheet, list(hand))]
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
    facing = {n: p.edges for n, p in parts.items()}
    placements = {p.panel: p for p in sheet.placements}
    put = {
        n: put_tabs(parts[n], h, placements[n], bits[n], ground, facing, sheet, preset)
        for n, h in hand.items()
        if n in parts
    }
    complete = {n for n in put if hand[n].only}
    tabs, findings = _hold(parts, put, complete, Options.of(parts, ground, facing), sheet, preset)
    findings += [f for one in parts.values() for f in weak(one, tabs, sheet, preset)]
    findings += [f for one in parts.values() for f in thin_waste(one, ground, sheet)]
    for name, one in parts.items():
        there = put[name].holes if name in put else ()
        more, found = hold_drops(one, bits[name], ground, sheet, preset, there, name in complete)
        tabs += more
        findings += found
    findings += [f for one in parts.values() for f in to_dress(one, tabs, sheet)]
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


def _hold(
    parts: Mapping[str, Part],
    put: Mapping[str, Put],
    complete: set[str],
    options: Mapping[str, Options],
    sheet: Sheet,
    preset: Preset,
) -> tuple[list[Tab], list[Finding]]:
    """What was put by hand; then parts that reach firm wood, leaning on each other if need be; then those
    that lean on them. `complete` are the parts that get no more than what was put."""
    held = {
        n
        for n in parts
        if any(c.twin is None for some in ([put[n].outline] if n in complete else options[n]) for c in some)
    }
    tabs, findings = _as_put(parts, put, complete, held, sheet)
    waiting = {n: p for n, p in parts.items() if n not in complete}
    stage = 0  # 0: all rules; 1: not around the centroid; 2, 3, …: one tab fewer each
    while waiting and stage <= max(p.wanted for p in waiting.values()):
        found = _next(waiting, options, held, tabs, stage)
        if found is None:
            stage += 1
            continue
        one, chosen = found
        tabs += [t for c in chosen for t in (c.tab, c.twin) if t is not None]
        findings += relaxed(one, chosen, stage, tabs, sheet, preset.layout.spacing)
        held.add(one.panel.name)
        del waiting[one.panel.name]
        stage = 0
    findings += [no_tab(p, sheet) for p in waiting.values()]
    return tabs, findings


def _as_put(
    parts: Mapping[str, Part], put: Mapping[str, Put], complete: set[str], held: set[str], sheet: Sheet
) -> tuple[list[Tab], list[Finding]]:
    """The tabs put by hand on outlines, with what there is to say of them."""
    tabs = [c.tab for p in put.values() for c in p.outline]
    twins = [c.twin for p in put.values() for c in p.outline if c.twin is not None]
    for twin in twins:  # unless one was put there by hand as well
        if all(t.panel != twin.panel or math.dist((t.x, t.y), (twin.x, twin.y)) > SAME for t in tabs):
            tabs.append(twin)
    findings = [f for p in put.values() for f in p.findings]
    for name, p in put.items():
        loose = [c for c in p.outline if c.twin is not None and c.twin.panel not in held]
        findings += [leans_on_loose(parts[name], c, sheet) for c in loose]
        findings += by_hand(parts[name], tabs, sheet) if name in complete else []
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
    return all(
        math.dist((m.x, m.y), (t.x, t.y)) >= _room(one, t) - 1e-6
        for m in mine
        for t in tabs
        if t.panel == m.panel
    )


def _room(one: Part, other: Tab) -> float:
    """From the middle of a part's own tab to that of another one, mm, which may be longer or higher."""
    longer, higher = other.length - one.length, other.height - one.height
    return 2.0 * one.footprint + max(0.0, longer / 2.0) + max(0.0, higher)
