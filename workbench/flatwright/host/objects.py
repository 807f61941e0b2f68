# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The document objects that the add-in makes: fitted panels and what lies on a sheet.

The host stores `module.Class` of each proxy in users' files: never rename a class here nor
this module. Everything that a shape is built from is kept in properties, as JSON with every
digit, so that a recompute builds the same shape in any later session.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from typing import Any, ClassVar

import FreeCAD as App
import Part

from flatwright.geometry.outline import rectangle
from flatwright.holding.zones import outside
from flatwright.host import shapes, views
from flatwright.host.skipping import OURS
from flatwright.host.stateless import Stateless
from flatwright.plan import Panel, Plan, Sheet
from flatwright.plan_json import from_json, to_json

SCHEMA = 2  # 2: edits by hand

# name, type, group, meaning, editor mode (0 free, 1 read-only, 2 hidden)
Property = tuple[str, str, str, str, int]

BY_RULE = "by rule"  # the choice that leaves it to the shop's rules
# What the enumerations offer at first; boards and odd grain directions are added when they are known.
CHOICES: dict[str, tuple[str, ...]] = {
    "ShowFace": ("none", "+n", "-n", "both"),
    "SetGrain": (BY_RULE, "0 deg", "90 deg", "any"),
    "SetShowFace": (BY_RULE, "+n", "-n", "both", "none"),
    "SetStayingFace": (BY_RULE, "+n", "-n"),
    "SetBoard": (BY_RULE,),
}

COMMON: tuple[Property, ...] = (
    (OURS, "App::PropertyString", "Flatwright", "What this is to the add-in", 2),
    ("SchemaVersion", "App::PropertyInteger", "Flatwright", "Version of these properties", 2),
)


def init_properties(obj: Any, kind: str, properties: Iterable[Property]) -> None:
    """Add what is missing; on a new object and on one from an older file alike."""
    for name, type_, group, meaning, mode in (*COMMON, *properties):
        if name not in obj.PropertiesList:
            obj.addProperty(type_, name, group, meaning)
            if name == OURS:
                obj.FlatwrightKind = kind
            elif name == "SchemaVersion":
                obj.SchemaVersion = SCHEMA
            elif name in CHOICES:
                setattr(obj, name, list(CHOICES[name]))
        obj.setEditorMode(name, mode)


class _Proxy(Stateless):
    """What all proxies share; the properties hold everything, the proxy nothing."""

    KIND: ClassVar[str]
    PROPERTIES: ClassVar[tuple[Property, ...]]

    def __init__(self, obj: Any) -> None:
        obj.Proxy = self
        init_properties(obj, self.KIND, self.PROPERTIES)

    def onDocumentRestored(self, obj: Any) -> None:
        """Bring an older file's properties up to date; a file that was made without a window has no views."""
        init_properties(obj, self.KIND, self.PROPERTIES)
        views.show(obj, self.KIND)


class PanelProxy(_Proxy):
    """A fitted panel, at its assembled place."""

    KIND = "panel"
    PROPERTIES = (
        ("Thickness", "App::PropertyLength", "Panel", "Measured thickness", 1),
        ("Nominal", "App::PropertyLength", "Panel", "Thickness as drawn", 1),
        ("Board", "App::PropertyString", "Panel", "The board batch that it is cut from", 1),
        ("ShowFace", "App::PropertyEnumeration", "Panel", "The face that shows; n is the panel's normal", 1),
        ("GrainDirection", "App::PropertyAngle", "Panel", "Face grain from the panel's u axis", 1),
        ("GrainFree", "App::PropertyBool", "Panel", "The grain may run any way", 1),
        ("PanelName", "App::PropertyString", "Panel", "Its name in the plan and on the papers", 1),
        ("Source", "App::PropertyString", "Panel", "The drawn solid, by labels down the tree", 1),
        ("SourceObject", "App::PropertyString", "Panel", "The drawn solid, by the host's own names", 2),
        ("SetGrain", "App::PropertyEnumeration", "By hand", "Face grain, from the longer side", 0),
        ("SetShowFace", "App::PropertyEnumeration", "By hand", "The face that is to show", 0),
        ("SetStayingFace", "App::PropertyEnumeration", "By hand",
         "The face that stays where it is drawn when the board is thinner or thicker", 0),
        ("SetBoard", "App::PropertyEnumeration", "By hand", "The board that it is to be cut from", 0),
        ("PanelJson", "App::PropertyString", "Panel", "The panel, with every digit", 2),
    )  # fmt: skip

    def onChanged(self, obj: Any, name: str) -> None:
        """The host calls this for each property that changes."""
        doc = obj.Document
        if name.startswith("Set") and not (doc.Restoring or doc.Transacting):
            from flatwright.host import edited

            edited.panel_changed(obj)

    def execute(self, obj: Any) -> None:
        """Build the solid. Raises ValueError when the outline makes none."""
        obj.Shape = shapes.panel_solid(read_panel(obj))


class BoardProxy(_Proxy):
    """The outline of a sheet."""

    KIND = "board"
    PROPERTIES = (
        ("Length", "App::PropertyLength", "Sheet", "Length, along x", 1),
        ("Width", "App::PropertyLength", "Sheet", "Width, along y", 1),
        ("Thickness", "App::PropertyLength", "Sheet", "Measured thickness", 1),
        ("Board", "App::PropertyString", "Sheet", "The board batch", 1),
        ("Underside", "App::PropertyFloat", "Sheet", "Height of its underside in the machine's zero, mm", 2),
    )

    def execute(self, obj: Any) -> None:
        outline = rectangle(0.0, 0.0, obj.Length.Value, obj.Width.Value)
        obj.Shape = shapes.outline_face(outline, z=obj.Underside)


class LayoutProxy(_Proxy):
    """The fitted panels as they lie on a sheet; follows the panels that it links to."""

    KIND = "layout"
    PROPERTIES = (
        ("Panels", "App::PropertyLinkList", "Sheet", "The fitted panels that lie here", 1),
        ("Underside", "App::PropertyFloat", "Sheet", "Height of the underside in the machine's zero, mm", 2),
        ("SheetJson", "App::PropertyString", "Sheet", "The sheet, with every digit", 2),
    )

    def execute(self, obj: Any) -> None:
        panels = {p.PanelName: p for p in obj.Panels}
        laid = []
        for q in read_sheet(obj).placements:
            if q.panel in panels:
                solid = Part.Shape(panels[q.panel].Shape)  # the panel's own geometry, elsewhere
                solid.Placement = shapes.laid_placement(q, panels[q.panel].Thickness.Value, obj.Underside)
                laid.append(solid)
        obj.Shape = Part.makeCompound(laid)


class FirstSideProxy(LayoutProxy):
    """The fitted panels as they lie before their sheet is turned over; hidden until asked for."""

    KIND = "first side"


class ZonesProxy(_Proxy):
    """Where the centre of a screw may be, as faces on the board's upper side."""

    KIND = "zones"
    PROPERTIES = (
        ("ZonesJson", "App::PropertyString", "Sheet", "Rings of the zones: outer first, then holes", 2),
        ("Top", "App::PropertyFloat", "Sheet", "Height of the board's upper side, mm", 2),
    )

    def execute(self, obj: Any) -> None:
        faces = [_ring_face(rings, obj.Top) for rings in json.loads(obj.ZonesJson)]
        obj.Shape = Part.makeCompound(faces)


class HeadsProxy(_Proxy):
    """Screw heads on the board, at the points of the sketch that it follows."""

    KIND = "heads"
    PROPERTIES = (
        ("Points", "App::PropertyLink", "Sheet", "The sketch of screw points", 1),
        ("Diameter", "App::PropertyLength", "Sheet", "Diameter of the head", 1),
        ("Height", "App::PropertyLength", "Sheet", "Height of the head", 1),
        ("Zones", "App::PropertyLink", "Sheet", "The screw zones", 1),
        ("Outside", "App::PropertyString", "Sheet", "Which screws stand outside the zones; empty: none", 1),
    )

    def execute(self, obj: Any) -> None:
        top = obj.Points.Placement.Base.z
        discs = [
            Part.makeCylinder(obj.Diameter.Value / 2, obj.Height.Value, App.Vector(x, y, top))
            for x, y in sketch_points(obj.Points)
        ]
        obj.Shape = Part.makeCompound(discs)
        wrong = outside(sketch_points(obj.Points), json.loads(obj.Zones.ZonesJson)) if obj.Zones else []
        obj.Outside = f"Screw {', '.join(map(str, wrong))}: a bit or a part comes too near" if wrong else ""
        from flatwright.host import moved

        moved.settle(obj)

    def wrong(self, obj: Any) -> list[bool]:
        """Of each screw whether it stands outside the zones; [] when none does."""
        if not obj.Outside:
            return []
        numbers = {int(n) for n in re.findall(r"[0-9]+", obj.Outside)}
        return [k in numbers for k in range(1, len(sketch_points(obj.Points)) + 1)]


class TabsProxy(_Proxy):
    """The tabs of a sheet as they will be cut, across the kerf beside their parts."""

    KIND = "tabs"
    PROPERTIES = (
        ("Wrong", "App::PropertyString", "Sheet", "What is wrong with tabs put by hand; empty: nothing", 1),
        ("WrongParts", "App::PropertyStringList", "Sheet", "The parts whose tabs are wrong", 2),
        ("TabsJson", "App::PropertyString", "Sheet", "The sheet with these tabs, with every digit", 2),
        ("RulesJson", "App::PropertyString", "Sheet", "What the tabs of its parts depend on", 2),
        ("SaidJson", "App::PropertyString", "Sheet", "The findings of tabs put by hand since the run", 2),
        ("Kerf", "App::PropertyFloat", "Sheet", "Width of the kerf beside the parts, mm", 2),
        ("Top", "App::PropertyFloat", "Sheet", "Height of the board's upper side, mm", 2),
        ("Underside", "App::PropertyFloat", "Sheet", "Height of the underside in the machine's zero, mm", 2),
    )

    def execute(self, obj: Any) -> None:
        tabs = from_json(json.loads(obj.TabsJson)).sheets[0].tabs
        solids = [shapes.tab_solids(t, obj.Kerf, obj.Underside, obj.Top) for t in tabs]
        obj.Shape = Part.makeCompound(solids)

    def wrong(self, obj: Any) -> list[bool]:
        """Of each tab whether those of its part are wrong; [] when none are."""
        if not obj.Wrong:
            return []
        return [t.panel in obj.WrongParts for t in from_json(json.loads(obj.TabsJson)).sheets[0].tabs]


def store_panel(obj: Any, panel: Panel) -> None:
    """Put a panel into the object of a PanelProxy."""
    obj.Thickness, obj.Nominal = panel.thickness, panel.nominal
    obj.Board = panel.board or ""
    obj.ShowFace = panel.show
    obj.GrainFree = panel.grain is None
    obj.GrainDirection = panel.grain or 0.0
    obj.PanelName, obj.Source = panel.name, panel.source
    obj.PanelJson = plan_text(Plan(panels=(panel,)))


def read_panel(obj: Any) -> Panel:
    """The panel of a PanelProxy's object; raises PlanError when its text is damaged."""
    return from_json(json.loads(obj.PanelJson)).panels[0]


def read_sheet(obj: Any) -> Sheet:
    """The sheet of a LayoutProxy's object; raises PlanError when its text is damaged."""
    return from_json(json.loads(obj.SheetJson)).sheets[0]


def plan_text(plan: Plan) -> str:
    """The plan as compact JSON."""
    return json.dumps(to_json(plan), ensure_ascii=False, separators=(",", ":"))


def sketch_points(sketch: Any) -> list[tuple[float, float]]:
    """The points drawn in a sketch of screw points, sheet coordinates, in their order.

    Read from the geometry: FreeCAD 0.20 gives points no vertex and calls all of them construction.
    """
    return [(g.X, g.Y) for g in sketch.Geometry if isinstance(g, Part.Point)]


def _ring_face(rings: list[list[list[float]]], z: float) -> Any:
    """The face of an outer ring (counter-clockwise) and its holes (clockwise)."""
    wires = [Part.makePolygon([App.Vector(x, y, z) for x, y in (*r, r[0])]) for r in rings]
    return Part.Face(wires)
