# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The G-code reader on bad input, and on what hangs on more than the text."""

from __future__ import annotations

import math

import pytest

from flatwright.proof import reader
from flatwright.proof.motion import ReadError
from flatwright.proof.reader import read_program

HEAD = "G17 G21 G90 G94\n"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "the file is empty"),
        (b"", "the file is empty"),
        (" \n\t\r\n", "the file is empty"),
        (b"PK\x03\x04\x00\x00", "control characters"),
        (HEAD + "G0 X1\x00\n", "line 2: the file holds control characters"),
        (HEAD + "G0 Xé1\n", "line 2: 'É' is not allowed outside a comment"),
        (b"G21 G90\nG0 X\xff1\nM2\n", "line 2: '�' is not allowed outside a comment"),
        (HEAD + "G0 X1 " + "(" + "x" * 300 + ")\n", "line 2: the line is longer than 256 characters"),
        ("O1000\nG21\nM30\n", "line 1: O words"),
        (HEAD + "G0 X#5\nM2\n", "line 2: parameters and expressions"),
        (HEAD + "G41 D1\nM2\n", "line 2: no code|line 2: cutter radius compensation"),
        (HEAD + "G93\nM2\n", "line 2: inverse time feed"),
        (HEAD + "G95\nM2\n", "line 2: feed per turn"),
        (HEAD + "G90.1\nM2\n", "line 2: G90.1"),
        (HEAD + "G10 L2 P1 X1\nM2\n", "line 2: G10"),
        (HEAD + "G38.2 Z-5 F10\nM2\n", "line 2: G38.2"),
        (HEAD + "G84 X1 Z-1 R1\nM2\n", "line 2: of the canned cycles only"),
        (HEAD + "M98 P1\nM2\n", "line 2: calls of subprograms"),
        (HEAD + "G71\nM2\n", "line 2: G71 is no code of RS274/NGC; say millimetres with G21"),
        (HEAD + "G73 X1 Z-1 R1\nM2\n", "line 2: of the canned cycles only"),
        (HEAD + "G0 X1,5\nM2\n", "line 2: a number has a decimal point, never a comma"),
        (HEAD + "G0 X1" + "0" * 200 + "\nM2\n", "line 2: the number after X is larger"),
        ((HEAD + "G0 X1\nM2\n").replace("\n", "\r"), "line 1: carriage returns alone"),
        ("\ufeff" + HEAD + "M2\n", "line 1: a mark of its encoding"),
        ((HEAD + "M2\n").encode("utf-16"), "line 1: a mark of its encoding"),
        (HEAD + "M6\nM2\n", "line 2: M6 changes the tool"),
        (HEAD + "G0 X1\n%\nM2\n", "line 3: % must stand"),
        (HEAD + "G91\nG0 X1\nM2\n", "line 3: an incremental X move from an unknown place"),
        (HEAD + "F9\nG2 X1 I1\nM2\n", "line 3: an arc from or to an unknown place"),
        (HEAD + "F9\nG81 X1 Y1 Z-1 R1\nM2\n", "line 3: a canned cycle at an unknown place"),
        (HEAD + "F9\nG18 G0 X0 Y0 Z0\nG2 X1 Z1 I1\nM2\n", "line 4: arcs are read in the XY plane"),
        (HEAD + "G28 G92 X1\nM2\n", "line 2: G28 and G92 exclude each other"),
        (HEAD + "G0 X1 N10\nM2\n", "line 2: a line number"),
        (HEAD + "M0 M3 M6 M7 M48\nM2\n", "line 2: there are more than four M words"),
    ],
)  # fmt: skip
def test_refused_with_line_and_reason(text: str | bytes, why: str) -> None:
    with pytest.raises(ReadError, match=why):
        read_program(text)


def test_memory_stays_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(ReadError, match="larger than 64 million characters"):
        read_program("G0 X1\n" * 11_000_000)
    monkeypatch.setattr(reader, "MOTION_LIMIT", 10)
    with pytest.raises(ReadError, match="more than 10 moves"):
        read_program(HEAD + "G0 X1\nX2\n" * 20 + "M2\n")
    for many in ("Q0.00001", "Q0.01 L100"):
        with pytest.raises(ReadError, match="10000 pecks"):
            read_program(HEAD + f"F1\nG0 X0 Y0 Z0\nG91 G83 X1 Z-9 R1 {many}\nM2\n")


def test_where_the_machine_stands_at_first_is_unknown() -> None:
    first, second = read_program(HEAD + "G0 Z5\nG0 X1 Y2\nM2\n").motions
    assert all(math.isnan(c) for c in first.start)
    assert second.end == (1, 2, 5)


@pytest.mark.parametrize(
    ("lines", "kind"),
    [
        ("/G0 X1", "block-delete"),
        ("G53 G0 Z0", "machine-coordinates"),
        ("G28 Z5", "machine-coordinates"),
        ("T1 M6\nG43 H2", "length-offset"),
        ("G43 H2\nT1 M6\nG0 X0 Y0 Z0\nG1 X1 F9", "length-offset"),
        ("T1 M6\nG43 H1\nG0 X0 Y0 Z0\nG1 X1 F9\nG49\nX2", "length-offset"),
        ("T1 M6\nG0 X0 Y0 Z0\nG1 X1 F9\nG43\nX2", "length-offset"),
        ("T1 M6\nG43\nG0 X0 Y0 Z0\nG1 X1 F9\nT2 M6\nG1 X2", "length-offset"),
        ("G92.3\nG0 X1", "machine-coordinates"),
        ("G64 P0.06\nG0 X1", "path-tolerance"),
        ("G0 X1\nG20 X1", "mixed-units"),
    ],
)
def test_cautions(lines: str, kind: str) -> None:
    assert [c.kind for c in read_program(f"{HEAD}{lines}\nM2\n").cautions] == [kind]


@pytest.mark.parametrize(
    "lines",
    [
        "T1 M6\nG43\nG0 X0 Y0 Z0\nG1 X1 F9\nG0 Z9\nG49",
        "T1 M6\nG43 H1\nG0 X0 Y0 Z0\nG1 X1 F9\nT2 M6\nG43 H2\nG0 Z0\nG1 X2",
        "G0 X0 Y0 Z0\nG92 X1\nG92.2\nG92.3\nG64\nG64 P0.05",
    ],
)
def test_no_caution(lines: str) -> None:
    assert read_program(f"{HEAD}{lines}\nM2\n").cautions == ()


def test_a_program_that_states_no_units_or_distance_mode_is_told() -> None:
    assert [c.kind for c in read_program("G90 G0 X1\nM2\n").cautions] == ["assumed-state"]
    assert [c.kind for c in read_program("G21 G0 X1\nM2\n").cautions] == ["assumed-state"]


def test_machine_coordinates_lie_at_an_unknown_place() -> None:
    end = read_program(HEAD + "G0 X1 Y2 Z3\nG53 G0 Z0\nM2\n").motions[-1].end
    assert end[:2] == (1, 2)
    assert math.isnan(end[2])


def test_comments_and_windows_line_ends() -> None:
    text = HEAD + "(première pièce)\r\n; à côté\r\nG0 (a) X1 (b) ; c\r\n\r\nM2\r\n"
    assert [m.end[0] for m in read_program(text.encode()).motions] == [1]


def test_spindle_starts_when_a_speed_comes_later() -> None:
    """NIST RS274/NGC v3 §3.6.2; and a tool change stops it, §3.6.3."""
    r = read_program(HEAD + "M3\nS900\nM4\nT2 M6\nM5\nM2\n")
    assert [e.value for e in r.of_kind("spindle")] == [900, -900, 0]
