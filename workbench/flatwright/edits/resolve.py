# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""From edits by hand to what the steps work with: which panel, joint and corner each one means now.

Each function also returns the edits as they are to be kept: those that were found again refer to
what is there now, so that many small changes of a model one after the other lose none; the others
stay as they were.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

import numpy as np

from flatwright.edits.corner_edges import edges_of, is_t_bone, sharp_corners
from flatwright.edits.matching import match
from flatwright.edits.model import CornerEdit, End, JointEdit, JointRef, PanelEdit
from flatwright.edits.said import Told, last
from flatwright.edits.spots import (
    EVEN,
    Box,
    Panels,
    Place,
    away,
    by_pair,
    distance,
    joint_ref,
    pair_of,
    point3,
    served,
    spot_in,
)
from flatwright.geometry.corners import Corner
from flatwright.geometry.frame import Vector
from flatwright.geometry.outline import clean
from flatwright.joints.relief_choice import CornerChoice
from flatwright.plan import Panel

CORNER_REACH = 20.0  # mm: how far a corner may be from where its joint, or its panel, says it is
CORNER_EVEN = 4.0  # mm: two corners this close to equally far are not told apart
FLAT = 1e-3  # cosine within which an old direction lies in a panel's plane


def panel_edits(
    edits: Sequence[PanelEdit], panels: Panels, told: Told
) -> tuple[dict[str, PanelEdit], tuple[PanelEdit, ...]]:
    """(edit by panel name, edits to keep)."""
    by_name: dict[str, PanelEdit] = {}
    kept: list[PanelEdit] = []
    for edit in edits:
        index = panels.find(edit.panel)
        if index is None:
            kept.append(edit)
            told.gone(edit, "that panel is not in the model")
            continue
        panel = panels.panels[index]
        now = replace(_grain_now(edit, panel), panel=panels.ref(index))
        by_name[panel.name] = now.over(by_name[panel.name]) if panel.name in by_name else now
    return by_name, (*by_name.values(), *kept)


def _grain_now(edit: PanelEdit, panel: Panel) -> PanelEdit:
    """The edit with its grain from the present longer side, if it was said from another one."""
    if edit.grain is None or edit.grain == "any":
        return edit
    degrees, frame = float(edit.grain), panel.frame
    if edit.u is not None and abs(float(np.array(edit.u) @ frame.n)) < FLAT:
        before = np.array(edit.u)
        degrees += math.degrees(math.atan2(float(before @ frame.v), float(before @ frame.u)))
    u = (clean(frame.u[0], 9), clean(frame.u[1], 9), clean(frame.u[2], 9))
    return replace(edit, grain=headless(degrees), u=u)


def headless(degrees: float) -> float:
    """A direction that has no head, over -90 to 90 degrees.

    >>> headless(180.0), headless(-90.0), headless(135.0)
    (0.0, 90.0, -45.0)
    """
    return clean(90.0 - (90.0 - degrees) % 180.0, 6)


def joint_edits(
    edits: Sequence[JointEdit], panels: Panels, found: Sequence[Place], classes: Collection[str], told: Told
) -> tuple[dict[int, str], tuple[JointEdit, ...]]:
    """(fit class by index of the joint, edits to keep). An edit of one joint goes before one
    of all joints between its panels."""
    by_joint: dict[int, str] = {}
    kept: list[JointEdit] = []
    pairs = by_pair(found)
    everywhere = [e for e in edits if all(end.spot is None for end in e.joint)]
    single = [e for e in edits if any(end.spot is not None for end in e.joint)]
    for edit in everywhere:
        places = pairs.get(pair_of(panels, edit.joint), [])
        if places:
            a, b = (
                End(panels.ref(i)) for i in (panels.find(end.panel) for end in edit.joint) if i is not None
            )
            edit = replace(edit, joint=(a, b))
            by_joint |= {p.index: edit.fit_class for p in places}
        else:
            told.gone(edit, _missing(panels, edit.joint))
        kept.append(edit)
    places_of, torn = _joints([e.joint for e in single], panels, pairs)
    for k, edit in enumerate(single):
        if k in places_of:
            by_joint[places_of[k].index] = edit.fit_class
            edit = replace(edit, joint=joint_ref(panels, places_of[k]))
        elif k in torn:
            told.torn(edit, _names(panels, edit.joint))
        else:
            told.gone(edit, _missing(panels, edit.joint))
        kept.append(edit)
    for edit in kept:
        if edit.fit_class not in classes and any(by_joint.get(p.index) == edit.fit_class for p in found):
            told.no_such_class(edit, _names(panels, edit.joint), sorted(classes))
    return {k: c for k, c in by_joint.items() if c in classes}, tuple(kept)


def _joints(
    refs: Sequence[JointRef], panels: Panels, here: Mapping[frozenset[int], Sequence[Place]]
) -> tuple[dict[int, Place], set[int]]:
    """(the joint that each reference means, those that two joints fit), by number of the reference."""
    groups: dict[frozenset[int], list[int]] = {}
    for k, ref in enumerate(refs):
        groups.setdefault(pair_of(panels, ref), []).append(k)
    places: dict[int, Place] = {}
    torn: set[int] = set()
    for pair, mine in groups.items():
        matched = match([[distance(panels, refs[k], p) for p in here.get(pair, [])] for k in mine], EVEN)
        places |= {mine[r]: here[pair][t] for r, t in matched.found.items()}
        torn |= {mine[r] for r in matched.torn}
    return places, torn


def corner_edits(
    edits: Sequence[CornerEdit], panels: Panels, found: Sequence[Place], fitted: Sequence[Panel], told: Told
) -> tuple[dict[str, list[CornerChoice]], tuple[CornerEdit, ...]]:
    """(choices by panel name, edits to keep); `fitted` are the panels as fitted, in order."""
    serving = _joints_served(edits, panels, found)
    by_panel: dict[int | None, list[int]] = {}
    for k, edit in enumerate(edits):
        by_panel.setdefault(panels.find(edit.at.panel), []).append(k)
    choices: dict[str, list[CornerChoice]] = {}
    kept = list(edits)
    for index, panel in enumerate(fitted):
        mine = by_panel.get(index, [])
        corners = _corners(panel) if mine else []
        rows = [[_from(edits[k], serving.get(k), panels.boxes[index], x) for _, x in corners] for k in mine]
        matched = match(rows, CORNER_EVEN)
        for row, k in enumerate(mine):
            if row in matched.torn:
                told.torn(edits[k], [panel.name])
            elif row not in matched.found:
                told.gone(edits[k], _no_corner(edits[k], serving.get(k)))
            else:
                corner, point = corners[matched.found[row]]
                edit = _edge_now(edits[k], panel, corner)
                choices.setdefault(panel.name, []).append(CornerChoice(corner.at, edit.kind))
                joint = serving.get(k) or served(point, index, found)
                kept[k] = _corner_now(edit, panels, index, point, joint)
    for k in by_panel.get(None, []):
        told.gone(edits[k], "that panel is not in the model")
    return choices, tuple(kept)


def _joints_served(edits: Sequence[CornerEdit], panels: Panels, found: Sequence[Place]) -> dict[int, Place]:
    """The joint by the number of the edit; several corners may serve one joint."""
    out: dict[int, Place] = {}
    pairs = by_pair(found)
    for k, edit in enumerate(edits):
        if edit.joint is not None:
            places, _ = _joints([edit.joint], panels, pairs)
            if 0 in places:
                out[k] = places[0]
    return out


def _corners(panel: Panel) -> list[tuple[Corner, Vector]]:
    """Inside corners of all loops, and where each is in the assembly at half the thickness."""
    at = {(round(c.at[0], 3), round(c.at[1], 3)): c for c in sharp_corners(panel)}
    corners = [at[k] for k in sorted(at)]
    return [(c, panel.frame.to_space(np.array([c.at]), panel.thickness / 2)[0]) for c in corners]


def _edge_now(edit: CornerEdit, panel: Panel, corner: Corner) -> CornerEdit:
    """The edit with its T-bone along the same edge as when it was said."""
    if not is_t_bone(edit.kind):
        return edit
    edges = edges_of(panel, corner)
    edge = edges.of(edit.kind) if edit.along is None else edges.nearest(edit.along)
    return edit if edge is None else replace(edit, kind=edge.kind, along=edge.way)


def _from(edit: CornerEdit, joint: Place | None, box: Box, point: Vector) -> float:
    """How far a corner is from where the edit says, mm; infinite when it is out of reach."""
    if edit.joint is not None:
        if joint is None or edit.from_joint is None:
            return math.inf
        d = float(np.linalg.norm(point - joint.at - np.array(edit.from_joint)))
    else:
        d = math.inf if edit.at.spot is None else away(edit.at.spot, box, point)
    return d if d <= CORNER_REACH else math.inf


def _corner_now(
    edit: CornerEdit, panels: Panels, index: int, point: Vector, joint: Place | None
) -> CornerEdit:
    """As it is to be kept: a corner at a joint goes with that joint from now on."""
    end = End(panels.ref(index), spot_in(panels.boxes[index], point))
    if joint is None:
        return replace(edit, at=end)
    way = point3(point - joint.at)
    return replace(edit, at=end, joint=joint_ref(panels, joint), from_joint=way)


def _no_corner(edit: CornerEdit, joint: Place | None) -> str:
    if edit.joint is not None and joint is None:
        return "the joint that the corner served is not in the model, or no longer to be told from another"
    return "there is no inside corner near that place"


def _missing(panels: Panels, ref: JointRef) -> str:
    lost = [last(end.panel.source) for end in ref if panels.find(end.panel) is None]
    if lost:
        return f"{' and '.join(lost)} {'is' if len(lost) == 1 else 'are'} not in the model"
    near = "" if ref[0].spot is None and ref[1].spot is None else " near that place"
    return f"the two panels have no joint{near}"


def _names(panels: Panels, ref: JointRef) -> list[str]:
    found = [panels.find(end.panel) for end in ref]
    return [panels.panels[i].name for i in found if i is not None]
