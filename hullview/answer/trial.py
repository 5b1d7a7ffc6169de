"""The checks by the first paddler's mass, the others and the seats as they are, with no more cuts than the
answer needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from hullview.answer.checks import Check, Condition, binding, checks, rules_for
from hullview.answer.conditions import Craft, Loaded, heeled, level


class Trial:
    """One craft, tried with paddlers of many masses; each is worked out once. rules: the checks that apply
    to the boat."""

    def __init__(self, craft: Craft):
        self.craft = craft
        self.rules, self.ends = rules_for(craft.rowed), craft.ends
        self._level: dict[tuple[float, int], Loaded] = {}
        self._deciding: dict[float, tuple[Check, ...]] = {}
        self._last: dict[int, Loaded] = {}

    def level(self, mass: float, end: int = 0) -> Loaded:
        """How it lies with a first paddler of that mass [kg] at one of the ends; 0 is likely."""
        if (mass, end) not in self._level:
            first, *others = self.craft.boat.load.paddlers
            before = self._last.get(end)
            start = None if before is None or _lolls(before) else before.lying
            self._last[end] = self._level[mass, end] = level(
                self.craft, (replace(first, mass=mass), *others), self.ends[end], start=start
            )
        return self._level[mass, end]

    def loaded(self, mass: float) -> list[Loaded]:
        """The same at all the ends."""
        return [self.level(mass, end) for end in range(len(self.ends))]

    def deciding(self, mass: float) -> tuple[Check, ...]:
        """Checks enough to know the answer: the bad ends, and heeling it, only as long as nothing stands
        in the way yet."""
        if mass not in self._deciding:
            self._deciding[mass] = self._judged(mass)
        return self._deciding[mass]

    def _judged(self, mass: float) -> tuple[Check, ...]:
        likely = self.level(mass)
        made = self._checks([likely.found], heeled=False)
        if any(c.result == "fail" for c in made):
            return made
        found = [heeled(self.craft, likely, skip_covered=True)]
        over = self._checks(found, heeled=True)
        if binding((*made, *over)) is not None:
            return (*made, *over)
        loaded = self.loaded(mass)
        made = self._checks([one.found for one in loaded], heeled=False)
        for one in loaded[1:]:
            if binding((*made, *over)) is not None:
                break
            found.append(heeled(self.craft, one))
            over = self._checks(found, heeled=True)
        return (*made, *over)

    def _checks(self, found: Sequence[Condition], heeled: bool) -> tuple[Check, ...]:
        return checks(self.craft.boat, found, [rule for rule in self.rules if rule.heeled == heeled])


def _lolls(loaded: Loaded) -> bool:
    """A walk that starts from a loll could end in another rest than one from upright does."""
    heel = loaded.lying.heel
    return heel is None or abs(heel) > 1e-6
