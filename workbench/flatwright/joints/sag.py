# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How much a loaded shelf sags with its face grain along its span, and across it.

The figures behind the grain rule: ply by ply, as the Handbook of Finnish Plywood does, and 5wL⁴/384EI,
the shelf lying freely on its supports.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from flatwright.boards.stiffness import Stiffness, bending, sag, second_moment, veneers
from flatwright.findings import Finding, declare, finding
from flatwright.joints.grain import spans
from flatwright.joints.model import FoundJoint
from flatwright.plan import Panel
from flatwright.presets.model import Board

declare("note", panel__sag="what a loaded shelf sags with its face grain along the span, and across it")

LOAD = 0.5  # N for every mm of length: about 50 kg on a metre, a full shelf of books
WORTH_TELLING = 0.1  # mm


def sags(panels: Sequence[Panel], found: Sequence[FoundJoint], boards: Mapping[str, Board]) -> list[Finding]:
    """A note for each panel that spans between supports, as far as its board's plies are known; one
    that is held all round carries both ways and sags far less, so that it has no such figures.

    `found` counts the panels as they are given here; `boards` are the preset's by name.
    """
    out = []
    for panel, (along_u, along_v) in zip(panels, spans(panels, found), strict=True):
        board = boards.get(panel.board or "")
        stiffness = stiffness_of(board, panel.thickness) if board is not None else None
        if stiffness is not None and (along_u > 0.0) != (along_v > 0.0):
            out += _note(panel, (along_u, along_v), stiffness)
    return out


def stiffness_of(board: Board, thickness: float) -> Stiffness | None:
    """Of a board of that thickness, mm; None where its plies are not known or cannot be."""
    if board.plies is None:
        return None
    try:
        return bending(veneers(thickness, board.plies, board.face_veneer))
    except ValueError:
        return None


def _note(panel: Panel, lengths: tuple[float, float], stiffness: Stiffness) -> list[Finding]:
    span = max(lengths)
    over_v = lengths[1] > lengths[0]
    x0, y0, x1, y1 = panel.outline.bounds()
    moment = second_moment(x1 - x0 if over_v else y1 - y0, panel.thickness)
    along, across = (sag(LOAD, span, e, moment) for e in (stiffness.along, stiffness.across))
    if across < WORTH_TELLING:
        return []
    return [
        finding(
            "panel.sag",
            panel.name,
            f"between its supports, {span:.0f} mm apart, this panel of {panel.board} sags {along:.1f} mm "
            f"with its face grain along the span and {across:.1f} mm with it across, under {LOAD:g} N on "
            f"every mm (a full shelf of books); {_lies(panel, over_v)}",
            "nothing to do if that is little enough; else turn the grain or add a support",
            panels=[panel.name],
        )
    ]


def _lies(panel: Panel, over_v: bool) -> str:
    if panel.grain is None:
        return "its grain is free"
    off = abs(math.cos(math.radians(panel.grain - (90.0 if over_v else 0.0))))
    way = "along" if off > 0.999 else "across" if off < 0.001 else "askew"
    return f"its grain runs {way}"
