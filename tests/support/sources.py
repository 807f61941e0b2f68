# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""The project's own files and what they import, read without running them."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "workbench" / "flatwright"
_NOT_OURS = {".git", "build", "dist", "__pycache__"}
_TOOLS_LEFT = {".hypothesis", ".mypy_cache", ".pytest_cache", ".ruff_cache"}


def files() -> list[Path]:
    """Every file of the checkout, without what tools leave behind."""
    return sorted(_walk(ROOT))


def _walk(folder: Path) -> Iterator[Path]:
    for path in folder.iterdir():
        if path.name in _NOT_OURS | _TOOLS_LEFT or path.suffix == ".egg-info":
            continue
        if path.is_dir():
            yield from _walk(path)
        else:
            yield path


def module_name(path: Path) -> str:
    """`flatwright.geometry.arcs` for its file."""
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room(module: str) -> str:
    """The room of a module: `geometry` for `flatwright.geometry.arcs`, `` for the package itself."""
    return [*module.split("."), ""][1]


@dataclass(frozen=True, slots=True)
class Import:
    """One imported module, where, and the innermost function around it (None at module level)."""

    module: str
    line: int
    function: ast.FunctionDef | ast.AsyncFunctionDef | None


def imports(path: Path, source: str | None = None) -> list[Import]:
    """All imports of a file; `from a import b` counts as `a` and, inside the package, as `a.b`."""
    tree = ast.parse(path.read_text() if source is None else source, str(path))
    return list(_imports(tree, None, path))


def _imports(
    node: ast.AST, function: ast.FunctionDef | ast.AsyncFunctionDef | None, path: Path
) -> Iterator[Import]:
    if isinstance(node, ast.Import):
        for alias in node.names:
            yield Import(alias.name, node.lineno, function)
    elif isinstance(node, ast.ImportFrom):
        base = _absolute(node, path)
        yield Import(base, node.lineno, function)
        if base == "flatwright":
            for alias in node.names:
                yield Import(f"{base}.{alias.name}", node.lineno, function)
    for child in ast.iter_child_nodes(node):
        inner = node if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) else function
        yield from _imports(child, inner, path)


def _absolute(node: ast.ImportFrom, path: Path) -> str:
    if not node.level:
        return node.module or ""
    package = module_name(path).split(".")
    if path.name != "__init__.py":
        package = package[:-1]
    package = package[: len(package) - node.level + 1]
    return ".".join([*package, *filter(None, [node.module])])
