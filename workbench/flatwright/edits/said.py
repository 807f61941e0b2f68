# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What there is to say of an edit by hand that cannot be followed. It is kept all the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from flatwright.edits.model import CornerEdit, Edits, End, JointEdit, JointRef, PanelEdit, TabsEdit
from flatwright.findings import Finding, declare, finding

declare(
    "warning",
    edit__gone="what an edit by hand refers to is not in the model: it is kept but changes nothing",
    edit__torn="an edit by hand fits two places equally well: it changes neither",
    edit__no_such_class="an edit by hand names a fit class that the preset has not",
)

KEPT = "it is kept, and counts again if that comes back"


Edit = PanelEdit | JointEdit | CornerEdit | TabsEdit


@dataclass(slots=True)
class Told:
    """What was said in a run, and the edits that are `lost`: they mean nothing that is there, or no one
    thing."""

    findings: list[Finding] = field(default_factory=list)
    lost: list[Edit] = field(default_factory=list)

    def gone(self, edit: Edit, missing: str) -> None:
        """What it refers to is not there: `missing` says which part of that."""
        self.lost.append(edit)
        self.findings.append(
            finding(
                "edit.gone",
                place_of(edit),
                f"{says(edit)}, set by hand, changes nothing: {missing}; {KEPT}.",
                "Set it anew where it belongs now, or forget the lost edits.",
            )
        )

    def torn(self, edit: Edit, panels: Sequence[str]) -> None:
        """Two things fit what it refers to."""
        self.lost.append(edit)
        self.findings.append(
            finding(
                "edit.torn",
                place_of(edit),
                f"{says(edit)}, set by hand, changes nothing: after changes of the model two places fit it "
                "equally well.",
                "Set it anew at the one that is meant, and forget the lost edits.",
                panels=panels,
            )
        )

    def no_such_class(self, edit: JointEdit, panels: Sequence[str], known: Sequence[str]) -> None:
        """The preset has no such class."""
        self.findings.append(
            finding(
                "edit.no-such-class",
                place_of(edit),
                f"{says(edit)}, set by hand, changes nothing: the preset has no class {edit.fit_class!r}.",
                f"Choose one of its classes ({', '.join(known)}), or add that one to the preset.",
                panels=panels,
            )
        )

    def lost_edits(self) -> Edits:
        """The lost ones as edits."""
        return Edits(
            tuple(e for e in self.lost if isinstance(e, PanelEdit)),
            tuple(e for e in self.lost if isinstance(e, JointEdit)),
            tuple(e for e in self.lost if isinstance(e, CornerEdit)),
            tuple(e for e in self.lost if isinstance(e, TabsEdit)),
        )


def says(edit: Edit) -> str:
    """What an edit decides, in a few words."""
    if isinstance(edit, JointEdit):
        return f"The fit {edit.fit_class!r} of the joint {joint_name(edit.joint)}"
    if isinstance(edit, CornerEdit):
        what = "No relief" if edit.kind == "off" else f"The relief {edit.kind!r}"
        return f"{what} at {corner_name(edit)}"
    if isinstance(edit, TabsEdit):
        return f"The tab {tabs_name(edit)}" if len(edit.tabs) == 1 else f"What was said of {tabs_name(edit)}"
    said = {"grain": edit.grain, "show face": edit.show, "staying face": edit.stays, "board": edit.board}
    return f"The {' and '.join(k for k, v in said.items() if v is not None)} of {last(edit.panel.source)}"


def place_of(edit: Edit) -> str:
    """Where an edit belongs, as the `where` of a finding."""
    if isinstance(edit, JointEdit):
        return joint_name(edit.joint)
    if isinstance(edit, TabsEdit):
        return last(edit.panel.source)
    return corner_name(edit) if isinstance(edit, CornerEdit) else last(edit.panel.source)


def joint_name(joint: JointRef) -> str:
    a, b = (last(end.panel.source) for end in joint)
    return f"{a} with {b}{_at(joint[0])}"


def corner_name(edit: CornerEdit) -> str:
    serves = "" if edit.joint is None else f", joint {joint_name(edit.joint)}"
    return f"a corner of {last(edit.at.panel.source)}{_at(edit.at) if edit.joint is None else serves}"


def tabs_name(edit: TabsEdit) -> str:
    name = last(edit.panel.source)
    return f"of {name}{_at(End(edit.panel, edit.tabs[0].spot))}" if len(edit.tabs) == 1 else f"tabs of {name}"


def _at(end: End) -> str:
    if end.spot is None:
        return ""
    x, y, z = end.spot.at
    return f" at ({x:.0f}, {y:.0f}, {z:.0f})"


def last(source: str) -> str:
    """A panel's own label, of its labels down the tree."""
    return source.rsplit("/", 1)[-1]
