# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Layout jobs and panels to lay out, for tests."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from flatwright import resources
from flatwright.geometry.outline import Outline, polygon_outline, rectangle
from flatwright.plan import Panel
from flatwright.presets.model import Board, Preset, SheetStock
from flatwright.presets.reading import load
from flatwright.sheets.job import LayoutJob, Part, Stock
from support.pieces import board

QUARTERS = (0.0, 90.0, 180.0, 270.0)
HALVES = (0.0, 180.0)


def job(*parts: Part, stock: Any = (1000.0, 600.0), edge: float = 10.0, spacing: float = 8.0) -> LayoutJob:
    """A job on sheets of one size, or of the Stocks given."""
    stocks = stock if isinstance(stock[0], Stock) else (Stock(*stock),)
    return LayoutJob(tuple(parts), tuple(stocks), edge, spacing, seed=1, time=5.0)


def box(name: str, length: float, width: float, turns: tuple[float, ...] = QUARTERS) -> Part:
    """A rectangular part."""
    return Part(name, rectangle(0, 0, length, width), turns)


def boxes(count: int, length: float, width: float, turns: tuple[float, ...] = QUARTERS) -> list[Part]:
    """Equal rectangular parts."""
    return [box(f"part {k + 1}", length, width, turns) for k in range(count)]


def ell(long: float = 300.0, high: float = 200.0, arm: float = 50.0) -> Outline:
    """An L with no symmetry: foot along u, arm up v at the left."""
    return polygon_outline([(0, 0), (long, 0), (long, arm), (arm, arm), (arm, high), (0, high)])


def preset(**layout: Any) -> Preset:
    """The metric starter with three boards (thin's grain runs across its sheets) and a layout of its own."""
    start = load(resources.path("presets/metric.shop.json"))
    boards = (Board("thick", 18.0), Board("other", 18.0), Board("thin", 9.0, face_grain="width"))
    values = {"sheets": (SheetStock(1000.0, 600.0),), "edge": 10.0, "spacing": 8.0, "time": 5.0, **layout}
    return replace(start, boards=boards, layout=replace(start.layout, **values))


def panel(name: str, outline: Outline, **fields: Any) -> Panel:
    """A panel of the board "thick" with a grain along u, unless said otherwise."""
    values = {"board": "thick", "grain": 0.0, "show": "+n", **fields}
    return replace(board(name, outline, t=values.pop("thickness", 18.0)), **values)
