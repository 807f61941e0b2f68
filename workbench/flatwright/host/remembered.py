# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the document's result group remembers between runs: readings, findings, and what is stale.

Readings may be taken before there is a result: they are then kept in a hidden group, which the
first result replaces. Whoever calls a function that changes something opens the transaction.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from flatwright.findings import Finding
from flatwright.host import objects
from flatwright.host.model import empty_result
from flatwright.host.result import result_group
from flatwright.host.skipping import HIDDEN, OURS, SOURCES
from flatwright.plan import Plan
from flatwright.plan_json import from_json

STALE_MARK = " (stale)"  # after the label of a result that is out of date, where the tree shows it

_PROPERTIES: tuple[objects.Property, ...] = (
    ("Stale", "App::PropertyString", "Flatwright", "Why it is out of date; empty when it is not", 1),
    ("FindingsJson", "App::PropertyString", "Flatwright", "The findings of the run", 2),
    (SOURCES, "App::PropertyStringList", "Flatwright", "The objects that it was made of", 2),
    (HIDDEN, "App::PropertyStringList", "Flatwright", "Those of them that were hidden to show it", 2),
)


def readings(doc: Any) -> tuple[str, ...]:
    """The readings that are kept in the document, each `NOMINAL:VALUES` as on the command line."""
    return tuple(_text(doc, "Readings").splitlines())


def output_folder(doc: Any) -> Path | None:
    """Where the programs of the result went; None when there is no result."""
    folder = _text(doc, "OutputFolder")
    return Path(folder) if folder else None


def has_result(doc: Any) -> bool:
    """True when rules were applied to this document."""
    return bool(_text(doc, "PlanJson"))


def plan(doc: Any) -> Plan | None:
    """The plan of the result, or None; raises PlanError when its text is damaged."""
    text = _text(doc, "PlanJson")
    return from_json(json.loads(text)) if text else None


def findings(doc: Any) -> tuple[Finding, ...]:
    """The findings of the result."""
    return from_rows(json.loads(_text(doc, "FindingsJson") or "[]"))


def rows(found: Iterable[Finding]) -> list[dict[str, Any]]:
    """Findings as they are kept."""
    return [{**f.as_json(), "panels": f.panels, "sheet": f.sheet} for f in found]


def from_rows(kept: Iterable[dict[str, Any]]) -> tuple[Finding, ...]:
    """What `rows` made."""
    return tuple(Finding(**{**r, "panels": tuple(r["panels"])}) for r in kept)


def sources(doc: Any) -> tuple[str, ...]:
    """Names of the objects that the result was made of: at the top of the tree or in its plain groups."""
    return tuple(getattr(result_group(doc), SOURCES, ()))


def hidden(doc: Any) -> tuple[str, ...]:
    """Names of those sources that were hidden to show the result."""
    return tuple(getattr(result_group(doc), HIDDEN, ()))


def remember_hidden(doc: Any, names: Iterable[str]) -> None:
    """Keep the names of the sources that are hidden to show the result."""
    group = result_group(doc)
    if group is not None:
        objects.init_properties(group, "result", _PROPERTIES)
        setattr(group, HIDDEN, list(names))
        group.purgeTouched()


def stale(doc: Any) -> str:
    """Why the result is out of date; empty when it is not, or when there is none."""
    return _text(doc, "Stale")


def remember_readings(doc: Any, groups: Iterable[str]) -> None:
    """Keep readings in place of those that are kept; a result that was made with others is then stale."""
    text = "\n".join(groups)
    group = _group(doc)
    if group.Readings == text:
        return
    group.Readings = text
    mark_stale(group, "the boards were measured anew")
    group.purgeTouched()


def mark_stale(group: Any, why: str) -> None:
    """Say in a result, once, that it is out of date."""
    objects.init_properties(group, "result", _PROPERTIES)
    if group.PlanJson and not group.Stale:
        group.Stale = why
        group.Label += STALE_MARK


def remember_run(doc: Any, found: Iterable[Finding], made_of: Iterable[str]) -> None:
    """Keep the findings of the run that made the result, and the names of what it was made of."""
    group = _group(doc)
    group.FindingsJson = json.dumps(rows(found), ensure_ascii=False, separators=(",", ":"))
    setattr(group, SOURCES, list(made_of))
    for obj in doc.Objects:
        if OURS in obj.PropertiesList:
            obj.purgeTouched()  # nothing of it waits to be computed


def _group(doc: Any) -> Any:
    group = result_group(doc)
    if group is None:
        group = empty_result(doc)
        group.Visibility = False
    objects.init_properties(group, "result", _PROPERTIES)
    return group


def _text(doc: Any, name: str) -> str:
    return str(getattr(result_group(doc), name, ""))
