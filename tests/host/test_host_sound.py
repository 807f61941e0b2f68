# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reading decides without the kernel's slow check: it must never take what that check would refuse."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest

from flatwright.panels.find import find_panels
from support.documents import feature


def plate(app: Any) -> Any:
    """A board with a slot, a round hole and a pocket in each face."""
    import Part

    v = app.Vector
    tools = [
        Part.makeBox(60, 18, 30, v(40, 30, -5)),
        Part.makeCylinder(8, 30, v(150, 50, -5)),
        Part.makeBox(30, 20, 10, v(110, 70, 12)),
        Part.makeBox(30, 20, 10, v(-10, 70, -4)),
    ]
    return Part.makeBox(200, 100, 18).cut(tools)


def extruded(app: Any, *rings: list[tuple[float, float]]) -> Any:
    """A prism over a face with these rings, whether they make a face or not."""
    import Part

    wires = [Part.makePolygon([app.Vector(*p, 0) for p in [*r, r[0]]]) for r in rings]
    return Part.Face(wires).extrude(app.Vector(0, 0, 18))


SQUARE = [(0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0)]
BROKEN: dict[str, Callable[[Any], Any]] = {
    "crossed outline": lambda app: extruded(app, [(0, 0), (90, 60), (90, 0), (0, 40)]),
    "hole across the outline": lambda app: extruded(app, SQUARE, [(80, 20), (80, 40), (130, 40), (130, 20)]),
    "hole beside the outline": lambda app: extruded(
        app, SQUARE, [(120, 20), (120, 40), (140, 40), (140, 20)]
    ),
    "holes that cross": lambda app: extruded(
        app, SQUARE, [(20, 20), (20, 40), (50, 40), (50, 20)], [(40, 30), (40, 50), (70, 50), (70, 30)]
    ),
    "a loop that runs into itself": lambda app: extruded(
        app, [(0, 0), (100, 0), (100, 60), (50, 60), (50, -10), (40, -10), (40, 60), (0, 60)]
    ),
}


@pytest.mark.parametrize("kind", BROKEN)
def test_what_the_kernel_refuses_is_refused_with_its_reason(app: Any, document: Any, kind: str) -> None:
    from flatwright.host.solids import read_solids

    shape = BROKEN[kind](app)
    assert not shape.isValid()
    feature(document, "Side", shape)
    panels, findings = find_panels(read_solids(document)[0])
    assert panels == []
    assert [f.code for f in findings] == ["panel.invalid"]


def damaged(app: Any, rng: random.Random) -> Any:
    """The plate's solid put together again after one of its faces was turned over, replaced by a
    face with other edges, left out, or added twice."""
    import Part

    faces = plate(app).Faces
    k = rng.randrange(len(faces))
    how = rng.choice(["turned", "moved", "left out", "twice", "none"])
    if how == "turned":
        faces[k].reverse()
    if how == "moved":
        faces[k].translate(app.Vector(*(rng.choice((0.0, 0.05, 3.0)) for _ in range(3))))
    if how == "left out":
        del faces[k]
    if how == "twice":
        faces.append(faces[k].copy())
    try:
        return Part.Solid(Part.Shell(faces))
    except Part.OCCError:  # the faces do not even hang together
        return None


def test_no_damaged_solid_is_taken_for_another_board(app: Any, document: Any) -> None:
    """A kernel may find fault with a solid that still is exactly the board that is read (one wall turned
    over, say); but what is read has the volume and the extent of the shape that was drawn."""
    from flatwright.host.shapes import panel_solid
    from flatwright.host.solids import read_solids

    rng = random.Random(3)
    whole = plate(app)
    drawn = [shape for _ in range(80) if (shape := damaged(app, rng)) is not None]
    assert len({shape.isValid() for shape in drawn}) == 2
    for k, shape in enumerate(drawn):
        feature(document, f"Side {k}", shape)
    panels, findings = find_panels(read_solids(document)[0])
    assert len(panels) + len([f for f in findings if f.code.startswith("panel.")]) == len(drawn)
    assert panels and len(panels) < len(drawn)
    for panel in panels:
        again = panel_solid(panel)
        assert again.Volume == pytest.approx(whole.Volume, rel=1e-9)
        assert again.cut(whole).Volume == pytest.approx(0.0, abs=1e-6)


def test_the_kernels_check_is_not_asked_about_sound_boards(app: Any, document: Any) -> None:
    from flatwright.host.solids import read_solids

    feature(document, "Side", plate(app))
    (solid,), _ = read_solids(document)
    asked = []
    object.__setattr__(solid, "problem", lambda: asked.append(1) or "")
    panels, findings = find_panels([solid])
    assert len(panels) == 1 and not findings and not asked
    assert [(p.side, p.depth) for p in panels[0].pockets] == [("+n", 6.0), ("-n", 6.0)]
