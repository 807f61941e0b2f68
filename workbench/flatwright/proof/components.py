# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Graphs of numbered things: what hangs together, and what goes round in circles."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set


def components(n: int, pairs: Iterable[tuple[int, int]]) -> list[list[int]]:
    """Indices 0 .. n - 1 joined by pairs, as sorted groups.

    >>> components(4, [(0, 2), (2, 3)])
    [[0, 2, 3], [1]]
    """
    parent = list(range(n))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for i, j in pairs:
        x, y = root(i), root(j)
        parent[max(x, y)] = min(x, y)
    groups: dict[int, list[int]] = {}
    for i in range(n):
        groups.setdefault(root(i), []).append(i)
    return list(groups.values())


def strong_components(nodes: Sequence[int], arcs: Mapping[int, Set[int]]) -> list[list[int]]:
    """Groups of nodes that reach each other along arcs, each sorted (Tarjan 1972, without recursion).

    >>> strong_components([1, 2, 3], {1: {2}, 2: {1, 3}, 3: set()})
    [[3], [1, 2]]
    """
    number: dict[int, int] = {}
    low: dict[int, int] = {}
    stack: list[int] = []
    out: list[list[int]] = []
    for start in nodes:
        if start in number:
            continue
        work = [(start, iter(sorted(arcs[start])))]
        number[start] = low[start] = len(number)
        stack.append(start)
        while work:
            node, onward = work[-1]
            following = next(onward, None)
            if following is None:
                work.pop()
                if work:
                    low[work[-1][0]] = min(low[work[-1][0]], low[node])
                if low[node] == number[node]:
                    at = stack.index(node)
                    out.append(sorted(stack[at:]))
                    del stack[at:]
            elif following not in number:
                number[following] = low[following] = len(number)
                stack.append(following)
                work.append((following, iter(sorted(arcs[following]))))
            elif following in stack:
                low[node] = min(low[node], number[following])
    return out
