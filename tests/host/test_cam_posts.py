# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What the host's posts write for our jobs is what was planned, the same on every host."""

from __future__ import annotations

import contextlib
import itertools
from pathlib import Path
from typing import Any

import pytest

from flatwright.cutting.program import changes_bits
from flatwright.findings import UsageError
from flatwright.host import cam_job, posts
from flatwright.host.cam_modules import cam
from flatwright.host.operation import RefusedError
from flatwright.host.version import can
from flatwright.presets.model import Post
from support.posted import Canonical, Event, motions, planned, radius_errors, read, running, same
from support.sheet_programs import CLEAR, SHEET, cut, laid_parts, park, program, shop

ONE = program()
TWO_BITS = program(cut("side: hole", 1, "hole"), cut("side: outside", 3, at=60.0), park(3))
EVERY_POST = pytest.mark.parametrize("processor", ["linuxcnc", "grbl"])
EVERY_UNIT = pytest.mark.parametrize("units", ["mm", "in"])


def job_of(doc: Any, program_: Any = ONE, preset: Any = None, **options: Any) -> Any:
    """One job of one program."""
    parts = [laid_parts(doc)]
    (job,) = cam_job.make_jobs(doc, SHEET, [program_], preset or shop(), model_objects=parts, **options)
    return job


def by_the_hosts_own_button(job: Any, path: Path) -> str:
    """The text as the host's command makes it, without any help of ours."""
    if can("cam_package"):
        ((_, text),) = cam("post").PostProcessorFactory.get_post_processor(job, job.PostProcessor).export()
        return str(text)
    script = cam("post_script").PostProcessor.load(job.PostProcessor)
    (objects,) = cam("post").CommandPathPost().buildPostList(job)
    script.export(objects, str(path), job.PostProcessorArgs)
    return path.read_text()


@EVERY_POST
@EVERY_UNIT
def test_the_posted_moves_are_the_planned_ones(
    document: Any, tmp_path: Path, processor: str, units: str
) -> None:
    """Within 0.001 mm in mm; four decimals of an inch are 0.0025 mm apart, so 0.0013 mm there.
    Every host is held to the plan, so the hosts agree with each other."""
    text = posts.post_job(job_of(document, ONE, shop(processor, units)), tmp_path / "a.nc")
    same(motions(running(text)), planned(ONE), 0.001 if units == "mm" else 0.0013)


@EVERY_POST
@EVERY_UNIT
def test_arcs_are_true_to_the_rs274_rule(document: Any, tmp_path: Path, processor: str, units: str) -> None:
    """GCD-2: radii within 0.002 mm or 0.0002 in (NIST RS274/NGC v3 §3.5.3), as printed."""
    text = posts.post_job(job_of(document, ONE, shop(processor, units)), tmp_path / "a.nc")
    errors = radius_errors(read(text))
    assert len(errors) == 4 and max(errors) <= (0.002 if units == "mm" else 0.0002 * 25.4)


@EVERY_POST
def test_a_program_starts_safely(document: Any, tmp_path: Path, processor: str) -> None:
    """Absolute, in the shop's unit and work offset; the spindle runs before anything moves."""
    text = posts.post_job(job_of(document, ONE, shop(processor, "in", work_offset="G55")), tmp_path / "a.nc")
    lines = [line.strip() for line in text.splitlines()]
    start = next(n for n, line in enumerate(lines) if line.startswith("M3 S18000"))
    assert "G20" in lines[:start] and "G55" in lines[:start]
    assert any("G90" in line.split() for line in lines[:start])
    events = read(text)
    first = next(n for n, e in enumerate(events) if isinstance(e, Canonical))
    assert Event("M3", 18000) in events[:first]
    assert events[first].end == (None, None, pytest.approx(CLEAR, abs=0.002))  # type: ignore[union-attr]


@EVERY_POST
def test_a_program_ends_parked_and_stopped(document: Any, tmp_path: Path, processor: str) -> None:
    events = read(posts.post_job(job_of(document, ONE, shop(processor)), tmp_path / "a.nc"))
    last = max(n for n, e in enumerate(events) if isinstance(e, Canonical))
    assert events[last].end == (0, 0, CLEAR)  # type: ignore[union-attr]
    assert events[last + 1] == Event("M5")


def test_every_change_of_bit_brings_its_speed(document: Any, tmp_path: Path) -> None:
    events = read(posts.post_job(job_of(document, TWO_BITS), tmp_path / "a.nc"))
    seen = [e for e in events if isinstance(e, Event) and e.name != "M5"]
    assert seen == [Event("M6", 1), Event("M3", 18000), Event("M6", 3), Event("M3", 15000)]
    change = events.index(Event("M6", 3))
    before = [e for e in events[:change] if isinstance(e, Canonical)]
    assert before[-1].end[2] == CLEAR
    assert Event("M5") in events[events.index(before[-1]) : change]


def test_a_post_without_bit_changes_cannot_post_two_bits(document: Any, tmp_path: Path) -> None:
    job = job_of(document, TWO_BITS, shop("grbl"))
    with pytest.raises(posts.PostError, match=r"'grbl' writes no bit change .* 2 bits.*by hand"):
        posts.post_job(job, tmp_path / "a.nc")
    assert list(tmp_path.iterdir()) == []


def test_no_post_that_writes_no_bit_change_is_given_two_bits(document: Any, tmp_path: Path) -> None:
    """Every post of this host is asked for two bits; those that fail for another reason say so elsewhere."""
    assert not changes_bits(Post("grbl", ""))
    assert changes_bits(Post("grbl", "--tool-change"))
    written = []
    for name in posts.available_posts():
        try:
            posts.post_job(job_of(document, TWO_BITS, shop(name)), tmp_path / "a.nc")
            written.append(name)
        except UsageError as e:
            assert "writes no bit change" not in str(e) or not changes_bits(Post(name)), name
    assert changes_bits(Post("linuxcnc"))
    assert "linuxcnc" in written


@EVERY_POST
@EVERY_UNIT
def test_the_referee_reads_it_like_we_do(
    document: Any, tmp_path: Path, referee: Any, processor: str, units: str
) -> None:
    """GCD-14: the Debian rs274 interpreter ends with 0 and reaches the same points."""
    path = tmp_path / "a.nc"
    text = posts.post_job(job_of(document, ONE, shop(processor, units)), path)
    verdict = referee(path, {1: 6.0})
    assert (verdict.exit_code, verdict.messages) == (0, "")
    ours = [m.end for m in motions(read(text)) if None not in m.end]
    theirs = [(m.x, m.y, m.z) for m in verdict.moves]
    # Its first move only rises from where it thinks it is; it also tells of standing still.
    theirs = [b for a, b in itertools.pairwise(theirs) if a != b]
    last_decimal = 0.0001 if units == "mm" else 0.00254
    for own, its in zip(ours, theirs, strict=True):
        assert own == pytest.approx(its, abs=1.01 * last_decimal)


@EVERY_POST
def test_a_refused_sheet_cuts_nothing_even_by_the_hosts_own_button(
    document: Any, tmp_path: Path, processor: str
) -> None:
    job = job_of(document, ONE, shop(processor), refused="a slot is narrower than the bit")
    assert not any(o.Path.Commands for o in job.Operations.Group)
    with pytest.raises(posts.PostError, match="'sheet-1 cut-1' is not posted: a slot is narrower"):
        posts.post_job(job, tmp_path / "a.nc")
    text = by_the_hosts_own_button(job, tmp_path / "button.nc")
    assert [m for m in motions(read(text)) if m.kind != "rapid" or m.end[2] != CLEAR] == []


def test_a_refused_operation_raises_whenever_the_host_computes_it(document: Any) -> None:
    job = job_of(document, ONE, refused="a slot is narrower than the bit")
    document.recompute()
    outside, parking = job.Operations.Group
    assert outside.State == parking.State == ["Up-to-date"]  # no tracebacks for nothing
    outside.touch()
    document.recompute()
    assert "Invalid" in outside.State and not outside.Path.Commands
    with pytest.raises(RefusedError, match="side: outside is not cut: a slot is narrower"):
        outside.Proxy.execute(outside)


def test_a_job_can_be_refused_after_it_was_made(document: Any, tmp_path: Path) -> None:
    job = job_of(document)
    assert motions(read(posts.post_job(job, tmp_path / "a.nc")))
    cam_job.refuse_jobs([job], "the dry fit found an overlap")
    document.recompute()
    with pytest.raises(posts.PostError, match="dry fit found an overlap"):
        posts.post_job(job, tmp_path / "b.nc")
    assert not (tmp_path / "b.nc").exists()


def test_nothing_moves_before_the_first_bit_is_in(document: Any, tmp_path: Path) -> None:
    """FreeCAD 0.20 travels in Z before M6, when no tool length is known; its own button only
    ever does so at clear height."""
    job = job_of(document)
    events = read(posts.post_job(job, tmp_path / "a.nc"))
    assert isinstance(events[events.index(Event("M6", 1)) - 1], Event) and events[0] == Event("M5")
    own = read(by_the_hosts_own_button(job, tmp_path / "button.nc"))
    early = [m for m in own[: own.index(Event("M6", 1))] if isinstance(m, Canonical)]
    assert all(m.kind == "rapid" and m.end == (None, None, CLEAR) for m in early)


def test_the_file_is_the_text_and_holds_no_clock(document: Any, tmp_path: Path) -> None:
    job = job_of(document)
    (tmp_path / "a.nc").write_text("old")
    text = posts.post_job(job, tmp_path / "a.nc")
    assert (tmp_path / "a.nc").read_bytes() == text.encode()
    assert [p.name for p in tmp_path.iterdir()] == ["a.nc"]
    assert "Output Time" not in text and posts.post_job(job, tmp_path / "a.nc") == text


def test_a_post_that_leaves_the_program_is_a_plain_error(document: Any, tmp_path: Path) -> None:
    job = job_of(document, ONE, shop(arguments="--no-such-thing"))
    with pytest.raises(
        posts.PostError, match=r"'linuxcnc' refuses .*unrecognized arguments: --no-such-thing"
    ):
        posts.post_job(job, tmp_path / "a.nc")


def test_a_folder_that_is_not_there_is_a_plain_error(document: Any, tmp_path: Path) -> None:
    with pytest.raises(posts.PostError, match=r"cannot write .*nowhere"):
        posts.post_job(job_of(document), tmp_path / "nowhere" / "a.nc")


@pytest.mark.filterwarnings("ignore::DeprecationWarning")  # of the host's own dxf module
def test_a_post_leaves_nothing_in_the_document(document: Any, tmp_path: Path) -> None:
    """The host's dxf post draws what it writes into the document, and fails from 1.0 on."""
    job = job_of(document, ONE, shop("dxf"))
    before = [o.Name for o in document.Objects]
    with contextlib.suppress(posts.PostError):
        posts.post_job(job, tmp_path / "a.dxf")
    assert [o.Name for o in document.Objects] == before


def test_the_hosts_posts_are_listed(app: Any) -> None:
    assert {"linuxcnc", "grbl"} <= set(posts.available_posts())
