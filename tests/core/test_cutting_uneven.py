# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Boards of uneven thickness: programs that count from their top, and first passes that are to bury a bit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from flatwright.cutting.cut import Cut
from flatwright.cutting.uneven import check_uneven
from flatwright.findings import Finding
from flatwright.presets.model import Bit, Feed, Holding, Machine, OnionSkin, Preset
from support.shopwork import THICK, sheet, shop

SHEARS = Bit(1, "compression", 6.0, 2, 25.0, up_cut_length=5.0)
LINE = Cut("outside", "plate", SHEARS, (), 1.0)


def said(preset: Preset, *, thin: float, thick: float) -> list[Finding]:
    return check_uneven(sheet(), [LINE], preset, smallest=THICK - thin, largest=THICK + thick)


def kept(depth: float = 6.0, **machine: object) -> Preset:
    """A shop with one compression bit that takes passes of `depth`."""
    one = replace(shop((SHEARS,)), feeds=(Feed(1, 18000.0, 0.1, depth, 900.0),))
    return replace(one, machine=replace(one.machine, **machine))  # type: ignore[arg-type]


def test_from_the_bed_any_board_is_cut_through() -> None:
    assert said(kept(7.0, zero="bed"), thin=0.7, thick=0.6) == []


@pytest.mark.parametrize(("thick", "codes"), [(0.45, []), (0.55, ["cutting.not-through"])])
def test_from_the_top_a_board_thicker_by_the_overcut_is_not_cut_through(
    thick: float, codes: list[str]
) -> None:
    found = said(kept(7.0, zero="board top", overcut=0.5), thin=0.2, thick=thick)
    assert [f.code for f in found] == codes
    assert all("overcut of 0.8 mm or more" in f.remedy for f in found)


@pytest.mark.parametrize(("thin", "codes"), [(0.5, []), (0.65, ["cutting.skin-cut"])])
def test_from_the_top_a_thin_board_has_no_skin_left(thin: float, codes: list[str]) -> None:
    skin = Holding(("onion skin",), onion_skin=OnionSkin(0.6))
    shop_ = replace(kept(8.0, zero="board top"), holding=skin)
    assert [f.code for f in said(shop_, thin=thin, thick=0.9)] == codes
    bed = replace(shop_, machine=Machine(zero="bed"))
    assert said(bed, thin=thin, thick=0.9) == []


def test_a_first_pass_buries_the_up_cutting_part_in_the_thinnest_board_too() -> None:
    """CP-8, common practice: 5 mm of up-cut below a top that lies up to 0.9 mm lower."""
    assert said(kept(6.0), thin=0.4, thick=0.5) == []
    (found,) = said(kept(5.6), thin=0.4, thick=0.5)
    assert found.code == "cutting.shallow-first"
    assert "4.70 mm into a board" in found.message
    assert "passes of 6.1 mm or more" in found.remedy
    straight = replace(LINE, bit=replace(SHEARS, kind="straight", up_cut_length=None))
    assert check_uneven(sheet(), [straight], kept(5.6), smallest=THICK - 0.4, largest=THICK + 0.5) == []
