# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The host's own CAM simulator without its window: the module that does the cutting, fed with jobs as the
window feeds it, and what it leaves of the stock as heights on a grid."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

TOOL = 0.05  # mm: how finely the bit's shape is taken


def simulated(jobs: Sequence[Any], cell: float) -> NDArray[np.float64]:
    """Heights (nx, ny) mm over the bed of what the jobs leave of their stock, one after the other, on a
    grid of `cell` mm; 0 where it is cut through."""
    import FreeCAD
    import PathSimulator

    simulator = PathSimulator.PathSim()
    stock = jobs[0].Stock.Shape
    simulator.BeginSimulation(stock, cell)
    for job in jobs:
        at = FreeCAD.Placement(FreeCAD.Vector(0.0, 0.0, 100.0), FreeCAD.Rotation())
        for op in job.Operations.Group:
            simulator.SetToolShape(op.ToolController.Tool.Shape, TOOL)
            for command in op.Path.Commands:
                for step in _straight(command, at.Base, cell):
                    at = simulator.ApplyCommand(at, step)
    box = stock.BoundBox
    return _heights(simulator.GetResultMesh(), (box.XLength, box.YLength), cell)


def _straight(command: Any, start: Any, cell: float) -> list[Any]:
    """The moves of a command as the simulator takes them: its window turns arcs into short lines, too."""
    import Path

    if command.Name in ("G0", "G1"):
        return [command]
    if command.Name not in ("G2", "G3"):
        return []
    p = command.Parameters
    cx, cy, r = start.x + p["I"], start.y + p["J"], math.hypot(p["I"], p["J"])
    a, b = math.atan2(start.y - cy, start.x - cx), math.atan2(p["Y"] - cy, p["X"] - cx)
    turn = (b - a) % math.tau if command.Name == "G3" else -((a - b) % math.tau)
    n = max(1, math.ceil(math.sqrt(r / cell) * abs(turn)))
    ends = [(a + turn * k / n, start.z + (p["Z"] - start.z) * k / n) for k in range(1, n + 1)]
    return [
        Path.Command("G1", {"X": cx + r * math.cos(t), "Y": cy + r * math.sin(t), "Z": z}) for t, z in ends
    ]


def _heights(meshes: Sequence[Any], size: tuple[float, float], cell: float) -> NDArray[np.float64]:
    """The level facets of the result are halves of rectangles of cells."""
    out = np.zeros((math.ceil(size[0] / cell) + 1, math.ceil(size[1] / cell) + 1))
    for mesh in meshes:
        points, facets = mesh.Topology
        corners = np.array([tuple(p) for p in points])[np.array(facets, dtype=np.int64)]
        low, high = corners.min(axis=1), corners.max(axis=1)
        a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
        up = (high[:, 2] - low[:, 2] < 1e-6) & (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0] > 0.0)
        for (x0, y0, z), (x1, y1, _) in zip(low[up], high[up], strict=True):
            ends = (round(float(v) / cell) for v in (x0, x1, y0, y1))
            i, j, k, m = ends
            out[i:j, k:m] = z
    return out
