# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The task panel of Relieve Corners: corners clicked on fitted panels, and how they are relieved."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide import QtGui

from flatwright.edits.corner_edges import CornerEdges, is_t_bone
from flatwright.edits.model import CornerEdit, same_end
from flatwright.findings import UsageError
from flatwright.gui import selected
from flatwright.gui.by_hand_panel import FollowingPanel
from flatwright.gui.units import says
from flatwright.gui.ways import way_named
from flatwright.host import edited

KINDS = (
    ("By the rules", None),
    ("No relief, round as the bit", "off"),
    ("Dog-bone", "dog-bone"),
    ("T-bone along the longer edge", "T-bone longer"),
    ("T-bone along the shorter edge", "T-bone shorter"),
    ("Whichever shows least", "least visible"),
)


class CornersPanel(FollowingPanel):
    """It follows the selection: click a vertex, an edge or a face near a corner, with Ctrl more of them."""

    def __init__(self, doc: Any) -> None:
        super().__init__(
            doc, "Relieve Corners", "Click fitted panels close to inside corners, with Ctrl for several."
        )
        self._corners: list[tuple[str, selected.Place]] = []
        self._list = QtGui.QListWidget()
        self._list.setObjectName("corners")
        self.layout.addWidget(self._list)
        self._buttons: list[tuple[Any, Any]] = []
        for text, kind in KINDS:
            button = QtGui.QRadioButton(text)
            button.setObjectName(str(kind))
            self.layout.addWidget(button)
            self._buttons.append((button, kind))
        self._edges = self.told(name="edges")
        self.layout.addStretch()
        self._fill()

    def call(self) -> str:
        chosen = [kind for button, kind in self._buttons if button.isChecked()]
        if not (self._corners and chosen):
            return ""
        return f"relieve_corners(corners={self._corners!r}, kind={chosen[0]!r})"

    def look(self, picked: tuple[str, Any] | None) -> None:
        """List what is selected now."""
        self._fill()

    def _fill(self) -> None:
        """List the corners that are selected, each once."""
        self._list.clear()
        self._corners = []
        kept = edited.edits(self.doc).corners if selected.places(self.doc) else ()
        ends: list[CornerEdit] = []
        seen: list[CornerEdges | None] = []
        for name, near in selected.places(self.doc):
            try:
                edit = edited.corner_edit(self.doc, name, near, "least visible")
            except UsageError as e:
                self._list.addItem(str(e))
                continue
            if not any(same_end(edit.at, e.at) for e in ends):
                ends.append(edit)
                self._corners.append((name, near))
                seen.append(edited.corner_edges(self.doc, name, near))
                self._list.addItem(f"{name}: {_says(edit, kept, seen[-1])}")
        self._tell_edges(seen)

    def _tell_edges(self, corners: Sequence[CornerEdges | None]) -> None:
        """Say of the one corner that is selected which of its edges is which."""
        for button, kind in self._buttons:
            if is_t_bone(kind):
                button.setEnabled(None not in corners)
        edges = corners[0] if len(corners) == 1 else None
        self._edges.setText("" if edges is None else _edges_named(edges))


def _says(edit: CornerEdit, kept: Sequence[CornerEdit], edges: CornerEdges | None) -> str:
    """How a corner is relieved by the edits that are kept."""
    kind = next((e.kind for e in kept if same_end(e.at, edit.at)), None)
    if kind is None or not is_t_bone(kind):
        return next(text for text, k in KINDS if k == kind)
    edge = edges.of(kind) if edges is not None else None
    if edges is None or edge is None:
        return "T-bone"
    size = "T-bone longer" if edge is edges.longer else "T-bone shorter"
    return next(text for text, k in KINDS if k == size)


def _edges_named(edges: CornerEdges) -> str:
    """`The longer edge is 80.50 mm long and runs to +y, the shorter one 17.95 mm to +z.`"""
    longer, shorter = ((says(e.length), way_named(e.way)) for e in (edges.longer, edges.shorter))
    to, over = (f" to {way}" if way else "" for _, way in (longer, shorter))
    if edges.equal:
        return f"Both edges are {longer[0]} long; the one{to} counts as the longer." if to else ""
    runs = f" and runs{to}" if to else ""
    return f"The longer edge is {longer[0]} long{runs}, the shorter one {shorter[0]}{over}."
