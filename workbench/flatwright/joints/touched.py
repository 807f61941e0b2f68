# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The stretches of edges that lie against another board in a joint, whether the fit moves them or not.

What the fit moves is known from the fit; the end of a shelf that stands off a housing's floor stays as
drawn, and yet no stub of a tab may be left there.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from flatwright.geometry.arcs import Segment
from flatwright.joints.contacts import Contact
from flatwright.joints.faces import PlaneFace
from flatwright.joints.model import FoundJoint
from flatwright.plan import Panel

SHORT = 0.5  # mm: contacts shorter than this along an edge are none


def touched(panels: Sequence[Panel], joints: Iterable[FoundJoint]) -> dict[str, list[Segment]]:
    """By panel name the stretches of its edges and walls that take part in a joint, in the coordinates of
    `panels`, in which the joints were found."""
    loops = [[loop.segments() for loop in p.loops()] for p in panels]
    out: dict[str, list[Segment]] = {p.name: [] for p in panels}
    for joint in joints:
        for contact in joint.contacts():
            for face in (contact.a, contact.b):
                if face.is_line:
                    stretch = _stretch(
                        contact, face, panels[face.panel], loops[face.panel][face.loop][face.segment]
                    )
                    out[panels[face.panel].name] += [stretch] if stretch.length >= SHORT else []
    return out


def _stretch(contact: Contact, face: PlaneFace, panel: Panel, edge: Segment) -> Segment:
    at = [edge.fraction((float(u), float(v))) for u, v in panel.frame.to_plane(contact.points)[:, :2]]
    return edge.part(min(1.0, max(0.0, min(at))), min(1.0, max(0.0, max(at))))
