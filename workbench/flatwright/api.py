# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One public function per command, without a window: what toolbar, macros and command line call.

This module imports the host when a function is called, so that it can be imported anywhere.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

from flatwright.boards.by_hand import check_known
from flatwright.boards.readings import parse_readings
from flatwright.checking import Checked as Checked
from flatwright.checking import check as check
from flatwright.edits.choosing import pointed_joint
from flatwright.edits.corner_edges import Asked
from flatwright.edits.model import Edits, JointEdit
from flatwright.edits.text import load as load_edits
from flatwright.findings import Finding, UsageError
from flatwright.output import staged
from flatwright.plan import Show, Side
from flatwright.presets.model import Preset
from flatwright.presets.reading import load, load_document, preset_of
from flatwright.presets.writing import dumps
from flatwright.run import Result, Run
from flatwright.steps import Options, Progress

_watching: Progress | None = None  # see progress_to


class Cancelled(Exception):
    """The user stopped a run. A progress callable raises it; what was changed is taken back."""


def apply(
    model: str | Path,
    preset: str | Path,
    out: str | Path,
    *,
    readings: Iterable[str] = (),
    nominal: float | None = None,
    options: Options | None = None,
    progress: Progress | None = None,
    edits: str | Path | None = None,
    cut_slots: bool = False,
) -> Result:
    """Apply a shop preset to a model file and write programs, papers and the fitted model to `out`.

    `readings` as on the command line ("17.7,17.75" or "18:17.7,17.75", mm); `edits` is a file of edits by
    hand, which come on top of those in the model; with `cut_slots` the slots are cut that are missing where
    boards are drawn through each other. The model file is not changed. Raises UsageError, with
    `out` as it was, for input that cannot be worked on.
    """
    from flatwright.host.bootstrap import freecad

    document = load_document(Path(preset))
    check_known(options.boards if options else {}, preset_of(document, str(preset)).boards)
    groups = tuple(readings)
    parsed = parse_readings(groups, nominal)
    by_hand = load_edits(edits) if edits is not None else Edits()
    by_hand = replace(by_hand, cut_slots=by_hand.cut_slots or cut_slots)
    app = freecad()
    from flatwright.host.open import STEP, open_model
    from flatwright.host.session import transaction

    if Path(model).suffix.lower() in STEP:
        by_hand = by_hand.by_labels()
    start = time.perf_counter()
    before = set(app.listDocuments())
    doc = open_model(Path(model))
    opened = time.perf_counter() - start
    try:
        with transaction(doc, "Apply Shop Rules"), staged(Path(out)) as staging:
            shop, rules, told = _with_own_bits(doc, document)
            run = Run(doc, shop, rules, groups, Path(out), staging, progress, by_hand, told)
            result = run.go(parsed, options or Options(), {"open the model": opened})
            run.save_document()
    finally:
        # the model, then what it links to
        for name in [doc.Name, *(n for n in app.listDocuments() if n not in before and n != doc.Name)]:
            app.closeDocument(name)
    return result


def apply_shop_rules(
    doc: Any = None,
    preset: str | Path | None = None,
    out: str | Path | None = None,
    *,
    readings: Iterable[str] = (),
    options: Options | None = None,
    progress: Progress | None = None,
) -> Result:
    """Apply a shop preset to an open document, in one transaction, and write its programs.

    Defaults: the active document, the preset of the preferences (the metric starter at first), the
    readings kept in the document, and the folder that its programs went to last, at first one
    beside the document's file (a document never saved is refused).
    """
    doc = _open_document(doc)
    from flatwright.host import remembered
    from flatwright.host.session import transaction

    folder = Path(out) if out is not None else remembered.output_folder(doc) or default_folder(doc)
    path = Path(preset) if preset is not None else default_preset()
    document = load_document(path)
    shop = preset_of(document, str(path))
    check_known(options.boards if options else {}, shop.boards)
    groups = tuple(readings) or remembered.readings(doc)
    with transaction(doc, "Apply Shop Rules"), staged(folder) as staging:
        shop, rules, told = _with_own_bits(doc, document)
        run = Run(doc, shop, rules, groups, folder, staging, progress or _watching, told=told)
        return run.go(parse_readings(groups), options or Options())


def measure_boards(doc: Any = None, readings: Iterable[str] = ()) -> tuple[Finding, ...]:
    """Keep caliper readings in a document, in place of earlier ones; what they say of its boards.

    `readings` as on the command line, mm where no unit is given. A result that was made with others
    is then stale. Raises UsageError for readings that belong to no panel of the document.
    """
    doc = _open_document(doc)
    from flatwright.host import measuring, remembered
    from flatwright.host.session import transaction

    groups = tuple(readings)
    boards = load(default_preset()).boards
    _, findings = measuring.needed_boards(measuring.panel_thicknesses(doc, boards), boards, groups)
    with transaction(doc, "Measure Boards"):
        remembered.remember_readings(doc, groups)
    return tuple(findings)


def set_grain(
    doc: Any = None, panels: Iterable[str] = (), grain: float | Literal["any"] | None = None
) -> None:
    """Set the face grain of fitted panels, by name: degrees from the longer side, "any", or None for the
    rules. The result is stale until the rules are applied again, as after the next functions."""
    _set_panels(doc, "Set Grain", panels, grain=grain)


def choose_show_face(doc: Any = None, panels: Iterable[str] = (), face: Show | None = None) -> None:
    """Choose the face of fitted panels that is to show; None leaves it to the rules."""
    _set_panels(doc, "Choose Show Face", panels, show=face)


def keep_face_in_place(doc: Any = None, panels: Iterable[str] = (), face: Side | None = None) -> None:
    """Choose the broad face of fitted panels that keeps its place when their board is not as thick as drawn;
    None leaves it to the rules."""
    _set_panels(doc, "Keep Face in Place", panels, stays=face)


def choose_board(doc: Any = None, panels: Iterable[str] = (), board: str | None = None) -> None:
    """Choose the board of the preset that fitted panels are cut from, by its name; None leaves it to the
    rules. Raises UsageError for a name that the preset has not."""
    doc = _open_document(doc)
    from flatwright.host import edited

    edited.check_board(doc, board)
    _set_panels(doc, "Choose Board", panels, board=board)


def fit_joints(
    doc: Any = None, joints: Iterable[tuple[str, str, Sequence[float] | None, str | None]] = ()
) -> None:
    """Choose the fit class of joints: (panel, panel, near, class) each, the joint between two panels, by
    name, that is nearest to a point of the assembly (mm; None: all joints between them); a class of None
    leaves it to the rules."""
    doc = _open_document(doc)
    from flatwright.host import edited
    from flatwright.host.session import transaction

    edits, spots = edited.edits(doc), edited.joint_spots(doc)
    for a, b, near, fit_class in joints:
        sources = (edited.panel(doc, a).Source, edited.panel(doc, b).Source)
        ref = pointed_joint(spots, sources, near)
        edits = edits.with_joint(None if fit_class is None else JointEdit(ref, fit_class), ref)
    with transaction(doc, "Fit Joints"):
        edited.change(doc, edits)


def relieve_corners(
    doc: Any = None,
    corners: Iterable[tuple[str, Sequence[float]]] = (),
    kind: Asked | None = None,
) -> None:
    """Choose the relief of corners: (panel, near) each, the fitted panel's inside corner that is nearest to
    a point of the assembly (mm). "T-bone longer" lies along the longer edge of each corner, "T-bone shorter"
    along the other; a kind of None leaves it to the rules."""
    doc = _open_document(doc)
    from flatwright.host import edited
    from flatwright.host.session import transaction

    edits = edited.edits(doc)
    for panel, near in corners:
        edit = edited.corner_edit(doc, panel, near, kind or "least visible")
        edits = edits.with_corner(None if kind is None else edit, edit.at)
    with transaction(doc, "Relieve Corners"):
        edited.change(doc, edits)


def place_tabs(
    doc: Any = None, panel: str = "", tabs: Iterable[Sequence[float | None]] | None = None
) -> None:
    """Give a fitted panel, by name, these tabs and no others: (u, v) or (u, v, length, height) each, mm in
    the panel's own frame, a size of None by the rules; without `tabs` they are left to the rules. They are
    shown on the sheet at once."""
    doc = _open_document(doc)
    from flatwright.host import tabs as host_tabs
    from flatwright.host.session import transaction

    host_tabs.laid_part(doc, panel)
    with transaction(doc, "Place Tabs"):
        host_tabs.put(doc, panel, tabs)


def cut_missing_slots(doc: Any = None, cut: bool = True) -> None:
    """Have the slot cut, from the next run on, where boards are drawn through each other without one; with
    `cut` False have such places refused again."""
    doc = _open_document(doc)
    from flatwright.host import edited
    from flatwright.host.session import transaction

    if not edited.fitted_panels(doc):
        raise UsageError(f"{doc.Label} has no result yet: apply the shop rules first")
    with transaction(doc, "Cut Missing Slots"):
        edited.change(doc, replace(edited.edits(doc), cut_slots=cut))


def forget_lost_edits(doc: Any = None) -> None:
    """Take out the edits by hand whose thing was gone, or not to be told from another, in the last run."""
    doc = _open_document(doc)
    from flatwright.host import edited
    from flatwright.host.session import transaction

    with transaction(doc, "Forget Lost Edits"):
        edited.forget_lost(doc)


def _set_panels(doc: Any, name: str, panels: Iterable[str], **values: Any) -> None:
    doc = _open_document(doc)
    from flatwright.host import edited
    from flatwright.host.session import transaction

    found = [edited.panel(doc, p) for p in panels]
    with transaction(doc, name):
        edits = edited.edits(doc)
        for obj in found:
            edits = edits.with_panel(replace(edited.edit_of(obj), **values))
        edited.change(doc, edits)


def choose_preset(file: str | Path) -> Preset:
    """Use a shop preset from now on. Raises PresetError, with all that is wrong with it."""
    preset = load(file)
    from flatwright.host.bootstrap import freecad

    freecad()
    from flatwright.host.preferences import set_preset_file

    set_preset_file(file)
    return preset


@contextmanager
def progress_to(progress: Progress) -> Iterator[None]:
    """Tell the progress of the runs inside that name no progress of their own: those of a macro line."""
    global _watching
    before, _watching = _watching, progress
    try:
        yield
    finally:
        _watching = before


def _open_document(doc: Any) -> Any:
    from flatwright.host.bootstrap import freecad

    doc = doc if doc is not None else freecad().ActiveDocument
    if doc is None:
        raise UsageError("no document is open: open the model first")
    return doc


def default_folder(doc: Any) -> Path:
    """Where a document's programs go if nobody says: a folder beside its file, named after it.

    Raises UsageError for a document that was never saved.
    """
    if not doc.FileName:
        raise UsageError(f"{doc.Label} was never saved: save it first, the programs go beside its file")
    file = Path(doc.FileName)
    return file.with_name(f"{file.stem} programs")


def default_preset() -> Path:
    """The preset of the preferences, else the metric starter preset."""
    from flatwright.host.preferences import preset_file

    return preset_file()


def _with_own_bits(doc: Any, document: Mapping[str, Any]) -> tuple[Preset, str, list[Finding]]:
    """A preset with the bits of the document's own jobs where it asks for them, its canonical text, which
    the document keeps, and what was found."""
    from flatwright.host.own_bits import with_own_bits

    used, told = with_own_bits(doc, document)
    return preset_of(used), dumps(used), told
