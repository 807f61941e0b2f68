# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The corpus and random assemblies as solids of the host: drawn by its kernel, read back, fitted, and
the kernel's own common volume as a second referee of what the lines of support/rays.py say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from flatwright.panels.find import find_panels
from flatwright.plan import Panel
from flatwright.steps import natural
from support.amounts import examples
from support.assemblies import Spec, build, specs
from support.corpus import CASES, Case
from support.corpus.drawing import Model
from support.corpus.shelves import toy_shelf
from support.kernel import common_volumes, solid
from support.laws import fitted, shared_wood, wrong_gaps
from support.recognition import Score

pytestmark = pytest.mark.usefixtures("app")

# mm³ in which two fitted boards may overlap: numbers are rounded to 1e-7 mm over faces of 1e5 mm²
VOLUME = 0.05


def read_back(doc: Any, model: Model) -> Model:
    """The model as the host's document gives it back."""
    from flatwright.host.solids import read_solids

    for panel in model.panels:
        obj = doc.addObject("Part::Feature", "Board")
        obj.Label, obj.Shape = panel.name, solid(panel)
    doc.recompute()
    solids, findings = read_solids(doc)
    assert findings == []
    panels, findings = find_panels(sorted(solids, key=lambda s: natural(s.label)))
    assert findings == []
    assert sorted(p.name for p in panels) == sorted(p.name for p in model.panels)
    return replace(model, panels=tuple(replace(p, board="board") for p in panels))


def overlaps(panels: Sequence[Panel]) -> list[str]:
    return [f"{a} and {b}: {v:.4f} mm³" for (a, b), v in common_volumes(panels).items() if v > VOLUME]


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.name)
def test_a_model_drawn_in_the_host(document: Any, case: Case) -> None:
    model = read_back(document, case.model())
    fit = fitted(model, case.boards(model))
    score = Score()
    score.count(model, fit.piece.joints)
    assert score.wrong == []
    assert wrong_gaps(fit) == []
    assert overlaps(fit.piece.panels) == []
    assert shared_wood(fit.piece.panels) == []


@settings(max_examples=examples(50, 25, 500), suppress_health_check=list(HealthCheck))
@given(specs())
def test_the_kernel_and_the_lines_agree_on_random_assemblies(spec: Spec) -> None:
    model = build(spec)
    panels = fitted(model, spec.boards(model)).piece.panels
    assert overlaps(panels) == []
    assert shared_wood(panels) == []


@pytest.mark.parametrize("by", [0.0, 0.27, -0.27])
def test_both_referees_see_a_board_that_is_pushed_into_another(by: float) -> None:
    model = toy_shelf(18.0, 0.0)
    panels = [
        replace(p, frame=p.frame.shifted(by)) if p.name == "shelf" else p
        for p in fitted(model, {}).piece.panels
    ]
    assert bool(overlaps(panels)) == bool(shared_wood(panels)) == (by != 0.0)
