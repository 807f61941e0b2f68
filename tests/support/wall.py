# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A shelving wall of any size: uprights with mortises, shelves with through tenons at each end."""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.geometry.outline import rectangle
from flatwright.plan import Panel
from support.pieces import board, slot

T = 18.0
BAY, RISE, TENON = 400.0, 300.0, 40.0
PITCH = 65.0  # between the mortises of an upright, which the shelves on its two sides fill in turn


def wall(bays: int, rows: int = 9, tenons: int = 4) -> list[Panel]:
    """bays × rows shelves between bays + 1 uprights, drawn tight, each with that many tenons, half of
    them at either end. Every tenon is a joint."""
    ys = [20.0 + PITCH * k for k in range(tenons)]
    left, right = ys[::2], ys[1::2]  # at an upright: of the shelf on its left, and on its right
    depth = ys[-1] + TENON + 20.0
    panels = []
    for k in range(bays + 1):
        own = sorted((left if k > 0 else []) + (right if k < bays else []))
        holes = [slot(y, RISE * (r + 0.5), y + TENON, RISE * (r + 0.5) + T) for r in range(rows) for y in own]
        panels.append(
            board(f"upright {k}", rectangle(0, 0, depth, RISE * rows), origin=(k * BAY, 0, 0),
                  u=(0, 1, 0), n=(1, 0, 0), holes=holes)
        )  # fmt: skip
    for k in range(bays):
        for r in range(rows):
            shape = _shelf(k * BAY, (k + 1) * BAY, depth, left, right)
            panels.append(board(f"shelf {k}.{r}", shape, origin=(0, 0, RISE * (r + 0.5))))
    return panels


def _shelf(
    x0: float, x1: float, depth: float, left: Sequence[float], right: Sequence[float]
) -> list[tuple[float, float]]:
    """Between the faces of two uprights, tenons flush with their far faces."""
    a, b = x0 + T, x1
    far = [(b, 0.0)]
    for y in left:  # this shelf lies on the left of the upright at x1
        far += [(b, y), (b + T, y), (b + T, y + TENON), (b, y + TENON)]
    near = [(a, depth)]
    for y in reversed(right):
        near += [(a, y + TENON), (a - T, y + TENON), (a - T, y), (a, y)]
    return [(a, 0.0), *far, (b, depth), *near]
