# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Panels with pockets in both faces: whether the shop cuts them, and how much wood stays between the two."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from flatwright.boards.batch import Batch
from flatwright.findings import Finding, declare, finding
from flatwright.geometry.polygon import polygon
from flatwright.plan import Panel, Pocket
from flatwright.presets.model import Preset

declare("error", panel__two_faces="pockets on both faces, and the shop does not turn sheets over")
declare("error", bits__pockets_meet="pockets in opposite faces meet, or leave wood like paper")
declare("warning", bits__thin_floor="little wood is left between pockets in opposite faces")

PAPER = 0.3  # mm: less breaks through when the second pocket is cut (common practice, no source)
OVERLAP = 1.0  # mm² that two pockets must share


def check_two_faces(panels: Sequence[Panel], batches: Mapping[str, Batch], preset: Preset) -> list[Finding]:
    """What speaks against cutting panels from both faces."""
    both = [p for p in panels if p.board is not None and len({q.side for q in p.pockets}) == 2]
    if preset.flipping.enabled:
        return list(_between(both, batches, preset))
    return [
        finding(
            "panel.two-faces",
            p.name,
            f"{p.name} has pockets on both faces, and the shop preset does not turn sheets over.",
            "Have dowels at hand and set flipping.enabled to true in the preset, or move the pockets of one "
            "face to the other panel of the joint.",
            panels=[p.name],
        )
        for p in both
    ]


def _between(panels: Sequence[Panel], batches: Mapping[str, Batch], preset: Preset) -> Iterator[Finding]:
    """One finding for each pair of opposite pockets that lie over each other and leave too little.

    Floors keep their height from the bed in both set-ups, so that a thicker board has less between them; with
    the zero on the board's top they keep their depth, and a thinner one has.
    """
    for panel in panels:
        batch = batches.get(panel.board or "")
        low, high = batch.extremes if batch else (panel.thickness, panel.thickness)
        off = high - panel.thickness if preset.machine.zero == "bed" else panel.thickness - low
        for p, q in combinations(panel.pockets, 2):
            left = panel.thickness - p.depth - q.depth - max(off, 0.0)
            if p.side != q.side and left < preset.flipping.least_floor - 1e-6 and _over_each_other(p, q):
                yield _finding(panel, p, q, left, preset.flipping.least_floor)


def _over_each_other(p: Pocket, q: Pocket) -> bool:
    common = polygon(p.outline.ccw()).intersection(polygon(q.outline.ccw()))
    return bool(common.area > OVERLAP)


def _finding(panel: Panel, p: Pocket, q: Pocket, left: float, least: float) -> Finding:
    code = "bits.pockets-meet" if left < PAPER else "bits.thin-floor"
    x0, y0, x1, y1 = p.outline.bounds()
    stays = "nothing" if left <= 0.0 else f"{left:.2f} mm of wood"
    return finding(
        code,
        panel.spot(((x0 + x1) / 2, (y0 + y1) / 2)),
        f"between its pockets of {p.depth:.2f} and {q.depth:.2f} mm in opposite faces {stays} may stay; "
        f"{least:g} mm are asked for",
        "Make one of the two shallower, or move them so that they do not lie over each other.",
        panels=[panel.name],
    )
