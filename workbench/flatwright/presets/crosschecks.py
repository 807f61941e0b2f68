# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What has to agree between the values of a preset, over and above each value by itself.

The preset may hold stand-ins for values that could not be read (see `fields`): every
comparison here is written so that NaN, 0 and "" pass it in silence.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from flatwright.plan import JOINT_KINDS
from flatwright.presets.fields import suggestion
from flatwright.presets.model import Bit, Board, Climate, Feed, FitClass, Preset
from flatwright.presets.tree import Problems, step

SPOILBOARD_LEFT = 3.0  # mm of spoilboard that stay under the point of a screw (DESIGN: holding)
ATMOSPHERE = 101.325  # kPa: no vacuum holds with more (CHECKS HLD-1)
MOST_ALLOWANCE = 0.25  # of the narrowest bit: a finish pass takes a light cut
READING_OFF = 0.15  # a reading this far off nominal is a typing error or in another unit
READING_OFF_MM = 0.6  # but in thin boards never less than this


def check(preset: Preset, problems: Problems) -> None:
    """Add every disagreement to the problems."""
    for one in (_boards, _fits, _bits, _feeds, _layout, _holding, _machine, _keep_outs, _entries, _flipping):
        one(preset, problems)


def reading_is_off(reading: float, nominal: float) -> bool:
    """True when a reading cannot belong to a board of that nominal thickness, both in mm."""
    return round(abs(reading - nominal), 6) > max(READING_OFF * nominal, READING_OFF_MM)


def _twice(values: Iterable[object], paths: Callable[[int], str], what: str, problems: Problems) -> None:
    seen: dict[object, int] = {}
    for i, value in enumerate(values):
        if value in seen and value not in (0, ""):
            problems.add(paths(i), f"{what} {value} is there twice (also {paths(seen[value])})")
        seen.setdefault(value, i)


def _known(name: str, names: Sequence[str], path: str, what: str, problems: Problems) -> None:
    if name and name not in names:
        problems.add(path, f'there is no {what} "{name}"{suggestion(name, names)}')


def _boards(preset: Preset, problems: Problems) -> None:
    _twice([b.name for b in preset.boards], lambda i: f"boards[{i}].name", "the board", problems)
    for i, board in enumerate(preset.boards):
        _board(board, f"boards[{i}]", problems)


def _board(board: Board, path: str, problems: Problems) -> None:
    if board.face_veneer is not None and 2.0 * board.face_veneer > board.nominal:
        problems.add(step(path, "face_veneer"), "two face veneers are thicker than the board")
    _climate(board.measured_at, step(path, "measured_at"), problems)
    for i, reading in enumerate(board.readings):
        if reading_is_off(reading, board.nominal):
            problems.add(
                f"{path}.readings[{i}]",
                f"{reading:g} mm is too far off the nominal {board.nominal:g} mm; is it a typing error?",
            )


def _climate(climate: Climate | None, path: str, problems: Problems) -> None:
    if climate is not None and climate.humidity > 1.0:
        problems.add(step(path, "humidity"), "more than 100 % humidity")


def _fits(preset: Preset, problems: Problems) -> None:
    fits, names = preset.fits, list(preset.fits.classes)
    if names:
        _known(fits.default, names, "fits.default", "fit class", problems)
    for joint, name in fits.by_joint.items():
        path = step("fits.by_joint", joint)
        if joint not in JOINT_KINDS:
            problems.add(path, f'there is no kind of joint "{joint}"{suggestion(joint, JOINT_KINDS)}')
        elif names:
            _known(name, names, path, "fit class", problems)
    for name, values in fits.classes.items():
        _fit_class(values, step("fits.classes", name), problems)
    _climate(fits.used_at, "fits.used_at", problems)
    if not math.isnan(fits.wanted_probability) and not 0.5 <= fits.wanted_probability < 1.0:
        problems.add("fits.wanted_probability", "must be at least 50 % and below 100 %")


def _fit_class(values: FitClass, path: str, problems: Problems) -> None:
    if values.too_loose is not None and values.too_loose <= values.over_thickness:
        problems.add(
            step(path, "too_loose"),
            f"{values.too_loose:g} mm is no more than the clearance itself, {values.over_thickness:g} mm",
        )


def _bits(preset: Preset, problems: Problems) -> None:
    _twice([b.number for b in preset.bits], lambda i: f"bits[{i}].number", "the bit number", problems)
    for i, bit in enumerate(preset.bits):
        _bit(bit, f"bits[{i}]", problems)


def _bit(bit: Bit, path: str, problems: Problems) -> None:
    up_cut = step(path, "up_cut_length")
    if bit.kind == "compression" and bit.up_cut_length is None:
        problems.add(up_cut, "is missing: a compression bit needs the length of its up-cut part")
    if bit.kind not in ("compression", "") and bit.up_cut_length is not None:
        problems.add(up_cut, f"only a compression bit has one; this bit is {bit.kind}")
    if bit.up_cut_length is not None and bit.up_cut_length >= bit.cutting_length:
        problems.add(up_cut, "must be shorter than the cutting length")
    if bit.stick_out is not None and bit.stick_out < bit.cutting_length:
        problems.add(step(path, "stick_out"), f"is less than the cutting length of {bit.cutting_length:g} mm")
    if bit.measured_diameter is not None and abs(bit.measured_diameter - bit.diameter) > 0.25 * bit.diameter:
        problems.add(
            step(path, "measured_diameter"),
            f"{bit.measured_diameter:g} mm is too far off {bit.diameter:g} mm; is it a typing error?",
        )


def _feeds(preset: Preset, problems: Problems) -> None:
    rows = [(f.bit, f.board) for f in preset.feeds]
    for i, row in enumerate(rows):
        if row in rows[:i] and row[0] and row[1] != "":
            problems.add(
                f"feeds[{i}]",
                f"the feeds of this bit and board are there twice (also feeds[{rows.index(row)}])",
            )
    for i, feed in enumerate(preset.feeds):
        _feed(preset, feed, f"feeds[{i}]", problems)


def _feed(preset: Preset, feed: Feed, path: str, problems: Problems) -> None:
    bits = {b.number: b for b in preset.bits}
    if feed.board is not None:
        names = [b.name for b in preset.boards]
        _known(feed.board, names, step(path, "board"), "board", problems)
    # A bit whose own number could not be read is not reported again as unknown.
    if feed.bit not in bits and feed.bit and 0 not in bits and bits:
        known = ", ".join(str(n) for n in bits)
        problems.add(step(path, "bit"), f"there is no bit {feed.bit}; known are {known}")
    if feed.bit in bits and feed.pass_depth > bits[feed.bit].cutting_length:
        problems.add(
            step(path, "pass_depth"),
            f"{feed.pass_depth:g} mm is more than the cutting length of bit {feed.bit}, "
            f"{bits[feed.bit].cutting_length:g} mm",
        )
    low, high = preset.machine.spindle
    if feed.spindle < low or feed.spindle > high:
        problems.add(
            step(path, "spindle"),
            f"{feed.spindle:g} 1/min is outside the machine's range of {low:g} to {high:g} 1/min",
        )


def _layout(preset: Preset, problems: Problems) -> None:
    layout = preset.layout
    widest = max((b.cut for b in preset.bits if not math.isnan(b.cut)), default=math.nan)
    allowance = preset.entries.finish_allowance
    if layout.spacing < widest:
        problems.add(
            "layout.spacing",
            f"{layout.spacing:g} mm is less than the widest bit, {widest:g} mm: it would cut the next part",
        )
    elif layout.spacing < round(widest + allowance, 6):
        problems.add(
            "layout.spacing",
            f"{layout.spacing:g} mm is less than the widest bit, {widest:g} mm, and the finish allowance of "
            f"{allowance:g} mm: roughing would cut the next part",
        )
    for i, sheet in enumerate(layout.sheets):
        if 2.0 * layout.edge >= min(sheet.length, sheet.width):
            problems.add(f"layout.sheets[{i}].size", "the edge margin leaves nothing of this sheet")
        if sheet.board is not None:
            names = [b.name for b in preset.boards]
            _known(sheet.board, names, f"layout.sheets[{i}].board", "board", problems)


def _holding(preset: Preset, problems: Problems) -> None:
    deepest = preset.machine.spoilboard - SPOILBOARD_LEFT
    if preset.holding.fasteners.bite > deepest:
        problems.add(
            "holding.fasteners.bite",
            f"{preset.holding.fasteners.bite:g} mm would come within {SPOILBOARD_LEFT:g} mm of the table; "
            f"the spoilboard of {preset.machine.spoilboard:g} mm allows {max(deepest, 0.0):g} mm",
        )

    thinnest = min((b.nominal for b in preset.boards), default=math.inf)
    mark = preset.holding.fasteners.mark_depth
    if mark > thinnest / 2.0:
        problems.add(
            "holding.fasteners.mark_depth", f"{mark:g} mm is more than half of a board of {thinnest:g} mm"
        )
    pressure = preset.holding.vacuum.pressure
    if pressure > ATMOSPHERE:
        problems.add(
            "holding.vacuum.pressure", f"{pressure:g} kPa is more than the air's own {ATMOSPHERE:g} kPa"
        )
    if {"onion skin", "tabs"} <= set(preset.holding.method):
        problems.add("holding.method", "an onion skin is in place of tabs; name one of the two")
    skin = preset.holding.onion_skin.thickness
    if "onion skin" in preset.holding.method and skin > thinnest / 2.0:
        problems.add(
            "holding.onion_skin.thickness", f"{skin:g} mm is more than half of a board of {thinnest:g} mm"
        )


def _keep_outs(preset: Preset, problems: Problems) -> None:
    areas = preset.machine.keep_outs
    _twice([a.name for a in areas], lambda i: f"machine.keep_outs[{i}].name", "the keep-out", problems)
    for i, area in enumerate(areas):
        x0, y0, x1, y1 = area.corners
        if x1 <= x0 or y1 <= y0:
            problems.add(
                f"machine.keep_outs[{i}].corners",
                "the first two are the lower left corner, the last two the upper right one",
            )


def _machine(preset: Preset, problems: Problems) -> None:
    machine = preset.machine
    if machine.overcut >= machine.spoilboard:
        problems.add("machine.overcut", "would cut through the spoilboard into the table")
    for axis, at, end in zip("xy", machine.park, machine.travel, strict=False):
        if at > end:
            problems.add("machine.park", f"{axis} = {at:g} mm lies outside the travel of {end:g} mm")
    if machine.spindle[0] > machine.spindle[1]:
        problems.add("machine.spindle", "the slowest speed is above the fastest")
    if machine.clear_height >= machine.travel[2]:
        problems.add("machine.clear_height", "is not within the machine's travel upwards")


def _entries(preset: Preset, problems: Problems) -> None:
    if preset.entries.ramp_angle >= math.radians(90.0):
        problems.add("entries.ramp_angle", "a ramp is flatter than 90 deg")
    narrowest = min((b.cut for b in preset.bits if not math.isnan(b.cut)), default=math.nan)
    if preset.entries.finish_allowance > MOST_ALLOWANCE * narrowest + 1e-9:
        problems.add(
            "entries.finish_allowance",
            f"{preset.entries.finish_allowance:g} mm is more than a quarter of the narrowest bit, "
            f"{narrowest:g} mm",
        )


def _flipping(preset: Preset, problems: Problems) -> None:
    pins = preset.flipping
    if not pins.enabled:
        return
    deepest = preset.machine.spoilboard - SPOILBOARD_LEFT
    if pins.pin_depth > deepest:
        problems.add(
            "flipping.pin_depth",
            f"{pins.pin_depth:g} mm would come within {SPOILBOARD_LEFT:g} mm of the table; "
            f"the spoilboard of {preset.machine.spoilboard:g} mm allows {max(deepest, 0.0):g} mm",
        )
    if pins.pin_depth <= preset.machine.overcut:
        problems.add("flipping.pin_depth", "is no deeper than the overcut: no dowel would stand in it")
    drills = [b.cut for b in preset.bits if b.may_drill]
    if drills and pins.pin_diameter < round(min(drills), 6):
        problems.add(
            "flipping.pin_diameter",
            f"{pins.pin_diameter:g} mm is less than the narrowest straight or up-cut bit, {min(drills):g} mm",
        )
