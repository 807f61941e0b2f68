# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the user has selected, as edits by hand need it: fitted panels, and places on them."""

from __future__ import annotations

from typing import Any

import FreeCADGui as Gui

from flatwright.host.edited import fitted_panels

Place = tuple[float, float, float]


def panels(doc: Any) -> list[Any]:
    """The fitted panels that are selected, or whose drawn solids are."""
    names = {o.Name for o in Gui.Selection.getSelection(doc.Name)}
    return [p for p in fitted_panels(doc) if p.Name in names or names & set(p.SourceObject.split("/"))]


def places(doc: Any) -> list[tuple[str, Place]]:
    """(name of the fitted panel, where it was clicked) of each vertex, edge or face that is selected, mm."""
    fitted = {p.Name: p.PanelName for p in fitted_panels(doc)}
    found = []
    for picked in Gui.Selection.getSelectionEx(doc.Name):
        if picked.ObjectName not in fitted:
            continue
        points = list(picked.PickedPoints)
        for k, part in enumerate(picked.SubObjects):
            point = _point(part, points[k] if k < len(points) else None)
            found.append((fitted[picked.ObjectName], tuple(round(v, 3) for v in point)))
    return found


def _point(part: Any, clicked: Any) -> Any:
    """A vertex is where it is; of anything else the place that was clicked counts, if it is known."""
    if part.ShapeType == "Vertex":
        return part.Point
    return part.CenterOfMass if clicked is None else clicked
