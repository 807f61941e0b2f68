# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Every source file says its licence, and none knows the machine that it was written on."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

from support.sources import ROOT, files

HEADED = {".py", ".sh", ".toml", ".FCMacro"}
# A home or work folder at the start of a path, written so that this line doesn't match itself.
MACHINE_PATH = re.compile(rb"(?<![\w.$}*-])/(?:work|root|home|Users)/[\w.-]+")
HEADER = ("SPDX-License-Identifier: LGPL-2.1-or-later", "SPDX-FileCopyrightText: The Flatwright authors")
LICENCES = {"LICENSE", "LICENSES"}


def name(path: Path) -> str:
    """A file's name from the root of the checkout."""
    return path.relative_to(ROOT).as_posix()


SOURCES = [p for p in files() if p.suffix in HEADED or p.parent.name in (".ci", "setup")]
SOURCES = [p for p in SOURCES if name(p).split("/")[0] not in {*LICENCES, "REUSE.toml"}]


def has_header(path: Path) -> bool:
    """True when licence and copyright stand in the first lines."""
    head = "\n".join(path.read_text().splitlines()[:4])
    return all(words in head for words in HEADER)


def test_every_source_file_says_its_licence() -> None:
    assert SOURCES
    assert not [name(path) for path in SOURCES if not has_header(path)]


def contents(path: Path) -> list[bytes]:
    """What stands in a file; for a FreeCAD document, in its members."""
    if not zipfile.is_zipfile(path):
        return [path.read_bytes()]
    with zipfile.ZipFile(path) as members:
        return [members.read(m) for m in members.namelist()]


def test_no_file_knows_the_machine_it_was_written_on() -> None:
    found = {}
    for path in files():
        places = [m.group().decode() for text in contents(path) for m in MACHINE_PATH.finditer(text)]
        if places and name(path).split("/")[0] not in LICENCES:
            found[name(path)] = sorted(set(places))
    assert not found


def test_the_search_finds_such_paths() -> None:
    root = "/" + "root"
    assert MACHINE_PATH.search(f'open("{root}/.cache/x")'.encode())
    inside = "/" + "work"  # in the middle of an address or of another path it is none
    assert not MACHINE_PATH.search(f"https://example.org{inside}/shop and $HOME{inside}/x".encode())
