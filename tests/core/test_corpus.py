# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Every model of the corpus through every law of the fit. `-s` shows the figures of recognition."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import pytest

from support.corpus import CASES, Case, drawings
from support.corpus_fits import first_of_each, fit_of
from support.laws import (
    Fit,
    changed_rounds,
    differences,
    fitted,
    shared_wood,
    slot_widths,
    told_sizes,
    wrong_gaps,
)
from support.moving import mirrored, mirrored_panels, reordered, turned, turned_over, turned_panels
from support.recognition import Score
from support.reliefs import wrong_reliefs
from support.touching import passed_over

# Every kind of joint that the plan can name. A new kind comes with at least two drawings of it.
KINDS = {
    "mortise and tenon", "blind mortise and tenon", "keyed tenon", "wedged tenon", "slot", "housing",
    "stopped housing", "groove", "rabbet", "finger joint", "cross-lap", "half-lap", "T-halving", "butt",
    "edge to edge", "face to face",
}  # fmt: skip
NOT_SAID = {"joint.line-bearing"}  # warnings that belong to a drawing of the corpus
SLANT = (0.7, 0.2, -2.0)


def whole(fit: Fit) -> list[str]:
    """Errors and warnings that a sound drawing must not bring."""
    return [f"{f.code}: {f.message}" for f in fit.findings if f.severity != "note" and f.code not in NOT_SAID]


def recognised(fit: Fit) -> list[str]:
    score = Score()
    score.count(fit.model, fit.piece.joints)
    return score.wrong


def relieved(case: Case, fit: Fit) -> list[str]:
    """For a bit of at most a quarter inch, and of 0.8 of the thinnest board."""
    return wrong_reliefs(fit, min(3.175, 0.4 * min(p.thickness for p in fit.piece.panels)))


def twice(case: Case, fit: Fit) -> list[str]:
    again = fitted(fit.model, case.boards(fit.model), fit.piece.panels)
    return differences(fit.piece.panels, again.piece.panels)


def clearance(case: Case, fit: Fit) -> list[str]:
    other = case.model(0.0 if case.c else 0.45)
    return differences(fit.piece.panels, fitted(other, case.boards(other)).piece.panels)


def rotation(case: Case, fit: Fit) -> list[str]:
    there = fitted(turned(fit.model, SLANT), case.boards(fit.model))
    return differences(turned_panels(fit.piece.panels, SLANT), there.piece.panels)


def reflection(case: Case, fit: Fit) -> list[str]:
    there = fitted(mirrored(fit.model), case.boards(fit.model))
    return differences(mirrored_panels(fit.piece.panels), there.piece.panels)


def order(case: Case, fit: Fit) -> list[str]:
    n = len(fit.model.panels)
    other = reordered(fit.model, [*range(1, n, 2), *range(0, n, 2)])
    return differences(fit.piece.panels, fitted(other, case.boards(fit.model)).piece.panels)


def other_faces(case: Case, fit: Fit) -> list[str]:
    """Which face a panel is described from changes no gap."""
    over = fitted(turned_over(fit.model), case.boards(fit.model))
    return [*wrong_gaps(over), *shared_wood(over.piece.panels), *recognised(over)]


def thickness(case: Case, fit: Fit) -> list[str]:
    thick = {t: r * 1.03 for t, r in case.boards(fit.model).items()}
    narrow, wide = slot_widths(fit), slot_widths(fitted(fit.model, thick))
    assert narrow.keys() == wide.keys()
    return [f"{key}: {narrow[key]} and {wide[key]}" for key in narrow if wide[key] < narrow[key] - 1e-9]


OF_ONE_FIT: dict[str, Callable[[Fit], list[str]]] = {
    "every joint is found and no other": recognised,
    "every gap is what is specified": wrong_gaps,
    "no two boards take the same place": lambda fit: shared_wood(fit.piece.panels),
    "every pair that touches is fitted or told of": passed_over,
    "a changed size is told": told_sizes,
    "round holes stay": changed_rounds,
    "nothing is wrong with it": whole,
}
OF_EACH_DRAWING: dict[str, Callable[[Case, Fit], list[str]]] = {
    "reliefs only remove, and suffice": relieved,
    "fitting twice changes nothing": twice,
    "drawn clearance changes nothing": clearance,
    "turning commutes": rotation,
    "mirroring commutes": reflection,
    "the order of panels changes nothing": order,
    "the faces' sides change no gap": other_faces,
    "a thicker board never gets a narrower slot": thickness,
}
# Models that a law does not hold for yet, by (drawing, law). Must be empty: each is a bug or a missing kind.
WAITING: frozenset[tuple[str, str]] = frozenset()


def checked(case: Case, law: str, wrong: list[str]) -> None:
    """All is well, but for what waits: that must still be wrong, so that it is not forgotten here."""
    if (case.draw.__name__, law) in WAITING:
        assert wrong, f"{case.name} no longer breaks the law: take it out of WAITING"
    else:
        assert wrong == []


@pytest.mark.parametrize("law", OF_ONE_FIT)
@pytest.mark.parametrize("case", CASES, ids=lambda c: c.name)
def test_law(case: Case, law: str) -> None:
    checked(case, law, OF_ONE_FIT[law](fit_of(case.index)))


@pytest.mark.parametrize("law", OF_EACH_DRAWING)
@pytest.mark.parametrize("case", first_of_each(), ids=lambda c: c.name)
def test_law_of_each_drawing(case: Case, law: str) -> None:
    checked(case, law, OF_EACH_DRAWING[law](case, fit_of(case.index)))


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.name)
def test_the_drawing_itself_is_sound(case: Case) -> None:
    assert shared_wood(case.model().panels) == []


def test_figures_of_recognition() -> None:
    score = Score()
    for case in CASES:
        fit = fit_of(case.index)
        score.count(fit.model, fit.piece.joints)
    print(f"\n{len(drawings())} drawings, {len(CASES)} models\n{score.table()}")
    assert score.found == score.drawn
    assert not +score.false


def test_every_kind_is_drawn_at_least_twice() -> None:
    drawn: Counter[str] = Counter()
    for case in first_of_each():
        drawn.update({j.kind for j in case.model().joints})
    assert set(drawn) == KINDS
    assert min(drawn.values()) >= 2, drawn
    assert len(drawings()) >= 40
