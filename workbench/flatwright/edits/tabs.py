# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs by hand: from places in the document to places on the edges of the fitted panels, and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from flatwright.edits.model import Spot, TabsEdit, TabSpot
from flatwright.edits.said import Told
from flatwright.edits.spots import Box, Panels, box_of, spot_in
from flatwright.geometry.arcs import Point
from flatwright.geometry.frame import Vector
from flatwright.geometry.outline import Outline
from flatwright.plan import Panel

REACH = 10.0  # mm: how far an edge may be from where a tab was put on it, and still be that edge
DIGITS = 3  # distances are compared to 0.001 mm


@dataclass(frozen=True, slots=True)
class HandTab:
    """A tab on loop `loop` (0 the outline, k hole k) of a fitted panel, its middle `at` (u, v); length and
    height in mm, None by the rules."""

    loop: int
    at: Point
    length: float | None = None
    height: float | None = None


@dataclass(frozen=True, slots=True)
class HandTabs:
    """The tabs of a panel that were put by hand: these and no other if `only`."""

    tabs: tuple[HandTab, ...]
    only: bool


def tab_edits(
    edits: Sequence[TabsEdit], panels: Panels, fitted: Sequence[Panel], told: Told
) -> tuple[dict[str, HandTabs], tuple[TabsEdit, ...]]:
    """(tabs by panel name, edits to keep). `panels` are the drawn ones, `fitted` the same as they are cut:
    places of tabs are in the boxes about the latter."""
    by_name = {p.name: p for p in fitted}
    out: dict[str, HandTabs] = {}
    kept: list[TabsEdit] = []
    for edit in edits:
        index = panels.find(edit.panel)
        panel = None if index is None else by_name.get(panels.panels[index].name)
        if index is None or panel is None:
            told.gone(edit, "that panel is not in the model")
            kept.append(edit)
            continue
        now = replace(edit, panel=panels.ref(index))
        found = [(t, hand_tab(t, panel)) for t in edit.tabs]
        for t, tab in found:
            if tab is None:
                told.gone(replace(now, tabs=(t,)), "the edge that it stood on is not there any more")
        out[panel.name] = HandTabs(tuple(tab for _, tab in found if tab is not None), edit.only)
        spots = tuple(t if tab is None else tab_spot(panel, tab) for t, tab in found)
        kept.append(replace(now, tabs=spots))
    return out, tuple(kept)


def hand_tab(tab: TabSpot, panel: Panel) -> HandTab | None:
    """Where on the panel a tab stands now; None when there is no edge near that place."""
    point = _point(tab.spot, box_of(panel))
    u, v, _ = panel.frame.to_plane(point[None])[0]
    loop, at, away = nearest((panel.outline, *panel.holes), (float(u), float(v)))
    return HandTab(loop, at, tab.length, tab.height) if away <= REACH else None


def tab_spot(panel: Panel, tab: HandTab) -> TabSpot:
    """What to call a tab of a fitted panel from now on."""
    point = panel.frame.to_space(np.array([tab.at]), panel.thickness / 2)[0]
    return TabSpot(spot_in(box_of(panel), point), tab.length, tab.height)


def nearest(loops: Sequence[Outline], point: Point) -> tuple[int, Point, float]:
    """(loop, the point on it nearest to a point, how far that is); the first of equals."""
    best: tuple[int, Point, float] | None = None
    for k, loop in enumerate(loops):
        for s in loop.segments():
            away = round(s.distance(point), DIGITS)
            if best is None or away < best[2]:
                best = (k, s.at(min(1.0, max(0.0, s.fraction(point)))), away)
    assert best is not None, "a panel has an outline"
    return best


def _point(spot: Spot, box: Box) -> Vector:
    """Where a spot is now, (3,): along each axis as far from the end that it was nearer to."""
    low, high = box
    at = [
        a if 2 * a <= of else size - (of - a)
        for a, of, size in zip(spot.at, spot.of, high - low, strict=True)
    ]
    return np.asarray(low + np.array(at), dtype=np.float64)
