# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The bits of the user's own CAM jobs in a document, as rows of the shop preset, if it asks for them.

The preset's own bits go before: a number that it has already is passed over. The host does not know which
way a bit's flutes pull, so the kind is read from its label or its controller's. What it does not know
either is taken by common practice (no source): a pass is one diameter deep.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from flatwright.findings import Finding, declare, finding
from flatwright.host.cam_job import our_jobs
from flatwright.presets.reading import PresetError, preset_of

declare(
    "note",
    bits__own_added="bits of the document's own jobs are used beside those of the preset",
    bits__own_left_out="a bit of the document's own jobs cannot be used",
)

Document = Mapping[str, Any]
KINDS = ("up-cut", "down-cut", "straight")
CURE = "Correct it in its job, or enter it in the preset by hand."


def with_own_bits(doc: Any, document: Document) -> tuple[Document, list[Finding]]:
    """A preset's document with a row for each usable bit of the user's own jobs, and what was done."""
    if not preset_of(document).machine.own_bits:
        return document, []
    findings: list[Finding] = []
    added: list[str] = []
    for controller in _controllers(doc):
        number = int(controller.ToolNumber)
        if number in {b.number for b in preset_of(document).bits}:
            continue
        why, bit, feed = _rows(controller, number)
        if not why:
            wider = {**document, "bits": [*document["bits"], bit], "feeds": [*document["feeds"], feed]}
            try:
                preset_of(wider)
            except PresetError as e:
                why = "; ".join(message for _, message in e.problems)
            else:
                document = wider
                added.append(f"bit {number} ({bit['kind']} {bit['diameter']})")
        if why:
            where = f"bit {number}, {controller.Label}"
            findings.append(finding("bits.own-left-out", where, f"It is left out: {why}.", CURE))
    if added:
        said = f"Taken from the document's own jobs: {', '.join(added)}."
        findings.append(finding("bits.own-added", doc.Label, said, "Nothing to do."))
    return document, findings


def _controllers(doc: Any) -> Iterator[Any]:
    """The tool controllers of all jobs but ours, job by job as they were made."""
    ours = {j.Name for j in our_jobs(doc)}
    for obj in doc.Objects:
        if getattr(obj, "Tools", None) is not None and hasattr(obj, "Operations") and obj.Name not in ours:
            yield from obj.Tools.Group


def _rows(controller: Any, number: int) -> tuple[str, dict[str, Any], dict[str, Any]]:
    """Why the bit cannot be used, else nothing, and its rows of `bits` and `feeds`."""
    tool = getattr(controller, "Tool", None)
    if not hasattr(tool, "Diameter"):  # none, or 0.20 is set to keep tools that are no objects
        return "it has no bit with a diameter", {}, {}
    kind = _kind(controller)
    if kind is None:
        return f"its name says none of {', '.join(KINDS)}", {}, {}
    sizes = [_value(tool, "Diameter"), _value(tool, "CuttingEdgeHeight")]
    # the host keeps speeds in mm/s
    feed, plunge = (60.0 * _value(controller, name) for name in ("HorizFeed", "VertFeed"))
    spindle, flutes = float(controller.SpindleSpeed), int(_value(tool, "Flutes")) or 2
    names = ("diameter", "cutting edge height", "feed", "plunge feed", "spindle speed")
    unset = [n for n, v in zip(names, (*sizes, feed, plunge, spindle), strict=True) if not v > 0.0]
    if unset:
        return f"its {' and its '.join(unset)} is not set", {}, {}
    diameter, length = sizes
    bit = {
        "number": number,
        "kind": kind,
        "diameter": _mm(diameter),
        "flutes": flutes,
        "cutting_length": _mm(length),
    }
    row = {
        "bit": number,
        "board": None,
        "spindle": f"{spindle:g} 1/min",
        "chip_load": _mm(feed / spindle / flutes),
        "pass_depth": {"value": _mm(min(diameter, length)), "note": "one diameter, common practice"},
        "plunge": f"{plunge:.6g} mm/min",
    }
    return "", bit, row


def _kind(controller: Any) -> str | None:
    """The kind that the labels name; a compression bit is left out, for its up-cut length is not known."""
    said = f"{controller.Tool.Label} {controller.Label}".lower().replace("upcut", "up-cut")
    said = said.replace("downcut", "down-cut").replace("up cut", "up-cut").replace("down cut", "down-cut")
    found = [k for k in KINDS if k in said]
    return found[0] if len(found) == 1 and "compression" not in said else None


def _value(obj: Any, name: str) -> float:
    """A property as a number, 0 where the host has none."""
    value = getattr(obj, name, 0.0)
    return float(getattr(value, "Value", value))


def _mm(value: float) -> str:
    return f"{value:.6g} mm"
