# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Leaning, lapped, stacked and keyed pieces through the whole job: the posted programs prove the gaps."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from flatwright import resources
from flatwright.api import apply
from flatwright.host.bootstrap import freecad
from flatwright.run import Result
from flatwright.steps import Options
from support.angled import (
    crossing,
    half_lap,
    keyed_tenon,
    leaning_pocket,
    leaning_through,
    stack_in_slot,
    t_halving,
)

PIECES = {
    "leaning": leaning_through(0.35, shoulders=True),
    "easel": leaning_pocket(0.26),
    "cross": crossing(0.6),
    "frame": half_lap(),
    "tee": t_halving(),
    "stack": stack_in_slot(),
    "keyed": keyed_tenon(key=12.0),
    "wedged": keyed_tenon(key=12.0, slant=6.0),
}


@pytest.fixture(scope="module")
def result(tmp_path_factory: pytest.TempPathFactory) -> Result:
    """All pieces side by side in one document, on boards thinner than drawn."""
    app = freecad()
    from flatwright.host.shapes import panel_solid

    folder = tmp_path_factory.mktemp("kinds")
    doc = app.newDocument("kinds")
    for k, (name, panels) in enumerate(PIECES.items()):
        for p in panels:
            away = replace(p.frame, origin=p.frame.origin + np.array([0.0, 1000.0 * k, 0.0]))
            solid = doc.addObject("Part::Feature", "Board")
            solid.Shape = panel_solid(replace(p, frame=away))
            solid.Label = f"{name} {p.name}"
    doc.recompute()
    doc.saveAs(str(folder / "kinds.FCStd"))
    app.closeDocument(doc.Name)
    return apply(
        folder / "kinds.FCStd",
        resources.path("presets/metric.shop.json"),
        folder / "out",
        readings=["18:17.7,17.75,17.8", "12:11.9,11.95"],
        options=Options(engine="built-in"),
    )


def test_every_joint_is_known(result: Result) -> None:
    assert Counter(j.kind for j in result.plan.joints) == {
        "mortise and tenon": 4,
        "stopped housing": 1,
        "cross-lap": 1,
        "half-lap": 1,
        "T-halving": 1,
        "face to face": 1,
        "keyed tenon": 1,
        "wedged tenon": 1,
    }


def test_the_dry_fit_finds_every_gap_right_and_nothing_in_the_way(result: Result) -> None:
    wrong = [f for f in result.findings if f.severity == "error" or f.code.startswith(("proof.", "fit."))]
    assert [(f.code, f.where, f.message) for f in wrong if f.severity != "note"] == []
    assert not result.refused


def test_square_shoulders_and_ends_of_leaning_boards_are_told(result: Result) -> None:
    told = {f.where for f in result.findings if f.code == "joint.line-bearing"}
    assert told == {"leaning mate on leaning base", "easel mate on easel base"}
