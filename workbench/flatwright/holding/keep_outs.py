# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Clamps and dead areas of the bed: where no bit may come, and where no screw may go."""

from __future__ import annotations

from collections.abc import Mapping

import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.findings import Finding, declare, finding
from flatwright.plan import Sheet
from flatwright.presets.model import KeepOut, Preset

declare("error", holding__clamp_in_path="a bit would meet a clamp")


def clamps(preset: Preset) -> tuple[KeepOut, ...]:
    """The keep-outs that stand on the bed."""
    return tuple(k for k in preset.machine.keep_outs if k.kind == "clamp")


def area(keep_out: KeepOut) -> BaseGeometry:
    """Its rectangle in sheet coordinates."""
    return shapely.box(*keep_out.corners)


def no_screws(preset: Preset) -> BaseGeometry:
    """Where no screw may go."""
    return shapely.union_all([area(k) for k in preset.machine.keep_outs])


def tallest(preset: Preset) -> float:
    """Height of the highest clamp over the bed, mm; 0 without any."""
    return max((k.height for k in clamps(preset)), default=0.0)


def check_clamps(
    sheet: Sheet, swept: BaseGeometry, laid: Mapping[str, BaseGeometry], preset: Preset
) -> list[Finding]:
    """An error for each clamp that some bit comes nearer to than the margin.

    `swept` is what all bits sweep, `laid` the parts' wood by name.
    """
    margin = preset.holding.fasteners.margin
    out = []
    for k in clamps(preset):
        if swept.is_empty or swept.distance(area(k)) >= margin - 0.05:
            continue
        near = min(laid, key=lambda n: (round(laid[n].distance(area(k)), 3), n))
        out.append(
            finding(
                "holding.clamp-in-path",
                f"{sheet.name}, {k.name}",
                f"a bit comes within {margin:g} mm of this clamp when it cuts {near}",
                "Lay the sheets out again, or move the clamp and correct machine.keep_outs.",
                panels=[near],
                sheet=sheet.name,
            )
        )
    return out
