# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Whether the loops that were read account for the whole solid.

The kernel's own check of a shape takes ten times as long as reading it, so it is asked only about
solids that are left out. A closed surface made of upright walls and of level faces that are flat, whose two
sides show one and the same region bounded by loops that do not meet, is the board that those
loops describe: nothing is left for the kernel to find.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import crossing
from flatwright.panels.own_frame import OwnFrame
from flatwright.panels.reasons import LEVEL, NotAPanel
from flatwright.panels.solid import starts
from flatwright.panels.view import View


def check_sound(
    view: View, faces: Iterable[int], own: OwnFrame, outer: Outline, holes: Sequence[Outline]
) -> None:
    """Raise NotAPanel when a level face is not flat, or when loops cross, meet or lie outside the outline."""
    if not all(_is_flat(view, i) for i in faces):
        raise NotAPanel("the edges of a face do not lie in it")
    place = crossing(outer, holes)
    if place is not None:
        where = own.in_model(place)
        raise NotAPanel(f"its outline or a hole touches or crosses itself or another at {where}")


def _is_flat(view: View, i: int) -> bool:
    points = np.concatenate([starts(wire) for wire in view.curves(i)])
    height = float(view.solid.faces[i].point @ view.normal)
    return bool(np.abs(points @ view.normal - height).max() < LEVEL)
