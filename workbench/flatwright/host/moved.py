# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the user has moved in a result: screw points of the sheets' sketches."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from flatwright.host import objects
from flatwright.plan import Screw, Sheet

STILL = 0.005  # mm: a point that lies no further off was not moved


def moved_screws(doc: Any) -> dict[str, Sheet]:
    """By name the sheets whose screws are not where the steps put them, each as it lies and with its
    screws as they are now. A sheet whose sketch was deleted is left to the steps again."""
    out: dict[str, Sheet] = {}
    for group in doc.Objects:
        if getattr(group, objects.OURS, "") != "sheet":
            continue
        members = {getattr(o, objects.OURS, ""): o for o in group.Group}
        if "layout" not in members or "screws" not in members:
            continue
        sheet = objects.read_sheet(members["layout"])
        now = tuple(Screw(x, y) for x, y in objects.sketch_points(members["screws"]))
        if sheet.screws_by_hand or not _same(sheet.screws, now):
            out[sheet.name] = replace(sheet, screws=now, screws_by_hand=True)
    return out


def _same(a: tuple[Screw, ...], b: tuple[Screw, ...]) -> bool:
    return len(a) == len(b) and all(
        math.dist((p.x, p.y), (q.x, q.y)) <= STILL for p, q in zip(a, b, strict=True)
    )
