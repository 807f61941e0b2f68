# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The command line: `flatwright apply MODEL --preset FILE --readings 17.7,17.75 --out DIR`, and
`flatwright check FILES… --plan plan.json` for posted programs.

Exit code 0: done, with at most warnings; 1: an error stands in the findings; 2: bad input or usage.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

from flatwright import __version__, api
from flatwright.findings import UsageError
from flatwright.presets.quantities import LENGTH, QuantityError, parse
from flatwright.presets.text import SHOWN, DocumentError
from flatwright.reports.dry_fit_page import account
from flatwright.reports.summary import summary_table
from flatwright.steps import Options


class _Parser(argparse.ArgumentParser):
    """Ends with one plain sentence and exit code 2."""

    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message} ({self.prog} --help shows the usage)")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="flatwright", description="Fit flat-pack pieces to the boards in hand.")
    parser.add_argument("--version", action="version", version=f"flatwright {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, parser_class=_Parser)
    go = commands.add_parser("apply", help="apply a shop preset to a model and write programs and papers")
    go.add_argument("model", type=Path, metavar="MODEL", help=".FCStd, .step or .stp")
    go.add_argument("--preset", type=Path, required=True, metavar="FILE", help="a *.shop.json file")
    go.add_argument(
        "--readings", action="append", default=[], metavar="[NOMINAL:]VALUES",
        help="caliper readings in mm, between commas; once for each board",
    )  # fmt: skip
    go.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder for programs and papers")
    go.add_argument("--nominal", metavar="MM", help="drawn thickness that readings without one belong to")
    go.add_argument(
        "--board", action="append", default=[], metavar="PANEL=BOARD",
        help="cut a panel from this board of the preset, whatever its thickness; once for each panel",
    )  # fmt: skip
    go.add_argument("--edits", type=Path, metavar="FILE", help="edits by hand, on top of those in the model")
    go.add_argument(
        "--cut-slots", action="store_true", help="cut the slot where boards are drawn through each other"
    )
    go.add_argument("--sheet", metavar="LENGTHxWIDTH", help="stock sheet in mm, for example 2440x1220")
    go.add_argument("--seed", type=int, metavar="N", help="seed of the layout")
    go.add_argument("--time", type=float, metavar="SECONDS", help="longest time for the layout of a board")
    go.add_argument("--engine", default="auto", metavar="NAME", help="layout engine (default: auto)")
    _add_check(commands)
    return parser


def _add_check(commands: Any) -> None:
    look = commands.add_parser("check", help="read programs back and judge them, with or without a plan")
    look.add_argument("files", type=Path, nargs="+", metavar="FILES", help="programs in running order")
    look.add_argument("--plan", type=Path, metavar="FILE", help="the plan.json that they were made from")
    look.add_argument(
        "--preset", type=Path, metavar="FILE",
        help="the shop's preset (default: the one beside the plan; without a plan the metric starter)",
    )  # fmt: skip
    look.add_argument("--out", type=Path, metavar="DIR", help="folder for the account and its pictures")
    look.add_argument("--thickness", metavar="MM", help="without a plan: the board's thickness")
    look.add_argument("--sheet", metavar="LENGTHxWIDTH", help="without a plan: the board's size in mm")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit code."""
    try:
        args = _parser().parse_args(argv)
        return _check(args) if args.command == "check" else _apply(args)
    except UsageError as e:
        print(f"flatwright: {e}", file=sys.stderr)
        for path, message in e.problems[SHOWN:] if isinstance(e, DocumentError) else ():
            print(f"  {path}: {message}", file=sys.stderr)
        return 2


def _apply(args: argparse.Namespace) -> int:
    nominal = _mm(args.nominal, "--nominal") if args.nominal is not None else None
    options = Options(_sheet(args.sheet), args.engine, args.seed, args.time, _boards(args.board))
    result = api.apply(
        args.model,
        args.preset,
        args.out,
        readings=args.readings,
        nominal=nominal,
        options=options,
        edits=args.edits,
        cut_slots=args.cut_slots,
    )
    for f in result.findings:
        print(f"{f.severity}: {f.where}: {f.message} {f.remedy} [{f.code}]")
    print(summary_table(result.plan, result.findings, result.times), end="")
    print(f"written to {result.folder}")
    return 1 if result.refused else 0


def _boards(texts: Sequence[str]) -> dict[str, str]:
    """Board by panel from PANEL=BOARD; the last equals sign parts them."""
    out: dict[str, str] = {}
    for text in texts:
        panel, sign, board = (part.strip() for part in text.rpartition("="))
        if not (sign and panel and board):
            raise UsageError(
                f'--board {text!r} names no panel and board: write PANEL=BOARD, as in "shelf=birch 12"'
            )
        if out.setdefault(panel, board) != board:
            raise UsageError(f"--board names two boards for {panel}: {out[panel]} and {board}")
    return out


def _check(args: argparse.Namespace) -> int:
    thickness = _mm(args.thickness, "--thickness") if args.thickness is not None else None
    done = api.check(
        args.files, args.plan, args.preset, args.out, thickness=thickness, size=_sheet(args.sheet)
    )
    print(account(done.report, done.findings), end="")
    if done.folder is not None:
        print(f"written to {done.folder}")
    return 1 if done.refused else 0


def _mm(text: str, what: str) -> float:
    try:
        return float(text) if text.replace(".", "", 1).isdigit() else parse(text, LENGTH, "positive")
    except QuantityError:
        raise UsageError(f"{what} {text!r} is no length: write mm, for example 18") from None


def _sheet(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    parts = text.lower().split("x")
    if len(parts) != 2:
        raise UsageError(f"--sheet {text!r} is no size: write LENGTHxWIDTH in mm, for example 2440x1220")
    length_, width = (_mm(p.strip(), "--sheet") for p in parts)
    if length_ <= 0 or width <= 0:
        raise UsageError(f"--sheet {text!r}: both sides must be longer than 0")
    return length_, width


if __name__ == "__main__":
    sys.exit(main())
