# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The corpus: every model that the joints' room must recognise and fit, each with the truth about it.

A drawing function takes the thickness of the piece's main board and the clearance drawn, and gives a
`Model`. `CASES` are those models that every test sweeps through, of many thicknesses, clearances,
places and orders. To add one: write the function in the family that it belongs to.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import ModuleType

from support.corpus import alone, angled, both_faces, boxes, frames, keyed, laps, pieces, shelves
from support.corpus.drawing import Model
from support.moving import Angles, mirrored, reordered, turned, turned_over

Draw = Callable[[float, float], Model]

FAMILIES: tuple[ModuleType, ...] = (shelves, laps, boxes, frames, keyed, angled, alone, pieces, both_faces)
# mm; with 1/8, 1/4, 3/8, 1/2 and 3/4 inch boards
SIZES = (18.0, 12.0, 19.05, 9.0, 15.0, 12.7, 24.0, 6.0, 30.0, 6.35, 21.0, 3.0, 9.525, 3.175)
CLEARANCES = (0.0, 0.3, 1.0, 0.1, 0.8, 0.5, 0.2)
TURNS: tuple[Angles, ...] = (
    (0, 0, 0),
    (1.5707963267948966, 0, 0),
    (0.3, -0.5, 1.1),
    (0, 1.5707963267948966, 0),
)
# pieces with boards of half or a third of the thickness: no board is thinner than 3 mm
THINNEST = {
    "two_fingers": 6.0, "drawer": 6.0, "thin_dividers": 6.0, "display_case": 6.0, "uneven_cross": 6.0,
    "cross_60": 6.0, "shoe_rack": 9.0, "costume_box": 6.0, "toy_trolley": 6.0, "lined_shelf": 9.0,
    "divided_cabinet": 6.0, "back_to_back": 6.0,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Case:
    """A drawing with its numbers: nominal thickness `t`, `real` = what the boards measure of it, as a
    factor; `variant` counts the cases of one drawing and says how it lies."""

    draw: Draw
    t: float
    c: float
    real: float
    variant: int
    index: int

    @property
    def name(self) -> str:
        return f"{self.draw.__name__}-{self.t:g}-{self.c:g}"

    def model(self, c: float | None = None) -> Model:
        """The model where it lies, drawn with another clearance if asked."""
        model = self.draw(self.t, self.c if c is None else c)
        k = self.index
        if k % 5 == 3:
            model = mirrored(model)
        if k % 3 == 1:
            model = turned_over(model)
        if k % 4 == 2:
            model = reordered(model, range(len(model.panels))[::-1])
        return replace(turned(model, TURNS[(k + self.variant) % len(TURNS)]), name=self.name)

    def boards(self, model: Model) -> dict[float, float]:
        """What the boards measure, by nominal thickness."""
        return {t: round(t * self.real, 3) for t in {p.nominal for p in model.panels}}


def drawings() -> list[Draw]:
    """All drawing functions, in the order in which they are written."""
    return [
        f
        for family in FAMILIES
        for name, f in vars(family).items()
        if callable(f)
        and getattr(f, "__annotations__", {}).keys() == {"t", "c", "return"}
        and f.__module__ == family.__name__
        and not name.startswith("_")
    ]


def _cases() -> list[Case]:
    out = []
    reals = (0.985, 1.008, 0.96, 1.0, 0.995)
    for k, draw in enumerate(drawings()):
        sizes = [t for t in SIZES if t >= THINNEST.get(draw.__name__, 3.0)]
        for variant in range(2):
            t = sizes[(3 * k + 5 * variant) % len(sizes)]
            c = CLEARANCES[(k + 3 * variant) % len(CLEARANCES)]
            out.append(Case(draw, t, c, reals[(k + 2 * variant) % len(reals)], variant, 2 * k + variant))
    return out


CASES = tuple(_cases())
