# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Programs that must not be taken as current: what was moved by hand stands in a bit's way, or holds nothing.

The jobs of such a sheet are refused at once, so that the host neither posts nor simulates them; with all
in order again they are as they were.
"""

from __future__ import annotations

from typing import Any

from flatwright.host import operation
from flatwright.host.skipping import OURS

MARK = "out of date: "  # begins the reason of jobs that were refused here


def wrong_by_hand(doc: Any) -> dict[str, list[str]]:
    """By sheet name what is wrong with screws and tabs that were moved by hand, since the last run."""
    out: dict[str, list[str]] = {}
    for group in _sheets(doc):
        for member in group.Group:
            kind = getattr(member, OURS, "")
            text = member.Outside if kind == "heads" else member.Wrong if kind == "tabs" else ""
            if text:
                out.setdefault(group.SheetName, []).append(text)
    return out


def refuse_sheet(doc: Any, name: str) -> None:
    """Refuse the jobs of a sheet where something is wrong by hand, and no longer where nothing is."""
    reasons = wrong_by_hand(doc).get(name, [])
    for group in _sheets(doc):
        if group.SheetName == name:
            for obj in _operations(group):
                _refuse(obj, f"{MARK}{'; '.join(reasons)}" if reasons else "")


def _refuse(obj: Any, reason: str) -> None:
    if obj.Refused == reason or (obj.Refused and not obj.Refused.startswith(MARK)):
        return  # as it is, or refused by the run itself
    if reason:
        operation.refuse(obj, reason)
    else:
        operation.allow(obj)


def _operations(group: Any) -> list[Any]:
    jobs = [o for o in group.Group if getattr(o, "Operations", None) is not None]
    return [o for job in jobs for o in job.Operations.Group if operation.is_ours(o)]


def _sheets(doc: Any) -> list[Any]:
    return [o for o in doc.Objects if getattr(o, OURS, "") == "sheet"]
