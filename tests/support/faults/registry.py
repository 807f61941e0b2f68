# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Kinds of seeded faults: each takes clean work and spoils it in one random place, if it has one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random
from typing import TypeVar

from support.planned_work import File, Row, Work

T = TypeVar("T")
Make = Callable[[Random, Work], Work | None]


@dataclass(frozen=True, slots=True)
class Fault:
    """`codes`: any of them is the right answer."""

    name: str
    codes: frozenset[str]
    make: Make


FAULTS: dict[str, Fault] = {}


def fault(name: str, *codes: str) -> Callable[[Make], Make]:
    """Enters a kind of fault; codes without their "proof."."""

    def enter(make: Make) -> Make:
        FAULTS[name] = Fault(name, frozenset(f"proof.{c}" for c in codes), make)
        return make

    return enter


def operations(work: Work, *kinds: str) -> list[tuple[File, int]]:
    """Cuts of these kinds: (file, operation)."""
    return [(f, n) for f in work.cuts() for n, o in enumerate(f.operations) if o.kind in kinds]


def spots(work: Work) -> File | None:
    return next((f for f in work.files.values() if f.kind == "spots"), None)


def on_sheet(work: Work, f: File, x: float, y: float) -> tuple[float, float]:
    """Where a place of a file lies on its sheet as the plan draws it, and the other way round."""
    sheet = next(s for s in work.plan.sheets if f.name.startswith(f"{s.name}."))
    if sheet.flip is None or not f.underside:
        return x, y
    return (x, sheet.size[1] - y) if sheet.flip.axis == "x" else (sheet.size[0] - x, y)


def choose(rng: Random, items: Sequence[T]) -> T | None:
    return rng.choice(list(items)) if items else None


def starts(f: File) -> list[tuple[float, float, float]]:
    """Where the bit stands before each row (NaN before the first move)."""
    out, at = [], (float("nan"),) * 3
    for r in f.rows:
        out.append(at)
        if r.g:
            at = (r.x, r.y, r.z)
    return out


def cutting(f: File, op: int | None = None, below: float = 17.0) -> list[int]:
    """Rows that feed inside the board."""
    return [
        k
        for k, r in enumerate(f.rows)
        if r.g not in ("", "G0") and r.z < below and (op is None or r.op == op)
    ]


def bottom(f: File, op: int) -> float:
    """The deepest level of an operation."""
    return min(f.rows[k].z for k in cutting(f, op))


def op_of(work: Work, rng: Random, *kinds: str) -> tuple[File, int] | None:
    """A random operation that cuts something."""
    return choose(rng, [(f, n) for f, n in operations(work, *kinds) if cutting(f, n)])


def raw(*lines: str) -> list[Row]:
    return [Row(raw=line) for line in lines]
