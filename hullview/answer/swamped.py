"""Swamped: what it does with water in it, the paddler in and out, and with a sealed space let in.

It is filled little by little, and what runs over its lowest rim as it lies is gone: full is as much as stays.
Water lies loose, its surface level; where that upsets its it rolls till the sea comes in. Then the water
inside stands as high as outside: only its wood, cloth and resin, sealed spaces and flotation bear it.
Fittings and a paddler's body bear nothing here, though a swimmer in a jacket bears himself; no air is trapped
in a boat that turned over. Found on the coarser of the hull's two meshes: plenty for figures of this kind.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from hullview.afloat.equilibrium import Rest, both_sides, height_to_flooding, rest
from hullview.afloat.loose import Overrun, rest_spilling, rest_with_water
from hullview.afloat.settle import Loose
from hullview.answer.conditions import LIKELY, Craft
from hullview.boat.model import Boat
from hullview.materials import Library, library
from hullview.shape.appendages import body_of
from hullview.shape.body import Body, signed_sum
from hullview.shape.inside import Space, spaces
from hullview.weight.line import WeightLine
from hullview.weight.total import Weight

SHARES = (0.25, 0.5, 1.0)
STEPS = tuple(i / 8 for i in range(1, 9))
"""Shares at which it is looked at as it fills: with little water in its it may be less steady than with
more."""
BODY, SHIFT, LEANS = 80.0, 0.030, math.radians(20)
"""Barely upright: so heavy a body [kg] that moves so far [m] leans it more than this, by its GM (common
practice, no source)."""
_CLOSE = 1e-7
"""How far from rest will do, as a share of its size."""
_SPILLED = 1e-4
"""A smaller share than this that ran over is none."""
_ROLLS = math.sin(math.radians(3))
"""The sea that comes in with its heeled more than this came in because it rolled."""

State = Literal["afloat", "awash", "turns over", "sinks"]


@dataclass(frozen=True)
class Swamping:
    """It lies so with water in it. share: of what its open spaces hold to the lowest rim, level; paddlers:
    aboard or not.

    state "afloat": rims above water, what is inside stays inside; "awash": water stands inside as outside;
    "turns over": so, and upright is not where it stays; "sinks". water: left inside [kg]. spilled: it does
    not hold that much, the rest ran out. rolls: it was over it side that the sea came in, for it did not stay
    upright with that water loose in it. heel, trim [rad]; freeboard, rim: least height above the sea of the
    sheer and of what lets water in [m]; gm with the loose surfaces taken off [m]. bears: awash, what more it
    carries before it goes under [kg]; when it sinks, negative: what it lacks. mass: of all that floats, the
    water in it too [kg].
    """

    share: float
    paddlers: bool
    state: State
    water: float
    spilled: bool = False
    rolls: bool = False
    heel: float | None = None
    trim: float | None = None
    freeboard: float | None = None
    rim: float | None = None
    gm: float | None = None
    bears: float | None = None
    mass: float = 0.0

    @property
    def barely_upright(self) -> bool:
        """By its GM and all that it weighs with the water in it."""
        return (
            self.state == "afloat"
            and self.gm is not None
            and self.gm * self.mass * math.tan(LEANS) < BODY * SHIFT
        )


@dataclass(frozen=True)
class LetIn:
    """A sealed compartment or tank open to the sea, the load aboard: state "afloat", "floods" or "sinks";
    figures as in `Swamping`."""

    name: str
    state: str
    water: float
    heel: float | None = None
    trim: float | None = None
    freeboard: float | None = None
    rim: float | None = None
    gm: float | None = None


@dataclass(frozen=True)
class Swamped:
    """All of it. solids: volume of wood, cloth and resin [m3]; holds: water its open spaces hold to the
    lowest rim [kg]; sealed: what sealed spaces and flotation displace [m3]; bears_full: what it bears beside
    itself with all open spaces flooded [kg]: negative where it sinks."""

    solids: float
    holds: float
    sealed: float
    bears_full: float
    cases: tuple[Swamping, ...]
    let_in: tuple[LetIn, ...]


def swamped(craft: Craft) -> Swamped:
    """A quarter, a half and all full, with the paddlers out and in; then each sealed space let in, with
    the load aboard."""
    coarse = craft.hull.coarse
    if coarse is not None:
        craft = replace(craft, hull=coarse, body=body_of(coarse, craft.boat.appendages), weighed=craft.weight)
    return _Wet(craft).all()


def solid_volume(weight: Weight, boat: Boat) -> float:
    """Volume of wood, cloth, resin, glue and coatings: the sum of each line's mass over the density of its
    own material.

    Parameters
    ----------
    weight
        A weighed build of the boat; only the lines of its schedule count, not what is allowed for beside
        them.
    boat
        The boat, for the shop's own materials.

    Returns
    -------
    float
        Volume [m3]. Fittings given by their mass alone count for nothing, as if they were metal.
    """
    lib = library(boat.materials)
    return sum(line.mass / own for line in weight.lines if (own := _density(line, lib)) is not None)


def _density(line: WeightLine, lib: Library) -> float | None:
    """Likely density of what a line is made of [kg/m3]; None for fittings, which say a mass and no
    material."""
    density_in: Mapping[str, Callable[[str], float]] = {
        "planking": lambda name: lib.wood(name).density[1],
        "other wood": lambda name: lib.wood(name).density[1],
        "cloth": lambda name: lib.cloth(name).fibre_density,
        "resin": lambda name: lib.resin(name).cured_density[1],
        "glue": lambda name: lib.resin(name).glue_density[1],
        "coating": lambda name: lib.coating(name).dry_density,
    }
    found = density_in.get(line.group)
    return None if found is None else found(line.material)


class _Wet:
    """One craft with its spaces laid out."""

    def __init__(self, craft: Craft):
        boat = craft.boat
        self.craft, self.density = craft, craft.density
        self.solids = solid_volume(craft.weight, boat)
        self.spaces = spaces(craft.hull, self.solids, boat.bulkheads, boat.tanks, boat.flotation)
        self.open = [(space, space.body) for space in self.spaces if space.open]
        self.loads = {True: craft.load(boat.load.paddlers, LIKELY), False: craft.load((), LIKELY)}
        up = np.array([0.0, 0.0, 1.0])
        self.holds = [body.immersed(up, float(space.rims[:, 2].min())).volume for space, body in self.open]

    @cached_property
    def shell(self) -> Body:
        """What still displaces with every open space flooded."""
        return self._without([space for space, _ in self.open])

    def _without(self, flooded: Sequence[Space]) -> Body:
        whole = self.craft.body
        holes = [(v, f, -sign) for space in flooded for v, f, sign in space.parts]
        return signed_sum([(whole.vertices, whole.faces, 1), *holes])

    def all(self) -> Swamped:
        cases = (*self.filled(False), *self.filled(True))
        sealed = [space for space in self.spaces if not space.open]
        flotation = sum(f.volume for f in self.craft.boat.flotation)
        return Swamped(
            self.solids,
            self.density * sum(self.holds),
            sum(space.body.volume for space in sealed) + flotation,
            self.density * self.shell.volume - self.loads[False].mass,
            cases,
            tuple(self.let_in(space) for space in sealed),
        )

    def filled(self, paddlers: bool) -> Iterator[Swamping]:
        """Water let in little by little to each of SHARES: what runs over its rims is gone, and where the sea
        comes in it fills.

        One that went does not come up again with more water in it, though lying low it would steady it.
        """
        load, rims = self.loads[paddlers], [space.rims for space, _ in self.open]
        lying: Rest | None = None
        lost: Swamping | None = None
        kept, spilled = tuple(0.0 for _ in self.open), False
        for share in STEPS:
            if lost is None and not spilled:
                loose = [Loose(body, share * v) for v, (_, body) in zip(self.holds, self.open)]
                found = rest_spilling(
                    self.craft.body,
                    load.mass,
                    load.centre,
                    self.density,
                    loose,
                    rims,
                    start=lying,
                    close=_CLOSE,
                )
                if isinstance(found, Overrun):
                    lost = self._drowned(share, paddlers, bool(abs(found.normal[1]) > _ROLLS))
                else:
                    lying, kept = found
                    spilled = sum(kept) < (1 - _SPILLED) * sum(w.volume for w in loose)
            if share in SHARES:
                yield (
                    self._at_rest(share, paddlers, lying, sum(kept), spilled)
                    if lost is None
                    else replace(lost, share=share)
                )

    def _at_rest(
        self, share: float, paddlers: bool, lying: Rest | None, kept: float, spilled: bool
    ) -> Swamping:
        assert lying is not None
        return Swamping(
            share, paddlers, "afloat", self.density * kept, spilled, False,
            lying.heel, lying.trim, self._freeboard(lying), self._rim(lying), lying.gm, mass=lying.mass,
        )  # fmt: skip

    def _drowned(self, share: float, paddlers: bool, rolls: bool) -> Swamping:
        """Water inside as high as outside. Where that leaves its rims dry it lies so; rolls: over on it
        side it came in."""
        load = self.loads[paddlers]
        bears = self.density * self.shell.volume - load.mass
        lying = rest(self.shell, load.mass, load.centre, self.density, judge_upright=False)
        if lying.normal is None or lying.offset is None:
            return Swamping(
                share,
                paddlers,
                "sinks",
                self.density * sum(body.volume for _, body in self.open),
                rolls=rolls,
                bears=bears,
            )
        inside = [body.immersed(lying.normal, lying.offset).volume for _, body in self.open]
        over = lying.heel is None or abs(lying.heel) > math.pi / 2
        rim = self._rim(lying)
        state: State = "turns over" if over else "awash" if rim is not None and rim <= 0 else "afloat"
        if state == "afloat":  # what is inside now stays inside
            loose = [Loose(body, v) for v, (_, body) in zip(inside, self.open)]
            lying, _ = rest_with_water(
                self.craft.body, load.mass, load.centre, self.density, loose, start=lying, close=_CLOSE
            )
        return Swamping(
            share,
            paddlers,
            state,
            self.density * sum(inside),
            state == "afloat",
            rolls,
            lying.heel,
            lying.trim,
            self._freeboard(lying),
            self._rim(lying),
            lying.gm,
            None if state == "afloat" else bears,
            lying.mass,
        )

    def let_in(self, space: Space) -> LetIn:
        """A sealed space open to the sea: its buoyancy is lost, not its weight gained."""
        load = self.loads[True]
        lying = rest(self._without([space]), load.mass, load.centre, self.density, judge_upright=False)
        if lying.normal is None or lying.offset is None:
            return LetIn(space.name, "sinks", self.density * space.body.volume)
        water = self.density * space.body.immersed(lying.normal, lying.offset).volume
        height, _ = height_to_flooding(self.craft.hull, lying.normal, lying.offset)
        if height is not None and height <= 0:
            return LetIn(space.name, "floods", water)
        return LetIn(
            space.name, "afloat", water, lying.heel, lying.trim, self._freeboard(lying), height, lying.gm
        )

    def _rim(self, lying: Rest) -> float | None:
        """Least height above the sea of every rim of the open spaces: a spray deck is off once it is
        swamped. None where no space is open."""
        if not self.open:
            return None
        return min(float((space.rims @ lying.normal).min()) for space, _ in self.open) - (lying.offset or 0.0)

    def _freeboard(self, lying: Rest) -> float:
        return float((both_sides(self.craft.hull.sheer) @ lying.normal).min()) - (lying.offset or 0.0)
