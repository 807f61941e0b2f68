# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The host's own simulator cuts our jobs: a judge of the paths that nobody here wrote."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from flatwright.cutting.swept import swept
from flatwright.geometry.polygon import polygon
from flatwright.host.cam_job import make_jobs
from flatwright.plan import placed
from support.host_simulator import simulated
from support.sheet_programs import laid_parts
from support.shopwork import THICK, Work, shop, trolley, work

CELL = 1.0  # mm
EDGE = 1.5 * CELL  # what a wall may be off on that grid
Heights = NDArray[np.float64]


@pytest.fixture(scope="module")
def cut(app: Any) -> Iterator[tuple[Work, list[Any]]]:
    """The trolley's side and shelves, and their jobs."""
    done = work(*trolley(), shop())
    doc = app.newDocument("Simulated")
    yield done, make_jobs(doc, done.sheet, done.programs, done.preset, model_objects=[laid_parts(doc)])
    app.closeDocument(doc.Name)


@pytest.fixture(scope="module")
def left(cut: tuple[Work, list[Any]]) -> Heights:
    """What all jobs leave."""
    return simulated(cut[1], CELL)


def within(heights: Heights, area: BaseGeometry) -> Heights:
    """The heights of the cells whose middle lies in an area."""
    x0, y0, x1, y1 = (math.floor(v / CELL) for v in area.bounds)
    shapely.prepare(area)
    xs, ys = np.meshgrid(np.arange(x0, x1 + 1), np.arange(y0, y1 + 1), indexing="ij")
    inside = shapely.contains_xy(area, (xs + 0.5) * CELL, (ys + 0.5) * CELL)
    found: Heights = heights[xs[inside], ys[inside]]
    assert len(found)
    return found


def pockets(done: Work, name: str) -> list[tuple[BaseGeometry, float]]:
    """A part's pockets where they lie, with the height of their floor."""
    one = done.panels[name]
    p = next(p for p in done.sheet.placements if p.panel == name)
    return [(polygon(placed(k.outline, p).ccw()), THICK - k.depth) for k in one.pockets]


def test_no_part_is_touched_but_in_its_pockets(cut: tuple[Work, list[Any]], left: Heights) -> None:
    for name in cut[0].panels:
        floors = shapely.union_all([a for a, _ in pockets(cut[0], name)])
        whole = cut[0].wood(name).difference(floors).buffer(-EDGE)
        assert within(left, whole) == pytest.approx(THICK, abs=1e-4), name


def test_pockets_have_their_depth(cut: tuple[Work, list[Any]], left: Heights) -> None:
    floors = [p for name in cut[0].panels for p in pockets(cut[0], name)]
    assert len(floors) == 2
    for area, floor in floors:
        assert within(left, area.buffer(-EDGE)) == pytest.approx(floor, abs=0.06)


def test_every_part_is_free_but_for_its_tabs(cut: tuple[Work, list[Any]], left: Heights) -> None:
    done = cut[0]
    spots = shapely.MultiPoint([(t.x, t.y) for t in done.sheet.tabs]).buffer(16.0)
    for name in done.panels:
        rim = shapely.Polygon(done.wood(name).exterior)
        kerf = rim.buffer(6.0 - EDGE).difference(rim.buffer(EDGE))
        assert within(left, kerf.difference(spots)) == pytest.approx(0.0), name


def test_every_tab_stands_at_its_height(cut: tuple[Work, list[Any]], left: Heights) -> None:
    done = cut[0]
    for t in done.sheet.tabs:
        turn = math.radians(t.angle)
        dx, dy = math.cos(turn) * t.length / 2, math.sin(turn) * t.length / 2
        line = shapely.LineString([(t.x - dx, t.y - dy), (t.x + dx, t.y + dy)]).buffer(5.0)
        bridge = line.difference(shapely.union_all([done.wood(n) for n in done.panels]).buffer(EDGE))
        heights = within(left, bridge)
        crossed = heights[heights < THICK - 1e-3]
        # it takes steps of a cell: where the first cell after a slope is reckoned, the top comes out lower
        assert t.height - CELL <= crossed.max() <= t.height + 0.06
        assert np.count_nonzero(crossed > t.height - CELL) >= t.length * (6.0 - 2.0 * EDGE) / CELL**2


def test_the_sheet_stays_where_no_bit_goes(cut: tuple[Work, list[Any]], left: Heights) -> None:
    done = cut[0]
    # plunges shallower than a cell do not show
    marks = shapely.MultiPoint([(s.x, s.y) for s in done.sheet.screws]).buffer(3.0 + EDGE)
    sheet = shapely.box(EDGE, EDGE, *(v - EDGE for v in done.sheet.size))
    stays = sheet.difference(swept(done.cuts).buffer(EDGE)).difference(marks)
    assert within(left, stays) == pytest.approx(THICK, abs=1e-4)


def test_without_the_last_job_no_part_is_free(cut: tuple[Work, list[Any]]) -> None:
    """What is asserted above can fail."""
    done, jobs = cut
    heights = simulated(jobs[:-1], CELL)
    rim = shapely.Polygon(done.wood("side").exterior)
    assert within(heights, rim.buffer(6.0 - EDGE).difference(rim.buffer(EDGE))).max() > 0.0
