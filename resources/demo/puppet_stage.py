# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""A puppet stage that stands on a table: 760 x 400 x 700 mm of 18 and 12 mm boards.

Front, sides and back are finger-jointed and drawn without clearance; the floor's tenons, the
backdrop's housings and the cross-laps of the rack are drawn with 0.3 mm. x runs from left to
right, y from the audience to the player, z up.
"""

from __future__ import annotations

import drawing as d

T, THIN = 18.0, 12.0  # boards
CLEAR = 0.3  # where clearance is drawn: total, both sides together
W, D = 760.0, 400.0
FINGER = 34.0
TALL, LOW = 15 * FINGER, 5 * FINGER  # heights of the corners at the front and at the back
EARS, CROWN = TALL + 36, 696.0  # the front's outline: beside the arch and at its top
DEEP = 6.0  # housings
FLOOR = 39.0  # underside of the floor
FLOOR_TENONS = ((150.0, 250.0), (W - 250.0, W - 150.0))
PLAY, PLAY_Y, PLAY_TENON = 172.0, (26.0, 126.0), (46.0, 106.0)
DROP, DROP_Z = 306.0, (262.0, 470.0)
RACK, RACK_END = 100.0, 3.0  # height of the rack's boards; room at their ends


def draw():
    """The document and its boards as [(label, placed shape)]."""
    doc = d.document("PuppetStage")
    left = _side(doc)
    right = doc.addObject("Part::Mirroring", "SideRight")
    right.Label, right.Source = "Side right", left
    right.Base, right.Normal = d.Vector(W / 2, 0, 0), d.Vector(1, 0, 0)
    walls = [left, right, _front(doc), _back(doc), _floor(doc), _playboard(doc), _backdrop(doc)]
    rack, dividers = _rack(doc)
    doc.recompute()
    boards = [(o.Label, d.placed(o)) for o in walls]
    boards += [(o.Label, d.placed(rack, o.Name + ".")) for o in dividers]
    return doc, boards


def fingers(count, outer, inner, first):
    """The stepped edge of a board upwards from z = 0: corners at `outer` on every second finger.

    `first` tells whether the lowest finger stands out to `outer`.
    """
    edge = []
    for k in range(count):
        at = outer if (k % 2 == 0) == first else inner
        edge += [(at, k * FINGER), (at, (k + 1) * FINGER)]
    return edge


def _front(doc):
    """The curved front with the stage opening; it owns the lowest and the highest finger."""
    half = fingers(15, W, W - T, first=True)
    half[-1:] = [(W, EARS, 20), (W / 2 + 337, EARS, 24), (W / 2 + 235, CROWN, 310)]
    opening = [(W / 2 + 250, 196, 24), (W / 2 + 250, CROWN - 138, 190)]
    moon = d.circle(W / 2, CROWN - 70, 60)
    mortises = [
        d.rectangle(a - CLEAR / 2, FLOOR - CLEAR / 2, b + CLEAR / 2, FLOOR + THIN + CLEAR / 2)
        for a, b in FLOOR_TENONS
    ]
    loops = [d.mirrored(half, W / 2), d.mirrored(opening, W / 2), moon, *mortises]
    profile = d.sketch(doc, "FrontOutline", loops, (0, T, 0), d.FRONT)
    return d.board(doc, "Front", profile, T)


def _side(doc):
    """The left side: fingers in front and behind, housings for floor and backdrop, a hand hole."""
    front = [(0.0 if y == 0.0 else T, z) for y, z in fingers(15, 0.0, T, first=False)]
    back = fingers(5, D, D - T, first=False)
    outline = [*back, (D - 52, LOW, 30), (D - 52, TALL, 70), *reversed(front)]
    hand = d.rectangle(150, 250, 246, 284, 17)
    mortise = d.rectangle(PLAY_TENON[0], PLAY, PLAY_TENON[1], PLAY + T)
    rod = d.circle(62, 478, 16)  # for a curtain rod
    profile = d.sketch(doc, "SideOutline", [outline, hand, mortise, rod], (0, 0, 0), d.SIDE)
    base = d.board(doc, "Side left: board", profile, T)
    k = CLEAR / 2
    floor = d.block(
        doc, "Floor housing", (T - DEEP, T + 8 - k, FLOOR - k), (T, D - T - 8 + k, FLOOR + THIN + k)
    )
    drop = d.block(
        doc, "Backdrop housing", (T - DEEP, DROP - k, DROP_Z[0] - k), (T, DROP + THIN + k, DROP_Z[1] + k)
    )
    return d.cut(doc, "Side left", base, [floor, drop])


def _back(doc):
    """The low back: it owns the lowest and the highest finger, like the front."""
    right = fingers(5, W, W - T, first=True)
    right[-1] = (W, LOW, 12)
    mortises = [
        d.rectangle(a - CLEAR / 2, FLOOR - CLEAR / 2, b + CLEAR / 2, FLOOR + THIN + CLEAR / 2)
        for a, b in FLOOR_TENONS
    ]
    loops = [d.mirrored([*right, (W - 200, LOW, 80), (W - 250, LOW - 30, 80)], W / 2), *mortises]
    profile = d.sketch(doc, "BackOutline", loops, (0, D, 0), d.FRONT)
    return d.board(doc, "Back", profile, T)


def _floor(doc):
    """Two through tenons in front and two behind; its ends stand in housings of the sides."""
    x1, y0, y1 = W - T + DEEP, T, D - T
    step = T + 8  # the ends are narrower: the housings stop before the corners
    (a, b), (e, f) = FLOOR_TENONS
    front = [(a, y0), (a, 0), (b, 0), (b, y0), (e, y0), (e, 0), (f, 0), (f, y0)]
    back = [(x, D - y) for x, y in reversed(front)]
    right = [(W - T, y0), (W - T, step), (x1, step), (x1, D - step), (W - T, D - step), (W - T, y1)]
    left = [(W - x, D - y) for x, y in right]
    return d.body(doc, "Floor", [[*front, *right, *back, *left]], THIN, (), (0, 0, FLOOR))


def _playboard(doc):
    """The shelf behind the opening, one through tenon at each end."""
    (y0, y1), (a, b) = PLAY_Y, PLAY_TENON
    right = [(W - T, y0), (W - T, a), (W, a), (W, b), (W - T, b), (W - T, y1)]
    profile = d.sketch(doc, "PlayboardOutline", [d.mirrored(right, W / 2)], (0, 0, PLAY))
    return d.board(doc, "Playboard", profile, T)


def _backdrop(doc):
    return d.block(doc, "Backdrop", (T - DEEP, DROP, DROP_Z[0]), (W - T + DEEP, DROP + THIN, DROP_Z[1]))


def _rack(doc):
    """The puppets' rack, two boards each way, lifted out as one; stands on the floor."""
    along, across = W - 2 * T - 2 * RACK_END, D - 2 * T - 2 * RACK_END
    x, y = ([(size - 2 * THIN) / 3 * n + THIN * (n - 0.5) for n in (1, 2)] for size in (along, across))
    k = CLEAR / 2
    half = RACK / 2 - k
    base = d.block(doc, "Divider board", (0, y[0] - THIN / 2, 0), (along, y[0] + THIN / 2, RACK))
    slots = [
        d.block(
            doc, "Slot", (c - THIN / 2 - k, y[0] - THIN / 2, half), (c + THIN / 2 + k, y[0] + THIN / 2, RACK)
        )
        for c in x
    ]
    long_one = d.cut(doc, "Long divider front", base, slots)
    long_two = d.link(doc, "Long divider back", long_one, (0, y[1] - y[0], 0))
    bottom = [(0.0, 0.0)]
    for c in y:
        a, b = c - THIN / 2 - k, c + THIN / 2 + k
        bottom += [(a, 0), (a, RACK - half), (b, RACK - half), (b, 0)]
    loop = [*bottom, (across, 0), (across, RACK), (0, RACK)]
    short_one = d.body(doc, "Short divider left", [loop], THIN, (), (x[0] - THIN / 2, 0, 0), d.SIDE)
    short_two = d.link(doc, "Short divider right", short_one, (x[1] - THIN / 2, 0, 0), d.SIDE)
    members = [long_one, long_two, short_one, short_two]
    return d.part(doc, "Rack", members, (T + RACK_END, T + RACK_END, FLOOR + THIN)), members
