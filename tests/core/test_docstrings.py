# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The examples in the core's docstrings are true."""

from __future__ import annotations

import doctest
import importlib

import pytest

from support.sources import PACKAGE, module_name, room

WITH_EXAMPLES = [
    module_name(path)
    for path in sorted(PACKAGE.rglob("*.py"))
    if ">>> " in path.read_text() and room(module_name(path)) not in ("host", "gui")
]


@pytest.mark.parametrize("module", WITH_EXAMPLES)
def test_examples(module: str) -> None:
    result = doctest.testmod(importlib.import_module(module))
    assert result.attempted
    assert not result.failed
