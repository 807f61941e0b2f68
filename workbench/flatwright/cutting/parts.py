# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Every cut of every part of one sheet, not yet in order: one `Cut` for each part, kind and bit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from flatwright.bits.choose import PanelBits
from flatwright.bits.reach import leaves_drop
from flatwright.cutting.cut import Cut
from flatwright.cutting.holes import bore
from flatwright.cutting.lay import Lay
from flatwright.cutting.loops import Made, cleared, pockets, profiled
from flatwright.findings import Finding
from flatwright.geometry.outline import Outline, is_circle
from flatwright.geometry.parallel import distances
from flatwright.geometry.polygon import polygon
from flatwright.holding.without_tabs import drop_stays
from flatwright.plan import Panel, Sheet, Tab, placed
from flatwright.presets.model import Preset

ON_EDGE = 0.05  # mm: how far a tab's point may lie from the edge that it stands on


def cut_parts(
    sheet: Sheet,
    panels: Mapping[str, Panel],
    bits: Mapping[str, PanelBits],
    preset: Preset,
    *,
    tabs: Sequence[Tab],
    smallest: float,
    largest: float,
) -> tuple[tuple[Cut, ...], list[Finding]]:
    """The cuts of one sheet, in sheet coordinates with z from the bed.

    `smallest` and `largest` are the extremes of the board's thickness, mm. Loops whose bit is None are
    left out: they have their error from `choose_bits`.
    """
    cuts: list[Cut] = []
    findings: list[Finding] = []
    guests = _guests(sheet, panels)
    for p in sheet.placements:
        own = tuple(t for t in tabs if t.panel == p.panel)
        lay = Lay(panels[p.panel], p, bits[p.panel], sheet, preset, (smallest, largest), own)
        made, found = _cut_part(lay)
        area = lay.panel.outline.area()
        inner = guests.get(p.panel, frozenset())
        cuts += [Cut(kind, p.panel, bit, tuple(f), area, inner) for (kind, bit), f in made.items() if f]
        findings += found
    return tuple(cuts), findings


def _guests(sheet: Sheet, panels: Mapping[str, Panel]) -> dict[str, frozenset[str]]:
    """For each part the parts that lie in its openings."""
    woods = {p.panel: polygon(placed(panels[p.panel].outline, p)) for p in sheet.placements}
    spots = {n: w.representative_point() for n, w in woods.items()}
    return {
        n: frozenset(g for g, at in spots.items() if g != n and woods[g].area < w.area and w.contains(at))
        for n, w in woods.items()
    }


def _cut_part(lay: Lay) -> tuple[Made, list[Finding]]:
    made: Made = {}
    findings: list[Finding] = []
    preset = lay.preset
    loops = [lay.loop(lay.panel.outline), *(lay.loop(h) for h in lay.panel.holes)]
    standing, findings = _assigned(lay, loops)
    for k, (hole, bit) in enumerate(zip(loops[1:], lay.bits.holes, strict=True), 1):
        if bit is None:
            continue
        setup = lay.setup(bit)
        circle = is_circle(hole)
        if circle is not None and not leaves_drop(hole, bit.cut):
            made.setdefault(("hole", bit), []).append((bore(*circle, setup, lay.bottom),))
        elif standing[k] or (leaves_drop(hole, bit.cut) and drop_stays(hole, bit, lay.panel.board, preset)):
            findings += profiled(lay, "inside", hole, bit, standing[k], made, f"opening {k}")
        else:
            findings += cleared(lay, "inside", hole, bit, lay.bottom, made, f"opening {k}")
    findings += pockets(lay, made)
    if lay.bits.outline is not None:
        findings += profiled(lay, "outside", loops[0], lay.bits.outline, standing[0], made, "outline")
    return made, findings


def _assigned(lay: Lay, loops: Sequence[Outline]) -> tuple[list[list[Tab]], list[Finding]]:
    """Which tabs stand on which loop, and an error for those that stand on none."""
    standing: list[list[Tab]] = [[] for _ in loops]
    findings: list[Finding] = []
    for t in lay.tabs:
        at = np.array([(t.x, t.y)])
        far = [float(distances(at, o.segments())[0]) for o in loops]
        k = int(np.argmin(far))
        if far[k] <= ON_EDGE:
            standing[k].append(t)
        else:
            findings.append(
                lay.trouble(
                    "cutting.tab-off-edge",
                    f"tab at x {t.x:.1f}, y {t.y:.1f} mm",
                    f"this tab stands {far[k]:.2f} mm off the nearest edge of {lay.panel.name}",
                    "Move the tab onto an edge of its part.",
                )
            )
    return standing, findings
