# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs and hold-down screws keep their distance: the saw or chisel that frees a part must not meet a head.

Screws that are placed by the steps stand elsewhere where that costs no reach; of the others, and of tabs
that were put beside a screw by hand, it is told.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.bits.choose import PanelBits
from flatwright.findings import Finding, declare, finding
from flatwright.holding.screws import place_screws
from flatwright.plan import Screw, Sheet, Tab
from flatwright.presets.model import Preset

declare("warning", holding__tab_at_screw="a screw stands where a saw or chisel must get at a tab")

ROOM = 10.0  # mm from the kerf at a tab to a screw's head (common practice, no source)


def place_off_tabs(
    sheet: Sheet,
    zones: BaseGeometry,
    laid: Mapping[str, BaseGeometry],
    preset: Preset,
    bit: float,
    bits: Mapping[str, PanelBits],
) -> tuple[tuple[Screw, ...], list[Finding]]:
    """As `place_screws`, off the sheet's tabs unless less would be reached from there."""
    screws, found = place_screws(sheet, zones, laid, preset, bit)
    if not check_beside(replace(sheet, screws=screws), bits, preset):
        return screws, found
    near = shapely.union_all([_strip(t).buffer(_room(t, bits, preset) + 0.1) for t in sheet.tabs])
    others, more = place_screws(sheet, zones.difference(near), laid, preset, bit)
    return (others, more) if not more or more == found else (screws, found)


def check_beside(sheet: Sheet, bits: Mapping[str, PanelBits], preset: Preset) -> list[Finding]:
    """A warning for each tab of a sheet that a screw stands beside; `bits` by panel name."""
    out = []
    for t in sheet.tabs:
        strip, room = _strip(t), _room(t, bits, preset)
        near = [s for s in sheet.screws if round(strip.distance(shapely.Point(s.x, s.y)), 2) < room]
        out += [_told(t, s, sheet) for s in near[:1]]
    return out


def _strip(tab: Tab) -> shapely.LineString:
    """The stretch of the part's edge that the tab stands on."""
    dx, dy = (f(math.radians(tab.angle)) * tab.length / 2.0 for f in (math.cos, math.sin))
    return shapely.LineString([(tab.x - dx, tab.y - dy), (tab.x + dx, tab.y + dy)])


def _room(tab: Tab, bits: Mapping[str, PanelBits], preset: Preset) -> float:
    """From a tab's edge to the middle of a screw: kerf, room and half a head, mm."""
    mine = bits[tab.panel]
    kerf = max((b.cut for b in (mine.outline, *mine.holes) if b is not None), default=0.0)
    return kerf + preset.entries.finish_allowance + ROOM + preset.holding.fasteners.head_diameter / 2.0


def _told(tab: Tab, screw: Screw, sheet: Sheet) -> Finding:
    return finding(
        "holding.tab-at-screw",
        f"{sheet.name}, {tab.panel}",
        f"the tab at ({tab.x:.0f}, {tab.y:.0f}) stands beside the screw at ({screw.x:.0f}, {screw.y:.0f}): "
        "what frees the part there may meet the screw's head",
        "Move the tab or the screw (screws that nobody moved are put elsewhere by the next run, if there is "
        "room), or take that screw out before the part is freed.",
        panels=[tab.panel],
        sheet=sheet.name,
    )
