# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Panels with pockets in both faces: what is cut before the sheet is turned over, pins, screws, findings."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any, get_args

import pytest
import shapely
from shapely.affinity import scale

from flatwright import resources
from flatwright.findings import Finding
from flatwright.geometry.outline import rectangle
from flatwright.geometry.polygon import polygon
from flatwright.holding.pins import ASKEW, RIM, place_pins
from flatwright.joints.piece import surroundings
from flatwright.plan import Axis, Panel, Sheet, placed
from flatwright.plan_json import PlanError, from_json, to_json
from flatwright.presets.model import KeepOut, Layout, Preset, ReliefRules, SheetStock
from flatwright.presets.reading import load
from flatwright.proof.check import prove_alone
from flatwright.reports.operator_sheet import operator_sheet
from support.corpus.both_faces import back_to_back, divided_cabinet
from support.laws import fitted
from support.pieces import board
from support.planned_work import File, Work, shop, shown, work_of


@cache
def cabinet(axis: Axis = "x") -> Work:
    return work_of(shown(divided_cabinet(18.0, 0.0).panels), flipping(axis=axis))


def flipping(preset: Preset | None = None, **rules: Any) -> Preset:
    preset = preset or shop()
    return replace(preset, flipping=replace(preset.flipping, **rules))


def of(work: Work, code: str) -> list[Finding]:
    return [f for f in work.findings if f.code == code]


def lines(f: File, below: float) -> list[shapely.Geometry]:
    """The feed moves that go below a height, in the file's own places, arcs as their chords."""
    out, at = [], None
    for r in f.rows:
        if r.g:
            if at is not None and r.g != "G0" and min(at[2], r.z) < below:
                to = (r.x, r.y)
                out.append(shapely.LineString([at[:2], to]) if at[:2] != to else shapely.Point(to))
            at = (r.x, r.y, r.z)
    return out


def back(work: Work, shape: shapely.Geometry) -> shapely.Geometry:
    """From where the sheet lay at first to its own places."""
    (sheet,) = work.plan.sheets
    assert sheet.flip is not None
    middle = (sheet.size[0] / 2, sheet.size[1] / 2)
    return (
        scale(shape, 1, -1, origin=middle) if sheet.flip.axis == "x" else scale(shape, -1, 1, origin=middle)
    )


def woods(work: Work) -> dict[str, shapely.Polygon]:
    (sheet,) = work.plan.sheets
    return {p.panel: polygon(placed(work.plan.panel(p.panel).outline, p).ccw()) for p in sheet.placements}


@pytest.mark.parametrize("axis", get_args(Axis))
def test_the_proof_finds_nothing(axis: Axis) -> None:
    assert cabinet(axis).codes() == set()


@pytest.mark.parametrize("axis", get_args(Axis))
def test_before_it_is_turned_only_pockets_and_pins_are_cut_and_afterwards_no_pin(axis: Axis) -> None:
    files = cabinet(axis).files.values()
    first = {o.kind for f in files if f.underside for o in f.operations}
    second = {o.kind for f in files if not f.underside for o in f.operations}
    assert first == {"spots", "pin", "pocket", "park"}
    assert second == {"pocket", "outside", "park"}


def test_the_sheet_stays_whole_until_it_is_turned() -> None:
    work = cabinet()
    (sheet,) = work.plan.sheets
    assert sheet.flip is not None
    floor = sheet.thickness - 6.0 - 0.5  # the housings are 6 mm deep and 0.5 mm clear of the tips
    pins = [shapely.Point(p.x, p.y).buffer(1.01) for p in sheet.flip.pins]
    for f in work.files.values():
        deep = [back(work, s) for s in lines(f, floor - 0.01)] if f.underside else []
        assert all(any(p.covers(s) for p in pins) for s in deep)


@pytest.mark.parametrize("axis", get_args(Axis))
def test_pins_stand_in_firm_waste_and_are_their_own_mirror_images(axis: Axis) -> None:
    work = cabinet(axis)
    (sheet,) = work.plan.sheets
    assert sheet.flip is not None
    points = [shapely.Point(p.x, p.y) for p in sheet.flip.pins]
    assert len(points) == 2
    for p in points:
        assert min(back(work, p).distance(q) for q in points) < 1e-6
        assert shapely.box(0, 0, *sheet.size).boundary.distance(p) >= 4.0 + RIM - 1e-6
        assert all(w.distance(p) >= 6.0 + 3.0 + 4.0 - 1e-6 for w in woods(work).values()), (
            "bit, margin, radius"
        )
        assert all(math.dist((w.x, w.y), (p.x, p.y)) >= 4.25 + 3.0 + 4.0 - 1e-6 for w in sheet.screws)
    along = 0 if axis == "x" else 1
    middle = sum((p.x, p.y)[along] for p in points)
    assert abs(middle - sheet.size[along]) >= ASKEW, "turned end for end it lies off its place"


@pytest.mark.parametrize("axis", get_args(Axis))
def test_screws_stand_clear_of_the_cuts_of_both_sides(axis: Axis) -> None:
    work = cabinet(axis)
    (sheet,) = work.plan.sheets
    for f in work.cuts():
        swept = [back(work, s) if f.underside else s for s in lines(f, sheet.thickness)]
        path = shapely.union_all(swept)
        for w in sheet.screws:
            assert path.distance(shapely.Point(w.x, w.y)) >= 3.0 + 4.25 + 3.0 - 0.05, "bit, head, margin"


def test_spot_marks_are_made_once_where_the_screws_are_before_it_is_turned() -> None:
    work = cabinet()
    (spots,) = [f for f in work.files.values() if f.kind == "spots"]
    assert spots.underside
    marks = {(round(r.x, 3), round(r.y, 3)) for r in spots.rows if r.g == "G1"}
    (sheet,) = work.plan.sheets
    assert marks == {(round(w.x, 3), round(600.0 - w.y, 3)) for w in sheet.screws}


def test_a_sheet_without_such_panels_is_as_it_was() -> None:
    work = work_of(
        [board("plate", rectangle(0, 0, 200, 120), pockets=[(rectangle(40, 40, 80, 80), 5.0, "-n")])]
    )
    (sheet,) = work.plan.sheets
    assert sheet.flip is None
    assert not any(f.underside or ".side-" in f.name for f in work.files.values())


def _board_top(p: Preset) -> Preset:
    return replace(p, machine=replace(p.machine, zero="board top"))


def _nails(p: Preset) -> Preset:
    fasteners = replace(p.holding.fasteners, kind="composite nail")
    return replace(p, holding=replace(p.holding, fasteners=fasteners))


def _onion_skin(p: Preset) -> Preset:
    return replace(p, holding=replace(p.holding, method=("onion skin", "screws")))


def _finish_pass(p: Preset) -> Preset:
    return replace(p, entries=replace(p.entries, finish_allowance=0.4))


@pytest.mark.parametrize("change", [_board_top, _nails, _onion_skin, _finish_pass])
def test_other_shops_are_proven_too(change: Callable[[Preset], Preset]) -> None:
    work = work_of(shown(back_to_back(18.0, 0.0).panels), change(shop()))
    assert work.plan.sheets[0].flip is not None
    assert work.codes() == set()


def test_the_inch_starter_turns_sheets_too() -> None:
    inch = load(resources.path("presets/inch.shop.json"))
    panels = shown(divided_cabinet(19.05, 0.0).panels)
    work = work_of(panels, inch, ["19.05:18.22,18.25,18.24,18.21"])
    (sheet,) = work.plan.sheets
    assert sheet.flip is not None
    assert sheet.flip.diameter == pytest.approx(25.4 * 5 / 16)
    assert work.codes() == set()


def test_a_changer_gets_one_file_for_each_side() -> None:
    work = work_of(shown(divided_cabinet(18.0, 0.0).panels), shop(bit_change="automatic"))
    assert [n.removeprefix("sheet-1.") for n in work.files] == [
        "side-1.spots.nc",
        "side-1.cut.nc",
        "side-2.cut.nc",
    ]


@pytest.mark.parametrize(("kind", "off"), [("dead area", 4.0), ("clamp", 25.0 + 4.0)])
def test_pins_keep_off_what_is_on_the_bed_in_either_set_up(kind: Any, off: float) -> None:
    left = KeepOut("left", kind, (0.0, 290.0, 14.0, 340.0), 30.0)
    work = work_of(shown(divided_cabinet(18.0, 0.0).panels), shop(keep_outs=(left,)))
    (sheet,) = work.plan.sheets
    assert sheet.flip is not None
    for p in sheet.flip.pins:
        for y in (p.y, 600.0 - p.y):
            assert shapely.box(*left.corners).distance(shapely.Point(p.x, y)) >= off
    assert work.codes() == set()


def test_a_sheet_without_room_for_pins_says_how_much_edge_would_do() -> None:
    preset = replace(shop(), layout=Layout((SheetStock(600.0, 226.0),), edge=10.0, spacing=16.0))
    plate = board(
        "plate", rectangle(0, 0, 580, 206),
        pockets=[(rectangle(60, 60, 100, 100), 5.0, "-n"), (rectangle(160, 60, 200, 100), 5.0, "+n")],
    )  # fmt: skip
    (found,) = of(work_of([plate], preset), "holding.no-pin-place")
    assert found.sheet == "sheet-1"
    assert "24.0 mm to the sheet's edge (layout.edge, now 10)" in found.remedy


def test_with_the_edge_that_is_asked_for_there_is_room_on_a_full_sheet() -> None:
    preset = replace(shop(), layout=Layout((SheetStock(628.0, 254.0),), edge=24.0, spacing=16.0))
    plate = board(
        "plate", rectangle(0, 0, 580, 206),
        pockets=[(rectangle(60, 60, 100, 100), 5.0, "-n"), (rectangle(160, 60, 200, 100), 5.0, "+n")],
    )  # fmt: skip
    work = work_of([plate], preset)
    assert work.plan.sheets[0].flip is not None
    assert not [c for c in work.codes() if c != "proof.unmeasured"]


def test_pins_that_fit_end_for_end_too_are_told() -> None:
    sheet = Sheet("sheet-1", "birch 18", 18.0, (400.0, 400.0))
    strips = shapely.union_all([shapely.box(0, 190, 15, 210), shapely.box(385, 190, 400, 210)])
    taken = shapely.box(0, 0, 400, 400).difference(strips.buffer(8.0, join_style="mitre"))
    flip, found = place_pins(sheet, taken, {}, shop())
    assert flip is not None
    assert [f.code for f in found] == ["holding.pins-alike"]


def test_a_bit_too_short_for_the_pins_is_named_with_the_depth() -> None:
    preset = shop()
    short = replace(preset, bits=tuple(replace(b, cutting_length=20.0) for b in preset.bits))
    (found,) = of(work_of(shown(divided_cabinet(18.0, 0.0).panels), short), "cutting.no-pin-bit")
    assert found.severity == "error"
    assert "23.75 mm deep" in found.message


def opposite(deep: float, other: float) -> Panel:
    return board(
        "plate", rectangle(0, 0, 200, 120),
        pockets=[(rectangle(40, 40, 80, 80), deep, "-n"), (rectangle(60, 20, 100, 60), other, "+n")],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("deep", "other", "code", "words"),
    [
        (8.0, 6.0, None, ""),
        (8.0, 8.003, "bits.thin-floor", "1.67 mm of wood"),  # 17.715 planned, 17.755 the thickest
        (9.0, 8.603, "bits.pockets-meet", "0.07 mm of wood"),
        (9.0, 9.0, "bits.pockets-meet", "nothing"),
    ],
)
def test_wood_between_opposite_pockets_in_the_thickest_board(
    deep: float, other: float, code: str | None, words: str
) -> None:
    work = work_of([opposite(deep, other)])
    found = [f for f in work.findings if f.code.startswith("bits.")]
    assert [f.code for f in found] == ([code] if code else [])
    assert all(words in f.message for f in found)


def test_a_shop_that_does_not_turn_sheets_over_gets_an_error_with_the_remedy() -> None:
    work = work_of(shown(divided_cabinet(18.0, 0.0).panels), flipping(enabled=False))
    (found,) = of(work, "panel.two-faces")
    assert (found.severity, found.panels) == ("error", ("divider",))
    assert "flipping.enabled" in found.remedy


def test_the_operators_paper_has_both_maps_and_the_steps_between() -> None:
    work = cabinet()
    page = operator_sheet(work.plan, work.preset, work.findings, title="Puzzle cabinet").replace(
        "\u00a0", " "
    )
    assert "Map of sheet-1, side 1" in page
    assert "Map of sheet-1, side 2" in page
    order = [
        "Run sheet-1.side-1.cut-1.nc", "Take all", "Lift the sheet off and set 2 dowels",
        "Turn the sheet over about X", "again</b>", "Run sheet-1.side-2.cut-1.nc", "Pull the dowels",
    ]  # fmt: skip
    places = [page.index(words) for words in order]
    assert places == sorted(places)
    assert "comes to lie at Y 600 mm" in page
    assert "none longer than 22.7 mm" in page, "17.68 + 6 - 1"


def test_without_a_plan_the_holes_of_pins_are_told_with_what_would_explain_them() -> None:
    work = cabinet()
    (first,) = [f for f in work.cuts() if f.underside]
    findings, _ = prove_alone({first.name: first.text()}, work.preset, thickness=17.7, size=(900.0, 600.0))
    (found,) = [f for f in findings if f.code == "proof.overcut"]
    assert "--plan" in found.remedy


def test_the_plan_comes_back_from_its_file_and_a_turning_about_nothing_is_refused() -> None:
    plan = cabinet("y").plan
    data = to_json(plan)
    assert from_json(json.loads(json.dumps(data))).sheets == plan.sheets
    data["sheets"][0]["flip"]["axis"] = "z"
    with pytest.raises(PlanError, match="about x or y"):
        from_json(data)


def test_pockets_of_opposite_faces_leave_each_others_reliefs_room() -> None:
    """Floors lie between them: a housing keeps its closed ends, on which its shelf bears, beside the blind
    mortises of the other face."""
    model = back_to_back(9.0, 1.0)
    (around,) = [s for s in surroundings(fitted(model, {9.0: 8.865}).piece) if s.panel.name == "upright"]
    done = around.relieve([3.0] * len(around.panel.loops()), ReliefRules(minimum_web=6.0))
    assert not [f for f in done.findings if f.severity != "note"]
    assert len(done.reliefs) == 12
    (housing,) = [p for p in around.panel.pockets if p.side == "-n"]
    ends = {round(x, 3) for x, _ in housing.outline.points.tolist()}
    assert not [r for r in done.reliefs if round(r.centre[0], 3) in ends], "a relief along a closed end"
