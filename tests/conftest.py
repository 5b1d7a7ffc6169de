"""What a machine cannot do is skipped with its reason; what takes long waits for --slow."""

from __future__ import annotations

import functools
import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

_RENDER_ONCE = """
import os
if not os.environ.get("DISPLAY"):
    os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
import pyvista
plotter = pyvista.Plotter(off_screen=True, window_size=(32, 32))
plotter.add_mesh(pyvista.Cube())
plotter.screenshot(None, return_img=True)
plotter.close()
"""

_BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def pytest_ignore_collect(collection_path: Path) -> bool | None:
    """Tools beside the tests, run by hand, hold no doctests: looking for some would import what only they
    need."""
    tool = collection_path.suffix == ".py" and collection_path.parent.name in ("fuzz", "benchmarks")
    return True if tool and not collection_path.name.startswith("test_") else None


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--slow", action="store_true", help="also run the tests marked slow")
    parser.addoption(
        "--no-skip",
        action="store_true",
        help="run what this machine seems unable to run, so that it fails (for CI)",
    )


@functools.cache
def without_rendering() -> str:
    """Why no picture can be drawn here, or ''. Tried in a child process: with no GL library VTK ends the
    process."""
    if importlib.util.find_spec("pyvista") is None:
        return "PyVista is not installed"
    try:
        done = subprocess.run(
            [sys.executable, "-c", _RENDER_ONCE], capture_output=True, text=True, timeout=90
        )
    except subprocess.TimeoutExpired:
        return "a first picture took more than 90 s"
    if done.returncode < 0:
        return "no GL library (Debian: apt-get install libegl1 libgl1-mesa-dri)"
    if done.returncode:
        return "cannot render: " + (done.stderr.strip().splitlines() or ["no message"])[-1]
    return ""


@functools.cache
def without_display() -> str:
    if os.environ.get("DISPLAY") or shutil.which("Xvfb"):
        return without_rendering()
    return "no display and no Xvfb (Debian: apt-get install xvfb)"


@functools.cache
def without_browser() -> str:
    if importlib.util.find_spec("playwright") is None:
        return "playwright is not installed"
    if not any(shutil.which(name) for name in _BROWSERS):
        return "no Chromium (Debian: apt-get install chromium)"
    return ""


_WANTS = {"render": without_rendering, "display": without_display, "browser": without_browser}


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        if item.get_closest_marker("slow") and not config.getoption("--slow"):
            item.add_marker(pytest.mark.skip(reason="slow: add --slow"))
            continue  # no need to try the screen for a test that will not run
        if config.getoption("--no-skip"):
            continue
        for mark, why_not in _WANTS.items():
            if item.get_closest_marker(mark) and why_not():
                item.add_marker(pytest.mark.skip(reason=why_not()))


_BOTH_WAYS = ("test_body_closed_forms", "test_body_laws", "test_body_appendages", "test_afloat_rest")
"""Tests that are run twice, cut by numpy and by the compiled loops: both must give the same answers."""


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if metafunc.module.__name__.rpartition(".")[2] in _BOTH_WAYS and "cut_by" in metafunc.fixturenames:
        metafunc.parametrize("cut_by", ["numpy", "compiled"], indirect=True, scope="module")


@pytest.fixture(scope="module", autouse=True)
def cut_by(request: pytest.FixtureRequest) -> Iterator[str]:
    """What cuts bodies while the tests of a module run: numpy, unless it asks for the compiled loops."""
    from hullview.shape import compiled

    how = getattr(request, "param", "numpy")
    if how == "compiled":
        if not compiled.available():
            pytest.skip("numba is not installed")
        compiled.start()
    yield how
    compiled.use(None)
