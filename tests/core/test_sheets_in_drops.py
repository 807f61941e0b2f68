# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Parts in the drops of big openings: only if the preset asks for it, and always held."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
import shapely

from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import Outline, circle, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.plan import Panel, Sheet, placed
from flatwright.presets.model import Preset
from flatwright.sheets.layout import lay_out
from support import planned_work
from support.layouts import panel, preset

WINDOW = rectangle(80, 70, 520, 330)  # in a frame of 600 x 400
OFF = 16.0  # mm: the spacing, which is more than two kerfs of 6 mm and 3 mm of wood
SMALL = [panel(f"step {k}", rectangle(0, 0, 110, 90)) for k in range(4)]


def frame(window: Outline = WINDOW, **fields: object) -> Panel:
    return panel("frame", rectangle(0, 0, 600, 400), holes=(window.cw(),), **fields)  # type: ignore[arg-type]


def rules(asked: bool = True) -> Preset:
    return preset(parts_in_drops=asked, spacing=OFF)


def lies(sheet: Sheet, one: Panel) -> shapely.Polygon:
    p = next(p for p in sheet.placements if p.panel == one.name)
    return polygon(placed(one.outline, p), [placed(h, p) for h in one.holes], 1e-4)


def inside(sheet: Sheet, whole: Panel) -> list[str]:
    """The parts in the openings of one, each as far from its walls and from each other as asked."""
    rim, wood = shapely.Polygon(lies(sheet, whole).exterior), lies(sheet, whole)
    found = {n.name: lies(sheet, n) for n in SMALL if any(p.panel == n.name for p in sheet.placements)}
    for name, shape in found.items():
        others = [s for n, s in found.items() if n != name]
        assert shape.distance(wood) >= OFF - 1e-4
        assert min((shape.distance(o) for o in others), default=OFF) >= OFF - 1e-4
    return [n for n, s in found.items() if rim.contains(s)]


def test_nothing_lies_in_a_drop_unless_asked() -> None:
    (sheet,), findings = lay_out([frame(), *SMALL], rules(asked=False), engine="built-in")
    assert inside(sheet, frame()) == []
    assert "layout.in-drops" not in {f.code for f in findings}


@pytest.mark.parametrize("show", ["+n", "-n"])
@pytest.mark.parametrize("grain", [0.0, 90.0, None])
def test_small_parts_go_into_the_drop_with_their_grain(show: str, grain: float | None) -> None:
    whole = frame(show=show, grain=grain)
    sheets, findings = lay_out([whole, *SMALL], rules(), engine="built-in", sheet_size=(1000.0, 700.0))
    assert len(sheets) == 1
    names = inside(sheets[0], whole)
    assert len(names) >= 3
    (told,) = [f for f in findings if f.code == "layout.in-drops"]
    assert sorted(told.panels) == sorted(["frame", *names])
    for p in sheets[0].placements:
        if p.panel in names:
            assert p.angle % 180.0 == 0.0, "the grain runs along the sheet"


def test_a_sheet_is_saved() -> None:
    many = [panel(f"step {k}", rectangle(0, 0, 190, 110)) for k in range(4)]
    frames = [frame(), replace(frame(), name="frame 2", source="frame 2")]
    one = (660.0, 450.0)
    assert len(lay_out([*frames, *many], rules(), engine="built-in", sheet_size=one)[0]) == 2
    assert len(lay_out([*frames, *many], rules(asked=False), engine="built-in", sheet_size=one)[0]) == 3


def test_openings_that_cannot_be_held_stay_empty() -> None:
    """A round one has no straight edge for tabs; edges that go into joints carry none; without tabs
    nothing would hold the drop."""
    (sheet,), _ = lay_out([frame(circle((300, 200), 150)), *SMALL], rules(), engine="built-in")
    assert inside(sheet, frame(circle((300, 200), 150))) == []
    mating = {"frame": [Segment(s.p, s.q, 0.0) for s in WINDOW.segments()]}
    (sheet,), _ = lay_out([frame(), *SMALL], rules(), engine="built-in", mating=mating)
    assert inside(sheet, frame()) == []
    screws = replace(rules(), holding=replace(rules().holding, method=("screws",)))
    (sheet,), _ = lay_out([frame(), *SMALL], screws, engine="built-in")
    assert inside(sheet, frame()) == []


def test_a_part_with_guests_is_no_guest_and_all_are_laid_out_once() -> None:
    middle = panel("middle", rectangle(0, 0, 380, 210), holes=(rectangle(60, 50, 320, 160).cw(),))
    (sheet,), _ = lay_out([frame(), middle, *SMALL], rules(), engine="built-in", sheet_size=(1400.0, 800.0))
    names = [p.panel for p in sheet.placements]
    assert sorted(names) == sorted(["frame", "middle", *(s.name for s in SMALL)])


@cache
def made() -> planned_work.Work:
    """A frame and two small parts, planned and posted by the tests' own post."""
    shop = planned_work.shop()
    asked = replace(shop, layout=replace(shop.layout, parts_in_drops=True, sheets=shop.layout.sheets))
    apart = [replace(p, frame=p.frame.shifted(50.0 * k)) for k, p in enumerate((frame(), *SMALL[:2]))]
    return planned_work.work_of([replace(p, show="both", grain=None) for p in apart], asked)


def test_the_programs_hold_every_guest_and_the_proof_agrees() -> None:
    done = made()
    assert [f.code for f in done.findings if f.severity != "note"] == []
    assert "layout.in-drops" in {f.code for f in done.findings}
    (sheet,) = done.plan.sheets
    tabs = [t for t in sheet.tabs if t.panel == "frame"]
    rim = polygon(placed(frame().outline, next(p for p in sheet.placements if p.panel == "frame")))
    assert sum(rim.buffer(-5.0).contains(shapely.Point(t.x, t.y)) for t in tabs) == 2, "on the opening"
    assert all(sum(t.panel == s.name for t in sheet.tabs) >= 3 for s in SMALL[:2])
    assert done.codes() == set()


def test_guests_are_cut_before_the_opening() -> None:
    order = [(o.kind, o.panel) for f in made().cuts() for o in f.operations]
    opening = order.index(("inside", "frame"))
    assert all(order.index(("outside", s.name)) < opening for s in SMALL[:2])
    assert opening < order.index(("outside", "frame"))
