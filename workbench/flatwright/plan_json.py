# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The plan to and from plan.json (resources/schemas/plan.schema.json)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flatwright.geometry.frame import Frame
from flatwright.geometry.outline import Outline, clean
from flatwright.plan import (
    Flip,
    Joint,
    Panel,
    Pin,
    Placement,
    Plan,
    PlanBoard,
    Pocket,
    Program,
    ProgramBit,
    Relief,
    Screw,
    Sheet,
    Tab,
)

FORMAT = "flatwright-plan"
VERSION = 1


class PlanError(ValueError):
    """A plan file that cannot be read; the message says why."""


def to_json(plan: Plan) -> dict[str, Any]:
    """The plan as plan.json holds it."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "units": "mm",
        "panels": [_panel_json(p) for p in plan.panels],
        "boards": [_board_json(b) for b in plan.boards],
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
                "visible_mm2": clean(r.visible, 4),
            }
            for r in plan.reliefs
        ],
        "sheets": [_sheet_json(s) for s in plan.sheets],
    }


def _board_json(b: PlanBoard) -> dict[str, Any]:
    return {
        "name": b.name,
        "nominal_mm": clean(b.nominal, 6),
        "measured": b.measured,
        "readings_mm": [clean(r, 6) for r in b.readings],
        "mean_mm": clean(b.mean, 6),
        "s_mm": _maybe(b.deviation),
        "range_mm": _maybe(b.range),
        "u95_mm": _maybe(b.uncertainty),
        "spread_mm": clean(b.spread, 6),
        "growth_mm": clean(b.growth, 6),
    }


def _maybe(value: float | None) -> float | None:
    return None if value is None else clean(value, 6)


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
                "dress": t.dress,
            }
            for t in s.tabs
        ],
        "screws": [{"x_mm": clean(w.x, 6), "y_mm": clean(w.y, 6)} for w in s.screws],
        "skin_mm": clean(s.skin, 6),
        "screws_by_hand": s.screws_by_hand,
        "flip": None if s.flip is None else _flip_json(s.flip),
        "programs": [
            {
                "kind": g.kind,
                "file": g.file,
                "sha256": g.sha256,
                "underside": g.underside,
                "bits": [
                    {"number": b.number, "kind": b.kind, "diameter_mm": clean(b.diameter, 6)} for b in g.bits
                ],
            }
            for g in s.programs
        ],
    }


def _flip_json(f: Flip) -> dict[str, Any]:
    return {
        "axis": f.axis,
        "pins": [{"x_mm": clean(p.x, 6), "y_mm": clean(p.y, 6)} for p in f.pins],
        "diameter_mm": clean(f.diameter, 6),
        "depth_mm": clean(f.depth, 6),
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
                    r["visible_mm2"],
                )
                for r in data["reliefs"]
            ),
            sheets=tuple(_sheet(s) for s in data["sheets"]),
            boards=tuple(_board(b) for b in data.get("boards", ())),
        )
    except (KeyError, IndexError, TypeError, ValueError) as e:
        raise PlanError(f"the plan is damaged: {type(e).__name__} {e}") from e


def _board(b: Mapping[str, Any]) -> PlanBoard:
    return PlanBoard(
        name=b["name"],
        nominal=b["nominal_mm"],
        readings=tuple(b["readings_mm"]),
        mean=b["mean_mm"],
        deviation=b["s_mm"],
        uncertainty=b["u95_mm"],
        spread=b["spread_mm"],
        growth=b["growth_mm"],
    )


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
            Tab(
                t["panel"],
                t["x_mm"],
                t["y_mm"],
                t["angle_deg"],
                t["length_mm"],
                t["height_mm"],
                t.get("dress", False),
            )
            for t in s["tabs"]
        ),
        screws=tuple(Screw(w["x_mm"], w["y_mm"]) for w in s["screws"]),
        skin=s.get("skin_mm", 0.0),
        screws_by_hand=s.get("screws_by_hand", False),
        programs=tuple(
            Program(
                g["kind"],
                g["file"],
                g["sha256"],
                tuple(ProgramBit(b["number"], b["kind"], b["diameter_mm"]) for b in g["bits"]),
                g.get("underside", False),
            )
            for g in s["programs"]
        ),
        flip=_flip(s.get("flip")),
    )


def _flip(f: Mapping[str, Any] | None) -> Flip | None:
    if f is None:
        return None
    if f["axis"] not in ("x", "y"):
        raise ValueError(f"a sheet turns about x or y, not {f['axis']!r}")
    pins = tuple(Pin(p["x_mm"], p["y_mm"]) for p in f["pins"])
    return Flip(f["axis"], pins, f["diameter_mm"], f["depth_mm"])
