# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The folder that a run writes into: all of it or nothing, and no old program left to run."""

from __future__ import annotations

import errno
import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from flatwright.findings import UsageError

PROGRAM = re.compile(r"sheet-\d+\.(side-[12]\.)?(spots|cut|cut-\d+)\.nc")
STAGING = ".flatwright-"  # beside what it becomes, so that moving it is one step


@contextmanager
def staged(folder: Path, *, programs: bool = True) -> Iterator[Path]:
    """A new folder to write a run into; at the end its files replace those of the same name in
    `folder`, after the programs of an earlier run are removed (unless what is written is no run:
    `programs` False). On any error nothing is changed.

    Raises UsageError when the folder cannot be made, written or holds no more.
    """
    try:
        made = _made(folder)
        try:
            staging = Path(tempfile.mkdtemp(prefix=STAGING, dir=folder))
            try:
                yield staging
                if programs:
                    remove_programs(folder)
                _publish(staging, folder)
            finally:
                shutil.rmtree(staging, ignore_errors=True)
        except BaseException:
            _remove_empty(made)
            raise
    except OSError as e:
        raise UsageError(_why(e, folder)) from e


def remove_programs(folder: Path) -> None:
    """Remove programs of an earlier run, so that a refused job leaves nothing old to run."""
    sheets = folder / "sheets"
    if sheets.is_dir():
        for file in sheets.iterdir():
            if PROGRAM.fullmatch(file.name):
                file.unlink()


def _made(folder: Path) -> list[Path]:
    """Make the folder; the folders that were made, innermost first."""
    missing = [p for p in (folder, *folder.parents) if not p.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    return missing


def _remove_empty(folders: list[Path]) -> None:
    for folder in folders:
        try:
            folder.rmdir()
        except OSError:
            return


def _publish(staging: Path, folder: Path) -> None:
    for file in sorted(p for p in staging.rglob("*") if p.is_file()):
        target = folder / file.relative_to(staging)
        target.parent.mkdir(parents=True, exist_ok=True)
        file.replace(target)


def _why(e: OSError, folder: Path) -> str:
    if e.errno == errno.ENOSPC:
        return f"the drive of {folder} is full: free some space and run again; nothing was changed"
    if e.errno in (errno.EACCES, errno.EROFS, errno.EPERM):
        return f"{folder} cannot be written to: choose another folder, or change its permissions"
    if e.errno in (errno.ENOTDIR, errno.EEXIST):
        return f"{folder} is not a folder: choose another name for the output"
    return f"{folder} could not be written ({e.strerror or e}): choose another folder"
