# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Packing libraries, each run in a child process that may crash, hang or be stopped at any time."""

from __future__ import annotations

import importlib.util
import json
import os
import queue
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from flatwright.sheets.job import Cancelled, Layout, LayoutCancelled, LayoutJob, Progress
from flatwright.sheets.messages import layout_of, message_of

# Module to look for, by the engine's name; the better one first. Sheets of 2440 x 1220 mm for 60 and
# for 300 furniture parts within 10 and 60 s: packingsolver 0.1.1233 4 and 17, u-nesting 0.28.1 4 and
# 19; the built-in engine 4 and 18 in 3 and 30 s. At least 4 and 16 are needed by area.
MODULES = {"packingsolver": "packingsolver", "u-nesting": "u_nesting"}
ONE_SIZE_ONLY = {"u-nesting"}
NO_KEEP_OUTS = {"u-nesting"}
GRACE = 5.0  # seconds beyond the time given, for starting and ending


@dataclass(frozen=True, slots=True)
class Answer:
    """The layouts a library found, the best last, and what went wrong, if anything did."""

    layouts: tuple[Layout, ...] = ()
    missing: bool = False
    trouble: str = ""


def installed(name: str) -> bool:
    """Whether the library can be found from here; it is not imported."""
    return importlib.util.find_spec(MODULES[name]) is not None


def python_executable() -> str | None:
    """A real Python to run a child with; in a host's own window `sys.executable` may be the host."""
    own = Path(sys.executable or "python3")
    if own.name.lower().startswith("python"):
        return str(own)
    names = [f"python{sys.version_info.major}.{sys.version_info.minor}", "python3", "python"]
    folders = [own.parent, *(Path(p) / "bin" for p in (sys.exec_prefix, sys.base_exec_prefix))]
    for folder in folders:
        for name in names:
            found = shutil.which(name, path=str(folder))
            if found:
                return found
    return next((f for f in map(shutil.which, names) if f), None)


def cannot(name: str, job: LayoutJob) -> str:
    """Why the library cannot do this job whatever it finds; empty when it can."""
    if name in ONE_SIZE_ONLY and len({(s.length, s.width) for s in job.stock}) > 1:
        return "it works with one size of sheet only"
    if name in NO_KEEP_OUTS and job.keep_outs:
        return "it keeps no part off a clamp"
    return ""


def ask(
    name: str,
    job: LayoutJob,
    *,
    progress: Progress = lambda fraction, what: None,
    cancelled: Cancelled = lambda: False,
) -> Answer:
    """Let the library work for the job's time; raises LayoutCancelled and nothing else.

    Its layouts are not verified here.
    """
    if why := cannot(name, job):
        return Answer(trouble=why)
    python = python_executable()
    if python is None:
        return Answer(trouble="no Python was found to run it with")
    message, groups = message_of(name, job)
    with tempfile.TemporaryDirectory(prefix="flatwright-", ignore_cleanup_errors=True) as folder:
        child = _Child(python, name, message, Path(folder))
        try:
            layouts, ending = _listen(child, job, groups, progress, cancelled)
        finally:
            child.stop()
    if "missing" in ending:
        return Answer(missing=True)
    return Answer(tuple(layouts), trouble="" if "done" in ending else str(ending["trouble"]))


def _listen(
    child: _Child, job: LayoutJob, groups: list[list[int]], progress: Progress, cancelled: Cancelled
) -> tuple[list[Layout], dict[str, Any]]:
    """Collect layouts until the child ends or its time is up."""
    layouts: list[Layout] = []
    start = time.monotonic()
    while (used := time.monotonic() - start) < job.time + GRACE:
        if cancelled():
            raise LayoutCancelled
        progress(min(1.0, used / max(job.time, 0.1)), "laying out")
        line = child.line(wait=0.1)
        if line is None:
            continue
        if "sheets" not in line:
            return layouts, line
        layouts.append(layout_of(line, job, groups))
    return layouts, {"trouble": f"it did not end within {job.time:g} s"}


class _Child:
    """The child process and the lines it has written."""

    def __init__(self, python: str, name: str, message: dict[str, Any], folder: Path) -> None:
        job = folder / "job.json"
        job.write_text(json.dumps(message), encoding="utf-8")
        self._errors = folder / "errors.txt"
        self._lines: queue.Queue[dict[str, Any]] = queue.Queue()
        with job.open("rb") as stdin, self._errors.open("wb") as stderr:
            self._process = subprocess.Popen(
                [python, "-m", "flatwright.sheets.worker"],
                stdin=stdin,
                stdout=subprocess.PIPE,
                stderr=stderr,
                cwd=folder,
                env={**os.environ, "PYTHONPATH": os.pathsep.join(_python_path(name))},
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
        assert self._process.stdout is not None
        self._reader = threading.Thread(target=self._read, args=(self._process.stdout,), daemon=True)
        self._reader.start()

    def _read(self, stream: IO[bytes]) -> None:
        for line in stream:
            try:
                self._lines.put(json.loads(line))
            except ValueError:
                continue  # not an answer of ours
        code = self._process.wait()
        why = self._errors.read_text(encoding="utf-8", errors="replace").strip().splitlines()[-1:]
        self._lines.put({"trouble": f"it ended with code {code}" + "".join(f": {w}" for w in why)})

    def line(self, wait: float) -> dict[str, Any] | None:
        """The next answer, or None if there is none within `wait` seconds."""
        try:
            return self._lines.get(timeout=wait)
        except queue.Empty:
            return None

    def stop(self) -> None:
        """End the process whatever it is doing."""
        self._process.kill()
        self._process.wait()
        self._reader.join(timeout=GRACE)
        if self._process.stdout is not None:
            self._process.stdout.close()


def _python_path(name: str) -> Iterator[str]:
    """Where the child finds this package and the library."""
    yield str(Path(__file__).resolve().parents[2])
    spec = importlib.util.find_spec(MODULES[name])
    if spec is not None and spec.submodule_search_locations:
        yield str(Path(spec.submodule_search_locations[0]).parent)
    elif spec is not None and spec.origin:
        yield str(Path(spec.origin).parent)
    if os.environ.get("PYTHONPATH"):
        yield os.environ["PYTHONPATH"]
