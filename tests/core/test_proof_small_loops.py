# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A hole little wider than its bit is cut clean through, whatever buffers the path of the bit."""

from __future__ import annotations

import math

import numpy as np
import shapely

from flatwright.proof import removal


def test_a_small_circle_from_its_middle_and_back_leaves_no_core() -> None:
    # as a bit of 6 mm widens a hole to 8 mm; shapely 2.0 (GEOS 3.11) drew 9 mm² too little
    turns = np.linspace(0.0, 2.0 * math.pi, 51)
    circle = np.column_stack([np.cos(turns), np.sin(turns)])
    path = np.concatenate([[[0.0, 0.0]], circle, [[0.0, 0.0]]])
    gone = removal._swept(path[:-1], path[1:], 3.0)
    assert shapely.area(gone) > 0.999 * math.pi * 4.0**2
    assert gone.covers(shapely.Point(0, 0).buffer(3.9))
