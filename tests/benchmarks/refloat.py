"""How long the live window takes to lay it on the water again, beside one naive clip of the same mesh in the
same run.

    python tests/benchmarks/refloat.py

prints the milliseconds of one movement of a slider and of one clip of a closed surface by VTK, and their
ratio.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT)]

from hullview import study  # noqa: E402
from hullview.answer.refloat import refloat  # noqa: E402
from hullview.boat.reader import read_boat  # noqa: E402


def measure(moves: int = 60) -> tuple[int, float, float]:
    """(faces, seconds of one refloat, seconds of one clip), medians over a drag of mass and lean."""
    import pyvista

    craft = study.launch(read_boat(ROOT / "models" / "short-kayak"))
    mesh = pyvista.PolyData.from_regular_faces(craft.hull.vertices, craft.hull.faces)
    paddler, lying = craft.boat.load.paddlers[0], None
    ours, theirs = [], []
    for i in range(moves):
        laden = (replace(paddler, mass=70.0 + 0.5 * i, side=0.0005 * i),)
        start = time.perf_counter()
        lying = refloat(craft, laden, before=lying)
        ours.append(time.perf_counter() - start)
        rest = lying.floating.rest
        if i % 6 == 0 and rest.normal is not None and rest.offset is not None:
            start = time.perf_counter()
            assert mesh.clip_closed_surface(normal=-rest.normal, origin=rest.normal * rest.offset).volume > 0
            theirs.append(time.perf_counter() - start)
    return len(craft.hull.faces), float(np.median(ours)), float(np.median(theirs))


if __name__ == "__main__":
    faces, own, clip = measure()
    print(
        f"{faces} faces: one refloat {own * 1e3:.2f} ms, one naive clip {clip * 1e3:.2f} ms, ratio"
        f" {own / clip:.2f}"
    )
