# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The sheet map and the SVG elements it is made of."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from flatwright.geometry.arcs import Segment
from flatwright.geometry.outline import from_segments
from flatwright.reports import svg
from flatwright.reports.label import place_for, text_box
from flatwright.reports.lengths import Lengths
from flatwright.reports.sheet_map import face_up, sheet_map
from support.printed_plan import plan

PARK = (0.0, 610.0)
MAP = "{http://www.w3.org/2000/svg}"
ARC = re.compile(r"A([\d.]+) [\d.]+ 0 ([01]) ([01]) ([-\d.]+) ([-\d.]+)")


def drawn(of=None, index=0):
    of = of or plan()
    text = sheet_map(of, of.sheets[index], PARK, Lengths(("mm",)))
    return ET.fromstring(text)


def labels(root):
    return [e.text for e in root.iter(f"{MAP}text")]


def svg_centre(p, q, r, large, sweep):
    """Centre of an SVG arc: W3C SVG 1.1, appendix F.6.5 (equal radii, no rotation)."""
    x, y = (p[0] - q[0]) / 2, (p[1] - q[1]) / 2
    k = math.sqrt(max(0.0, r * r / (x * x + y * y) - 1.0)) * (-1 if large == sweep else 1)
    return (k * y + (p[0] + q[0]) / 2, -k * x + (p[1] + q[1]) / 2)


@given(st.floats(0.05, 4.0), st.sampled_from([-1, 1]))
def test_arcs_keep_centre_and_sense(size, sign):
    arc = Segment((0.0, 0.0), (80.0, 30.0), sign * size)
    path = svg.path([from_segments([arc, Segment(arc.q, arc.p)])])
    r, large, sweep, x, y = ARC.search(path).groups()
    c = svg_centre((0.0, 0.0), (float(x), float(y)), float(r), int(large), int(sweep))
    assert math.dist((c[0], -c[1]), arc.centre) < 0.05 * max(1.0, arc.radius / 100.0)


def test_every_part_screw_and_tab_is_drawn():
    root = drawn()
    titles = [e.text for e in root.iter(f"{MAP}title")]
    assert titles[1:] == ["1 Side", "2 Rail 1", "3 Rail 2"]
    assert {"1 Side ▲", "2 Rail 1", "3 Rail 2", "1", "2", "X", "Y", "0", "park", "face grain"} <= set(
        labels(root)
    )
    outlines = [e for e in root.iter(f"{MAP}path") if e.get("class") == "part"]
    assert len(outlines) == 3
    assert len([e for e in root.iter(f"{MAP}path") if e.get("class") == "pocket"]) == 1


def test_y_runs_upwards_on_paper():
    bars = list(drawn().iter(f"{MAP}polygon"))
    tab = bars[[b.get("points").count(" ") for b in bars].index(7)]  # four corners: the tab at y = 20
    ys = [float(v) for v in tab.get("points").split()[1::2]]
    assert sum(ys) / 4 == -20.0


def test_show_face_follows_the_flip():
    of = plan()
    side, lying = of.panel("Side"), of.sheets[0].placements[0]
    assert face_up(side, lying) == "up"
    assert face_up(side, replace(lying, flipped=True)) == "down"
    assert face_up(replace(side, show="none"), lying) == ""


def test_pocket_of_the_lower_face_is_not_shown_as_cut():
    of = plan()
    turned = replace(of.sheets[0].placements[0], x=620.0, flipped=True)
    first = replace(of.sheets[0], placements=(turned,))
    kinds = [e.get("class") for e in drawn(of.with_sheet(first)).iter(f"{MAP}path")]
    assert "below" in kinds and "pocket" not in kinds


def test_parking_point_beyond_the_map_is_left_out():
    of = plan()
    text = sheet_map(of, of.sheets[0], (0.0, 5000.0), Lengths(("mm",)))
    assert ">park<" not in text


def test_name_lies_inside_the_part_or_is_left_out():
    part = box(0, 0, 300, 40)
    place = place_for("12 Back rail", part, (50.0, 30.0, 20.0))
    assert place is not None and part.contains(text_box("12 Back rail", place))
    assert place_for("12 Back rail", box(0, 0, 50, 10), (50.0, 30.0, 20.0)) is None
