# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs of a few parts on a sheet."""

from __future__ import annotations

from flatwright.bits.choose import choose_bits
from flatwright.findings import Finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import rectangle
from flatwright.holding.tabs import place_tabs
from flatwright.plan import Panel, Placement, Sheet, Tab, placed
from flatwright.presets.model import Preset
from support.shopwork import panel, sheet, shop


def tabbed(
    laid: Sheet,
    *parts: Panel,
    preset: Preset | None = None,
    clear: dict[str, list[Segment]] | None = None,
    mating: dict[str, list[Segment]] | None = None,
) -> tuple[tuple[Tab, ...], list[Finding]]:
    preset = preset or shop()
    panels = {p.name: p for p in parts}
    bits = {n: choose_bits(p, preset)[0] for n, p in panels.items()}
    return place_tabs(laid, panels, bits, preset, clear or {}, mating or {})


def alone(one: Panel, angle: float = 0.0, **more: object) -> tuple[tuple[Tab, ...], list[Finding]]:
    """One part in the middle of a sheet."""
    x0, y0, _, _ = placed(one.outline, Placement(one.name, 0, 0, angle, False)).bounds()
    return tabbed(sheet(Placement(one.name, 200 - x0, 200 - y0, angle, False)), one, **more)  # type: ignore[arg-type]


def plate(w: float, h: float, name: str = "plate") -> Panel:
    return panel(name, rectangle(0, 0, w, h))
