# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Slots with slanted walls, as a solid cut for a leaning mate leaves them, read with upright walls.

A router cuts upright: what stays is the wood that is seen on both faces. On each face the wall whose
other edge lies deeper in the wood moves there, so that both faces come to show the same loop.
"""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.offset import move_edges
from flatwright.geometry.outline import Outline
from flatwright.panels.own_frame import OwnFrame
from flatwright.panels.reasons import NotAPanel
from flatwright.panels.regions import Regions
from flatwright.panels.walls import Slanted
from flatwright.panels.welding import WELD
from flatwright.plan import Panel

declare("note", panel__slanted_slot="a slot with slanted walls is read as the upright slot that clears it")

Pairs = Sequence[tuple[Slanted, Slanted]]

_ON = 2 * WELD  # mm between an edge and the wall that it belongs to


def upright(side: Regions, pairs: Pairs, top: bool) -> Regions:
    """The loops of the upper or lower side with the walls of slanted slots upright."""
    slanted = [w for pair in pairs for w in pair]
    levels = {h: [_moved(o, slanted, top) for o in loops] for h, loops in side.levels.items()}
    whole = [_moved(o, slanted, top) for o in side.whole]
    return Regions(levels, whole)


def _moved(loop: Outline, slanted: Sequence[Slanted], top: bool) -> Outline:
    ways: list[tuple[float, float]] = []
    distances = []
    for s in loop.segments():
        wall = next((w for w in slanted if s.is_line and _belongs(s.p, s.q, w, top)), None)
        distances.append(0.0 if wall is None else -_deeper(wall, top))
        if wall is not None:
            ways.append(wall.away)
    if any(abs(ax * by - ay * bx) > 1e-6 for ax, ay in ways for bx, by in ways):
        raise NotAPanel("a slot slants in two directions, which an upright bit cannot cut")
    moved = move_edges(loop, distances)
    if moved.collapsed:
        raise NotAPanel("a slanted slot takes a whole edge away")
    return moved.outline


def _belongs(p: tuple[float, float], q: tuple[float, float], wall: Slanted, top: bool) -> bool:
    """True for an edge that is the rim of the wall on this side, its wood on the same hand."""
    (ax, ay), (lx, ly) = wall.away, wall.line
    at = wall.top if top else wall.bottom
    if any(abs(x * ax + y * ay - at) > _ON for x, y in (p, q)):
        return False
    a, b = (x * lx + y * ly for x, y in (p, q))
    return b > a and any(lo < (a + b) / 2 < hi for lo, hi in (wall.on_top if top else wall.on_bottom))


def _deeper(wall: Slanted, top: bool) -> float:
    """How much deeper in the wood the wall's edge on the other side lies, mm."""
    return max(0.0, wall.top - wall.bottom if top else wall.bottom - wall.top)


def check_alike(upper: Regions, lower: Regions) -> None:
    """Raise NotAPanel when a slanted slot does not come out the same from both sides."""
    for o in upper.whole:
        if not any(abs(o.area() + -p.area()) < 0.05 and _near(o, p) for p in lower.whole):
            raise NotAPanel("a slot with slanted walls does not run through it straight")


def _near(a: Outline, b: Outline) -> bool:
    return all(abs(p - q) < 0.005 for p, q in zip(a.bounds(), b.bounds(), strict=True))


def said(panel: Panel, pairs: Pairs, own: OwnFrame) -> list[Finding]:
    """A note for each slanted slot."""
    out = []
    for a, b in pairs:
        (x0, y0), (x1, y1) = a.middle(), b.middle()
        u, v = own.place(((x0 + x1) / 2, (y0 + y1) / 2))
        out.append(
            finding(
                "panel.slanted-slot",
                f"{panel.source} at ({u:.1f}, {v:.1f})",
                f"the walls of a slot of {panel.name} there slant by {a.degrees:.1f}°; a router "
                "cuts upright, so it is read as the upright slot that clears them",
                "Nothing to do; draw the walls upright to choose its width by hand.",
                panels=[panel.name],
            )
        )
    return out
