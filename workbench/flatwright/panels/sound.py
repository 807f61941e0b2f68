# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Whether the loops that were read account for the whole solid.

The kernel's own check of a shape takes ten times as long as reading it, so it is asked only about
solids that are left out. A closed surface made of upright walls and of level faces that are flat, whose two
sides show one and the same region bounded by loops that do not meet, is the board that those
loops describe: nothing is left for the kernel to find.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import CHORD, ring
from flatwright.panels.reasons import LEVEL, NotAPanel
from flatwright.panels.view import View

_FINE = 1e-5  # mm between chord and arc for the closer look


def check_sound(view: View, faces: Iterable[int], outer: Outline, holes: Sequence[Outline]) -> None:
    """Raise NotAPanel when a level face is not flat, or when loops cross, meet or lie outside the outline."""
    if not all(_is_flat(view, i) for i in faces):
        raise NotAPanel("the edges of a face do not lie in it")
    for chord in (CHORD, _FINE):  # chords may cross where arcs do not
        shape = Polygon(ring(outer, chord), [ring(h, chord) for h in holes])
        if shape.is_valid:
            return
    raise NotAPanel(f"its outline or a hole touches or crosses itself or another{_where(shape)}")


def _is_flat(view: View, i: int) -> bool:
    points = np.array([c.start for wire in view.curves(i) for c in wire])
    height = float(view.solid.faces[i].point @ view.normal)
    return bool(np.abs(points @ view.normal - height).max() < LEVEL)


def _where(shape: Polygon) -> str:
    """The place that shapely names, such as `Self-intersection[10 20]`, in words."""
    at = re.search(r"\[(\S+) (\S+?)\]", shapely.is_valid_reason(shape))
    return f" at ({float(at[1]):.1f}, {float(at[2]):.1f})" if at else ""
