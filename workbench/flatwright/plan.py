# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The plan: everything that the steps decided, as frozen values; to and from JSON.

Lengths are mm and angles degrees here, since this is what is written to plan.json
(resources/schemas/plan.schema.json). Each step returns a new value and changes none.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import numpy as np

from flatwright.geometry.frame import Frame, Vector
from flatwright.geometry.outline import Outline, clean

Side = Literal["+n", "-n"]
Show = Literal["+n", "-n", "both", "none"]

# The kinds of joints, by their trade names; `by_joint` of a preset uses the same words.
JOINT_KINDS = (
    "mortise and tenon",
    "blind mortise and tenon",
    "keyed tenon",
    "wedged tenon",
    "slot",
    "housing",
    "stopped housing",
    "groove",
    "rabbet",
    "finger joint",
    "cross-lap",
    "half-lap",
    "T-halving",
    "butt",
    "edge to edge",
    "face to face",
)

FORMAT = "flatwright-plan"
VERSION = 1


class PlanError(ValueError):
    """A plan file that cannot be read; the message says why."""


@dataclass(frozen=True, slots=True, eq=False)
class Pocket:
    """A recess cut from one face. `outline` runs clockwise (wood on its left); `depth` from that face."""

    outline: Outline
    depth: float
    side: Side


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """A flat part. Its solid is the outline less the holes, extruded from the frame's plane
    (the -n face) along n by the thickness, less the pockets.

    `nominal` is the thickness as drawn, `thickness` the present one; `grain` degrees
    counter-clockwise from u seen from +n, or None; equal `shape` ids are equal parts.
    """

    name: str
    source: str
    frame: Frame
    nominal: float
    thickness: float
    outline: Outline
    holes: tuple[Outline, ...] = ()
    pockets: tuple[Pocket, ...] = ()
    board: str | None = None
    show: Show = "none"
    grain: float | None = None
    shape: str = ""

    def loops(self) -> tuple[Outline, ...]:
        """Outer loop, holes, then pocket loops: the numbering that edge references use."""
        return (self.outline, *self.holes, *(p.outline for p in self.pockets))

    def centre(self) -> Vector:
        """The middle of the box about the outline, at half the thickness, in space, (3,) float."""
        x0, y0, x1, y1 = self.outline.bounds()
        middle = np.array([[(x0 + x1) / 2, (y0 + y1) / 2]])
        centre: Vector = self.frame.to_space(middle, self.thickness / 2)[0]
        return centre


@dataclass(frozen=True, slots=True)
class Joint:
    """`panels` are (receiver, mate); `fit` holds total clearances in mm by name and the class."""

    kind: str
    panels: tuple[str, str]
    fit: Mapping[str, float | str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Relief:
    """A corner relief in panel coordinates."""

    panel: str
    kind: str
    corner: tuple[float, float]
    centre: tuple[float, float]
    radius: float


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a panel lies: mirror u if flipped (then -n is up), turn by `angle`°, shift by x, y."""

    panel: str
    x: float
    y: float
    angle: float
    flipped: bool


@dataclass(frozen=True, slots=True)
class Tab:
    """A bridge of wood. x, y: the middle of its length on the part's outline, sheet coordinates;
    `angle` the edge's direction there; `length` of wood at its top; `height` from the underside."""

    panel: str
    x: float
    y: float
    angle: float
    length: float
    height: float


@dataclass(frozen=True, slots=True)
class Screw:
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class ProgramBit:
    number: int
    kind: str
    diameter: float


@dataclass(frozen=True, slots=True)
class Program:
    """A posted file, relative to the output folder."""

    kind: Literal["spots", "cut"]
    file: str
    sha256: str
    bits: tuple[ProgramBit, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet: lower left corner (0, 0), length along x."""

    name: str
    board: str | None
    thickness: float
    size: tuple[float, float]
    grain: Literal["length", "width"] = "length"
    placements: tuple[Placement, ...] = ()
    tabs: tuple[Tab, ...] = ()
    screws: tuple[Screw, ...] = ()
    programs: tuple[Program, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    panels: tuple[Panel, ...] = ()
    joints: tuple[Joint, ...] = ()
    reliefs: tuple[Relief, ...] = ()
    sheets: tuple[Sheet, ...] = ()

    def panel(self, name: str) -> Panel:
        """The panel of that name; raises KeyError."""
        for p in self.panels:
            if p.name == name:
                return p
        raise KeyError(name)

    def with_sheet(self, sheet: Sheet) -> Plan:
        """The plan with the sheet of the same name replaced."""
        return replace(self, sheets=tuple(sheet if s.name == sheet.name else s for s in self.sheets))


def placed(outline: Outline, placement: Placement) -> Outline:
    """A panel's loop in sheet coordinates; a flipped loop is run backwards so that wood stays on its left."""
    from math import radians

    out = outline.moved((placement.x, placement.y), radians(placement.angle), placement.flipped)
    return out.reversed() if placement.flipped else out


def to_json(plan: Plan) -> dict[str, Any]:
    """The plan as plan.json holds it."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "units": "mm",
        "panels": [_panel_json(p) for p in plan.panels],
        "joints": [
            {
                "kind": j.kind,
                "panels": list(j.panels),
                "fit": {k: clean(v, 6) if isinstance(v, float) else v for k, v in j.fit.items()},
            }
            for j in plan.joints
        ],
        "reliefs": [
            {
                "panel": r.panel,
                "kind": r.kind,
                "corner_mm": [clean(x, 6) for x in r.corner],
                "centre_mm": [clean(x, 6) for x in r.centre],
                "radius_mm": clean(r.radius, 6),
            }
            for r in plan.reliefs
        ],
        "sheets": [_sheet_json(s) for s in plan.sheets],
    }


def _panel_json(p: Panel) -> dict[str, Any]:
    return {
        "name": p.name,
        "source": p.source,
        "shape": p.shape,
        "nominal_mm": clean(p.nominal, 6),
        "thickness_mm": clean(p.thickness, 6),
        "board": p.board,
        "show": p.show,
        "grain_deg": None if p.grain is None else clean(p.grain, 6),
        "frame": p.frame.as_json(),
        "outline": p.outline.as_json(),
        "holes": [h.as_json() for h in p.holes],
        "pockets": [
            {**q.outline.as_json(), "depth_mm": clean(q.depth, 6), "side": q.side} for q in p.pockets
        ],
    }


def _sheet_json(s: Sheet) -> dict[str, Any]:
    return {
        "name": s.name,
        "board": s.board,
        "thickness_mm": clean(s.thickness, 6),
        "size_mm": [clean(v, 6) for v in s.size],
        "grain": s.grain,
        "placements": [
            {
                "panel": p.panel,
                "x_mm": clean(p.x, 6),
                "y_mm": clean(p.y, 6),
                "angle_deg": clean(p.angle, 6),
                "flipped": p.flipped,
            }
            for p in s.placements
        ],
        "tabs": [
            {
                "panel": t.panel,
                "x_mm": clean(t.x, 6),
                "y_mm": clean(t.y, 6),
                "angle_deg": clean(t.angle, 6),
                "length_mm": clean(t.length, 6),
                "height_mm": clean(t.height, 6),
            }
            for t in s.tabs
        ],
        "screws": [{"x_mm": clean(w.x, 6), "y_mm": clean(w.y, 6)} for w in s.screws],
        "programs": [
            {
                "kind": g.kind,
                "file": g.file,
                "sha256": g.sha256,
                "bits": [
                    {"number": b.number, "kind": b.kind, "diameter_mm": clean(b.diameter, 6)} for b in g.bits
                ],
            }
            for g in s.programs
        ],
    }


def from_json(data: Mapping[str, Any]) -> Plan:
    """Read plan.json's value; raises PlanError naming what is wrong."""
    if data.get("format") != FORMAT:
        raise PlanError(f"this is not a plan: its format is {data.get('format')!r}, not {FORMAT!r}")
    if data.get("version") != VERSION:
        raise PlanError(f"this plan is of version {data.get('version')!r}; version {VERSION} is read here")
    try:
        return Plan(
            panels=tuple(_panel(p) for p in data["panels"]),
            joints=tuple(
                Joint(j["kind"], (j["panels"][0], j["panels"][1]), dict(j["fit"])) for j in data["joints"]
            ),
            reliefs=tuple(
                Relief(
                    r["panel"],
                    r["kind"],
                    (r["corner_mm"][0], r["corner_mm"][1]),
                    (r["centre_mm"][0], r["centre_mm"][1]),
                    r["radius_mm"],
                )
                for r in data["reliefs"]
            ),
            sheets=tuple(_sheet(s) for s in data["sheets"]),
        )
    except (KeyError, IndexError, TypeError, ValueError) as e:
        raise PlanError(f"the plan is damaged: {type(e).__name__} {e}") from e


def _panel(p: Mapping[str, Any]) -> Panel:
    return Panel(
        name=p["name"],
        source=p["source"],
        frame=Frame.from_json(p["frame"]),
        nominal=p["nominal_mm"],
        thickness=p["thickness_mm"],
        outline=Outline.from_json(p["outline"]),
        holes=tuple(Outline.from_json(h) for h in p["holes"]),
        pockets=tuple(Pocket(Outline.from_json(q), q["depth_mm"], q["side"]) for q in p["pockets"]),
        board=p["board"],
        show=p["show"],
        grain=p["grain_deg"],
        shape=p["shape"],
    )


def _sheet(s: Mapping[str, Any]) -> Sheet:
    return Sheet(
        name=s["name"],
        board=s["board"],
        thickness=s["thickness_mm"],
        size=(s["size_mm"][0], s["size_mm"][1]),
        grain=s["grain"],
        placements=tuple(
            Placement(p["panel"], p["x_mm"], p["y_mm"], p["angle_deg"], p["flipped"]) for p in s["placements"]
        ),
        tabs=tuple(
            Tab(t["panel"], t["x_mm"], t["y_mm"], t["angle_deg"], t["length_mm"], t["height_mm"])
            for t in s["tabs"]
        ),
        screws=tuple(Screw(w["x_mm"], w["y_mm"]) for w in s["screws"]),
        programs=tuple(
            Program(
                g["kind"],
                g["file"],
                g["sha256"],
                tuple(ProgramBit(b["number"], b["kind"], b["diameter_mm"]) for b in g["bits"]),
            )
            for g in s["programs"]
        ),
    )
