# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
"""What a window shows of a document that was saved without one.

A file saved by a host without a window holds no view data, and every version of the host then
opens it with all objects hidden. This adds the missing part to the stored file: which objects
are visible, their colour and where the camera stands.
"""

from __future__ import annotations

import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from xml.sax.saxutils import quoteattr

VIEW_FILE = "GuiDocument.xml"
Colour = tuple[float, float, float]  # red, green, blue in 0 … 1

# Looking from the right, front and above; the turn is an axis and an angle in radians.
_ISOMETRIC = (0.742906, 0.307722, 0.594473, 1.217)
_BACKWARD = (0.57735, -0.57735, 0.57735)


def visible_names(doc: object) -> list[str]:
    """Names of the objects that a window should show: the document's own flags, without origins."""
    hidden = ("App::Origin", "App::OriginFeature", "App::DatumElement")
    return [
        o.Name
        for o in doc.Objects  # type: ignore[attr-defined]
        if o.Visibility and not any(o.isDerivedFrom(kind) for kind in hidden)
    ]


def add_view(
    path: Path,
    visible: Sequence[str],
    *,
    colours: Mapping[str, Colour] | None = None,
    centre: Sequence[float] = (0.0, 0.0, 0.0),
    size: float = 1000.0,
) -> None:
    """Add view data to a stored FCStd file that has none; a file that has some stays as it is.

    `visible` are object names, `colours` by name; the camera looks at `centre` (mm) and takes in `size` mm.
    """
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        if VIEW_FILE not in archive.namelist():  # the host reads members in order: view data comes last
            archive.writestr(VIEW_FILE, _view(visible, colours or {}, centre, size))


def _view(visible: Sequence[str], colours: Mapping[str, Colour], centre: Sequence[float], size: float) -> str:
    providers = "\n".join(_provider(name, colours.get(name)) for name in visible)
    position = " ".join(f"{c + b * 2 * size:.3f}" for c, b in zip(centre, _BACKWARD, strict=True))
    turn = " ".join(str(k) for k in _ISOMETRIC)
    camera = (
        f"OrthographicCamera {{ viewportMapping ADJUST_CAMERA position {position} orientation {turn} "
        f"nearDistance {-2 * size:.1f} farDistance {6 * size:.1f} aspectRatio 1 "
        f"focalDistance {2 * size:.1f} height {size:.1f} }}"
    )
    return (
        "<?xml version='1.0' encoding='utf-8'?>\n"
        '<Document SchemaVersion="1">\n'
        f'<ViewProviderData Count="{len(visible)}">\n{providers}\n</ViewProviderData>\n'
        f"<Camera settings={quoteattr(camera)}/>\n"
        "</Document>\n"
    )


def _provider(name: str, colour: Colour | None) -> str:
    rows = ['<Property name="Visibility" type="App::PropertyBool"><Bool value="true"/></Property>']
    if colour is not None:
        packed = 0
        for c in (*colour, 0.0):  # the last byte is transparency
            packed = (packed << 8) + round(255 * c)
        value = f'<PropertyColor value="{packed}"/>'
        rows.append(f'<Property name="ShapeColor" type="App::PropertyColor">{value}</Property>')
    return (
        f'<ViewProvider name={quoteattr(name)} expanded="0"><Properties Count="{len(rows)}" '
        f'TransientCount="0">{"".join(rows)}</Properties></ViewProvider>'
    )
