# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The host's post-processors: which there are, with which arguments, and posting a job.

What a post writes is never edited: what would be unsafe or would change with the clock is
avoided by its arguments and by the commands that it is given.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import tempfile
from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

from flatwright.findings import UsageError
from flatwright.host import operation
from flatwright.host.cam_modules import cam
from flatwright.host.version import can
from flatwright.presets.model import Post, Preset

# Wanted wherever the post knows them: no dialog, no clock in the file, arcs true to the RS274 rule.
WANTED = ("--no-show-editor", "--no-header", "--precision=4")
FEWEST_DECIMALS = 3


class PostError(UsageError):
    """A post that failed; the message names it and says why."""


def available_posts() -> list[str]:
    """Names of the posts that this host offers, sorted."""
    return sorted(set(cam("preferences").allAvailablePostProcessors()))


def check_post(post: Post) -> None:
    """Raise UsageError for a post or arguments that cannot be used."""
    names = available_posts()
    if post.processor not in names:
        raise UsageError(f"this host has no post {post.processor!r}; it offers {', '.join(names)}")
    words = _words(post.arguments)
    if post.units == "mm" and "--inches" in words:
        raise UsageError(
            "the post's arguments say --inches but the preset's post units are mm; set one of them"
        )
    for value in re.findall(r"--precision[= ]+(\S+)", " ".join(words)):
        if not value.isdecimal() or int(value) < FEWEST_DECIMALS:
            raise UsageError(
                f"the post's --precision {value} is too coarse for arcs; use {FEWEST_DECIMALS} or more"
            )


def post_arguments(job: Any, preset: Preset) -> str:
    """The preset's arguments and those that we want, as far as the post knows them.

    Where bits are changed by hand each is zeroed by hand too: a tool length from the control's
    table (G43) would then be added to a zero that is right already.
    """
    post = preset.post
    given = _words(post.arguments)
    named = {w.split("=")[0] for w in given}
    known = _options(job, post.processor)
    if post.units == "in" and not knows(known, "--inches"):
        raise UsageError(
            f"the post {post.processor!r} cannot write inches; set the preset's post units to mm"
        )
    wanted = [*WANTED]
    wanted += ["--inches"] if post.units == "in" else []
    wanted += ["--no-tlo"] if preset.machine.bit_change == "by hand" else []
    return shlex.join(
        given + [w for w in wanted if w.split("=")[0] not in named and knows(known, w.split("=")[0])]
    )


def knows(text: str, option: str) -> bool:
    """True when a post's help text names the option.

    >>> knows("[--no-header] [--precision PRECISION]", "--no-head")
    False
    """
    return re.search(rf"(?<![\w-]){re.escape(option)}(?![\w-])", text) is not None


def post_job(job: Any, path: str | os.PathLike[str]) -> str:
    """Post a job with its own post and arguments, write `path` and return the text.

    The file appears whole or not at all, with `\\n` line ends. Raises PostError when the post
    fails, when an operation is refused, has no path, or needs a bit change that is not written.
    """
    runs = _bit_runs(job)
    name = job.PostProcessor
    with guard(name, job.PostProcessorArgs), active(job.Document), nothing_left(job.Document):
        sections = _sections(job) if can("cam_package") else _sections_020(job)
    texts = [t for t in sections if t]
    if len(sections) != 1 or len(texts) != 1:
        raise PostError(
            f"the post {name!r} wrote {len(texts)} programs for job {job.Label!r} instead of one;"
            f" look at its arguments ({job.PostProcessorArgs}) and at the job's SplitOutput"
        )
    text = texts[0].replace("\r\n", "\n").replace("\r", "\n").lstrip("\n")
    changes = len(re.findall(r"(?m)^[^(;\n]*\bM0?6\b", text))
    if runs > 1 and changes < runs:
        raise PostError(
            f"the post {name!r} writes no bit change but job {job.Label!r} uses {runs} bits;"
            " set the preset's bit_change to 'by hand'"
        )
    write_whole(FilePath(path), text)
    return text


def write_whole(path: FilePath, text: str) -> None:
    """Write a text file at once, through a neighbour that is then renamed."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        draft = FilePath(name)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as f:
                f.write(text)
            draft.chmod(0o644)
            draft.replace(path)
        except BaseException:
            draft.unlink()
            raise
    except OSError as e:
        raise PostError(f"cannot write {path}: {e.strerror or e}") from e


def _bit_runs(job: Any) -> int:
    """How many times the job takes up a bit; raises PostError when the job must not be posted."""
    runs, last = 0, None
    for obj in job.Operations.Group:
        if operation.is_ours(obj) and obj.Refused:
            raise PostError(f"job {job.Label!r} is not posted: {obj.Refused}")
        if not getattr(obj, "Active", True):
            continue
        if not obj.Path.Commands:
            raise PostError(f"{obj.Label!r} has no path; recompute the document and post again")
        controller = getattr(obj, "ToolController", None)
        if controller is not None and controller is not last:
            runs, last = runs + 1, controller
    return runs


def _sections(job: Any) -> list[str | None]:
    post = cam("post").PostProcessorFactory.get_post_processor(job, job.PostProcessor)
    if post is None:
        raise PostError(f"the post {job.PostProcessor!r} could not be loaded")
    # some posts write what they make into the current folder too
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        return [text for _, text in post.export() or []]


def _sections_020(job: Any) -> list[str | None]:
    """0.20 writes a file and may return nothing; it also moves in Z before the first bit change.

    That move would be made before any tool length is known, so it is taken out here, as newer
    hosts do; the host's own button keeps it, at clear height.
    """
    import Path

    post = cam("post_script").PostProcessor.load(job.PostProcessor)
    out: list[str | None] = []
    for objects in cam("post").CommandPathPost().buildPostList(job):
        for obj in objects:
            if obj.Name == "Fixture":
                obj.Path = Path.Path([c for c in obj.Path.Commands if c.Name != "G0"])
        with tempfile.TemporaryDirectory() as folder:
            file = FilePath(folder, "program.nc")
            post.export(objects, str(file), job.PostProcessorArgs)
            out.append(file.read_text() if file.exists() else None)
    return out


def _options(job: Any, name: str) -> str:
    """The help text of a post's arguments; empty when it has none."""
    with guard(name, ""):
        if can("cam_package"):
            post = cam("post").PostProcessorFactory.get_post_processor(job, name)
        else:
            post = cam("post_script").PostProcessor.load(name)
        return str(post.tooltipArgs or "")


def _words(arguments: str) -> list[str]:
    try:
        return shlex.split(arguments)
    except ValueError as e:
        raise UsageError(f"the post's arguments cannot be read ({e}): {arguments}") from e


@contextlib.contextmanager
def guard(name: str, arguments: str) -> Iterator[None]:
    """Turn whatever a post does wrong, even leaving the program, into a PostError; keep it quiet."""
    said = io.StringIO()
    try:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(said):
            yield
    except UsageError:
        raise
    except SystemExit as e:
        why = said.getvalue().strip().splitlines() or ["it left without a word"]
        raise PostError(f"the post {name!r} refuses its arguments ({arguments}): {why[-1]}") from e
    except Exception as e:
        raise PostError(
            f"the post {name!r} failed ({type(e).__name__}: {e}); choose another in the preset: linuxcnc and "
            "grbl are tested"
        ) from e


@contextlib.contextmanager
def active(doc: Any) -> Iterator[None]:
    """The host's CAM code works on the active document."""
    import FreeCAD

    before = FreeCAD.ActiveDocument
    FreeCAD.setActiveDocument(doc.Name)
    try:
        yield
    finally:
        if before is not None and before.Name in FreeCAD.listDocuments():
            FreeCAD.setActiveDocument(before.Name)


@contextlib.contextmanager
def nothing_left(doc: Any) -> Iterator[None]:
    """Take out what a post leaves in the document: the dxf one draws there."""
    before = {o.Name for o in doc.Objects}
    try:
        yield
    finally:
        remove_new(doc, before)


def remove_new(doc: Any, before: set[str]) -> None:
    """Remove the objects of a document that it did not have before."""
    for name in [o.Name for o in doc.Objects if o.Name not in before]:
        if doc.getObject(name) is not None:  # gone with another
            doc.removeObject(name)
