# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a document keeps between runs: readings, findings, what is stale, what the result was made of."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from flatwright import api
from flatwright.findings import Finding, UsageError
from flatwright.plan_json import to_json
from flatwright.steps import Options
from support.documents import box, labels
from support.plans import plan
from support.sources import ROOT
from support.unit import PRESET, draw_unit

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")
FOUND = [
    Finding("board.unmeasured", "warning", "18 mm", "not measured", "measure", ("Side", "Top"), None),
    Finding("layout.yield", "note", "18 mm", "1 sheet", "Nothing to do.", (), "sheet-1"),
]


def two_boards(doc: Any) -> None:
    """A board of 18 mm and one of 12 mm."""
    box(doc, "Side", (400, 300, 18))
    box(doc, "Back", (400, 300, 12), at=(0, 0, 50))
    doc.recompute()


def with_result(doc: Any, readings: str = "18:17.7") -> None:
    """A result made of what is drawn."""
    from flatwright.host import model, remembered, tree
    from flatwright.presets.reading import load

    tops = tree.tops(doc)
    preset = load(ROOT / "resources/presets/metric.shop.json")
    model.write_model(doc, plan(), preset, model.Record("{}", readings, "/tmp/out"))
    remembered.remember_run(doc, FOUND, tops)


def test_readings_are_kept_before_there_is_a_result(document: Any) -> None:
    from flatwright.host import remembered
    from flatwright.host.result import result_group

    two_boards(document)
    document.UndoMode = 1
    found = api.measure_boards(document, ["18:17.7,17.75", "12:0.47 in"])
    assert remembered.readings(document) == ("18:17.7,17.75", "12:0.47 in")
    assert [f.code for f in found if f.severity != "note"] == []
    assert not result_group(document).Visibility
    assert not remembered.has_result(document)
    assert remembered.stale(document) == ""
    assert document.UndoNames[0] == "Measure Boards"


def test_a_board_without_readings_is_told(document: Any) -> None:
    two_boards(document)
    found = api.measure_boards(document, ["18:17.7"])
    assert [(f.code, f.panels) for f in found if f.severity == "warning"] == [("board.unmeasured", ("Back",))]


@pytest.mark.parametrize("readings", ["15:14.8", "18:abc", "18:-17.7", "18:12.0"])
def test_readings_that_cannot_be_used_change_nothing(document: Any, readings: str) -> None:
    from flatwright.host import remembered

    two_boards(document)
    api.measure_boards(document, ["18:17.7"])
    with pytest.raises(UsageError):
        api.measure_boards(document, [readings])
    assert remembered.readings(document) == ("18:17.7",)


def test_new_readings_make_a_result_stale_and_the_same_do_not(document: Any) -> None:
    from flatwright.host import remembered
    from flatwright.host.result import result_group

    two_boards(document)
    with_result(document)
    api.measure_boards(document, ["18:17.7"])
    assert remembered.stale(document) == ""
    api.measure_boards(document, ["18:18.05"])
    api.measure_boards(document, ["18:18.1"])
    assert remembered.stale(document) == "the boards were measured anew"
    assert result_group(document).Label == "Flatwright (stale)"


def test_a_new_result_is_not_stale(document: Any) -> None:
    from flatwright.host import remembered

    two_boards(document)
    with_result(document)
    api.measure_boards(document, ["18:18.05"])
    with_result(document, "18:18.05")
    assert remembered.stale(document) == ""
    assert [o.Label for o in document.Objects if o.Label.startswith("Flatwright")] == ["Flatwright"]


def test_findings_last_with_what_they_are_about(app: Any, document: Any, tmp_path: Path) -> None:
    from flatwright.host import remembered

    two_boards(document)
    with_result(document)
    document.saveCopy(str(tmp_path / "a.FCStd"))
    again = app.openDocument(str(tmp_path / "a.FCStd"))
    assert list(remembered.findings(again)) == FOUND
    assert to_json(remembered.plan(again)) == to_json(plan())
    assert remembered.output_folder(again) == Path("/tmp/out")
    app.closeDocument(again.Name)


def test_what_is_hidden_behind_its_result_is_read_all_the_same(document: Any) -> None:
    from flatwright.host.arranged import DRAWN, show_only
    from flatwright.host.solids import read_solids

    two_boards(document)
    with_result(document)
    show_only(document, "sheet-1")
    assert not document.getObject("Box").Visibility
    assert labels(read_solids(document)[0]) == ["Side", "Back"]
    show_only(document, DRAWN)
    assert labels(read_solids(document)[0]) == ["Side", "Back"]


def test_to_look_at_one_of_the_hidden_does_not_leave_out_the_others(document: Any) -> None:
    from flatwright.host.arranged import show_only
    from flatwright.host.solids import read_solids

    two_boards(document)
    with_result(document)
    show_only(document, "sheet-1")
    document.getObject("Box").Visibility = True
    assert labels(read_solids(document)[0]) == ["Side", "Back"]


def test_what_the_user_hid_stays_left_out_and_hidden(document: Any) -> None:
    from flatwright.host.arranged import DRAWN, FITTED, show_only
    from flatwright.host.solids import read_solids

    two_boards(document)
    with_result(document)
    show_only(document, FITTED)
    show_only(document, DRAWN)
    document.getObject("Box").Visibility = False
    show_only(document, FITTED)
    assert labels(read_solids(document)[0]) == ["Back"]
    show_only(document, DRAWN)
    assert labels(read_solids(document)[0]) == ["Back"]
    assert not document.getObject("Box").Visibility


def test_a_group_stays_and_its_members_are_hidden(document: Any) -> None:
    """The window hides and shows all members of a group with it: whom the user hid would show again."""
    from flatwright.host import remembered
    from flatwright.host.arranged import DRAWN, FITTED, show_only
    from flatwright.host.solids import read_solids

    two_boards(document)
    box(document, "Spare", (400, 300, 18), at=(0, 0, 90)).Visibility = False
    group = document.addObject("App::DocumentObjectGroup", "Boards")
    group.addObjects([o for o in document.Objects if o is not group])
    document.recompute()
    with_result(document)
    assert {document.getObject(n).Label for n in remembered.sources(document)} == {"Side", "Back"}
    show_only(document, FITTED)
    assert group.Visibility and not document.getObject("Box").Visibility
    assert labels(read_solids(document)[0]) == ["Side", "Back"]
    show_only(document, DRAWN)
    assert labels(read_solids(document)[0]) == ["Side", "Back"]


def test_one_thing_is_shown_at_a_time(document: Any) -> None:
    from flatwright.host.arranged import DRAWN, FITTED, show_only

    two_boards(document)
    with_result(document)
    shown = {}
    for what in (DRAWN, FITTED, "sheet-1", "sheet-2"):
        show_only(document, what)
        shown[what] = {o.Label for o in document.Objects if o.Visibility} - {"Flatwright"}
    assert shown[DRAWN] == {"Side", "Back"}
    assert shown[FITTED] == {"Fitted panels", "Shelf fitted", "Side (2) fitted"}
    assert {"sheet-1", "Board sheet-1", "Parts sheet-1"} < shown["sheet-1"]
    assert not shown["sheet-1"] & shown["sheet-2"]


def test_the_drawn_panels_give_way_to_the_fitted_ones_until_that_is_undone(
    document: Any, tmp_path: Path
) -> None:
    document.UndoMode = 1
    drawn = draw_unit(document)
    for _ in range(2):
        options = Options((700, 500), "built-in")
        api.apply_shop_rules(document, PRESET, tmp_path / "out", readings=["18:17.7"], options=options)
        assert not any(o.Visibility for o in drawn)
        assert all(o.Visibility for o in document.Objects if getattr(o, "FlatwrightKind", "") == "panel")
    document.undo()
    document.undo()
    assert all(o.Visibility for o in drawn)
    document.redo()
    assert not any(o.Visibility for o in drawn)
