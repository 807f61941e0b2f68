# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Joints found against joints drawn."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from flatwright.plan import Joint
from support.corpus.drawing import Model

Key = tuple[str, tuple[str, ...]]


@dataclass(slots=True)
class Score:
    """Joints by kind: how many were drawn, how many of them found, and how many found that were not."""

    drawn: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    false: Counter[str] = field(default_factory=Counter)
    models: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    def count(self, model: Model, joints: Iterable[Joint]) -> None:
        """Add one model."""
        truth = Counter(_key(model, j.kind, j.receiver, j.mate) for j in model.joints)
        seen = Counter(_key(model, j.kind, *j.panels) for j in joints)
        for kind in {k for k, _ in truth}:
            self.models[kind] += 1
        for into, keys in ((self.drawn, truth), (self.found, truth & seen), (self.false, seen - truth)):
            for (kind, _), n in keys.items():
                into[kind] += n
        for key, n in (truth - seen).items():
            self.wrong.append(f"{model.name}: {n} × {key[0]} of {' and '.join(key[1])} not found")
        for key, n in (seen - truth).items():
            self.wrong.append(f"{model.name}: {n} × {key[0]} of {' and '.join(key[1])} is none")

    def table(self) -> str:
        """Found of drawn, and false ones, by kind and in all."""
        rows = [(k, self.models[k], self.found[k], self.drawn[k], self.false[k]) for k in sorted(self.drawn)]
        rows += [(k, 0, 0, 0, n) for k, n in sorted(self.false.items()) if k not in self.drawn]
        lines = [f"{'joint':24} models  found / drawn  false"]
        lines += [f"{k:24} {m:6} {f:6} / {d:5} {x:6}" for k, m, f, d, x in rows]
        found, drawn, false = (sum(c.values()) for c in (self.found, self.drawn, self.false))
        share = 100 * found / drawn if drawn else 0.0
        return "\n".join([*lines, f"{'all':24}        {found:6} / {drawn:5} {false:6}   {share:.2f} %"])


def _key(model: Model, kind: str, a: str, b: str) -> Key:
    """A joint without order; the boards of a stack are one to their mates, and may be called by any."""
    own = next((s for s in model.stacks if a in s), (a,))
    other = next((s for s in model.stacks if b in s), (b,))
    if own == other:
        own, other = (a,), (b,)
    return kind, tuple(sorted((" + ".join(own), " + ".join(other))))
