# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One change is one undo step or none, and a copy on disk leaves the document its own name."""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Any

import pytest

from support.documents import box

# FreeCAD 1.0's own window library warns while it is imported, and ends the process if that is an error.
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")


def state(doc: Any) -> list[tuple[Any, ...]]:
    return [(o.Name, o.Label, o.Visibility, round(o.Shape.Volume, 6)) for o in doc.Objects]


def change(doc: Any) -> None:
    """Changes an object, makes one and takes one out."""
    doc.getObject("Box").Length = 500
    doc.removeObject("Box001")
    box(doc, "New")
    doc.recompute()


@pytest.mark.parametrize("mode", [0, 1], ids=["no undo steps kept", "undo steps kept"])
def test_an_error_inside_leaves_nothing_done(document: Any, mode: int) -> None:
    from flatwright.host.session import transaction

    box(document, "Side"), box(document, "Top")
    document.recompute()
    document.UndoMode = mode
    before = state(document)
    with pytest.raises(KeyError, match="ours"), transaction(document, "Apply Shop Rules"):
        change(document)
        raise KeyError("ours")
    assert state(document) == before
    assert document.UndoMode == mode
    assert document.UndoNames == []


def test_what_is_done_inside_is_one_step_back_and_one_forth(document: Any) -> None:
    from flatwright.host.session import transaction

    document.UndoMode = 1
    box(document, "Side"), box(document, "Top")
    document.recompute()
    before = state(document)
    with transaction(document, "Apply Shop Rules"):
        change(document)
    after = state(document)
    assert document.UndoNames[0] == "Apply Shop Rules"
    document.undo()
    assert state(document) == before
    document.redo()
    assert state(document) == after


def test_without_undo_steps_the_change_stays_and_none_is_kept(document: Any) -> None:
    from flatwright.host.session import transaction

    with transaction(document, "Apply Shop Rules"):
        box(document, "Side")
    assert [o.Label for o in document.Objects] == ["Side"]
    assert (document.UndoMode, document.UndoNames) == (0, [])


@pytest.mark.parametrize("saved", [False, True], ids=["never saved", "saved before"])
def test_a_copy_leaves_the_document_its_name(document: Any, tmp_path: Path, saved: bool) -> None:
    from flatwright.host.session import save_copy

    box(document, "Side")
    document.recompute()
    if saved:
        document.saveAs(str(tmp_path / "own.FCStd"))
    names = (document.FileName, document.Label, document.Name)
    save_copy(document, tmp_path / "copy.FCStd")
    assert (document.FileName, document.Label, document.Name) == names


def test_a_copy_opens_with_what_is_visible(app: Any, document: Any, tmp_path: Path) -> None:
    from flatwright.host.session import save_copy

    box(document, "Side")
    box(document, "Hidden").Visibility = False
    document.recompute()
    save_copy(document, tmp_path / "copy.FCStd")
    with zipfile.ZipFile(tmp_path / "copy.FCStd") as stored:
        view = stored.read("GuiDocument.xml").decode()
    assert '<ViewProvider name="Box"' in view
    assert '<ViewProvider name="Box001"' not in view
    again = app.openDocument(str(tmp_path / "copy.FCStd"))
    assert [(o.Label, o.Visibility) for o in again.Objects] == [("Side", True), ("Hidden", False)]
    app.closeDocument(again.Name)


def test_the_preset_file_is_the_starter_until_one_is_chosen(app: Any, tmp_path: Path) -> None:
    from flatwright.host.preferences import preset_file, set_preset_file

    assert preset_file().name == "metric.shop.json"
    assert preset_file().is_file()
    set_preset_file(tmp_path / "ours.shop.json")
    assert preset_file() == tmp_path / "ours.shop.json"
    set_preset_file("")
    assert preset_file().name == "metric.shop.json"
