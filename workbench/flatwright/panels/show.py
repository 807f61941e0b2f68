# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which face of a panel is seen: the one that lies up on the sheet, kept clean by bit and ramp."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from flatwright.plan import Panel, Show


def with_show_faces(panels: Sequence[Panel]) -> list[Panel]:
    """Panels with their show face: the side that carries the pockets if only one does, else the
    face that looks away from the assembly's centre (+n when it stands in the middle)."""
    if not panels:
        return []
    centres = np.array([p.centre() for p in panels])
    middle = (centres.min(axis=0) + centres.max(axis=0)) / 2
    return [
        replace(p, show=_show(p, float((c - middle) @ p.frame.n)))
        for p, c in zip(panels, centres, strict=True)
    ]


def _show(panel: Panel, outward: float) -> Show:
    sides = {p.side for p in panel.pockets}
    if len(sides) == 1:
        return next(iter(sides))
    return "+n" if round(outward, 3) >= 0 else "-n"
