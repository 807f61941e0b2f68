# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Open designs that nobody here drew: every visible solid is read once, the same on every host and format.

The counts are those of the folder's own README.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from flatwright.findings import Finding
from flatwright.panels.solid import Solid
from support.documents import labels


@pytest.fixture(autouse=True)
def _closed(app: Any) -> Iterator[None]:
    yield
    for name in list(app.listDocuments()):
        app.closeDocument(name)


def read(folder: Path, pattern: str) -> tuple[list[Solid], list[Finding]]:
    from flatwright.host.open import open_model
    from flatwright.host.solids import read_solids

    (file,) = folder.glob(pattern)
    return read_solids(open_model(file))


def test_an_assembled_box_of_plain_features(shared_models: Path) -> None:
    solids, findings = read(shared_models / "robot-box", "assembly*")
    assert len(solids) == 6
    assert findings == []
    assert not [s.label for s in solids if s.problem()]


def test_a_cabinet_with_castors_and_drawers(shared_models: Path) -> None:
    solids, _ = read(shared_models / "mobile-base", "*base.FCStd")
    assert len(solids) == 38
    assert len({s.source for s in solids}) == 38
    assert len([s for s in solids if s.problem()]) == 1


def test_the_assembly_by_links(shared_models: Path) -> None:
    solids, findings = read(shared_models / "mobile-base", "*assembly*")
    assert len(solids) == len(set(labels(solids))) == 30
    assert {f.code for f in findings} == {"model.equal-labels"}
    assert len({s.source for s in solids}) == 30


def volumes(folder: Path, pattern: str) -> dict[str, float]:
    """Volume of each solid by its label."""
    from flatwright.host.open import open_model
    from flatwright.host.solids import numbered
    from flatwright.host.tree import leaves

    (file,) = folder.glob(pattern)
    found, _ = leaves(open_model(file))
    pairs = [(leaf.path[-1], s.Volume) for leaf in found for s in leaf.shape.Solids]
    return dict(zip(numbered([name for name, _ in pairs]), [v for _, v in pairs], strict=True))


def test_a_cabinet_is_the_same_from_both_formats(shared_models: Path) -> None:
    native, step = (volumes(shared_models / "cabinet", f"cabinet.{kind}") for kind in ("FCStd", "step"))
    assert len(native) == 14
    assert sorted(native) == sorted(step)
    for name, volume in native.items():
        assert step[name] == pytest.approx(volume, rel=1e-6), name
    solids, _ = read(shared_models / "cabinet", "cabinet.step")
    assert sorted(labels(solids)) == sorted(native)
