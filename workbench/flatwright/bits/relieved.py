# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Bits and reliefs together: the widest bit whose reliefs find room on every loop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from flatwright.bits.choose import PanelBits, choose_bits
from flatwright.findings import Finding
from flatwright.geometry.drawn_reliefs import drawn_reliefs, without
from flatwright.joints.piece import Surroundings
from flatwright.joints.relief import Relieved
from flatwright.joints.relief_choice import CornerChoice, match_choices
from flatwright.plan import Panel
from flatwright.presets.model import Preset


@dataclass(frozen=True, slots=True, eq=False)
class CutPanel:
    """A panel's bits, the panel relieved for them, and what went wrong with either."""

    bits: PanelBits
    relieved: Relieved
    findings: tuple[Finding, ...]


def cut_panel(around: Surroundings, preset: Preset, corners: Sequence[CornerChoice] = ()) -> CutPanel:
    """Choose the bits of a fitted panel and relieve its corners for them, `corners` as the user chose.

    A loop whose reliefs find no room gets the next narrower bit that serves it; where there is
    none, the error says which diameter would do. A panel without a board is not cut.
    """
    panel = around.panel
    if panel.board is None:
        none = PanelBits(None, (None,) * len(panel.holes), (None,) * len(panel.pockets))
        unused = match_choices(panel.loops(), corners).unused
        return CutPanel(none, Relieved(panel, (), (), (), unused), ())
    below: dict[int, float] = {}
    best = _attempt(around, preset, corners, below)
    while best.relieved.failed:
        chosen = best.bits.loops()
        below |= {k: b.cut for k in best.relieved.failed if (b := chosen[k]) is not None}
        narrower = _attempt(around, preset, corners, below)
        if any(narrower.bits.loops()[k] is None for k in best.relieved.failed):
            return _with_remedy(best, around, preset, corners)
        best = narrower
    return best


def _attempt(
    around: Surroundings, preset: Preset, corners: Sequence[CornerChoice], below: dict[int, float]
) -> CutPanel:
    bits, found = choose_bits(around.panel, preset, below)
    sharp = _without_small_reliefs(around.panel, bits)
    if sharp is not None:
        bits, found = choose_bits(sharp, preset, below)
    radii = [None if b is None else b.cut / 2 for b in bits.loops()]
    relieved = around.relieve(radii, preset.reliefs, corners)
    return CutPanel(bits, relieved, (*found, *relieved.findings))


def _without_small_reliefs(panel: Panel, bits: PanelBits) -> Panel | None:
    """The panel with plain corners in the loops that no bit can cut as they are drawn; None if that
    changes nothing. Reliefs drawn too small give way to those of the bit that cuts the rest."""
    loops = list(panel.loops())
    changed = False
    for k, bit in enumerate(bits.loops()):
        drawn = drawn_reliefs(loops[k]) if bit is None else []
        if drawn:
            loops[k], changed = without(loops[k], drawn), True
    return panel.with_loops(loops) if changed else None


def _with_remedy(
    cut: CutPanel, around: Surroundings, preset: Preset, corners: Sequence[CornerChoice]
) -> CutPanel:
    """The errors of the reliefs with the diameter that would do."""
    sizes = []
    for k in cut.relieved.failed:
        bit = cut.bits.loops()[k]
        if bit is not None:
            sizes.append(around.widest_bit(k, preset.reliefs, bit.cut, corners))
    known = [s for s in sizes if s is not None]
    if len(known) < len(sizes) or not known:
        return cut
    d = min(known)
    remedy = f"Add a bit of at most {d:.1f} mm ({d / 25.4:.3f} in) to the preset, or draw more room there."
    return replace(
        cut,
        findings=tuple(replace(f, remedy=remedy) if f.severity == "error" and f.code.startswith("relief.")
                       else f for f in cut.findings),
    )  # fmt: skip
