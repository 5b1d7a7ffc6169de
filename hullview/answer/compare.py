"""Builds side by side: what each weighs and where, and the differences, with what both share taken out of the
doubt.

Both builds are weighed as if by the same hands from the same stock: a difference is judged boat by boat over
the same samples, and what the scale said of one build holds for what the other shares with it.
How each floats is added by whoever has the water; nothing here knows of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hullview.arrays import Array
from hullview.boat.model import Boat, Build, Schedule
from hullview.errors import UsageError
from hullview.shape.hull import Hull
from hullview.weight.causes import span_of
from hullview.weight.total import Weight, weigh


@dataclass(frozen=True)
class Difference:
    """What floats of a build less that of the first. mass: likely; low, high: the 80 % range of the
    difference itself [kg]; centre (3,) [m]; resin [kg]; groups: by group [kg]; clear: the range leaves no
    doubt which of the two is heavier."""

    build: str
    against: str
    mass: float
    low: float
    high: float
    centre: Array
    resin: float
    groups: Mapping[str, float]
    hours: float | None = None

    @property
    def clear(self) -> bool:
        return self.low > 0 or self.high < 0

    @property
    def words(self) -> str:
        """Which is heavier, in a sentence, or that it cannot be said."""
        if not self.clear:
            return (
                f"{self.build} and {self.against}: the difference of {abs(self.mass):.2f} kg is smaller than"
                f" its range ({self.low:+.2f} to {self.high:+.2f} kg), so it cannot be said which is heavier."
            )
        more = "heavier" if self.mass > 0 else "lighter"
        near, far = sorted((abs(self.low), abs(self.high)))
        return (
            f"{self.build} is {abs(self.mass):.2f} kg {more} than {self.against} ({near:.2f} to {far:.2f}"
            " kg)."
        )


@dataclass(frozen=True)
class Compared:
    """weights in the order asked for; differences of each but the first against the first; unseen: by
    build, what weight does not show."""

    weights: tuple[Weight, ...]
    differences: tuple[Difference, ...]
    unseen: tuple[tuple[str, tuple[str, ...]], ...]

    def __repr__(self) -> str:
        return f"<Compared: {', '.join(w.build for w in self.weights)[:200]}>"


def compare(boat: Boat, hull: Hull, names: Sequence[str] = ()) -> Compared:
    """Compare builds of one boat by name (none: all it has). What the scale said of one build closes in
    what the others share with it."""
    builds = picked(boat, names)
    decked = [boat.hull.type == "decked"] * len(builds)
    return compare_weights([weigh(boat, hull, b.name) for b in builds], builds, decked)


def picked(boat: Boat, names: Sequence[str] = (), one_will_do: bool = False) -> list[Build]:
    """Builds of a boat by name; with no names all it has, or the first where one will do."""
    builds = [boat.build(n) for n in names] if names else [boat.build()] if one_will_do else list(boat.builds)
    if len(builds) < 2 and not one_will_do:
        known = ", ".join(b.name for b in boat.builds) or "none"
        raise UsageError(f"compare needs two builds or more of {boat.name}. It has: {known}.")
    return builds


def compare_weights(
    weights: Sequence[Weight], builds: Sequence[Build] = (), decked: Sequence[bool] = ()
) -> Compared:
    """Compare weights already made, of one boat or of several.

    Parameters
    ----------
    weights : sequence of Weight
    builds : sequence of Build
        In the same order, if given.
    decked : sequence of bool
        Whether each build's boat has a deck; all of them if left out.

    Returns
    -------
    Compared
    """
    first = weights[0]
    hours = [b.hours for b in builds] or [None] * len(weights)
    found = tuple(_difference(w, first, _less(h, hours[0])) for w, h in zip(weights[1:], hours[1:]))
    return Compared(tuple(weights), found, unshared(builds, decked))


def costs(boat: Boat, hull: Hull, weights: Sequence[Weight]) -> tuple[Mapping[str, float], ...]:
    """What the materials of each build cost, by currency, as far as the shop gave prices; empty where it gave
    none.

    Slower than the rest, since each order is made up: asked for by itself.
    """
    from hullview.weight.buy import buy

    if not any(m.price is not None for m in boat.materials) and not any(
        c.price is not None for c in boat.consumables
    ):
        return tuple({} for _ in weights)
    return tuple(buy(boat, hull, w).costs for w in weights)


def _less(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else a - b


def _difference(w: Weight, first: Weight, hours: float | None) -> Difference:
    low, high = span_of(w.samples.sum(axis=0) - first.samples.sum(axis=0))
    groups = {g: w.groups.get(g, 0.0) - first.groups.get(g, 0.0) for g in {**first.groups, **w.groups}}
    return Difference(
        w.build,
        first.build,
        w.mass - first.mass,
        low,
        high,
        w.centre - first.centre,
        w.resin - first.resin,
        groups,
        hours,
    )


def unseen(schedule: Schedule, decked: bool = True) -> tuple[str, ...]:
    """What a way of building does that no scale shows. Common practice, no source.

    Parameters
    ----------
    schedule : Schedule
    decked : bool
        Nothing is said of decks to an open boat.
    """
    sheer = [r for r in schedule.runs if r.along == "sheer"]
    stick = any(r.kind in ("lamination", "solid") for r in sheer)
    sentences: list[str] = []
    if any(r.kind == "lamination" and r.side == "inside" for r in sheer):
        sentences += _CLAMP if decked else _INWALE
    if any(r.kind == "solid" for r in sheer):
        sentences.append(
            "A solid stick must take the bend of the sheer in both planes: `check` says whether it will."
        )
    if any(0 < r.solid_share < 1 for r in sheer):
        sentences.append(
            "Scuppers take hours to cut and round, drain the boat when it is turned over, and give a place to"
            " tie things in."
        )
    if not stick and any(r.kind in ("tape", "fillet") for r in sheer):
        sentences.append(
            "A taped seam has no stick to stiffen the sheer: the skins alone hold the shape until deck and"
            " hull are joined."
            if decked
            else "A taped sheer has no stick to stiffen it: the skins alone hold the shape."
        )
    if any(r.kind in ("tape", "fillet") and r.side == "inside" for r in sheer):
        sentences += _TAPE_UNDER_A_DECK if decked else _TAPE
    if any(r.along in ("bow stem", "stern stem") and r.kind == "lamination" for r in schedule.runs):
        sentences.append(
            "Laminated stems give strips a face to land on and take knocks; without them ends are filled with"
            " thickened resin."
        )
    return tuple(sentences)


_CLAMP = (
    (
        "A clamp stiffens the sheer before and after the deck goes on, and gives the deck edge a face to be"
        " glued to."
    ),
    (
        "A clamp is glued up on the forms, with a notch for it in each, and must be worked into the narrow"
        " ends before the deck closes them."
    ),
    "Hours: plies to saw, two or three gluings with many clamps, a bevel to plane to the deck's angle.",
)
_INWALE = (
    "A lamination inside the sheer stiffens it, and gives seats and thwarts something to hang from.",
    "Hours: plies to saw, two or three gluings with many clamps, edges to round.",
)
_TAPE = (
    (
        "Hours: a few, but the inside of each side is one sticky session, and the edges must be cut back and"
        " filled."
    ),
)
_TAPE_UNDER_A_DECK = (
    (
        "Tape inside must be laid at arm's length in the ends, where it cannot be seen; brush on a stick,"
        " boat on its side."
    ),
    *_TAPE,
)


def unshared(builds: Sequence[Build], decked: Sequence[bool] = ()) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What no scale shows, by build, without what is said of all of them; decked: of each build's boat,
    all if left out."""
    decks = decked or [True] * len(builds)
    sentences = [unseen(b.schedule, deck) for b, deck in zip(builds, decks, strict=True)]
    return tuple(
        (b.name, tuple(w for w in words if not all(w in other for other in sentences)))
        for b, words in zip(builds, sentences)
    )
