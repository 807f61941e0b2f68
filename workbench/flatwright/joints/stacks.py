# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boards glued face to face: for their mates they are one thick board, and when one of them is
thinner than drawn those behind it move up."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from flatwright.geometry.frame import Vector
from flatwright.joints.contacts import Contact, Scene
from flatwright.joints.faces import PlaneFace

GLUED = 0.1  # mm: faces drawn this near to each other lie on each other
AGREE = 1e-6  # mm


@dataclass(frozen=True, slots=True, eq=False)
class Bodies:
    """`of[i]` is the body of panel i; `members` its panels by index; `glued` the contacts inside
    bodies of more than one panel."""

    of: tuple[int, ...]
    members: tuple[tuple[int, ...], ...]
    glued: tuple[Contact, ...]


def bodies(scene: Scene) -> Bodies:
    """The panels as bodies: each by itself, or the boards of one stack together."""
    glued = [c for found in scene.contacts.values() for c in found if lies_on(c)]
    groups = joined(len(scene.panels), ((c.a.panel, c.b.panel) for c in glued))
    of = [0] * len(scene.panels)
    for k, group in enumerate(groups):
        for i in group:
            of[i] = k
    return Bodies(tuple(of), groups, tuple(glued))


def lies_on(c: Contact) -> bool:
    """A broad face on a broad face, or in a recess of another board."""
    return "broad" in (c.a.kind, c.b.kind) and not (c.a.is_line or c.b.is_line) and abs(c.gap) <= GLUED


def joined(count: int, pairs: Iterable[tuple[int, int]]) -> tuple[tuple[int, ...], ...]:
    """The connected groups of 0 … count − 1, each in order, ordered by their first."""
    root = list(range(count))

    def find(i: int) -> int:
        while root[i] != i:
            root[i] = root[root[i]]
            i = root[i]
        return i

    for i, j in pairs:
        a, b = sorted((find(i), find(j)))
        root[b] = a
    groups: dict[int, list[int]] = {}
    for i in range(count):
        groups.setdefault(find(i), []).append(i)
    return tuple(tuple(g) for _, g in sorted(groups.items()))


@dataclass(frozen=True, slots=True, eq=False)
class Shifts:
    """How far each panel moves, (n, 3) mm, and the panels whose neighbours disagree about it."""

    by_panel: Vector
    unclear: tuple[int, ...]


def shifts(scene: Scene, parts: Bodies, stays: Sequence[str], moved: Callable[[PlaneFace], float]) -> Shifts:
    """Where the boards of stacks go when their neighbours' faces move (`moved`, outward, mm).

    The board outermost on the side that stays keeps its place, or where there are several of these the
    largest board of the stack; the others follow the faces that they lie on. A board that two faces
    take to different places is unclear; it follows the first.
    """
    out = np.zeros((len(scene.panels), 3))
    unclear: list[int] = []
    for members in parts.members:
        if len(members) > 1:
            _settle(scene, parts, members, stays, moved, out, unclear)
    return Shifts(out, tuple(unclear))


def _settle(
    scene: Scene, parts: Bodies, members: Sequence[int], stays: Sequence[str],
    moved: Callable[[PlaneFace], float], out: Vector, unclear: list[int],
) -> None:  # fmt: skip
    first = scene.panels[members[0]].frame.n
    up = first if stays[members[0]] == "+n" else -first  # the side that stays
    touching: dict[int, list[Contact]] = {i: [] for i in members}
    for c in parts.glued:
        if c.a.panel in touching:
            touching[c.a.panel].append(c)
            touching[c.b.panel].append(c.turned())
    outermost = [i for i in members if not any(float(c.a.normal @ up) > 0 for c in touching[i])]
    if len(outermost) > 1:
        outermost = sorted(members, key=lambda i: (-round(scene.panels[i].outline.area(), 3), i))
    height = {outermost[0]: 0.0}  # along up, from the place drawn
    queue = [outermost[0]]
    for i in queue:
        for c in touching[i]:
            way = float(c.a.normal @ up)
            face = height[i] + moved(c.a) * way - c.gap * way
            there = face - moved(c.b) * float(c.b.normal @ up)
            k = c.b.panel
            if k not in height:
                height[k] = there
                queue.append(k)
            elif abs(height[k] - there) > AGREE and k not in unclear:
                unclear.append(k)
    for i in members:
        out[i] = height[i] * up


def with_laps(found: Shifts, parts: Bodies, laps: Sequence[tuple[int, int]]) -> Shifts:
    """Boards in no stack go along with the stacked boards that they lap, which they are flush with; not where
    these go to different places."""
    stacked = {i for members in parts.members if len(members) > 1 for i in members}
    out = found.by_panel.copy()
    free = [(a, b) for a, b in laps if a not in stacked and b not in stacked]
    for group in joined(len(out), free):
        anchors = sorted({k for a, b in laps for i, k in ((a, b), (b, a)) if i in group and k in stacked})
        ways = out[anchors]
        if stacked.isdisjoint(group) and len(ways) and float(np.abs(ways - ways[0]).max()) <= AGREE:
            out[list(group)] = ways[0]
    return Shifts(out, found.unclear)
