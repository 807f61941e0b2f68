# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How our objects show in the host's window. Does nothing without a window.

`flatwright.host.views.ObjectView` is written into users' files: never rename it.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import Any

import FreeCAD as App

from flatwright import resources
from flatwright.host.skipping import OURS
from flatwright.host.stateless import Stateless

Colour = tuple[float, float, float]

# Colour by kind of object.
COLOURS: dict[str, Colour] = {
    "panel": (0.87, 0.74, 0.53),
    "layout": (0.87, 0.74, 0.53),
    "first side": (0.87, 0.74, 0.53),
    "board": (0.76, 0.70, 0.60),
    "zones": (0.45, 0.72, 0.48),
    "heads": (0.35, 0.38, 0.42),
    "tabs": (0.55, 0.33, 0.14),
}

WRONG = (0.85, 0.10, 0.10)  # screws that a bit would meet, tabs that cannot be cut or hold nothing

# Wood does not shine: by its default FreeCAD 1.0 shows a sheet white when one looks down on it.
_MATT = {"AmbientColor": (0.2, 0.2, 0.2), "SpecularColor": (0.0, 0.0, 0.0), "Shininess": 0.2}

ICONS = {
    "panel": "panel",
    "layout": "sheet",
    "first side": "sheet",
    "board": "sheet",
    "zones": "screws",
    "heads": "screws",
    "tabs": "place-tabs",
}


class ObjectView(Stateless):
    """The icon of an object; the host draws the shape.

    Without a class here the host shows hidden objects again on re-opening.
    """

    def __init__(self, view: Any) -> None:
        view.Proxy = self

    def attach(self, view: Any) -> None:
        """The host calls this when the object gets its view."""
        self.object = view.Object

    def updateData(self, obj: Any, name: str) -> None:
        """The host calls this for each property that changes."""
        if name in ("Outside", "Wrong"):  # of heads, of tabs
            kind = getattr(obj, OURS, "")
            obj.ViewObject.ShapeMaterial = App.Material(DiffuseColor=COLOURS[kind], **_MATT)
            _paint_wrong(obj, COLOURS[kind])
        if name == "Shape":
            with contextlib.suppress(RuntimeError):  # a host without the library for its scene
                _bring_forward(obj.ViewObject.RootNode)

    def getIcon(self) -> Any:
        """By kind of object. Read by the host itself: a Qt without its SVG plugin does not."""
        kind = getattr(self.object, OURS, "")
        path = str(resources.path(f"icons/{ICONS.get(kind, 'flatwright')}.svg"))
        if not App.GuiUp:
            return path
        import FreeCADGui as Gui

        return Gui.getIcon(path)


def _paint_wrong(obj: Any, colour: Colour) -> None:
    """Paint the heads or tabs that are wrong red, face by face."""
    wrong = obj.Proxy.wrong(obj)
    if any(wrong):
        each = len(obj.Shape.Faces) // len(wrong)
        obj.ViewObject.DiffuseColor = [WRONG if bad else colour for bad in wrong for _ in range(each)]


def show(obj: Any, kind: str) -> None:
    """Give an object its view and colour, where it has none yet."""
    view = obj.ViewObject if App.GuiUp else None
    if view is None or isinstance(view.Proxy, ObjectView):
        return
    shown = obj.Visibility
    with label_set_aside(obj):
        ObjectView(view)
    view.ShapeMaterial = App.Material(DiffuseColor=COLOURS[kind], **_MATT)
    view.signalChangeIcon()  # the tree has drawn the host's own by now
    obj.Visibility = shown


@contextlib.contextmanager
def label_set_aside(obj: Any) -> Iterator[None]:
    """For the time in which a view is given its class.

    FreeCAD 1.1 then takes the object's label once more, and never gives that back: when the object
    is gone, the next one of that label would be numbered, in the tree and in programs' comments.
    """
    label, obj.Label = obj.Label, obj.Name
    try:
        yield
    finally:
        obj.Label = label


def _bring_forward(node: Any) -> None:
    """Let faces hide those of the drawn model in the same place, instead of flickering with them.

    The host sets all faces back by one step behind their edges; here they go back by half a step.
    """
    if type(node).__name__ == "SoPolygonOffset":
        node.factor, node.units = 0.5, 0.5
    elif hasattr(node, "getNumChildren"):
        for k in range(node.getNumChildren()):
            _bring_forward(node.getChild(k))
