# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Bad input from preset to hand: an error that says what would cure it, and no sheet that it touches is
posted. (A zero feed and a spindle that turns too fast are refused as the preset is read: see
test_presets_crosschecks.py and test_presets_quantities.py.)"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from flatwright import steps
from flatwright.boards.readings import parse_readings
from flatwright.findings import UsageError
from flatwright.presets.model import Preset
from flatwright.presets.reading import PresetError, preset_of
from flatwright.run import refusal
from flatwright.steps import Decision
from support import planned_work
from support.preset_documents import changed


def with_bits(preset: Preset, **values: float) -> Preset:
    return replace(preset, bits=tuple(replace(b, **values) for b in preset.bits))  # type: ignore[arg-type]


def narrow_sheets(preset: Preset) -> Preset:
    sheets = tuple(replace(s, length=45.0, width=45.0) for s in preset.layout.sheets)
    return replace(preset, layout=replace(preset.layout, sheets=sheets))


def no_tabs_fit(preset: Preset) -> Preset:
    tabs = replace(preset.holding.tabs, length=400.0)
    return replace(preset, holding=replace(preset.holding, tabs=tabs))


def small_machine(preset: Preset) -> Preset:
    return replace(preset, machine=replace(preset.machine, travel=(300.0, 200.0, 150.0)))


SPOILED: dict[str, tuple[Callable[[Preset], Preset], str, str]] = {
    "no bit fits": (lambda p: with_bits(p, diameter=20.0), "bits.too-wide", "bit of at most"),
    "bits shorter than the board": (lambda p: with_bits(p, cutting_length=12.0), "bits.too-short", "longer"),
    "no feeds for the bits": (lambda p: replace(p, feeds=()), "bits.no-feed", "row of feeds"),
    "a sheet smaller than its margins": (narrow_sheets, "layout.sheet-too-small", "true size"),
    "tabs longer than every edge": (no_tabs_fit, "holding.no-tab", "shorter"),
    "a machine smaller than the sheet": (small_machine, "cutting.beyond-travel", "machine.travel"),
}


def decided(preset: Preset) -> Decision:
    panels = planned_work.PIECES["through tenon"]()
    known = steps.find_panels
    steps.find_panels = lambda solids: (list(panels), [])  # type: ignore[assignment]
    try:
        readings = parse_readings(planned_work.READINGS, None)
        return steps.decide([], preset, readings, steps.Options(engine="built-in"))
    finally:
        steps.find_panels = known


def test_sound_input_is_posted() -> None:
    done = decided(planned_work.shop())
    assert all(refusal(s, done.findings) is None for s in done.plan.sheets)


@pytest.mark.parametrize("what", SPOILED)
def test_bad_input_is_an_error_with_its_cure_and_refuses_the_sheet(what: str) -> None:
    spoil, code, cure = SPOILED[what]
    done = decided(spoil(planned_work.shop()))
    errors = [f for f in done.findings if f.severity == "error"]
    found = [f for f in errors if f.code == code]
    assert found, [f.code for f in errors]
    assert cure in found[0].remedy
    touched = {n for f in found for n in f.panels}
    for sheet in done.plan.sheets:
        if touched & {p.panel for p in sheet.placements} or any(f.sheet == sheet.name for f in found):
            assert refusal(sheet, done.findings)


@pytest.mark.parametrize(
    ("place", "value"),
    [
        ("feeds[0].chip_load", "0 mm"),
        ("feeds[0].plunge", "0 mm/min"),
        ("feeds[0].spindle", "0 1/min"),
        ("feeds[0].spindle", "30000 1/min"),
        ("machine.spindle", ["6000 1/min", "12000 1/min"]),
    ],
)
def test_feeds_and_speeds_that_cannot_be_are_refused_with_the_preset(place: str, value: object) -> None:
    with pytest.raises(PresetError) as refused:
        preset_of(changed(place, value), "shop")
    assert isinstance(refused.value, UsageError)
    assert place.split("[")[0].split(".")[0] in str(refused.value)
