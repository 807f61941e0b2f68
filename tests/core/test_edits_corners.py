# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits of corners go with the joint that the corner serves, or say that it is gone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from flatwright.edits.model import CornerEdit, Edits, End
from flatwright.edits.spots import Panels, point3, spot_in
from flatwright.geometry.outline import rectangle
from flatwright.plan import Panel
from support.edited import FAR, Done, done, slip_near, unit
from support.pieces import board


def corner(panels: Sequence[Panel], at: tuple[float, float, float], kind: str, served: bool = True) -> Edits:
    """An edit of the side's corner nearest to a point of the assembly, as the window makes one."""
    run = done(panels)
    named = Panels(panels)
    index = next(i for i, p in enumerate(panels) if p.name == "side")
    end = End(named.ref(index), spot_in(named.boxes[index], np.array(at)))
    [edit] = slip_near(panels).joints
    joint = edit.joint if served else None
    spot = next(e.spot for e in edit.joint if e.panel.source == "side")
    assert spot is not None
    middle = np.array(spot.at)  # the box about the side begins at the origin
    way = point3(np.array(at) - middle) if served else None
    assert run.codes == []
    return Edits(corners=(CornerEdit(end, kind, joint, way),))  # type: ignore[arg-type]


def relieved(run: Done) -> set[tuple[float, float]]:
    """Corners of the side with a relief, (y, z) to the nearest mm."""
    [side] = [p for p in run.piece.panels if p.name == "side"]
    out = set()
    for r in run.reliefs:
        if r.panel == "side":
            _, y, z = side.frame.to_space(np.array([r.corner]), 0.0)[0]
            out.add((float(round(y)), float(round(z))))
    return out


LOWER = (9.0, 20.0, 100.0)  # the corner of the near slot at its lower, outer end


@pytest.mark.parametrize("served", [True, False], ids=["of a joint", "of the panel"])
def test_a_relief_that_is_off_stays_off(served: bool) -> None:
    assert (20.0, 100.0) in relieved(done(unit()))
    edits = corner(unit(), LOWER, "off", served)
    run = done(unit(), edits)
    assert run.codes == []
    assert relieved(done(unit())) - relieved(run) == {(20.0, 100.0)}
    again = done(unit(), run.hand.kept)
    assert relieved(again) == relieved(run)
    assert again.hand.kept == run.hand.kept


@pytest.mark.parametrize(
    ("change", "off"),
    [
        ({"height": 400.0}, (20.0, 100.0)),
        ({"below": 100.0}, (20.0, 100.0)),
        ({"rise": 140.0}, (20.0, 140.0)),
        ({"slide": 40.0, "depth": 240.0}, (60.0, 100.0)),
        ({"first": (board("a", rectangle(0, 0, 50, 50), origin=(0, 0, 900)),)}, (20.0, 100.0)),
    ],
    ids=str,
)
def test_a_corner_goes_with_its_joint(change: dict[str, float], off: tuple[float, float]) -> None:
    run = done(unit(**change), corner(unit(), LOWER, "off"))  # type: ignore[arg-type]
    assert run.codes == []
    assert relieved(done(unit(**change))) - relieved(run) == {off}  # type: ignore[arg-type]


def test_a_corner_whose_joint_is_gone_is_told_and_kept() -> None:
    edits = corner(unit(), LOWER, "off")
    run = done(unit(tenons=(FAR,)), edits)
    assert run.codes == ["edit.gone"]
    assert "No relief at a corner of side" in run.findings[0].message
    assert run.hand.kept == edits


def test_a_corner_that_is_gone_is_told() -> None:
    edits = corner(unit(), (9.0, 100.0, 200.0), "off", served=False)
    assert done(unit(), edits).codes == ["edit.gone"]


def test_a_relief_is_of_the_kind_that_was_chosen() -> None:
    kinds = {}
    for kind in ("dog-bone", "T-bone in", "T-bone out"):
        run = done(unit(), corner(unit(), LOWER, kind))
        [one] = [r for r in run.reliefs if r.panel == "side" and np.allclose(r.corner, (20, 100), atol=1)]
        kinds[kind] = (one.kind, tuple(np.round(np.subtract(one.centre, one.corner), 3)))
    assert [k for k, _ in kinds.values()] == ["dog-bone", "T-bone", "T-bone"]
    assert len({c for _, c in kinds.values()}) == 3
