# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Showing in the 3D view what a finding is about."""

from __future__ import annotations

from typing import Any

import FreeCADGui as Gui

from flatwright.findings import Finding
from flatwright.host import arranged
from flatwright.host.skipping import OURS


def show(doc: Any, finding: Finding) -> bool:
    """Select what a finding is about and bring it into view; False when there is nothing to show."""
    objects, of = subject(doc, finding)
    if not objects:
        return False
    if not all(o.Visibility for o in objects):
        arranged.show_only(doc, of)
    Gui.Selection.clearSelection()
    for obj in objects:
        Gui.Selection.addSelection(doc.Name, obj.Name)
    Gui.SendMsgToActiveView("ViewSelection")
    return True


def show_only(doc: Any, what: str) -> None:
    """Show what is drawn, the fitted panels or a sheet by its name, and nothing else of these."""
    arranged.show_only(doc, what)
    view = Gui.getDocument(doc.Name).ActiveView
    if what in (arranged.DRAWN, arranged.FITTED):
        view.viewIsometric()
    else:
        view.viewTop()
    view.fitAll()


def subject(doc: Any, finding: Finding) -> tuple[list[Any], str]:
    """The objects that a finding names, and which of drawn, fitted and sheets they belong to."""
    ours = [o for o in doc.Objects if getattr(o, OURS, "")]
    names = set(finding.panels)
    fitted = [o for o in ours if o.FlatwrightKind == "panel" and o.PanelName in names]
    if fitted:
        return fitted, arranged.FITTED
    drawn = [o for o in doc.Objects if o.Label in names and hasattr(o, "Shape")]
    if drawn:
        return drawn, arranged.DRAWN
    groups = (o for o in ours if o.FlatwrightKind == "sheet" and o.SheetName == finding.sheet)
    members = (o for group in groups for o in group.Group)
    return [o for o in members if getattr(o, OURS, "") in ("board", "layout")], finding.sheet or ""
