# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Small parts laid into the drops of big openings, if the preset asks for it.

It is done before the layout, so that any engine may follow: a part and its guests are then one piece.
A guest keeps so far off the opening's walls that wood stays between the two kerfs for the tabs on both:
the guest hangs on the drop, and the drop on its part. The opening must have free straight edges for
those tabs. Guests lie in the largest upright rectangle that the drop holds.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import Polygon, box

from flatwright.findings import Finding, declare, finding
from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import Outline
from flatwright.geometry.polygon import parts, polygon
from flatwright.plan import Panel
from flatwright.presets.model import Preset
from flatwright.sheets.job import Layout, LayoutJob, Part, Spot, Stock
from flatwright.sheets.screening import fits

declare("note", layout__in_drops="parts lie in the drop of another part's opening")

FIRM = 3.0  # mm of wood that must stay between two kerfs for tabs to end in
CORNER = 6.0  # mm that a tab keeps off a corner, beyond its own slopes
DROP_TABS = 2  # free edges that an opening needs, each with room for a tab
TOUCH = 1.0  # mm: a joint's edge nearer than this lies on an edge of the opening
CHORD = 1e-3
MOST_COLUMNS = 24  # places tried for the sides of the rectangle in a drop

Pack = Callable[[LayoutJob], Layout]  # a verified layout
Mating = Mapping[str, Sequence[Segment]]


@dataclass(frozen=True, slots=True)
class Nested:
    """The job without the guests, and where these lie: by host, each with its place at the host's first
    turn, the host's own corner at (0, 0)."""

    job: LayoutJob
    guests: Mapping[str, tuple[Spot, ...]]

    def unfolded(self, layout: Layout) -> Layout:
        """The layout with every guest in its host; those of a host left over are left over too."""
        first = {p.name: p.turns[0] for p in self.job.parts}
        spots = list(layout.spots)
        for s in layout.spots:
            spots += [_carried(g, s, s.angle - first[s.part]) for g in self.guests.get(s.part, ())]
        lost = [g.part for name in layout.left for g in self.guests.get(name, ())]
        return replace(layout, spots=tuple(spots), left=(*layout.left, *lost))


def nested(
    job: LayoutJob, panels: Sequence[Panel], preset: Preset, mating: Mating, where: str, pack: Pack
) -> tuple[Nested, list[Finding]]:
    """Guests for the big openings of `panels`, largest opening first; none unless the preset asks for it."""
    guests: dict[str, tuple[Spot, ...]] = {}
    if preset.layout.parts_in_drops and "tabs" in preset.holding.method:
        left = {p.name: p for p in job.parts}
        for host, room in _drops(job, panels, preset, mating):
            if host.name not in left:
                continue  # a guest itself
            fitting = [p for p in left.values() if p.name != host.name and p.name not in guests]
            found = _fill(room, host, fitting, job, pack)
            if found:
                guests[host.name] = (*guests.get(host.name, ()), *found)
                for g in found:
                    del left[g.part]
    gone = {g.part for found in guests.values() for g in found}
    parts_left = (p for p in job.parts if p.name not in gone)
    kept = replace(job, parts=tuple(_piece(p, job, guests.get(p.name, ())) for p in parts_left))
    return Nested(kept, guests), [_told(where, host, found) for host, found in guests.items()]


def _drops(
    job: LayoutJob, panels: Sequence[Panel], preset: Preset, mating: Mating
) -> list[tuple[Part, Polygon]]:
    """Openings whose drops can be held, largest room first: the part, and the rectangle for guests."""
    widest = max((b.cut for b in preset.bits), default=0.0) + preset.entries.finish_allowance
    wall = max(job.spacing, 2.0 * widest + FIRM)
    tabs = preset.holding.tabs
    edge = tabs.length + widest + 2.0 * (tabs.height + preset.machine.overcut + CORNER)
    hosts = {p.name: p for p in job.parts}
    found: list[tuple[Part, Polygon]] = []
    for panel in panels:
        host = hosts.get(panel.name)
        for hole in panel.holes if host is not None else ():
            assert host is not None
            if _free_edges(hole, mating.get(panel.name, ()), edge) < DROP_TABS:
                continue
            host = _with_guests(host, job)
            lies = hole.moved(angle=math.radians(host.turns[0]), mirror=host.flipped).ccw()
            room = _rectangle(polygon(lies, tolerance=CHORD).buffer(-wall, join_style="mitre"))
            if room is not None:
                found.append((host, room))
    return sorted(found, key=lambda pair: -round(pair[1].area))


def _free_edges(hole: Outline, mating: Sequence[Segment], length: float) -> int:
    """How many straight edges of a loop have room for a tab and go into no joint."""
    long = [s for s in hole.segments() if s.is_line and s.length >= length]
    return sum(
        all(s.distance(m.at(0.5)) > TOUCH and m.distance(s.at(0.5)) > TOUCH for m in mating) for s in long
    )


def _rectangle(area: Polygon) -> Polygon | None:
    """The largest upright rectangle in an area, in whole micrometres; the first of equals."""
    best: tuple[float, Polygon] | None = None
    for piece in parts(area):
        xs = _columns(piece)
        y0, y1 = piece.bounds[1], piece.bounds[3]
        for i, a in enumerate(xs):
            for b in xs[i + 1 :]:
                low, high = _clear(piece, a, b, y0, y1)
                size = round((b - a) * (high - low), 1)
                if size > 0.0 and (best is None or size > best[0]):
                    best = (size, box(a, low, b, high))
    return None if best is None else best[1]


def _columns(piece: Polygon) -> list[float]:
    """Where the rectangle's sides may stand: at the corners, or evenly where these are many."""
    x0, x1 = piece.bounds[0], piece.bounds[2]
    low, high = math.ceil(x0 * 1000.0 - 0.01), math.floor(x1 * 1000.0 + 0.01)
    corners = {round(x * 1000.0) for x in shapely.get_coordinates(piece)[:, 0].tolist()}
    found = sorted({low, high, *(c for c in corners if low < c < high)})
    if len(found) > MOST_COLUMNS:
        found = [low + (high - low) * k // (MOST_COLUMNS - 1) for k in range(MOST_COLUMNS)]
    return [x / 1000.0 for x in found]


def _clear(piece: Polygon, a: float, b: float, y0: float, y1: float) -> tuple[float, float]:
    """The longest stretch of y over which the whole strip from a to b lies in the piece."""
    out = box(a, y0, b, y1).difference(piece.buffer(CHORD))
    taken = sorted((p.bounds[1], p.bounds[3]) for p in parts(out))
    best, at = (0.0, 0.0), y0
    for low, high in [*taken, (y1, y1)]:
        if round(low - at, 3) > round(best[1] - best[0], 3):
            best = (at, low)
        at = max(at, high)
    return math.ceil(best[0] * 1000.0 - 0.01) / 1000.0, math.floor(best[1] * 1000.0 + 0.01) / 1000.0


def _fill(room: Polygon, host: Part, fitting: Sequence[Part], job: LayoutJob, pack: Pack) -> list[Spot]:
    """Parts laid out in a drop's room, where they lie in the host at its first turn."""
    x0, y0, x1, y1 = room.bounds
    turned = [replace(p, turns=turns) for p in fitting if (turns := _turns_with(p, host))]
    inside = LayoutJob(
        tuple(turned), (Stock(x1 - x0, y1 - y0, 1),), 0.0, job.spacing, job.seed, min(1.0, job.time)
    )
    spots = pack(inside).spots if turned else ()
    return [replace(s, sheet=0, x=round(s.x + x0, 6), y=round(s.y + y0, 6)) for s in spots]


def _piece(part: Part, job: LayoutJob, guests: Sequence[Spot]) -> Part:
    """The part as it is laid out together with its guests, if it has any."""
    if not guests:
        return part
    names = {part.name, *(g.part for g in guests)}
    return replace(
        _with_guests(part, job), both_faces=any(p.both_faces for p in job.parts if p.name in names)
    )


def _with_guests(host: Part, job: LayoutJob) -> Part:
    """A host only makes half turns, so that its guests' grain stays along the sheet: from the first turn
    with which it fits on a sheet."""
    one = (t for t in host.turns if any(fits(replace(host, turns=(t,)), s, job.edge) for s in job.stock))
    first = next(one, host.turns[0])
    others = (t for t in host.turns if t != first and abs((t - first) % 360.0 - 180.0) < 1e-6)
    return replace(host, turns=(first, *others))


def _turns_with(guest: Part, host: Part) -> tuple[float, ...]:
    """The guest's turns at the host's first one that stay allowed at each of the host's turns."""
    return tuple(t for t in guest.turns if all(_allowed(guest, t + h - host.turns[0]) for h in host.turns))


def _allowed(part: Part, angle: float) -> bool:
    return any(abs((angle - t + 180.0) % 360.0 - 180.0) < 1e-6 for t in part.turns)


def _carried(guest: Spot, host: Spot, turn: float) -> Spot:
    """A guest where its host has come to lie, turned by `turn` degrees from its first turn."""
    c, s = round(math.cos(math.radians(turn)), 12), round(math.sin(math.radians(turn)), 12)
    x, y = guest.x * c - guest.y * s + host.x, guest.x * s + guest.y * c + host.y
    angle = round(guest.angle + turn, 6) % 360.0
    return Spot(guest.part, host.sheet, round(x, 6), round(y, 6), angle)


def _told(where: str, host: str, found: Sequence[Spot]) -> Finding:
    names = ", ".join(g.part for g in found)
    return finding(
        "layout.in-drops",
        where,
        f"{names} {'lies' if len(found) == 1 else 'lie'} in the drop of an opening of {host}: cut first, and "
        "held by tabs to the drop, which hangs on tabs too.",
        "Nothing to do, or set layout.parts_in_drops to false in the preset.",
        panels=[host, *(g.part for g in found)],
    )
