# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Awkward solids of the host: each is read with the volume that it has, or named; none breaks the reading."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from flatwright.panels.find import find_panels
from support.documents import feature

Make = Callable[[Any], Any]


def block(app: Any, x0: float, y0: float, z0: float, x1: float, y1: float, z1: float) -> Any:
    import Part

    return Part.makeBox(x1 - x0, y1 - y0, z1 - z0, app.Vector(x0, y0, z0))


def plate(app: Any) -> Any:
    return block(app, 0, 0, 0, 200, 100, 18)


def pocketed(app: Any, *pockets: tuple[float, ...]) -> Any:
    shape = plate(app)
    for corners in pockets:
        shape = shape.cut(block(app, *corners))
    return shape


def pillar(app: Any, x: float, y: float, r: float) -> Any:
    import Part

    return Part.makeCylinder(r, 40, app.Vector(x, y, -5))


def over(app: Any, *curves: Any) -> Any:
    import Part

    wire = Part.Wire([c.toShape() for c in curves])
    return plate(app).cut(Part.Face(wire).extrude(app.Vector(0, 0, 40)))


def arc_ended(app: Any) -> Any:
    """A slot whose one end is a shallow arc."""
    import Part

    v = app.Vector
    a, b, c, d = v(40, 40, -5), v(100, 40, -5), v(100, 58, -5), v(40, 58, -5)
    return over(
        app, Part.LineSegment(a, b), Part.Arc(b, v(104, 49, -5), c), Part.LineSegment(c, d),
        Part.LineSegment(d, a),
    )  # fmt: skip


def splined(app: Any) -> Any:
    import Part

    spline = Part.BSplineCurve()
    spline.interpolate(
        [app.Vector(*p, -5) for p in ((50, 30), (90, 20), (120, 50), (80, 80))], PeriodicFlag=True
    )
    return over(app, spline)


SOUND: dict[str, Make] = {
    "a slot with round ends": lambda app: plate(app).cut(
        [pillar(app, 50, 50, 9), pillar(app, 100, 50, 9), block(app, 50, 41, -1, 100, 59, 19)]
    ),
    "a slot that ends on an arc": arc_ended,
    "a slot that runs into a round edge": lambda app: plate(app)
    .cut(pillar(app, 200, 50, 60))
    .cut(block(app, 120, 41, -1, 190, 59, 19)),
    "a hole bounded by a spline": splined,
    "broad faces left split": lambda app: block(app, 0, 0, 0, 100, 100, 18).fuse(
        block(app, 100, 0, 0, 200, 100, 18)
    ),
    "walls left split": lambda app: block(app, 0, 0, 0, 200, 100, 9).fuse(block(app, 0, 0, 9, 200, 100, 18)),
    "a pocket within a pocket": lambda app: pocketed(
        app, (50, 20, 12, 150, 80, 19), (80, 40, 6, 100, 60, 19)
    ),
    "pockets that meet in a corner": lambda app: pocketed(
        app, (50, 20, 12, 100, 50, 19), (100, 50, 12, 150, 80, 19)
    ),
    "pockets of two depths side by side": lambda app: pocketed(
        app, (50, 20, 12, 100, 80, 19), (100, 20, 8, 150, 80, 19)
    ),
    "a pocket over a hole": lambda app: pocketed(
        app, (50, 20, 12, 150, 80, 19), (80, 40, -1, 100, 60, 19)
    ),
    "a pocket whose rim a hole cuts": lambda app: pocketed(
        app, (50, 20, 12, 150, 80, 19), (140, 40, -1, 160, 60, 19)
    ),
    "pockets from both sides that open a hole": lambda app: pocketed(
        app, (50, 20, 9, 150, 80, 19), (100, 40, -1, 180, 60, 9)
    ),
    "a pocket that runs out over a corner": lambda app: pocketed(app, (150, 60, 12, 210, 110, 19)),
}  # fmt: skip


@pytest.mark.parametrize("kind", SOUND)
def test_it_is_read_with_the_volume_that_it_has(app: Any, document: Any, kind: str) -> None:
    from flatwright.host.shapes import panel_solid
    from flatwright.host.solids import read_solids

    shape = SOUND[kind](app)
    if len(shape.Solids) == 1:
        shape = shape.Solids[0]
    assert shape.isValid()
    feature(document, "Side", shape)
    solids, _ = read_solids(document)
    panels, findings = find_panels(solids)
    assert findings == []
    again = sum(panel_solid(p).Volume for p in panels)
    curved = 0.01 * 18 * 300 if "spline" in kind else 1e-4  # a free curve is followed within 0.01 mm
    assert again == pytest.approx(shape.Volume, abs=curved)


LEFT_OUT: dict[str, tuple[Make, str]] = {
    "an island in a pocket": (
        lambda app: plate(app).cut(
            block(app, 50, 20, 12, 150, 80, 19).cut(block(app, 80, 40, 0, 100, 60, 20))
        ),
        "island standing at x 90.0, y 50.0",
    ),
    "a void inside": (lambda app: pocketed(app, (50, 20, 6, 100, 50, 12)), "undercut"),
    "a groove in an edge": (lambda app: pocketed(app, (-1, 20, 6, 50, 50, 12)), "groove in its edge"),
    "a board without thickness": (lambda app: block(app, 0, 0, 0, 200, 100, 0.05), "no thickness"),
}


@pytest.mark.parametrize("kind", LEFT_OUT)
def test_it_is_left_out_and_named(app: Any, document: Any, kind: str) -> None:
    from flatwright.host.solids import read_solids

    make, words = LEFT_OUT[kind]
    feature(document, "Side", make(app))
    panels, findings = find_panels(read_solids(document)[0])
    assert panels == []
    assert [(f.code, f.where) for f in findings] == [("panel.left-out", "Side")]
    assert words in findings[0].message
