# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What is to be said of reliefs, each at a place of the panel."""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Point
from flatwright.plan import Panel

declare(
    "error",
    relief__no_room="a corner needs a relief and none fits there",
    relief__unreached="a mate meets wood that the bit cannot reach",
)
declare(
    "warning",
    relief__thin_web="a relief leaves less wood to the next edge than wanted",
    relief__switched_off="a mate meets the fillet of a corner whose relief was switched off by hand",
    relief__replaced="a drawn relief does not suffice, or the bit cannot cut it, and another is cut",
    relief__other_kind="a relief of the preset's kind would take a whole edge or its web: another is cut",
    relief__not_placed="a relief that was asked for by hand finds no room",
)
declare("note", relief__visible="reliefs stay visible on a face that is meant to be seen")


def break_through(panel: Panel, at: Point) -> Finding:
    """No relief of a due corner leaves wood beside it."""
    return _told(
        "relief.no-room", panel, at,
        f"A corner of {panel.name} must be square for its mate, but every relief there would break through "
        "to the next edge or take a whole edge that holds the mate.",
        "Use a smaller bit, or draw more room there.",
    )  # fmt: skip


def in_pieces(panel: Panel, at: Point) -> Finding:
    """The reliefs of a loop together cut something off."""
    return _told(
        "relief.no-room", panel, at,
        f"The corners of {panel.name} must be square for its mates, but their reliefs would cut a piece off.",
        "Use a smaller bit, or draw more room there.",
    )  # fmt: skip


def unreached(panel: Panel, at: Point, diameter: float) -> Finding:
    """After relieving, a mate still meets wood."""
    return _told(
        "relief.unreached", panel, at,
        f"A bit of {diameter:.2f} mm leaves wood on {panel.name} at a place where a mate must go.",
        "Use a smaller bit, or draw that corner wider.",
    )  # fmt: skip


def switched_off(panel: Panel, at: Point, diameter: float) -> Finding:
    """A due corner without relief, by hand."""
    return _told(
        "relief.switched-off", panel, at,
        f"The relief of a corner of {panel.name} is switched off, and a mate meets the fillet that "
        f"the bit of {diameter:.2f} mm leaves.",
        "Square that corner by hand, round the mate's corner, or switch the relief on.",
    )  # fmt: skip


def not_placed(panel: Panel, at: Point) -> Finding:
    """A forced relief on a corner that needs none."""
    return _told(
        "relief.not-placed", panel, at,
        f"The relief asked for at a corner of {panel.name} would break through to the next edge; "
        "the corner needs none and stays as it is.",
        "Choose another kind there, or take the choice back.",
    )  # fmt: skip


def thin_webs(panel: Panel, thin: Sequence[tuple[float, Point]], wanted: float) -> Finding:
    """One warning for all reliefs of the panel that leave too little wood."""
    web, at = min(thin, key=lambda t: round(t[0], 3))
    some = "A relief leaves" if len(thin) == 1 else f"{len(thin)} reliefs leave"
    return _told(
        "relief.thin-web", panel, at,
        f"{some} less than {wanted:g} mm of wood to the next edge of {panel.name}; "
        f"the least is {max(0.0, web):.1f} mm.",
        "Move the slot away from the edge, or use a smaller bit.",
    )  # fmt: skip


def replaced(panel: Panel, drawn: Sequence[tuple[Point, float]]) -> Finding:
    """One warning for all drawn reliefs of the panel that are not kept."""
    one = len(drawn) == 1
    some, are = ("A drawn relief", "is") if one else (f"{len(drawn)} drawn reliefs", "are")
    return _told(
        "relief.replaced", panel, drawn[0][0],
        f"{some} of {panel.name} (radius {min(r for _, r in drawn):.2f} mm) {are} not what the bit and "
        "the mate need there; others are cut instead.",
        "Draw plain corners, or reliefs that the bit can cut and that clear the mate.",
    )  # fmt: skip


def other_kind(panel: Panel, at: Sequence[Point], wanted: str) -> Finding:
    """One warning for all reliefs of the panel that are not of the preset's kind."""
    some = f"A corner of {panel.name} gets" if len(at) == 1 else f"{len(at)} corners of {panel.name} get"
    return _told(
        "relief.other-kind", panel, at[0],
        f"{some} no {wanted}, as the preset asks: it would take too much of the edge that holds the mate "
        "in place, or of the wood beside it.",
        "Use a smaller bit, or set the kind of reliefs to least visible.",
    )  # fmt: skip


def shows(panel: Panel, area: float) -> Finding:
    """Worded alike for all panels, so that one note names them all; `area` mm² of reliefs show."""
    return finding(
        "relief.visible",
        f"{panel.name}, {area:.0f} mm²",
        "Reliefs stay visible on a face that is meant to be seen.",
        "Turn them by hand, cover them, or choose another show face.",
        panels=[panel.name],
    )


def _told(code: str, panel: Panel, at: Point, message: str, remedy: str) -> Finding:
    return finding(code, panel.spot(at), message, remedy, panels=[panel.name])
