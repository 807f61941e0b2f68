# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Screws that the user has moved, added or taken away: kept while the parts lie as they lay then."""

from __future__ import annotations

from collections.abc import Mapping

from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding, declare, finding
from flatwright.holding.screws import check_cover, check_screws
from flatwright.plan import Screw, Sheet
from flatwright.presets.model import Preset

declare("note", holding__screws_anew="screws moved by hand were given up, because the layout changed")

SHIFT = 2.0  # mm: parts that lie no further off than that lie as they lay; every screw is checked anyway


def same_layout(a: Sheet, b: Sheet) -> bool:
    """Whether the same parts lie in the same places on sheets of one size."""
    if len(a.placements) != len(b.placements) or a.size != b.size:
        return False
    there = {p.panel: p for p in b.placements}
    return all(
        (q := there.get(p.panel)) is not None
        and p.flipped == q.flipped
        and abs((p.angle - q.angle + 180.0) % 360.0 - 180.0) < 0.01
        and abs(p.x - q.x) <= SHIFT
        and abs(p.y - q.y) <= SHIFT
        for p in a.placements
    )


def kept_screws(
    sheet: Sheet,
    zones: BaseGeometry,
    laid: Mapping[str, BaseGeometry],
    preset: Preset,
    bit: float,
    moved: Sheet,
) -> tuple[tuple[Screw, ...], list[Finding]]:
    """The screws of `moved`, each checked against the zones of now; what they do not reach is said."""
    return moved.screws, [
        *check_screws(sheet, zones, moved.screws),
        *check_cover(sheet, laid, moved.screws, preset, bit),
    ]


def given_up(sheet: Sheet) -> Finding:
    """Said once for a sheet whose parts lie otherwise than when its screws were moved."""
    return finding(
        "holding.screws-anew",
        sheet.name,
        "the parts lie otherwise than when its screws were moved by hand, so all screws were placed anew",
        "Look at the screw points, and move them again where they are wanted elsewhere.",
        sheet=sheet.name,
    )
