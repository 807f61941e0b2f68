# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What slots are cut for: the thickness of a batch of boards, and the clearance over it."""

from __future__ import annotations

from collections.abc import Mapping

from flatwright.boards.assigning import Assigned
from flatwright.boards.batch import Batch
from flatwright.boards.fit_probability import clearance_for
from flatwright.joints.fit import Thickness
from flatwright.presets.model import Fits


def thicknesses(assigned: Mapping[str, Assigned], fits: Fits) -> dict[str, Thickness]:
    """By panel name, for each panel whose board is known: what it becomes and what slots over it are
    cut for. A board that nobody measured is taken as it was assigned, with the class's clearance."""
    out = {}
    for name, a in assigned.items():
        if a.batch is not None and a.batch.measured:
            out[name] = Thickness(a.thickness, *_slot_for(a.batch, fits))
        elif a.batch is not None:
            out[name] = Thickness(a.thickness, a.thickness)
    return out


def _slot_for(batch: Batch, fits: Fits) -> tuple[float, float | None, float | None]:
    """By the preset: the thickness that slots are cut for, and the clearances in place of the class's.

    A piece is cut and may be put together in the air of the readings, and must go together or stay
    together in the air that it is used in. So slots are cut for the thicker of the two: boards that will
    swell get room for it now, for boards that will shrink slots stay as today's boards need them.
    """
    swelling = max(0.0, batch.growth)
    match fits.slot_for:
        case "largest":
            return batch.largest + swelling, None, None
        case "spread":
            return batch.mean + fits.spread_factor * batch.spread + swelling, None, None
        case "probability":
            wanted = fits.wanted_probability
            one, each = (clearance_for(p, fits.slot_spread, batch.spread) for p in (wanted, wanted**0.5))
            return batch.mean + swelling, one, each
    return batch.mean + swelling, None, None
