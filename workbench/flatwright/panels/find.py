# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""From solids to panels: what is a flat board, in which frame, with which loops; what is not, and why."""

from __future__ import annotations

from collections.abc import Iterable

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Point
from flatwright.geometry.outline import Outline
from flatwright.panels import slanted
from flatwright.panels.own_frame import own_frame
from flatwright.panels.pockets import pockets
from flatwright.panels.reasons import LEVEL, NotAPanel
from flatwright.panels.regions import levels, regions, shallow, silhouette
from flatwright.panels.solid import Solid
from flatwright.panels.sound import check_sound
from flatwright.panels.thin import thin_places
from flatwright.panels.view import View, broad_views
from flatwright.panels.walls import walls
from flatwright.plan import Panel

declare(
    "warning",
    panel__left_out="a solid is not a flat panel that a router can cut; it is left out",
    panel__invalid="the kernel finds the solid unusable; it is left out",
    panel__shallow_step="a step in a broad face is too shallow to be cut; the face is read as flat",
)


def find_panels(solids: Iterable[Solid]) -> tuple[list[Panel], list[Finding]]:
    """Panels in the solids' order, and a finding with the reason for every other solid."""
    panels: list[Panel] = []
    findings: list[Finding] = []
    for solid in solids:
        try:
            if not solid.closed:
                raise NotAPanel("its surface has a gap")
            panel, found = panel_of(solid)
            panels.append(panel)
            findings += found
        except NotAPanel as reason:
            findings.append(_left_out(solid, str(reason)))
    return panels, findings


def _left_out(solid: Solid, reason: str) -> Finding:
    """What no panel could be read from: the kernel knows best if the solid itself is at fault."""
    problem = solid.problem()
    if problem:
        return finding(
            "panel.invalid",
            solid.source,
            f"{solid.label} is left out: {problem}.",
            "Repair the solid (the host's Check Geometry shows where) or hide it.",
        )
    return finding(
        "panel.left-out",
        solid.source,
        f"{solid.label} is left out: {reason}.",
        "Draw it as a flat board with square edges, or hide it if it is not cut from board.",
    )


def panel_of(solid: Solid) -> tuple[Panel, list[Finding]]:
    """The panel that a solid is, and what there is to say of it; raises NotAPanel with the reason."""
    reasons: list[NotAPanel] = []
    for view in broad_views(solid):
        try:
            return _seen(solid, view)
        except NotAPanel as reason:
            reasons.append(reason)
    raise reasons[0]


def _seen(solid: Solid, view: View) -> tuple[Panel, list[Finding]]:
    """The panel that a solid is if its broad faces lie square to the view."""
    up, down = levels(view)
    top, bottom = max(up), min(down)
    thickness = top - bottom
    if thickness < 0.1:
        raise NotAPanel("it has no thickness")
    pairs = walls(view, top, bottom)
    upper, lower = regions(view, up), regions(view, down)
    if pairs:
        upper, lower = slanted.upright(upper, pairs, True), slanted.upright(lower, pairs, False)
        slanted.check_alike(upper, lower)
    seen, voids = silhouette(upper, lower)
    own = own_frame(seen, view, bottom)
    outer = own.settled(seen)
    holes = sorted((own.settled(h) for h in voids), key=_place)
    x0, y0, x1, y1 = outer.bounds()
    if thickness > min(x1 - x0, y1 - y0) + LEVEL:
        raise NotAPanel("it is thicker than it is wide, so it is no flat board")
    sunk = [*pockets(upper, top, "+n", holes, own), *pockets(lower, bottom, "-n", holes, own)]
    faces = [i for side in (up, down) for level in side.values() for i in level]
    check_sound(view, faces, own, outer, holes)
    panel = Panel(
        name=solid.label,
        source=solid.source,
        frame=own.frame,
        nominal=round(thickness, 6),
        thickness=round(thickness, 6),
        outline=outer,
        holes=tuple(holes),
        pockets=tuple(sorted(sunk, key=lambda p: (p.side, _place(p.outline)))),
    )
    steps = [step for side in (up, down) for step in shallow(view, side)]
    return panel, [
        *slanted.said(panel, pairs, own),
        *(_flattened(panel, own.place(view.middle(i)), height) for i, height in steps),
        *thin_places(panel),
    ]


def _flattened(panel: Panel, at: Point, height: float) -> Finding:
    place = f"({at[0]:.1f}, {at[1]:.1f})"
    return finding(
        "panel.shallow-step",
        f"{panel.name} at {place}",
        f"a face of {panel.name} at {place} lies {height:.3g} mm off the rest; it is read as flat",
        "Draw them at one height, or draw a pocket deep enough to be cut.",
        panels=[panel.name],
    )


def _place(outline: Outline) -> tuple[float, ...]:
    x0, y0, x1, y1 = outline.bounds()
    return (round(y0, 3), round(x0, 3), round(y1, 3), round(x1, 3))
