"""Hulls with known areas and lengths, for the tests of weight: a box and a half cylinder, decked or open."""

from __future__ import annotations

import numpy as np

from hullview.shape.hull import Hull, NamedLine


def _grid(n: int, m: int, flip: bool = False) -> np.ndarray:
    """Triangles of an n by m grid of points, numbered row by row."""
    i, j = np.meshgrid(np.arange(n - 1), np.arange(m - 1), indexing="ij")
    a = (i * m + j).ravel()
    quads = np.stack([a, a + 1, a + m + 1, a + m], axis=1)
    tri = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    return tri[:, ::-1] if flip else tri


def _paired(name: str, points: np.ndarray, hull_normal: np.ndarray, deck_normal: np.ndarray) -> NamedLine:
    return NamedLine(
        name,
        points,
        True,
        False,
        np.broadcast_to(hull_normal, points.shape).copy(),
        np.broadcast_to(deck_normal, points.shape).copy(),
    )


def box(
    length: float = 3.0,
    beam: float = 0.6,
    depth: float = 0.4,
    *,
    decked: bool = True,
    n: int = 6,
    x0: float = 0.2,
) -> Hull:
    """A box: its bottom, two sides and two ends are "hull", its top is "deck", or "lid" if open; x from
    x0, z from 0."""
    patches: list[tuple[str, np.ndarray]] = []
    s = np.linspace(0, 1, n)

    def rect(region: str, origin: tuple, u: tuple, v: tuple) -> None:
        p = np.array(origin) + s[:, None, None] * np.array(u) + s[None, :, None] * np.array(v)
        patches.append((region, p.reshape(-1, 3)))

    b = beam / 2
    rect("hull", (x0, -b, 0), (0, beam, 0), (length, 0, 0))  # bottom: normal down
    rect("hull", (x0, b, 0), (0, 0, depth), (length, 0, 0))  # starboard
    rect("hull", (x0, -b, 0), (length, 0, 0), (0, 0, depth))  # port
    rect("hull", (x0, -b, 0), (0, 0, depth), (0, beam, 0))  # bow
    rect("hull", (x0 + length, -b, 0), (0, beam, 0), (0, 0, depth))  # stern
    rect("deck" if decked else "lid", (x0, -b, depth), (length, 0, 0), (0, beam, 0))
    vertices, faces, region, names = [], [], [], ["hull", "deck" if decked else "lid"]
    for k, (r, p) in enumerate(patches):
        faces.append(_grid(n, n) + k * n * n)
        vertices.append(p)
        region += [names.index(r)] * (2 * (n - 1) ** 2)
    v, f = _weld(np.concatenate(vertices), np.concatenate(faces))
    f = _outward(v, f)
    sheer = np.column_stack([x0 + length * s, np.full(n, b), np.full(n, depth)])
    up = np.array([0.0, 0, 1]) if decked else np.zeros(3)
    keel = np.column_stack([x0 + length * s, np.zeros(n), np.zeros(n)])
    lines = {
        "sheer": _paired("sheer", sheer, np.array([0.0, 1, 0]), up),
        "keel": NamedLine(
            "keel", keel, False, False, np.tile([0.0, 0, -1], (n, 1)), np.tile([0.0, 0, -1], (n, 1))
        ),
        "chine 1": _paired("chine 1", sheer - [0, 0, depth], np.array([0.0, 1, 0]), np.array([0.0, 0, -1])),
    }
    below = depth - v[:, 2] + np.maximum(b - np.abs(v[:, 1]), 0) * (v[:, 2] < 1e-9)
    from_keel = np.abs(v[:, 1]) + v[:, 2]
    return Hull(
        v, f, np.array(region), tuple(names), lines, (), below, from_keel, None, None, open_top=not decked
    )


def half_cylinder(
    length: float = 4.0, radius: float = 0.4, *, n: int = 160, m: int = 9, x0: float = -0.5
) -> Hull:
    """An open half cylinder, axis along x at z = radius, its ends flat ("transom" both), a lid on top."""
    a = np.linspace(-np.pi / 2, np.pi / 2, n)
    x = x0 + np.linspace(0, length, m)
    ring = np.column_stack([radius * np.sin(a), radius * (1 - np.cos(a))])
    shell = np.array([[[xi, y, z] for xi in x] for y, z in ring]).reshape(-1, 3)
    vertices = [shell]
    faces, region = [_grid(n, m)], [0] * (2 * (n - 1) * (m - 1))
    for xi in (x0, x0 + length):
        start = sum(len(p) for p in vertices)
        vertices.append(np.vstack([[xi, 0.0, radius], np.column_stack([np.full(n, xi), ring])]))
        i = np.arange(n - 1)
        faces.append(np.column_stack([np.full(n - 1, start), start + 1 + i, start + 2 + i]))
        region += [1] * (n - 1)
    start = sum(len(p) for p in vertices)
    vertices.append(np.array([[xi, y, radius] for y in (-radius, 0.0, radius) for xi in x]))
    faces.append(_grid(3, m) + start)
    region += [2] * (4 * (m - 1))
    v, f = _weld(np.concatenate(vertices), np.concatenate(faces))
    f = _outward(v, f)
    sheer = np.column_stack([x, np.full(m, radius), np.full(m, radius)])
    keel = np.column_stack([x, np.zeros(m), np.zeros(m)])
    down = np.tile([0.0, 0, -1], (m, 1))
    lines = {
        "sheer": _paired("sheer", sheer, np.array([0.0, 1, 0]), np.zeros(3)),
        "keel": NamedLine("keel", keel, False, False, down, down),
    }
    angle = np.arccos(np.clip(1 - v[:, 2] / radius, -1, 1))
    on_shell = np.isclose(np.hypot(v[:, 1], v[:, 2] - radius), radius)
    girth = np.where(on_shell, radius * angle, np.nan)
    return Hull(
        v,
        f,
        np.array(region),
        ("hull", "transom", "lid"),
        lines,
        (),
        radius * np.pi / 2 - girth,
        girth,
        None,
        None,
        open_top=True,
    )


def _weld(vertices: np.ndarray, faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    _, first, place = np.unique(np.round(vertices, 9), axis=0, return_index=True, return_inverse=True)
    return vertices[first], place.ravel()[faces]


def _outward(v: np.ndarray, f: np.ndarray) -> np.ndarray:
    """Turn each face of a convex body so that its normal points away from the middle."""
    p = v[f]
    normal = np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])
    wrong = (normal * (p.mean(axis=1) - v.mean(axis=0))).sum(axis=1) < 0
    return np.where(wrong[:, None], f[:, ::-1], f)
