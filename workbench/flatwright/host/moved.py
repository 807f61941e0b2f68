# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the user has moved in a result: screw points of the sheets' sketches."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from flatwright.host import objects, outdated
from flatwright.plan import Screw, Sheet

SCREWS_MOVED = "screws were moved by hand"
STILL = 0.005  # mm: a point that lies no further off was not moved


def moved_screws(doc: Any) -> dict[str, Sheet]:
    """By name the sheets whose screws are not where the steps put them, each as it lies and with its
    screws as they are now. A sheet whose sketch was deleted is left to the steps again."""
    out: dict[str, Sheet] = {}
    for group in doc.Objects:
        if not _is_sheet(group):
            continue
        members = _members(group)
        if "layout" not in members or "screws" not in members:
            continue
        sheet = objects.read_sheet(members["layout"])
        now = tuple(Screw(x, y) for x, y in objects.sketch_points(members["screws"]))
        if sheet.screws_by_hand or not _same(sheet.screws, now):
            out[sheet.name] = replace(sheet, screws=now, screws_by_hand=True)
    return out


def screws_changed(sketch: Any) -> str:
    """The points of a sketch were changed: the heads on them, the jobs and the state of the result follow at
    once. What is wrong; "" for nothing."""
    heads = next((_members(g).get("heads") for g in sketch.InList if _is_sheet(g)), None)
    if heads is None or heads.Points is None:
        return ""  # the sheet is being made
    heads.Proxy.execute(heads)
    heads.purgeTouched()
    return str(heads.Outside)


def settle(heads: Any) -> None:
    """After the heads of a sheet went where its points are: with a screw in a bit's way its jobs are refused,
    and wherever screws stand where no mark was posted the result is stale."""
    from flatwright.host import remembered
    from flatwright.host.result import result_group

    for group in (g for g in heads.InList if _is_sheet(g)):
        members = _members(group)
        outdated.refuse_sheet(heads.Document, group.SheetName)
        now = tuple(Screw(x, y) for x, y in objects.sketch_points(heads.Points))
        if "layout" in members and not _same(objects.read_sheet(members["layout"]).screws, now):
            remembered.mark_stale(result_group(heads.Document), SCREWS_MOVED)


def _is_sheet(obj: Any) -> bool:
    return bool(getattr(obj, objects.OURS, "") == "sheet")


def _members(group: Any) -> dict[str, Any]:
    return {getattr(o, objects.OURS, ""): o for o in group.Group}


def _same(a: tuple[Screw, ...], b: tuple[Screw, ...]) -> bool:
    return len(a) == len(b) and all(
        math.dist((p.x, p.y), (q.x, q.y)) <= STILL for p, q in zip(a, b, strict=True)
    )
