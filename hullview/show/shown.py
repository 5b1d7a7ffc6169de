"""What the window shows: load, boat afloat and answer of one state, during a drag too."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hullview import study
from hullview.afloat.equilibrium import CAPSIZED
from hullview.answer.conditions import Craft
from hullview.answer.refloat import Lying, refloat
from hullview.boat.model import Boat, Paddler
from hullview.boat.wording import length_text
from hullview.errors import HullviewError
from hullview.show.captions import held_figures, main_figures

CAPSIZED_WORDS = "capsized: U or the button sets it upright"
NOT_JUDGED = "no answer yet: it comes when the slider is let go"


@dataclass(frozen=True)
class Setting:
    """What the sliders stand at: mass [kg], seat's back [m aft of the datum], lean to starboard [m], heel
    held [rad] or None."""

    mass: float
    seat_back: float
    lean: float = 0.0
    heel: float | None = None


@dataclass(frozen=True)
class Shown:
    """One state of the window.

    Parameters
    ----------
    setting
        What the sliders say.
    lying
        How the boat lies with that.
    over
        It has capsized and has not been set upright since.
    answer
        The answer in words, "" before there is one.
    worst
        What goes worst with that load, in sentences.
    judged
        (mass [kg], seat's back [m]) that the answer is about.
    """

    setting: Setting
    lying: Lying
    over: bool = False
    answer: str = ""
    worst: str = ""
    judged: tuple[float, float] | None = None

    @property
    def load(self) -> tuple[float, float]:
        """(mass [kg], seat's back [m]): what an answer is about. A lean is a movement and no part of it."""
        return self.setting.mass, self.setting.seat_back


def seated(boat: Boat, setting: Setting) -> tuple[Paddler, ...]:
    """Everyone in the boat, the first as the sliders have them."""
    if not boat.load.paddlers:
        return ()
    first, *others = boat.load.paddlers
    moved = replace(first, mass=setting.mass, seat_back=setting.seat_back, side=first.side + setting.lean)
    return (moved, *others)


def first_shown(craft: Craft) -> Shown:
    """The boat as its file loads it, not yet judged."""
    paddlers = craft.boat.load.paddlers
    setting = Setting(paddlers[0].mass, paddlers[0].seat_back) if paddlers else Setting(0.0, 0.0)
    return upright(craft, Shown(setting, refloat(craft, paddlers)))


def moved(craft: Craft, shown: Shown, setting: Setting) -> Shown:
    """The boat with another setting, laid on the water from where it lies.

    A boat that has capsized stays so, whatever the sliders do: no heel is held then, and where the new load
    alone would bring it back it is kept at the heel it had.
    """
    if shown.over:
        setting = replace(setting, heel=None)
    paddlers = seated(craft.boat, setting)
    lying = refloat(craft, paddlers, setting.heel, shown.lying)
    over = shown.over or _capsized(lying)
    if over and lying.floating.state not in (CAPSIZED, "sinks"):
        heel = shown.lying.floating.rest.heel
        lying = refloat(craft, paddlers, math.pi if heel is None else heel)
    return replace(shown, setting=setting, lying=lying, over=over)


def upright(craft: Craft, shown: Shown) -> Shown:
    """Set upright: no lean, no heel held, and laid on the water from upright; it may capsize again."""
    setting = replace(shown.setting, lean=0.0, heel=None)
    lying = refloat(craft, seated(craft.boat, setting))
    return replace(shown, setting=setting, lying=lying, over=_capsized(lying))


def judged(craft: Craft, shown: Shown) -> Shown:
    """The same with the answer for its load, if it has none yet; none with nobody aboard, held or
    capsized."""
    if not craft.boat.load.paddlers or shown.lying.held or shown.over or shown.judged == shown.load:
        return shown
    level = seated(craft.boat, replace(shown.setting, lean=0.0))
    try:
        launched = replace(craft, boat=craft.boat.with_load(paddlers=level))
        verdict = study.with_mishaps(study.judge(launched))
        answer, worst = f"{verdict.answer}, on flat water, by these limits", " ".join(verdict.worst)
    except HullviewError as error:
        answer, worst = str(error), ""
    return replace(shown, answer=answer, worst=worst, judged=shown.load)


def headline(craft: Craft, shown: Shown) -> str:
    """The words over the boat, of the state it is seen in."""
    state = shown.lying.floating.state
    if shown.over:
        return CAPSIZED_WORDS
    if shown.lying.held:
        return "heel held by hand"
    if not craft.boat.load.paddlers:
        return ""
    lean = shown.setting.lean
    size = length_text(abs(lean), craft.boat.units_shown, both=False)
    leaned = f"leaned {size} to {'starboard' if lean > 0 else 'port'}"
    if lean and state != "afloat":
        return f"{leaned} it {state}"
    if shown.judged != shown.load:
        return NOT_JUDGED if state == "afloat" else f"it {state}"
    return f"{shown.answer}; {leaned} it stays afloat" if lean else shown.answer


def worst_words(craft: Craft, shown: Shown) -> str:
    """What goes worst, under the headline; nothing where the headline is about something else than a load."""
    answered = shown.judged == shown.load and not shown.over and not shown.lying.held
    return shown.worst if answered and shown.lying.floating.state == "afloat" else ""


def figures(craft: Craft, shown: Shown) -> tuple[tuple[str, str], ...]:
    """(words, value) to stand beside the boat."""
    units = craft.boat.units_shown
    if shown.lying.held and not shown.over:
        return held_figures(shown.lying, units)
    return main_figures(shown.lying.floating, units)


def _capsized(lying: Lying) -> bool:
    return not lying.held and lying.floating.state == CAPSIZED
