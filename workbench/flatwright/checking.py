# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Checking programs that lie in files, with the plan that they were made from or without any."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

from flatwright import resources
from flatwright.boards.batch import Batch, measured, unmeasured
from flatwright.findings import Finding, UsageError, by_severity, has_errors
from flatwright.output import staged
from flatwright.plan import Plan
from flatwright.plan_json import PlanError, from_json
from flatwright.presets.reading import load
from flatwright.proof.check import prove, prove_alone
from flatwright.proof.programs import ANEW
from flatwright.proof.reader import TEXT_LIMIT
from flatwright.proof.verdict import Report
from flatwright.reports.dry_fit_page import DRY_FIT_PAGE, dry_fit_page
from flatwright.reports.scene_map import scene_map

PRESET_BESIDE = "preset.shop.json"  # what `apply` leaves beside the plan
STARTER = "presets/metric.shop.json"


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """What a check found: findings by severity, the account, the folder written to (None for none)."""

    findings: tuple[Finding, ...]
    report: Report
    folder: Path | None

    @property
    def refused(self) -> bool:
        """True when an error says not to run the programs."""
        return has_errors(self.findings)


def check(
    files: Iterable[str | Path],
    plan: str | Path | None = None,
    preset: str | Path | None = None,
    out: str | Path | None = None,
    *,
    thickness: float | None = None,
    size: tuple[float, float] | None = None,
) -> Checked:
    """Read posted programs back and judge them: against the plan they were made from, or, without one,
    by what holds for every program.

    `thickness` and `size` of the board, mm, help where there is no plan. With `out` the account and a
    picture of every sheet are written there. Raises UsageError for what cannot be read at all.
    """
    paths = [Path(f) for f in files]
    if not paths:
        raise UsageError("name at least one program file to check")
    texts = {path.as_posix(): _contents(path) for path in paths}
    if plan is None:
        shop = load(Path(preset) if preset is not None else resources.path(STARTER))
        findings, report = prove_alone(_short_names(texts), shop, thickness=thickness, size=size)
    else:
        if thickness is not None or size is not None:
            raise UsageError(
                "the plan says how thick and large its sheets are: leave out --thickness and --sheet"
            )
        findings, report = _with_plan(texts, Path(plan), preset)
    folder = _written(findings, report, Path(out)) if out is not None else None
    return Checked(tuple(findings), report, folder)


def _contents(path: Path) -> bytes:
    """A file's bytes; one that is too large to be a program is not read to its end."""
    try:
        with path.open("rb") as file:
            return file.read(TEXT_LIMIT + 1)
    except OSError as e:
        raise UsageError(f"{path} cannot be read ({e.strerror or e}): name a program file") from e


def _short_names(texts: Mapping[str, bytes]) -> dict[str, bytes]:
    """File names without folders where that keeps them apart."""
    names = [PurePosixPath(n).name for n in texts]
    return dict(zip(names if len(set(names)) == len(names) else texts, texts.values(), strict=True))


def read_plan(path: Path) -> Plan:
    """A plan.json. Raises UsageError saying what is wrong with it."""
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except OSError as e:
        raise UsageError(f"{path} cannot be read ({e.strerror or e}): name the plan.json of the run") from e
    except ValueError as e:
        raise UsageError(f"{path} is no plan: it is not JSON text ({e})") from e
    if not isinstance(data, dict):
        raise UsageError(f"{path} is no plan: it holds no object")
    try:
        return from_json(data)
    except PlanError as e:
        raise UsageError(f"{path}: {e}; make the programs anew with this version of Flatwright") from e


def _with_plan(
    texts: Mapping[str, bytes], file: Path, preset: str | Path | None
) -> tuple[list[Finding], Report]:
    plan = read_plan(file)
    beside = file.with_name(PRESET_BESIDE)
    if preset is None and not beside.is_file():
        raise UsageError(
            f"the preset that {file} was made with does not lie beside it as {PRESET_BESIDE}: "
            "name it with --preset"
        )
    shop = load(Path(preset) if preset is not None else beside)
    given, strangers = _matched(plan, texts)
    asked = tuple(
        s if any(p.file in given for p in s.programs) else replace(s, programs=()) for s in plan.sheets
    )
    findings, report = prove(replace(plan, sheets=asked), shop, given, batches=_batches(plan))
    for name, text in strangers.items():
        more, alone = prove_alone({name: text}, shop)
        findings += [_stranger(name), *more]
        report = replace(report, files=(*report.files, *alone.files), scenes=(*report.scenes, *alone.scenes))
    return by_severity(findings), report


def _stranger(name: str) -> Finding:
    from flatwright.findings import finding

    message = f"The plan names no program {name}: it was checked like a program without a plan."
    return finding("proof.unplanned-file", name, message, ANEW)


def _matched(plan: Plan, texts: Mapping[str, bytes]) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """The files by the names that the plan gives them, and files that it does not know."""
    planned = [p.file for s in plan.sheets for p in s.programs]
    given: dict[str, bytes] = {}
    strangers: dict[str, bytes] = {}
    for path, text in texts.items():
        name = PurePosixPath(path).name
        known = [f for f in planned if PurePosixPath(f).name == name]
        if len(known) == 1:
            given[known[0]] = text
        else:
            strangers[name] = text
    return given, strangers


def _batches(plan: Plan) -> list[Batch]:
    """The boards of the job, with the readings that it was planned with."""
    return [
        measured(b.name, b.nominal, b.readings) if b.readings else unmeasured(b.name, b.nominal, b.mean)
        for b in plan.boards
    ]


def _written(findings: Sequence[Finding], report: Report, folder: Path) -> Path:
    with staged(folder, programs=False) as staging:
        page = dry_fit_page(report, findings, title="Programs as read")
        (staging / DRY_FIT_PAGE).write_text(page, encoding="utf-8")
        for scene in report.scenes:
            name = "".join(c if c.isalnum() or c in "-_." else "-" for c in scene.name)
            (staging / f"{name}.svg").write_text(str(scene_map(scene)) + "\n", encoding="utf-8")
        found = json.dumps([f.as_json() for f in findings], indent=1, ensure_ascii=False)
        (staging / "findings.json").write_text(found + "\n", encoding="utf-8")
    return folder
