# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The folder of a run: no program of an earlier one is left to run, and nothing else is touched."""

from __future__ import annotations

from pathlib import Path

import pytest

from flatwright.output import staged

OLD = [
    "sheet-1.spots.nc", "sheet-1.cut.nc", "sheet-12.cut-3.nc",
    "sheet-2.side-1.spots.nc", "sheet-2.side-1.cut-1.nc", "sheet-2.side-2.cut-2.nc", "sheet-3.side-2.cut.nc",
]  # fmt: skip
OTHERS = ["jig.nc", "sheet-1.cut-1.nc.bak", "notes.txt"]


def test_every_program_of_an_earlier_run_goes_those_of_turned_sheets_too(tmp_path: Path) -> None:
    (tmp_path / "sheets").mkdir()
    for name in (*OLD, *OTHERS):
        (tmp_path / "sheets" / name).write_text("M2\n")
    with staged(tmp_path) as folder:
        (folder / "sheets").mkdir()
        (folder / "sheets" / "sheet-1.spots.nc").write_text("new\n")
    assert sorted(p.name for p in (tmp_path / "sheets").iterdir()) == sorted(["sheet-1.spots.nc", *OTHERS])
    assert (tmp_path / "sheets" / "sheet-1.spots.nc").read_text() == "new\n"


def test_a_run_that_fails_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "sheets").mkdir()
    (tmp_path / "sheets" / "sheet-1.side-1.cut-1.nc").write_text("M2\n")
    with pytest.raises(KeyError), staged(tmp_path):
        raise KeyError
    assert [p.name for p in tmp_path.rglob("*.nc")] == ["sheet-1.side-1.cut-1.nc"]
