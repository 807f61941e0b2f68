# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a round bit leaves standing of what a loop must clear (CHECKS GEO-5, GEO-14: opening by a disc)."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import CHORD, closed, parts, polygon
from flatwright.joints.relief_place import Place

SLACK = 1e-3  # mm taken off the bit, so that a relief of exactly its radius is not lost
NOISE = 2e-3  # mm: chords of arcs miss them by as much


def standing(place: Place, loop: Outline, r: float) -> BaseGeometry:
    """What a bit of radius r leaves of the void of the place's loop, drawn as `loop`.

    A pocket that is open to an edge or a hole is cut from beyond it.
    """
    void: BaseGeometry = polygon(loop.ccw(), tolerance=SLACK / 2)
    if place.kind == "outline":
        void = shapely.box(*void.bounds).buffer(8 * r).difference(void)
    room = void
    if place.kind == "pocket" and not place.beyond.is_empty:
        room = closed(void.union(place.beyond), CHORD)
    return void.difference(_reach(room, r))


def _reach(room: BaseGeometry, r: float) -> BaseGeometry:
    """What discs inside the room cover; a nook that the bit could only be plunged into does not count."""
    centres = parts(room.buffer(SLACK - r, quad_segs=32))
    sizes = [max(b[2] - b[0], b[3] - b[1]) for b in (p.bounds for p in centres)]
    most = max(sizes, default=0.0)
    free = [p for p, s in zip(centres, sizes, strict=True) if s >= min(r, most)]
    return shapely.union_all(free).buffer(r - SLACK, quad_segs=32).buffer(NOISE)
