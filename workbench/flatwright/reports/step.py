# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One step of an operator's list, and words that several of them share."""

from __future__ import annotations

from dataclasses import dataclass

from flatwright.presets.model import Preset


@dataclass(frozen=True, slots=True)
class Step:
    """A short order and how it is done."""

    do: str
    how: str


def fastener(preset: Preset) -> str:
    """What holds the sheet down, in the singular."""
    return "screw" if preset.holding.fasteners.kind == "screw" else "composite nail"


def count(n: int, what: str) -> str:
    """For example "3 screws"."""
    return f"{n} {what}" + ("" if n == 1 else "s")
