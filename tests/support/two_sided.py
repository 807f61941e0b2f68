# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A low cabinet of the toy library: two sides, a bottom with through tenons, a shelf in housings."""

from __future__ import annotations

from dataclasses import replace

from flatwright.geometry.outline import circle, rectangle
from flatwright.plan import Panel
from support.pieces import board, slot


def cabinet(t: float = 18.0, wide: float = 300.0, deep: float = 160.0, high: float = 240.0) -> list[Panel]:
    """Drawn at nominal size without clearance. Sides in the yz plane, at x 0..t and wide-t..wide."""
    mortise = slot(50, 30, 110, 30 + t)
    handle = rectangle(60, 190, 100, 210).cw()
    # one hole to be pecked, one for a helix
    holes = [mortise, handle, circle((30, 220), 4.0).cw(), circle((130, 200), 10.0).cw()]
    groove = rectangle(20, 120, 140, 120 + t)
    sides = [
        board(
            name, rectangle(0, 0, deep, high), origin=(x, 0, 0), u=(0, 1, 0), n=(1, 0, 0), t=t,
            holes=holes, pockets=[(groove, 6.0, "+n" if x == 0 else "-n")],
        )
        for name, x in (("left", 0.0), ("right", wide - t))
    ]  # fmt: skip
    x0, x1 = t, wide - t
    bottom = board(
        "bottom",
        [(0, 50), (x0, 50), (x0, 0), (x1, 0), (x1, 50), (wide, 50), (wide, 110), (x1, 110), (x1, deep),
         (x0, deep), (x0, 110), (0, 110)],
        origin=(0, 0, 30), t=t,
    )  # fmt: skip
    shelf = board("shelf", rectangle(t - 6, 20, wide - t + 6, 140), origin=(0, 0, 120), t=t)
    return [replace(p, show="both") for p in (*sides, bottom, shelf)]
