# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The shape of a preset file: its keys in canonical order, what each holds, which are required.

The same table reads files and writes them. What it says is published for others as
resources/schemas/shop-preset.schema.json; a test holds the two against each other.
"""

from __future__ import annotations

from typing import Any

from flatwright.presets import model
from flatwright.presets.fields import (
    ListOf,
    Names,
    Record,
    Rows,
    flag,
    nullable,
    number,
    one_of,
    quantity,
    record,
    text,
    whole,
    word,
)
from flatwright.presets.quantities import (
    ACCELERATION,
    ANGLE,
    FEED,
    LENGTH,
    POWER,
    PRESSURE,
    SHARE,
    SPEED,
    TEMPERATURE,
    TIME,
)

FORMAT = "flatwright-shop-preset"
VERSION = 1

_length = quantity(LENGTH)
_length_or_zero = quantity(LENGTH, "zero or more")


def _maybe(shape: Record) -> Record:
    return Record(shape.build, shape.keys, shape.required, nullable=True)


def _stock(size: tuple[float, float], **rest: Any) -> model.SheetStock:
    return model.SheetStock(size[0], size[1], **rest)


CLIMATE = record(
    model.Climate,
    ("temperature", "humidity"),
    temperature=quantity(TEMPERATURE, "any"),
    humidity=quantity(SHARE, "zero or more"),
)

BOARD = record(
    model.Board,
    ("name", "nominal"),
    name=text(),
    nominal=_length,
    plies=nullable(whole(1)),
    face_grain=one_of("length", "width"),
    face_veneer=nullable(_length),
    grade=text(empty=True),
    readings=ListOf(_length),
    measured_at=_maybe(CLIMATE),
)

FIT_CLASS = record(
    model.FitClass,
    ("over_thickness", "along", "floor"),
    over_thickness=_length_or_zero,
    along=_length_or_zero,
    floor=_length_or_zero,
    tip=one_of("flush", "proud", "shy", "as drawn"),
    tip_by=_length,
    too_loose=nullable(_length),
)

FITS = record(
    model.Fits,
    ("default", "classes"),
    default=text(),
    slot_for=one_of("mean", "largest", "spread", "probability"),
    spread_factor=number(0),
    wanted_probability=quantity(SHARE),
    slot_spread=_length_or_zero,
    used_at=_maybe(CLIMATE),
    classes=Names(FIT_CLASS, least=1),
    by_joint=Names(text()),
)

RELIEFS = record(
    model.ReliefRules,
    (),
    kind=one_of("least visible", "dog-bone", "T-bone"),
    bit=one_of("profile"),
    minimum_web=_length,
)

BIT = record(
    model.Bit,
    ("number", "kind", "diameter", "flutes", "cutting_length"),
    number=whole(1),
    kind=one_of("straight", "up-cut", "down-cut", "compression"),
    diameter=_length,
    measured_diameter=nullable(_length),
    flutes=whole(1),
    cutting_length=_length,
    up_cut_length=nullable(_length),
    stick_out=nullable(_length),
    material=one_of("carbide", "steel"),
)

FEEDS = record(
    model.Feed,
    ("bit", "spindle", "chip_load", "pass_depth", "plunge"),
    bit=whole(1),
    board=nullable(text()),
    spindle=quantity(SPEED),
    chip_load=_length,
    pass_depth=_length,
    plunge=quantity(FEED),
)

TABS = record(
    model.Tabs,
    (),
    length=_length,
    height=_length,
    ends=one_of("square", "sloped"),
    at_least=whole(1),
    factor=number(1),
)

FASTENERS = record(
    model.Fasteners,
    (),
    kind=one_of("screw", "composite nail"),
    head_diameter=_length,
    head_height=_length,
    margin=_length_or_zero,
    reach=_length,
    bite=_length,
    mark_depth=_length,
    shank_diameter=_length,
)

ONION_SKIN = record(model.OnionSkin, (), thickness=_length)

VACUUM = record(
    model.Vacuum,
    (),
    pressure=quantity(PRESSURE),
    friction=number(0),
    factor=number(1),
)

HOLDING = record(
    model.Holding,
    (),
    method=ListOf(one_of("tabs", "screws", "onion skin", "vacuum"), least=1, distinct=True),
    tabs=TABS,
    fasteners=FASTENERS,
    onion_skin=ONION_SKIN,
    vacuum=VACUUM,
)

STOCK = record(
    _stock,
    ("size",),
    size=ListOf(_length, length=2),
    count=nullable(whole(1)),
    cost=nullable(number(0)),
    board=nullable(text()),
)

LAYOUT = record(
    model.Layout,
    ("sheets",),
    sheets=Rows(STOCK, least=1),
    edge=_length_or_zero,
    spacing=_length,
    seed=whole(0),
    time=quantity(TIME),
    parts_in_drops=flag(),
)

KEEP_OUT = record(
    model.KeepOut,
    ("name", "kind", "corners"),
    name=text(),
    kind=one_of("clamp", "dead area"),
    corners=ListOf(_length_or_zero, length=4),
    height=_length,
)

MACHINE = record(
    model.Machine,
    (),
    zero=one_of("bed", "board top"),
    overcut=_length,
    clear_height=_length,
    spoilboard=_length,
    bit_change=one_of("by hand", "automatic"),
    park=ListOf(_length_or_zero, length=2),
    travel=ListOf(_length, length=3),
    spindle=ListOf(quantity(SPEED), length=2),
    power=quantity(POWER),
    work_offset=one_of("G54", "G55", "G56", "G57", "G58", "G59"),
    rapid=quantity(FEED),
    acceleration=quantity(ACCELERATION),
    keep_outs=Rows(KEEP_OUT),
    own_bits=flag(),
)

ENTRIES = record(
    model.Entries,
    (),
    ramp_angle=quantity(ANGLE),
    along_grain=flag(),
    direction=one_of("climb", "conventional"),
    finish_allowance=_length_or_zero,
    lead_radius=_length_or_zero,
)

FLIPPING = record(
    model.Flipping,
    (),
    enabled=flag(),
    axis=one_of("x", "y"),
    pin_diameter=_length,
    pin_depth=_length,
    least_floor=_length,
)

POST = record(
    model.Post,
    (),
    processor=word(),
    arguments=text(empty=True),
    units=one_of("mm", "in"),
)

REPORT = record(
    model.Report,
    (),
    units=ListOf(one_of("mm", "in"), least=1, distinct=True),
    paper=one_of("A4", "A3", "Letter"),
)


def _preset(**sections: Any) -> model.Preset:
    """A preset from its sections; those left out take the model's defaults."""
    optional = {"reliefs": RELIEFS, "holding": HOLDING, "machine": MACHINE, "entries": ENTRIES, "post": POST}
    defaults = {name: section.build() for name, section in optional.items() if name not in sections}
    rest = {name: value for name, value in sections.items() if name not in ("format", "version")}
    return model.Preset(**defaults, **rest)


PRESET = record(
    _preset,
    ("format", "version", "name", "boards", "fits", "bits", "feeds", "layout"),
    format=one_of(FORMAT),
    version=whole(VERSION),
    name=text(),
    based_on=nullable(text()),
    boards=Rows(BOARD),
    fits=FITS,
    reliefs=RELIEFS,
    bits=Rows(BIT, least=1),
    feeds=Rows(FEEDS, least=1),
    holding=HOLDING,
    layout=LAYOUT,
    machine=MACHINE,
    entries=ENTRIES,
    flipping=FLIPPING,
    post=POST,
    report=REPORT,
)
