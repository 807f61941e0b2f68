# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A slot that a solid cut left with slanted walls is read as the upright slot that clears them.

The width of the upright slot is that of the published rule of thumb for a leaning board that passes
right through: t / cos a + d · tan a (DESIGN §4; plain trigonometry, no source needed).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import rectangle
from flatwright.panels.find import find_panels
from flatwright.plan import Panel
from support.solids import HERE, Ring, prism

OUTLINE = [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)]
ANYWHERE = Frame.of((50.0, -20.0, 7.0), (1, 2, 0), (2, -1, 3))


def box(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def shifted(ring: Ring, dx: float, dy: float = 0.0) -> list[tuple[float, float]]:
    return [(x + dx, y + dy) for x, y in ring]


def slotted(degrees: float, t: float = 18.0, frame: Frame = HERE) -> tuple[list[Panel], list[str], float]:
    """A board with a slot cut by a mate of thickness t that leans so much: what is read, what is said and
    the width that its slot should have."""
    a = math.radians(degrees)
    slot = box(150, 100, 150 + t / math.cos(a), 200)
    solid = prism("base", [OUTLINE, slot], t, top=[OUTLINE, shifted(slot, t * math.tan(a))], frame=frame)
    panels, findings = find_panels([solid])
    return panels, [f.code for f in findings], t / math.cos(abs(a)) + t * math.tan(abs(a))


@pytest.mark.parametrize("degrees", [-45.0, -30.0, -10.0, 0.5, 5.0, 20.0, 44.0])
@pytest.mark.parametrize("frame", [HERE, ANYWHERE])
def test_a_slanted_slot_gets_the_width_that_lets_the_leaning_board_pass(degrees: float, frame: Frame) -> None:
    panels, codes, width = slotted(degrees, frame=frame)
    assert codes == ["panel.slanted-slot"]
    (hole,) = panels[0].holes
    x0, y0, x1, y1 = hole.bounds()
    sizes = sorted([x1 - x0, y1 - y0])
    assert len(hole) == 4
    assert sizes == pytest.approx(sorted([width, 100.0]), abs=1e-6)
    assert -hole.area() == pytest.approx(width * 100.0, abs=1e-4)


def test_the_note_names_place_and_angle() -> None:
    a = math.radians(15)
    slot = box(150, 100, 170, 200)
    solid = prism("base", [OUTLINE, slot], top=[OUTLINE, shifted(slot, 18 * math.tan(a))])
    (finding,) = find_panels([solid])[1]
    middle = 160 + 9 * math.tan(a)
    assert finding.where == f"base at ({middle:.1f}, 150.0)"
    assert "15.0°" in finding.message


def test_what_stays_is_the_wood_seen_on_both_faces() -> None:
    """A notch open to the edge, between two upright holes; its upright bottom stays."""
    lean = 4.0
    low = [(0, 0), (400, 0), (400, 300), (220, 300), (220, 220), (200, 220), (200, 300), (0, 300)]
    high = [(x + lean, y) if 190 < x < 230 else (x, y) for x, y in low]
    hole = box(50, 50, 80, 90)
    solid = prism("base", [low, hole], top=[high, hole])
    panels, findings = find_panels([solid])
    assert [f.code for f in findings] == ["panel.slanted-slot"]
    (panel,) = panels
    wanted = [(0, 0), (400, 0), (400, 300), (224, 300), (224, 220), (200, 220), (200, 300), (0, 300)]
    assert np.allclose(panel.outline.points, wanted, atol=1e-9)
    assert np.allclose(panel.holes[0].bounds(), rectangle(50, 50, 80, 90).bounds())


def test_a_slot_steeper_than_its_width_leaves_no_wood_between_its_two_mouths() -> None:
    slot = box(150, 100, 155, 200)
    solid = prism("base", [OUTLINE, slot], top=[OUTLINE, shifted(slot, 12.0)])
    (panel,) = find_panels([solid])[0]
    assert np.allclose(panel.holes[0].bounds(), (150, 100, 167, 200), atol=1e-9)


REFUSED = {
    "one bevelled edge": ([OUTLINE], [box(0, 0, 390, 300)]),
    "two mitred ends that face away from each other": ([OUTLINE], [box(10, 0, 390, 300)]),
    "a board cut aslant at both ends": ([OUTLINE], [shifted(OUTLINE, 8)]),
    "a slot that widens": ([OUTLINE, box(150, 100, 170, 200)], [OUTLINE, box(148, 100, 172, 200)]),
    "a slot beyond 45 degrees": ([OUTLINE, box(150, 100, 170, 200)], [OUTLINE, box(170, 100, 190, 200)]),
    "a slot that slants in two directions": (
        [OUTLINE, box(150, 100, 170, 200)],
        [OUTLINE, box(155, 103, 175, 203)],
    ),
}


@pytest.mark.parametrize("kind", REFUSED)
def test_real_bevels_and_what_no_upright_slot_replaces_stay_left_out(kind: str) -> None:
    low, high = REFUSED[kind]
    panels, findings = find_panels([prism("base", low, top=high)])
    assert panels == []
    assert [f.code for f in findings] == ["panel.left-out"]
    assert "bevel" in findings[0].message or "two directions" in findings[0].message
