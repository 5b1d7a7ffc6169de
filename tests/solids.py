"""Solids with known answers, as closed meshes turned outward; frame of the program: x aft, y to starboard,
z up."""

from __future__ import annotations

import numpy as np

from hullview.shape.hull import FloodingLine, Hull, NamedLine

_CUBE = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
_CUBE_FACES = np.array(
    [
        [0, 1, 3],
        [0, 3, 2],
        [4, 6, 7],
        [4, 7, 5],
        [0, 4, 5],
        [0, 5, 1],
        [2, 3, 7],
        [2, 7, 6],
        [0, 2, 6],
        [0, 6, 4],
        [1, 5, 7],
        [1, 7, 3],
    ]
)


def box(length, beam, depth, at=(0.0, 0.0, 0.0)):
    """A box with its bow at x = 0, on the centre line, its bottom at z = 0; moved by `at`."""
    return (_CUBE - [0, 0.5, 0]) * [length, beam, depth] + np.asarray(at, float), _CUBE_FACES.copy()


def log(section, length, start=0.0):
    """A convex section ((y, z), ...), counter-clockwise seen from aft (y to the right), drawn out along x."""
    section = np.asarray(section, float)
    k = len(section)
    ends = [np.column_stack([np.full(k, x), section]) for x in (start, start + length)]
    i = np.arange(k)
    j = (i + 1) % k
    fan = np.column_stack([np.zeros(k - 2, int), np.arange(1, k - 1), np.arange(2, k)])
    faces = [np.column_stack([i, j, j + k]), np.column_stack([i, j + k, i + k]), fan[:, ::-1], fan + k]
    return np.vstack(ends), np.vstack(faces)


def square_log(side, length):
    """Centred on its axis."""
    h = side / 2
    return log([(-h, -h), (h, -h), (h, h), (-h, h)], length)


def cylinder(radius, length, sides):
    """Horizontal, its axis along x at z = 0; the polygon has the circle's area."""
    angle = (np.arange(sides) + 0.5) * 2 * np.pi / sides
    r = radius * np.sqrt(2 * np.pi / sides / np.sin(2 * np.pi / sides))
    return log(np.column_stack([r * np.cos(angle), r * np.sin(angle)]), length)


def ellipsoid(a, b, c, along, around):
    """Half-axes a, b, c along x, y, z; (along - 1) x around quads and two fans; vertices on the surface."""
    u = np.linspace(0, np.pi, along + 1)[1:-1]
    v = np.arange(around) * 2 * np.pi / around
    u, v = np.meshgrid(u, v, indexing="ij")
    ring = np.stack([-np.cos(u) * a, np.sin(u) * np.cos(v) * b, np.sin(u) * np.sin(v) * c], axis=-1).reshape(
        -1, 3
    )
    vertices = np.vstack([ring, [[-a, 0, 0], [a, 0, 0]]])
    rings = along - 1
    i, j = (g.ravel() for g in np.meshgrid(np.arange(rings - 1), np.arange(around), indexing="ij"))
    p, q = i * around + j, i * around + (j + 1) % around
    j = np.arange(around)
    k = (j + 1) % around
    last = (rings - 1) * around
    bow, stern = np.full(around, rings * around), np.full(around, rings * around + 1)
    faces = [
        np.column_stack([p, q + around, p + around]),
        np.column_stack([p, q, q + around]),
        np.column_stack([bow, k, j]),
        np.column_stack([stern, last + j, last + k]),
    ]
    return vertices, np.vstack(faces)


def wigley(length, beam, draft, along, down):
    """Wigley's hull below z = 0, x from 0 to length, with a flat lid at z = 0."""
    x = np.linspace(0, length, along + 1)
    z = np.linspace(-draft, 0, down + 1)
    xx, zz = np.meshgrid(x, z, indexing="ij")
    y = beam / 2 * (1 - (2 * xx / length - 1) ** 2) * (1 - (zz / draft) ** 2)
    side = np.stack([xx, y, zz], axis=-1)
    n = (along + 1) * (down + 1)
    vertices = np.vstack([side.reshape(-1, 3), (side * [1, -1, 1]).reshape(-1, 3)])
    i, j = (g.ravel() for g in np.meshgrid(np.arange(along), np.arange(down), indexing="ij"))
    a, b = i * (down + 1) + j, (i + 1) * (down + 1) + j
    starboard = np.vstack([np.column_stack([a, b + 1, b]), np.column_stack([a, a + 1, b + 1])])
    port = starboard[:, ::-1] + n
    rim = np.arange(along + 1) * (down + 1) + down
    s, t = rim[:-1], rim[1:]
    lid = np.vstack([np.column_stack([s, s + n, t + n]), np.column_stack([s, t + n, t])])
    faces = np.vstack([starboard, port, lid])
    # points on the centre line belong to both sides
    on = np.flatnonzero(np.abs(vertices[:n, 1]) < 1e-15)
    faces = np.where(np.isin(faces, on + n), faces - n, faces)
    same = (faces[:, 0] == faces[:, 1]) | (faces[:, 1] == faces[:, 2]) | (faces[:, 2] == faces[:, 0])
    return vertices, faces[~same]


def turned(vertices, seed):
    """Vertices rotated about the origin any way."""
    q, r = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return vertices @ (q * np.sign(np.linalg.det(q))).T, q * np.sign(np.linalg.det(q))


def lump(seed, points=60):
    """A convex lump without any symmetry, about 3 x 0.8 x 0.5 m."""
    from scipy.spatial import ConvexHull

    rng = np.random.default_rng(seed)
    cloud = rng.normal(size=(points, 3))
    cloud = (
        cloud / np.linalg.norm(cloud, axis=1)[:, None] * [1.5, 0.4, 0.25] * rng.uniform(0.7, 1, (points, 1))
    )
    hull = ConvexHull(cloud)
    faces = hull.simplices.copy()
    normal = np.cross(cloud[faces[:, 1]] - cloud[faces[:, 0]], cloud[faces[:, 2]] - cloud[faces[:, 0]])
    inward = (normal * hull.equations[:, :3]).sum(axis=1) < 0
    faces[inward] = faces[inward, ::-1]
    return cloud, faces


def both(*meshes):
    """Several meshes as one."""
    vertices, faces, n = [], [], 0
    for v, f in meshes:
        vertices.append(v)
        faces.append(np.asarray(f) + n)
        n += len(v)
    return np.vstack(vertices), np.vstack(faces)


def box_hull(length, beam, depth, rim=None):
    """A box as a Hull: an open boat that floods over its top edge, or with `rim` ((k, 3) points) a decked
    one that floods there."""
    vertices, faces = box(length, beam, depth)
    x = np.linspace(0, length, 5)
    sheer = np.column_stack([x, np.full(5, beam / 2), np.full(5, depth)])
    flat = np.zeros_like(sheer)
    line = NamedLine("sheer", sheer, True, False, flat + np.array([0.0, 1, 0]), flat)
    middle = np.column_stack([x, np.zeros(5), np.zeros(5)])
    keel = NamedLine("keel", middle, False, False, flat - np.array([0.0, 0, 1]), flat - np.array([0.0, 0, 1]))
    if rim is None:
        floods = (FloodingLine("sheer", np.vstack([sheer, sheer * [1, -1, 1]])),)
    else:
        floods = (FloodingLine("coaming 1", np.asarray(rim, float)),)
    nan = np.full(len(vertices), np.nan)
    region = np.zeros(len(faces), int)
    return Hull(
        vertices,
        faces,
        region,
        ("hull",),
        {"sheer": line, "keel": keel},
        floods,
        nan,
        nan,
        None,
        None,
        open_top=rim is None,
    )
