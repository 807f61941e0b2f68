# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which way the broad faces of a solid look."""

from __future__ import annotations

from flatwright.panels.find import find_panels
from support.solids import prism


def rect(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def test_a_grille_whose_slots_have_more_wall_than_it_has_face_is_a_board() -> None:
    slots = [rect(10 + 12.7 * k, 20, 16.5 + 12.7 * k, 180) for k in range(30)]
    (panel,), findings = find_panels([prism("grille", [rect(0, 0, 400, 200), *slots])])
    assert findings == [] and panel.thickness == 18.0 and len(panel.holes) == 30


def test_a_rack_with_open_slots_is_a_board() -> None:
    comb = [(0.0, 0.0), (400.0, 0.0), (400.0, 60.0)]
    for k in reversed(range(28)):
        x = 20.0 + 13 * k
        comb += [(x + 9, 60.0), (x + 9, 20.0), (x, 20.0), (x, 60.0)]
    (panel,), findings = find_panels([prism("rack", [[*comb, (0.0, 60.0)]])])
    assert findings == [] and panel.thickness == 18.0 and len(panel.outline) == 116


def test_a_narrow_strip_with_a_long_mortise_is_a_board() -> None:
    (panel,), findings = find_panels([prism("strip", [rect(0, 0, 300, 22), rect(40, 8, 260, 14)], 12.0)])
    assert findings == [] and panel.thickness == 12.0 and len(panel.holes) == 1


def test_what_is_no_board_from_any_side_is_told_with_the_reason_of_its_largest_faces() -> None:
    low, high = rect(0, 0, 400, 100), rect(0, 0, 382, 100)
    panels, (found,) = find_panels([prism("mitred", [low], top=[high])])
    assert panels == [] and found.code == "panel.left-out"
    assert "thicker" not in found.message
