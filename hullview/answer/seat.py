"""The heaviest paddler for this seat, and the seat for level trim."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from hullview.afloat.equilibrium import Rest, rest
from hullview.answer.checks import Check, binding
from hullview.answer.conditions import LIKELY, Craft
from hullview.boat.model import Boat, Opening, Paddler
from hullview.boat.wording import from_to, length_text
from hullview.errors import SolveError
from hullview.weight.total import weigh

SCAN = tuple(range(50, 111, 10))
"""Paddlers of the table [kg]; the search begins with them."""

LIGHTER = (40, 30, 20)
HEAVIER = (130, 160, 200, 250, 320, 400, 500, 700, 1000)
"""Where the search goes on when none of the table passes, or all do [kg]."""

SINKING = frozenset(
    {"height_to_flooding", "freeboard", "reserve_of_buoyancy", "statutory_load", "statutory_persons"}
)
"""Checks that only get worse with weight: past a failure of one of them no heavier paddler need be tried."""

Judge = Callable[[int], Sequence[Check]]


@dataclass(frozen=True)
class Heaviest:
    """The heaviest paddler [kg] with whom every check passes, at the bad ends too; None if there is none.

    limit: the check that one kilogram more does not pass; or, where there is none, what stands in the way.
    told: the same in words for a person, where there are better ones.
    """

    mass: int | None
    limit: str
    told: str = field(default="", compare=False)

    @property
    def obstacle(self) -> str:
        return self.told or self.limit


def heaviest(judge: Judge, scanned: Sequence[int] = SCAN) -> Heaviest:
    """Scan the masses from the heaviest down, then close in on the last that passes: whole kilograms, rounded
    down.

    Checks need not be monotonic (GM may fail a light paddler and pass a heavier one), so the scan looks for
    the last that passes before weight alone forbids more. judge(mass) gives the checks of a paddler of so
    many whole kilograms.
    """
    tried = {max(scanned): judge(max(scanned))}
    heavier = iter(HEAVIER)
    while not _too_heavy(tried[max(tried)]) and (more := next(heavier, None)) is not None:
        tried[more] = judge(more)
    passing = [mass for mass, made in tried.items() if binding(made) is None]
    lighter = iter((*sorted(set(scanned) - set(tried), reverse=True), *LIGHTER))
    while not passing and (mass := next(lighter, None)) is not None:
        tried[mass] = judge(mass)
        if binding(tried[mass]) is None:
            passing = [mass]
    if not passing:
        in_order = (mass for mass in (*sorted(scanned), *HEAVIER, *LIGHTER) if mass in tried)
        nearest = min(in_order, key=lambda mass: _shortfalls(tried[mass]))
        stands = binding(tried[nearest])
        assert stands is not None
        nobody = f"no paddler from {min(tried)} to {max(tried)} kg passes, {nearest} kg comes nearest"
        return Heaviest(None, f"{stands.name}: {nobody}", f"{stands.obstacle}; {nobody}")
    low = max(passing)
    failing = [mass for mass in tried if mass > low]
    if not failing:
        return Heaviest(low, "nothing up to there; heavier was not tried")
    return _close_in(judge, tried, low, min(failing))


def _too_heavy(made: Sequence[Check]) -> bool:
    return any(c.key in SINKING and c.result != "pass" for c in made)


def _shortfalls(made: Sequence[Check]) -> tuple[int, int]:
    return sum(c.result == "fail" for c in made), sum(c.result == "warn" for c in made)


def _close_in(judge: Judge, tried: dict[int, Sequence[Check]], low: int, high: int) -> Heaviest:
    """From a mass that passes and one that does not to two that differ by a kilogram, guessing where the
    margin ends."""
    guesses = 0
    while high - low > 1:
        guess = _crossing(tried[low], tried[high], low, high) if guesses < 4 else (low + high) / 2
        at = min(max(int(guess), low + 1), high - 1)
        tried[at] = judge(at)
        low, high = (at, high) if binding(tried[at]) is None else (low, at)
        guesses += 1
    stands = binding(tried[high])
    assert stands is not None
    return Heaviest(low, stands.name, stands.obstacle)


def _crossing(passes: Sequence[Check], fails: Sequence[Check], low: int, high: int) -> float:
    """Where the first margin would run out if margins were straight in the mass [kg]."""
    roots = [low + (high - low) / 2]
    margins = {a.key: _least(a) for a in passes}
    for b in fails:
        before, after = margins.get(b.key, math.inf), _least(b)
        if b.result != "pass" and 0 <= before < math.inf and after < 0 and math.isfinite(after):
            roots.append(low + (high - low) * before / (before - after))
    return min(roots[1:], default=roots[0])


def _least(check: Check) -> float:
    return -math.inf if check.least_margin is None else check.least_margin


# ---------------------------------------------------------------- level trim


@dataclass(frozen=True)
class Seat:
    """Back of the first paddler's seat for level trim [m aft of the datum], or None with the reason;
    `wanted` all the same."""

    back: float | None
    reason: str = ""
    wanted: float | None = None


def level_trim(craft: Craft, paddlers: Sequence[Paddler]) -> Seat:
    """Where the first paddler must sit for level trim, at likely figures, the others staying where they are.

    Moving a mass m by s moves the common centre by m s / M, and the trim by the longitudinal GM: secants on
    the trim from there.
    """
    if not paddlers:
        return Seat(None, "nobody is aboard")
    try:
        wanted = _with_the_seat_itself(craft, paddlers)
    except SolveError:
        wanted = None
    if wanted is None:
        return Seat(None, "no seat gives level trim")
    ends = craft.hull.sheer[:, 0]
    reason = out_of_reach(craft.boat, (float(ends.min()), float(ends.max())), paddlers[0].seat_back, wanted)
    return Seat(None if reason else wanted, reason, wanted)


def _with_the_seat_itself(craft: Craft, paddlers: Sequence[Paddler]) -> float | None:
    """The place, counting that a seat and foot braces which the weight only allows for move with the paddler.

    The place found moves straight with the place they are weighed at, so weighing once more there is enough.
    """
    now, found = paddlers[0].seat_back, _solved(craft, paddlers)
    allowed_for = getattr(craft.weight, "usually_also", ())
    if (
        found is None or found == now or not allowed_for or craft.boat.afloat
    ):  # what was measured afloat stays where it was
        return found
    moved = craft.boat.with_load(paddlers=(replace(paddlers[0], seat_back=found), *paddlers[1:]))
    again = _solved(replace(craft, weighed=weigh(moved, craft.hull, craft.weight.build)), paddlers)
    if again is None:
        return None
    follows = (again - found) / (found - now)
    return found + (again - found) / (1 - follows)


def _solved(craft: Craft, paddlers: Sequence[Paddler]) -> float | None:
    """Secants on the trim over the seat's place: two to four rests."""
    share = paddlers[0].mass

    def lying(back: float) -> Rest:
        load = craft.load((replace(paddlers[0], seat_back=back), *paddlers[1:]), LIKELY)
        return rest(craft.body, load.mass, load.centre, craft.density, judge_upright=False)

    x = paddlers[0].seat_back
    at = lying(x)
    if at.trim is None or at.gm_longitudinal is None:
        return None
    slope = share / (at.mass * at.gm_longitudinal)  # of the trim, by the longitudinal GM
    for _ in range(30):
        if at.trim is None or abs(at.trim) < 1e-12:
            break
        step = -at.trim / slope
        step = max(-0.5, min(0.5, step))
        x, before = x + step, at.trim
        at = lying(x)
        if at.trim is None:
            return None
        if abs(at.trim - before) > 1e-15 and (at.trim - before) / step > 0:
            slope = (at.trim - before) / step
    return x if at.trim is not None and abs(at.trim) < 1e-9 else None


def out_of_reach(boat: Boat, ends: Sequence[float], now: float, wanted: float) -> str:
    """Why a seat cannot stand there: outside the opening the paddler sits in, past a bulkhead, off the boat;
    "" if it can.

    ends: of the sheer, fore and aft [m]. now: where the back of the seat is [m].
    """
    place = f"{length_text(wanted, boat.units_shown, both=False)} aft of the bow datum"
    low, high = reach(boat, ends, now)
    if not low <= wanted <= high:
        which = "the opening" if boat.openings else "the boat"
        return (
            f"level trim wants the seat's back {place}, outside {which}"
            f" ({from_to(low, high, boat.units_shown)})"
        )
    for bulkhead in boat.bulkheads:
        if min(now, wanted) < bulkhead.position < max(now, wanted):
            return (
                f"level trim wants the seat's back {place}, past the bulkhead at"
                f" {length_text(bulkhead.position, boat.units_shown, both=False)}"
            )
    return ""


def reach(boat: Boat, ends: Sequence[float], now: float) -> tuple[float, float]:
    """Fore and aft ends [m] of the opening nearest to the seat, or of the boat where there is none."""
    if not boat.openings:
        return float(min(ends)), float(max(ends))
    spans = [_span(o) for o in boat.openings]
    return min(spans, key=lambda s: max(s[0] - now, now - s[1], 0.0))


def _span(opening: Opening) -> tuple[float, float]:
    if opening.outline:
        aft = [x for x, _ in opening.outline]
        return min(aft), max(aft)
    return opening.centre - opening.length / 2, opening.centre + opening.length / 2
