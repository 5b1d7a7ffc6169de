"""The loops of a cut against numpy's arrays, compiled and as they stand."""

from __future__ import annotations

import builtins
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import solids

from hullview.errors import UsageError
from hullview.shape import compiled, tree
from hullview.shape.body import Body, Immersed

FIELDS = (
    "volume", "centroid", "wetted_area", "plane_area", "plane_centroid", "plane_second_moments",
)  # fmt: skip


@pytest.fixture(params=["plain", "compiled"])
def loops(request):
    if request.param == "compiled" and not compiled.available():
        pytest.skip("numba is not installed")
    return compiled.PLAIN if request.param == "plain" else compiled.compiled()


@pytest.fixture(autouse=True)
def numpy_again():
    yield
    compiled.use(None)


def _body(around: int) -> Body:
    vertices, faces = solids.ellipsoid(1.2, 0.4, 0.3, around + 7, around)
    return Body(solids.turned(vertices + 0.05 * np.sin(3 * vertices[:, [1, 2, 0]]), 4)[0], faces)


def _cuts(body: Body, count: int) -> list[Immersed]:
    rng = np.random.default_rng(3)
    found = []
    for _ in range(count):
        n = rng.normal(size=3)
        low, high = body.extent(n)
        found.append(body.immersed(n, low + rng.uniform(-0.02, 1.02) * (high - low)))
    return found


@pytest.mark.parametrize("around", [12, 230])
def test_every_figure_is_the_same_to_rounding(loops, around, monkeypatch):
    if around > 100:
        monkeypatch.setattr(tree, "_FEW", 8)  # four levels of blocks
        if loops is compiled.PLAIN:
            pytest.skip("slow as it stands; the small body goes through the same lines")
    body = _body(around)
    before = _cuts(body, 60)
    compiled.use(loops)
    for ours, theirs in zip(_cuts(body, 60), before):
        for key in FIELDS:
            here, there = np.asarray(getattr(ours, key)), np.asarray(getattr(theirs, key))
            assert here == pytest.approx(there, rel=1e-12, abs=1e-12, nan_ok=True), key


def test_a_plane_through_corners_and_along_faces_counts_none_twice(loops):
    compiled.use(loops)
    cube = Body(*solids.box(1, 1, 1))
    assert cube.immersed((0, 0, 1), 1.0).volume == pytest.approx(1.0, abs=1e-15)
    assert cube.immersed((0, 0, 1), 0.0).volume == 0.0
    half = cube.immersed((1, 0, 1), 1.0)
    assert half.volume == pytest.approx(0.5, abs=1e-15)
    assert half.plane_area == pytest.approx(2**0.5, abs=1e-15)


def test_a_plane_that_misses_cuts_nothing(loops):
    compiled.use(loops)
    body = _body(12)
    dry, wet = body.immersed((0, 0, 1), -9.0), body.immersed((0, 0, 1), 9.0)
    assert dry.volume == 0.0 and np.isnan(dry.centroid).all() and np.isnan(dry.plane_centroid).all()
    assert wet.volume == pytest.approx(body.volume, rel=1e-14) and wet.plane_area == 0.0
    assert wet.centroid == pytest.approx(body.centroid, abs=1e-14)


def test_without_numba_a_sentence_says_what_to_install(monkeypatch):
    real = builtins.__import__

    def none_here(name, *rest, **named):
        if name == "numba":
            raise ImportError(name)
        return real(name, *rest, **named)

    monkeypatch.setattr(builtins, "__import__", none_here)
    compiled.compiled.cache_clear()
    with pytest.raises(UsageError, match=r"numba: pip install 'hullview\[fast\]'"):
        compiled.start()
    assert compiled.in_use() is None


@pytest.mark.skipif(not compiled.available(), reason="numba is not installed")
def test_compiled_once_it_is_read_from_the_disk(tmp_path):
    """A second process finds what the first compiled, and compiles nothing."""
    code = (
        "from hullview.shape import compiled; from hullview.shape.body import Body; import numpy as np\n"
        "corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)\n"
        "quads = [[0,1,3,2],[4,6,7,5],[0,4,5,1],[2,3,7,6],[0,2,6,4],[1,5,7,3]]\n"
        "faces = [[a, b, c] for a, *r in quads for b, c in zip(r, r[1:])]\n"
        "compiled.start(); Body(corners, faces).immersed((0, 0, 1), 0.5)\n"
        "loops = compiled.compiled()\n"
        "print(*(sum(f.stats.cache_hits.values()) for f in (loops.gather, loops.opened, loops.plane)))"
    )
    hits = []
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", code],
            cwd=Path(__file__).parents[2],
            env={"NUMBA_CACHE_DIR": str(tmp_path), "PATH": "/usr/bin"},
            capture_output=True,
            text=True,
            check=True,
        )
        hits.append(done.stdout.split())
    assert hits == [["0", "0", "0"], ["1", "1", "1"]]
