# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The same model, preset and readings give the same plan and the same programs on every host.

`run.sh` runs this after the hosts themselves, on what their runs of the demo left in
FLATWRIGHT_RUNS/HOST.runs.
"""

from __future__ import annotations

import itertools
import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from support.posted import motions, running, same
from support.runs import PIECES

RUNS = Path(os.environ.get("FLATWRIGHT_RUNS", "."))
HOSTS = sorted(p.name.removesuffix(".runs") for p in RUNS.glob("*.runs"))
PAIRS = list(itertools.pairwise(HOSTS))
LENGTH = 0.0005  # mm


def differences(a: Any, b: Any, path: str = "") -> Iterator[str]:
    """Where two JSON values differ: numbers by more than LENGTH, all else at all; hashes may."""
    if isinstance(a, dict) and isinstance(b, dict) and list(a) == list(b):
        for key in a:
            if key != "sha256":
                yield from differences(a[key], b[key], f"{path}/{key}")
    elif isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        for k, (x, y) in enumerate(zip(a, b, strict=True)):
            yield from differences(x, y, f"{path}/{k}")
    elif isinstance(a, float) or isinstance(b, float):
        if abs(a - b) > LENGTH:
            yield f"{path}: {a} and {b}"
    elif a != b:
        yield f"{path}: {a!r} and {b!r}"


def test_every_host_left_its_runs() -> None:
    assert len(HOSTS) > 1
    for host, piece in itertools.product(HOSTS, PIECES):
        assert (RUNS / f"{host}.runs" / piece / "plan.json").is_file(), f"{host}: {piece}"


@pytest.mark.parametrize("piece", PIECES)
@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_plans_agree(pair: tuple[str, str], piece: str) -> None:
    a, b = (json.loads((RUNS / f"{h}.runs" / piece / "plan.json").read_text(encoding="utf-8")) for h in pair)
    assert not list(itertools.islice(differences(a, b), 10))


@pytest.mark.parametrize("piece", PIECES)
@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_programs_agree(pair: tuple[str, str], piece: str) -> None:
    """Canonical moves from the first spindle start on, within 0.001 mm."""
    folders = [RUNS / f"{h}.runs" / piece / "sheets" for h in pair]
    names = [sorted(p.name for p in f.glob("*.nc")) for f in folders]
    assert names[0] == names[1]
    for name in names[0]:
        texts = [(f / name).read_text(encoding="utf-8") for f in folders]
        same(*(motions(running(t)) for t in texts))
