# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What each side of a board shows: the loops of its faces, height by height, and of the whole."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import region
from flatwright.panels.loops import LoopError, united
from flatwright.panels.reasons import LEVEL, SQUARE, NotAPanel
from flatwright.panels.view import View

Levels = dict[float, list[int]]

SHALLOW = 0.3  # mm: a step in the broad face that no bit is sent for (common practice, no source)
_SAME = 0.5  # mm² by which the two sides of one board may differ


@dataclass(frozen=True, slots=True, eq=False)
class Regions:
    """What one side shows: per height the loops of its faces' union, and the loops of all of them."""

    levels: Mapping[float, list[Outline]]
    whole: list[Outline]


def levels(view: View) -> tuple[Levels, Levels]:
    """Heights of the faces that look along the view's normal and against it, with their indices,
    from the outermost inwards."""
    flat = [(i, f) for i, f in enumerate(view.solid.faces) if f.kind == "plane"]
    directions = np.array([f.direction for _, f in flat])
    heights = (np.array([f.point for _, f in flat]) @ view.normal).tolist()
    sides = []
    for sign in (1.0, -1.0):
        looks = np.linalg.norm(directions - sign * view.normal, axis=1) < SQUARE
        found = [(h, i) for h, (i, _), yes in zip(heights, flat, looks.tolist(), strict=True) if yes]
        sides.append(_flattened(_clustered(sorted(found, key=lambda h: -sign * h[0])), view))
    up, down = sides
    if not up or not down:
        raise NotAPanel("it has no two parallel broad faces")
    return up, down


def _clustered(found: Sequence[tuple[float, int]]) -> Levels:
    """Heights from the outermost inwards; one within `LEVEL` of the level before it belongs to that."""
    out: Levels = {}
    level = 0.0
    for height, i in found:
        if not out or abs(level - height) >= LEVEL:
            level = height
        out.setdefault(level, []).append(i)
    return {h: sorted(indices) for h, indices in out.items()}


def _flattened(side: Levels, view: View) -> Levels:
    """The broad face takes in what lies a hair above or below it: of the outermost levels the largest."""
    outer = [h for h in side if abs(h - next(iter(side))) < SHALLOW]
    if len(side) < 2:
        return side
    face = max(outer, key=lambda h: round(sum(view.area(i) for i in side[h]), 3))
    near = [h for h in side if abs(h - face) < SHALLOW]
    rest = {h: indices for h, indices in side.items() if h not in near}
    return {face: sorted(i for h in near for i in side[h]), **rest}


def shallow(view: View, side: Levels) -> list[tuple[int, float]]:
    """Faces that were taken into the broad face, with the height of the step, mm."""
    face, indices = next(iter(side.items()))
    heights = [(i, float(view.solid.faces[i].point @ view.normal) - face) for i in indices]
    return [(i, abs(h)) for i, h in heights if abs(h) >= LEVEL]


def regions(view: View, side: Levels) -> Regions:
    """The loops of one side's levels, the broad face first."""
    faces = {level: [w for i in indices if (w := view.wires(i))] for level, indices in side.items()}
    several = len(side) > 1 or bool(shallow(view, side))
    try:
        loops = {
            level: united(found, split=several, touching="floors" if k else "wood")
            for k, (level, found) in enumerate(faces.items())
        }
        if len(side) == 1:
            return Regions(loops, next(iter(loops.values())))
        return Regions(loops, united([f for found in faces.values() for f in found], split=True))
    except LoopError as e:
        raise NotAPanel(f"its faces do not close ({e})") from e


def silhouette(upper: Regions, lower: Regions) -> tuple[Outline, list[Outline]]:
    """Outer loop and holes of the whole part seen along the normal, from the simpler side."""
    seen = [sum(o.area() for o in side.whole) for side in (upper, lower)]
    if abs(seen[0] - seen[1]) > _SAME:
        raise NotAPanel("its two faces do not lie over each other (a groove in its edge or an undercut)")
    for side in (upper, lower):
        _check_no_overlap(side)
    loops = min((upper, lower), key=lambda side: len(side.levels)).whole
    outers = [o for o in loops if o.area() > 0]
    if len(outers) != 1:
        raise NotAPanel(f"it falls into {len(outers)} pieces seen from its face")
    return outers[0], [o for o in loops if o.area() < 0]


def _check_no_overlap(side: Regions) -> None:
    """Faces that look the same way must not lie over each other."""
    outers = [(o, loops) for loops in side.levels.values() for o in loops if o.area() > 0]
    if len(outers) < 2:
        return
    floors = [region(o, [h for h in loops if h.area() < 0]) for o, loops in outers]
    for i, a in enumerate(floors):
        for b in floors[i + 1 :]:
            if a.intersection(b).area > _SAME:
                raise NotAPanel(
                    "it has a groove in its edge or an undercut, which cannot be cut from the face"
                )
