# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Finding one's way in the result that stands in a document, and taking it out again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flatwright.host import objects
from flatwright.host.cam_job import our_jobs, remove_jobs
from flatwright.host.skipping import OURS
from flatwright.plan import Plan, Screw


def result_group(doc: Any) -> Any | None:
    """The group of the document's result, or None."""
    return next((o for o in doc.Objects if getattr(o, OURS, "") == "result"), None)


def remove_result(doc: Any) -> None:
    """Take all results out of the document: panels, sheets and the jobs that cut them."""
    remove_jobs(our_jobs(doc))
    names = [o.Name for o in doc.Objects if OURS in o.PropertiesList]
    for name in reversed(names):  # what was made last first, so that nothing is left hanging
        if doc.getObject(name) is not None:
            doc.removeObject(name)


def store_plan(doc: Any, plan: Plan) -> None:
    """Keep the plan, as it is now, with the document's result; raises LookupError if there is none."""
    group = result_group(doc)
    if group is None:
        raise LookupError("the document holds no result")
    group.PlanJson = objects.plan_text(plan)


def sheet_group(doc: Any, name: str) -> Any:
    """The group of a sheet by the sheet's name; raises KeyError."""
    for o in doc.Objects:
        if getattr(o, OURS, "") == "sheet" and name == o.SheetName:
            return o
    raise KeyError(name)


def laid_parts(doc: Any, sheet: str, underside: bool = False) -> Any:
    """The object that shows a sheet's parts as they lie, or lay before it was turned over (`underside`):
    what the sheet's jobs have for a model."""
    return _member(sheet_group(doc, sheet), "first side" if underside else "layout")


def add_jobs(doc: Any, sheet: str, jobs: Sequence[Any]) -> None:
    """Put a sheet's jobs into its group."""
    group = sheet_group(doc, sheet)
    for job in jobs:
        group.addObject(job)


def screw_points(doc: Any, sheet: str) -> tuple[Screw, ...]:
    """The screw points of a sheet as its sketch has them now, perhaps moved by the user."""
    return tuple(Screw(x, y) for x, y in objects.sketch_points(_member(sheet_group(doc, sheet), "screws")))


def _member(group: Any, kind: str) -> Any:
    return next(o for o in group.Group if getattr(o, OURS, "") == kind)
