# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a document and the window look like, as plain values to compare."""

from __future__ import annotations

import json
from typing import Any

import FreeCADGui as Gui
from PySide import QtGui
from robot import pump, texts


def state(doc: Any) -> list[list[Any]]:
    """Every object: its name, kind and label, the size and place of its shape, its path's length."""
    rows = []
    for o in doc.Objects:
        size: list[float] = []
        if "Shape" in o.PropertiesList and hasattr(o.Shape, "BoundBox") and not o.Shape.isNull():
            shape = o.Shape.copy()  # without the mesh that is shown, about which the box would be taken
            box = shape.BoundBox
            size = [round(v, 4) for v in (shape.Volume, box.XMin, box.YMin, box.ZMin, box.XMax, box.YMax)]
        path = getattr(o, "Path", None)
        rows.append([o.Name, o.TypeId, o.Label, size, len(path.Commands) if path is not None else 0])
    return rows


def changes(doc: Any, before: list[list[Any]]) -> dict[str, list[Any]]:
    """What is not as it was: rows that are gone and rows that are new; empty when all is the same."""
    now = state(doc)
    gone, new = [r for r in before if r not in now], [r for r in now if r not in before]
    return {k: v for k, v in (("gone", gone), ("new", new)) if v}


def kept(doc: Any) -> Any:
    """The group of the result."""
    return next(o for o in doc.Objects if getattr(o, "FlatwrightKind", "") == "result")


def plan_of(doc: Any) -> Any:
    """The plan that the result keeps."""
    return json.loads(kept(doc).PlanJson)


def buttons() -> dict[str, bool]:
    """The toolbar's buttons and whether they can be pressed."""
    [bar] = [t for t in Gui.getMainWindow().findChildren(QtGui.QToolBar) if t.objectName() == "Flatwright"]
    pump(0.7)  # the host looks at its commands a few times in a second
    return {a.text(): a.isEnabled() for a in bar.actions()}


def host_errors() -> list[str]:
    """Lines of the report view that tell of a fault in Python."""
    signs = ("Traceback", "Error:", "exception", "PyCXX", "SIGSEGV", "Invalid icon")
    return [x for x in texts("Report view").splitlines() if any(s in x for s in signs)]
