# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Working on an open document: one change is one undo step or none, and a copy of it on disk."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import FreeCAD as App

from flatwright.host import shown
from flatwright.host.model import colours

_ROOM = 1.3  # the camera takes in this much more than the model's diagonal


@contextmanager
def transaction(doc: Any, name: str) -> Iterator[None]:
    """All that is done to `doc` inside is one undo step called `name`; after an error, nothing is done.

    A host without a window keeps no undo steps and could not take back half a change: it is
    made to for the time. Whatever was raised inside goes on to the caller.
    """
    mode = doc.UndoMode
    doc.UndoMode = 1
    try:
        doc.openTransaction(name)
        try:
            yield
        except BaseException:
            doc.abortTransaction()
            raise
        doc.commitTransaction()
    finally:
        if doc.UndoMode != mode:
            doc.UndoMode = mode


def save_copy(doc: Any, path: str | Path) -> None:
    """Save the document as it is now under another name; the open document keeps its own.

    Objects that are visible show in a window also if the copy is made without one.
    """
    doc.saveCopy(str(path))
    box = _extent(doc)
    centre = (box.Center.x, box.Center.y, box.Center.z) if box.isValid() else (0.0, 0.0, 0.0)
    size = _ROOM * box.DiagonalLength if box.isValid() else 1000.0
    shown.add_view(Path(path), shown.visible_names(doc), colours=colours(doc), centre=centre, size=size)


def _extent(doc: Any) -> Any:
    """The box around all visible shapes."""
    box = App.BoundBox()
    for obj in doc.Objects:
        shape = getattr(obj, "Shape", None) if obj.Visibility else None
        if shape is not None and not shape.isNull() and shape.BoundBox.isValid():
            box.add(shape.BoundBox)
    return box
