# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The bits of the user's own jobs in a document, where the preset asks for them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from flatwright.api import apply_shop_rules
from flatwright.host import cam_tools, posts
from flatwright.host.cam_modules import cam
from flatwright.host.own_bits import with_own_bits
from flatwright.presets.model import Bit, Feed
from flatwright.presets.reading import load, preset_of
from flatwright.steps import Options
from support.preset_documents import changed
from support.sheet_programs import SHEET, laid_parts, program, shop

ASKED = changed("machine.own_bits", True)
SMALL = Bit(7, "straight", 3.0, 2, 20.0)
SLOW = Feed(7, 15000.0, 0.04, 3.0, 500.0)


def own_job(doc: Any, obj: Any, *bits: tuple[Bit, Feed]) -> Any:
    """A job as a user makes one, with these bits."""
    with posts.active(doc), cam_tools.plain_bits():
        with cam_tools.no_default_bit():
            job = cam("job").Create("Job", [obj], None)
        for tc in list(job.Tools.Group):
            cam_tools.remove_controller(tc)
        for bit, feed in bits:
            cam_tools.make_controller(job, bit, feed, "mm")
    doc.recompute()
    return job


def plate(doc: Any, label: str = "plate") -> Any:
    """A board of 18 mm with a slot of 5 mm."""
    import FreeCAD
    import Part

    obj = doc.addObject("Part::Feature", "Plate")
    obj.Label = label
    obj.Shape = Part.makeBox(400, 200, 18).cut(Part.makeBox(100, 5, 18, FreeCAD.Vector(100, 100, 0)))
    return obj


def test_nothing_is_taken_unless_asked(document: Any) -> None:
    own_job(document, plate(document), (SMALL, SLOW))
    starter = changed("machine.own_bits", False)
    assert with_own_bits(document, starter) == (starter, [])


def test_a_bit_is_taken_with_its_sizes_and_speeds(document: Any) -> None:
    own_job(document, plate(document), (SMALL, SLOW))
    used, findings = with_own_bits(document, ASKED)
    preset = preset_of(used)
    assert [b.number for b in preset.bits] == [1, 2, 3, 4, 7]
    got, feed = preset.bit(7), preset.feed(7, None)
    assert (got.kind, got.diameter, got.flutes, got.cutting_length) == ("straight", 3.0, 2, 20.0)
    assert feed.spindle == 15000.0
    assert feed.cutting_feed(2) == pytest.approx(1200.0, rel=1e-4)
    assert (feed.plunge, feed.pass_depth) == (pytest.approx(500.0, rel=1e-4), 3.0)
    assert [f.code for f in findings] == ["bits.own-added"]
    assert "bit 7 (straight 3 mm)" in findings[0].message


@pytest.mark.parametrize(
    ("bit", "feed", "says"),
    [
        (Bit(8, "compression", 6.0, 2, 25.0, up_cut_length=5.0), Feed(8, 18000, 0.1, 6, 900), "names none"),
        (Bit(8, "up-cut", 20.0, 2, 25.0), Feed(8, 18000, 0.1, 6, 900), "widest bit"),
        (Bit(8, "up-cut", 6.0, 2, 25.0), Feed(8, 30000, 0.1, 6, 900), "outside the machine's range"),
        (Bit(8, "up-cut", 6.0, 2, 25.0), Feed(8, 18000, 0.1, 6, 0.0), "plunge feed is not set"),
    ],
    ids=["compression", "too wide", "too fast", "no plunge feed"],
)
def test_what_cannot_be_used_is_left_out_with_the_reason(
    document: Any, bit: Bit, feed: Feed, says: str
) -> None:
    own_job(document, plate(document), (bit, feed))
    used, (found,) = with_own_bits(document, ASKED)
    assert (used, found.code) == (ASKED, "bits.own-left-out")
    assert says.replace("names none", "says none") in found.message


def test_the_presets_bit_of_that_number_goes_before_and_our_own_jobs_do_not_count(document: Any) -> None:
    from flatwright.host.cam_job import make_jobs

    own_job(document, plate(document), (Bit(3, "straight", 3.0, 2, 20.0), Feed(3, 15000, 0.04, 3, 500)))
    make_jobs(document, SHEET, [program()], shop(), model_objects=[laid_parts(document)])
    assert with_own_bits(document, ASKED) == (ASKED, [])


def test_a_narrow_slot_is_cut_by_the_users_own_bit(app: Any, document: Any, tmp_path: Path) -> None:
    own_job(document, plate(document), (SMALL, SLOW))
    rules = tmp_path / "rules.shop.json"
    rules.write_text(json.dumps(ASKED), encoding="utf-8")
    result = apply_shop_rules(
        document,
        rules,
        tmp_path / "out",
        readings=["18:17.7,17.72,17.68"],
        options=Options(engine="built-in"),
    )
    assert not result.refused
    assert [p.name for p in result.plan.panels] == ["plate"], "the job's own copy of it is no panel"
    assert 7 in {b.number for s in result.plan.sheets for p in s.programs for b in p.bits}
    beside = load(tmp_path / "out" / "preset.shop.json")
    assert beside.bit(7).diameter == 3.0, "what is checked later is checked with the same bits"
