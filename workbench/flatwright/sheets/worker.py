# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The child process in which a packing library works: `python -m flatwright.sheets.worker`.

Reads one JSON value from stdin and writes one JSON value a line to stdout: every layout found,
the best last, then {"done": true}, or {"missing": …} where the library is not installed. Only
the standard library and the packing library are imported, so that any Python will do.

In:  {"library", "sheets": [{"length", "width", "count", "cost"}], "edge", "spacing", "seed", "time",
      "keep_outs": [[x0, y0, x1, y1], …],
      "parts": [{"ring": [[x, y], …], "turns": [degrees, …], "copies"}]}
Out: {"sheets": [stock index, …], "spots": [[part index, sheet, x, y, degrees], …]}
     where a point p of the ring comes to lie at turned(p) + (x, y).
"""

from __future__ import annotations

import json
import math
import os
import sys
from collections.abc import Callable
from typing import Any

Job = dict[str, Any]
Answer = Callable[[dict[str, Any]], None]


def packingsolver(job: Job, answer: Answer) -> None:
    """Bin packing of polygons, several sizes of sheet; each improvement is answered at once."""
    import packingsolver.irregular as ps

    builder = ps.InstanceBuilder()
    count = sum(p["copies"] for p in job["parts"])
    if len(job["sheets"]) > 1:
        builder.set_objective(ps.Objective.VariableSizedBinPacking)
    elif count > 100:  # answers sooner on large jobs
        builder.set_objective(ps.Objective.BinPacking)
    else:
        builder.set_objective(ps.Objective.BinPackingWithLeftovers)
    builder.set_item_item_minimum_spacing(job["spacing"])
    for s in job["sheets"]:
        kind = builder.add_bin_type(
            ps.build_rectangle(0.0, s["length"], 0.0, s["width"]),
            cost=s["cost"],
            copies=count if s["count"] is None else s["count"],
            item_bin_minimum_spacing=job["edge"],
        )
        for x0, y0, x1, y1 in _on_sheet(job["keep_outs"], s):
            area = ps.ShapeWithHoles(ps.build_rectangle(x0, x1, y0, y1))
            defect = builder.add_defect(kind, 0, area)
            builder.set_item_defect_minimum_spacing(kind, defect, job["spacing"])
    for p in job["parts"]:
        builder.add_item_type(
            ps.build_shape([tuple(point) for point in p["ring"]]),
            copies=p["copies"],
            allowed_rotations=[(t, t, False) for t in p["turns"]],
        )
    parameters = ps.OptimizeParameters()
    parameters.time_limit = job["time"]
    parameters.verbosity_level = 0
    parameters.messages_to_stdout = False
    parameters.new_solution_callback = lambda o: _packingsolver_answer(o.solution, answer)
    _packingsolver_answer(ps.optimize(builder.build(), parameters).solution, answer)


def _on_sheet(areas: list[list[float]], sheet: dict[str, Any]) -> list[list[float]]:
    """What of each area lies on the sheet."""
    cut = [
        [max(0.0, x0), max(0.0, y0), min(x1, sheet["length"]), min(y1, sheet["width"])]
        for x0, y0, x1, y1 in areas
    ]
    return [a for a in cut if a[0] < a[2] and a[1] < a[3]]


def _packingsolver_answer(solution: Any, answer: Answer) -> None:
    if not solution.full():
        return
    sheets: list[int] = []
    spots: list[list[float]] = []
    for k in range(solution.number_of_different_bins()):
        same = solution.bin(k)
        for _ in range(same.copies):
            for i in same.items:
                corner = i.bl_corner
                spots.append([i.item_type_id, len(sheets), corner.x, corner.y, i.angle])
            sheets.append(same.bin_type_id)
    answer({"sheets": sheets, "spots": spots})


def u_nesting(job: Job, answer: Answer) -> None:
    """Nesting on sheets of one size: a quick layout first, then a search with a seed."""
    import u_nesting

    parts = [
        {"id": str(k), "polygon": p["ring"], "quantity": p["copies"], "rotations": p["turns"]}
        for k, p in enumerate(job["parts"])
    ]
    sheet = {"width": job["sheets"][0]["length"], "height": job["sheets"][0]["width"]}
    rules = {"spacing": job["spacing"], "margin": job["edge"], "multi_sheet": True}
    rules["time_limit_ms"] = int(1000 * job["time"])
    for search in ({"strategy": "nfp"}, {"strategy": "alns", "seed": job["seed"]}):
        result = u_nesting.solve_2d(parts, sheet, {**rules, **search})
        if result["error"]:
            raise RuntimeError(result["error"])
        if result["all_placed"]:
            answer(
                {
                    "sheets": [0] * result["boundaries_used"],
                    "spots": [_u_nesting_spot(p) for p in result["placements"]],
                }
            )


def _u_nesting_spot(p: dict[str, Any]) -> list[float]:
    x, y = p["position"][:2]
    return [int(p["geometry_id"]), p["boundary_index"], x, y, math.degrees(p["rotation"][0])]


LIBRARIES: dict[str, Callable[[Job, Answer], None]] = {
    "packingsolver": packingsolver,
    "u-nesting": u_nesting,
}


def main() -> None:
    """Work off the job on stdin."""
    out = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # what a library prints must not mix with the answers

    def answer(value: dict[str, Any]) -> None:
        out.write(json.dumps(value) + "\n")
        out.flush()

    job = json.load(sys.stdin)
    try:
        LIBRARIES[job["library"]](job, answer)
    except ImportError as e:
        answer({"missing": str(e)})
    else:
        answer({"done": True})


if __name__ == "__main__":
    main()
