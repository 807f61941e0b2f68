# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand as rows of their file."""

from __future__ import annotations

from typing import Any

from flatwright.edits.model import CornerEdit, End, JointRef, PanelEdit, Point3, Pose, TabsEdit
from flatwright.geometry.outline import clean

POSE = ("low_mm", "high_mm", "middle_mm", "mean_mm", "u", "n")


def numbers(point: Point3, digits: int = 3) -> list[float]:
    """Three numbers, to 0.001 unless said."""
    return [clean(v, digits) for v in point]


def end_row(end: End) -> dict[str, Any]:
    """A panel, and where on it."""
    out: dict[str, Any] = {"panel": end.panel.source}
    if end.panel.object:
        out["object"] = end.panel.object
    if end.spot is not None:
        out |= {"at_mm": numbers(end.spot.at), "of_mm": numbers(end.spot.of)}
    return out


def joint_rows(joint: JointRef) -> list[dict[str, Any]]:
    """The two panels of a joint."""
    return [end_row(e) for e in joint]


def panel_row(e: PanelEdit) -> dict[str, Any]:
    """What was set for a whole panel."""
    out = end_row(End(e.panel))
    if e.grain is not None:
        out["grain"] = e.grain if e.grain == "any" else clean(float(e.grain), 6)
    if e.u is not None:
        out["u"] = numbers(e.u, 9)
    said = {"show": e.show, "stays": e.stays, "board": e.board}
    return {**out, **{k: v for k, v in said.items() if v is not None}}


def corner_row(e: CornerEdit) -> dict[str, Any]:
    """The relief of a corner."""
    out = end_row(e.at)
    if e.joint is not None and e.from_joint is not None:
        out |= {"joint": joint_rows(e.joint), "from_joint_mm": numbers(e.from_joint)}
    if e.along is not None:
        out["along"] = numbers(e.along)
    return {**out, "kind": e.kind}


def pose_row(p: Pose) -> dict[str, Any]:
    """How a panel lies."""
    places = zip(POSE, (p.low, p.high, p.middle, p.mean, p.u, p.n), strict=True)
    return end_row(End(p.panel)) | {key: numbers(x, 3 if "mm" in key else 9) for key, x in places}


def tabs_row(e: TabsEdit) -> dict[str, Any]:
    """The tabs of a panel."""
    places = []
    for t in e.tabs:
        row: dict[str, Any] = {"at_mm": numbers(t.spot.at), "of_mm": numbers(t.spot.of)}
        sizes = {"length_mm": t.length, "height_mm": t.height}
        places.append(row | {k: clean(v, 3) for k, v in sizes.items() if v is not None})
    return end_row(End(e.panel)) | ({"only": True} if e.only else {}) | {"places": places}
