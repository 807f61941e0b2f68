# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tool-centre curves against closed forms and an independent offset (CHECKS GEO-5, GEO-7, GEO-8, GCD-13)."""

from __future__ import annotations

import math

import pytest
import shapely

from flatwright.bits.reach import unreached
from flatwright.cutting.setup import Setup
from flatwright.geometry.outline import polygon_outline, rectangle
from flatwright.geometry.parallel import parallel
from flatwright.geometry.polygon import polygon
from flatwright.presets.model import Bit, Feed

PENTAGON = polygon_outline([(0, 0), (40, 0), (50, 25), (20, 45), (-5, 20)])


def test_steiner() -> None:
    """GEO-7: A + P d + πd² and P + 2πd of the pentagon, d 3 (Schneider, Convex Bodies): exact with arcs."""
    assert (PENTAGON.area(), PENTAGON.length()) == pytest.approx((1687.5, 158.95220), abs=5e-6)
    (curve,) = parallel(PENTAGON, 3.0)
    assert curve.area() == pytest.approx(2192.63095, abs=5e-6)
    assert curve.length() == pytest.approx(177.80176, abs=5e-6)
    assert polygon(curve, tolerance=1e-5).area == pytest.approx(
        polygon(PENTAGON).buffer(3.0, quad_segs=512).area, abs=0.01
    )


def test_inward_rectangle() -> None:
    """GEO-8: (a − 2d)(b − 2d) of 100 × 60, d 3: 5076."""
    (curve,) = parallel(rectangle(0, 0, 100, 60).cw(), 3.0)
    assert -curve.area() == pytest.approx(5076.0)


def test_offset_of_an_independent_interpreter() -> None:
    """GCD-13: cutter compensation G41 with a 6 mm tool, clockwise round a 40 × 30 rectangle, as the
    RS274/NGC interpreter of Debian ran it: path at 3 mm, arcs of 3 mm from (−3, 30) to (0, 33), …, from
    (43, 0) to (40, −3). Clockwise round a part is our climb milling."""
    setup = Setup(
        Bit(1, "straight", 6.0, 2, 25.0),
        Feed(1, 18000, 0.1, 6.0, 900),
        18.0,
        18.0,
        True,
        math.radians(5),
        None,
    )
    (curve,) = parallel(rectangle(0, 0, 40, 30), 3.0)
    arcs = [s for s in setup.track(curve).segments if not s.is_line]
    ends = {tuple(round(v, 6) + 0.0 for v in (*s.p, *s.q)) for s in arcs}
    assert {(-3, 30, 0, 33), (43, 0, 40, -3)} <= ends
    assert all(s.radius == pytest.approx(3.0) and s.b < 0 for s in arcs)


def test_what_a_round_bit_leaves_of_a_rectangle_and_a_triangle() -> None:
    """GEO-5: an opening by r 3 loses 4 × 1.93142 = 7.72567 of 40 × 30, and 25.72567 of the 30-40-50
    triangle (Serra, Image Analysis and Mathematical Morphology). These are usual fillets: reached."""
    for void, lost in (
        (rectangle(0, 0, 40, 30), 7.72567),
        (polygon_outline([(0, 0), (40, 0), (0, 30)]), 25.72567),
    ):
        (curve,) = parallel(void.cw(), 3.0)
        opening = shapely.Polygon(curve.points).buffer(3.0, quad_segs=512)
        assert polygon(void).area - opening.area == pytest.approx(lost, abs=1e-3)
        assert unreached(void.cw(), 6.0) == ()
