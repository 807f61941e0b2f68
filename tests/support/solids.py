# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Solids as the host tells them, made without a host: plane faces with straight edges only."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from flatwright.geometry.frame import Frame
from flatwright.panels.solid import Curve, Face, Solid, Vector

Ring = Sequence[tuple[float, float]]
HERE = Frame.of((0.0, 0.0, 0.0), (1, 0, 0), (0, 0, 1))


def of_faces(label: str, faces: Sequence[Sequence[Vector]], *, problem: str = "") -> Solid:
    """A solid with these faces: each a list of wires (k, 3), the wood on the left seen from outside."""
    values = []
    for wires in faces:
        area = sum((np.cross(w, np.roll(w, -1, axis=0)).sum(axis=0) / 2 for w in wires), np.zeros(3))
        size = float(np.linalg.norm(area))
        values.append(Face("plane", area / size, wires[0][0], size))

    def loops(i: int) -> list[list[Curve]]:
        return [
            [Curve("line", p, q) for p, q in zip(w, np.roll(w, -1, axis=0), strict=True)] for w in faces[i]
        ]

    return Solid(label, label, tuple(values), loops, lambda: problem)


def prism(
    label: str, rings: Sequence[Ring], t: float = 18.0, *, top: Sequence[Ring] = (), frame: Frame = HERE
) -> Solid:
    """A board over rings in the frame's plane (the first is the outline, the others are holes), each
    counter-clockwise; `top` are the rings at height t where they differ: the walls then lean."""
    lower = [np.array(r, float) if k == 0 else np.array(r, float)[::-1] for k, r in enumerate(rings)]
    upper = [np.array(r, float) if k == 0 else np.array(r, float)[::-1] for k, r in enumerate(top or rings)]
    low = [frame.to_space(r) for r in lower]
    high = [frame.to_space(r, t) for r in upper]
    faces: list[list[Vector]] = [high, [r[::-1] for r in low]]
    for a, b in zip(low, high, strict=True):
        for k in range(len(a)):
            j = (k + 1) % len(a)
            faces.append([np.array([a[k], a[j], b[j], b[k]])])
    return of_faces(label, faces)
