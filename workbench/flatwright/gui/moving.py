# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Screw points that are dragged are looked at while they are: heads, jobs and the result follow each drag."""

from __future__ import annotations

from typing import Any

import FreeCAD as App
import FreeCADGui as Gui

_MARK = "FlatwrightKind"  # of host.skipping, which is not imported at FreeCAD's start
_observers: list[Any] = []  # the host keeps no reference of its own


class _Drags:
    """The host tells it about every property that changes."""

    def slotChangedObject(self, obj: Any, name: str) -> None:
        """Only points of our sketches matter, and not while the host itself brings old ones back."""
        if name == "Geometry" and getattr(obj, _MARK, "") == "screws":
            doc = obj.Document
            if not (doc.Restoring or doc.Transacting):
                _follow(obj)


class _Edits:
    """The host tells it when a sketch is left."""

    def slotResetEdit(self, view: Any) -> None:
        """With screws moved, the result is stale: say so as after any edit by hand."""
        obj = view.Object
        if getattr(obj, _MARK, "") == "screws":
            from flatwright.gui.stale import show_if_stale

            show_if_stale(obj.Document)


def watch() -> None:
    """Follow every document from now on."""
    if not _observers:
        _observers.extend((_Drags(), _Edits()))
        App.addDocumentObserver(_observers[0])
        Gui.addDocumentObserver(_observers[1])


def _follow(sketch: Any) -> None:
    from flatwright.gui.requirements import missing

    if missing():
        return
    from flatwright.host import moved, outdated

    before = outdated.wrong_by_hand(sketch.Document)
    wrong = moved.screws_changed(sketch)
    if wrong and outdated.wrong_by_hand(sketch.Document) != before:
        sentence = f"{sketch.Label}: {wrong}. The programs of this sheet are out of date and must not be run."
        App.Console.PrintError(f"Flatwright: {sentence}\n")
        Gui.getMainWindow().statusBar().showMessage(sentence, 10000)
