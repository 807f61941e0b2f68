# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand in the document: with the result that they belong to, never with what is drawn.

What concerns a panel stands in the fitted panel's properties, where the host's property editor
changes it; joints, corners, and panels that are not there any more stand in the result's group.
Whoever calls a function that changes something opens the transaction.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from flatwright.edits.choosing import pointed_corner, pointed_edges
from flatwright.edits.corner_edges import Asked, CornerEdges
from flatwright.edits.model import CornerEdit, Edits, PanelEdit, PanelRef
from flatwright.edits.spots import JointSpot
from flatwright.edits.text import dump_spot, dumps, load_spot, loads
from flatwright.findings import UsageError
from flatwright.host import objects, remembered
from flatwright.host.objects import BY_RULE
from flatwright.host.result import result_group
from flatwright.host.skipping import OURS
from flatwright.plan import Relief
from flatwright.presets.model import Board
from flatwright.presets.reading import preset_of

CHANGED = "edits by hand were changed"

_writing: list[str] = []  # panels whose properties are being set by us, not by the user
_PROPERTIES: tuple[objects.Property, ...] = (
    ("EditsJson", "App::PropertyString", "Flatwright", "The edits by hand that it was made with", 2),
    ("LostEdits", "App::PropertyString", "Flatwright", "Those of them whose thing is gone", 2),
    ("JointSpots", "App::PropertyStringList", "Flatwright", "What edits call the joints of the plan", 2),
)


def edits(doc: Any) -> Edits:
    """All edits by hand that the document keeps; raises EditsError when their text is damaged."""
    kept = _kept(result_group(doc))
    for obj in fitted_panels(doc):
        kept = kept.with_panel(edit_of(obj))
    return kept


def joint_spots(doc: Any) -> tuple[JointSpot | None, ...]:
    """What an edit calls each joint of the plan, and where it is."""
    return tuple(load_spot(text) for text in getattr(result_group(doc), "JointSpots", ()))


def lost_edits(doc: Any) -> Edits:
    """The edits whose thing was gone, or not to be told from another, in the last run."""
    return _read(getattr(result_group(doc), "LostEdits", ""))


def forget_lost(doc: Any) -> None:
    """Take the lost edits out; the result is as it would be without them."""
    group = result_group(doc)
    if group is None or not getattr(group, "LostEdits", ""):
        return
    group.EditsJson = dumps(_kept(group).without(lost_edits(doc)))
    group.LostEdits = ""
    group.purgeTouched()


def panel(doc: Any, name: str) -> Any:
    """The fitted panel of that name; raises UsageError."""
    for obj in fitted_panels(doc):
        if name == obj.PanelName:
            return obj
    raise UsageError(f"{doc.Label} has no fitted panel called {name}: apply the shop rules first")


def check_board(doc: Any, board: str | None) -> None:
    """Raises UsageError for a board that the preset of the result has not."""
    known = [b.name for b in boards(doc)]
    if board is not None and board not in known:
        raise UsageError(f"the preset has no board called {board!r}; it has {', '.join(known) or 'none'}")


def boards(doc: Any) -> tuple[Board, ...]:
    """The boards of the preset that the result was made with; none without a result."""
    group = result_group(doc)
    return preset_of(json.loads(group.PresetJson)).boards if group is not None else ()


def corner_edit(doc: Any, name: str, near: Sequence[float], kind: Asked) -> CornerEdit:
    """The edit of a fitted panel's inside corner nearest to a point of the assembly, mm; raises UsageError
    where there is none."""
    obj = panel(doc, name)
    ref = PanelRef(obj.Source, obj.SourceObject)
    return pointed_corner(objects.read_panel(obj), ref, _reliefs(doc, name), joint_spots(doc), near, kind)


def corner_edges(doc: Any, name: str, near: Sequence[float]) -> CornerEdges | None:
    """The two edges of that corner, if its relief lets them be told."""
    return pointed_edges(objects.read_panel(panel(doc, name)), _reliefs(doc, name), near)


def _reliefs(doc: Any, name: str) -> list[Relief]:
    plan = remembered.plan(doc)
    return [r for r in plan.reliefs if r.panel == name] if plan is not None else []


def remember_edits(
    doc: Any,
    made_with: Edits,
    lost: Edits,
    spots: Iterable[JointSpot | None],
    sources: dict[str, str],
    boards: Sequence[str],
) -> None:
    """Keep the edits that the result was made with, those that were lost among them, and what they call
    its joints. `sources` are the
    host's own names of the drawn solids by source, `boards` those that can be chosen."""
    group = result_group(doc)
    objects.init_properties(group, "result", _PROPERTIES)
    group.EditsJson = dumps(made_with)
    group.LostEdits = dumps(lost) if lost != Edits() else ""
    group.JointSpots = [dump_spot(s) for s in spots]
    by_source = {e.panel.source: e for e in made_with.panels}
    for obj in fitted_panels(doc):
        obj.SourceObject = sources.get(obj.Source, "")
        edit = by_source.get(obj.Source) or PanelEdit(PanelRef(obj.Source))
        _put_panel(obj, edit, boards)


def change(doc: Any, now: Edits) -> None:
    """Keep edits in place of those that are kept; the result is stale then."""
    group = result_group(doc)
    if dumps(edits(doc)) == dumps(now):
        return
    by_source = {e.panel.source: e for e in now.panels}
    for obj in fitted_panels(doc):
        _put_panel(obj, by_source.get(obj.Source) or PanelEdit(PanelRef(obj.Source)))
    group.EditsJson = dumps(now)
    remembered.mark_stale(group, CHANGED)
    for obj in (group, *fitted_panels(doc)):
        obj.purgeTouched()  # the shapes are those of the last run until the next


def panel_changed(obj: Any) -> None:
    """A property of a fitted panel was changed: the result is stale if it was made with another."""
    group = result_group(obj.Document)
    if _writing or group is None or not hasattr(group, "EditsJson") or not hasattr(obj, "SetBoard"):
        return
    made_with = {e.panel.source: e for e in _kept(group).panels}.get(obj.Source)
    now = edit_of(obj)
    before = made_with or PanelEdit(now.panel)
    if (now.grain, now.show, now.stays, now.board) != (before.grain, before.show, before.stays, before.board):
        remembered.mark_stale(group, CHANGED)


def fitted_panels(doc: Any) -> list[Any]:
    """The fitted panels of the result, in the order of the plan."""
    return [o for o in doc.Objects if getattr(o, OURS, "") == "panel"]


def _put_panel(obj: Any, edit: PanelEdit, boards: Sequence[str] = ()) -> None:
    """Put an edit into the properties of a fitted panel, and the boards that it may be cut from."""
    grain = BY_RULE if edit.grain is None else "any" if edit.grain == "any" else f"{edit.grain:g} deg"
    values = {
        "SetGrain": grain,
        "SetShowFace": edit.show or BY_RULE,
        "SetStayingFace": edit.stays or BY_RULE,
        "SetBoard": edit.board or BY_RULE,
    }
    _writing.append(obj.Name)
    try:
        if boards:
            obj.SetBoard = [BY_RULE, *boards]
        for name, value in values.items():
            if value not in obj.getEnumerationsOfProperty(name):
                setattr(obj, name, [*obj.getEnumerationsOfProperty(name), value])
            if value != getattr(obj, name):
                setattr(obj, name, value)
    finally:
        _writing.pop()


def edit_of(obj: Any) -> PanelEdit:
    """What the properties of a fitted panel say."""
    grain: Any = None if obj.SetGrain == BY_RULE else obj.SetGrain
    if grain not in (None, "any"):
        grain = float(grain.removesuffix(" deg"))
    u = objects.read_panel(obj).frame.u
    return PanelEdit(
        PanelRef(obj.Source, obj.SourceObject),
        grain,
        None if grain is None else (float(u[0]), float(u[1]), float(u[2])),
        None if obj.SetShowFace == BY_RULE else obj.SetShowFace,
        None if obj.SetStayingFace == BY_RULE else obj.SetStayingFace,
        None if obj.SetBoard == BY_RULE else obj.SetBoard,
    )


def _kept(group: Any) -> Edits:
    return _read(getattr(group, "EditsJson", ""))


def _read(text: str) -> Edits:
    return loads(text, "what the document keeps of edits by hand") if text else Edits()
