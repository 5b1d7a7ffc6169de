"""Can this machine draw? Asked in a child process, since VTK ends its own process where there is no GL
library."""

from __future__ import annotations

import functools
import os
import subprocess
import sys
from collections.abc import Sequence

from hullview.errors import UsageError

PACKAGES = "libegl1 libgl1-mesa-dri (or libosmesa6)"
"""Debian's names for what VTK needs to draw with no display; libegl1 alone is not enough."""

_SCREENS = ("X", "Win32", "Cocoa")
"""VTK render windows that a person can see: vtkXOpenGLRenderWindow and so on; the others draw in memory
only."""

_ONE_PICTURE = """
import sys
import vtkmodules.vtkRenderingOpenGL2
from vtkmodules.vtkCommonCore import vtkUnsignedCharArray
from vtkmodules.vtkFiltersSources import vtkSphereSource
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer, vtkRenderWindow
window, renderer = vtkRenderWindow(), vtkRenderer()
ball, mapper, actor = vtkSphereSource(), vtkPolyDataMapper(), vtkActor()
window.SetOffScreenRendering(1)
window.SetSize(8, 8)
window.AddRenderer(renderer)
mapper.SetInputConnection(ball.GetOutputPort())
actor.SetMapper(mapper)
renderer.AddActor(actor)
window.Render()
pixels = vtkUnsignedCharArray()
window.GetPixelData(0, 0, 7, 7, 1, pixels, 0)
drawn = any(pixels.GetValue(i) for i in range(pixels.GetNumberOfValues()))
print("window", window.GetClassName() if drawn else "blank")
"""


def environment() -> dict[str, str]:
    """What VTK must find in the environment before it is loaded: with no display it draws through EGL, and
    says nothing."""
    if sys.platform.startswith("linux") and not os.environ.get("DISPLAY"):
        # an empty value makes VTK crash, so it counts as not set
        return {
            "VTK_DEFAULT_OPENGL_WINDOW": os.environ.get("VTK_DEFAULT_OPENGL_WINDOW") or "vtkEGLRenderWindow"
        }
    return {}


@functools.cache
def render_window(command: Sequence[str] = (sys.executable, "-c", _ONE_PICTURE)) -> str:
    """The kind of window VTK draws in here ("X", "EGL", "Win32", ...), or a UsageError that names what to
    install."""
    try:
        done = subprocess.run(
            command,
            capture_output=True,
            text=True,
            timeout=120,
            env={**os.environ, **environment()},
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise UsageError(
            "drawing one small picture took more than two minutes: the graphics of this machine do not work."
        ) from None
    words = done.stdout.split()
    if done.returncode < 0 or done.returncode >= 128:  # ended by a signal: there was no library to call
        raise UsageError(
            f"no GL library, so nothing can be drawn. Install {PACKAGES}; on Debian: apt-get install libegl1"
            " libgl1-mesa-dri"
        )
    if done.returncode or "window" not in words or words[-1] == "blank":
        last = (done.stderr.strip().splitlines() or ["the picture stayed blank"])[-1]
        raise UsageError(f"nothing can be drawn: {last}. If a GL library is missing, install {PACKAGES}.")
    return words[-1].removeprefix("vtk").removesuffix("OpenGLRenderWindow").removesuffix("RenderWindow")


def prepare(on_screen: bool) -> None:
    """Make sure that VTK can draw, in a window if `on_screen`, before it is loaded; otherwise say what to
    do instead."""
    kind = render_window()
    if on_screen and kind not in _SCREENS:
        raise UsageError(
            "no display to open a window on. Use --screenshot FILE.png for a picture, --save FILE.glb for the"
            " 3D model, or run with a display."
        )
    os.environ.update(environment())
