# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The pages of one sheet: set-up, map, programs, parts, screws, steps; or why it must not be cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from flatwright.cutting.moves import OperationKind, SheetProgram
from flatwright.findings import Finding, by_severity
from flatwright.holding.keep_outs import clamps
from flatwright.plan import Flip, Plan, Program, Sheet
from flatwright.presets.model import Preset
from flatwright.reports.figures import figures_table, running_time, screw_pull
from flatwright.reports.lengths import Lengths
from flatwright.reports.markup import Markup, join, table, tag
from flatwright.reports.setup import Setup
from flatwright.reports.sheet_map import face_up, sheet_map
from flatwright.reports.steps import BIT_NAMES, file_name, steps
from flatwright.turned import turned

HASH_SHOWN = 12  # first characters of a program's SHA-256
PART_COLUMNS, SCREW_COLUMNS = 2, 3  # tables side by side
ORDER: tuple[tuple[OperationKind, str], ...] = (
    ("hole", "holes"),
    ("pocket", "pockets"),
    ("inside", "openings"),
    ("outside", "outlines"),
)
LEGEND = (
    "White: parts, numbered as in the list. Grey: waste. Dashed: pocket. Black bar: tab. "
    "Number in a circle: screw. Arrow with two heads: face grain. ▲ show face up, ▽ show face down."
)


PIN_LEGEND = " Black disc in a ring: registration pin. Thin dashed line: pocket in the face that is down."


@dataclass(frozen=True, slots=True)
class Context:
    """What all pages of a print share."""

    title: str
    plan: Plan
    preset: Preset
    lengths: Lengths
    programs: Sequence[SheetProgram] = ()


def touching(sheet: Sheet, findings: Iterable[Finding]) -> list[Finding]:
    """The findings that name the sheet or a part on it, errors first."""
    parts = {p.panel for p in sheet.placements}
    return by_severity(f for f in findings if f.sheet == sheet.name or parts & set(f.panels))


def refusal(sheet: Sheet, findings: Sequence[Finding]) -> list[Finding]:
    """The errors that kept the sheet from getting programs: those that touch it, else all errors."""
    errors = [f for f in touching(sheet, findings) if f.severity == "error"]
    return errors or [f for f in findings if f.severity == "error"]


def sheet_page(sheet: Sheet, numbers: Setup, findings: Sequence[Finding], context: Context) -> Markup:
    """One section that begins on a new page."""
    preset, lengths = context.preset, context.lengths
    form = tag("p", f"Operator sheet · {context.title}", class_="form")
    head = [form, tag("h2", f"{sheet.name}: {numbers.name}"), _setup(sheet, numbers, context)]
    plan_of_it = [
        _maps(sheet, context),
        tag("p", LEGEND + (PIN_LEGEND if sheet.flip else ""), class_="legend"),
    ]
    if not sheet.programs:
        form_and_name, set_up = head[:2], head[2]
        refused = _refused(sheet, findings)
        return tag("section", *form_and_name, refused, set_up, *plan_of_it, _parts(sheet, context))
    figures = figures_table(sheet, preset, lengths)
    rest = [_programs(sheet, context), figures, _parts(sheet, context), _screws(sheet, context)]
    return tag("section", *head, *plan_of_it, *rest, _steps(sheet, numbers, context))


def _maps(sheet: Sheet, context: Context) -> Markup:
    """The map; of a sheet that is turned over one for each side, as it lies then."""
    plan, park, lengths = context.plan, context.preset.machine.park, context.lengths
    if sheet.flip is None:
        return sheet_map(plan, sheet, park, lengths)
    lying = turned(sheet, sheet.flip.axis)
    sides = [
        ("Side 1: cut first, the sheet lies like this", lying),
        ("Side 2: after the sheet was turned", sheet),
    ]
    drawn = [
        [tag("h3", head), sheet_map(plan, one, park, lengths, f", side {k}")]
        for k, (head, one) in enumerate(sides, 1)
    ]
    return join([piece for pieces in drawn for piece in pieces])


def _refused(sheet: Sheet, findings: Sequence[Finding]) -> Markup:
    reasons = [
        tag("li", tag("b", f.where), f": {f.message}", tag("br"), f"What to do: {f.remedy}")
        for f in refusal(sheet, findings)
    ]
    if not reasons:
        reasons = [tag("li", "No program was written for it.")]
    return tag(
        "div",
        tag("p", "Do not cut this sheet: it has no programs.", class_="loud"),
        tag("p", "Files of an earlier run do not belong to it. What has to be mended first:"),
        tag("ul", *reasons),
        class_="refused",
    )


def _setup(sheet: Sheet, n: Setup, context: Context) -> Markup:
    machine, lengths = context.preset.machine, context.lengths
    says = lengths.says
    nominal = "" if n.nominal is None else f", sold as {says(n.nominal)}"
    if n.readings:
        band = f"{says(n.smallest)} to {says(n.largest)}"
        measured = f"{says(n.thickness)}: mean of {len(n.readings)} readings, {band}"
    else:
        measured = f"{says(n.thickness)} as drawn. NOT MEASURED"
    zero = "the bed: top of the spoilboard" if machine.zero == "bed" else "top of the board"
    rows = [
        ("Board", n.name + nominal),
        ("Thickness", measured),
        ("Sheet", f"{lengths.size(sheet.size)}, face grain along {'X' if sheet.grain == 'length' else 'Y'}"),
        ("Z zero", zero),
        ("X, Y zero", f"corner 0 of the sheet, {machine.work_offset}"),
        (
            "Deepest cut",
            f"{says(machine.overcut)} into the spoilboard, which is {says(machine.spoilboard, 1)} thick",
        ),
        ("Clear height", f"{says(machine.clear_height, 1)} over the board and the heads"),
        ("Parking point", f"X {says(machine.park[0], 1)}, Y {says(machine.park[1], 1)}"),
    ]
    if sheet.flip is not None:
        rows += _turning(sheet, sheet.flip, n, lengths)
    for k in clamps(context.preset):
        x0, y0, x1, y1 = (says(v, 0) for v in k.corners)
        where = f"X {x0} to {x1}, Y {y0} to {y1}, at most {says(k.height, 0)} high"
        rows.append((f"Clamp {k.name}", f"{where}: here and nowhere else near the parts"))
    if sheet.screws:
        length = f"{says(n.screw_length, 1)} (board + bite), never longer than {says(n.longest_screw, 1)}"
        rows.append((f"{len(sheet.screws)} {context.preset.holding.fasteners.kind}s", length))
    return tag("dl", *(tag("div", tag("dt", k), tag("dd", v)) for k, v in rows), class_="setup")


def _turning(sheet: Sheet, flip: Flip, n: Setup, lengths: Lengths) -> list[tuple[str, str]]:
    """That the sheet is cut from both sides, and the pins that put it back."""
    says = lengths.says
    places = "; ".join(f"X {says(p.x, 1)}, Y {says(p.y, 1)}" for p in flip.pins)
    return [
        (
            "Both sides",
            f"turned over once about its middle line along {flip.axis.upper()}: side 1 first",
        ),
        ("Pins", f"{places}: the same places on both sides"),
        (
            "Dowels",
            f"{len(flip.pins)} of {says(flip.diameter)}, no longer than {says(n.longest_dowel, 1)}; their "
            f"holes go {says(flip.depth)} into the spoilboard",
        ),
    ]


def _programs(sheet: Sheet, context: Context) -> Markup:
    heads = ["Run", "File", "Bit", "Kind", "Diameter", "Spindle, 1/min", "What it does", "Time", "SHA-256"]
    rows = [row for i, p in enumerate(sheet.programs) for row in _program_rows(i + 1, p, sheet, context)]
    return join([tag("h3", "Programs, in running order"), table(heads, rows, class_="programs")])


def _program_rows(number: int, program: Program, sheet: Sheet, context: Context) -> list[list[str]]:
    """One row for each bit; the file is named in the first."""
    first = [str(number), tag("span", file_name(program), class_="file")]
    time = running_time(program, context.programs, context.preset)
    last = [what_it_does(program, context), time, tag("span", program.sha256[:HASH_SHOWN], class_="file")]
    rows = []
    for i, bit in enumerate(program.bits):
        kind = BIT_NAMES.get(bit.kind, bit.kind).removesuffix(" bit")
        says = context.lengths.says(bit.diameter)
        cells = [str(bit.number), kind, says, _speed(bit.number, sheet, context)]
        rows.append([*first, *cells, *last] if i == 0 else ["", "", *cells, "", "", ""])
    return rows


def _speed(bit: int, sheet: Sheet, context: Context) -> str:
    try:
        return f"{context.preset.feed(bit, sheet.board).spindle:.0f}"
    except KeyError:
        return "–"


def what_it_does(program: Program, context: Context) -> str:
    """For example "pockets of 2 parts, outlines of 6 parts"; plain words where the moves are not at hand."""
    if program.kind == "spots":
        return "marks the places for screws; no cutting"
    stem = file_name(program).rsplit(".", 1)[0]
    cut = next((p for p in context.programs if p.stem == stem), None)
    if cut is None:
        return "cuts"
    count = Counter(o.kind for o in cut.operations)
    found = ["holes of the pins"] if count["pin"] else []
    found += [f"{name} of {count[k]} part{'' if count[k] == 1 else 's'}" for k, name in ORDER if count[k]]
    return ", ".join(found)


def _parts(sheet: Sheet, context: Context) -> Markup:
    rows = []
    for i, placement in enumerate(sheet.placements):
        panel = context.plan.panel(placement.panel)
        tabs = sum(t.panel == panel.name for t in sheet.tabs)
        lies = "turned over" if placement.flipped else "as drawn"
        rows.append([str(i + 1), panel.name, face_up(panel, placement) or "–", lies, str(tabs)])
    heads = ["No.", "Part", "Show face", "Lies", "Tabs"]
    side = " (as they lie on side 2)" if sheet.flip else ""
    return join([tag("h3", f"Parts on this sheet{side}"), _side_by_side(heads, rows, PART_COLUMNS)])


def _screws(sheet: Sheet, context: Context) -> Markup:
    """Numbered places, in the sheet's coordinates, and what a screw bears."""
    lengths = context.lengths
    if not sheet.screws:
        return Markup("")
    rows = [[str(i + 1), *lengths.cells(s.x, 1), *lengths.cells(s.y, 1)] for i, s in enumerate(sheet.screws)]
    heads = ["No.", *lengths.heads("X"), *lengths.heads("Y")]
    pull = tag("p", screw_pull(context.preset, lengths), class_="legend")
    side = " (places as on side 2)" if sheet.flip else ""
    return join([tag("h3", f"Screws{side}"), _side_by_side(heads, rows, SCREW_COLUMNS), pull])


def _side_by_side(heads: Sequence[str], rows: Sequence[Sequence[str]], columns: int) -> Markup:
    """The rows in tables side by side, read down each."""
    each = -(-len(rows) // columns) or 1
    tables = [table(heads, rows[k : k + each]) for k in range(0, len(rows), each)]
    return tag("div", *tables, class_=f"columns of{columns}")


def _steps(sheet: Sheet, numbers: Setup, context: Context) -> Markup:
    box = tag("span", "", class_="box")
    items = [
        tag("li", box, tag("b", s.do), ". ", s.how)
        for s in steps(sheet, context.preset, numbers, context.lengths)
    ]
    return join([tag("h3", "Steps, in this order"), tag("ol", *items, class_="steps")])
