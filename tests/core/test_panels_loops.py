# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Curves of faces as lines and arcs in the plane."""

from __future__ import annotations

import numpy as np
import pytest

from flatwright.panels.loops import plane_segments
from flatwright.panels.solid import Curve


@pytest.mark.parametrize(("off", "line"), [(1e-4, True), (-9e-4, True), (2e-3, False), (-0.5, False)])
def test_an_arc_of_many_metres_radius_is_a_line(off: float, line: bool) -> None:
    start, middle, end = (np.array([x, y, 5.0]) for x, y in ((0.0, 0.0), (50.0, off), (100.0, 0.0)))
    x, y = np.eye(3)[:2]
    ((segment,),) = plane_segments([[Curve("arc", start, end, mid=middle)]], x, y)
    assert segment.is_line is line and (segment.p, segment.q) == ((0.0, 0.0), (100.0, 0.0))
