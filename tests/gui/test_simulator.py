# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The host's simulator in its real window shows what our job cuts (FLATWRIGHT_SHOTS keeps pictures)."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from flatwright.geometry.outline import rectangle
from flatwright.plan import Placement, Pocket
from flatwright.presets.model import Machine
from support.sheet_programs import laid_parts
from support.shopwork import panel, sheet, shop, slot, work
from support.window import make_home, step, walk


def small_job(app: Any, file: Path) -> None:
    """A document with the jobs of a board that has a slot, a housing and an opening: the simulator's cells
    are a hundredth of the sheet."""
    from flatwright.host.cam_job import make_jobs
    from flatwright.host.session import save_copy

    holes = (slot(60, 40, 77.95, 120.5), slot(150, 60, 250, 140))
    housing = Pocket(rectangle(110, 0, 127.95, 150).cw(), 6.0, "+n")
    side = panel("side", rectangle(0, 0, 300, 200), holes=holes, pockets=(housing,), grain=0.0)
    laid = sheet(Placement("side", 45, 45, 0, False), size=(400.0, 300.0))
    done = work(laid, {"side": side}, shop(machine=Machine(park=(0.0, 300.0))))
    doc = app.newDocument("Simulated")
    make_jobs(doc, laid, done.programs, done.preset, model_objects=[laid_parts(doc)])
    save_copy(doc, file)
    app.closeDocument(doc.Name)


def test_the_simulator_shows_the_cut(app: Any, tmp_path: Path) -> None:
    small_job(app, tmp_path / "job.FCStd")
    shots = os.environ.get("FLATWRIGHT_SHOTS", "")
    found = walk("simulating", make_home(tmp_path / "home"), model=tmp_path / "job.FCStd", shots=shots)
    shown = step(found, "simulate")
    assert shown["operations"] == ["side: pockets", "side: openings", "side: outline", "Park, sheet-1 cut-1"]
    assert shown["facets"]["CutMaterialIn"] > 50, "walls and floors of what is cut"
    assert shown["low"] == pytest.approx(0.0, abs=0.01)
