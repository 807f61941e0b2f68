# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Layouts against published packings, bounds and sawing arithmetic."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from flatwright.geometry.outline import polygon_outline
from flatwright.presets.model import SheetStock
from flatwright.sheets.bound import area_bound, sheets_needed
from flatwright.sheets.built_in import lay_out
from flatwright.sheets.job import Layout, LayoutJob, Part, Spot, Stock
from flatwright.sheets.layout import lay_out as lay_out_panels
from flatwright.sheets.verify import verify
from support.layouts import box, boxes, ell, job, panel, preset

# LAY-1: the perfect squared square of order 21, side 112: A. J. W. Duijvestijn, J. Comb. Theory B 25
# (1978) 240-243; OEIS A014530. x, y, size of each square.
SQUARED = [
    (0, 0, 50), (50, 0, 35), (85, 0, 27), (85, 27, 8), (93, 27, 19), (50, 35, 15), (65, 35, 17),
    (82, 35, 11), (82, 46, 6), (88, 46, 24), (0, 50, 29), (29, 50, 25), (54, 50, 9), (63, 50, 2),
    (63, 52, 7), (70, 52, 18), (54, 59, 16), (70, 70, 42), (29, 75, 4), (33, 75, 37), (0, 79, 33),
]  # fmt: skip
SQUARE = job(*(box(str(s), s, s, (0.0,)) for _, _, s in SQUARED), stock=(112.0, 112.0), edge=0.0, spacing=0.0)
PACKED = Layout(SQUARE.stock, tuple(Spot(str(s), 0, x, y, 0.0) for x, y, s in SQUARED))

# LAY-2: bound L0 of S. Martello and D. Vigo, Management Science 44 (1998): areas over the sheet's area.
BOARDS = [(7, 800, 400), (6, 600, 300), (2, 1200, 350)]


def test_lay_1_the_squared_square_holds_and_uses_all() -> None:
    assert verify(SQUARE, PACKED) == []
    assert sum(p.outer.area() for p in SQUARE.parts) == 112**2 == 12544
    assert area_bound(SQUARE) == pytest.approx(1.0)


@pytest.mark.parametrize("k", range(len(SQUARED)))
@pytest.mark.parametrize(("dx", "dy"), [(0.01, 0.0), (-0.01, 0.0), (0.0, 0.01), (0.0, -0.01)])
def test_lay_1_a_hundredth_of_a_millimetre_is_caught(k: int, dx: float, dy: float) -> None:
    spots = list(PACKED.spots)
    spots[k] = replace(spots[k], x=spots[k].x + dx, y=spots[k].y + dy)
    wrong = "; ".join(verify(SQUARE, Layout(PACKED.sheets, tuple(spots))))
    assert "overlapping" in wrong or "leaves the usable area" in wrong


def test_lay_2_no_layout_beats_the_area() -> None:
    parts = [box(f"{k}-{length}", length, width) for n, length, width in BOARDS for k in range(n)]
    j = job(*parts, stock=(2440.0, 1220.0), edge=0.0, spacing=0.0)
    assert area_bound(j) == pytest.approx(1.397, abs=5e-4)
    assert sheets_needed(j) == 2
    layout = lay_out(j)
    assert verify(j, layout) == []
    assert len(layout.sheets) == 2
    spaced = replace(j, edge=10.0, spacing=10.0)
    assert area_bound(spaced) > area_bound(j)  # the sharper bound is one, too
    assert len(lay_out(spaced).sheets) >= sheets_needed(spaced)


def test_lay_3_bars_are_cut_as_few_as_the_optimum() -> None:
    # One-dimensional cutting stock, pattern model of P. C. Gilmore and R. E. Gomory, Operations
    # Research 9 (1961): bars of 2440 for 4 x 900, 3 x 700 and 5 x 500: 4.
    lengths = [900] * 4 + [700] * 3 + [500] * 5
    parts = [box(f"{k}", length, 50, (0.0,)) for k, length in enumerate(lengths)]
    assert len(lay_out(job(*parts, stock=(2440.0, 50.0), edge=0.0, spacing=0.0)).sheets) == 4


@settings(max_examples=25)
@given(st.integers(200_000, 2_440_000), st.integers(60_000, 700_000), st.integers(0, 20_000), st.booleans())
@example(2_440_000, 600_000, 8_000, False)  # the row's own figures: 4, since 4 x 600 + 3 x 8 = 2424
@example(1_216_000, 400_000, 8_000, False)  # to the last micrometre: 3 x 400 + 2 x 8 = 1216
@example(1_215_999, 400_000, 8_000, True)
def test_lay_5_as_many_in_a_row_as_the_saw_would_get(sheet: int, part: int, gap: int, tall: bool) -> None:
    # n parts of w in W with gaps g: n = floor((W + g) / (w + g)); sawing arithmetic (whole micrometres)
    n = (sheet + gap) // (part + gap)
    length, width = sheet / 1000, part / 1000
    parts = boxes(n + 1, *((90, width) if tall else (width, 90)), (0.0,))
    stock = Stock(*((90, length) if tall else (length, 90)), count=1)
    layout = lay_out(LayoutJob(tuple(parts), (stock,), 0.0, gap / 1000))
    assert len(layout.spots) == n


@settings(max_examples=15)
@given(
    st.lists(st.tuples(st.integers(90, 520), st.integers(60, 380)), min_size=1, max_size=6),
    st.integers(0, 20),
)
def test_lay_5_half_the_gap_on_parts_and_sheet_is_the_same_as_the_gap(
    sizes: list[tuple[int, int]], gap: int
) -> None:
    apart = job(*_boxes(sizes, 0), stock=(1000.0, 440.0), edge=0.0, spacing=gap)
    touching = job(*_boxes(sizes, gap), stock=(1000.0 + gap, 440.0 + gap), edge=0.0, spacing=0.0)
    for one, other in [(apart, touching), (touching, apart)]:
        layout = lay_out(one)
        assert verify(other, Layout(tuple(other.stock * len(layout.sheets)), layout.spots)) == []


def _boxes(sizes: list[tuple[int, int]], more: int) -> list[Part]:
    return [box(f"p{k}", a + more, b + more, (0.0,)) for k, (a, b) in enumerate(sizes)]


@given(st.sampled_from([0.0, 90.0, 180.0]), st.lists(st.sampled_from(["+n", "-n"]), min_size=1, max_size=4))
@settings(max_examples=8)
def test_lay_6_grain_along_the_length_allows_half_turns_only(grain: float, shows: list[Any]) -> None:
    panels = [panel(f"p{k}", ell(), grain=grain, show=s) for k, s in enumerate(shows)]
    sheets, _ = lay_out_panels(panels, preset(sheets=(SheetStock(1000, 600),)), engine="built-in")
    angles = {p.angle for s in sheets for p in s.placements}
    assert angles <= ({90.0, 270.0} if grain == 90.0 else {0.0, 180.0})


def test_a_job_of_sixty_furniture_parts(shared_models: Path) -> None:
    file = shared_models.parent / "data" / "layout" / "job60.json"
    if not file.is_file():
        pytest.skip("the layout jobs are not here")
    parts = [
        Part(p["id"], polygon_outline(p["ext"]).ccw(), tuple(float(r) for r in p["rots"]))
        for p in json.loads(file.read_text())
    ]
    j = LayoutJob(tuple(parts), (Stock(2440, 1220),), 10.0, 10.0, time=1.0)
    layout = lay_out(j)
    assert verify(j, layout) == []
    assert layout.left == ()
    assert len(layout.sheets) >= math.ceil(area_bound(j))
