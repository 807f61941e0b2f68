# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Findings: what the steps have to tell the user, as values with stable codes.

A step never prints and never raises for something the user can mend: it returns
findings. `UsageError` is for input that cannot be worked on at all.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

Severity = Literal["error", "warning", "note"]

SEVERITIES: tuple[Severity, ...] = ("error", "warning", "note")

# One line per code: severity, then what it means. A code keeps its meaning for ever;
# its severity is part of that meaning (see DEVELOPERS.md, "A new finding").
CATALOGUE: dict[str, tuple[Severity, str]] = {}


class UsageError(Exception):
    """Input or usage that cannot be worked on; the message is one plain sentence."""


def declare(severity: Severity, **codes: str) -> None:
    """Enter codes into the catalogue; a code's dots are written as `__` here."""
    for key, meaning in codes.items():
        code = key.replace("__", ".").replace("_", "-")
        if code in CATALOGUE and CATALOGUE[code] != (severity, meaning):
            raise ValueError(f"finding code {code} is declared twice")
        CATALOGUE[code] = (severity, meaning)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to know. `panels` and `sheet` say what it touches (for refusing programs)."""

    code: str
    severity: Severity
    where: str
    message: str
    remedy: str
    panels: tuple[str, ...] = ()
    sheet: str | None = None

    def as_json(self) -> dict[str, str]:
        """The five public fields, as written to findings.json."""
        return {
            "code": self.code,
            "severity": self.severity,
            "where": self.where,
            "message": self.message,
            "remedy": self.remedy,
        }


def finding(
    code: str,
    where: str,
    message: str,
    remedy: str,
    *,
    panels: Iterable[str] = (),
    sheet: str | None = None,
) -> Finding:
    """Make a finding; its severity comes from the catalogue.

    Raises `KeyError` for a code that the catalogue does not know.
    """
    severity = CATALOGUE[code][0]
    touched = tuple(panels)
    names = (*touched, *where.split(", "), *where.split("/"), where)
    return Finding(code, severity, where, sentence(message, names), sentence(remedy), touched, sheet)


def sentence(text: str, names: Iterable[str] = ()) -> str:
    """The text with a capital at its beginning and a full stop at its end; names stay as they are.

    >>> sentence("too few readings"), sentence("birch 18 has no readings", ["birch 18"])
    ('Too few readings.', 'birch 18 has no readings.')
    """
    text = text.strip()
    if not text:
        return text
    named = any(n and text.startswith(n) for n in names)
    return (text[0] if named else text[0].upper()) + text[1:] + ("" if text[-1] in ".!?" else ".")


def merged(findings: Iterable[Finding]) -> list[Finding]:
    """Findings that say the same of several places become one that names them all."""
    out: dict[tuple[str, str, str, str | None], Finding] = {}
    for f in findings:
        key = (f.code, f.message, f.remedy, f.sheet)
        known = out.get(key)
        if known is not None and f.where not in known.where.split("; "):
            panels = tuple(dict.fromkeys((*known.panels, *f.panels)))
            f = replace(known, where=f"{known.where}; {f.where}", panels=panels)
        elif known is not None:
            f = known
        out[key] = f
    return list(out.values())


def by_severity(findings: Iterable[Finding]) -> list[Finding]:
    """The same findings, errors first, otherwise in their order."""
    return sorted(findings, key=lambda f: SEVERITIES.index(f.severity))


def has_errors(findings: Iterable[Finding]) -> bool:
    """True when any finding is an error."""
    return any(f.severity == "error" for f in findings)
