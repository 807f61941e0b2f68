# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The drops of openings: big ones stay by tabs of their own, all others are milled to chips.

An opening without a tab on it is milled away completely (cutting/profile.py), so no drop is ever loose.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from flatwright.bits.choose import PanelBits
from flatwright.bits.reach import leaves_drop
from flatwright.findings import Finding, declare, finding
from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import polygon
from flatwright.holding.edges import edges
from flatwright.holding.force import TabSize
from flatwright.holding.ground import Ground
from flatwright.holding.places import Part, Place, choose, footprint, rule, tab_at
from flatwright.plan import Sheet, Tab
from flatwright.presets.model import Bit, Preset

declare("error", holding__loose_drop="a part lies in a drop that no tab can hold")
declare("note", holding__drop_milled="a big drop is milled to chips, because no tab can hold it")

ON = 0.01  # mm: a tab this near to a loop stands on it
DROP_TABS = 2  # a drop is waste: it only has to lie still


def hold_drops(
    part: Part,
    bits: PanelBits,
    ground: Ground,
    sheet: Sheet,
    preset: Preset,
    put: Sequence[Tab] = (),
    complete: bool = False,
) -> tuple[list[Tab], list[Finding]]:
    """Tabs for the big drops of one part, in sheet coordinates: those that were `put` by hand, which are
    all if they are `complete`, else more in openings that have none of these."""
    tabs = list(put)
    findings: list[Finding] = []
    for k, (hole, bit) in enumerate(zip(part.laid.holes, bits.holes, strict=True)):
        if bit is None or not leaves_drop(hole, bit.cut):
            continue
        if any(min(s.distance((t.x, t.y)) for s in hole.segments()) < ON for t in put):
            continue
        chosen = [] if complete else _choose(part, k, hole, bit, ground, preset)
        tabs += [c.tab for c in chosen]
        if not chosen:
            findings.append(_not_held(part, k, hole, ground, sheet, complete))
    return tabs, findings


def _choose(part: Part, k: int, hole: Outline, bit: Bit, ground: Ground, preset: Preset) -> list[Place]:
    half = footprint(preset, bit, TabSize(part.length, part.height, DROP_TABS, 0.0))
    options = [
        Place(tab_at(part.panel.name, edge, s, part.length, part.height), rule(edge))
        for edge in edges(hole, k + 1, (*part.keep_clear, *part.mating), half, part.fibres)
        for s in edge.stations()
        if ground.firm(part.panel.name, edge, s, part.length, bit.cut + preset.entries.finish_allowance)
    ]
    return choose(replace(part, footprint=half), options, DROP_TABS, around_centre=False) or []


def _not_held(part: Part, k: int, hole: Outline, ground: Ground, sheet: Sheet, complete: bool) -> Finding:
    name = part.panel.name
    why = "it has no tab by hand" if complete else "no edge of the opening has room for a tab"
    where = f"{sheet.name}, {name}, opening {k + 1}"
    inside = polygon(hole.ccw())
    guests = [n for n, p in ground.laid.items() if n != name and inside.covers(polygon(p.outline))]
    if guests:
        return finding(
            "holding.loose-drop",
            where,
            f"{why}, and {', '.join(guests)} lies in its drop",
            "Set layout.parts_in_drops to false, put a tab there by hand, or allow shorter tabs.",
            panels=[name, *guests],
            sheet=sheet.name,
        )
    return finding(
        "holding.drop-milled",
        where,
        f"{why if complete else 'no free edge of the opening has room for two tabs'}, so its drop is milled "
        "to chips",
        "Allow shorter tabs if the drop is wanted or the time is too long.",
        panels=[name],
        sheet=sheet.name,
    )
