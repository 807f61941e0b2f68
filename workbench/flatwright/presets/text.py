# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""JSON files that people write: read strictly, with one kind of error that names every place."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from flatwright.findings import UsageError
from flatwright.presets.fields import kind

MAX_BYTES = 5_000_000
SHOWN = 3  # problems spelt out in the one-sentence message


class DocumentError(UsageError):
    """A file that cannot be used; `problems` holds (path, message) pairs."""

    def __init__(self, where: str, problems: Sequence[tuple[str, str]]) -> None:
        self.where = where
        self.problems = list(problems)
        count = len(self.problems)
        shown = "; ".join(
            f"{path}: {message}" if path else message for path, message in self.problems[:SHOWN]
        )
        more = f"; and {count - SHOWN} more" if count > SHOWN else ""
        counted = f"; it has {count} problems" if count > 1 else ""
        # A text quoted from the file may hold line breaks; the sentence holds none.
        super().__init__(" ".join(f"{where} cannot be used{counted}: {shown}{more}".split()))


def file_text(path: Path, what: str, error: type[DocumentError]) -> str:
    """The text of a file that should be `what` ("a shop preset"); raises `error`."""
    where = str(path)
    try:
        if path.is_dir():
            raise error(where, [("", "it is a folder, not a file")])
        if path.stat().st_size > MAX_BYTES:
            raise error(where, [("", f"it is far too large for {what}")])
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise error(where, [("", "it is not a text file in UTF-8")]) from None
    except FileNotFoundError:
        raise error(where, [("", "there is no such file")]) from None
    except (OSError, ValueError) as e:
        raise error(where, [("", f"it cannot be read: {getattr(e, 'strerror', None) or e}")]) from None


def parsed(text: str, where: str, error: type[DocumentError]) -> Any:
    """The JSON value of a text, in which no key stands twice and every number is finite; raises `error`."""
    twice: list[str] = []

    def pairs(items: list[tuple[str, Any]]) -> dict[str, Any]:
        keys = [key for key, _ in items]
        twice.extend(key for i, key in enumerate(keys) if key in keys[:i])
        return dict(items)

    def not_finite(name: str) -> Any:
        raise ValueError(f"{name} is not a number")

    try:
        document = json.loads(text, object_pairs_hook=pairs, parse_constant=not_finite)
    except json.JSONDecodeError as e:
        place = f"line {e.lineno}, column {e.colno}"
        raise error(where, [("", f"it is not JSON: {e.msg} at {place}")]) from None
    except (ValueError, RecursionError) as e:
        reason = "it is nested too deeply" if isinstance(e, RecursionError) else str(e)
        raise error(where, [("", f"it is not usable JSON: {reason}")]) from None
    if twice:
        raise error(where, [("", f'the key "{key}" is given twice in one object') for key in twice])
    return document


def check_format(
    document: Any, where: str, what: str, format_: str, version: int, error: type[DocumentError]
) -> None:
    """Stop at once where nothing else in the file can be trusted to mean what it says; raises `error`."""
    if not isinstance(document, dict):
        raise error(where, [("", f"it holds {kind(document)}, not {what}")])
    if document.get("format") != format_:
        raise error(
            where, [("format", f'this is no {what.split(" ", 1)[-1]}: its format must be "{format_}"')]
        )
    given = document.get("version")
    if isinstance(given, bool) or given != version:
        told = "has no version" if given is None else f"is {kind(given)}"
        raise error(where, [("version", f"the version {told}; version {version} is read here")])
