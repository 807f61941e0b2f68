# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The table of seeded faults: how many places of each kind the proof catches under the right code.

Places are drawn from every piece of the corpus that is of 18 mm boards, the pieces of `planned_work`, and
the demo's trolley where a FreeCAD reads it.

tests/run.sh --python tests/support/fault_table.py [PLACES [KIND…]]
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

if __name__ == "__main__":
    sys.path[:0] = [
        str(Path(__file__).resolve().parents[2] / "workbench"),
        str(Path(__file__).resolve().parents[1]),
    ]

from support.corpus_work import PIECES_18, corpus_work
from support.faults import FAULTS
from support.planned_work import PIECES, Work, piece, shop, work_from

DEMO = "book-trolley"
TRIES = 2  # in each piece: a kind may have no place in it, then others are tried


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the proof said of one seeded fault."""

    kind: str
    piece: str
    place: int
    codes: frozenset[str]

    @property
    def caught(self) -> bool:
        return bool(self.codes & FAULTS[self.kind].codes)

    def __str__(self) -> str:
        return f"{self.kind}, place {self.place} in {self.piece}: {sorted(self.codes)}"


def work(name: str) -> Work:
    """A piece by its name, planned once for a run."""
    if name == DEMO:
        return trolley()
    return piece(name) if name in PIECES else corpus_work(name)


@cache
def trolley() -> Work:
    """The demo's trolley as the host reads it. Raises ImportError without FreeCAD."""
    from flatwright import resources
    from flatwright.host.bootstrap import freecad

    freecad()
    from flatwright.host.open import open_model
    from flatwright.host.solids import read_solids

    solids, _ = read_solids(open_model(resources.path(f"demo/{DEMO}.FCStd")))
    return work_from(solids, shop((2440.0, 1220.0)))


def everything() -> tuple[str, ...]:
    """Names of all pieces; the trolley only where a FreeCAD is."""
    try:
        trolley()
    except ImportError:
        return (*PIECES, *PIECES_18)
    return (*PIECES, *PIECES_18, DEMO)


def seeded(kind: str, place: int, names: Sequence[str]) -> Outcome:
    """One fault of a kind in a random place of one of the pieces. Raises LookupError where none has such
    a place."""
    rng = Random(f"{kind} {place}")
    for name in rng.sample(list(names), len(names)) * TRIES:
        spoilt = FAULTS[kind].make(rng, work(name))
        if spoilt is not None:
            return Outcome(kind, name, place, frozenset(spoilt.codes()))
    raise LookupError(f"no place for {kind!r} in any piece")


def line(kind: str, done: Sequence[Outcome]) -> str:
    """The table's line for one kind; those that were missed below it."""
    codes = Counter(c.removeprefix("proof.") for o in done for c in o.codes & FAULTS[kind].codes)
    said = ", ".join(f"{c} {n}" for c, n in codes.most_common())
    caught, pieces = sum(o.caught for o in done), len({o.piece for o in done})
    missed = [f"    MISSED: {o}" for o in done if not o.caught]
    return "\n".join([f"{kind:<45} {caught:>3}/{len(done):<3} {pieces:>3}  {said}", *missed])


def table(done: Mapping[str, Sequence[Outcome]]) -> Iterator[str]:
    """The whole table, line by line as it is asked for."""
    yield f"{'fault':<45} caught  pieces, codes (in how many places)"
    for kind, outcomes in done.items():
        yield line(kind, outcomes)
    every = [o for outcomes in done.values() for o in outcomes]
    missed, pieces = sum(not o.caught for o in every), len({o.piece for o in every})
    yield f"{len(done)} kinds, {len(every)} places in {pieces} pieces, {missed} missed"


def main(places: int, kinds: Sequence[str]) -> None:
    """Place by place; broken off (Ctrl-C), the table of what was done comes out."""
    names = everything()
    done: dict[str, list[Outcome]] = {kind: [] for kind in kinds}
    try:
        for place in range(places):
            for kind in kinds:
                outcome = seeded(kind, place, names)
                done[kind].append(outcome)
                if not outcome.caught:
                    print(f"MISSED: {outcome}", flush=True)
            print(f"place {place + 1} of {places}", flush=True)
    finally:
        print("\n".join(table({kind: outcomes for kind, outcomes in done.items() if outcomes})), flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20, sys.argv[2:] or list(FAULTS))
