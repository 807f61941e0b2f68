# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Which reference means which thing, when each thing can be meant by one of them only."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Matched:
    """`found`: index of the thing by index of the reference; `torn`: references that two things fit
    equally well. A reference in neither means nothing that is there."""

    found: dict[int, int]
    torn: tuple[int, ...]


def match(distances: Sequence[Sequence[float]], even: float) -> Matched:
    """The nearest pairs first. `distances[r][t]` of reference r from thing t, infinite if they cannot be
    one; a reference is torn when its second choice is within `even` of its first.

    >>> match([[1.0, 40.0], [38.0, 2.0]], 1.0)
    Matched(found={0: 0, 1: 1}, torn=())
    >>> match([[5.0, 5.5]], 1.0)
    Matched(found={}, torn=(0,))
    >>> match([[1.0], [30.0]], 1.0)  # what the second one meant is gone
    Matched(found={0: 0}, torn=())
    """
    torn = tuple(r for r, row in enumerate(distances) if _torn(row, even))
    pairs = sorted(
        (round(d, 3), r, t)
        for r, row in enumerate(distances)
        if r not in torn
        for t, d in enumerate(row)
        if math.isfinite(d)
    )
    found: dict[int, int] = {}
    for _, r, t in pairs:
        if r not in found and t not in found.values():
            found[r] = t
    return Matched(dict(sorted(found.items())), torn)


def _torn(row: Sequence[float], even: float) -> bool:
    first, *rest = sorted(round(d, 3) for d in row if math.isfinite(d)) or [0.0]
    return bool(rest) and rest[0] - first < even
