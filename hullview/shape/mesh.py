"""Grids of the starboard half -> one closed triangle mesh of the whole, oriented outward, with a region
for each face."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from hullview.arrays import Array


@dataclass
class Patches:
    """Faces gathered by region while a hull is put together."""

    names: list[str] = field(default_factory=list)
    faces: list[Array] = field(default_factory=list)

    def add(self, name: str, faces: Array) -> None:
        faces = np.asarray(faces, int).reshape(-1, 3)
        a, b, c = faces.T
        faces = faces[(a != b) & (b != c) & (c != a)]
        if len(faces):
            self.names.append(name)
            self.faces.append(faces)

    def joined(self) -> tuple[Array, Array, tuple[str, ...]]:
        """Faces (m, 3), region of each (m,), and the names of the regions."""
        regions = tuple(dict.fromkeys(self.names))
        index = np.concatenate([np.full(len(f), regions.index(n)) for n, f in zip(self.names, self.faces)])
        return np.concatenate(self.faces), index, regions


def grid_faces(index: Array) -> Array:
    """Two triangles for each cell of a grid of vertex numbers (rows, columns), the diagonals turned about
    like a chequer-board, so that the twist of the cells leaves no volume behind. Oriented along row direction
    x column direction."""
    a, b = index[:-1, :-1], index[1:, :-1]
    c, d = index[1:, 1:], index[:-1, 1:]
    rows, columns = np.indices(a.shape)
    even = ((rows + columns) % 2 == 0)[..., None]
    first = np.where(even, np.stack([a, b, c], -1), np.stack([a, b, d], -1))
    second = np.where(even, np.stack([a, c, d], -1), np.stack([b, c, d], -1))
    return np.concatenate([first.reshape(-1, 3), second.reshape(-1, 3)])


def strip_faces(one: Array, other: Array) -> Array:
    """Faces between two lines of vertex numbers (k,): (one_i, other_i, one_i+1) and (other_i, other_i+1,
    one_i+1)."""
    return np.concatenate(
        [np.column_stack([one[:-1], other[:-1], one[1:]]), np.column_stack([other[:-1], other[1:], one[1:]])]
    )


@dataclass(frozen=True)
class Numbering:
    """Vertex numbers of the grids: side and deck (rows, columns), starboard and port; vertices (n, 3)."""

    vertices: Array
    side: Array
    side_port: Array
    deck: Array | None
    deck_port: Array | None


def number(side: Array, deck: Array | None) -> Numbering:
    """Number the vertices once: the deck's first row is the sheer, a point on the centre line is its own
    mirror image."""
    rows, columns = side.shape[:2]
    points = side.reshape(-1, 3)
    n_side = np.arange(rows * columns).reshape(rows, columns)
    n_deck = None
    if deck is not None:
        n_deck = np.empty(deck.shape[:2], int)
        n_deck[0] = n_side[-1]
        n_deck[1:] = len(points) + np.arange((deck.shape[0] - 1) * columns).reshape(-1, columns)
        for c in (0, -1):
            if np.abs(deck[:, c] - deck[0, c]).max() < 1e-9:
                n_deck[:, c] = n_side[-1, c]
        points = np.concatenate([points, deck[1:].reshape(-1, 3)])
    on_centre = points[:, 1] == 0.0
    port = np.where(on_centre, np.arange(len(points)), len(points) + np.cumsum(~on_centre) - 1)
    vertices = np.concatenate([points, points[~on_centre] * np.array([1.0, -1.0, 1.0])])
    return Numbering(vertices, n_side, port[n_side], n_deck, None if n_deck is None else port[n_deck])


def cap(numbers: Numbering, column: int) -> Array:
    """Faces across one end, between the two edges of the side and under the end of the deck; outward at
    the bow for column 0."""
    s, p = numbers.side[:, column], numbers.side_port[:, column]
    if numbers.deck is None or numbers.deck_port is None:
        faces = strip_faces(s, p)
    else:
        over, over_port = (
            numbers.deck[:, column],
            numbers.deck_port[:, column],
        )  # from the sheer to the middle
        foot, foot_port = np.full(len(over) - 1, s[-2]), np.full(len(over) - 1, p[-2])
        middle = np.array([[s[-2], over_port[-1], over[-1]], [s[-2], p[-2], over_port[-1]]])
        top = [
            np.column_stack([foot, over[1:], over[:-1]]),
            middle,
            np.column_stack([foot_port, over_port[:-1], over_port[1:]]),
        ]
        faces = np.concatenate([strip_faces(s[:-1], p[:-1]), *top])
    return faces if column == 0 else faces[:, ::-1]


def close(numbers: Numbering, bow: str, stern: str) -> Patches:
    """All faces of a hull with a deck, or with a lid at the sheer where there is none."""
    patches = Patches()
    patches.add("hull", grid_faces(numbers.side))
    patches.add("hull", grid_faces(numbers.side_port)[:, ::-1])
    patches.add("keel", strip_faces(numbers.side[0], numbers.side_port[0])[:, ::-1])
    patches.add(bow, cap(numbers, 0))
    patches.add(stern, cap(numbers, -1))
    if numbers.deck is None or numbers.deck_port is None:
        patches.add("lid", strip_faces(numbers.side[-1], numbers.side_port[-1]))
    else:
        patches.add("deck", grid_faces(numbers.deck))
        patches.add("deck", grid_faces(numbers.deck_port)[:, ::-1])
    return patches
