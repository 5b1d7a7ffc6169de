"""One turn round it as a moving picture."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import numpy as np

from hullview.show import colours
from hullview.show.camera import PAGE, aim
from hullview.show.scene import UP


def turning(plotter: Any, frames: int, each: Callable[[], None] = lambda: None) -> bytes:
    """One turn round it, about the vertical, as a GIF of so many frames; `each` is called after each; the
    plotter is closed."""
    from PIL import Image

    camera = plotter.camera
    away = np.array(camera.position) - camera.focal_point
    hull = [actor.bounds for name, actor in plotter.actors.items() if name.startswith("part ")]
    length = max(b.x_max for b in hull) - min(b.x_min for b in hull)
    half = max(camera.parallel_scale, 0.6 * length / PAGE / plotter.window_size[0] * plotter.window_size[1])
    pictures, palette = [], None
    for angle in np.arange(frames) * (2 * np.pi / frames):
        c, s = np.cos(angle), np.sin(angle)
        aim(
            plotter,
            np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]) @ away,
            UP,
            np.array(camera.focal_point),
            half,
        )
        plotter.render()
        shot = Image.fromarray(np.asarray(plotter.screenshot(None, return_img=True)))
        palette = palette or _palette(shot, plotter)
        pictures.append(
            shot.quantize(palette=palette, dither=Image.Dither.NONE)
        )  # the sheet stays still, the file small
        each()
    plotter.close()
    held = io.BytesIO()
    pictures[0].save(
        held, "GIF", save_all=True, append_images=pictures[1:], duration=round(8000 / frames), loop=0
    )
    return held.getvalue()


def _palette(shot: Any, plotter: Any) -> Any:
    """The picture's own colours, and every colour that means something: a few pixels of it would else be
    given up."""
    from PIL import Image

    meant = [colours.rgb(c) for c in (colours.LEVER, *colours.VERDICTS.values())]
    meant += [
        actor.GetProperty().GetColor() for name, actor in plotter.actors.items() if name.startswith("patch ")
    ]
    own = shot.quantize(112).getpalette()[: 3 * 112]
    sheet = Image.new("P", (1, 1))
    sheet.putpalette([*own, *(round(255 * c) for colour in meant[:100] for c in colour)])
    return sheet
