# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a board of uneven thickness does to programs that count with one thickness."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from flatwright.cutting.cut import Cut
from flatwright.cutting.passes import first_pass
from flatwright.findings import Finding, declare, finding
from flatwright.holding.without_tabs import skin_left
from flatwright.plan import Sheet
from flatwright.presets.model import Bit, Preset

declare("error", cutting__skin_cut="with zero on the board's top no skin is left where the board is thin")
declare(
    "warning",
    cutting__not_through="with zero on the board's top a thick board is not cut through",
    cutting__shallow_first="a compression bit's up-cutting part reaches the upper face of a thin board",
)

NOISE = 1e-6  # mm
SPARE = 0.2  # mm that an advised overcut or skin is on the safe side


def check_uneven(
    sheet: Sheet, cuts: Sequence[Cut], preset: Preset, *, smallest: float, largest: float
) -> list[Finding]:
    """Findings about a sheet's cuts; `smallest` and `largest` reading of its board, mm."""
    if not cuts:
        return []
    out = _by_top(sheet, preset, smallest, largest) if preset.machine.zero == "board top" else []
    bits = {c.bit.number: c.bit for c in cuts}
    return [*out, *_first_passes(sheet, (bits[n] for n in sorted(bits)), preset, smallest, largest)]


def _by_top(sheet: Sheet, preset: Preset, smallest: float, largest: float) -> list[Finding]:
    """Depths count from the top of a board that the programs take to be as thick as the mean."""
    skin, overcut = skin_left(preset), preset.machine.overcut
    thin, thick = sheet.thickness - smallest, largest - sheet.thickness
    if skin > 0.0 and thin >= skin - NOISE:
        return [
            finding(
                "cutting.skin-cut",
                sheet.name,
                f"zero is the board's top, and the programs count with {sheet.thickness:.2f} mm: of a board "
                f"of {smallest:.2f} mm no skin is left, and its parts come loose",
                f'Set machine.zero to "bed", leave a skin of {thin + SPARE:.1f} mm or more, or sort out the '
                "thinnest boards.",
                sheet=sheet.name,
            )
        ]
    if skin <= 0.0 and thick >= overcut - NOISE:
        return [
            finding(
                "cutting.not-through",
                sheet.name,
                f"zero is the board's top, and the programs count with {sheet.thickness:.2f} mm and an "
                f"overcut of {overcut:g} mm: they do not go through a board of {largest:.2f} mm",
                f'Set machine.zero to "bed", ask for an overcut of {thick + SPARE:.1f} mm or more, or sort '
                "out the thickest boards.",
                sheet=sheet.name,
            )
        ]
    return []


def _first_passes(
    sheet: Sheet, bits: Iterable[Bit], preset: Preset, smallest: float, largest: float
) -> list[Finding]:
    """Compression bits that may not go deep enough first to bury their up-cutting part in a thin board."""
    out = []
    for bit in bits:
        first = first_pass(bit, preset.feed(bit.number, sheet.board), largest, smallest)
        if first is None or bit.up_cut_length is None:
            continue
        buried = first - (largest - smallest)
        if buried >= bit.up_cut_length - NOISE:
            continue
        wanted = largest - smallest + bit.up_cut_length
        out.append(
            finding(
                "cutting.shallow-first",
                f"{sheet.name}, bit {bit.number}",
                f"its first pass goes {max(0.0, buried):.2f} mm into a board of {smallest:.2f} mm, less than "
                f"its up-cutting part of {bit.up_cut_length:g} mm, which then tears the upper veneer",
                f"Let it take passes of {wanted + SPARE:.1f} mm or more, or sort out the thinnest boards.",
                sheet=sheet.name,
            )
        )
    return out
