# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The G-code reader against the examples and rules of the NIST RS274/NGC report, version 3 (2000)."""

from __future__ import annotations

import math

import pytest

from flatwright.proof.motion import Motion, ReadError, Reading
from flatwright.proof.reader import read_program

ORIGIN = (0.0, 0.0, 0.0)


def read(text: str) -> Reading:
    return read_program(text, start=ORIGIN, machine_zero=ORIGIN)


def run(body: str) -> tuple[Motion, ...]:
    return read(f"G21 G90\nF100\n{body}\nM2\n").motions


def ends(motions: tuple[Motion, ...]) -> list[tuple[str, float, float, float]]:
    return [(m.kind, *(round(c, 6) for c in m.end)) for m in motions]


def test_gcd_1_centre_format_arc() -> None:
    """§3.5.3.2: from (7,7), G17 G2 X10 Y16 I3 J4 Z9: about (10,11), radius 5, clockwise."""
    arc = run("G0 X7 Y7 Z0\nG17 G2 X10 Y16 I3 J4 Z9")[-1]
    assert (arc.end, arc.centre, arc.turn) == ((10, 16, 9), (10, 11), -1)
    assert math.dist(arc.centre or (0, 0), (7, 7)) == pytest.approx(5)
    # clockwise from angle 180° + 53.13° to 90°
    assert math.degrees(arc.sweep) == pytest.approx(-(90 + math.degrees(math.atan2(4, 3))))


@pytest.mark.parametrize(("unit", "slack"), [("G21", 0.002), ("G20", 0.0002)])
def test_gcd_2_radii_may_differ_by_the_standards_slack_only(unit: str, slack: float) -> None:
    """§3.5.3.2: 0.002 mm or 0.0002 in."""
    text = "{} G90 F100\nG0 X0 Y0 Z0\nG2 X{:.6f} Y0 I5\nM2\n"
    assert read(text.format(unit, 10 + 0.95 * slack)).motions[-1].kind == "arc"
    with pytest.raises(ReadError, match=r"line 3: the arc starts .* and ends"):
        read(text.format(unit, 10 + 1.05 * slack))


def test_gcd_3_radius_format_rules() -> None:
    """§3.5.3.1: same ends are an error; R < 0 is the long way; near half turns are 'very bad'."""
    with pytest.raises(ReadError, match="must end at another point"):
        run("G0 X0 Y0 Z0\nG2 X0 Y0 R5")
    short = run("G0 X0 Y0 Z0\nG2 X5 Y5 R5")[-1]
    long = run("G0 X0 Y0 Z0\nG2 X5 Y5 R-5")[-1]
    assert math.degrees(short.sweep) == pytest.approx(-90)
    assert math.degrees(long.sweep) == pytest.approx(-270)
    assert read("G21 G90 F1\nG0 X0 Y0 Z0\nG2 X5 Y5 R5\nM2\n").cautions == ()
    cautions = read("G21 G90 F1\nG0 X0 Y0 Z0\nG2 X10 Y0 R5.01\nM2\n").cautions
    assert [(c.kind, c.line) for c in cautions] == [("radius-arc", 3)]


def test_gcd_4_radius_too_small() -> None:
    """§3.5.3.1; the referee says 'Arc radius too small to reach end point'."""
    with pytest.raises(ReadError, match=r"line 4: the radius 10\.0000 mm is too small"):
        run("G0 X0 Y0 Z0\nG3 X30 Y0 R10")


def test_gcd_5_drilling_absolute() -> None:
    """§3.5.16.2, example 1."""
    assert ends(run("G0 X1 Y2 Z3\nG90 G81 G98 X4 Y5 Z1.5 R2.8"))[1:] == [
        ("rapid", 4, 5, 3),
        ("rapid", 4, 5, 2.8),
        ("feed", 4, 5, 1.5),
        ("rapid", 4, 5, 3),
    ]


def test_gcd_6_drilling_incremental_three_times() -> None:
    """§3.5.16.2, example 2."""
    holes = [(5, 7), (9, 12), (13, 17)]
    per_hole = [[("rapid", x, y, 4.8), ("feed", x, y, 4.2), ("rapid", x, y, 4.8)] for x, y in holes]
    expected = [("rapid", 1, 2, 4.8), *(m for hole in per_hole for m in hole)]
    assert ends(run("G0 X1 Y2 Z3\nG91 G81 G98 X4 Y5 Z-0.6 R1.8 L3"))[1:] == expected


def test_gcd_7_pecks() -> None:
    """§3.5.16.4: down by Q, out to clear, back to just above the bottom (0.254 mm), until Z."""
    moves = ends(run("G0 X5 Y5 Z1\nG99 G83 X5 Y5 Z-9 R1 Q4"))[1:]
    assert [z for kind, _, _, z in moves if kind == "feed"] == [-3, -7, -9]
    assert [z for kind, _, _, z in moves if kind == "rapid"] == [1, -2.746, 1, -6.746, 1]


def test_gcd_8_two_codes_of_one_modal_group() -> None:
    """§3.4."""
    with pytest.raises(ReadError, match="line 3: G1 and G2 exclude each other on one line"):
        run("G90 G1 X1 G2 F10")


@pytest.mark.parametrize("move", ["G1 X1", "G2 X2 I1", "G3 X1 R1"])
def test_gcd_9_no_cutting_move_with_feed_zero(move: str) -> None:
    """Measured on the referee: 'Cannot do g1 with zero feed rate'."""
    with pytest.raises(ReadError, match="feed zero"):
        read(f"G21 G90\nG0 X0 Y0 Z0\n{move}\nM2\n")


def test_gcd_10_a_program_must_end() -> None:
    """§3.1."""
    with pytest.raises(ReadError, match="M2 or M30 is missing"):
        read("G21 G90\nG0 X1\n")
    with pytest.raises(ReadError, match="begins with %"):
        read("%\nG21 G90\nG0 X1\n")
    assert len(read("%\nG21 G90\nG0 X1\n%\nG0 X9\n").motions) == 1
    assert len(read("G21 G90\nG0 X1\nM30\nG0 X9\n").motions) == 1


@pytest.mark.parametrize("line", ["G0 X1 (open", "G0 X", "G81 X1 Z-1"])
def test_gcd_11_errors(line: str) -> None:
    """§3.3.4, §3.3.2, §3.5.16: an unclosed comment, a word without number, G81 without R."""
    with pytest.raises(ReadError, match="line 3: "):
        run(line)


def test_gcd_12_units_rescale_but_do_not_move() -> None:
    """§3.5.7: 2 mm stay where they are (0.0787 in) when the units change."""
    motions = read("G90 G21 G0 Z2\nG20 G0 X1 Y1\nM2\n").motions
    assert motions[-1].end == pytest.approx((25.4, 25.4, 2.0))


def test_gcd_14_length_and_box_of_a_program() -> None:
    """Hand sum of the sample: 13 + 40 + 2 quarter arcs of r 10 + 30 + sqrt(50) + 8 mm of cutting."""
    body = (
        "G0 X0 Y0 Z10\nG0 X10 Y10\nG1 Z-3\nG1 X50\nG3 X60 Y20 J10\nG2 X50 Y30 R10 (concave)\n"
        "G3 X50 Y30 I0 J0.0001 (refused below)\n"
    )
    with pytest.raises(ReadError):
        run(body + "G3 X51 Y30 I0 J0.0001")
    good = "G0 X0 Y0 Z10\nX10 Y10\nG1 Z-3\nX50\nG3 X60 Y20 J10\nX50 Y30 I-10\nG1 X20\nX15 Y25\nZ5\nG0 Z10"
    cut = sum(length(m) for m in run(good) if m.kind != "rapid")
    assert cut == pytest.approx(13 + 40 + 2 * 15.708 + 30 + 7.071 + 8, abs=0.001)


def length(m: Motion) -> float:
    flat = math.dist(m.start[:2], m.end[:2])
    if m.centre is not None:
        flat = abs(m.sweep) * math.dist(m.start[:2], m.centre)
    return math.hypot(flat, m.end[2] - m.start[2])


def test_gcd_15_words_mean_what_the_standard_says() -> None:
    """Table 5 and Table 7 of the report; ISO 6983-1 gives the same meanings."""
    r = read(
        "G17 G21 G40 G49 G54 G61 G80 G90 G94 G98\nT3 M6\nM3 S12000\nM8\nG4 P1.5\nF600\n"
        "G0 X1 Y1 Z1\nG91 G1 X2 Y3\nG90 M1\nG53 G0 Z5\nM9\nM5\nM30\n"
    )
    assert [(e.kind, e.value) for e in r.events] == [
        ("units", 1),
        ("offset", 1),
        ("tool", 3),
        ("spindle", 12000),
        ("coolant", 1),
        ("dwell", 1.5),
        ("stop", 1),
        ("coolant", 0),
        ("spindle", 0),
        ("end", 30),
    ]
    assert [m.end for m in r.motions] == [(1, 1, 1), (3, 4, 1), (3, 4, 5)]
    assert (r.motions[1].feed, r.motions[1].spindle, r.motions[1].tool) == (600, 12000, 3)


def test_gcd_15_g92_shifts_the_origin() -> None:
    """§3.5.18: G92 X7 at X4 makes the offset -3; a second G92 X9 makes it -5."""
    motions = run("G0 X4 Y0 Z0\nG92 X7\nG0 X7\nG92 X9\nG0 X9\nG0 X0\nG92.1\nG0 X1")
    assert [m.end[0] for m in motions] == [4, 4, 4, -5, 1]


def test_mac_11_length_of_a_helix() -> None:
    """Geometry: 3 turns of r 2 and pitch 1 are 37.8183 long (the referee gives 37.81828967254955)."""
    turn = "G2 X0 Y0 Z{} I2\n"
    motions = run("G0 X0 Y0 Z0\n" + "".join(turn.format(-k) for k in (1, 2, 3)))[1:]
    assert sum(length(m) for m in motions) == pytest.approx(37.81828967254955, abs=1e-9)


def test_spaces_and_case_do_not_matter() -> None:
    """§3.3: "g0x +0. 12 34y 7" is g0 x+0.1234 y7."""
    assert run("g0x +0. 12 34y 7")[0].end == (0.1234, 7, 0)
