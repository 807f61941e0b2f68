# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Set cover: the fewest candidates that together serve every target."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.bool_]
STEPS = 2000  # branches looked at before the best cover so far is taken


def fewest(serves: Matrix, merit: NDArray[np.float64]) -> list[int]:
    """Rows of the (candidates, targets) matrix that serve every target that any row serves.

    Greedy first (most new targets, then greatest merit), then branch and bound for fewer. Ties go to
    the candidate of greater merit, then to the earlier one.
    """
    rows = _undominated(serves, merit)
    wanted = serves.any(axis=0)
    if not wanted.any():
        return []
    table = serves[rows][:, wanted]
    best = _greedy(table)
    return sorted(int(rows[i]) for i in _Search(table, best).run())


def _undominated(serves: Matrix, merit: NDArray[np.float64]) -> NDArray[np.int64]:
    """Rows that no other row replaces, in order of merit: one for each distinct set of targets."""
    # 0.00271: keeps round values off the edges at which rounding flips
    order = np.lexsort((np.arange(len(merit)), -np.round(merit + 0.00271, 2)))
    _, first = np.unique(serves[order], axis=0, return_index=True)
    rows = order[np.sort(first)]
    table = serves[rows].astype(np.float32)
    inside = table @ table.T > table.sum(axis=1)[:, None] - 0.5  # row i is a subset of row j
    np.fill_diagonal(inside, False)
    return np.asarray(rows[~inside.any(axis=1)], dtype=np.int64)


def _greedy(table: Matrix) -> list[int]:
    left = np.ones(table.shape[1], dtype=bool)
    chosen: list[int] = []
    while left.any():
        chosen.append(int(np.argmax((table & left).sum(axis=1))))
        left &= ~table[chosen[-1]]
    for row in list(chosen):
        rest = [r for r in chosen if r != row]
        if rest and table[rest].any(axis=0).all():
            chosen = rest
    return chosen


class _Search:
    """Branch on the target with the fewest servers; bound by targets that no row serves together."""

    def __init__(self, table: Matrix, best: list[int]) -> None:
        self.table = table
        self.best = best
        self.steps = 0
        shared = table.T.astype(np.int32) @ table.astype(np.int32)
        self.together = shared > 0

    def run(self) -> list[int]:
        self._branch([], np.ones(self.table.shape[1], dtype=bool))
        return self.best

    def _branch(self, chosen: list[int], left: NDArray[np.bool_]) -> None:
        self.steps += 1
        if not left.any():
            if len(chosen) < len(self.best):
                self.best = list(chosen)
            return
        if self.steps > STEPS or len(chosen) + self._bound(left) >= len(self.best):
            return
        servers = np.where(left, self.table.sum(axis=0), np.iinfo(np.int32).max)
        target = int(np.argmin(servers))
        rows = np.flatnonzero(self.table[:, target])
        gains = (self.table[rows] & left).sum(axis=1)
        for row in rows[np.argsort(-gains, kind="stable")].tolist():
            self._branch([*chosen, int(row)], left & ~self.table[row])

    def _bound(self, left: NDArray[np.bool_]) -> int:
        """Targets picked so that no two share a server: each needs one of its own."""
        free = left.copy()
        count = 0
        while free.any():
            target = int(np.argmin(np.where(free, self.together.sum(axis=0), np.iinfo(np.int32).max)))
            free &= ~self.together[target]
            count += 1
        return count
