# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What to say of joints that hold nothing by themselves, and of contacts that play no known role."""

from __future__ import annotations

from collections.abc import Sequence

from flatwright.findings import Finding, declare, finding
from flatwright.joints.contacts import REACH, Contact
from flatwright.joints.model import FoundJoint
from flatwright.joints.stacks import GLUED
from flatwright.plan import Panel

declare(
    "note",
    joint__butt="an edge merely stands on a face or an edge: nothing holds it but glue or screws",
    joint__face_to_face="boards lie face to face; where they are one stack for their mates, that is said",
    joint__free_end="a mortise has no flat end near its tenon: its length is kept as drawn",
    joint__unfitted="two panels touch in a way that no joint explains; the place is kept as drawn",
)


def plain(found: Sequence[FoundJoint], panels: Sequence[Panel]) -> list[Finding]:
    """A note for each joint that only glue or screws hold, and for each mortise that is not fitted along."""
    out = [_free_end(j, panels) for j in found if _ends_free(j)]
    for j in found:
        a, b = panels[j.receiver].name, panels[j.mate].name
        if j.kind in ("butt", "edge to edge"):
            out.append(
                finding(
                    "joint.butt",
                    f"{b} on {a}",
                    "It merely stands there; the edges are kept as drawn.",
                    "Glue or screw it, or draw a tenon, housing or fingers.",
                    panels=[a, b],
                )
            )
        elif j.kind == "face to face" and all(panels[k].board for k in (j.receiver, j.mate)):
            glued = all(abs(c.gap) <= GLUED for c in j.bearings)
            how = (
                "they count as one thick board for their mates"
                if glued
                else f"they are {max(c.gap for c in j.bearings):.2f} mm apart and each is fitted by itself"
            )
            out.append(
                finding(
                    "joint.face-to-face",
                    f"{b} on {a}",
                    f"They lie face to face: {how}.",
                    "Glue or screw them together before the piece is assembled."
                    if glued
                    else "Draw them touching if they are to be glued.",
                    panels=[a, b],
                )
            )
    return out


def _ends_free(joint: FoundJoint) -> bool:
    if joint.kind not in ("mortise and tenon", "blind mortise and tenon") or joint.line is None:
        return False
    line = joint.line
    return len({float(c.a.normal @ line) > 0 for c in joint.sides}) < 2


def _free_end(joint: FoundJoint, panels: Sequence[Panel]) -> Finding:
    a, b = panels[joint.receiver], panels[joint.mate]
    u, v = a.frame.to_plane(joint.cheeks[0].centre)[0, :2]
    return finding(
        "joint.free-end",
        a.spot((u, v)),
        f"The mortise of {a.name} for {b.name} has an end that is round, or lies more than {REACH:g} mm from "
        "the tenon; it is fitted over the thickness, and kept as drawn along it.",
        "Draw that end straight and near the tenon if it must hold it.",
        panels=[a.name, b.name],
    )


def unfitted(left: Sequence[Contact], panels: Sequence[Panel]) -> list[Finding]:
    """One note for each pair of panels with contacts that no joint explains."""
    pairs: dict[tuple[int, int], list[Contact]] = {}
    for c in left:
        pairs.setdefault((min(c.a.panel, c.b.panel), max(c.a.panel, c.b.panel)), []).append(c)
    out = []
    for (i, j), contacts in sorted(pairs.items()):
        panel, other = panels[i], panels[j]
        u, v = panel.frame.to_plane(contacts[0].centre)[0, :2]
        out.append(
            finding(
                "joint.unfitted",
                panel.spot((u, v)),
                f"{panel.name} and {other.name} touch there in a way that no joint explains; "
                "the edges are kept as drawn.",
                "Check that place with the boards as measured.",
                panels=[panel.name, other.name],
            )
        )
    return out
