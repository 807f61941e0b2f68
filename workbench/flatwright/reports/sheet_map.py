# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The map of one sheet: parts with names, face grain, pockets, tabs, screws, origin, parking point.

Drawn to scale in black, white and one grey; symbols and letters have a size on paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flatwright.geometry.arcs import Point
from flatwright.geometry.outline import Outline, rectangle
from flatwright.geometry.polygon import polygon, region
from flatwright.plan import Panel, Placement, Plan, Sheet, placed
from flatwright.reports import svg
from flatwright.reports.label import arrow_place, place_for, widest
from flatwright.reports.lengths import Lengths
from flatwright.reports.markup import Markup, join, tag

PAPER = (184.0, 170.0)  # the most that a map takes on A4 upright, mm
MARGIN = 11.0  # around the sheet, mm on paper: for axes, sizes and a parking point beside it
LETTERS = (3.0, 2.6, 2.2, 1.9)  # heights of a part's name that are tried, mm on paper
CHORD = 0.2  # arcs in the polygon that finds a place for the name may be this coarse, mm

STYLE = """
.map{display:block;width:100%;height:auto}
.map text{font-family:inherit;fill:#000}
.map .sheet{fill:#e4e4e4;stroke:#000}
.map .part{fill:#fff;fill-rule:evenodd;stroke:#000}
.map .pocket{fill:#cfcfcf;stroke:#000}
.map .below{fill:none;stroke:#000}
.map .edge,.map .thin{stroke:#000;fill:none}
.map .solid{fill:#000}
.map .white{fill:#fff;stroke:#000}
"""


@dataclass(frozen=True, slots=True)
class _Scale:
    """`mm` of the sheet are one millimetre on paper."""

    mm: float

    def __call__(self, on_paper: float) -> float:
        return on_paper * self.mm


def sheet_map(plan: Plan, sheet: Sheet, park: Point, lengths: Lengths, side: str = "") -> Markup:
    """The map as one SVG element, of one `side` if the sheet has two. Parts bear their number on the sheet
    (from 1) and their name."""
    scale = _Scale(max(sheet.size[0] / (PAPER[0] - 2 * MARGIN), sheet.size[1] / (PAPER[1] - 2 * MARGIN)))
    content = [
        svg.path([rectangle(0.0, 0.0, *sheet.size)], class_="sheet", stroke_width=scale(0.5)),
        *(_part(plan.panel(p.panel), p, i + 1, scale) for i, p in enumerate(sheet.placements)),
        *(_tab(t.x, t.y, t.angle, t.length, scale) for t in sheet.tabs),
        *(_screw((w.x, w.y), i + 1, scale) for i, w in enumerate(sheet.screws)),
        *(_pin((p.x, p.y), scale) for p in (sheet.flip.pins if sheet.flip else ())),
        _origin(scale),
        _sizes(sheet, scale, lengths),
        _grain(sheet, scale),
        _park(park, sheet, scale),
    ]
    edge = scale(MARGIN)
    box = (-edge, -sheet.size[1] - edge, sheet.size[0] + 2 * edge, sheet.size[1] + 2 * edge)
    return tag(
        "svg",
        tag("title", f"Map of {sheet.name}{side}"),
        *content,
        class_="map",
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(f"{v:.1f}" for v in box),
        role="img",
        stroke_width=scale(0.18),
    )


def face_up(panel: Panel, placement: Placement) -> str:
    """Where the part's show face lies: "up", "down", "both" or "" (it has none)."""
    if panel.show in ("both", "none"):
        return "both" if panel.show == "both" else ""
    return "up" if panel.show == _upper(placement) else "down"


def _upper(placement: Placement) -> str:
    return "-n" if placement.flipped else "+n"


def _part(panel: Panel, placement: Placement, number: int, scale: _Scale) -> Markup:
    loops = [placed(loop, placement) for loop in (panel.outline, *panel.holes)]
    drawn = [svg.path(loops, class_="part", stroke_width=scale(0.3))]
    dashes = f"{scale(0.8):.2f} {scale(0.6):.2f}"
    pockets = [placed(p.outline, placement) for p in panel.pockets]
    for pocket, loop in zip(panel.pockets, pockets, strict=True):
        kind = "pocket" if pocket.side == _upper(placement) else "below"
        drawn.append(svg.path([loop], class_=kind, stroke_dasharray=dashes))
    label = _label(loops, pockets, panel, placement, number, scale)
    return tag("g", tag("title", f"{number} {panel.name}"), *drawn, label)


def _label(
    loops: Sequence[Outline],
    pockets: Sequence[Outline],
    panel: Panel,
    placement: Placement,
    number: int,
    scale: _Scale,
) -> Markup:
    """Number, name, show-face mark and grain arrow; only number and mark where the part is too small."""
    mark = {"up": " ▲", "down": " ▽"}.get(face_up(panel, placement), "")
    name = f"{number} {panel.name}{mark}"
    sizes = tuple(scale(s) for s in LETTERS)
    clear = region(loops[0], [*loops[1:], *pockets], CHORD)
    whole = polygon(loops[0], loops[1:], CHORD)
    place = place_for(name, clear, sizes) or place_for(name, whole, sizes)
    if place is None:
        name = f"{number}{mark}"
        place = widest(whole, sizes[0])
    drawn = [svg.words(name, place.at, place.size, place.angle)]
    turn = _grain_angle(panel, placement)
    if turn is not None:
        middle = arrow_place(name, place, turn, 3.0 * place.size, clear)
        if middle is not None:
            drawn.append(svg.double_arrow(middle, turn, 3.0 * place.size, 0.5 * place.size))
    return join(drawn)


def _grain_angle(panel: Panel, placement: Placement) -> float | None:
    """Direction of the part's face grain on the sheet, degrees."""
    if panel.grain is None:
        return None
    return (180.0 - panel.grain if placement.flipped else panel.grain) + placement.angle


def _tab(x: float, y: float, angle: float, length: float, scale: _Scale) -> Markup:
    return svg.bar((x, y), angle, max(length, scale(1.0)), scale(1.1), class_="solid")


def _screw(at: Point, number: int, scale: _Scale) -> Markup:
    disc = svg.circle(at, scale(1.7), class_="white", stroke_width=scale(0.3))
    return tag("g", disc, svg.words(str(number), at, scale(2.1), font_weight="bold"))


def _pin(at: Point, scale: _Scale) -> Markup:
    """A dowel: a black disc in a ring."""
    ring = svg.circle(at, scale(1.9), class_="white", stroke_width=scale(0.3))
    return tag("g", tag("title", "pin"), ring, svg.circle(at, scale(1.0), class_="solid"))


def _origin(scale: _Scale) -> Markup:
    """The corner that is (0, 0), with both axes."""
    drawn = [svg.circle((0.0, 0.0), scale(1.2), class_="solid")]
    for angle, name in ((0.0, "X"), (90.0, "Y")):
        start = svg.along((0.0, 0.0), angle - 90.0 if angle == 0.0 else 180.0, scale(2.2))
        drawn.append(svg.arrow(start, angle, scale(15.0), scale(2.2)))
        drawn.append(svg.words(name, svg.along(start, angle, scale(17.0)), scale(3.0), font_weight="bold"))
    drawn.append(svg.words("0", (-scale(3.0), -scale(3.0)), scale(3.0), font_weight="bold"))
    return join(drawn)


def _sizes(sheet: Sheet, scale: _Scale, lengths: Lengths) -> Markup:
    length, width = sheet.size
    below, left = -scale(6.0), -scale(6.0)
    return join(
        [
            svg.words(lengths.says(length, 0), (length / 2, below), scale(3.0)),
            svg.words(lengths.says(width, 0), (left, width / 2), scale(3.0), 90.0),
        ]
    )


def _grain(sheet: Sheet, scale: _Scale) -> Markup:
    """Face grain of the sheet, above it."""
    y = sheet.size[1] + scale(5.0)
    angle = 0.0 if sheet.grain == "length" else 90.0
    middle = sheet.size[0] / 2
    reach = scale(14.0 if sheet.grain == "length" else 7.0)
    start = {"text_anchor": "start"}
    return join(
        [
            svg.double_arrow((middle, y), angle, reach, scale(2.0)),
            svg.words("face grain", (middle + scale(9.0), y), scale(3.0), 0.0, **start),
        ]
    )


def _park(park: Point, sheet: Sheet, scale: _Scale) -> Markup:
    """A cross in a box at the parking point, if that lies on the map."""
    edge = scale(MARGIN - 2.0)
    if not (-edge <= park[0] <= sheet.size[0] + edge and -edge <= park[1] <= sheet.size[1] + edge):
        return Markup("")
    reach = scale(2.4)
    cross = [
        svg.line(svg.along(park, a, reach), svg.along(park, a + 180.0, reach), class_="edge")
        for a in (45.0, 135.0)
    ]
    box = svg.bar(park, 0.0, scale(3.4), scale(3.4), class_="white", stroke_width=scale(0.3))
    aside = scale(5.0) if park[0] <= sheet.size[0] / 2 else -scale(5.0)
    anchor = "start" if aside > 0 else "end"
    upward = scale(3.5) if park[1] > sheet.size[1] / 2 else -scale(3.5)
    name = svg.words("park", (park[0] + aside * 0.6, park[1] + upward), scale(3.0), 0.0, text_anchor=anchor)
    return join([box, *cross, name])
