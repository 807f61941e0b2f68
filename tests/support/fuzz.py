# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""Small random programs, many of them wrong, for the reader and the referee to agree on."""

from __future__ import annotations

from random import Random

CODES = (
    "G0 G1 G2 G3 G4 G17 G18 G19 G20 G21 G28 G30 G40 G43 G49 G53 G54 G55 G59.1 G61 G64 G80 G81 G82 G83 "
    "G90 G91 G92 G92.1 G92.2 G94 G98 G99 M0 M1 M3 M4 M5 M6 M7 M8 M9 M48 M49 M60 G77 M77 G1.5"
).split()
LETTERS = "XYZIJKRFSTPQLHND"
MODAL = {"G17", "G18", "G19", "G20", "G21", "G90", "G91", "G98", "G99", "G54", "G94", "M3", "M5", "M8", "M9"}


def number(rng: Random) -> str:
    """A number as people write them, seldom a bad one."""
    value = rng.choice([0.0, 1.0, 2.0, 5.0, 10.0, rng.uniform(-30, 30), rng.uniform(0, 5)])
    text = rng.choice([f"{value:.3f}", f"{value:.1f}", f"{value:g}", f"{int(value)}", f"+{abs(value):.2f}"])
    odd = {0.01: "", 0.02: "1.2.3", 0.03: "-.5", 0.04: "5.", 0.05: "- 3"}
    roll = rng.random()
    return next((odd[k] for k in odd if roll < k), text)


def sensible(rng: Random) -> str:
    """A line that is most often right."""
    n = lambda low=-20.0, high=20.0: f"{rng.uniform(low, high):.3f}"  # noqa: E731
    r = rng.randint(1, 9)
    return rng.choice(
        [
            f"G0 X{n()} Y{n()}",
            f"G0 Z{n(1, 9)}",
            f"G1 X{n()} Y{n()} Z{n(-5, 5)} F{rng.randint(50, 900)}",
            f"X{n()} Y{n()}",
            f"G91 G1 X{n()}",
            "G90",
            f"G2 X{n()} Y{n()} R{n(15, 60)}",
            f"G3 X{n()} Y{n()} R-{n(30, 60)}",
            f"G91 G2 X{2 * r} I{r}",
            f"G91 G3 X0 Y0 I{r} J{r}",
            f"G91 G2 X{r} Y{r} I{r}",
            f"G4 P{n(0, 2)}",
            f"G81 X{n()} Y{n()} Z{n(-9, -1)} R{n(1, 3)}",
            f"G82 X{n()} Z-3 R1 P0.5",
            f"G99 G83 X{n()} Y{n()} Z-7 R2 Q1.7",
            "G80",
            f"T{r} M6",
            f"M3 S{r}000",
            "M5",
            "G20",
            "G21",
            f"G92 X{r}",
            "G92.1",
            "G28 X0 Y0 Z5",
            "G54",
            "(a comment)",
            f"N{rng.randint(1, 99999)} G0 X{r}",
            f"/ G0 X{r}",
            "",
            f"G91 G81 X{r} Y{r} Z-0.6 R1.8 L3",
            f"F{r}00",
            f"S{r}00",
            "G53 G0 X1",
            "G1",
            f"G0 X{n()} (rest) Y{n()}",
            f"g1 x {n()} y{n()}",
        ]
    )


def spoilt(rng: Random, line: str) -> str:
    """The line with a word put in, taken out, doubled or broken."""
    words = line.split()
    kind = rng.randrange(7)
    if kind == 0 or not words:
        return f"{line} {rng.choice(CODES)}"
    if kind == 1:
        return f"{line} {rng.choice(LETTERS)}{number(rng)}"
    at = rng.randrange(len(words))
    if kind == 2:
        return " ".join(words[:at] + words[at + 1 :])
    if kind == 3:
        return f"{line} {words[at]}"
    if kind == 4:
        words[at] = words[at][:1] + number(rng)
        return " ".join(words)
    if kind == 5:
        return line + rng.choice([" (open", " )", " ;rest", " #", "[", " *", " é", "%", "\t", " (a (b)"])
    k = rng.randrange(max(1, len(line)))
    return line[:k] + rng.choice("GMXYZIJ.-0 1(") + line[k + 1 :]


def program(rng: Random) -> str:
    """About a dozen lines; in half of the programs one or two are spoilt."""
    lines = [sensible(rng) for _ in range(rng.randint(2, 12))]
    for _ in range(rng.choice([0, 0, 1, 1, 2])):
        k = rng.randrange(len(lines))
        lines[k] = spoilt(rng, lines[k])
    head = [f"{rng.choice(['G21', 'G21', 'G20'])} G17 G90 G40 G49 G54 G80 G94 F300", "G0 X0 Y0 Z5"]
    end = rng.choice(["M2", "M2", "M30", "", "%"])
    return "\n".join([*(["%"] if end == "%" or rng.random() < 0.2 else []), *head, *lines, end, ""])
