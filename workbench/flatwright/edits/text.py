# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand as a file: one canonical text, a line for each edit; all that is wrong is told at once."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any, get_args

from flatwright.edits.model import (
    CornerEdit,
    Edits,
    End,
    JointEdit,
    PanelEdit,
    PanelRef,
    Point3,
    Pose,
    Spot,
    TabsEdit,
    TabSpot,
)
from flatwright.edits.rows import POSE, corner_row, joint_rows, numbers, panel_row, pose_row, tabs_row
from flatwright.edits.spots import JointSpot
from flatwright.joints.relief_choice import CornerKind
from flatwright.presets.fields import Leaf, Rows, flag, kind, one_of, record, text
from flatwright.presets.text import DocumentError, check_format, file_text, parsed
from flatwright.presets.tree import Problems, is_noted, read, step

FORMAT = "flatwright-edits"
VERSION = 1
WHAT = "a file of edits by hand"


class EditsError(DocumentError):
    """Edits that cannot be used."""


def load(path: str | Path) -> Edits:
    """The edits in a file; raises EditsError."""
    return loads(file_text(Path(path), WHAT, EditsError), str(path))


def loads(given: str, where: str = "the edits by hand") -> Edits:
    """The edits in a text; `where` names it in messages. Raises EditsError."""
    document = parsed(given, where, EditsError)
    check_format(document, where, WHAT, FORMAT, VERSION, EditsError)
    problems = Problems()
    _no_notes(document, "", problems)
    edits = read(_EDITS, document, "", problems)
    for key in ("joints", "corners"):
        for i, edit in enumerate(getattr(edits, key)):
            _check_reference(edit, step(key, i), problems)
    if problems.found:
        raise EditsError(where, problems.found)
    assert isinstance(edits, Edits)
    return edits


def dump_spot(spot: JointSpot | None) -> str:
    """What a joint is called, and where it is, on one line; "" for none."""
    if spot is None:
        return ""
    row = {"between": joint_rows(spot.ref), "low_mm": numbers(spot.low), "high_mm": numbers(spot.high)}
    return json.dumps(row, ensure_ascii=False)


def load_spot(given: str) -> JointSpot | None:
    """What `dump_spot` wrote."""
    if not given:
        return None
    row = json.loads(given)
    a, b = (read(_ENDS.row, end, "", Problems()) for end in row["between"])
    return JointSpot((a, b), _point(row["low_mm"]), _point(row["high_mm"]))


def dumps(edits: Edits) -> str:
    """The canonical text: edits in order of what they refer to."""
    rows = {
        "panels": [panel_row(e) for e in edits.panels],
        "joints": [{"between": joint_rows(e.joint), "class": e.fit_class} for e in edits.joints],
        "corners": [corner_row(e) for e in edits.corners],
        "tabs": [tabs_row(e) for e in edits.tabs],
        "poses": [pose_row(p) for p in edits.poses],
    }
    lines = [f'"format": "{FORMAT}"', f'"version": {VERSION}']
    lines += ['"cut_slots": true'] if edits.cut_slots else []
    for key, values in rows.items():
        if values:
            inner = ",\n    ".join(sorted(json.dumps(v, ensure_ascii=False) for v in values))
            lines.append(f'"{key}": [\n    {inner}\n  ]')
    return "{\n  " + ",\n  ".join(lines) + "\n}\n"


def _point(value: Any) -> Point3:
    if not isinstance(value, list) or len(value) != 3:
        raise ValueError(f"{kind(value)} is no place; write three numbers in square brackets")
    for v in value:
        if isinstance(v, bool) or not isinstance(v, int | float) or not math.isfinite(v):
            raise ValueError(f"{kind(v)} is no number of a place")
    return (float(value[0]), float(value[1]), float(value[2]))


def _size(value: Any) -> Point3:
    size = _point(value)
    if min(size) <= 0:
        raise ValueError("each side of a size must be longer than 0")
    return size


def _measure(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(f"{kind(value)} is no measure of a tab; write mm")
    if value <= 0:
        raise ValueError(f"{value:g} mm is no measure of a tab; it must be more than 0")
    return float(value)


def _grain(value: Any) -> float | str:
    if value == "any":
        return "any"
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f'{kind(value)} is no grain; write degrees from the longer side, or "any"')
    if not -180 <= value <= 180:
        raise ValueError(f"{value:g} degrees are no direction; write -180 to 180")
    return float(value)


def _spot(at: Point3 | None, of: Point3 | None) -> Spot | None:
    return Spot(at, of) if at is not None and of is not None else None


def _end(panel: str, object: str = "", at_mm: Any = None, of_mm: Any = None) -> End:
    return End(PanelRef(panel, object), _spot(at_mm, of_mm))


def _panel_edit(panel: str, object: str = "", **rest: Any) -> PanelEdit:
    return PanelEdit(PanelRef(panel, object), **rest)


def _joint_edit(between: Sequence[End], **rest: Any) -> JointEdit:
    return JointEdit(tuple(between), rest["class"])  # type: ignore[arg-type]  # two ends: checked after


def _corner_edit(
    kind: Any, joint: Sequence[End] = (), from_joint_mm: Any = None, along: Any = None, **end: Any
) -> CornerEdit:
    ref: Any = tuple(joint) or None
    return CornerEdit(_end(**end), kind, ref, from_joint_mm, along)


def _tab_spot(
    at_mm: Point3, of_mm: Point3, length_mm: float | None = None, height_mm: float | None = None
) -> TabSpot:
    return TabSpot(Spot(at_mm, of_mm), length_mm, height_mm)


def _tabs_edit(panel: str, places: Sequence[TabSpot], object: str = "", only: bool = False) -> TabsEdit:
    return TabsEdit(PanelRef(panel, object), tuple(places), only)


def _edits(
    format: str, version: int, panels: Sequence[PanelEdit] = (), joints: Sequence[JointEdit] = (),
    corners: Sequence[CornerEdit] = (), tabs: Sequence[TabsEdit] = (), cut_slots: bool = False,
    poses: Sequence[Pose] = (),
) -> Edits:  # fmt: skip
    return Edits(tuple(panels), tuple(joints), tuple(corners), tuple(tabs), cut_slots, tuple(poses))


def _pose_of(panel: str, object: str = "", **places: Any) -> Pose:
    return Pose(PanelRef(panel, object), *(places[key] for key in POSE))


_PLACE = Leaf(_point, (0.0, 0.0, 0.0))
_SIZE = Leaf(_size, (1.0, 1.0, 1.0))
_MEASURE = Leaf(_measure, 1.0)
_TEXT = text()
_PANEL: dict[str, Any] = {"panel": _TEXT, "object": text(empty=True)}
_SPOT: dict[str, Any] = {"at_mm": _PLACE, "of_mm": _SIZE}
_ENDS = Rows(record(_end, ("panel",), **_PANEL, **_SPOT))
_EDITS = record(
    _edits,
    ("format", "version"),
    format=_TEXT,
    version=Leaf(int, 0),
    cut_slots=flag(),
    panels=Rows(
        record(
            _panel_edit,
            ("panel",),
            **_PANEL,
            grain=Leaf(_grain, "any"),
            u=_PLACE,
            show=one_of("+n", "-n", "both", "none"),
            stays=one_of("+n", "-n"),
            board=_TEXT,
        )
    ),
    joints=Rows(record(_joint_edit, ("between", "class"), between=_ENDS, **{"class": _TEXT})),
    corners=Rows(
        record(
            _corner_edit,
            ("panel", "kind"),
            **_PANEL,
            **_SPOT,
            joint=_ENDS,
            from_joint_mm=_PLACE,
            along=_PLACE,
            kind=one_of(*get_args(CornerKind)),
        )
    ),
    tabs=Rows(
        record(
            _tabs_edit,
            ("panel", "places"),
            **_PANEL,
            only=flag(),
            places=Rows(
                record(_tab_spot, ("at_mm", "of_mm"), **_SPOT, length_mm=_MEASURE, height_mm=_MEASURE)
            ),
        )
    ),
    poses=Rows(record(_pose_of, ("panel", *POSE), **_PANEL, **dict.fromkeys(POSE, _PLACE))),
)


def _check_reference(edit: JointEdit | CornerEdit, path: str, problems: Problems) -> None:
    """What the rows cannot say by themselves."""
    joint = edit.joint
    if joint is not None and len(joint) != 2:
        key = "between" if isinstance(edit, JointEdit) else "joint"
        problems.add(step(path, key), f"it names {len(joint)} panels; a joint is between 2")
    if isinstance(edit, CornerEdit):
        if (joint is None) != (edit.from_joint is None):
            problems.add(path, "joint and from_joint_mm go together")
        elif joint is None and edit.at.spot is None:
            problems.add(path, "says of no corner where it is; write at_mm and of_mm")


def _no_notes(value: Any, path: str, problems: Problems) -> None:
    """Notes belong to presets: here they would be lost when the edits are written again."""
    if is_noted(value):
        problems.add(path, "edits carry no notes; write the bare value")
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in parts:
        _no_notes(inner, step(path, key), problems)
