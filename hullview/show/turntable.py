"""The 3D view of the page: a plotly scene as JSON, made without plotly's Python, and the script that draws
it."""

from __future__ import annotations

import base64
import json
from collections.abc import Sequence
from typing import Any

import numpy as np

from hullview.arrays import Array
from hullview.show import colours, stage
from hullview.show.parts import Part
from hullview.show.pose import move

CAMERA = {
    "eye": {"x": -0.84, "y": 1.12, "z": 0.58},
    "up": {"x": 0, "y": 0, "z": 1},
    "center": {"x": 0, "y": 0, "z": -0.05},
}
LENGTH_SEEN = 1.75
"""Length of every boat in the units in which CAMERA stands: what fills the width of the view and is not
cut off."""
LIGHT = {"ambient": 0.72, "diffuse": 0.36, "specular": 0.04, "roughness": 0.9, "fresnel": 0.05}


def turntable(
    parts: Sequence[Part],
    solids: Sequence[Part],
    motion: Array,
    centre: Array | None,
    buoyancy: Array | None,
    water: bool,
) -> dict[str, Any]:
    """A plotly figure (data, layout, config): parts by material to switch on and off, the water, the
    waterline, the centres."""
    shown: set[str] = set()
    data = [_mesh(part, motion, shown) for part in (*parts, *solids)]
    drawn = np.concatenate([move(motion, part.vertices) for part in (*parts, *solids)])
    long = float(np.ptp(np.concatenate([move(motion, part.vertices) for part in parts])[:, 0]))
    if water:
        skins = [(move(motion, p.vertices), p.faces) for p in parts]
        line, outward, _ = stage.waterline(skins)
        points = np.concatenate([s[0] for s in skins])
        sheet = _sheet(points.min(axis=0), points.max(axis=0), line)
        data += [_line(line + 0.002 * outward), _water(sheet)]
        drawn = np.concatenate([drawn, sheet.reshape(-1, 3)])
    for letter, words, place, colour in (
        ("G", "centre of gravity", centre, colours.WEIGHT),
        ("B", "centre of buoyancy", buoyancy, colours.BUOYANCY),
    ):
        if place is not None:
            data.append(_point(letter, words, move(motion, place), colour))
            drawn = np.vstack([drawn, move(motion, place)])
    return {
        "data": data,
        "layout": _layout(drawn.min(axis=0), drawn.max(axis=0), long),
        "config": {"displaylogo": False, "responsive": True, "modeBarButtons": [["resetCameraDefault3d"]]},
    }


def _packed(values: Array, kind: str) -> dict[str, str]:
    """An array as plotly takes it in little: base64 of typed values."""
    return {
        "dtype": kind,
        "bdata": base64.b64encode(np.ascontiguousarray(values).astype(f"<{kind}").tobytes()).decode(),
    }


def _mesh(part: Part, motion: Array, shown: set[str]) -> dict[str, Any]:
    """One part; parts of the same words are switched together, and stand in the legend once."""
    points = move(motion, part.vertices)
    first = part.words not in shown
    shown.add(part.words)
    kind = "u2" if len(points) < 65536 else "u4"
    corners = {axis: _packed(points[:, i], "f4") for i, axis in enumerate("xyz")}
    ends = {name: _packed(part.faces[:, i], kind) for i, name in enumerate("ijk")}
    return {
        "type": "mesh3d",
        **corners,
        **ends,
        "color": part.colour,
        "opacity": part.opacity,
        "name": part.words,
        "legendgroup": part.words,
        "showlegend": first,
        "hoverinfo": "name",
        "flatshading": False,
        "lighting": LIGHT,
        "lightposition": {"x": -400, "y": 900, "z": 700},
    }


def _line(segments: Array) -> dict[str, Any]:
    """Separate segments as one trace, a gap after each."""
    gaps = np.full((len(segments), 1, 3), np.nan)
    points = np.concatenate([segments, gaps], axis=1).reshape(-1, 3)
    return {
        "type": "scatter3d",
        "mode": "lines",
        **{axis: _packed(points[:, i], "f4") for i, axis in enumerate("xyz")},
        "line": {"color": colours.WATERLINE, "width": 5},
        "name": "loaded waterline",
        "hoverinfo": "name",
        "showlegend": True,
    }


def _sheet(low: Array, high: Array, line: Array) -> Array:
    """The water's surface (i, j, 3) as far as it looks thick: its edge would fade, which a mesh of one
    opacity cannot."""
    grid, share = stage.water(low, high, line)
    return grid[: int((share.max(axis=1) > 0.35).sum()) : 4]


def _water(kept: Array) -> dict[str, Any]:
    index = np.arange(kept.shape[0] * kept.shape[1]).reshape(kept.shape[:2])
    a, b, c, d = (v.ravel() for v in (index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]))
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    points = kept.reshape(-1, 3)
    return {
        "type": "mesh3d", **{axis: _packed(points[:, i], "f4") for i, axis in enumerate("xyz")},
        **{name: _packed(faces[:, i], "u2") for i, name in enumerate("ijk")},
        "color": colours.WATER, "opacity": 0.42, "name": "water", "showlegend": True, "hoverinfo": "name",
        "lighting": {"ambient": 1.0, "diffuse": 0.0, "specular": 0.0},
    }  # fmt: skip


def _point(letter: str, words: str, place: Array, colour: str) -> dict[str, Any]:
    x, y, z = (round(float(v), 4) for v in place)
    return {
        "type": "scatter3d",
        "mode": "markers+text",
        "x": [x],
        "y": [y],
        "z": [z],
        "text": [letter],
        "textposition": "top center",
        "textfont": {"color": colour, "size": 16},
        "marker": {"color": colour, "size": 6},
        "name": f"{letter}  {words}",
        "hoverinfo": "name",
    }


def _layout(low: Array, high: Array, long: float) -> dict[str, Any]:
    """How the view is laid out: all that is drawn from `low` to `high`, in one scale that shows boats of
    any length [m] alike."""
    axes = {
        f"{axis}axis": {
            "visible": False,
            "showspikes": False,
            "range": [float(low[i]), float(high[i])],
            "autorange": False,
        }
        for i, axis in enumerate("xyz")
    }
    ratio = {axis: float(size) * LENGTH_SEEN / long for axis, size in zip("xyz", high - low)}
    return {
        "scene": {
            "aspectmode": "manual",
            "aspectratio": ratio,
            **axes,
            "camera": CAMERA,
            "dragmode": "turntable",
        },
        "paper_bgcolor": "rgba(0,0,0,0)",
        "margin": {"l": 0, "r": 0, "t": 0, "b": 0},
        "showlegend": True,
        "legend": {
            "orientation": "h",
            "y": -0.02,
            "yanchor": "top",
            "itemsizing": "constant",
            "groupclick": "togglegroup",
        },
        "font": {"color": colours.INK, "size": 13},
    }


def script(figure: dict[str, Any]) -> str:
    """The figure as JSON that may stand inside a script of a page: no sign in it can end the script."""
    text = json.dumps(figure, separators=(",", ":"), allow_nan=False, sort_keys=True)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def drawing_library() -> str:
    """The text of plotly's own script, which draws without anything from the net."""
    from plotly.offline import get_plotlyjs

    return str(get_plotlyjs().replace("</script", "<\\/script"))
