# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The task panel of Relieve Corners: corners clicked on fitted panels, and how they are relieved."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import FreeCAD as App
import FreeCADGui as Gui
from PySide import QtCore, QtGui

from flatwright.edits.corner_edges import CornerEdges, is_t_bone
from flatwright.edits.model import CornerEdit, same_end
from flatwright.findings import UsageError
from flatwright.gui import running, selected, task
from flatwright.gui.stale import show_if_stale
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


class CornersPanel:
    """It follows the selection: click a vertex, an edge or a face near a corner, with Ctrl more of them."""

    def __init__(self, doc: Any) -> None:
        self.doc = doc
        self._corners: list[tuple[str, selected.Place]] = []
        self._following = True
        self.form = QtGui.QWidget()
        self.form.setObjectName("FlatwrightRelieveCorners")
        self.form.setWindowTitle("Relieve Corners")
        self.form.setWindowIcon(task.icon("relieve-corners"))
        layout = QtGui.QVBoxLayout(self.form)
        intro = QtGui.QLabel("Click fitted panels close to inside corners, with Ctrl for several.")
        intro.setWordWrap(True)
        layout.addWidget(intro)
        self._list = QtGui.QListWidget()
        self._list.setObjectName("corners")
        layout.addWidget(self._list)
        self._buttons: list[tuple[Any, Any]] = []
        for text, kind in KINDS:
            button = QtGui.QRadioButton(text)
            button.setObjectName(str(kind))
            layout.addWidget(button)
            self._buttons.append((button, kind))
        self._edges = QtGui.QLabel()
        self._edges.setObjectName("edges")
        self._edges.setWordWrap(True)
        layout.addWidget(self._edges)
        layout.addStretch()
        Gui.Selection.addObserver(self)
        self._fill()

    def getStandardButtons(self) -> Any:
        """OK and Cancel."""
        return task.buttons("Ok", "Cancel")

    def accept(self) -> bool:
        """Keep what was chosen in the document."""
        chosen = [kind for button, kind in self._buttons if button.isChecked()]
        if self._corners and chosen:
            App.setActiveDocument(self.doc.Name)
            if not running.run(f"relieve_corners(corners={self._corners!r}, kind={chosen[0]!r})"):
                return False
        self._close()
        show_if_stale(self.doc)
        return True

    def reject(self) -> bool:
        """Leave the document as it is."""
        self._close()
        return True

    def isAllowedAlterSelection(self) -> bool:
        """It lives by what is selected."""
        return True

    isAllowedAlterView = isAllowedAlterSelection

    # -- the host tells of the selection ----------------------------------------------------

    def addSelection(self, doc: str, obj: str, part: str, point: Any) -> None:
        """Something more is selected."""
        self._look()

    def removeSelection(self, doc: str, obj: str, part: str) -> None:
        """Something is selected no longer."""
        self._look()

    def setSelection(self, doc: str) -> None:
        """The selection is another one."""
        self._look()

    def clearSelection(self, doc: str) -> None:
        """Nothing is selected."""
        self._look()

    def _look(self) -> None:
        """Look at what is selected now; once the panel is gone, never again."""
        if task.is_open(self):
            self._fill()
        else:  # another command has closed it without a word
            QtCore.QTimer.singleShot(0, self._stop)

    def _stop(self) -> None:
        if self._following:
            self._following = False
            Gui.Selection.removeObserver(self)

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

    def _close(self) -> None:
        self._stop()
        Gui.Control.closeDialog()


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
