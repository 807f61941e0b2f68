# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A book trolley for the toy library, read from both sides: 700 x 420 x 800 mm of 18 mm boards.

Drawn without clearance. x runs from the left side to the right one, y from front to back, z up.
"""

from __future__ import annotations

import drawing as d

T = 18.0  # boards
W, D, H = 700.0, 420.0, 800.0
DEEP = 6.0  # housings
BOTTOM, LOWER, UPPER = 52.0, 338.0, 606.0  # undersides of the three shelves
FRONT, BACK = 14.0, D - 14.0  # edges of the shelves
STOP = 26.0  # a shelf's housing ends this far inside its edges
TENONS = ((66.0, 156.0), (264.0, 354.0))  # of the bottom, in y
RAIL, ABOVE = 64.0, 56.0  # height of a rail; its lower edge above the shelf
RAIL_Y = (24.0, D - 24.0 - T)
DIP, DIP_FROM, DIP_TO = 18.0, 90.0, 150.0  # the rails' upper edge is lower in the middle
CROSS, CROSS_TENON = (642.0, 718.0), (657.0, 703.0)


def draw():
    """The document and its boards as [(label, placed shape)]."""
    doc = d.document("BookTrolley")
    sides = [_side(doc, "Side left", 0.0, T - DEEP), _side(doc, "Side right", W - T, W - T)]
    bottom = _bottom(doc)
    cross = _cross_rail(doc)
    shelf = _shelf(doc)
    upper = d.link(doc, "Upper shelf", shelf, (0, 0, UPPER - LOWER))
    shelves = d.part(doc, "Shelves", [shelf, upper], (0, 0, LOWER))
    rails = _rails(doc)
    frame = d.part(doc, "Rails", rails, (T - DEEP, 0, 0))
    doc.recompute()
    boards = [(o.Label, d.placed(o)) for o in (*sides, bottom, cross)]
    boards += [(o.Label, d.placed(shelves, o.Name + ".")) for o in (shelf, upper)]
    boards += [(o.Label, d.placed(frame, o.Name + ".")) for o in rails]
    return doc, boards


def _side(doc, label, x, inside):
    """A side whose outer or inner face lies at x; its housings begin at x = inside."""
    half = [
        (D / 2 + 95, 26, 60),
        (D - 75, 0, 60),
        (D, 0, 24),
        (D, 678, 130),
        (D - 98, 736, 70),
        (D - 112, H, 34),
    ]
    hand = d.rectangle(D / 2 - 52, 746, D / 2 + 52, 776, 15)
    profile = d.sketch(doc, "SideOutline", [d.mirrored(half, D / 2), hand], (x, 0, 0), d.SIDE)
    base = d.board(doc, f"{label}: board", profile, T)

    def through(name, y, z):
        return d.block(doc, name, (x, y[0], z[0]), (x + T, y[1], z[1]))

    def housing(name, y, z):
        return d.block(doc, name, (inside, y[0], z[0]), (inside + DEEP, y[1], z[1]))

    middle = ((D - T) / 2, (D + T) / 2)
    tools = [through("Mortise", y, (BOTTOM, BOTTOM + T)) for y in TENONS]
    tools.append(through("Mortise", middle, CROSS_TENON))
    tools += [housing("Housing", (FRONT + STOP, BACK - STOP), (z, z + T)) for z in (LOWER, UPPER)]
    for shelf in (BOTTOM + T, LOWER + T):
        z = (shelf + ABOVE, shelf + ABOVE + RAIL)
        tools += [housing("Housing", (y, y + T), z) for y in RAIL_Y]
    return d.cut(doc, label, base, tools)


def _bottom(doc):
    """Two through tenons at each end; four bolt holes for each of four castors."""
    (a, b), (e, f) = TENONS
    right = [(W - T, FRONT), (W - T, a), (W, a), (W, b), (W - T, b), (W - T, e), (W, e), (W, f), (W - T, f)]
    outline = [*right, (W - T, BACK), (T, BACK), *((W - x, y) for x, y in reversed(right[1:])), (T, FRONT)]
    holes = [
        d.circle(W / 2 + sx * (W / 2 - 92) + px, D / 2 + sy * (D / 2 - 78) + py, 8)
        for sx in (-1, 1)
        for sy in (-1, 1)
        for px in (-40, 40)
        for py in (-30, 30)
    ]
    return d.body(doc, "Bottom", [outline], T, holes, (0, 0, BOTTOM))


def _cross_rail(doc):
    """On edge along the middle of the top, one through tenon at each end."""
    (low, high), (a, b) = CROSS, CROSS_TENON
    right = [(W - T, low), (W - T, a), (W, a), (W, b), (W - T, b), (W - T, high)]
    right += [(W - T - DIP_FROM, high, 120), (W - T - DIP_TO, high - DIP, 120)]
    outline = d.mirrored(right, W / 2)
    profile = d.sketch(doc, "CrossRailOutline", [outline], (0, (D + T) / 2, 0), d.FRONT)
    return d.board(doc, "Cross rail", profile, T)


def _shelf(doc):
    """A shelf whose ends stand in stopped housings: its corners are notched."""
    x0, x1 = T - DEEP, W - T + DEEP
    base = d.block(doc, "Shelf board", (x0, FRONT, 0), (x1, BACK, T))
    notches = [
        d.block(doc, "Notch", (x, y, 0), (x + DEEP, y + STOP, T))
        for x in (x0, x1 - DEEP)
        for y in (FRONT, BACK - STOP)
    ]
    return d.cut(doc, "Lower shelf", base, notches)


def _rails(doc):
    """Four equal rails keep the books in; the upper edge dips in the middle."""
    length = W - 2 * T + 2 * DEEP
    half = [(length, 0), (length, RAIL), (length - DIP_FROM, RAIL, 120), (length - DIP_TO, RAIL - DIP, 120)]
    outline = d.mirrored(half, length / 2)
    places = [(y + T, shelf + T + ABOVE) for shelf in (BOTTOM, LOWER) for y in RAIL_Y]
    labels = ["Front rail lower", "Back rail lower", "Front rail upper", "Back rail upper"]
    y, z = places[0]
    profile = d.sketch(doc, "RailOutline", [outline], (0, y, z), d.FRONT)
    rail = d.board(doc, labels[0], profile, T)
    return [rail] + [
        d.link(doc, label, rail, (0, py - y, pz - z))
        for label, (py, pz) in zip(labels[1:], places[1:], strict=True)
    ]
