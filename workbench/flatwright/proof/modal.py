# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Modal groups: which codes exclude each other on a line (NIST RS274/NGC v3, Table 4).

G codes are written times ten throughout this room: G1 is 10, G59.1 is 591.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from flatwright.proof.motion import ReadError
from flatwright.proof.words import Block

MOTION = (0, 10, 20, 30, 800, 810, 820, 830)
CYCLES = (810, 820, 830)
OFFSETS = (540, 550, 560, 570, 580, 590, 591, 592, 593)
WITH_AXES = (280, 300, 920)  # group 0 codes that use axis words, §3.4

_G_GROUPS: dict[str, tuple[int, ...]] = {
    "motion": MOTION,
    "plane": (170, 180, 190),
    "distance": (900, 910),
    "arc distance": (911,),
    "feed mode": (940,),
    "units": (200, 210),
    "radius compensation": (400,),
    "length offset": (430, 490),
    "return level": (980, 990),
    "work offset": OFFSETS,
    "path control": (610, 611, 640),
    "once": (40, 280, 300, 530, 920, 921, 922, 923),
}
_M_GROUPS: dict[str, tuple[int, ...]] = {
    "stop": (0, 1, 2, 30, 60),
    "tool change": (6,),
    "spindle": (3, 4, 5),
    "coolant": (7, 8, 9),
    "overrides": (48, 49),
}
_G_GROUP = {code: group for group, codes in _G_GROUPS.items() for code in codes}
_M_GROUP = {code: group for group, codes in _M_GROUPS.items() for code in codes}

_REFUSED = {
    100: "G10 moves work offsets from inside the program, so where it cuts cannot be proven",
    382: "G38.2 probes, so where it cuts cannot be proven",
    410: "cutter radius compensation is not read; post the tool's own path",
    420: "cutter radius compensation is not read; post the tool's own path",
    901: "G90.1 (absolute arc centres) is not read; post arcs with I and J from the start point",
    930: "inverse time feed is not read; post feeds per minute (G94)",
    950: "feed per turn is not read; post feeds per minute (G94)",
    700: "G70 is no code of RS274/NGC; say inches with G20",
    710: "G71 is no code of RS274/NGC; say millimetres with G21",
    **dict.fromkeys(
        (730, 740, 760, 840, 850, 860, 870, 880, 890),
        "of the canned cycles only G81, G82 and G83 are read; post the others as plain moves",
    ),
}
_REFUSED_M = dict.fromkeys(
    (97, 98, 99), "calls of subprograms are not read; post the program as plain moves in one file"
)


def groups(block: Block) -> tuple[Mapping[str, int], Mapping[str, int]]:
    """The line's G and M codes by group. Raises ReadError for two of one group and for codes
    that are not read."""
    try:
        return _g_groups(block.g), _m_groups(block.m)
    except _Clash as e:
        raise ReadError(block.line, str(e)) from e


class _Clash(Exception):
    pass


@lru_cache(maxsize=1024)
def _g_groups(codes: tuple[int, ...]) -> Mapping[str, int]:
    for code in codes:
        if code in _REFUSED:
            raise _Clash(_REFUSED[code])
    return _by_group([(c, f"G{c / 10:g}") for c in codes], _G_GROUP)


@lru_cache(maxsize=1024)
def _m_groups(codes: tuple[int, ...]) -> Mapping[str, int]:
    for code in codes:
        if code in _REFUSED_M:
            raise _Clash(_REFUSED_M[code])
    return _by_group([(c, f"M{c}") for c in codes], _M_GROUP)


def _by_group(codes: list[tuple[int, str]], group_of: Mapping[int, str]) -> Mapping[str, int]:
    found: dict[str, int] = {}
    names: dict[str, str] = {}
    for code, name in codes:
        group = group_of.get(code)
        if group is None:
            raise _Clash(f"{name} is no code that is read here")
        if group in found:
            raise _Clash(f"{names[group]} and {name} exclude each other on one line ({group})")
        found[group], names[group] = code, name
    return MappingProxyType(found)
