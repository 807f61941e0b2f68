# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Vacuum beds and skins of wood in place of tabs: their sums, and the passes that go with them."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely

from flatwright.bits.figures import full_slot
from flatwright.geometry.outline import circle, rectangle
from flatwright.holding.force import SHEAR_STRENGTH, side_hold, vacuum_force
from flatwright.holding.without_tabs import across_grain, last_force
from flatwright.plan import Placement
from flatwright.presets.model import Holding, OnionSkin, Preset, Vacuum
from support.shopwork import BITS, THICK, Work, gone, legs, panel, sheet, shop, trolley, work

VACUUM = Vacuum(pressure=80.0, friction=0.3, factor=4.0)


def held_by(*method: str, **values: object) -> Preset:
    return replace(shop(), holding=Holding(method=method, vacuum=VACUUM, **values))  # type: ignore[arg-type]


def alone(w: float, h: float, preset: Preset) -> Work:
    return work(
        sheet(Placement("plate", 300, 300, 0, False)),
        {"plate": panel("plate", rectangle(0, 0, w, h))},
        preset,
    )


def bottoms(done: Work) -> list[float]:
    """Heights of the outline's passes: those of level moves longer than 30 mm."""
    moves = [g for p in done.programs for g in legs(p, done.preset) if g.operation == "outside"]
    level = {g.end[2] for g in moves if g.move.kind == "line" and g.start[2] == g.end[2]
             and math.dist(g.start[:2], g.end[:2]) > 30}  # fmt: skip
    return sorted(level, reverse=True)


def test_a_vacuum_holds_a_large_part_without_tabs() -> None:
    """HLD-3: 80 kPa and μ 0.3 on a 300 mm square hold 2160 N."""
    done = alone(300, 300, held_by("vacuum"))
    assert done.sheet.tabs == ()
    assert "holding.vacuum-weak" not in done.codes()
    assert "holding.without-tabs" not in done.codes()


def test_what_a_vacuum_cannot_hold_is_an_error_with_its_sums() -> None:
    """HLD-3: on a 40 mm square 38 N; the cut pulls with 15 N, of which four times is asked for."""
    done = alone(40, 40, held_by("vacuum"))
    (found,) = [f for f in done.findings if f.code == "holding.vacuum-weak"]
    assert found.severity == "error"
    assert found.panels == ("plate",)
    assert f"{side_hold(vacuum_force(80, 0.0016), 0.3):.0f} N by friction" in found.message


def test_with_tabs_too_only_small_parts_get_them() -> None:
    big, small = panel("big", rectangle(0, 0, 400, 300)), panel("small", rectangle(0, 0, 80, 30))
    laid = sheet(Placement("big", 100, 100, 0, False), Placement("small", 700, 100, 0, False))
    done = work(laid, {"big": big, "small": small}, held_by("tabs", "vacuum"))
    assert {t.panel for t in done.sheet.tabs} == {"small"}


def test_a_skin_and_a_vacuum_make_the_last_pass_light() -> None:
    preset = held_by("vacuum", "onion skin")
    full = full_slot(BITS[0], preset.feeds[0]).force
    light = last_force(BITS[0], "birch 18", preset)
    assert light == pytest.approx(full * (0.6 + 0.5) / 6.0), "skin and overcut of a pass of 6 mm"
    done = alone(60, 60, preset)
    assert "holding.vacuum-weak" not in done.codes()
    assert "holding.vacuum-weak" in alone(50, 50, held_by("vacuum")).codes()
    assert bottoms(done)[-2:] == pytest.approx([0.6, -0.5])
    assert done.sheet.skin == 0.0


def test_a_skin_alone_stays_under_parts_and_drops() -> None:
    laid, panels = trolley()
    done = work(laid, panels, held_by("onion skin", "screws"))
    assert done.sheet.tabs == ()
    assert done.sheet.skin == 0.6
    cutting = [g for p in done.programs[1:] for g in legs(p, done.preset)]
    around = [g for g in cutting if g.operation == "outside"]
    assert min(g.end[2] for g in around) == pytest.approx(0.6)
    part, handle = done.wood("side"), placed_centre(done)
    assert gone(cutting, 0.59).intersection(part.exterior.buffer(5).difference(part.buffer(0.1))).area < 1.0
    assert not gone(cutting, 0.0).buffer(-5).contains(handle), "the drop of the handle stays"


def placed_centre(done: Work) -> object:
    return shapely.Point(25 + 570, 50 + 160)


def test_only_edges_across_the_grain_count_for_a_skin() -> None:
    """HLD-4: a skin thinner than the face ply has no fibres across; a disc's share is twice its diameter."""
    assert across_grain(rectangle(0, 0, 300, 200), 0.0) == pytest.approx(400.0)
    assert across_grain(rectangle(0, 0, 300, 200), math.pi / 2) == pytest.approx(600.0)
    assert across_grain(circle((0, 0), 50), 0.0) == pytest.approx(200.0, rel=2e-3)


def test_a_skin_too_thin_is_said_to_be_weak() -> None:
    heavy = held_by("onion skin", onion_skin=OnionSkin(0.05))
    (found,) = [f for f in alone(120, 40, heavy).findings if f.code == "holding.skin-weak"]
    assert f"{SHEAR_STRENGTH * 80 * 0.05:.0f} N" in found.message
    assert "holding.skin-weak" not in alone(120, 40, held_by("onion skin")).codes()


def test_skin_height_counts_from_the_bed_whatever_the_board() -> None:
    done = alone(300, 200, held_by("onion skin"))
    assert bottoms(done)[-1] == pytest.approx(0.6)
    assert bottoms(done)[0] < THICK
