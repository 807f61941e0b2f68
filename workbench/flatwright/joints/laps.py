# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The joints of panels with parallel faces: half-laps, boards face to face, edge to edge."""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.geometry.frame import Vector
from flatwright.joints.contacts import Contact
from flatwright.joints.model import FoundJoint

OPPOSITE = -0.999


def parallel_joints(i: int, j: int, contacts: Sequence[Contact]) -> tuple[list[FoundJoint], list[Contact]]:
    """The joints of two parallel panels, and the contacts that play no role in them."""
    floors = [c for c in contacts if c.a.kind == "floor" and c.b.kind == "floor"]
    if floors:
        return _laps(i, j, contacts, floors)
    lying = [c for c in contacts if not c.a.is_line and not c.b.is_line]
    rest = [c for c in contacts if c.a.is_line or c.b.is_line]
    if lying:
        walls, rest = _parted(rest)
        receiver, mate = (i, j) if not walls or walls[0].a.panel == i else (j, i)
        return [FoundJoint("face to face", receiver, mate, sides=tuple(walls), bearings=tuple(lying))], rest
    return ([FoundJoint("edge to edge", i, j, shoulders=tuple(rest))], []) if rest else ([], [])


def _parted(contacts: Sequence[Contact]) -> tuple[list[Contact], list[Contact]]:
    """Walls against edges, seen from the wall; and the rest."""
    walls, rest = [], []
    for c in contacts:
        kinds = (c.a.kind, c.b.kind)
        if kinds == ("wall", "edge"):
            walls.append(c)
        elif kinds == ("edge", "wall"):
            walls.append(c.turned())
        else:
            rest.append(c)
    return walls, rest


def _laps(
    i: int, j: int, contacts: Sequence[Contact], floors: Sequence[Contact]
) -> tuple[list[FoundJoint], list[Contact]]:
    """One lap for each pair of recesses whose floors lie on each other."""
    walls, rest = _parted([c for c in contacts if c.a.is_line or c.b.is_line])
    out = []
    for p, q in sorted({(c.a.loop, c.b.loop) for c in floors}):
        own = [c for c in walls if (c.a.panel, c.a.loop) in ((i, p), (j, q))]
        walls = [c for c in walls if not any(c is o for o in own)]
        across = {k: [c for c in own if c.a.panel == k] for k in (i, j)}
        straddled = {k: _opposite(v) for k, v in across.items()}
        kind = "T-halving" if straddled[i] != straddled[j] else "half-lap"
        receiver, mate = (j, i) if straddled[j] and not straddled[i] else (i, j)
        # walls on both sides leave play on both; a single one is a shoulder that bears
        sides = [c for k in (i, j) if straddled[k] for c in across[k]]
        shoulders = [c for k in (i, j) if not straddled[k] for c in across[k]]
        lying = [c for c in floors if (c.a.loop, c.b.loop) == (p, q)]
        insert = -lying[0].a.normal if lying[0].a.panel == receiver else -lying[0].b.normal
        out.append(
            FoundJoint(kind, receiver, mate, sides=tuple(sides), shoulders=tuple(shoulders),
                       bearings=tuple(lying), insert=insert)
        )  # fmt: skip
    return out, [*rest, *walls]


def _opposite(walls: Sequence[Contact]) -> bool:
    """True when two walls look at each other across the mate."""
    normals: list[Vector] = [c.a.normal for c in walls]
    return any(float(a @ b) < OPPOSITE for k, a in enumerate(normals) for b in normals[k + 1 :])
