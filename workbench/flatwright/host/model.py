# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Writing a plan into the open document: one group with fitted panels and sheets.

Fitted panels stand at their assembled place. Everything of a sheet is in the sheet's own
coordinates, which are those of its CAM jobs and of the machine: lower left corner at the
origin, the length along x. The first sheet is shown, the others are hidden. The drawn
model is not touched. The caller opens and commits the transaction.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import FreeCAD as App
import Part
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.polygon import parts
from flatwright.holding.tab_rules import TabRules, dumps
from flatwright.host import objects, views
from flatwright.host.result import remove_result
from flatwright.host.skipping import OURS
from flatwright.plan import Panel, Plan, Sheet
from flatwright.presets.model import Preset
from flatwright.turned import turned

declare("error", model__no_fitted_solid="A fitted panel's outline makes no solid")

_RESULT: tuple[objects.Property, ...] = (
    ("OutputFolder", "App::PropertyString", "Flatwright", "Where programs and papers go", 0),
    ("Readings", "App::PropertyString", "Flatwright", "The caliper readings it was fitted with", 1),
    ("PresetJson", "App::PropertyString", "Flatwright", "The shop preset it was fitted with", 2),
    ("PlanJson", "App::PropertyString", "Flatwright", "The plan", 2),
)
_SHEET: tuple[objects.Property, ...] = (
    ("SheetName", "App::PropertyString", "Sheet", "Its name in the plan", 1),
)


@dataclass(frozen=True, slots=True)
class Record:
    """What the result was made with: kept in the document, so that it re-opens with its own rules."""

    preset_json: str
    readings: str
    output_folder: str


def write_model(
    doc: Any,
    plan: Plan,
    preset: Preset,
    record: Record,
    zones: Mapping[str, BaseGeometry] | None = None,
    rules: Mapping[str, TabRules] | None = None,
) -> tuple[Any, list[Finding]]:
    """Write a plan into the document in place of an earlier result; the group that holds it.

    `zones` are the screw zones by the sheet's name, sheet coordinates in mm, `rules` what the tabs of
    each panel depend on: without them no tabs are shown. A finding names each panel that makes no
    solid; it is left out of its sheet's layout.
    """
    remove_result(doc)
    group = empty_result(doc)
    group.PresetJson, group.Readings = record.preset_json, record.readings
    group.OutputFolder, group.PlanJson = record.output_folder, objects.plan_text(plan)
    panel_objects, findings = _write_panels(doc, group, plan.panels)
    for k, sheet in enumerate(plan.sheets):
        members = _write_sheet(doc, group, sheet, panel_objects, preset, (zones or {}).get(sheet.name))
        if rules is not None and "tabs" in preset.holding.method:
            members.append(_write_tabs(doc, members[0], sheet, preset, rules))
        if k > 0:
            for member in members:
                member.Visibility = False
    for obj in doc.Objects:
        if OURS in obj.PropertiesList:
            obj.purgeTouched()  # all shapes are built; recomputing the rest is the user's business
    return group, findings


def empty_result(doc: Any) -> Any:
    """The group of a result, with nothing in it yet."""
    return _group(doc, None, "Flatwright", "result", _RESULT)


def colours(doc: Any) -> dict[str, views.Colour]:
    """Colours of the add-in's objects by name, for a file that is saved without a window."""
    return {o.Name: views.COLOURS[k] for o in doc.Objects if (k := getattr(o, OURS, "")) in views.COLOURS}


def _write_panels(doc: Any, group: Any, panels: Sequence[Panel]) -> tuple[dict[str, Any], list[Finding]]:
    holder = _group(doc, group, "Fitted panels", "panels")
    made: dict[str, Any] = {}
    findings = []
    for panel in panels:
        obj = _feature(doc, holder, objects.PanelProxy, "Panel", f"{panel.name} fitted")
        objects.store_panel(obj, panel)
        try:
            obj.Proxy.execute(obj)
        except ValueError as reason:
            doc.removeObject(obj.Name)
            findings.append(_no_solid(panel, reason))
        else:
            made[panel.name] = obj
    return made, findings


def _no_solid(panel: Panel, reason: ValueError) -> Finding:
    return finding(
        "model.no-fitted-solid",
        panel.name,
        f"the fitted outline of {panel.name} makes no solid: {reason}",
        "Look at its joints in the other findings: an edge has moved across another one.",
        panels=(panel.name,),
    )


def _write_sheet(
    doc: Any,
    result: Any,
    sheet: Sheet,
    panels: Mapping[str, Any],
    preset: Preset,
    zones: BaseGeometry | None,
) -> list[Any]:
    """Make a sheet's group; returns it and its members."""
    underside = 0.0 if preset.machine.zero == "bed" else -sheet.thickness
    top = underside + sheet.thickness
    group = _group(doc, result, sheet.name, "sheet", _SHEET)
    group.SheetName = sheet.name

    board = _feature(doc, group, objects.BoardProxy, "Board", f"Board {sheet.name}")
    board.Length, board.Width = sheet.size
    board.Thickness, board.Board, board.Underside = sheet.thickness, sheet.board or "", underside

    layout = _feature(doc, group, objects.LayoutProxy, "Layout", f"Parts {sheet.name}")
    layout.Panels = [panels[p.panel] for p in sheet.placements if p.panel in panels]
    layout.SheetJson, layout.Underside = objects.plan_text(Plan(sheets=(sheet,))), underside

    members = [group, board, layout]
    if sheet.flip is not None:
        first = _feature(doc, group, objects.FirstSideProxy, "Layout", f"Parts {sheet.name}, first side")
        lying = Plan(sheets=(turned(sheet, sheet.flip.axis),))
        first.Panels, first.SheetJson, first.Underside = layout.Panels, objects.plan_text(lying), underside
        members.append(first)
    if zones is not None and not zones.is_empty:
        area = _feature(doc, group, objects.ZonesProxy, "Zones", f"Screw zones {sheet.name}")
        area.ZonesJson, area.Top = _zones_text(zones), top
        members.append(area)
    sketch = _sketch(doc, group, sheet, top)
    members.append(sketch)
    if sheet.screws:
        heads = _feature(doc, group, objects.HeadsProxy, "Heads", f"Screw heads {sheet.name}")
        heads.Points = sketch
        heads.Zones = next((m for m in members if getattr(m, objects.OURS, "") == "zones"), None)
        heads.Diameter = preset.holding.fasteners.head_diameter
        heads.Height = preset.holding.fasteners.head_height
        members.append(heads)
    for obj in members[1:]:
        if obj is not sketch:
            obj.Proxy.execute(obj)
    return members


def _write_tabs(doc: Any, group: Any, sheet: Sheet, preset: Preset, rules: Mapping[str, TabRules]) -> Any:
    """The object that shows a sheet's tabs."""
    tabs = _feature(doc, group, objects.TabsProxy, "Tabs", f"Tabs {sheet.name}")
    here = {p.panel: rules[p.panel] for p in sheet.placements}
    tabs.RulesJson = dumps(here)
    tabs.Kerf = max((b.cut for r in here.values() if (b := r.bits.outline) is not None), default=0.0)
    tabs.Underside = 0.0 if preset.machine.zero == "bed" else -sheet.thickness
    tabs.Top = tabs.Underside + sheet.thickness
    tabs.TabsJson = objects.plan_text(Plan(sheets=(replace(sheet, programs=()),)))
    tabs.Proxy.execute(tabs)
    return tabs


def _sketch(doc: Any, group: Any, sheet: Sheet, top: float) -> Any:
    """The sketch of screw points, on the board's upper side; its points can be dragged."""
    sketch = doc.addObject("Sketcher::SketchObject", "ScrewPoints")
    sketch.Label = f"Screw points {sheet.name}"
    objects.init_properties(sketch, "screws", ())
    sketch.Placement.Base = App.Vector(0, 0, top)
    sketch.addGeometry([Part.Point(App.Vector(s.x, s.y, 0)) for s in sheet.screws], False)
    group.addObject(sketch)
    sketch.recompute()
    return sketch


def _zones_text(zones: BaseGeometry) -> str:
    """Rings of polygons as the kernel wants them, thinned to what an eye can see."""
    faces = [orient(p) for p in parts(shapely.simplify(zones, 0.01))]
    rings = [[_ring(p.exterior), *map(_ring, p.interiors)] for p in faces if p.area > 1e-3]
    return json.dumps(rings, separators=(",", ":"))


def _ring(ring: Any) -> list[list[float]]:
    return [[round(x, 4), round(y, 4)] for x, y in list(ring.coords)[:-1]]


def _group(
    doc: Any, parent: Any | None, label: str, kind: str, properties: Sequence[objects.Property] = ()
) -> Any:
    group = doc.addObject("App::DocumentObjectGroup", "Flatwright" if kind == "result" else "Group")
    group.Label = label
    objects.init_properties(group, kind, properties)
    if parent is not None:
        parent.addObject(group)
    return group


def _feature(doc: Any, group: Any, proxy: type[Any], name: str, label: str) -> Any:
    obj = doc.addObject("Part::FeaturePython", name)
    proxy(obj)
    obj.Label = label
    group.addObject(obj)
    views.show(obj, proxy.KIND)
    return obj
