"""The load cases of a boat's file, each through the same checks as the load itself."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from hullview.answer.checks import Answer, Check, Condition, binding
from hullview.answer.conditions import Craft
from hullview.answer.seat import Seat, level_trim
from hullview.boat.model import Case
from hullview.errors import BoatFileError, Mistake, UsageError

Judged = tuple[Answer, tuple[Check, ...], tuple[Condition, ...], tuple[str, ...]]


@dataclass(frozen=True)
class Carried:
    """One load case. craft: with everybody seated; ends: likely, then the bad ends; unusual: in words; seat:
    of the first paddler, for level trim."""

    case: Case
    craft: Craft
    answer: Answer
    checks: tuple[Check, ...]
    ends: tuple[Condition, ...]
    unusual: tuple[str, ...]
    seat: Seat

    @property
    def likely(self) -> Condition:
        return self.ends[0]

    @property
    def in_the_way(self) -> str:
        """The check that stands in the way, in words, or what is unusual; "" where nothing does."""
        stands = binding(self.checks)
        return stands.obstacle if stands is not None else "; ".join(self.unusual)

    @property
    def least_margin(self) -> float | None:
        """The least over checks and ends of the margin over the check's scale [1]; None where one has no
        figure."""
        margins = [c.least_margin for c in self.checks]
        return None if None in margins else min((m for m in margins if m is not None), default=None)


def carried(
    craft: Craft, launch: Callable[[Craft], Craft], judge: Callable[[Craft], Judged]
) -> tuple[Carried, ...]:
    """Every case of the file, in its order.

    Parameters
    ----------
    craft : Craft
        The boat; whatever is aboard stays ashore.
    launch : callable
        Weighs it with another load and seats everybody.
    judge : callable
        The answer for the load aboard.

    Returns
    -------
    tuple of Carried

    Raises
    ------
    UsageError
        The file has none.
    BoatFileError
        With every person and thing of a case that has no place on the boat.
    """
    boat = craft.boat
    if not boat.cases:
        raise UsageError(
            f"{boat.name}: no [[case]] in boat.toml. Add one: a name, [[case.paddler]] with a mass,"
            " [[case.gear]] as needed."
        )
    found: list[Carried] = []
    wrong: list[Mistake] = []
    for case in boat.cases:
        try:
            one = launch(replace(craft, boat=replace(boat, load=case.load), weighed=None, seating=None))
        except BoatFileError as error:
            wrong += _named(case, error)
            continue
        found.append(Carried(case, one, *judge(one), level_trim(one, one.boat.load.paddlers)))
    if wrong:
        raise BoatFileError(wrong)
    return tuple(found)


def _named(case: Case, error: BoatFileError) -> Iterator[Mistake]:
    return (replace(m, key=f"case {case.name!r}: {m.key}") for m in error.mistakes)
