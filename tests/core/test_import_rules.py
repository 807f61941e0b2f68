# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Who may import whom: rooms only upstream rooms, FreeCAD only in host, Qt only in gui."""

from __future__ import annotations

import ast
import sys
from collections.abc import Callable
from pathlib import Path

from support.sources import PACKAGE, ROOT, Import, imports, module_name, room

# Upstream first: each room may import those before it.
STREAM = "resources findings geometry plan turned plan_json presets boards panels joints edits bits".split()
STREAM += "sheets holding cutting reports output sheet_work steps".split()
# The proof judges the others' work and so shares nothing with them.
PROOF_MAY = {"resources", "findings", "geometry", "plan", "presets", "boards", "proof"}
CORE = {*STREAM, "proof"}
ENTRIES = {"api", "checking", "run", "__main__"}  # put the rooms together; nothing below imports them
OPTIONAL = {"scipy", "ezdxf", "matplotlib", "packingsolver", "u_nesting"}
QT = {"PySide", "PySide2", "PySide6", "PyQt5", "PyQt6", "shiboken2", "shiboken6", "pivy"}

MODULES = {module_name(path): path for path in sorted(PACKAGE.rglob("*.py"))}
AT_START = ["Init.py", "InitGui.py"]


def allowed_rooms(of: str) -> set[str]:
    """The rooms (and entries) that a module of room `of` may import."""
    if of == "gui":
        return {*CORE, *ENTRIES, "host", "gui", ""}
    if of in ENTRIES:
        return {*CORE, *ENTRIES, "host", ""}
    if of == "host":
        return {*CORE, "host", ""}
    if of == "proof":
        return {*PROOF_MAY, ""}
    upstream = STREAM[: STREAM.index(of) + 1] if of else ()
    return {*upstream, *({"proof"} if of in ("reports", "steps") else ()), ""}


def wrong_imports(forbidden: Callable[[str, Import], bool]) -> list[str]:
    """`module, line: what it imports` for every import that breaks a rule."""
    return [
        f"{module}, line {i.line}: {i.module}"
        for module, path in MODULES.items()
        for i in imports(path)
        if forbidden(room(module), i)
    ]


def top(i: Import) -> str:
    """The outermost name of what is imported."""
    return i.module.split(".")[0]


def test_every_module_belongs_to_a_known_room() -> None:
    known = {*CORE, *ENTRIES, "host", "gui", ""}
    assert not [module for module in MODULES if room(module) not in known]


def test_rooms_import_only_rooms_upstream() -> None:
    def upward(of: str, i: Import) -> bool:
        return top(i) == "flatwright" and room(i.module) not in {*allowed_rooms(of), "__version__"}

    assert not wrong_imports(upward)


def test_the_core_imports_only_what_every_python_has_and_numpy_and_shapely() -> None:
    usual = {*sys.stdlib_module_names, "numpy", "shapely", "flatwright"}

    def unusual(of: str, i: Import) -> bool:
        optional = top(i) in OPTIONAL and i.function is not None
        return of in CORE and top(i) not in usual and not optional

    assert not wrong_imports(unusual)


def test_only_gui_imports_qt() -> None:
    assert not wrong_imports(lambda of, i: of != "gui" and top(i) in QT)


def test_only_host_and_gui_import_freecad() -> None:
    """The other rooms can't by the rule above; the entries must not either."""
    ours = {*sys.stdlib_module_names, "numpy", "shapely", "flatwright", *OPTIONAL}
    assert not wrong_imports(lambda of, i: of in ENTRIES and top(i) not in ours)


def test_outside_gui_freecads_window_is_only_reached_where_it_is_up() -> None:
    """`import FreeCADGui` stands in a function that asks `GuiUp`."""
    assert not wrong_imports(
        lambda of, i: of != "gui" and i.module.endswith("Gui") and not asks_gui_up(i.function)
    )


def asks_gui_up(function: ast.AST | None) -> bool:
    """True when a function looks at FreeCAD.GuiUp."""
    return function is not None and any(
        isinstance(n, ast.Attribute) and n.attr == "GuiUp" for n in ast.walk(function)
    )


def at_start() -> dict[str, str]:
    """Modules that FreeCAD's start imports through Init.py and InitGui.py, with who imports them.

    Everything those two import counts, also inside functions; of the others what they import
    at module level.
    """
    found: dict[str, str] = {}
    todo = [(ROOT / name, True) for name in AT_START if (ROOT / name).is_file()]
    while todo:
        path, all_of_it = todo.pop()
        for i in imports(path):
            if (all_of_it or i.function is None) and i.module not in found:
                found[i.module] = f"{path.relative_to(ROOT)}:{i.line}"
                todo += [(p, False) for p in files_of(i.module)]
    return found


def files_of(module: str) -> list[Path]:
    """The files that importing one of our modules runs."""
    parts = module.split(".")
    if parts[0] != "flatwright":
        return []
    folders = [PACKAGE.joinpath(*parts[1:n], "__init__.py") for n in range(1, len(parts) + 1)]
    return [p for p in (*folders, PACKAGE.joinpath(*parts[1:]).with_suffix(".py")) if p.is_file()]


def test_freecads_start_imports_neither_numpy_nor_shapely() -> None:
    """Without them the workbench still loads and says what to install."""
    heavy = {m: by for m, by in at_start().items() if m.split(".")[0] in ("numpy", "shapely")}
    assert not heavy


def test_the_rules_see_what_they_must() -> None:
    """The reading of imports itself: nested, relative and aliased ones are found."""
    source = (
        "import FreeCAD as App\ndef f():\n    from ..findings import finding\n    import shapely.geometry\n"
    )
    found = imports(PACKAGE / "geometry" / "x.py", source)
    assert [(i.module, i.function is None) for i in found] == [
        ("FreeCAD", True),
        ("flatwright.findings", False),
        ("shapely.geometry", False),
    ]
    assert "cutting" not in allowed_rooms("proof")
    assert "cutting" not in allowed_rooms("sheets")
