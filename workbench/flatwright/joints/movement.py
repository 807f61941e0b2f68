# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Joints whose boards move more than the joint has room for, from the air of the readings to that of use.

In thickness a board moves in its slot; in its plane what counts is how much more one panel of a pair
grows than the other between the outermost tenons or fingers that they share.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from flatwright.boards.batch import Batch
from flatwright.boards.climate import CAVEAT, air
from flatwright.boards.moisture import IN_PLANE_ACROSS, IN_PLANE_ALONG
from flatwright.findings import Finding, declare, finding
from flatwright.geometry.frame import Vector
from flatwright.joints.model import FoundJoint
from flatwright.plan import Joint, Panel
from flatwright.presets.model import Climate, Fits

declare(
    "warning",
    joint__moves_in_slot="a board swells or shrinks by more than the clearance of its slot",
    joint__moves_along="two panels grow apart by more than the clearance along their tenons or fingers",
)

NO_LESS = 1e-4  # mm: as much as the clearance is not more than it


@dataclass(frozen=True, slots=True)
class _Movement:
    """Of joints alike: `by` mm against a `clearance` of mm; the joint that is named, how many there are."""

    joint: Joint
    by: float
    clearance: float
    count: int = 1


def movements(
    joints: Sequence[Joint],
    found: Sequence[FoundJoint],
    panels: Sequence[Panel],
    batches: Mapping[str, Batch],
    fits: Fits,
) -> list[Finding]:
    """What there is to say; nothing where the preset names no air of use.

    `found` are the same joints as recognised, `panels` those that they count; `batches` by board name.
    """
    if fits.used_at is None:
        return []
    boards = [batches.get(p.board or "") for p in panels]
    return [
        *(_in_slot(m, fits.used_at) for m in _in_thickness(joints, found, boards)),
        *(_along(m, fits.used_at) for m in _in_plane(joints, found, panels, boards, fits)),
    ]


def _in_thickness(
    joints: Sequence[Joint], found: Sequence[FoundJoint], boards: Sequence[Batch | None]
) -> list[_Movement]:
    """One for each kind, class and movement."""
    out: dict[tuple[str, str, float], _Movement] = {}
    for joint, recognised in zip(joints, found, strict=True):
        across, name = joint.fit.get("across_mm"), str(joint.fit.get("class"))
        if not isinstance(across, float):
            continue
        growths = [sum(_growth(boards[i]) for i in span) for span in dict.fromkeys(recognised.spans)]
        by = max(growths, key=lambda g: round(abs(g), 6), default=0.0)
        clearance = across - max(0.0, by)  # slots have room for the swelling already
        if abs(by) > clearance + NO_LESS:
            _count(out, (joint.kind, name, round(by, 4)), _Movement(joint, by, clearance))
    return list(out.values())


def _growth(batch: Batch | None) -> float:
    return 0.0 if batch is None else batch.growth


def _in_plane(
    joints: Sequence[Joint],
    found: Sequence[FoundJoint],
    panels: Sequence[Panel],
    boards: Sequence[Batch | None],
    fits: Fits,
) -> list[_Movement]:
    """One for each pair of panels, over all the joints between the two."""
    pairs: dict[tuple[int, int], list[int]] = {}
    for k, recognised in enumerate(found):
        if recognised.line is not None and (recognised.sides or recognised.flanks):
            pairs.setdefault((recognised.receiver, recognised.mate), []).append(k)
    out = []
    for (i, j), shared in pairs.items():
        a, b, line = boards[i], boards[j], found[shared[0]].line
        if a is None or b is None or line is None:
            continue
        ends = [c.extent(line) for k in shared for c in (*found[k].sides, *found[k].flanks)]
        span = max(e[1] for e in ends) - min(e[0] for e in ends)
        by = span * _apart((panels[i], a), (panels[j], b), line)
        clearance = min(fits.classes[str(joints[k].fit["class"])].along for k in shared)
        if by > clearance + NO_LESS:
            out.append(_Movement(joints[shared[0]], by, clearance, len(shared)))
    return out


def _apart(one: tuple[Panel, Batch], other: tuple[Panel, Batch], line: Vector) -> float:
    """How much more one panel grows than the other along a line, for every mm of it."""
    shares = ([k * batch.moisture for k in coefficients(panel, line)] for panel, batch in (one, other))
    return max(abs(a - b) for a, b in product(*shares))


def coefficients(panel: Panel, line: Vector) -> tuple[float, ...]:
    """Movement along a line in the panel's plane for every % of moisture content, by the angle between
    line and face grain; both ends of what is possible where the grain is free."""
    if panel.grain is None:
        return (IN_PLANE_ALONG, IN_PLANE_ACROSS)
    u, v = float(line @ panel.frame.u), float(line @ panel.frame.v)
    off = math.atan2(v, u) - math.radians(panel.grain)
    return (IN_PLANE_ALONG * math.cos(off) ** 2 + IN_PLANE_ACROSS * math.sin(off) ** 2,)


def _count(out: dict[tuple[str, str, float], _Movement], key: tuple[str, str, float], new: _Movement) -> None:
    known = out.get(key)
    out[key] = new if known is None else _Movement(known.joint, known.by, known.clearance, known.count + 1)


def _title(m: _Movement) -> str:
    receiver, mate = m.joint.panels
    more = f" and {m.count - 1} more like it" if m.count > 1 else ""
    return f"the {m.joint.kind} of {receiver} and {mate}{more}"


def _in_slot(m: _Movement, used_at: Climate) -> Finding:
    gap = f"{m.clearance + abs(m.by):.2f} mm"
    then = (
        f"slots are cut that much wider, so until then the gap is {gap}"
        if m.by > 0
        else f"there the gap will be {gap}"
    )
    return finding(
        "joint.moves-in-slot",
        _title(m).removeprefix("the "),
        f"at {air(used_at)} a board gets {abs(m.by):.2f} mm {'thicker' if m.by > 0 else 'thinner'}, more "
        f"than the clearance of {m.clearance:.2f} mm in {_title(m)}: {then}",
        f"let the boards lie in the air that they will be used in before you measure them; {CAVEAT}",
        panels=m.joint.panels,
    )


def _along(m: _Movement, used_at: Climate) -> Finding:
    receiver, mate = m.joint.panels
    return finding(
        "joint.moves-along",
        f"{mate} in {receiver}",
        f"at {air(used_at)} {receiver} and {mate} grow or shrink {m.by:.2f} mm more the one than the other "
        f"between their outermost tenons, more than the clearance of {m.clearance:.2f} mm along them",
        f"turn the face grain of one of the two, or take a class with more clearance along; {CAVEAT}",
        panels=m.joint.panels,
    )
