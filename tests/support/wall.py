# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A shelving wall of any size: uprights with mortises, shelves with two through tenons at each end."""

from __future__ import annotations

from flatwright.geometry.outline import rectangle
from flatwright.plan import Panel
from support.pieces import board, slot

T = 18.0
BAY, RISE, DEPTH = 400.0, 300.0, 320.0
# Tenons of the shelf on the left and on the right of an upright pass each other.
ENDS = {"left": (20.0, 180.0), "right": (100.0, 250.0)}
TENON = 40.0


def wall(bays: int, rows: int = 9) -> list[Panel]:
    """bays × rows shelves between bays + 1 uprights, drawn tight; 4 joints for each shelf."""
    panels = []
    for k in range(bays + 1):
        ys = (ENDS["left"] if k > 0 else ()) + (ENDS["right"] if k < bays else ())
        holes = [slot(y, RISE * (r + 0.5), y + TENON, RISE * (r + 0.5) + T) for r in range(rows) for y in ys]
        panels.append(
            board(f"upright {k}", rectangle(0, 0, DEPTH, RISE * rows), origin=(k * BAY, 0, 0),
                  u=(0, 1, 0), n=(1, 0, 0), holes=holes)
        )  # fmt: skip
    for k in range(bays):
        for r in range(rows):
            shape = _shelf(k * BAY, (k + 1) * BAY)
            panels.append(board(f"shelf {k}.{r}", shape, origin=(0, 0, RISE * (r + 0.5))))
    return panels


def _shelf(x0: float, x1: float) -> list[tuple[float, float]]:
    """Between the faces of two uprights, tenons flush with their far faces."""
    a, b = x0 + T, x1
    right = [(b, 0.0)]
    for y in ENDS["left"]:
        right += [(b, y), (b + T, y), (b + T, y + TENON), (b, y + TENON)]
    left = [(a, DEPTH)]
    for y in reversed(ENDS["right"]):
        left += [(a, y + TENON), (a - T, y + TENON), (a - T, y), (a, y)]
    return [(a, 0.0), *right, (b, DEPTH), *left]
