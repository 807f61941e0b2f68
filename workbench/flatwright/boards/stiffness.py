# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Stiffness of plywood from its plies, and what a shelf of it sags.

E is N/mm², lengths mm, line loads N/mm. Plies along the span carry, cross plies do not:
the model behind the tables of the Handbook of Finnish Plywood.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

BIRCH_ALONG_FIBRES = 17500.0  # N/mm², reproduces the handbook's tables


@dataclass(frozen=True, slots=True)
class Stiffness:
    """Mean bending E of a board along and across its face grain, N/mm²."""

    along: float
    across: float


def veneers(thickness: float, plies: int, face: float | None = None) -> tuple[float, ...]:
    """Thickness of each ply: both faces as given (or as all plies), the cores sharing the rest equally.

    Raises ValueError when there are no plies or the faces leave nothing for the cores.
    """
    if plies < 1:
        raise ValueError("a board has at least one ply")
    if face is None or plies < 3:
        return (thickness / plies,) * plies
    core = (thickness - 2.0 * face) / (plies - 2)
    if core <= 0.0:
        raise ValueError("the face veneers leave nothing for the plies between them")
    return (face, *(core,) * (plies - 2), face)


def bending(plies: Sequence[float], along_fibres: float = BIRCH_ALONG_FIBRES) -> Stiffness:
    """Ply by ply: E = Σ E_i I_i / I over the plies whose fibres run with the span (FPL-059).

    `plies` are thicknesses from face to face, the face grain running along in every other one.

    >>> round(bending((1.1, *(1.4,) * 11, 1.1)).along)
    10048
    """
    whole = sum(plies)
    z = -whole / 2.0
    parts = [0.0, 0.0]
    for i, ply in enumerate(plies):
        parts[i % 2] += (z + ply) ** 3 - z**3
        z += ply
    along, across = (along_fibres * part / (whole**3 / 4.0) for part in parts)
    return Stiffness(along, across)


def second_moment(width: float, thickness: float) -> float:
    """I of a rectangular section lying flat, mm⁴."""
    return width * thickness**3 / 12.0


def sag(load: float, span: float, modulus: float, moment: float) -> float:
    """Sag in mm at the middle of a simply supported shelf under an even line load: 5wL⁴/384EI."""
    return 5.0 * load * span**4 / (384.0 * modulus * moment)
