"""The checks by the first paddler's mass, the others and the seats as they are, with no more cuts than the answer needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from hullview.answer.checks import Check, Condition, Rule, binding, checks, rules_for
from hullview.answer.conditions import BAD_ENDS, LIKELY, Craft, Loaded, heeled, level, to_heel
from hullview.answer.plausible import sizes


class Trial:
    """One craft, tried with paddlers of many masses; each is worked out once. rules: the checks that apply to her."""

    def __init__(self, craft: Craft):
        self.craft = craft
        self.rules = rules_for(craft.boat, sizes(craft.hull)["length over beam"])
        self._loaded: dict[float, tuple[Loaded, ...]] = {}
        self._quick: dict[float, tuple[Check, ...]] = {}
        self._last: Sequence[Loaded | None] = [None] * (1 + len(BAD_ENDS))

    def loaded(self, mass: float) -> tuple[Loaded, ...]:
        """How she lies with a first paddler of that mass [kg]: at likely figures, then at the bad ends."""
        if mass not in self._loaded:
            first, *others = self.craft.boat.load.paddlers
            aboard = (replace(first, mass=mass), *others)
            self._last = self._loaded[mass] = tuple(
                level(self.craft, aboard, end, start=None if before is None or _lolls(before) else before.lying)
                for end, before in zip((LIKELY, *BAD_ENDS), self._last)
            )
        return self._loaded[mass]

    def quick(self, mass: float) -> tuple[Check, ...]:
        """Checks enough to know the answer: she is heeled only as long as nothing stands in the way yet."""
        if mass not in self._quick:
            self._quick[mass] = self._judged(self.loaded(mass))
        return self._quick[mass]

    def _judged(self, loaded: Sequence[Loaded]) -> tuple[Check, ...]:
        boat = self.craft.boat
        made = checks(boat, [one.found for one in loaded], self._rules(False))
        if any(c.result == "fail" for c in made):
            return made
        found: list[Condition] = []
        over: tuple[Check, ...] = ()
        for i in to_heel(loaded):
            found.append(heeled(self.craft, loaded[i]))
            over = checks(boat, found, self._rules(True))
            if binding((*made, *over)) is not None:
                break
        return (*made, *over)

    def _rules(self, with_heel: bool) -> tuple[Rule, ...]:
        return tuple(rule for rule in self.rules if rule.heeled == with_heel)


def _lolls(loaded: Loaded) -> bool:
    """A walk that starts from a loll could end in another rest than one from upright does."""
    heel = loaded.lying.heel
    return heel is None or abs(heel) > 1e-6
