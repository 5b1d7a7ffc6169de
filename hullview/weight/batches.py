"""Epoxy by the pot: how many batches of how much for each step, resin and hardener by weight and by volume,
and how long they last.

The arithmetic is in the first part, in pure functions of numbers; the rules and rates are common practice, no
source (`data/batches.csv`, `data/resins.csv`), and what stands on the shop's own can goes before them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from hullview.boat.model import Boat, Order, Shop
from hullview.errors import HullviewError
from hullview.materials import HARDENERS, Library, Mix, Resin, library, rows
from hullview.weight.causes import Term
from hullview.weight.line import WeightLine
from hullview.weight.order_resin import JOBS, SQUEEZED, flour_share
from hullview.weight.stages import HOLDS
from hullview.weight.total import Weight

COLDEST = 12.0
"""Under this room-temperature epoxy hardly cures, or stays soft [C] (common practice, no source)."""
WARM, COOL = 25.0, 20.0
"""Temperature at which pot lives, and at which times to the next coat, are stated [C]."""
HALVES = 10.0
"""The pot life halves for each so many degrees more (common practice, no source)."""
TRAY = 2.5
"""Resin poured out in a tray lasts so many times as long as in the pot (common practice, no source)."""
IN_HAND = 0.6
"""Share of the pot life in which a batch is to be used up (common practice, no source)."""
LEAST, FINER = 0.060, math.log10(4.0)
"""Least batch on a scale that reads to 1 g [kg]; on one that reads to 0.1 g it is a quarter of that, and in
between in proportion on logarithms: the hardener is then weighed to some 3 % (common practice, no source)."""
TWO_PAIRS = 1.7
"""How many times as fast two pairs of hands are as one (common practice, no source)."""


class BatchError(HullviewError):
    """Resin cannot be mixed in this shop."""


# ---------------------------------------------------------------- the arithmetic


def pot_minutes(at_25: float, temperature: float, tray: bool = False) -> float:
    """Minutes that resin lasts at a temperature [C], of those it lasts in the pot at 25 C.

    >>> pot_minutes(22, 25), pot_minutes(22, 15), pot_minutes(22, 35), pot_minutes(22, 25, tray=True)
    (22.0, 44.0, 11.0, 55.0)
    """
    return float(at_25 * 2.0 ** ((WARM - temperature) / HALVES) * (TRAY if tray else 1.0))


def next_coat_hours(at_20: tuple[float, float], temperature: float) -> tuple[float, float]:
    """Hours from which and until which the next coat goes on unsanded at a temperature [C], of those at 20 C.

    >>> next_coat_hours((4, 24), 30)
    (2.0, 12.0)
    """
    low, high = (h * 2.0 ** ((COOL - temperature) / HALVES) for h in at_20)
    return low, high


def weight_ratio(ratio: float, resin_density: float, hardener_density: float) -> float:
    """Resin over hardener by weight, from their ratio by volume and the density of each.

    >>> [round(100 / weight_ratio(r, 1140, 980)) for r in (2, 3, 5)]
    [43, 29, 17]
    """
    return ratio * resin_density / hardener_density


def parts(mixed: float, mix: Mix) -> tuple[float, float, float, float]:
    """Resin and hardener of a batch [kg], and the volume of each [m3].

    Parameters
    ----------
    mixed
        Resin and hardener together [kg].
    mix
        Their ratio by volume and their densities.

    Returns
    -------
    tuple of float
        Resin [kg], hardener [kg], resin [m3], hardener [m3].
    """
    hardener = mixed / (1.0 + weight_ratio(mix.ratio, mix.resin_density, mix.hardener_density))
    resin = mixed - hardener
    return resin, hardener, resin / mix.resin_density, hardener / mix.hardener_density


def least_batch(scale: float) -> float:
    """The least batch [kg] that a scale of this least count [kg] weighs truly enough.

    >>> round(least_batch(0.001), 6), round(least_batch(0.0001), 6)
    (0.06, 0.015)
    """
    return float(LEAST * (scale / 0.001) ** FINER)


@dataclass(frozen=True)
class Pots:
    """So many batches, each of so much [kg], of which so much is used [kg]: less than mixed where the rule
    gives less than can be weighed."""

    count: int
    each: float
    used: float


def pots(total: float, cap: float, in_time: float, least: float) -> Pots:
    """How a step's resin is shared out over batches of one size.

    Parameters
    ----------
    total
        All that the step takes [kg].
    cap
        The most that is mixed at once [kg].
    in_time
        What can be used in its share of the pot life [kg].
    least
        The least that the scale weighs truly enough [kg].

    Notes
    -----
    By rule a batch is the least of cap and in_time, and the batches of a step are equal. Where that is under
    `least`, `least` is mixed and what can be used in time, or what the step takes, is used of it.
    """
    size = min(cap, in_time)
    count = max(1, math.ceil(total / size - 1e-9))
    used = total / count
    return Pots(count, max(used, least), used)


# ---------------------------------------------------------------- the rules of a shop


@dataclass(frozen=True)
class Rule:
    """Of one kind of step: the most mixed at once [kg] by one and by two pairs of hands, what one pair gets
    done in a minute (m2, or m), and which of the two."""

    step: str
    cap: tuple[float, float]
    rate: float
    per: str

    def cap_for(self, hands: int) -> float:
        """The most that is mixed at once [kg]."""
        return self.cap[min(hands, 2) - 1]

    def rate_for(self, hands: int) -> float:
        """What is got done in a minute [m2 or m]."""
        return self.rate * (TWO_PAIRS if hands > 1 else 1.0)


@lru_cache(maxsize=1)
def rules() -> Mapping[str, Rule]:
    """The rules by step."""
    return {
        r["step"]: Rule(
            r["step"],
            (float(r["cap_one_pair_g"]) / 1000, float(r["cap_two_pairs_g"]) / 1000),
            float(r["rate_per_min"]),
            r["per"],
        )
        for r in rows("batches.csv")
    }


STEP_OF = {
    "joint": "laminating",
    "glue line": "laminating",
    "seal coat": "seal",
    "wet-out": "wet-out",
    "fill coats": "fill",
    "fillet": "fillet",
    "tape wet-out": "tape",
}
"""The rule for each kind of line."""
IN_ORDER = HOLDS["finished"]
"""When things go aboard, one after the other."""


@dataclass(frozen=True)
class Job:
    """One step of one line of the weight that takes mixed resin.

    step: its rule's name; name: what it is called ("fill 2"); line: of the weight; amount: of surface or
    length, in `per` ("m2", "m"); spread: resin and hardener on each of those [kg], what is squeezed out with
    it; neat: that the step takes in all, with what is left in pots [kg]; flour_share: flour by weight of neat
    resin, and the consistency it makes ("" without).
    """

    step: str
    name: str
    line: WeightLine
    amount: float
    per: str
    spread: float
    neat: float
    flour_share: float = 0.0
    consistency: str = ""


@dataclass(frozen=True)
class Batch:
    """A job by the pot.

    count: batches (0 where none is possible); each: one batch, neat [kg]; used: what of it the step takes
    [kg]; in_time: what could be used in its share of the pot life [kg]; resin, hardener [kg], resin_volume,
    hardener_volume [m3], flour [kg]: of one batch; pot: minutes that it lasts in the pot; minutes: to use it;
    next_coat: hours from which and until which the next coat goes on unsanded. instead: (hardener, whether in
    a tray) with which a whole batch could be used in time, None where it can; refused: even the slowest
    hardener in a tray is too quick.
    """

    job: Job
    count: int
    each: float
    used: float
    in_time: float
    resin: float
    hardener: float
    resin_volume: float
    hardener_volume: float
    flour: float
    pot: float
    minutes: float
    next_coat: tuple[float, float]
    instead: tuple[str, bool] | None = None
    refused: bool = False


@dataclass(frozen=True)
class Batches:
    """All steps of one build in order, in this shop."""

    build: str
    shop: Shop
    batches: tuple[Batch, ...]

    def __repr__(self) -> str:
        return f"<Batches for {self.build[:80]!r}: {len(self.batches)} steps>"


def batches(boat: Boat, weight: Weight) -> Batches:
    """The resin of a build by the pot, step by step in the order in which things go aboard.

    Parameters
    ----------
    boat
        The boat, for its [shop], its [order] and the shop's own resins.
    weight
        The build, weighed.

    Raises
    ------
    BatchError
        Where the shop is colder than epoxy hardens in.
    """
    shop, lib = boat.shop, library(boat.materials, boat.shop.hardener)
    if shop.temperature < COLDEST:
        raise BatchError(
            f"boat.toml: [shop] temperature = {shop.temperature:.3g} C: must be {COLDEST:g} C or more, since"
            " epoxy hardly cures in the cold. Warm the shop, the boat and the resin first, and keep them"
            " warm until it is hard."
        )
    made = (batch(job, mix, shop) for job, mix in jobs(weight, boat, lib))
    return Batches(weight.build, shop, tuple(made))


def jobs(weight: Weight, boat: Boat, lib: Library) -> list[tuple[Job, Mix]]:
    """Every step that takes mixed resin, in the order in which things go aboard, with how its resin is
    mixed."""
    model = weight.model
    if model is None:
        return []
    likely, steps = model.term_masses(model.likely())[:, 0], list(rules())
    found: list[tuple[tuple[int, int, int], Job, Mix]] = []
    for i, (term, n) in enumerate(zip(model.terms, model.line)):
        line = weight.lines[n] if n < len(weight.lines) else None
        if line is None or line.kind not in STEP_OF or term.coefficient <= 0:
            continue
        r = lib.resin(line.material)
        if r.mix is not None:
            job = _job(line, r, term, float(likely[i]), boat.order)
            found.append(((IN_ORDER.index(term.when), steps.index(job.step), i), job, r.mix))
    return [(job, mix) for _, job, mix in sorted(found, key=lambda f: f[0])]


def _job(line: WeightLine, r: Resin, term: Term, likely: float, order: Order) -> Job:
    """One step from one term of a line: its coefficient is the surface it covers."""
    step = STEP_OF[line.kind]
    per = rules()[step].per
    amount = term.coefficient if per == "m2" else line.quantity * (line.count if step == "tape" else 1)
    flour = flour_share(r, line.kind)
    on_it = likely / (1 + flour) * (1 + (order.squeeze_out if line.kind in SQUEEZED else 0.0))
    return Job(
        step,
        term.step if step == "fill" else step,
        line,
        amount,
        per,
        on_it / amount,
        on_it * (1 + order.resin_waste),
        flour,
        JOBS[line.kind][1] if line.kind in JOBS else "",
    )


def batch(job: Job, mix: Mix, shop: Shop) -> Batch:
    """One job by the pot, by the rules of a shop."""
    rule = rules()[job.step]
    a_minute = rule.rate_for(shop.hands) * job.spread

    def lasts(hardener: str, tray: bool = False) -> float:
        return pot_minutes(mix.pot[HARDENERS.index(hardener)], shop.temperature, tray)

    cap = rule.cap_for(shop.hands)
    least = min(least_batch(shop.scale), cap)
    in_time, wanted = IN_HAND * lasts(shop.hardener) * a_minute, min(least, job.neat)
    made = pots(job.neat, cap, in_time, least)
    slower = HARDENERS[HARDENERS.index(shop.hardener) + 1 :]
    ways = [(h, False) for h in slower] + [(h, True) for h in (shop.hardener, *slower)]
    instead = None
    if in_time < wanted:
        instead = next((way for way in ways if IN_HAND * lasts(*way) * a_minute >= wanted), ways[-1])
    refused = wanted / a_minute > max(lasts(*way) for way in ways)
    return Batch(
        job,
        0 if refused else made.count,
        made.each,
        made.used,
        in_time,
        *parts(made.each, mix),
        made.each * job.flour_share,
        lasts(shop.hardener),
        made.used / a_minute,
        next_coat_hours(mix.next_coat, shop.temperature),
        instead,
        refused,
    )
