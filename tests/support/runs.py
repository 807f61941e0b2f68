# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Runs of the whole job on the demo's pieces, made once for a test session and looked at by many tests."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from flatwright import resources
from flatwright.api import apply
from flatwright.plan import Plan
from flatwright.plan_json import from_json
from flatwright.run import Result
from flatwright.steps import Options

PIECES = ("book-trolley", "puppet-stage")


@dataclass(frozen=True)
class Run:
    """A folder that a run wrote, and what it returned."""

    piece: str
    folder: Path
    result: Result

    @cached_property
    def plan(self) -> Plan:
        return from_json(self.read("plan.json"))

    def read(self, name: str) -> Any:
        return json.loads((self.folder / name).read_text(encoding="utf-8"))

    def programs(self) -> dict[str, str]:
        """Texts by file name, in running order."""
        files = [p.file for s in self.plan.sheets for p in s.programs]
        return {f: (self.folder / f).read_text(encoding="utf-8") for f in files}

    def bits(self) -> dict[int, float]:
        """Diameters by bit number."""
        return {b.number: b.diameter for s in self.plan.sheets for p in s.programs for b in p.bits}


def demo_readings(piece: str) -> list[str]:
    """The batch of the demo as the command line takes it: the trolley is of 18 mm alone."""
    text = resources.path("demo/readings.txt").read_text(encoding="utf-8")
    lines = [x.replace(" ", "") for x in text.splitlines() if x.strip() and not x.startswith("#")]
    return lines if piece == "puppet-stage" else lines[:1]


def run_piece(piece: str, folder: Path, **preset: Any) -> Run:
    """Apply the metric starter preset to a demo piece with the built-in layout engine.

    `preset` replaces values of sections: post={"processor": "grbl"}.
    """
    file = resources.path("presets/metric.shop.json")
    if preset:
        document = json.loads(file.read_text(encoding="utf-8"))
        for section, values in preset.items():
            document[section] |= values
        file = folder.with_suffix(".shop.json")
        file.write_text(json.dumps(document), encoding="utf-8")
    model = resources.path(f"demo/{piece}.FCStd")
    result = apply(model, file, folder, readings=demo_readings(piece), options=Options(engine="built-in"))
    return Run(piece, folder, result)


def results_folder(temporary: Path) -> Path:
    """Where a host leaves its results for the comparison of hosts (run.sh says), else a temporary folder."""
    shared = os.environ.get("FLATWRIGHT_RESULTS")
    return Path(shared) if shared else temporary
