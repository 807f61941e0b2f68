# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A small piece in a document, for edits by hand: a side with two mortises and a shelf in them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from support.documents import feature

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


def set_shown(doc: Any, drawn: Any, shown: bool) -> None:
    """Leave a drawn object out of the next Apply, or take it in again, as a user does."""
    from flatwright.host import arranged

    arranged.show_only(doc, arranged.DRAWN)
    drawn.Visibility = shown
