# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Drawings with places too fine to be meant: read as drawn and named, or left out with the place."""

from __future__ import annotations

import numpy as np
import pytest

from flatwright.findings import Finding
from flatwright.geometry.frame import Frame
from flatwright.panels.find import find_panels
from flatwright.panels.solid import Solid, Vector
from flatwright.plan import Panel
from support.solids import HERE, Ring, of_faces, prism

SHEET = [(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)]
TILTED = Frame.of((5.0, 6.0, 7.0), (1, 1, 0), (0, 1, 3))


def box(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def flat(ring: Ring, z: float, frame: Frame = HERE) -> Vector:
    return frame.to_space(np.array(ring, float), z)


def sunk(pocket: Ring, depth: float, t: float = 18.0, frame: Frame = HERE) -> Solid:
    """A sheet with a pocket in its upper face; a negative depth raises the ring instead."""
    floor, rim = flat(pocket, t - depth, frame), flat(pocket, t, frame)
    faces = [[flat(SHEET, 0.0, frame)[::-1]], [flat(SHEET, t, frame), rim[::-1]], [floor]]
    low, high = flat(SHEET, 0.0, frame), flat(SHEET, t, frame)
    for ring, above in ((low, high), (rim, floor)):
        for k in range(4):
            j = (k + 1) % 4
            faces.append([np.array([ring[k], ring[j], above[j], above[k]])])
    return of_faces("side", faces)


def read(solid: Solid) -> tuple[Panel, list[Finding]]:
    (panel,), findings = find_panels([solid])
    return panel, findings


@pytest.mark.parametrize("depth", [0.002, 0.05, 0.29, -0.002, -0.05, -0.29])
@pytest.mark.parametrize("frame", [HERE, TILTED])
def test_a_step_too_shallow_to_cut_is_read_flat_and_named(depth: float, frame: Frame) -> None:
    panel, findings = read(sunk(box(50, 20, 120, 60), depth, frame=frame))
    assert panel.thickness == 18.0  # that of the larger face
    assert panel.pockets == () and panel.holes == ()
    assert [f.code for f in findings] == ["panel.shallow-step"]
    assert "at (85.0, 40.0)" in findings[0].message or "at (115.0, 60.0)" in findings[0].message
    assert f"{abs(depth):g} mm" in findings[0].message


def test_a_pocket_that_a_bit_is_sent_for_is_read(depth: float = 0.31) -> None:
    panel, findings = read(sunk(box(50, 20, 120, 60), depth))
    assert [p.depth for p in panel.pockets] == [depth]
    assert findings == []


def test_a_floor_like_paper_is_named() -> None:
    panel, findings = read(sunk(box(50, 20, 120, 60), 17.9))
    assert [p.depth for p in panel.pockets] == [17.9]
    assert [(f.code, f.where) for f in findings] == [("panel.thin-floor", "side at (85.0, 40.0)")]
    assert "0.1 mm" in findings[0].message


@pytest.mark.parametrize("gap", [0.001, 0.05, 0.29])
def test_a_sliver_between_a_slot_and_the_edge_or_another_slot_is_named(gap: float) -> None:
    _, findings = read(prism("side", [SHEET, box(50, gap, 90, 20)]))
    assert [(f.code, f.where) for f in findings] == [("panel.thin-web", f"side at (50.0, {gap / 2:.1f})")]
    _, findings = read(prism("side", [SHEET, box(50, 10, 90, 30), box(50, 30 + gap, 90, 50)]))
    assert [f.code for f in findings] == ["panel.thin-web"]
    assert f"{gap:g} mm" in findings[0].message


@pytest.mark.parametrize("gap", [0.0, 0.001, 0.2])
def test_slots_that_meet_in_a_corner_are_named(gap: float) -> None:
    panel, findings = read(prism("side", [SHEET, box(50, 10, 70, 30), box(70 + gap, 30 + gap, 90, 50)]))
    assert len(panel.holes) == 2
    assert [(f.code, f.where) for f in findings] == [
        ("panel.thin-web", f"side at ({70 + gap / 2:.1f}, {30 + gap / 2:.1f})")
    ]


def test_slots_with_wood_between_them_are_not_named() -> None:
    assert read(prism("side", [SHEET, box(50, 0.31, 90, 20), box(50, 20.32, 90, 40)]))[1] == []


@pytest.mark.parametrize("step", [0.002, 0.05, 0.29])
def test_steps_slits_and_spikes_of_an_edge_are_named(step: float) -> None:
    stair = [(0, 0), (100, 0), (100, step), (200, step), (200, 100), (0, 100)]
    panel, findings = read(prism("side", [stair]))
    assert len(panel.outline) == 6
    assert [(f.code, f.where) for f in findings] == [("panel.tiny-step", "side at (100.0, 0.0)")]
    slit = [(0, 0), (100, 0), (100, 5), (100 + step, 5), (100 + step, 0), (200, 0), (200, 100), (0, 100)]
    assert [f.code for f in read(prism("side", [slit]))[1]] == ["panel.tiny-step"]
    spike = [
        (0, 0),
        (200, 0),
        (200, 100),
        (100 + step, 100),
        (100 + step, 105),
        (100, 105),
        (100, 100),
        (0, 100),
    ]
    assert [f.code for f in read(prism("side", [spike]))[1]] == ["panel.thin-web"]


@pytest.mark.parametrize("tiny", [1e-6, 1e-5, 1e-4, 3e-4])
def test_edges_of_no_length_vanish(tiny: float) -> None:
    """Less than 0.0005 mm is less than a plan tells apart."""
    chamfer = [(0, 0), (200 - tiny, 0), (200, tiny), (200, 100), (0, 100)]
    slit = [(0, 0), (100, 0), (100, 50), (100 + tiny, 50), (100 + tiny, 0), (200, 0), (200, 100), (0, 100)]
    for ring in (chamfer, slit):
        panel, findings = read(prism("side", [ring]))
        assert findings == []
        assert len(panel.outline) == 4
        assert panel.outline.area() == pytest.approx(20000.0, abs=0.1)


def test_an_outline_that_touches_itself_is_left_out_with_its_place_in_the_model() -> None:
    waist = [(0, 0), (100, 50), (200, 0), (200, 100), (100, 50), (0, 100)]
    panels, findings = find_panels(
        [prism("side", [waist], frame=Frame.of((1000, 0, 0), (1, 0, 0), (0, 0, 1)))]
    )
    assert panels == []
    assert [f.code for f in findings] == ["panel.left-out"]
    assert "at x 1100.0, y 50.0, z 0.0" in findings[0].message


def test_the_kernel_is_asked_why_before_the_drawing_is_blamed() -> None:
    crossed = [(0, 0), (90, 60), (90, 0), (0, 40)]
    good = prism("side", [crossed])
    bad = Solid(good.source, good.label, good.faces, good.loops, lambda: "its faces do not fit")
    assert [f.code for f in find_panels([good, bad])[1]] == ["panel.left-out", "panel.invalid"]
