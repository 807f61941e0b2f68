# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Edits by hand, as frozen values: what of a panel, a joint, a corner or tabs was not left to the rules."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from typing import Literal

from flatwright.joints.relief_choice import CornerKind
from flatwright.plan import Show, Side

Point3 = tuple[float, float, float]

SAME_SPOT = 2.0  # mm: spots this close are one, seen on the panel as drawn or as fitted


@dataclass(frozen=True, slots=True)
class PanelRef:
    """A panel: `source` its labels down the tree, `object` the host's own name of it ("" if not known),
    which stays when a label changes."""

    source: str
    object: str = ""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on a panel: `at` mm from the lower corner of the box about the panel, along the assembly's
    axes; `of` that box's size, mm. A panel's own axes will not do: u is its longer side, and which
    that is may change."""

    at: Point3
    of: Point3


@dataclass(frozen=True, slots=True)
class End:
    """One of the two panels of a joint, and where on it the joint is (None: anywhere)."""

    panel: PanelRef
    spot: Spot | None = None


JointRef = tuple[End, End]


@dataclass(frozen=True, slots=True)
class Pose:
    """How a panel lay in the assembly when edits were last looked at: `low` and `high` the corners of the box
    about it, `middle` and `mean` two points that turn with it (of its outline's box, of its loops' points),
    `u` and `n` the directions of its longer side and of its normal, which may come out the other way round
    after a turn."""

    panel: PanelRef
    low: Point3
    high: Point3
    middle: Point3
    mean: Point3
    u: Point3
    n: Point3


@dataclass(frozen=True, slots=True)
class PanelEdit:
    """Of one panel; None leaves it to the rules. `grain` degrees from the longer side, or "any".
    `u` is the direction of that side in the assembly when it was said: when another side has become
    the longer one, the grain stays where it was."""

    panel: PanelRef
    grain: float | Literal["any"] | None = None
    u: Point3 | None = None
    show: Show | None = None
    stays: Side | None = None
    board: str | None = None

    @property
    def says_nothing(self) -> bool:
        """True when all is left to the rules."""
        return (self.grain, self.show, self.stays, self.board) == (None, None, None, None)

    def over(self, other: PanelEdit) -> PanelEdit:
        """This edit, and what the other says where this one says nothing."""
        given = {f.name: v for f in fields(self) if (v := getattr(self, f.name)) is not None}
        if self.grain is not None:
            given["u"] = self.u
        return replace(other, **given)


@dataclass(frozen=True, slots=True)
class JointEdit:
    """The fit class of one joint, or of all joints between two panels (ends without spots)."""

    joint: JointRef
    fit_class: str


@dataclass(frozen=True, slots=True)
class CornerEdit:
    """The relief of one corner of a panel. With a `joint`, `from_joint` is the way from the middle of that
    joint to the corner, mm along the assembly's axes; without one `at.spot` says where it is. `along`: the
    edge of a T-bone, as a direction of the assembly away from the corner; without it the kind tells."""

    at: End
    kind: CornerKind
    joint: JointRef | None = None
    from_joint: Point3 | None = None
    along: Point3 | None = None


@dataclass(frozen=True, slots=True)
class TabSpot:
    """A tab: where its middle stands on an edge of the fitted panel, and its length and height, mm (None:
    by the rules)."""

    spot: Spot
    length: float | None = None
    height: float | None = None


@dataclass(frozen=True, slots=True)
class TabsEdit:
    """The tabs of one panel: these and, but for a bridge that a neighbour needs, no other if `only`; else
    those too that the rules add around them."""

    panel: PanelRef
    tabs: tuple[TabSpot, ...]
    only: bool = False


@dataclass(frozen=True, slots=True)
class Edits:
    """All edits of one model. `cut_slots`: where boards are drawn through each other the slot is cut.
    `poses`: how the panels lay that the edits speak of; they tell when the whole piece was turned."""

    panels: tuple[PanelEdit, ...] = ()
    joints: tuple[JointEdit, ...] = ()
    corners: tuple[CornerEdit, ...] = ()
    tabs: tuple[TabsEdit, ...] = ()
    cut_slots: bool = False
    poses: tuple[Pose, ...] = field(default=(), compare=False)

    def with_panel(self, edit: PanelEdit) -> Edits:
        """With an edit in place of all earlier ones of that panel; one that says nothing only takes away."""
        kept = tuple(e for e in self.panels if e.panel.source != edit.panel.source)
        return replace(self, panels=kept if edit.says_nothing else (*kept, edit))

    def with_joint(self, edit: JointEdit | None, joint: JointRef) -> Edits:
        """With an edit (None: the rules) in place of an earlier one of that joint."""
        kept = tuple(e for e in self.joints if not same_joint(e.joint, joint))
        return replace(self, joints=kept if edit is None else (*kept, edit))

    def with_corner(self, edit: CornerEdit | None, at: End) -> Edits:
        """With an edit (None: the rules) in place of an earlier one of that corner."""
        kept = tuple(e for e in self.corners if not same_end(e.at, at))
        return replace(self, corners=kept if edit is None else (*kept, edit))

    def with_tabs(self, edit: TabsEdit | None, panel: PanelRef) -> Edits:
        """With an edit (None: the rules) in place of an earlier one of that panel's tabs."""
        kept = tuple(e for e in self.tabs if e.panel.source != panel.source)
        return replace(self, tabs=kept if edit is None else (*kept, edit))

    def under(self, more: Edits) -> Edits:
        """With more edits, which win where both say something."""
        out = self
        for p in more.panels:
            mine = next((e for e in out.panels if e.panel.source == p.panel.source), None)
            out = out.with_panel(p if mine is None else p.over(mine))
        for j in more.joints:
            out = out.with_joint(j, j.joint)
        for c in more.corners:
            out = out.with_corner(c, c.at)
        for t in more.tabs:
            out = out.with_tabs(t, t.panel)
        return replace(out, cut_slots=self.cut_slots or more.cut_slots, poses=self.poses or more.poses)

    def without(self, lost: Edits) -> Edits:
        """The edits that are not among others."""
        return replace(
            self,
            panels=tuple(e for e in self.panels if e not in lost.panels),
            joints=tuple(e for e in self.joints if e not in lost.joints),
            corners=tuple(e for e in self.corners if e not in lost.corners),
            tabs=tuple(left for e in self.tabs if (left := _left(e, lost.tabs)) is not None),
        )

    def by_labels(self) -> Edits:
        """The same without the host's own names, which mean nothing in a file of another kind."""

        def end(e: End) -> End:
            return End(PanelRef(e.panel.source), e.spot)

        def joint(j: JointRef) -> JointRef:
            return (end(j[0]), end(j[1]))

        return replace(
            self,
            poses=tuple(replace(p, panel=PanelRef(p.panel.source)) for p in self.poses),
            panels=tuple(replace(e, panel=PanelRef(e.panel.source)) for e in self.panels),
            joints=tuple(replace(e, joint=joint(e.joint)) for e in self.joints),
            corners=tuple(
                replace(e, at=end(e.at), joint=None if e.joint is None else joint(e.joint))
                for e in self.corners
            ),
            tabs=tuple(replace(e, panel=PanelRef(e.panel.source)) for e in self.tabs),
        )


def _left(edit: TabsEdit, lost: tuple[TabsEdit, ...]) -> TabsEdit | None:
    """The edit without the tabs that are lost; None where nothing is left of it."""
    gone = [t for e in lost if e.panel == edit.panel for t in e.tabs]
    left = tuple(t for t in edit.tabs if t not in gone)
    return replace(edit, tabs=left) if left or not gone else None


def same_joint(a: JointRef, b: JointRef) -> bool:
    """True when both say the same joint, whichever panel comes first."""
    return any(same_end(a[0], p) and same_end(a[1], q) for p, q in (b, b[::-1]))


def same_end(a: End, b: End) -> bool:
    """True when both are one spot of one panel."""
    if a.panel.source != b.panel.source or (a.spot is None) != (b.spot is None):
        return False
    if a.spot is None or b.spot is None:
        return True
    return all(abs(x - y) < SAME_SPOT for x, y in zip(a.spot.at, b.spot.at, strict=True))
