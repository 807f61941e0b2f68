# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What is to be said of reliefs."""

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


def _at(panel: Panel, at: Point) -> str:
    return f"{panel.name} at ({at[0]:.1f}, {at[1]:.1f})"


def break_through(panel: Panel, at: Point) -> Finding:
    """No relief of a due corner leaves wood beside it."""
    return finding(
        "relief.no-room",
        _at(panel, at),
        f"A corner of {panel.name} must be square for its mate, but every relief there would break through "
        "to the next edge or take a whole edge that holds the mate.",
        "Use a smaller bit, or draw more room there.",
        panels=[panel.name],
    )


def in_pieces(panel: Panel, at: Point) -> Finding:
    """The reliefs of a loop together cut something off."""
    return finding(
        "relief.no-room",
        _at(panel, at),
        f"The corners of {panel.name} must be square for its mates, but their reliefs would cut a piece off.",
        "Use a smaller bit, or draw more room there.",
        panels=[panel.name],
    )


def unreached(panel: Panel, at: Point, diameter: float) -> Finding:
    """After relieving, a mate still meets wood."""
    return finding(
        "relief.unreached",
        _at(panel, at),
        f"A bit of {diameter:.2f} mm leaves wood on {panel.name} at a place where a mate must go.",
        "Use a smaller bit, or draw that corner wider.",
        panels=[panel.name],
    )


def thin_webs(panel: Panel, thin: Sequence[tuple[float, Point]], wanted: float) -> Finding:
    """One warning for all reliefs of the panel that leave too little wood."""
    web, at = min(thin, key=lambda t: round(t[0], 3))
    count = f"{len(thin)} reliefs leave" if len(thin) > 1 else "A relief leaves"
    return finding(
        "relief.thin-web",
        _at(panel, at),
        f"{count} less than {wanted:g} mm of wood to the next edge of {panel.name}; "
        f"the least is {max(0.0, web):.1f} mm.",
        "Move the slot away from the edge, or use a smaller bit.",
        panels=[panel.name],
    )


def switched_off(panel: Panel, at: Point, diameter: float) -> Finding:
    """A due corner without relief, by hand."""
    return finding(
        "relief.switched-off",
        _at(panel, at),
        f"The relief of a corner of {panel.name} is switched off, and a mate meets the fillet that "
        f"the bit of {diameter:.2f} mm leaves.",
        "Square that corner by hand, round the mate's corner, or switch the relief on.",
        panels=[panel.name],
    )


def replaced(panel: Panel, drawn: Sequence[tuple[Point, float]]) -> Finding:
    """One warning for all drawn reliefs of the panel that are not kept."""
    count = f"{len(drawn)} drawn reliefs" if len(drawn) > 1 else "A drawn relief"
    verb = "are" if len(drawn) > 1 else "is"
    return finding(
        "relief.replaced",
        _at(panel, drawn[0][0]),
        f"{count} of {panel.name} (radius {min(r for _, r in drawn):.2f} mm) {verb} not what the bit and "
        "the mate need there; others are cut instead.",
        "Draw plain corners, or reliefs that the bit can cut and that clear the mate.",
        panels=[panel.name],
    )


def other_kind(panel: Panel, at: Sequence[Point], wanted: str) -> Finding:
    """One warning for all reliefs of the panel that are not of the preset's kind."""
    count = f"{len(at)} corners of {panel.name} get" if len(at) > 1 else f"A corner of {panel.name} gets"
    return finding(
        "relief.other-kind",
        _at(panel, at[0]),
        f"{count} no {wanted}, as the preset asks: it would take too much of the edge that holds the mate "
        "in place, or of the wood beside it.",
        "Use a smaller bit, or set the kind of reliefs to least visible.",
        panels=[panel.name],
    )


def not_placed(panel: Panel, at: Point) -> Finding:
    """A forced relief on a corner that needs none."""
    return finding(
        "relief.not-placed",
        _at(panel, at),
        f"The relief asked for at a corner of {panel.name} would break through to the next edge; "
        "the corner needs none and stays as it is.",
        "Choose another kind there, or take the choice back.",
        panels=[panel.name],
    )


def shows(panel: Panel, area: float) -> Finding:
    """Worded alike for all panels, so that one note names them all; `area` mm² of reliefs show."""
    return finding(
        "relief.visible",
        f"{panel.name}, {area:.0f} mm²",
        "Reliefs stay visible on a face that is meant to be seen.",
        "Turn them by hand, cover them, or choose another show face.",
        panels=[panel.name],
    )
