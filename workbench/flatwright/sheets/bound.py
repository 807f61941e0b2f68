# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""How few sheets a job could possibly need, by area.

Bound L0 of Martello and Vigo (Management Science 44, 1998), made sharper by the spacing: parts
grown by half of it do not overlap and lie within the usable area grown by as much.
"""

from __future__ import annotations

import math

from flatwright.geometry.polygon import polygon
from flatwright.sheets.job import LayoutJob


def area_bound(job: LayoutJob) -> float:
    """The parts' grown area in sheets of the largest size; no layout uses fewer sheets.

    0 without parts, infinite without a usable sheet.
    """
    if not job.parts:
        return 0.0
    half = job.spacing / 2.0
    inner = [(s.length - 2.0 * job.edge, s.width - 2.0 * job.edge) for s in job.stock]
    grown = [(a + job.spacing) * (b + job.spacing) for a, b in inner if a > 0.0 and b > 0.0]
    # chords and buffer arcs lie inside the true ones, so that the bound errs on the low side
    total = sum(polygon(p.outer, tolerance=0.05).buffer(half).area for p in job.parts)
    return total / max(grown) if grown else math.inf


def sheets_needed(job: LayoutJob) -> float:
    """The bound as a number of sheets (or infinite)."""
    bound = area_bound(job)
    return bound if math.isinf(bound) else math.ceil(bound - 1e-6)
