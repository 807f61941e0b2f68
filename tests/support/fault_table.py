# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The table of seeded faults: how many places of each kind the proof catches under the right code.

tests/run.sh --python tests/support/fault_table.py [PLACES]
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

if __name__ == "__main__":
    sys.path[:0] = [
        str(Path(__file__).resolve().parents[2] / "workbench"),
        str(Path(__file__).resolve().parents[1]),
    ]

from support.faults import FAULTS
from support.planned_work import PIECES, Work, piece

TRIES = 3  # a kind may have no place in a piece: others are tried


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


def seeded(kind: str, place: int, works: Sequence[tuple[str, Work]] | None = None) -> Outcome:
    """One fault of a kind in a random place. Raises LookupError where no piece has such a place."""
    pieces = [(n, piece(n)) for n in PIECES] if works is None else list(works)
    rng = Random(f"{kind} {place}")
    order = rng.sample(pieces, len(pieces))
    for name, work in order * TRIES:
        spoilt = FAULTS[kind].make(rng, work)
        if spoilt is not None:
            return Outcome(kind, name, place, frozenset(spoilt.codes()))
    raise LookupError(f"no place for {kind!r} in any piece")


def outcomes(kind: str, places: int) -> Iterator[Outcome]:
    return (seeded(kind, place) for place in range(places))


if __name__ == "__main__":
    places = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    missed = 0
    print(f"{'fault':<42} {'caught':>9}  pieces; codes")
    for kind in FAULTS:
        done = list(outcomes(kind, places))
        caught = sum(o.caught for o in done)
        missed += len(done) - caught
        codes = Counter(c.removeprefix("proof.") for o in done for c in o.codes & FAULTS[kind].codes)
        pieces, said = len({o.piece for o in done}), ", ".join(sorted(codes))
        print(f"{kind:<42} {caught:>4}/{len(done):<4}  {pieces}; {said}")
        for o in done:
            if not o.caught:
                print(f"    MISSED in {o.piece}, place {o.place}: {sorted(o.codes)}")
    print(f"{len(FAULTS)} kinds, {len(FAULTS) * places} places, {missed} missed")
