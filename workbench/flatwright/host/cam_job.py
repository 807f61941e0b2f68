# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The host's CAM jobs of a sheet: one job per program file, which the user can simulate and post."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from flatwright.cutting.moves import SheetProgram
from flatwright.findings import UsageError
from flatwright.host import cam_moves, cam_tools, cam_views, operation, posts
from flatwright.host.cam_modules import cam
from flatwright.plan import Sheet
from flatwright.presets.model import Preset

FOLDER = "%D/sheets"  # where the host's own button writes: beside the document
LONGEST_LABEL = 80  # RS274/NGC lines end at 256 characters; posts put labels into comments


def make_jobs(
    doc: Any,
    sheet: Sheet,
    programs: Sequence[SheetProgram],
    preset: Preset,
    *,
    model_objects: Sequence[Any],
    refused: str | None = None,
    folder: str = FOLDER,
) -> list[Any]:
    """Make the sheet's jobs, in running order, and compute their paths.

    `model_objects` are the laid parts, as the host shows them in the job; `refused` is the
    reason why nothing of this sheet may be cut: the jobs are then made with empty paths.
    Raises UsageError, with the document as it was, for input that cannot be worked on.
    """
    posts.check_post(preset.post)
    for program in programs:
        _check_program(program, sheet, preset, refused is not None)
    if programs and not model_objects:
        raise UsageError(f"sheet {sheet.name} has no parts to show in its jobs; lay out the sheets first")
    before = {o.Name for o in doc.Objects}
    try:
        with posts.active(doc), cam_tools.plain_bits():
            jobs = [_make_job(doc, sheet, p, preset, model_objects, folder) for p in programs]
            doc.recompute()
            if refused:
                refuse_jobs(jobs, refused)
                doc.recompute()
    except BaseException:
        posts.remove_new(doc, before)
        raise
    return jobs


def remove_jobs(jobs: Sequence[Any]) -> None:
    """Take jobs out of the document with all that they own: operations, stock, clones, bits."""
    for job in jobs:
        doc = job.Document
        with posts.active(doc):
            for obj in list(job.Operations.Group):
                doc.removeObject(obj.Name)
            for tc in list(job.Tools.Group):
                cam_tools.remove_controller(tc)
            job.Proxy.onDelete(job)
            doc.removeObject(job.Name)


def refuse_jobs(jobs: Sequence[Any], reason: str) -> None:
    """Empty the paths of jobs that must not be cut after all, and keep them empty."""
    for job in jobs:
        for obj in job.Operations.Group:
            if operation.is_ours(obj):
                operation.refuse(obj, reason)


def our_jobs(doc: Any) -> list[Any]:
    """The jobs of a document that hold operations of ours."""
    return [
        o
        for o in doc.Objects
        if getattr(o, "Operations", None) is not None
        and any(operation.is_ours(x) for x in o.Operations.Group)
    ]


def stock_top(sheet: Sheet, preset: Preset) -> float:
    """Z of the board's upper face in the machine's zero, mm."""
    return sheet.thickness if preset.machine.zero == "bed" else 0.0


def clear_z(program: SheetProgram) -> float:
    """The height at which the program travels: its highest point."""
    return max((m.z for o in program.operations for m in o.moves), default=0.0)


def comment(text: str) -> str:
    """A label that a post may put between the brackets of a comment.

    >>> comment("side (left)\\n")
    'side [left]'
    """
    plain = re.sub(r"[\x00-\x1f]+", " ", text.replace("(", "[").replace(")", "]"))
    return plain.strip()[:LONGEST_LABEL]


def _check_program(program: SheetProgram, sheet: Sheet, preset: Preset, refused: bool) -> None:
    if not re.fullmatch(r"G5[4-9](\.[1-9])?", preset.machine.work_offset):
        raise UsageError(f"work offset {preset.machine.work_offset!r} is none of G54 to G59.9")
    for number in program.bits:
        cam_tools.bit_and_feed(preset, number, sheet.board)
    if refused:
        return
    top = stock_top(sheet, preset)
    if not program.operations:
        raise UsageError(f"program {program.stem} has no operations")
    for o in program.operations:
        cam_moves.check_operation(o)
        for end in (o.moves[0], o.moves[-1]):
            if end.z <= top:
                raise UsageError(
                    f"operation {o.label!r} starts or ends at z {end.z:g}, not above the board ({top:g})"
                )


def _make_job(
    doc: Any,
    sheet: Sheet,
    program: SheetProgram,
    preset: Preset,
    model_objects: Sequence[Any],
    folder: str,
) -> Any:
    with cam_tools.no_default_bit():
        job = cam("job").Create("Job", list(model_objects), None)
    job.Label = program.stem.replace(".", " ")
    for tc in list(job.Tools.Group):
        cam_tools.remove_controller(tc)
    _set_stock(job, sheet, preset, clear_z(program))
    _set_output(job, program, preset, folder)
    controllers = {
        number: cam_tools.make_controller(
            job, *cam_tools.bit_and_feed(preset, number, sheet.board), preset.post.units
        )
        for number in program.bits
    }
    for o in program.operations:
        label = comment(o.label if o.panel else f"{o.label}, {job.Label}")
        operation.add_operation(job, o, controllers[o.bit], preset, label)
    job.Description = f"Sheet {sheet.name}, {program.kind}: {len(program.operations)} operations"
    cam_views.show_job(job)
    return job


def _set_stock(job: Any, sheet: Sheet, preset: Preset, clear: float) -> None:
    """The measured board, its lower left corner at the zero; speeds and heights of the setup."""
    import FreeCAD

    top = stock_top(sheet, preset)
    length, width = sheet.size
    old = job.Stock
    corner = FreeCAD.Vector(0, 0, top - sheet.thickness)
    job.Stock = cam("stock").CreateBox(
        job, FreeCAD.Vector(length, width, sheet.thickness), FreeCAD.Placement(corner, FreeCAD.Rotation())
    )
    if old is not None:
        job.Document.removeObject(old.Name)
    setup = job.SetupSheet
    setup.HorizRapid = setup.VertRapid = f"{preset.machine.rapid:g} mm/min"
    # 0.20's own button travels to stock top + this height before the first bit change
    setup.ClearanceHeightOffset = setup.SafeHeightOffset = max(clear - top, 0.0)
    for hidden in (job.Stock, *job.Model.Group):
        hidden.Visibility = False


def _set_output(job: Any, program: SheetProgram, preset: Preset, folder: str) -> None:
    names = job.getEnumerationsOfProperty("PostProcessor")
    if preset.post.processor not in names:  # switched off in the host's preferences
        job.PostProcessor = [*names, preset.post.processor]
    with posts.guard(preset.post.processor, preset.post.arguments):
        job.PostProcessor = preset.post.processor
    job.PostProcessorArgs = posts.post_arguments(job, preset)
    job.PostProcessorOutputFile = f"{folder}/{program.stem}.nc"
    job.Fixtures = [preset.machine.work_offset]
    job.OrderOutputBy = "Fixture"
    job.SplitOutput = False
