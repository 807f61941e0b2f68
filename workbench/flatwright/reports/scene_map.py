# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The picture of a proven sheet: what the bits leave, screws, tabs, zones safe for screws, faults circled."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from flatwright.geometry.outline import rectangle
from flatwright.geometry.polygon import parts
from flatwright.proof.scene import Fault, Scene
from flatwright.reports import svg
from flatwright.reports.markup import Markup, join, tag

PAPER = 180.0  # mm that the longer side of the picture takes on paper
EDGE = 6.0  # mm on paper around it

# In the picture itself, so that it can stand alone in a file; black, white and greys, faults by their ring.
STYLE = """
.scene{display:block;width:100%;height:auto}
.scene text{font-family:sans-serif}
.scene .wood{fill:#f4f4f4;stroke:#000}
.scene .marked{fill:#bbb;fill-rule:evenodd;stroke:none}
.scene .opened{fill:#555;fill-rule:evenodd;stroke:none}
.scene .zone{fill:none;fill-rule:evenodd;stroke:#000}
.scene .screw{fill:#fff;stroke:#000}
.scene .pin{fill:#000}
.scene .tab{fill:#fff;stroke:#000}
.scene .fault{fill:none;stroke:#000}
"""


def scene_map(scene: Scene) -> Markup:
    """One SVG element, to scale."""
    x0, y0, x1, y1 = scene.box()
    unit = max(x1 - x0, y1 - y0) / PAPER  # mm of the sheet to one on paper
    marked, opened = scene.marked(), scene.opened()
    drawn = [
        svg.path([rectangle(x0, y0, x1, y1)], class_="wood", stroke_width=0.3 * unit),
        _region(marked, "marked"),
        _region(opened, "opened"),
        *([_zones(scene, unit)] if scene.with_zones else []),
        *(svg.bar((t.x, t.y), t.angle, t.length, max(2.5 * unit, 6.0), class_="tab", stroke_width=0.2 * unit)
          for t in scene.tabs),
        *(svg.circle((w.x, w.y), max(scene.head.head_diameter / 2, 1.2 * unit), class_="screw",
                     stroke_width=0.4 * unit) for w in scene.screws),
        *(svg.circle((p.x, p.y), 1.0 * unit, class_="pin") for p in scene.pins),
        *(_fault(f, unit) for f in scene.faults),
    ]  # fmt: skip
    edge = EDGE * unit
    box = (x0 - edge, -y1 - edge, x1 - x0 + 2 * edge, y1 - y0 + 2 * edge)
    return tag(
        "svg",
        tag("title", f"What the programs leave of {scene.name}"),
        tag("style", STYLE),
        *drawn,
        class_="scene",
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(f"{v:.2f}" for v in box),
        role="img",
    )


def _zones(scene: Scene, unit: float) -> Markup:
    """Zones hatched by their outline; their middle names them."""
    zones = scene.zones(scene.swept())
    dashes = f"{2.0 * unit:.2f} {1.2 * unit:.2f}"
    drawn = [_region(zones, "zone", stroke_width=0.4 * unit, stroke_dasharray=dashes)]
    for p in parts(zones):
        c = shapely.point_on_surface(p)
        if p.area > (20.0 * unit) ** 2:
            drawn.append(svg.words("safe for screws", (c.x, c.y), 3.0 * unit))
    return join(drawn)


def _fault(f: Fault, unit: float) -> Markup:
    ring = svg.circle(
        f.at, 4.0 * unit, class_="fault", stroke_width=(1.2 if f.severity == "error" else 0.6) * unit
    )
    beside = (f.at[0] + 6.5 * unit, f.at[1] + 3.0 * unit)
    return join([ring, svg.words(str(f.number), beside, 4.0 * unit, font_weight="bold")])


def _region(shape: BaseGeometry, kind: str, **attributes: str | int | float | None) -> Markup:
    if shape.is_empty:
        return Markup("")
    return svg.region(shape, class_=kind, **attributes)
