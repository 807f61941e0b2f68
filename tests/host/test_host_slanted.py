# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A leaning board cut out of a flat one, as people draw it: two solids and one boolean cut."""

from __future__ import annotations

import math
from typing import Any

import pytest

from flatwright.panels.find import find_panels
from support.documents import feature, turned

T, LEAN = 18.0, 15.0


def pieces(app: Any, where: str) -> tuple[Any, Any]:
    """A base 400 x 300 and a board 100 wide that leans about y and passes right through it, in the middle
    or at the edge y = 300, where half of it stands out of the base."""
    import Part

    mate = Part.makeBox(T, 100, 300, app.Vector(-T / 2, -50, -150))
    middle = (200, 150, T / 2) if where == "middle" else (200, 300, T / 2)
    mate.Placement = turned((0, 1, 0), LEAN, middle)
    base = Part.makeBox(400, 300, T).cut(mate)
    return base, mate


@pytest.mark.parametrize("where", ["middle", "edge"])
def test_the_slot_of_a_leaning_board_is_read_with_upright_walls(app: Any, document: Any, where: str) -> None:
    from flatwright.host.shapes import panel_solid
    from flatwright.host.solids import read_solids

    base, mate = pieces(app, where)
    feature(document, "Base", base)
    feature(document, "Mate", mate)
    panels, findings = find_panels(read_solids(document)[0])
    assert [p.name for p in panels] == ["Base", "Mate"]
    assert [f.code for f in findings] == ["panel.slanted-slot"]
    a = math.radians(LEAN)
    width = T / math.cos(a) + T * math.tan(a)
    length = 100.0 if where == "middle" else 50.0
    board = panel_solid(panels[0])
    assert board.Volume == pytest.approx((400 * 300 - width * length) * T, rel=1e-9)
    assert board.common(mate).Volume == pytest.approx(0.0, abs=1e-6)
    assert board.cut(base).Volume == pytest.approx(0.0, abs=1e-6)
