# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reading a shop preset (`*.shop.json`): all that is wrong with it is reported at once.

A value is a bare one (`"overcut": "0.5 mm"`) or an object with `value` and `note`. A
*document* is the file's JSON value, notes included; a `Preset` is what the steps work with.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from flatwright.findings import UsageError
from flatwright.presets import crosschecks
from flatwright.presets.fields import kind
from flatwright.presets.model import Preset
from flatwright.presets.shape import FORMAT, PRESET, VERSION
from flatwright.presets.tree import Problems, read

SUFFIX = ".shop.json"
MAX_BYTES = 5_000_000
_SHOWN = 3  # problems spelt out in the one-sentence message


class PresetError(UsageError):
    """A preset that cannot be used.

    `problems` holds (path, message) pairs: values first, then what does not agree between them.
    """

    def __init__(self, where: str, problems: Sequence[tuple[str, str]]) -> None:
        self.where = where
        self.problems = list(problems)
        count = len(self.problems)
        shown = "; ".join(
            f"{path}: {message}" if path else message for path, message in self.problems[:_SHOWN]
        )
        more = f"; and {count - _SHOWN} more" if count > _SHOWN else ""
        counted = f"; it has {count} problems" if count > 1 else ""
        # A text quoted from the file may hold line breaks; the sentence holds none.
        super().__init__(" ".join(f"{where} cannot be used{counted}: {shown}{more}".split()))


def load(path: str | Path) -> Preset:
    """The preset in a file; raises PresetError for anything that is not a sound preset."""
    return loads(_file_text(Path(path)), where=str(path))


def loads(text: str, where: str = "the preset") -> Preset:
    """The preset in a text; `where` names it in messages. Raises PresetError."""
    return preset_of(_parsed(text, where), where)


def load_document(path: str | Path) -> dict[str, Any]:
    """The document in a file, checked like `load` but with its notes, for `writing.dumps`."""
    document = _parsed(_file_text(Path(path)), str(path))
    preset_of(document, str(path))
    assert isinstance(document, dict)
    return document


def preset_of(document: Any, where: str = "the preset") -> Preset:
    """The preset that a document holds; raises PresetError with all its problems."""
    _check_format(document, where)
    problems = Problems()
    preset = read(PRESET, document, "", problems)
    assert isinstance(preset, Preset)
    crosschecks.check(preset, problems)
    if problems.found:
        raise PresetError(where, problems.found)
    return preset


def _check_format(document: Any, where: str) -> None:
    """Stop at once where nothing else in the file can be trusted to mean what it says."""
    if not isinstance(document, dict):
        raise PresetError(where, [("", f"it holds {kind(document)}, not a shop preset")])
    if document.get("format") != FORMAT:
        raise PresetError(where, [("format", f'this is no shop preset: its format must be "{FORMAT}"')])
    version = document.get("version")
    if isinstance(version, bool) or version != VERSION:
        told = "has no version" if version is None else f"is {kind(version)}"
        raise PresetError(where, [("version", f"the version {told}; version {VERSION} is read here")])


def _file_text(path: Path) -> str:
    where = str(path)
    try:
        if path.is_dir():
            raise PresetError(where, [("", "it is a folder, not a file")])
        if path.stat().st_size > MAX_BYTES:
            raise PresetError(where, [("", "it is far too large for a shop preset")])
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise PresetError(where, [("", "it is not a text file in UTF-8")]) from None
    except FileNotFoundError:
        raise PresetError(where, [("", "there is no such file")]) from None
    except (OSError, ValueError) as e:
        raise PresetError(where, [("", f"it cannot be read: {getattr(e, 'strerror', None) or e}")]) from None


def _parsed(text: str, where: str) -> Any:
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
        raise PresetError(where, [("", f"it is not JSON: {e.msg} at {place}")]) from None
    except (ValueError, RecursionError) as e:
        reason = "it is nested too deeply" if isinstance(e, RecursionError) else str(e)
        raise PresetError(where, [("", f"it is not usable JSON: {reason}")]) from None
    if twice:
        raise PresetError(where, [("", f'the key "{key}" is given twice in one object') for key in twice])
    return document
