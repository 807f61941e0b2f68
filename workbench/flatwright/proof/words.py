# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""One line of RS274/NGC text into words (NIST RS274/NGC version 3, §3.3)."""

from __future__ import annotations

import re
from dataclasses import dataclass

from flatwright.proof.motion import ReadError

LINE_LIMIT = 256  # characters, §3.3
LARGEST = 1e7  # no number of a machine is larger; sums of larger ones lose their decimals
CLOSE = 0.0001  # how near to a whole number G, M and the like must be, §3.3.2.1

_LETTERS = "DFGHIJKLMPQRSTXYZ"
_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)"
_WORD = re.compile(rf"([{_LETTERS}])({_NUMBER})")
_LINE_NUMBER = re.compile(r"N\d{1,5}(?!\d)")
_BLANK = str.maketrans("", "", " \t\r")


@dataclass(frozen=True, slots=True)
class Block:
    """The words of one line. `g` holds codes times ten (G59.1 is 591), `m` codes as they are,
    `words` every other letter's number."""

    line: int
    words: dict[str, float]
    g: tuple[int, ...]
    m: tuple[int, ...]
    deleted: bool = False


def parse(text: str, line: int) -> Block | None:
    """The words of a line, or None when it holds none. Raises ReadError."""
    if len(text) > LINE_LIMIT:
        raise ReadError(line, f"the line is longer than {LINE_LIMIT} characters")
    if "(" in text or ";" in text or ")" in text:
        text = _without_comments(text, line)
    code = text.translate(_BLANK).upper()
    if not code:
        return None
    deleted = code[0] == "/"
    at = 1 if deleted else 0
    number = _LINE_NUMBER.match(code, at)
    if number:
        at = number.end()
    words: dict[str, float] = {}
    g: list[int] = []
    m: list[int] = []
    while at < len(code):
        found = _WORD.match(code, at)
        if found is None:
            raise ReadError(line, _complaint(code, at))
        at = found.end()
        letter, value = found[1], float(found[2])
        if abs(value) > LARGEST:
            raise ReadError(line, f"the number after {letter} is larger than any machine takes")
        if letter == "G":
            g.append(whole(value * 10.0, line, "G", value))
        elif letter == "M":
            m.append(whole(value, line, "M", value))
        elif letter in words:
            raise ReadError(line, f"there are two {letter} words")
        else:
            words[letter] = value
    if len(m) > 4:
        raise ReadError(line, "there are more than four M words")
    if not (words or g or m):
        return None
    return Block(line, words, tuple(g), tuple(m), deleted)


def whole(value: float, line: int, letter: str, shown: float | None = None) -> int:
    """`value` as a whole number. Raises ReadError when it is not near one or is negative."""
    nearest = round(value)
    if abs(value - nearest) > CLOSE or nearest < 0:
        raise ReadError(
            line, f"{letter}{value if shown is None else shown:g} is no number that {letter} takes"
        )
    return nearest


def _without_comments(text: str, line: int) -> str:
    """The text outside ( ) and before ; (a comment to the end of the line, common practice)."""
    kept: list[str] = []
    depth = 0
    for c in text:
        if depth:
            if c == "(":
                raise ReadError(line, "a comment is opened inside a comment")
            depth = 0 if c == ")" else 1
        elif c == "(":
            depth = 1
        elif c == ")":
            raise ReadError(line, "a comment is closed that was never opened")
        elif c == ";":
            break
        else:
            kept.append(c)
    if depth:
        raise ReadError(line, "a comment is opened and never closed")
    return "".join(kept)


def _complaint(code: str, at: int) -> str:
    """Why no word starts here."""
    c = code[at]
    if c in _LETTERS:
        rest = code[at + 1 :].lstrip("+-")
        if rest and not (rest[0].isascii() and rest[0].isalnum()):
            return _complaint(rest, 0)
        return f"the letter {c} has no number after it"
    if c in "#[]=":
        return "parameters and expressions (# and [ ]) are not read; post the program with plain numbers"
    if c == "O":
        return "O words are not read; leave a program number out and post subroutines as plain moves"
    if c == "N":
        return "a line number (N and one to five digits) may only stand first on its line"
    if c in "ABC":
        return f"the machine read here has three axes; {c} is a turning axis"
    if c == "/":
        return "a block delete mark (/) may only stand first on its line"
    if c == ",":
        return "a number has a decimal point, never a comma"
    if c == "%":
        return "% must stand alone on its line"
    if not c.isascii():
        return f"{c!r} is not allowed outside a comment"
    if c.isalpha():
        return f"the letter {c} starts no word of RS274/NGC"
    return f"{c!r} does not belong here"
