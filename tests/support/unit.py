# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A small piece in a document, for edits by hand: a side with two mortises and a shelf in them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from flatwright.steps import Options
from support.documents import feature
from support.sources import ROOT

PRESET = ROOT / "resources/presets/metric.shop.json"
T = 18.0
TENONS = (40.0, 160.0)  # middle of each along y


def side_shape(height: float = 300.0, rise: float = 100.0, tenons: Sequence[float] = TENONS) -> Any:
    """An upright board (x 0..18, y 0..200) with mortises 40 mm wide at z = rise."""
    import FreeCAD
    import Part

    shape = Part.makeBox(T, 200, height)
    for y in tenons:
        shape = shape.cut(Part.makeBox(T, 40, T, FreeCAD.Vector(0, y - 20, rise)))
    return shape


def shelf_shape(rise: float = 100.0, tenons: Sequence[float] = TENONS) -> Any:
    """A level board whose tenons go through the side."""
    import FreeCAD
    import Part

    shape = Part.makeBox(400 - T, 200, T, FreeCAD.Vector(T, 0, rise))
    for y in tenons:
        shape = shape.fuse(Part.makeBox(T, 40, T, FreeCAD.Vector(0, y - 20, rise)))
    return shape.removeSplitter()


def draw_unit(doc: Any) -> tuple[Any, Any]:
    """(side, shelf)."""
    side, shelf = feature(doc, "Side", side_shape()), feature(doc, "Shelf", shelf_shape())
    doc.recompute()
    return side, shelf


def saved_unit(app: Any, folder: Path, sheet: tuple[float, float] | None = None) -> Path:
    """A document with the unit and a result, on a sheet of that size, saved by this Python."""
    from flatwright import api
    from flatwright.host.session import save_copy, transaction

    doc = app.newDocument("Unit")
    draw_unit(doc)
    options = Options(sheet, "built-in")
    api.apply_shop_rules(doc, PRESET, folder / "programs", readings=["18:17.7"], options=options)
    with transaction(doc, "Save"):
        save_copy(doc, folder / "unit.FCStd")
    app.closeDocument(doc.Name)
    return folder / "unit.FCStd"


def set_shown(doc: Any, drawn: Any, shown: bool) -> None:
    """Leave a drawn object out of the next Apply, or take it in again, as a user does."""
    from flatwright.host import arranged

    arranged.show_only(doc, arranged.DRAWN)
    drawn.Visibility = shown
