# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Writing fitted panels as a STEP file: each a solid of its own, placed and named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import FreeCAD as App

from flatwright.findings import UsageError
from flatwright.host.shapes import panel_solid
from flatwright.plan import Panel


def write_step(panels: Sequence[Panel], path: Path | str) -> None:
    """Write each panel's solid at its assembled place, named after its source's label.

    A panel that makes no solid is left out: `model.write_model` has a finding for it.
    Raises `UsageError` when the file can't be written or there is nothing to write.
    """
    import Import

    with _scratch() as doc:
        # A shape that is exported by itself loses its place, an App::Part around it does not.
        root = doc.addObject("App::Part", "Fitted")
        root.Label = Path(path).stem
        for panel in panels:
            _add_solid(root, panel)
        if not root.Group:
            raise UsageError(f"no panel makes a solid, so there is nothing to write to {path}")
        try:
            Import.export([root], str(path))
        except Exception as reason:
            raise UsageError(f"{path} can't be written: {reason}") from reason
    if not Path(path).is_file() or not Path(path).stat().st_size:
        raise UsageError(f"{path} can't be written")


def _add_solid(root: Any, panel: Panel) -> None:
    """Add the panel's solid to the part, if it makes one."""
    try:
        shape = panel_solid(panel)
    except ValueError:
        return
    feature = root.Document.addObject("Part::Feature", "Panel")
    feature.Shape = shape
    feature.Label = panel.name
    root.addObject(feature)


@contextmanager
def _scratch() -> Iterator[Any]:
    """A document that nobody sees, gone afterwards."""
    active = App.ActiveDocument
    doc = App.newDocument("flatwright-step", "fitted", True, True)
    try:
        yield doc
    finally:
        App.closeDocument(doc.Name)
        if active is not None:
            App.setActiveDocument(active.Name)
