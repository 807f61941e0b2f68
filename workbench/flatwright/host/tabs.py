# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Tabs by hand in the document: put on a panel, shown on its sheet at once, and looked at again.

Whoever calls a function that changes something opens the transaction.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import shapely

from flatwright.edits.model import PanelRef, TabsEdit
from flatwright.edits.said import Told
from flatwright.edits.spots import Panels
from flatwright.edits.tabs import REACH, HandTab, HandTabs, nearest, tab_edits, tab_spot
from flatwright.findings import Finding, UsageError
from flatwright.geometry.arcs import Point
from flatwright.geometry.polygon import region
from flatwright.holding.edges import point_on_panel, point_on_sheet
from flatwright.holding.tab_rules import loads, placed_tabs
from flatwright.host import edited, objects, outdated, remembered
from flatwright.host.result import result_group, screw_points
from flatwright.host.skipping import OURS
from flatwright.plan import Panel, Placement, Plan, Sheet, Tab
from flatwright.plan_json import from_json
from flatwright.presets.model import Preset
from flatwright.presets.reading import preset_of

Given = Sequence[float | None]  # u, v, and perhaps length and height (None: by the rules), mm


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """A part as it lies: its panel, its placement, its sheet with the tabs of now, and what shows these."""

    panel: Panel
    placement: Placement
    sheet: Sheet
    shown: Any

    def tabs(self) -> tuple[Tab, ...]:
        """The tabs of the part, sheet coordinates, in their order."""
        return tuple(t for t in self.sheet.tabs if t.panel == self.panel.name)

    def away(self, point: Point) -> float:
        """How far a point of the sheet is from the part's wood, mm."""
        u, v = self.to_panel(point)
        return float(region(self.panel.outline, self.panel.holes).distance(shapely.Point(u, v)))

    def to_panel(self, point: Point) -> Point:
        return point_on_panel(point, self.placement)

    def to_sheet(self, point: Point) -> Point:
        return point_on_sheet(point, self.placement)

    def on_edge(self, point: Point) -> tuple[Point, float]:
        """(the place on the part's edges nearest to a point of the sheet, how far that is)."""
        _, at, away = nearest((self.panel.outline, *self.panel.holes), self.to_panel(point))
        return self.to_sheet(at), away


def laid_parts(doc: Any) -> list[Laid]:
    """All parts whose tabs are shown, sheet by sheet."""
    panels = {o.PanelName: objects.read_panel(o) for o in edited.fitted_panels(doc)}
    out = []
    for obj in _shown(doc):
        sheet = _sheet(obj)
        out += [Laid(panels[p.panel], p, sheet, obj) for p in sheet.placements if p.panel in panels]
    return out


def laid_part(doc: Any, name: str) -> Laid:
    """The part of that name; raises UsageError."""
    edited.panel(doc, name)
    for part in laid_parts(doc):
        if part.panel.name == name:
            return part
    raise UsageError(f"{name} lies on no sheet that is held by tabs")


def given(part: Laid) -> list[tuple[float, float, float | None, float | None]]:
    """The tabs that a part has now, as `put` takes them; sizes that are by the rules are None."""
    sized = {(t.at, t.length, t.height) for t in _hand(part).tabs}
    out: list[tuple[float, float, float | None, float | None]] = []
    for tab in part.tabs():
        u, v = (round(c, 3) + 0.0 for c in part.to_panel((tab.x, tab.y)))
        own = next(((a, b) for at, a, b in sized if abs(at[0] - u) + abs(at[1] - v) < 0.01), (None, None))
        out.append((u, v, *own))
    return out


def put(doc: Any, name: str, tabs: Iterable[Given] | None) -> None:
    """Give a panel these tabs and no others; None leaves them to the rules. Raises UsageError for one that
    is near no edge."""
    part, obj = laid_part(doc, name), edited.panel(doc, name)
    ref = PanelRef(obj.Source, obj.SourceObject)
    edit = None
    if tabs is not None:
        spots = tuple(tab_spot(part.panel, _hand_tab(part.panel, *t)) for t in tabs)
        edit = TabsEdit(ref, spots, only=True)
    edited.change(doc, edited.edits(doc).with_tabs(edit, ref))
    _show(doc, part.shown)


def findings_of(doc: Any, name: str) -> list[Finding]:
    """What there is to say of the tabs of a part as they are now."""
    text = laid_part(doc, name).shown.SaidJson
    found = remembered.from_rows(json.loads(text)) if text else remembered.findings(doc)
    return [f for f in found if name in f.panels and f.code.startswith("holding.")]


def look_again(doc: Any) -> None:
    """Show what is wrong with tabs that were put by hand, after a run."""
    by_hand = {o.PanelName for o in edited.fitted_panels(doc)} & set(_all_by_hand(doc, _fitted(doc)))
    for obj in _shown(doc):
        if by_hand & {p.panel for p in _sheet(obj).placements}:
            _show(doc, obj)


def _hand_tab(
    panel: Panel, u: float | None, v: float | None, length: float | None = None, height: float | None = None
) -> HandTab:
    if u is None or v is None:
        raise UsageError(f"a tab of {panel.name} has no place: give u and v, mm in the panel's own frame")
    for value, what in ((length, "length"), (height, "height")):
        if value is not None and not value > 0:
            raise UsageError(f"a tab of {value:g} mm {what} is none: give more than 0")
    loop, at, away = nearest((panel.outline, *panel.holes), (u, v))
    if away > REACH:
        raise UsageError(f"({u:g}, {v:g}) lies {away:.0f} mm from the nearest edge of {panel.name}")
    return HandTab(loop, at, length, height)


def _show(doc: Any, obj: Any) -> None:
    """Show a sheet's tabs as they are now; red, and its jobs refused, where they are wrong."""
    tabs, findings = _look(doc, obj)
    wrong = [f for f in findings if f.severity == "error"]
    obj.TabsJson = objects.plan_text(Plan(sheets=(replace(_sheet(obj), tabs=tabs),)))
    obj.SaidJson = json.dumps(remembered.rows(findings), ensure_ascii=False)
    obj.Proxy.execute(obj)
    obj.WrongParts = sorted({n for f in wrong for n in f.panels})
    obj.Wrong = "; ".join(f"{f.where}: {f.message}" for f in wrong)
    outdated.refuse_sheet(doc, _sheet(obj).name)
    obj.purgeTouched()


def _look(doc: Any, obj: Any) -> tuple[tuple[Tab, ...], list[Finding]]:
    fitted = _fitted(doc)
    hand = _all_by_hand(doc, fitted)
    preset: Preset = preset_of(json.loads(result_group(doc).PresetJson))
    sheet = _sheet(obj)
    sheet = replace(sheet, screws=screw_points(doc, sheet.name))
    return placed_tabs(sheet, {p.name: p for p in fitted}, loads(obj.RulesJson, preset), preset, hand)


def _all_by_hand(doc: Any, fitted: Sequence[Panel]) -> dict[str, HandTabs]:
    names = {o.Source: o.SourceObject for o in edited.fitted_panels(doc)}
    return tab_edits(edited.edits(doc).tabs, Panels(fitted, names), fitted, Told())[0]


def _hand(part: Laid) -> HandTabs:
    by_hand = _all_by_hand(part.shown.Document, [part.panel])
    return by_hand.get(part.panel.name, HandTabs((), False))


def _fitted(doc: Any) -> list[Panel]:
    return [objects.read_panel(o) for o in edited.fitted_panels(doc)]


def _shown(doc: Any) -> list[Any]:
    return [o for o in doc.Objects if getattr(o, OURS, "") == "tabs"]


def _sheet(obj: Any) -> Sheet:
    return from_json(json.loads(obj.TabsJson)).sheets[0]
