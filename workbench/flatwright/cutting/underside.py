# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What is cut before a sheet is turned over: pockets in the faces that are down when the parts are cut out,
and the holes of the dowels that put the sheet back. Nothing comes loose: the sheet stays whole.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from flatwright.bits.choose import PanelBits
from flatwright.bits.duty import duties, refusal, suitability
from flatwright.cutting.cut import Cut
from flatwright.cutting.holes import bore
from flatwright.cutting.lay import Lay, setup_on
from flatwright.cutting.loops import Made, pockets
from flatwright.findings import Finding, declare, finding
from flatwright.plan import Flip, Panel, Sheet
from flatwright.presets.model import Bit, Preset

declare("error", cutting__no_pin_bit="no bit can bore the holes of the registration pins")


def cut_underside(
    lying: Sheet,
    panels: Mapping[str, Panel],
    bits: Mapping[str, PanelBits],
    preset: Preset,
    *,
    smallest: float,
    largest: float,
) -> tuple[tuple[Cut, ...], list[Finding]]:
    """The pockets that are up on the sheet as it lies turned over, in its coordinates then.

    Where the bit that bores the pins' holes serves a pocket as well as the bit chosen for it, it cuts both.
    """
    cuts: list[Cut] = []
    findings: list[Finding] = []
    pin = pin_bit(lying, preset, largest)
    for p in lying.placements:
        panel = panels[p.panel]
        chosen = bits[p.panel] if pin is None else _shared(panel, bits[p.panel], pin, preset)
        lay = Lay(panel, p, chosen, lying, preset, (smallest, largest), ())
        made: Made = {}
        findings += pockets(lay, made)
        area = panel.outline.area()
        cuts += [Cut(kind, p.panel, bit, tuple(f), area) for (kind, bit), f in made.items() if f]
    return tuple(cuts), findings


def cut_pins(
    lying: Sheet, flip: Flip, preset: Preset, *, smallest: float, largest: float
) -> tuple[tuple[Cut, ...], list[Finding]]:
    """The holes of the dowels; turned over they are the same places."""
    bit = pin_bit(lying, preset, largest)
    if bit is None:
        return (), [_no_bit(lying, flip, largest)]
    setup = setup_on(lying, bit, preset, (smallest, largest))
    holes = tuple((bore((p.x, p.y), flip.diameter / 2.0, setup, -flip.depth),) for p in flip.pins)
    return (Cut("pin", "", bit, holes, 0.0),), []


def pin_bit(lying: Sheet, preset: Preset, largest: float) -> Bit | None:
    """The bit for the dowels' holes: the widest that fits, may drill, reaches down and has feeds."""
    able = [b for b in preset.bits if _may_bore(b, lying, preset, largest)]
    return min(able, key=lambda b: (-round(b.cut, 4), b.number), default=None)


def _may_bore(bit: Bit, lying: Sheet, preset: Preset, largest: float) -> bool:
    try:
        preset.feed(bit.number, lying.board)
    except KeyError:
        return False
    rules = preset.flipping
    long_enough = bit.cutting_length >= largest + rules.pin_depth - 1e-6
    return bit.may_drill and bit.cut <= rules.pin_diameter + 1e-3 and long_enough


def _shared(panel: Panel, bits: PanelBits, pin: Bit, preset: Preset) -> PanelBits:
    """The panel's bits, pockets given to the pins' bit where it is as wide and no worse: reliefs are cut
    for that width."""
    work = duties(panel, preset)[1 + len(panel.holes) :]

    def serves(k: int, bit: Bit) -> bool:
        able = refusal(work[k], pin, preset, panel.board) is None
        return able and pin.cut == bit.cut and suitability(work[k], pin) <= suitability(work[k], bit)

    pockets_bits = (b if b is None or not serves(k, b) else pin for k, b in enumerate(bits.pockets))
    return replace(bits, pockets=tuple(pockets_bits))


def _no_bit(lying: Sheet, flip: Flip, largest: float) -> Finding:
    deep = largest + flip.depth
    return finding(
        "cutting.no-pin-bit",
        lying.name,
        f"no straight or up-cut bit of at most {flip.diameter:g} mm cuts {deep:.2f} mm deep: through the "
        f"board and {flip.depth:g} mm into the spoilboard",
        "Add such a bit with its feeds to the preset, or ask for shallower or wider pins "
        "(flipping.pin_depth, pin_diameter).",
        sheet=lying.name,
    )
