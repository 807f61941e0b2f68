# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The STEP file of fitted panels: every panel a solid, named and in its place, read back on this host."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from flatwright.findings import UsageError
from support.documents import bounds, labels
from support.plans import plan, shelf, side

pytestmark = pytest.mark.usefixtures("app")


def read_back(app: Any, file: Path) -> Any:
    from flatwright.host.open import open_model
    from flatwright.host.solids import read_solids

    doc = open_model(file)
    try:
        shapes = [o.Shape.copy() for o in doc.Objects if o.TypeId == "Part::Feature"]
        return *read_solids(doc), shapes
    finally:
        app.closeDocument(doc.Name)


@pytest.mark.parametrize("count", [1, 2])
def test_names_volumes_and_places_come_back(app: Any, tmp_path: Path, count: int) -> None:
    from flatwright.host.shapes import panel_solid
    from flatwright.host.step import write_step

    panels = plan().panels[:count]
    file = tmp_path / "fitted.step"
    write_step(panels, file)
    solids, findings, shapes = read_back(app, file)
    assert findings == []
    assert labels(solids) == [p.name for p in panels]
    for panel, solid, shape in zip(panels, solids, shapes, strict=True):
        wanted = panel_solid(panel)
        assert shape.Volume == pytest.approx(wanted.Volume, rel=1e-9)
        assert shape.common(wanted).Volume == pytest.approx(wanted.Volume, rel=1e-6)
        assert solid.problem() == ""
    assert bounds(solids[0])[0] == pytest.approx(list(_low(panel_solid(shelf()))), abs=1e-5)


def _low(shape: Any) -> tuple[float, float, float]:
    b = shape.optimalBoundingBox(False)
    return b.XMin, b.YMin, b.ZMin


def test_no_document_is_left_behind(app: Any, document: Any, tmp_path: Path) -> None:
    from flatwright.host.step import write_step

    before = sorted(app.listDocuments())
    write_step([side()], tmp_path / "fitted.step")
    assert sorted(app.listDocuments()) == before
    assert app.ActiveDocument.Name == document.Name


def test_a_file_that_cannot_be_written_is_said(app: Any, tmp_path: Path) -> None:
    from flatwright.host.step import write_step

    with pytest.raises(UsageError, match=r"fitted\.step can't be written"):
        write_step([side()], tmp_path / "no such folder" / "fitted.step")
    with pytest.raises(UsageError, match="nothing to write"):
        write_step([], tmp_path / "fitted.step")
