# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Preset documents for tests: the starter, and the same with one place changed."""

from __future__ import annotations

import copy
import json
import re
from typing import Any

from flatwright import resources
from flatwright.presets.reading import PresetError, preset_of

STARTERS = ("metric", "inch")
LEFT_OUT = object()


def starter(name: str = "metric") -> dict[str, Any]:
    """A starter preset as a document."""
    document: dict[str, Any] = json.loads(resources.path(f"presets/{name}.shop.json").read_text("utf-8"))
    return document


def changed(path: str, value: Any, document: dict[str, Any] | None = None) -> dict[str, Any]:
    """The metric starter (or the document) with one place, such as `bits[0].diameter`, set or left out."""
    out = copy.deepcopy(starter() if document is None else document)
    *way, last = [int(p) if p.isdigit() else p for p in re.findall(r"[^.\[\]]+", path)]
    place: Any = out
    for step in way:
        place = place[step]
    if value is LEFT_OUT:
        del place[last]
    elif isinstance(place, list) and last == len(place):
        place.append(value)
    else:
        place[last] = value
    return out


def problems(document: Any) -> dict[str, str]:
    """What the reader has against a document: message by path."""
    try:
        preset_of(document)
    except PresetError as e:
        return dict(e.problems)
    return {}
