# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Panels become sheets with placements, and what does not fit becomes findings."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

import pytest
import shapely
from shapely.geometry import box as region

from flatwright.findings import Finding, UsageError
from flatwright.geometry.outline import Outline, circle, rectangle
from flatwright.geometry.polygon import polygon
from flatwright.plan import Panel, Pocket, Sheet, placed
from flatwright.presets.model import Preset, SheetStock
from flatwright.sheets.job import LayoutCancelled
from flatwright.sheets.layout import lay_out, yield_of
from support.geometry import assert_close
from support.layouts import ell, panel, preset

ROUND_END = Outline([(0, 0), (200, 0), (200, 80), (0, 80)], [0, 1.0, 0, 0])


def laid(panels: Sequence[Panel], rules: Preset | None = None, **options: object) -> tuple[Sheet, ...]:
    """The built-in engine's sheets, where no finding but the yield is expected."""
    sheets, findings = lay_out(panels, rules or preset(), engine="built-in", **options)  # type: ignore[arg-type]
    assert {f.code for f in findings} <= {"layout.yield"}
    return sheets


def found(panels: Sequence[Panel], rules: Preset | None = None, **options: object) -> dict[str, Finding]:
    """The findings by code."""
    _, findings = lay_out(panels, rules or preset(), engine="built-in", **options)  # type: ignore[arg-type]
    return {f.code: f for f in findings}


def test_every_panel_with_a_board_is_placed_once_inside_the_margins_and_spaced() -> None:
    tray = rectangle(0, 0, 300, 250)
    panels = [
        *(panel(f"ell {k}", ell()) for k in range(4)),
        *(panel(f"end {k}", ROUND_END, grain=None) for k in range(4)),
        panel("disc", circle((0, 0), 60), grain=None),
        panel("tray", tray, holes=(rectangle(40, 40, 260, 210).cw(), circle((20, 20), 8).cw())),
        panel("lath", rectangle(0, 0, 400, 1)),
        panel("as drawn", tray, board=None),
    ]
    sheets = laid(panels)
    assert sorted(p.panel for s in sheets for p in s.placements) == sorted(p.name for p in panels[:-1])
    outlines = {p.name: p.outline for p in panels}
    for sheet in sheets:
        parts = [polygon(placed(outlines[p.panel], p)) for p in sheet.placements]
        assert all(region(9.999, 9.999, 990.001, 590.001).contains(p) for p in parts)
        for i, part in enumerate(parts):
            assert all(shapely.distance(part, other) > 7.995 for other in parts[:i])


POCKETS = tuple(Pocket(rectangle(20, 20, 60, 60).cw(), 6.0, side) for side in ("+n", "-n"))  # type: ignore[arg-type]


def two_faced(sheets: Sequence[Sheet]) -> list[int]:
    """On each sheet, how many parts have a name that says that they are cut in both faces."""
    return [sum(p.panel.startswith("both") for p in s.placements) for s in sheets]


def mixed(count: int, length: float, width: float) -> list[Panel]:
    """Equal panels, every other one with pockets in both faces."""
    names = [f"{'plain' if k % 2 else 'both'} {k}" for k in range(count)]
    return [
        panel(n, rectangle(0, 0, length, width), pockets=POCKETS if n.startswith("both") else ())
        for n in names
    ]


def test_panels_with_pockets_in_both_faces_share_sheets() -> None:
    """Four fit on a sheet: every other one of eight would make both sheets be turned over."""
    panels = mixed(8, 470, 280)
    assert two_faced(laid(panels)) == [4, 0]
    still = replace(preset(), flipping=replace(preset().flipping, enabled=False))
    assert two_faced(laid(panels, still)) == [2, 2], "a shop that turns no sheets has them as they come"


@pytest.mark.parametrize("seed", [1, 2, 4, 6, 9, 10])
def test_gathering_takes_no_more_sheets(seed: int) -> None:
    rng = random.Random(seed)
    sizes = [(rng.randrange(120, 500), rng.randrange(80, 300)) for _ in range(14)]
    both = [rng.random() < 0.3 for _ in sizes]
    panels = [
        panel(f"{'both' if b else 'plain'} {k}", rectangle(0, 0, *s), pockets=POCKETS if b else ())
        for k, (s, b) in enumerate(zip(sizes, both, strict=True))
    ]
    rules = preset(time=0.3)
    gathered = laid(panels, rules)
    plain = laid([replace(p, pockets=()) for p in panels], rules)
    assert len(gathered) == len(plain)
    turned = [sum(n > 0 for n in two_faced(s)) for s in (gathered, plain)]
    assert turned[0] <= turned[1]


def test_sheets_are_numbered_over_the_boards_thickest_first() -> None:
    big = rectangle(0, 0, 900, 500)
    panels = [
        panel("thin", big, board="thin", thickness=9.0, grain=None),
        panel("b", big),
        panel("a", big),
        panel("c", big, board="other"),
    ]
    sheets = laid(panels)
    assert [(s.name, s.board, s.thickness, [p.panel for p in s.placements]) for s in sheets] == [
        ("sheet-1", "other", 18.0, ["c"]),
        ("sheet-2", "thick", 18.0, ["b"]),
        ("sheet-3", "thick", 18.0, ["a"]),
        ("sheet-4", "thin", 9.0, ["thin"]),
    ]
    assert {s.size for s in sheets} == {(1000.0, 600.0)}
    assert [s.grain for s in sheets] == ["length", "length", "length", "width"]


def test_placements_keep_the_order_of_the_panels() -> None:
    panels = [panel(n, rectangle(0, 0, size, 60)) for n, size in [("c", 100), ("a", 300), ("b", 200)]]
    (sheet,) = laid(panels)
    assert [p.panel for p in sheet.placements] == ["c", "a", "b"]


def test_a_panel_that_is_turned_over_lies_mirrored() -> None:
    (sheet,) = laid([panel("a", ell(), show="-n")])
    (p,) = sheet.placements
    assert p.flipped and p.angle in (0.0, 180.0)
    outline = placed(ell(), p)
    x0, y0, x1, y1 = outline.bounds()
    # turned over about v, the L's arm stands at the right end of its foot (or, turned, hangs at the left)
    mirrored = [(0, 0), (300, 0), (300, 200), (250, 200), (250, 50), (0, 50)]
    if p.angle == 180.0:
        mirrored = [(300 - x, 200 - y) for x, y in mirrored]
    assert_close((x0, y0, x1, y1), (10, 10, 310, 210), 1e-9)
    assert_close(polygon(outline), shapely.Polygon([(x + x0, y + y0) for x, y in mirrored]))


@pytest.mark.parametrize(("board", "angles"), [("thick", (60.0, 240.0)), ("thin", (150.0, 330.0))])
def test_the_grain_decides_the_angle(board: str, angles: tuple[float, float]) -> None:
    sheets = laid([panel(f"p{k}", ell(), grain=120.0, board=board) for k in range(3)])
    assert all(p.angle in angles for s in sheets for p in s.placements)


def test_coordinates_are_whole_micrometres() -> None:
    odd = rectangle(0.12345678, -7.7777777, 100.98765, 50.3333333)
    sheets = laid([panel(f"p{k}", odd, grain=33.0) for k in range(3)])
    for p in sheets[0].placements:
        assert (p.x, p.y) == (round(p.x, 3), round(p.y, 3))


def test_yield_is_wood_over_sheet() -> None:
    panels = [panel("a", rectangle(0, 0, 300, 200), holes=(rectangle(50, 50, 150, 150).cw(),))]
    (sheet,) = laid(panels)
    assert yield_of(sheet, panels) == pytest.approx((300 * 200 - 100 * 100) / (1000 * 600))


def test_nothing_to_lay_out() -> None:
    assert lay_out([], preset()) == ((), [])
    assert lay_out([panel("a", ell(), board=None)], preset(spacing=1.0)) == ((), [])


def test_a_part_larger_than_the_sheet_is_named_and_the_others_are_laid_out() -> None:
    rules = preset(sheets=(SheetStock(1000, 600), SheetStock(1500, 1250)))
    panels = [panel("wall", rectangle(0, 0, 1200, 300)), panel("shelf", rectangle(0, 0, 300, 200))]
    sheets, findings = lay_out(panels, rules, sheet_size=(1000, 600), engine="built-in")
    assert [p.panel for s in sheets for p in s.placements] == ["shelf"]
    wrong = next(f for f in findings if f.severity == "error")
    assert (wrong.code, wrong.where, wrong.panels) == ("layout.part-too-large", "wall", ("wall",))
    assert "1200 x 300 mm" in wrong.message and "980 x 580 mm" in wrong.message
    assert "1220 x 320 mm" in wrong.remedy and "1500 x 1250 mm would do" in wrong.remedy


def test_a_part_that_only_fits_across_the_grain_is_not_turned() -> None:
    wrong = found([panel("rail", rectangle(0, 0, 700, 50), board="thin", thickness=9.0)])
    assert "50 x 700 mm" in wrong["layout.part-too-large"].message
    assert "grain run the other way" in wrong["layout.part-too-large"].remedy


def test_stock_that_runs_out_names_the_parts_left() -> None:
    rules = preset(sheets=(SheetStock(1000, 600, count=1),))
    wrong = found([panel(n, rectangle(0, 0, 900, 500)) for n in "ab"], rules)["layout.stock-exhausted"]
    assert (wrong.severity, wrong.panels) == ("error", ("b",))


@pytest.mark.parametrize(
    ("layout", "code", "severity"),
    [
        ({"sheets": (SheetStock(500, 20),)}, "layout.sheet-too-small", "error"),
        ({"sheets": (SheetStock(500, 20), SheetStock(500, 300))}, "layout.sheet-unused", "warning"),
        ({"sheets": (SheetStock(500, 500, board="thin"),)}, "layout.no-sheet", "error"),
        ({"spacing": 5.9}, "layout.spacing-below-bit", "error"),
        ({"spacing": 6.9}, "layout.spacing-tight", "warning"),
    ],
)
def test_rules_that_cannot_be_kept_are_found(layout: dict[str, object], code: str, severity: str) -> None:
    # the starter's widest bit is 6 mm
    assert found([panel("a", rectangle(0, 0, 300, 200))], preset(**layout))[code].severity == severity


def test_a_show_face_that_pockets_force_down_is_a_warning() -> None:
    recess = Pocket(rectangle(10, 10, 20, 20).cw(), 6.0, "-n")
    assert "layout.show-face-down" in found([panel("a", ell(), pockets=(recess,), show="+n")])
    assert "layout.show-face-down" not in found([panel("a", ell(), pockets=(recess,), show="-n")])


def test_wrong_usage_is_refused() -> None:
    with pytest.raises(UsageError, match="choose one of auto, built-in, packingsolver, u-nesting"):
        lay_out([], preset(), engine="best")
    with pytest.raises(UsageError, match="0 x 600"):
        lay_out([], preset(), sheet_size=(0.0, 600.0))
    with pytest.raises(UsageError, match="seconds"):
        lay_out([], preset(), time=-1.0)


def test_cancel_reaches_the_engine_and_progress_comes_back() -> None:
    panels = [panel(f"p{k}", ell()) for k in range(6)]
    with pytest.raises(LayoutCancelled):
        lay_out(panels, preset(), engine="built-in", cancelled=lambda: True)
    told: list[float] = []
    both = [*panels, *(replace(p, name=p.name + "'", board="other") for p in panels)]
    lay_out(both, preset(), engine="built-in", progress=lambda done, what: told.append(done))
    assert told == sorted(told) and told[0] < 0.5 < told[-1] <= 1.0
