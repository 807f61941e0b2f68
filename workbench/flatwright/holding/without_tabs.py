# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What holds parts in place of tabs: a vacuum bed by friction, a skin of wood left under them, or both.

A vacuum must hold each part, cut free, against the force of its last pass; together with a skin that
pass takes the skin alone. A skin is counted like a tab: only fibres that cross the edge hold, and it is
thinner than the face veneer, so edges along the grain count for nothing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from flatwright.bits.choose import PanelBits
from flatwright.bits.figures import figures, full_slot
from flatwright.findings import Finding, declare, finding
from flatwright.geometry.outline import Outline
from flatwright.holding.force import SHEAR_STRENGTH, side_hold, vacuum_force
from flatwright.plan import Panel, Placement, Sheet, placed
from flatwright.presets.model import Bit, Preset

declare("error", holding__vacuum_weak="the vacuum does not hold a part against its last cut")
declare("warning", holding__skin_weak="a skin bears less than the asked-for multiple of the cutting force")

FLAT = 0.1  # mm: how finely arcs are followed for the width of a part across the grain


def skin_left(preset: Preset) -> float:
    """Thickness of the skin that stays for the hand, mm; 0 where none is asked for or a vacuum holds."""
    method = preset.holding.method
    return preset.holding.onion_skin.thickness if "onion skin" in method and "vacuum" not in method else 0.0


def skin_last(preset: Preset) -> float:
    """Thickness of the skin that the last pass takes on a vacuum bed, mm; 0 for none."""
    asked = {"onion skin", "vacuum"} <= set(preset.holding.method)
    return preset.holding.onion_skin.thickness if asked else 0.0


def last_force(bit: Bit, board: str | None, preset: Preset) -> float:
    """Force of the pass that frees a part, N."""
    feed, skin = preset.feed(bit.number, board), skin_last(preset)
    if skin <= 0.0:
        return full_slot(bit, feed).force
    return figures(bit, feed, bit.cut, skin + preset.machine.overcut).force


def vacuum_holds(area: float, bit: Bit, board: str | None, preset: Preset) -> bool:
    """Whether friction under a free piece of `area` mm² bears the asked-for multiple of its last cut."""
    if "vacuum" not in preset.holding.method:
        return False
    return _friction(area, preset) >= preset.holding.vacuum.factor * last_force(bit, board, preset)


def drop_stays(hole: Outline, bit: Bit, board: str | None, preset: Preset) -> bool:
    """Whether the drop of an opening lies still without tabs: on a skin, or by vacuum."""
    kerf = 2.0 * bit.cut
    x0, y0, x1, y1 = hole.bounds()
    area = max(0.0, abs(hole.area()) - kerf * ((x1 - x0) + (y1 - y0)))
    return skin_left(preset) > 0.0 or vacuum_holds(area, bit, board, preset)


def part_stays(panel: Panel, bit: Bit, board: str | None, preset: Preset) -> bool:
    """Whether a part needs no tabs."""
    return skin_left(preset) > 0.0 or vacuum_holds(_area(panel), bit, board, preset)


def check_hold(
    sheet: Sheet, panels: Mapping[str, Panel], bits: Mapping[str, PanelBits], preset: Preset
) -> list[Finding]:
    """What a vacuum or a skin cannot hold, where there are no tabs for it."""
    out: list[Finding] = []
    by_vacuum = "vacuum" in preset.holding.method and "tabs" not in preset.holding.method
    for p in sheet.placements:
        bit = bits[p.panel].outline
        if bit is None:
            continue
        panel = panels[p.panel]
        if skin_left(preset) > 0.0:
            out += _weak_skin(sheet, panel, p, bit, preset)
        elif by_vacuum and not part_stays(panel, bit, sheet.board, preset):
            out.append(_weak_vacuum(sheet, panel, bit, preset))
    return out


def across_grain(outline: Outline, fibres: float) -> float:
    """How much of an outline runs across the fibres: Σ of its pieces' lengths across them, mm."""
    ux, uy = math.cos(fibres), math.sin(fibres)
    total = 0.0
    for s in outline.segments():
        points = [*s.flattened(FLAT), s.q]
        total += sum(
            abs(ux * (b[1] - a[1]) - uy * (b[0] - a[0])) for a, b in zip(points, points[1:], strict=False)
        )
    return total


def _area(panel: Panel) -> float:
    return abs(panel.outline.area()) - sum(abs(h.area()) for h in panel.holes)


def _friction(area: float, preset: Preset) -> float:
    v = preset.holding.vacuum
    return side_hold(vacuum_force(v.pressure, area / 1e6), v.friction)


def _weak_vacuum(sheet: Sheet, panel: Panel, bit: Bit, preset: Preset) -> Finding:
    area, factor = _area(panel), preset.holding.vacuum.factor
    hold, force = _friction(area, preset), last_force(bit, sheet.board, preset)
    return finding(
        "holding.vacuum-weak",
        f"{sheet.name}, {panel.name}",
        f"{preset.holding.vacuum.pressure:g} kPa on {area / 100.0:.0f} cm² hold it with {hold:.0f} N by "
        f"friction; its last cut pulls with {force:.0f} N, and {factor:g} times that is asked for",
        'Add "tabs" to holding.method (only parts that the vacuum cannot hold get them), or "onion skin" '
        "for a lighter last pass.",
        panels=[panel.name],
        sheet=sheet.name,
    )


def _weak_skin(sheet: Sheet, panel: Panel, placement: Placement, bit: Bit, preset: Preset) -> list[Finding]:
    fibres = 0.0 if sheet.grain == "length" else math.pi / 2.0
    across = across_grain(placed(panel.outline, placement), fibres)
    hold = SHEAR_STRENGTH * across * skin_left(preset)
    bear = preset.holding.tabs.factor * full_slot(bit, preset.feed(bit.number, sheet.board)).force
    if hold >= bear:
        return []
    return [
        finding(
            "holding.skin-weak",
            f"{sheet.name}, {panel.name}",
            f"a skin of {skin_left(preset):g} mm bears about {hold:.0f} N over the {across:.0f} mm of "
            "its edge "
            f"that run across the grain; {bear:.0f} N are asked for",
            "Leave a thicker skin, or hold this sheet by tabs.",
            panels=[panel.name],
            sheet=sheet.name,
        )
    ]
