"""Patterns as DXF in millimetres: what is cut, what is marked and what is written on layers of their own.
The only room of ezdxf."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from hullview.arrays import Array
from hullview.show.pattern import Part, Text, crosses_text

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts import Modelspace

LAYERS = {"cut": 7, "mark": 5, "text": 8, "sheet": 9}
"""Layers and their colours by number."""
CROSS = 4.0
"""Half the size of a cross [mm]."""


def dxf_of(
    placed: Sequence[tuple[Part, float, Array]],
    sheet: tuple[float, float] | None = None,
    *,
    words: bool = True,
) -> str:
    """Parts as the text of a DXF file.

    Parameters
    ----------
    placed : sequence of (part, turn, shift)
        Each turned anticlockwise [deg] about the origin, then moved [mm].
    sheet : (width, height), optional
        Edge of the sheet they are cut from [mm], drawn on a layer of its own.
    words : bool
        With the words on the parts; a nested sheet has names alone.
    """
    import ezdxf
    from ezdxf import units

    document = ezdxf.new("R2010", setup=False, units=units.MM)
    document.header["$MEASUREMENT"] = 1
    for name, colour in LAYERS.items():
        document.layers.add(name, color=colour)
    space = document.modelspace()
    for part, turn, shift in placed:
        _draw(space, part, turn, np.asarray(shift, float), words)
    if sheet is not None:
        w, h = sheet
        space.add_lwpolyline([(0, 0), (w, 0), (w, h), (0, h)], close=True, dxfattribs={"layer": "sheet"})
    return _text_of(document)


def _text_of(document: Drawing) -> str:
    """The file's text, without the times and numbers that would make two runs differ."""
    import ezdxf

    stream, before = io.StringIO(), ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    document.ezdxf_metadata()["CREATED_BY_EZDXF"] = "hullview"
    try:
        document.write(stream)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
    return stream.getvalue()


def _draw(space: Modelspace, part: Part, turn: float, shift: Array, words: bool) -> None:
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    matrix = np.array([[c, s], [-s, c]])

    def put(points: Array) -> list[tuple[float, float]]:
        return [(float(x), float(y)) for x, y in np.atleast_2d(points) @ matrix + shift]

    for ring in part.rings:
        space.add_lwpolyline(put(ring), close=True, dxfattribs={"layer": "cut"})
    for line in part.lines:
        space.add_lwpolyline(put(line.points), dxfattribs={"layer": "mark"})
    for cross in part.crosses:
        for at in (cross.a, cross.b):
            for arm in (np.array([CROSS, 0.0]), np.array([0.0, CROSS])):
                space.add_lwpolyline(put(np.array([at - arm, at + arm])), dxfattribs={"layer": "mark"})
    if not words:
        return
    for text in (*part.texts, *(crosses_text(c) for c in part.crosses)):
        _write(space, text, put(np.array(text.at))[0], turn)


def _write(space: Modelspace, text: Text, at: tuple[float, float], turn: float) -> None:
    from ezdxf.enums import TextEntityAlignment as Align

    end = {"left": Align.LEFT, "middle": Align.CENTER, "right": Align.RIGHT}[text.align]
    words = (
        "".join(ch if ch.isprintable() else " " for ch in text.words)
        .replace("%%", "% %")
        .replace("\u00b0", "%%d")
    )
    made = space.add_text(
        words, height=text.size * 0.72, rotation=text.angle + turn, dxfattribs={"layer": "text"}
    )
    made.set_placement(at, align=end)
