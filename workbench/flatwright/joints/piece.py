# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The whole piece through the joints' room: contacts, fit, grain, reliefs, collisions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Segment
from flatwright.joints.collide import collisions
from flatwright.joints.contacts import find_contacts
from flatwright.joints.fit import Thickness, fit
from flatwright.joints.grain import with_grain
from flatwright.joints.mates import covers, mates
from flatwright.joints.model import FoundJoint
from flatwright.joints.recognise import recognise
from flatwright.joints.relief import relieve
from flatwright.plan import Joint, Panel, Relief
from flatwright.presets.model import Fits, ReliefRules

declare(
    "note",
    joint__butt="an edge merely stands on a face or an edge: nothing holds it but glue or screws",
)
declare(
    "warning",
    joint__face_to_face="boards laid face to face: neither is moved when their thickness changes",
)


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """Fitted panels, their joints, and per panel name the edges that mate (panel coordinates)."""

    panels: tuple[Panel, ...]
    joints: tuple[Joint, ...]
    found: tuple[FoundJoint, ...]
    mating: Mapping[str, tuple[Segment, ...]]


def fit_piece(
    panels: Sequence[Panel], thickness: Mapping[str, Thickness], fits: Fits
) -> tuple[Piece, list[Finding]]:
    """Recognise the joints of drawn panels and fit them to the boards."""
    scene = find_contacts(panels)
    found = recognise(scene)
    by_index = {i: thickness[p.name] for i, p in enumerate(panels) if p.name in thickness}
    fitted = fit(scene, found, by_index, fits)
    done = with_grain(fitted.panels, found)
    mating = {p.name: segs for p, segs in zip(done, fitted.mating, strict=True)}
    findings = [*fitted.findings, *_plain(found, panels), *collisions(done)]
    return Piece(tuple(done), fitted.joints, tuple(found), mating), findings


def relieve_piece(
    piece: Piece, radii: Mapping[str, Sequence[float | None]], rules: ReliefRules
) -> tuple[tuple[Panel, ...], tuple[Relief, ...], list[Finding]]:
    """Relieve every panel of a fitted piece; `radii` of the bits per loop, by panel name."""
    near, hidden = mates(piece.panels, piece.found), covers(piece.panels)
    panels: list[Panel] = []
    reliefs: list[Relief] = []
    findings: list[Finding] = []
    for panel, wood, cover in zip(piece.panels, near, hidden, strict=True):
        new, made, wrong = relieve(panel, wood, cover, radii[panel.name], rules)
        panels.append(new)
        reliefs += made
        findings += wrong
    return tuple(panels), tuple(reliefs), findings


def _plain(found: Sequence[FoundJoint], panels: Sequence[Panel]) -> list[Finding]:
    """What to say of joints that hold nothing by themselves."""
    out = []
    for j in found:
        a, b = panels[j.receiver].name, panels[j.mate].name
        if j.kind in ("butt", "edge to edge"):
            out.append(
                finding(
                    "joint.butt",
                    f"{b} on {a}",
                    f"{b} merely stands on {a}; the edges are kept as drawn.",
                    "Glue or screw it, or draw a tenon, housing or fingers.",
                    panels=[a, b],
                )
            )
        elif j.kind == "face to face":
            out.append(
                finding(
                    "joint.face-to-face",
                    f"{b} on {a}",
                    f"{a} and {b} lie face to face; what they carry is not moved when their boards differ "
                    "from the drawing.",
                    "Check the thickness of the pair by hand.",
                    panels=[a, b],
                )
            )
    return out
