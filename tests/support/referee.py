# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The referee of every posted program: an RS274 interpreter that nobody here wrote.

It is Debian's `rs274` (a descendant of the public NIST RS274/NGC interpreter), unpacked but not
installed by tests/support/referee.sh together with the libraries it needs, so that the one copy
runs on every host. It knows neither the stock nor the spoilboard: what must not be hit is for
our tests to assert on the moves it returns.
"""

from __future__ import annotations

import os
import re
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

MM_PER_INCH = 25.4
Argument = float | str


@dataclass(frozen=True, slots=True)
class CanonicalMove:
    """One motion: where it ends (mm, the program's work offset), and for an arc its centre.

    `turns` counts counter-clockwise: 1 for a plain G3, -1 for a plain G2.
    """

    kind: Literal["rapid", "feed", "arc"]
    x: float
    y: float
    z: float
    cx: float | None = None
    cy: float | None = None
    turns: int = 0


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the interpreter made of a program.

    `calls` are all its canonical calls with their arguments as printed, tool changes and
    spindle included; `messages` is its standard error, empty for a clean program.
    """

    moves: tuple[CanonicalMove, ...]
    exit_code: int
    messages: str
    calls: tuple[tuple[str, tuple[Argument, ...]], ...]

    def names(self) -> list[str]:
        """The canonical calls by name, in order."""
        return [name for name, _ in self.calls]


def interpreter() -> Path:
    """The unpacked tree. Raises `FileNotFoundError` where run.sh did not unpack it."""
    cache = Path(os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache")) / "flatwright"
    tree = Path(os.environ.get("FLATWRIGHT_CACHE", cache)) / "referee"
    if not (tree / "usr/bin/rs274").is_file():
        raise FileNotFoundError(f"the G-code referee is not unpacked in {tree}: run tests/run.sh")
    return tree


def run(program: Path, tool_diameters_mm: dict[int, float]) -> Verdict:
    """Interpret a program file with a tool table of these diameters."""
    tree = interpreter()
    with tempfile.TemporaryDirectory(prefix="flatwright-referee-") as folder:
        table = Path(folder, "tool.tbl")
        table.write_text("".join(_table_row(n, d) for n, d in sorted(tool_diameters_mm.items())))
        done = subprocess.run(
            [tree / "usr/bin/rs274", "-g", program, "-t", table],
            env=_environment(tree, folder),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            check=False,
        )
    calls = tuple(_calls(done.stdout))
    messages = "\n".join(s for s in done.stderr.splitlines() if s.strip() not in ("", "executing"))
    return Verdict(_moves(calls), done.returncode, messages, calls)


def _table_row(number: int, diameter_mm: float) -> str:
    # Without an ini file the interpreter reads lengths of the tool table as inches.
    return f"T{number} P{number} D{diameter_mm / MM_PER_INCH:.9f}\n"


def _environment(tree: Path, home: str) -> dict[str, str]:
    libraries = [tree / "usr/lib", *sorted((tree / "usr/lib").glob("*-linux-gnu"))]
    libraries += sorted((tree / "lib").glob("*-linux-gnu"))
    return {
        "HOME": home,  # it leaves .tool.mmap there
        "LANG": "C.UTF-8",
        "PATH": "/usr/bin:/bin",
        "LD_LIBRARY_PATH": ":".join(map(str, libraries)),
        "PYTHONHOME": str(tree / "usr"),
        "PYTHONNOUSERSITE": "1",
    }


_LINE = re.compile(r"^\s*\d+\s+N\S*\s+(\w+)\((.*)\)\s*$")


def _calls(text: str) -> list[tuple[str, tuple[Argument, ...]]]:
    found = [_LINE.match(line) for line in text.splitlines()]
    return [(m[1], tuple(map(_argument, re.split(r"[,\s]+", m[2].strip())))) for m in found if m]


def _argument(text: str) -> Argument:
    try:
        return float(text)
    except ValueError:
        return text


def _moves(calls: tuple[tuple[str, tuple[Argument, ...]], ...]) -> tuple[CanonicalMove, ...]:
    """The motions in mm; arcs must lie in the xy plane, as all of ours do."""
    moves: list[CanonicalMove] = []
    unit = 1.0
    for name, arguments in calls:
        if name == "USE_LENGTH_UNITS":
            unit = MM_PER_INCH if arguments[0] == "CANON_UNITS_INCHES" else 1.0
        elif name == "SELECT_PLANE" and arguments[0] != "CANON_PLANE_XY":
            raise ValueError(f"the referee's moves are read in the xy plane only, not {arguments[0]}")
        elif name in ("STRAIGHT_TRAVERSE", "STRAIGHT_FEED"):
            x, y, z = (unit * float(a) for a in arguments[:3])
            moves.append(CanonicalMove("rapid" if name == "STRAIGHT_TRAVERSE" else "feed", x, y, z))
        elif name == "ARC_FEED":
            x, y, cx, cy, turns, z = (float(a) for a in arguments[:6])
            moves.append(CanonicalMove("arc", unit * x, unit * y, unit * z, unit * cx, unit * cy, int(turns)))
    return tuple(moves)
