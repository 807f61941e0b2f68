# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Whether parts lie on their sheet as their grain is meant to run."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from flatwright.findings import Finding, finding
from flatwright.plan import Plan, Sheet

OFF = 0.5  # degrees


def check_grain(sheets: Sequence[Sheet], plan: Plan) -> Iterator[Finding]:
    """One finding for every part whose grain is set and does not run with its sheet's."""
    for sheet in sheets:
        along = 90.0 if sheet.grain == "width" else 0.0
        for p in sheet.placements:
            grain = plan.panel(p.panel).grain
            if grain is None:
                continue
            lies = p.angle + (180.0 - grain if p.flipped else grain)
            off = (lies - along + 90.0) % 180.0 - 90.0
            if abs(off) > OFF:
                yield finding(
                    "proof.grain",
                    f"{sheet.name}, {p.panel}",
                    f"{p.panel} lies on {sheet.name} with its grain {abs(off):.0f}° off the sheet's.",
                    "Lay the sheets out anew, or set the part's grain free.",
                    panels=(p.panel,),
                    sheet=sheet.name,
                )
