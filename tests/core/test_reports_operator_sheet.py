# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The operator sheet: well-formed, self-contained, complete, and loud about what must not be cut."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from flatwright.boards.batch import measured, unmeasured
from flatwright.cutting.moves import Operation, SheetProgram
from flatwright.presets.model import Report
from flatwright.reports.operator_sheet import operator_sheet
from support.printed_plan import CUTS, SPOTS, TOO_NARROW, plan, preset


def sheet(of=None, shop=None, findings=(TOO_NARROW,), **more):
    more = {"title": "Toy shelf & rack"} | more
    return operator_sheet(of or plan(), shop or preset(), findings, **more)


def words(html):
    """What a reader sees, in one line."""
    seen = []

    class Reader(HTMLParser):
        def handle_data(self, data):
            seen.append(data)

    reader = Reader()
    reader.feed(html)
    reader.close()
    return " ".join(" ".join(seen).split())


def section(html, name):
    """What a reader sees of one sheet's pages."""
    (found,) = [s for s in re.findall(r"<section>.*?</section>", html, re.DOTALL) if f"<h2>{name}:" in s]
    return words(found)


def with_units(*units):
    return replace(preset(), report=Report(units, "A4"))


def test_is_well_formed_and_needs_nothing_from_elsewhere():
    html = sheet()
    root = ET.fromstring(html.removeprefix("<!DOCTYPE html>"))  # every tag closed, every text escaped
    kinds = {e.tag.rsplit("}", 1)[-1] for e in root.iter()}
    assert {"svg", "table", "style"} <= kinds
    assert not kinds & {"script", "link", "img", "iframe", "object"}
    assert not re.search(r"url\(|@import|src=|href=", html)
    assert "http" not in html.replace('xmlns="http://www.w3.org/2000/svg"', "")


def test_user_text_is_escaped_everywhere():
    named = replace(TOO_NARROW, where="<i>where</i>", message="a < b & c", remedy='say "x"')
    html = sheet(findings=[named], title="<script>alert(1)</script>")
    assert "<script" not in html and "<i>" not in html and "Lid <x>" not in html
    assert "Lid <x>" in words(html) and "a < b & c" in words(html)


def test_every_program_part_and_screw_is_there():
    text = section(sheet(), "Sheet 1")
    for program in (SPOTS, *CUTS):
        assert program.file.split("/")[-1] in text and program.sha256[:12] in text
    for name in ("Side", "Rail 1", "Rail 2"):
        assert re.search(rf"\d {name}\b", text)
    for row in ("1 12.0 0.472 598.5 23.563", "2 1207.2 47.530 12.0 0.472"):  # mm and in, 25.4 mm each
        assert row in text


def test_programs_and_steps_stand_in_running_order():
    text = section(sheet(), "Sheet 1")
    files = [p.file.split("/")[-1] for p in (SPOTS, *CUTS)]
    steps = text[text.index("Steps, in this order") :]
    for part in (text, steps):
        places = [part.index(f) for f in files]
        assert places == sorted(places)
    order = ["Lay the sheet down", "Run sheet-1.spots.nc", "drive 2 screws", "Run sheet-1.cut-1.nc",
             "Change the bit", "Run sheet-1.cut-2.nc", "Free the parts", "Watch for fire"]  # fmt: skip
    places = [steps.index(s) for s in order]
    assert places == sorted(places)


def test_what_each_file_cuts_is_counted():
    cut = [Operation(kind, kind, 2, ()) for kind in ("hole", "hole", "pocket", "park")]
    program = SheetProgram("cut", "Sheet 1", "sheet-1.cut-1", tuple(cut))
    assert "holes of 2 parts, pockets of 1 part" in section(sheet(programs=[program]), "Sheet 1")


def test_numbers_of_the_board_and_screws():
    text = section(sheet(), "Sheet 1")
    assert "17.71 mm (0.697 in): mean of 4 readings, 17.68 mm (0.696 in) to 17.75 mm (0.699 in)" in text
    assert "29.7 mm (1.170 in) (board + bite)" in text  # 17.71 + 12
    assert "never longer than 32.7 mm" in text  # 17.68 + 18 − 3: the point stays in the spoilboard
    assert "Raise Z zero by 30 mm" in text  # at least 17.75 + 0.5 + 10 over the lowest cut


def test_board_without_readings_is_said_to_be_unmeasured():
    for boards in ((), (unmeasured("birch 18", 18.0, 18.0).as_planned(),)):
        text = words(sheet(of=replace(plan(), boards=boards)))
        assert "NOT MEASURED" in text and "never measured" in text


def row_of(html, table, first):
    """What a reader sees of the row that begins with a cell, in a table."""
    (found,) = re.findall(rf'<table class="{table}">.*?</table>', html, re.DOTALL)
    (row,) = [r for r in re.findall(r"<tr>.*?</tr>", found, re.DOTALL) if words(r).startswith(first)]
    return words(row)


def test_boards_tell_their_readings_mean_deviation_and_uncertainty():
    """Readings 17.72 17.70 17.75 17.68: s 0.0299; U95 with the caliper's step of 0.01 mm 0.0484 mm."""
    row = row_of(sheet(), "boards", "birch 18")
    for told in ("18.00 mm (0.709 in)", "17.72, 17.70, 17.75, 17.68", "0.048 mm (0.0019 in)",
                 "0.030 mm (0.0012 in)", "17.68 mm (0.696 in) to 17.75 mm (0.699 in)"):  # fmt: skip
        assert told in row
    single = replace(plan(), boards=(measured("birch 18", 18.0, [17.7]).as_planned(),))
    assert row_of(sheet(single), "boards", "birch 18").count("–") == 2
    loose = replace(plan(), boards=(unmeasured("birch 18", 18.0, 18.0).as_planned(),))
    assert "not measured" in row_of(sheet(loose), "boards", "birch 18")


@pytest.mark.parametrize(("moisture", "told"), [(4.0, "0.18 mm thicker"), (-4.0, "0.18 mm thinner")])
def test_boards_that_move_where_they_are_used_say_so(moisture, told):
    moving = measured("birch 18", 18.0, [17.7, 17.7], moisture).as_planned()
    html = sheet(replace(plan(), boards=(moving,)), with_units("mm"))
    assert told in row_of(html, "boards", "birch 18") and "Where it is used" in words(html)
    assert "Where it is used" not in words(sheet())


def test_joints_alike_share_a_row_that_tells_their_clearances_and_odds():
    row = row_of(sheet(shop=with_units("mm")), "joints", "2 housing")
    assert row == "2 housing birch 18 glue 0.25 mm 0.50 mm 0.50 mm 98.7 % 1.3 % 0.18 mm"
    assert "95 %" in words(sheet()) and "butt" not in words(sheet())
    assert "Joints, as they fit" not in words(sheet(replace(plan(), joints=())))


def test_refused_sheet_says_so_with_the_reason_and_has_no_steps():
    html = sheet()
    text = section(html, "Sheet 2")
    assert "Do not cut this sheet" in text
    assert "Lid, slot 1" in text and "the slot is 5.00 mm wide" in text and "use a bit of 4 mm" in text
    assert "Steps" not in text and "Programs" not in text
    assert "Do not cut Sheet 2" in words(html) and "REFUSED" in words(html)
    assert "Do not cut" not in section(html, "Sheet 1")


def test_equal_parts_are_counted_by_shape():
    assert "2 Rail 1, Rail 2 400.00 × 80.00 × 17.71 mm" in words(sheet())


@pytest.mark.parametrize(
    ("units", "there", "absent"),
    [(("mm",), "6.00 mm", " in)"), (("in",), "0.236 in", " mm"), (("in", "mm"), "0.236 in (6.00 mm)", "zzz")],
)
def test_lengths_come_in_the_units_asked_for(units, there, absent):
    text = section(sheet(shop=with_units(*units)), "Sheet 1")
    assert there in text and absent not in text


# CHECKS SAF-8: what must appear on the sheet (general safety practice).
SAF_8 = {
    "eyes": "eye protection",
    "ears": "ear protection",
    "dust mask": "dust mask",
    "no gloves": "No gloves at the spindle",
    "extraction": "dust extraction on",
    "fire watch": "fire watch after cutting",
    "screws": "out of the bit's path",
    "Z zero": "Check Z zero after every bit change",
    "dry run": "Run every program once above the board",
    "stop": "Keep a hand near the stop",
    "driving": "Stop the spindle and hold the motion",
    "attended": "Never leave the machine while it runs",
    "tabs": "away from the hand",
    "bowed": "too light or too bowed to lie still is clamped or pressed flat while it is spotted",
    "deferring": "The machine's manual, your local codes and the licensed or trained people",
}


@pytest.mark.parametrize("what", SAF_8)
def test_cautions_name_every_point(what):
    assert SAF_8[what] in words(sheet())


def test_findings_stand_by_severity():
    later = replace(TOO_NARROW, severity="note", where="noted", panels=())
    text = words(sheet(findings=[later, TOO_NARROW]))
    assert text.index("Errors:") < text.index("Notes") < text.index("noted")


def test_without_screws_no_step_speaks_of_them():
    bare = plan()
    first = replace(bare.sheets[0], screws=(), programs=CUTS)
    text = section(sheet(of=bare.with_sheet(first)), "Sheet 1")
    assert "screw" not in text[text.index("Steps, in this order") :]
