# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Reading a shop preset (`*.shop.json`): all that is wrong with it is reported at once.

A value is a bare one (`"overcut": "0.5 mm"`) or an object with `value` and `note`. A
*document* is the file's JSON value, notes included; a `Preset` is what the steps work with.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from flatwright.presets import crosschecks
from flatwright.presets.model import Preset
from flatwright.presets.shape import FORMAT, PRESET, VERSION
from flatwright.presets.text import DocumentError, check_format, file_text, parsed
from flatwright.presets.tree import Problems, read

SUFFIX = ".shop.json"
WHAT = "a shop preset"


class PresetError(DocumentError):
    """A preset that cannot be used.

    `problems` holds (path, message) pairs: values first, then what does not agree between them.
    """


def load(path: str | Path) -> Preset:
    """The preset in a file; raises PresetError for anything that is not a sound preset."""
    return loads(file_text(Path(path), WHAT, PresetError), where=str(path))


def loads(text: str, where: str = "the preset") -> Preset:
    """The preset in a text; `where` names it in messages. Raises PresetError."""
    return preset_of(parsed(text, where, PresetError), where)


def load_document(path: str | Path) -> dict[str, Any]:
    """The document in a file, checked like `load` but with its notes, for `writing.dumps`."""
    document = parsed(file_text(Path(path), WHAT, PresetError), str(path), PresetError)
    preset_of(document, str(path))
    assert isinstance(document, dict)
    return document


def preset_of(document: Any, where: str = "the preset") -> Preset:
    """The preset that a document holds; raises PresetError with all its problems."""
    check_format(document, where, WHAT, FORMAT, VERSION, PresetError)
    problems = Problems()
    preset = read(PRESET, document, "", problems)
    assert isinstance(preset, Preset)
    crosschecks.check(preset, problems)
    if problems.found:
        raise PresetError(where, problems.found)
    return preset
