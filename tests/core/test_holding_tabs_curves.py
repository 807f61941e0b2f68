# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs of parts with curves all round, of slender ones, and where room is short (DESIGN §8)."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from flatwright import resources
from flatwright.bits.figures import full_slot
from flatwright.geometry.outline import Outline, circle, polygon_outline, rectangle
from flatwright.holding.ground import FIRM
from flatwright.plan import Panel, Placement
from flatwright.presets.reading import load
from support.shopwork import THICK, panel, sheet, shop
from support.tabbing import alone, plate, tabbed


def chain_of_arcs(rx: float, ry: float, n: int) -> Outline:
    """An ellipse of 4 n arcs through points on it, each half way bent as the ellipse is."""
    at = [(rx * math.cos(a), ry * math.sin(a)) for a in np.linspace(0, math.tau, 8 * n, endpoint=False)]
    points, middles = np.array(at[::2]), np.array(at[1::2])
    chords = np.roll(points, -1, axis=0) - points
    rise = np.linalg.norm(middles - (points + chords / 2), axis=1)
    return Outline(points, 2.0 * rise / np.linalg.norm(chords, axis=1))


def test_a_free_curve_of_many_short_arcs_is_held_as_a_disc_is() -> None:
    """No arc of it is as long as a tab takes."""
    outline = chain_of_arcs(220, 120, 12)
    assert max(s.length for s in outline.segments()) < 29.0 < 2 * (8.0 + THICK / 3 + 6.0)
    tabs, (found,) = alone(panel("seat", outline))
    assert len(tabs) == 3
    assert found.code == "holding.tabs-relaxed"
    assert "3 of its tabs on a gentle curve" in found.message
    assert "draw straight edges of 41 mm that run with the grain" in found.remedy
    assert "mates" not in found.remedy
    assert shapely.MultiPoint([(t.x, t.y) for t in tabs]).convex_hull.contains(shapely.Point(420, 320))


def test_on_such_a_curve_they_keep_off_corners_sharp_bends_and_what_must_stay_clear() -> None:
    """The ends of a flat ellipse bend with less than 25 mm."""
    whole = chain_of_arcs(220, 60, 12)
    middle = (420.0, 260.0)
    before, _ = alone(panel("bow", whole))
    first = (before[0].x - middle[0], before[0].y - middle[1])
    segments = whole.segments()
    k = min(range(len(segments)), key=lambda n: segments[n].distance(first))
    keep = segments[k - 1].part(0.8, 0.9)
    tabs, _ = alone(panel("bow", whole), clear={"bow": [keep]})
    assert len(before) == len(tabs) == 3
    at = [(t.x - middle[0], t.y - middle[1]) for t in tabs]
    assert keep.distance(first) < 14.0, "or it would not have to move"
    assert min(keep.distance(p) for p in at) > 14.0
    bends = [s for s in segments if s.radius < 25.0]
    assert bends
    assert min(s.distance(p) for s in bends for p in at) > 20.0


def test_the_drop_of_a_big_round_opening_hangs_on_its_curve() -> None:
    """It was milled to chips."""
    ring = panel("ring", circle((0, 0), 300), holes=(circle((0, 0), 220).cw(),))
    tabs, findings = alone(ring)
    assert "holding.drop-milled" not in {f.code for f in findings}
    inside = [t for t in tabs if math.dist((t.x, t.y), (500, 500)) < 221.0]
    assert len(inside) == 2


@pytest.mark.parametrize(("w", "count"), [(25.0, 5), (60.0, 3), (200.0, 3)])
def test_a_slender_part_does_not_give_way_between_its_tabs(w: float, count: int) -> None:
    """A batten of 1200 mm or more on three tabs bends from the bit: F L³ / 48 E I (textbook), 15 N of cutting
    force, birch with half of its plies along it."""
    laid = sheet(Placement("batten", 100, 200, 0, False), size=(2440.0, 750.0))
    tabs, findings = tabbed(laid, plate(2000, w, "batten"))
    assert findings == []
    assert len(tabs) == count
    at = sorted(t.x for t in tabs)
    force = full_slot(shop().bits[0], shop().feeds[0]).force
    gives = force * max(np.diff(at)) ** 3 / (48 * 8750 * THICK * w**3 / 12)
    assert gives < 0.25


def test_along_a_very_slender_part_they_stand_evenly() -> None:
    laid = sheet(Placement("lath", 100, 200, 0, False), size=(2440.0, 750.0))
    tabs, _ = tabbed(laid, plate(2300, 16, "lath"))
    gaps = np.diff(sorted(t.x for t in tabs))
    assert len(tabs) > 7
    assert max(gaps) < 1.05 * min(gaps)


@pytest.mark.parametrize("name", ["metric", "inch"])
def test_the_starters_lay_parts_out_with_firm_wood_between_their_kerfs(name: str) -> None:
    """With less every tab towards a neighbour is a bridge to it."""
    starter = load(resources.path(f"presets/{name}.shop.json"))
    assert starter.layout.spacing >= 2.0 * max(b.cut for b in starter.bits) + FIRM + 0.1


def test_mates_are_spoken_of_only_where_they_take_room_from_tabs() -> None:
    one = panel("seat", circle((0, 0), 150), holes=(rectangle(-50, -9, 50, 9).cw(),))
    _, (found, *_) = alone(one, mating={"seat": one.holes[0].segments()})
    assert found.code == "holding.tabs-relaxed"
    assert "mates" not in found.remedy


def test_a_thin_ring_hangs_on_more_tabs_than_a_wide_one() -> None:
    """15 mm of wood from tab to tab along a third of its round would give way by half a millimetre."""

    def ring(inside: float) -> Panel:
        return panel("ring", circle((0, 0), 200), holes=(circle((0, 0), inside).cw(),))

    def count(one: Panel) -> int:
        return sum(math.dist((t.x, t.y), (400, 400)) > 199.0 for t in alone(one)[0])

    assert count(ring(185.0)) == 5
    assert count(ring(120.0)) == 3


def test_a_panel_full_of_holes_is_not_slender() -> None:
    holes = tuple(circle((x, y), 15).cw() for x in range(50, 600, 100) for y in range(50, 400, 60))
    tabs, _ = alone(panel("tray", rectangle(0, 0, 600, 400), holes=holes))
    assert len(tabs) == 3


def many_sided(n: int, r: float) -> Outline:
    turns = [math.tau * k / n for k in range(n)]
    return polygon_outline([(r * math.cos(a), r * math.sin(a)) for a in turns])


def test_a_round_drawn_as_short_lines_is_held_as_a_disc_is() -> None:
    """72 lines of 13 mm; a tab takes 41."""
    tabs, (found,) = alone(panel("seat", many_sided(72, 150)))
    assert len(tabs) == 3
    assert "3 of its tabs on a gentle curve" in found.message


@pytest.mark.parametrize(("n", "r"), [(24, 100.0), (72, 20.0)])
def test_corners_and_sharp_rounds_of_short_lines_are_no_curve(n: int, r: float) -> None:
    """They turn by 15 degrees each, or as a round of 20 mm does."""
    tabs, (found,) = alone(panel("seat", many_sided(n, r)))
    assert tabs == ()
    assert found.code == "holding.no-tab"


@pytest.mark.parametrize(("gap", "told"), [(16.0, True), (32.0, False)])
def test_slender_parts_side_by_side_with_a_thin_strip_between_are_told(gap: float, told: bool) -> None:
    """Between kerfs of 6 mm, 4 mm are left over the whole length."""
    laid = sheet(
        *(Placement(f"batten {k}", 100, 200 + k * (25 + gap), 0, False) for k in range(2)),
        size=(2440.0, 750.0),
    )
    _, findings = tabbed(laid, *(plate(2000, 25, f"batten {k}") for k in range(2)))
    assert [f.code for f in findings] == ["holding.thin-waste"] * (2 if told else 0)
    assert all("32 mm of spacing or more" in f.remedy for f in findings)


def test_slender_parts_that_meet_end_to_end_are_not() -> None:
    laid = sheet(
        *(Placement(f"batten {k}", 50 + k * 1216, 200, 0, False) for k in range(2)), size=(2600.0, 750.0)
    )
    tabs, findings = tabbed(laid, *(plate(1200, 16, f"batten {k}") for k in range(2)))
    assert len(tabs) > 6
    assert findings == []
