# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The dry fit: parts assembled in space without glue. Nothing may interfere, and every joint must
have the gaps of its fit class."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from flatwright.findings import Finding, finding
from flatwright.plan import Joint, Panel
from flatwright.proof import codes as codes
from flatwright.proof.classes import PLACES
from flatwright.proof.gaps import Gap, measure
from flatwright.proof.interference import TOLERANCE, Overlap, overlaps
from flatwright.proof.meeting import PARALLEL, cross_angle
from flatwright.proof.slab import Slab, planned

GAP_TOLERANCE = 0.06  # mm, since outlines are recovered within 0.05
PLANNED_TOLERANCE = 0.005  # mm, for panels as planned
KINDS = ("across", "along", "floor", "wall")
TAPERED = "wedged tenon"  # a wedge is driven until it bites: what is left along its slant is no clearance
MUTUAL = ("cross-lap", "finger joint", "half-lap")  # both parts receive each other


@dataclass(frozen=True, slots=True)
class DryFit:
    """What a trial assembly shows."""

    findings: tuple[Finding, ...]
    overlaps: tuple[Overlap, ...]
    gaps: tuple[Gap, ...]


def dry_fit(panels: Sequence[Panel], joints: Sequence[Joint]) -> DryFit:
    """Assemble panels as planned."""
    return assemble([planned(p) for p in panels], joints, gap_tolerance=PLANNED_TOLERANCE)


def assemble(
    slabs: Sequence[Slab], joints: Sequence[Joint], *, gap_tolerance: float = GAP_TOLERANCE
) -> DryFit:
    """Assemble parts; joints of parts that are not among the slabs are passed over."""
    clashes = overlaps(slabs, TOLERANCE)
    findings = [_clash(o) for o in clashes]
    by_name = {s.name: s for s in slabs}
    gaps: list[Gap] = []
    for pair in sorted({_pair(j) for j in joints}):
        mine = [j for j in joints if _pair(j) == pair]
        if all(name in by_name for name in pair):
            measured = _measured(by_name, mine)
            gaps += measured
            clash = any({o.a, o.b} == set(pair) for o in clashes)
            judged = _judged(mine, measured, gap_tolerance)
            findings += [f for f in judged if not (clash and f.code == "proof.gap-unmeasured")]
    return DryFit(tuple(findings), tuple(clashes), tuple(gaps))


def _pair(j: Joint) -> tuple[str, str]:
    a, b = sorted(j.panels)
    return (a, b)


def _measured(slabs: dict[str, Slab], joints: Sequence[Joint]) -> list[Gap]:
    """The gaps of a pair's joints, each part taken as receiver where a joint says so."""
    orders = {j.panels for j in joints}
    stepped = {j.panels for j in joints if "wall_mm" in j.fit}
    orders |= {(b, a) for j in joints if j.kind in MUTUAL for a, b in [j.panels]}
    out: list[Gap] = []
    for receiver, mate in sorted(orders):
        a, b = slabs[receiver], slabs[mate]
        if cross_angle(a, b) >= PARALLEL:
            out += [g for g in measure(a, b) if g.kind != "wall" or (receiver, mate) in stepped]
    return out


def _judged(joints: Sequence[Joint], gaps: Sequence[Gap], tolerance: float) -> Iterator[Finding]:
    """Gaps that no joint of the pair asks for, and clearances asked for that none shows."""
    for kind in KINDS:
        keys = (f"{kind}_mm", f"{kind}_other_mm")
        asking = [j for j in joints if not (kind == "along" and j.kind == TAPERED)]
        wanted = sorted({float(v) for j in asking for key in keys if (v := j.fit.get(key)) is not None})
        if not wanted:
            continue
        seen = [g for g in gaps if g.kind == kind]
        for g in seen:
            nearest = min(wanted, key=lambda w: abs(w - g.value))
            if abs(nearest - g.value) > tolerance + 1e-9:
                yield _wrong(joints[0], g, nearest)
                break
        if not seen:
            yield _unmeasured(joints[0], kind)


def _clash(o: Overlap) -> Finding:
    return finding(
        "proof.interference",
        f"{o.a} and {o.b}, near {_at(o.at)}",
        f"{o.a} and {o.b} want the same place: they reach {o.depth:.2f} mm into each other.",
        "Widen the slot or relieve the corner there; check that the parts are drawn where they belong.",
        panels=(o.a, o.b),
    )


def _wrong(j: Joint, g: Gap, wanted: float) -> Finding:
    where = PLACES.get(g.kind, "over the thickness")
    return finding(
        "proof.gap",
        f"{g.receiver} and {g.mate}, near {_at(g.at)}",
        f"The {j.kind} of {g.receiver} and {g.mate} has a gap of {g.value:.3f} mm {where}; "
        f"its fit class says {wanted:.3f} mm.",
        "Fit the joints anew and lay out again; report the fault if it stays.",
        panels=(g.receiver, g.mate),
    )


def _unmeasured(j: Joint, kind: str) -> Finding:
    a, b = j.panels
    return finding(
        "proof.gap-unmeasured",
        f"{a} and {b}",
        f"The gap {kind} of the {j.kind} of {a} and {b} could not be measured.",
        "Look at this joint in the fitted model.",
        panels=(a, b),
    )


def _at(p: tuple[float, float, float]) -> str:
    return f"({p[0]:.1f}, {p[1]:.1f}, {p[2]:.1f})"
