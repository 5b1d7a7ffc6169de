"""Swamped: what she does with water in her, the paddler in and out, and with a sealed space let in.

Water lies loose with its surface level and spills at the lowest rim. Where a rim is under, the water inside stands as high as
outside: then only her wood, cloth and resin, sealed spaces and flotation bear her. Fittings and a paddler's body bear nothing
here, though a swimmer in a jacket bears himself; no air is trapped in a boat that turned over. Found on the coarser of the
hull's two meshes: plenty for figures of this kind.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Literal

import numpy as np

from hullview.afloat.equilibrium import Rest, both_sides, height_to_flooding, rest
from hullview.afloat.loose import rest_with_water
from hullview.afloat.settle import Loose
from hullview.answer.conditions import LIKELY, Craft
from hullview.boat.model import Boat
from hullview.materials import library
from hullview.shape.appendages import body_of
from hullview.shape.body import Body, signed_sum
from hullview.shape.inside import Space, spaces
from hullview.weight.mass import Mass
from hullview.weight.total import Weight, WeightLine

Array = np.ndarray

SHARES = (0.25, 0.5, 1.0)
_COATING = 1200.0
"""Density of a dry coat of varnish or paint [kg/m3] (from memory)."""
_CLOSE = 1e-7
"""How far from rest will do, as a share of her size."""
_SPILLED = 1e-4
"""Water is settled when less than this share of it still runs over."""

State = Literal["afloat", "awash", "turns over", "sinks"]


@dataclass(frozen=True)
class Swamping:
    """She lies so with water in her. share: of what her open spaces hold to the lowest rim, level; paddlers: aboard or not.

    state "afloat": rims above water, what is inside stays inside; "awash": water stands inside as outside; "turns over": so, and
    upright is not where she stays; "sinks". water: left inside [kg]. spilled: she does not hold that much, the rest ran out.
    heel, trim [rad]; freeboard, rim: least height above the sea of the sheer and of what lets water in [m]; gm with the
    loose surfaces taken off [m]. bears: awash, what more she carries before she goes under [kg]; when she sinks, negative:
    what she lacks.
    """

    share: float
    paddlers: bool
    state: State
    water: float
    spilled: bool = False
    heel: float | None = None
    trim: float | None = None
    freeboard: float | None = None
    rim: float | None = None
    gm: float | None = None
    bears: float | None = None


@dataclass(frozen=True)
class LetIn:
    """A sealed compartment or tank open to the sea, the load aboard: state "afloat", "floods" or "sinks"; figures as in `Swamping`."""

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
    """All of it. solids: volume of wood, cloth and resin [m3]; holds: water her open spaces hold to the lowest rim [kg];
    sealed: what sealed spaces and flotation displace [m3]; bears_full: what she bears beside herself with all open spaces flooded
    [kg]: negative where she sinks."""

    solids: float
    holds: float
    sealed: float
    bears_full: float
    cases: tuple[Swamping, ...]
    let_in: tuple[LetIn, ...]


def swamped(craft: Craft) -> Swamped:
    """A quarter, a half and all full, with the paddlers out and in; then each sealed space let in, with the load aboard."""
    coarse = craft.hull.coarse
    if coarse is not None:
        craft = replace(craft, hull=coarse, body=body_of(coarse, craft.boat.appendages))
    return _Wet(craft).all()


def solid_volume(weight: Weight, boat: Boat) -> float:
    """Volume of wood, cloth and resin [m3]: each line's mass over the density of what it is. Fittings count for nothing."""
    lib = library(boat.materials)
    resin = lib.resin("epoxy").cured_density[1]
    found = 0.0
    for line in weight.lines:
        if line.group in ("planking", "other wood"):
            found += line.mass / (_named_density(line) or 700.0)
        elif line.group == "cloth":
            found += line.mass / 2540.0  # E-glass, the heaviest cloth in use
        elif line.group in ("resin", "glue"):
            found += line.mass / resin
        elif line.group == "coating":
            found += line.mass / _COATING
    return found


def _named_density(line: WeightLine) -> float | None:
    """Of the wood whose density moves the line [kg/m3]."""
    quantities = (q for term in line.terms for q in term.factors)
    return next((q.likely for q in quantities if q.cause.startswith("density of ")), None)


def as_json(found: Swamped) -> dict[str, Any]:
    """SI, angles in degrees, None where a state leaves no figure."""

    def plain(case: Swamping | LetIn) -> dict[str, Any]:
        units = {"water": "kg", "freeboard": "m", "rim": "m", "gm": "m", "bears": "kg"}
        out = {f"{k}_{units[k]}" if k in units else k: v for k, v in case.__dict__.items() if k not in ("heel", "trim")}
        return out | {f"{k}_deg": None if v is None else math.degrees(v) for k, v in (("heel", case.heel), ("trim", case.trim))}

    return {
        "solids_m3": found.solids,
        "holds_kg": found.holds,
        "sealed_m3": found.sealed,
        "bears_full_kg": found.bears_full,
        "cases": [plain(case) for case in found.cases],
        "let_in": [plain(case) for case in found.let_in],
    }


class _Wet:
    """One craft with her spaces laid out."""

    def __init__(self, craft: Craft):
        boat = craft.boat
        self.craft, self.density = craft, craft.density
        self.solids = solid_volume(craft.weight, boat)
        self.spaces = spaces(craft.hull, self.solids, boat.bulkheads, boat.tanks, boat.flotation)
        self.open = [(space, space.body) for space in self.spaces if space.open]
        self.loads = {True: craft.load(boat.load.paddlers, LIKELY), False: craft.load((), LIKELY)}
        up = np.array([0.0, 0.0, 1.0])
        self.began: Rest | None = None  # the last that settled upright with her rims dry
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
        cases = tuple(self.filled(share, paddlers) for paddlers in (False, True) for share in SHARES)
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

    def filled(self, share: float, paddlers: bool) -> Swamping:
        """Water put in her to a share of what she holds; what runs over the rims again is followed until it stops."""
        load, volumes = self.loads[paddlers], [share * v for v in self.holds]
        found = self._settled(load, volumes)
        spilled = False
        if found is None:
            drowned = self._drowned(share, paddlers)
            if drowned is not None:
                return drowned
            found, spilled = self._most(load, volumes), True
        lying, kept = found
        return Swamping(
            share, paddlers, "afloat", self.density * sum(kept), spilled or sum(kept) < sum(volumes) * (1 - _SPILLED),
            lying.heel, lying.trim, self._freeboard(lying), self._rim(lying), lying.gm,
        )  # fmt: skip

    def _settled(self, load: Mass, volumes: Sequence[float]) -> tuple[Rest, list[float]] | None:
        """How she lies when no more runs over her rims, and what is left inside; None where a rim goes under."""
        kept, lying = list(volumes), self.began
        for _ in range(10):
            loose = [Loose(body, v) for (_, body), v in zip(self.open, kept)]
            lying, levels = rest_with_water(self.craft.body, load.mass, load.centre, self.density, loose, start=lying, close=_CLOSE)
            if lying.normal is None or self._rim(lying) <= 0:
                return None
            before = sum(kept)
            kept = [self._kept(k, lying.normal, level, v) for k, (level, v) in enumerate(zip(levels, kept))]
            if before - sum(kept) <= _SPILLED * before:
                break
        assert lying is not None
        self.began = lying if abs(lying.heel or 0.0) < 1e-3 else None
        return lying, kept

    def _most(self, load: Mass, volumes: Sequence[float]) -> tuple[Rest, list[float]]:
        """The most water, up to these volumes, that stays inside with her rims dry: by halving."""
        low, high, best = 0.0, 1.0, None
        for _ in range(7):
            share = (low + high) / 2
            found = self._settled(load, [share * v for v in volumes])
            low, high, best = (share, high, found) if found is not None else (low, share, best)
        if best is None:  # not even dry: the answer before this one says so
            best = rest_with_water(self.craft.body, load.mass, load.centre, self.density, [])[0], [0.0] * len(volumes)
        return best

    def _kept(self, k: int, n: Array, level: float, volume: float) -> float:
        """What stays in a space whose surface stands at a level, with its rims as they are now."""
        space, body = self.open[k]
        low = float((space.rims @ n).min())
        return volume if level <= low else min(volume, body.immersed(n, low).volume)

    def _drowned(self, share: float, paddlers: bool) -> Swamping | None:
        """Water inside as high as outside; None where that would leave every rim dry, so that it does not come to it."""
        load = self.loads[paddlers]
        bears = self.density * self.shell.volume - load.mass
        lying = rest(self.shell, load.mass, load.centre, self.density, judge_upright=False)
        if lying.normal is None or lying.offset is None:
            return Swamping(share, paddlers, "sinks", self.density * sum(body.volume for _, body in self.open), bears=bears)
        over = lying.heel is None or abs(lying.heel) > math.pi / 2
        if not over and self._rim(lying) > 0:
            return None
        inside = sum(body.immersed(lying.normal, lying.offset).volume for _, body in self.open)
        return Swamping(
            share, paddlers, "turns over" if over else "awash", self.density * inside, False,
            lying.heel, lying.trim, self._freeboard(lying), self._rim(lying), lying.gm, bears,
        )  # fmt: skip

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
        return LetIn(space.name, "afloat", water, lying.heel, lying.trim, self._freeboard(lying), height, lying.gm)

    def _rim(self, lying: Rest) -> float:
        """Least height above the sea of every rim of the open spaces: a spray deck is off once she is swamped."""
        return min((float((space.rims @ lying.normal).min()) for space, _ in self.open), default=np.inf) - (lying.offset or 0.0)

    def _freeboard(self, lying: Rest) -> float:
        return float((both_sides(self.craft.hull.sheer) @ lying.normal).min()) - (lying.offset or 0.0)
