# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A program's text into canonical moves.

RS274/NGC as NIST's version 3 report writes it down (ISO 6983-1 words), for a three-axis
router: comments may also run from ; to the end of the line, a bare G0 or G1 only sets the
mode. What changes the path in a way that the text does not settle (parameters, cutter
compensation, probing, G10) is refused.
"""

from __future__ import annotations

from collections.abc import Iterator

from flatwright.proof.machine_state import MachineState
from flatwright.proof.motion import Point3, ReadError, Reading
from flatwright.proof.moving import run
from flatwright.proof.words import parse

TEXT_LIMIT = 64_000_000  # characters; larger texts are refused, so that memory stays bounded
MOTION_LIMIT = 2_000_000


def read_program(
    text: str | bytes,
    name: str = "program",
    *,
    start: Point3 | None = None,
    machine_zero: Point3 | None = None,
) -> Reading:
    """Read a whole program.

    `start` is where the tool tip stands before the first move and `machine_zero` where the
    machine's zero and home lie, both mm in work coordinates; unknown when None. Lines with a
    block delete mark are run, with a caution. Raises ReadError.
    """
    body = _decoded(text)
    state = MachineState(start, machine_zero)
    count = 0
    for count, line in _useful_lines(body):
        block = parse(line, count)
        if block is not None:
            run(state, block)
            if state.ended:
                break
            if len(state.motions) > MOTION_LIMIT:
                raise ReadError(count, f"the program has more than {MOTION_LIMIT:,} moves")
    return state.reading(name, count)


def _decoded(text: str | bytes) -> str:
    """The text. Raises ReadError for what cannot be a program."""
    if len(text) > TEXT_LIMIT:
        raise ReadError(0, f"the file is larger than {TEXT_LIMIT // 1_000_000} million characters")
    if isinstance(text, bytes):
        text = text.decode("utf-8", errors="replace")
    if not text.strip():
        raise ReadError(0, "the file is empty")
    if text[0] in "\ufeff\ufffd":  # UTF-16 begins with bytes that are no UTF-8
        raise ReadError(1, "a mark of its encoding stands first; save the program as plain text (ASCII)")
    if "\r" in text and "\n" not in text:
        raise ReadError(1, "carriage returns alone end its lines; save the program with line feeds")
    odd = next((c for c in text if c < " " and c not in "\t\r\n"), None)
    if odd is not None:
        line = text.count("\n", 0, text.index(odd)) + 1
        raise ReadError(line, "the file holds control characters: it is no program text")
    return text


def _useful_lines(text: str) -> Iterator[tuple[int, str]]:
    """Numbered lines up to the program's end as §3.1 draws it. Raises ReadError when neither
    M2 nor M30 (the caller stops there) nor a closing % comes."""
    number = 0
    at = 0
    framed: bool | None = None
    while at < len(text):
        end = text.find("\n", at)
        end = len(text) if end < 0 else end
        line, at, number = text[at:end], end + 1, number + 1
        bare = line.strip()
        if not bare:
            continue
        if bare == "%":
            if framed:
                return
            if framed is None:
                framed = True
                continue
        framed = bool(framed)
        yield number, line
    if framed:
        raise ReadError(number, "the program begins with % but neither a closing %, M2 nor M30 ends it")
    raise ReadError(number, "the program does not end: M2 or M30 is missing; it may be cut short")
