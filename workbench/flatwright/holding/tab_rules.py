# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the tabs of laid parts depend on besides the plan: kept with a result, so that tabs which are moved
by hand can be looked at again at once."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from flatwright.bits.choose import PanelBits
from flatwright.edits.tabs import HandTabs
from flatwright.findings import Finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import clean
from flatwright.holding.beside_screws import check_beside
from flatwright.holding.tabs import place_tabs
from flatwright.plan import Panel, Sheet, Tab
from flatwright.presets.model import Bit, Preset

DIGITS = 6  # of a mm and of a bulge


@dataclass(frozen=True, slots=True)
class TabRules:
    """Of one panel: the bits of its outline and its holes, what no tab may touch, and the edges that take
    part in a joint, in panel coordinates."""

    bits: PanelBits
    keep_clear: tuple[Segment, ...]
    mating: tuple[Segment, ...]


def placed_tabs(
    sheet: Sheet,
    panels: Mapping[str, Panel],
    rules: Mapping[str, TabRules],
    preset: Preset,
    hand: Mapping[str, HandTabs],
) -> tuple[tuple[Tab, ...], list[Finding]]:
    """The tabs of a sheet as the next run would place them, and what there is to say: also of those beside
    its screws, if it has any yet."""
    here = {p.panel: rules[p.panel] for p in sheet.placements}
    bits = {n: r.bits for n, r in here.items()}
    clear = {n: r.keep_clear for n, r in here.items()}
    tabs, findings = place_tabs(
        sheet, panels, bits, preset, clear, {n: r.mating for n, r in here.items()}, hand
    )
    return tabs, [*findings, *check_beside(replace(sheet, tabs=tabs), bits, preset)]


def dumps(rules: Mapping[str, TabRules]) -> str:
    """Compact JSON; bits by their numbers."""
    rows = {
        name: {
            "bits": [_number(b) for b in (r.bits.outline, *r.bits.holes)],
            "clear": [_row(s) for s in r.keep_clear],
            "mating": [_row(s) for s in r.mating],
        }
        for name, r in rules.items()
    }
    return json.dumps(rows, ensure_ascii=False, separators=(",", ":"))


def loads(text: str, preset: Preset) -> dict[str, TabRules]:
    """What `dumps` wrote."""
    out = {}
    for name, row in json.loads(text or "{}").items():
        outline, *holes = (None if n is None else preset.bit(n) for n in row["bits"])
        clear, mating = (_segments(row[key]) for key in ("clear", "mating"))
        out[name] = TabRules(PanelBits(outline, tuple(holes)), clear, mating)
    return out


def _number(bit: Bit | None) -> int | None:
    return None if bit is None else bit.number


def _row(s: Segment) -> list[float]:
    return [clean(v, DIGITS) for v in (*s.p, *s.q, s.b)]


def _segments(rows: Sequence[Sequence[float]]) -> tuple[Segment, ...]:
    return tuple(Segment((r[0], r[1]), (r[2], r[3]), r[4]) for r in rows)
