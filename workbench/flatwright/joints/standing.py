# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which broad face of a panel keeps its place when the board is not as thick as drawn."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from flatwright.joints.contacts import Scene
from flatwright.joints.recognise import Recognised
from flatwright.joints.stacks import joined
from flatwright.plan import Side


def staying_faces(scene: Scene, known: Recognised, chosen: Mapping[int, Side] | None = None) -> list[Side]:
    """Per panel "+n" or "-n": the face on which shoulders bear; if both or none, the face away from the
    middle of all panels' centres, else +n. Boards of a stack, and boards that lap, stand together.
    `chosen` holds what the user said, by panel index; it counts for the whole group."""
    chosen = chosen or {}
    pairs = [(c.a.panel, c.b.panel) for c in known.bodies.glued]
    pairs += [(j.receiver, j.mate) for j in known.joints if j.kind in ("half-lap", "T-halving")]
    groups = joined(len(scene.panels), pairs)
    of = {i: g for g in groups for i in g}
    # by name, not by number: the order of the panels must not decide a tie
    lead = {g: min(g, key=lambda i: (scene.panels[i].name, i)) for g in groups}
    bears: dict[tuple[int, ...], set[bool]] = {g: set() for g in groups}
    for j in known.joints:
        for c in j.shoulders:
            for f, other in ((c.a, c.b), (c.b, c.a)):
                group = of[f.panel]
                if f.kind == "broad" and other.panel not in group:
                    bears[group].add(float(f.normal @ scene.panels[lead[group]].frame.n) > 0)
    centres = np.array([p.centre() for p in scene.panels])
    middle = centres.mean(axis=0)  # this turns with the piece; the middle of a box about it would not
    out: list[Side] = ["+n"] * len(scene.panels)
    for g in groups:
        up = scene.panels[lead[g]].frame.n
        said = [_along(scene, i, chosen[i], lead[g]) for i in g if i in chosen]
        if said:
            high = said[0]
        elif len(bears[g]) == 1:
            high = next(iter(bears[g]))
        else:
            high = round(float((centres[list(g)].mean(axis=0) - middle) @ up), 3) >= 0
        for i in g:
            same = float(scene.panels[i].frame.n @ up) > 0
            out[i] = "+n" if same == high else "-n"
    return out


def _along(scene: Scene, i: int, side: str, first: int) -> bool:
    """True when a side of panel i looks along the first panel's normal."""
    same = float(scene.panels[i].frame.n @ scene.panels[first].frame.n) > 0
    return (side == "+n") == same
