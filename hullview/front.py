"""The front door of the library: `hullview.open` gives a boat that answers what the commands answer.

    boat = hullview.open("models/short-kayak")
    boat.carry(paddler="82 kg")
    boat.righting().to_frame()

Quantities are written as everywhere in hullview, with their unit: "82 kg", "9 ft 6 in". Each answer is a
`Told`: the frozen result of the room it was worked out in, with the writers beside it, of which the lower
rooms know nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from os import PathLike
from typing import TYPE_CHECKING, Any, Literal

from hullview import study
from hullview.afloat.water import density_of
from hullview.answer.conditions import Craft
from hullview.boat.loading import gear_of, water_of, with_load
from hullview.boat.model import Boat
from hullview.boat.quantity import read
from hullview.boat.reader import read_boat
from hullview.errors import UsageError
from hullview.tell.model import Line, Telling

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Words = str | Sequence[str]
"""One quantity or name, or several: one for each aboard."""
WIDEST = 300
"""Signs of a `repr`, about."""


@dataclass(frozen=True, repr=False)
class Told:
    """One answer: the result itself, what is said of it, and how it is drawn.

    Parameters
    ----------
    result
        The frozen result, in SI and radians: a `Verdict`, a `Weight`, a tuple of `RightingCurve`, ...
    telling : Telling
        The same in sentences and tables.
    drawn : callable, optional
        Makes its chart; None where there is none.
    """

    result: Any
    telling: Telling
    drawn: Callable[[], Figure] | None = field(default=None, compare=False)

    def __repr__(self) -> str:
        from hullview.show.units import in_words

        blocks = (b for s in self.telling.sections for b in s.blocks)
        first = next((in_words(b.words, self.telling.units) for b in blocks if isinstance(b, Line)), "")
        words = " ".join(first.split())
        return f"<{words[:WIDEST]}{'...' if len(words) > WIDEST else ''}>"

    def _repr_html_(self) -> str:
        from hullview.show.html import escaped, section_html

        units = self.telling.units
        parts = (f"<h4>{escaped(s.title)}</h4>\n{section_html(s, units)}" for s in self.telling.sections)
        return "\n".join(parts)

    def __str__(self) -> str:
        from hullview.show import text

        return text.plain(text.lines(self.telling))

    def to_frame(self) -> pd.DataFrame:
        """Its table, as --csv of the command gives it.

        Returns
        -------
        DataFrame
            Lengths in metres, angles in degrees, masses in kilograms; the unit ends each column's name.
        """
        from hullview.show.record import as_frame

        return as_frame(self.telling)

    def to_dict(self) -> dict[str, Any]:
        """What --json of the command gives.

        Returns
        -------
        dict
            Nested, in SI, angles in degrees, None where there is no figure.
        """
        from hullview.show.record import as_record

        return as_record(self.telling)

    def plot(self) -> Axes:
        """Its chart.

        Returns
        -------
        Axes
            Of matplotlib, the first where there are several; `.figure` saves it.

        Raises
        ------
        UsageError
            Such an answer has no chart.
        """
        if self.drawn is None:
            raise UsageError(f"{self!r} has no chart: righting, hydrostatics, weigh, compare and check have.")
        return self.drawn().axes[0]


@dataclass(frozen=True, repr=False)
class Opened:
    """A boat ready to be asked. Shaped once, when it is first needed.

    Parameters
    ----------
    boat : Boat
        What its files say.
    build : str, optional
        Name of the build all answers are for; the first of the file if left out.
    """

    boat: Boat
    build: str | None = None

    def __repr__(self) -> str:
        return f"<hullview.open: {self.boat!r}>"

    def _repr_html_(self) -> str:
        from hullview.show.html import section_html
        from hullview.tell.boat import about_section

        return section_html(about_section(self.boat), self.boat.units_shown)

    @cached_property
    def craft(self) -> Craft:
        """The boat shaped, its mesh ready to be cut."""
        return study.craft_of(self.boat, self.build)

    def loaded(
        self,
        *,
        paddler: Words = (),
        seat: Words = (),
        seat_back: Words = (),
        faces: Words = (),
        stature: Words = (),
        gear: Words = (),
        water: str | None = None,
        build: str | None = None,
    ) -> Opened:
        """The same boat with another load, in other water, or in another build.

        Parameters
        ----------
        paddler : str or sequence of str
            Masses, dressed: "82 kg"; several are aboard together.
        seat : str or sequence of str
            Seats of the file by their paddlers' names, one for each aboard.
        seat_back : str or sequence of str
            Seat's edge behind the back, aft of the bow datum: "1.8 m".
        faces : str or sequence of str
            "bow" or "stern".
        stature : str or sequence of str
            "1.62 m".
        gear : str or sequence of str
            "6 kg @ 2.3 m", or "none".
        water : str, optional
            "fresh", "salt", or a density: "1012 kg/m3".
        build : str, optional

        Returns
        -------
        Opened
        """
        wanted = build if build is not None else self.build
        if wanted is not None:
            self.boat.build(wanted)
        ways: list[Any] = [one_of(way, "faces", ("bow", "stern")) for way in several(faces)]
        boat = with_load(
            self.boat,
            paddler=quantities(paddler, "mass"),
            seat=several(seat),
            seat_back=quantities(seat_back, "length"),
            faces=ways,
            stature=quantities(stature, "length"),
            gear=[gear_of(one) for one in several(gear)],
        )
        if water is not None:
            boat = replace(boat, water=water_of(water))
        if boat is self.boat and wanted == self.build:
            return self
        made = Opened(boat, wanted)
        if "craft" in self.__dict__:  # the shape is the same whoever is aboard
            density = density_of(boat.water)
            craft = Craft(boat, self.craft.hull, self.craft.body, density, wanted)
            made.__dict__["craft"] = craft
        return made

    def carry(self, *, against: Words = (), chance: bool = False, **load: Any) -> Told:
        """Will it carry this load?

        Parameters
        ----------
        against : str or sequence of str
            Other paddlers, to be set beside the first: "70 kg".
        chance : bool
            Also what share of builds stays inside the limits.
        **load
            As `loaded` takes it.

        Returns
        -------
        Told
            Its result is a `Verdict`.
        """
        from hullview.tell.verdict import verdict_telling

        aboard = self.loaded(**load)
        verdict = study.carry(aboard.craft, with_chance=chance)
        seated = verdict.craft
        others = [
            study.judge(study.launch(replace(seated, boat=with_load(seated.boat, [mass]))))
            for mass in quantities(against, "mass")
        ]
        return Told(verdict, verdict_telling(verdict, others))

    def float(self, **load: Any) -> Told:
        """How it lies at rest.

        Parameters
        ----------
        **load
            As `loaded` takes it.

        Returns
        -------
        Told
            Its result is a `Floating`.
        """
        from hullview.tell.floating import floating_telling

        boat = self.loaded(**load)
        floating = study.afloat(study.launch(boat.craft))
        return Told(floating, floating_telling(floating, self.boat.name, self.boat.units_shown))

    def righting(self, *, to: str = "180 deg", step: str = "5 deg", **load: Any) -> Told:
        """The righting moment curve, displacement held and trim free.

        Parameters
        ----------
        to, step : str
            Last heel, to port with a minus, and from one to the next: "90 deg", "5 deg".
        **load
            As `loaded` takes it.

        Returns
        -------
        Told
            Its result is a tuple of `RightingCurve`: a rigid paddler, and a torso kept upright.
        """
        from hullview.afloat.loads import Torso
        from hullview.answer.reading import reading
        from hullview.show.units import plain
        from hullview.tell.righting import holds_for, righting_telling

        last, by = read(to, "angle").value, read(step, "angle").value
        if not (0 < by <= abs(last) <= math.pi + 1e-9):
            raise UsageError(f"to {to!r} by {step!r}: to at most 180 deg, by a step of no more than that.")
        count = math.floor(abs(last) / by + 1e-9)
        heels = [math.copysign(i * by, last) for i in range(count + 1)]
        craft = study.launch(self.loaded(**load).craft)
        postures: tuple[Torso, ...] = ("rigid", "upright torso") if craft.boat.load.paddlers else ("rigid",)
        curves = list(study.righting(craft, heels, postures))
        told, other = reading(craft, curves[0]), study.other_side(craft, curves[0])
        curves[0] = study.curve_with_error(craft, curves[0])
        title, holds = f"{craft.boat.name}: righting curve", plain(holds_for(craft.boat))
        return Told(
            tuple(curves),
            righting_telling(curves, craft.boat, told, other),
            lambda: charts().righting_chart(curves, title, holds),
        )

    def hydrostatics(self) -> Told:
        """The hydrostatics table, upright and level, from the keel to the lowest sheer.

        Returns
        -------
        Told
            Its result is a tuple of rows.
        """
        from hullview.afloat.hydrostatics import hydrostatics
        from hullview.tell.hydrostatics import hydrostatics_telling

        craft, units = self.craft, self.boat.units_shown
        rows = hydrostatics(craft.hull, craft.density, body=craft.body)
        title = f"{self.boat.name}: hydrostatic curves"
        return Told(
            rows,
            hydrostatics_telling(rows, self.boat.name, craft.density, units),
            lambda: charts().hydrostatic_chart(rows, title, units),
        )

    def weigh(self, build: str | None = None) -> Told:
        """The weight, line by line, with its centre and its range.

        Parameters
        ----------
        build : str, optional

        Returns
        -------
        Told
            Its result is a `Weight`.
        """
        from hullview.tell.weight import weight_telling

        craft = study.launch(self.loaded(build=build).craft)
        title, units = f"{self.boat.name}: weight by group", self.boat.units_shown
        return Told(
            craft.weight,
            weight_telling(craft.weight, self.boat),
            lambda: charts().weight_chart([craft.weight], title, units),
        )

    def compare(self, *builds: str) -> Told:
        """Builds side by side.

        Parameters
        ----------
        *builds : str
            All of the file if left out.

        Returns
        -------
        Told
            Its result is (`Compared`, list of `Side`).
        """
        from hullview.tell.compare import compare_telling

        compared, sides = study.compared([(self.craft, builds)])
        title, units = f"{self.boat.name}: weight by group", self.boat.units_shown
        return Told(
            (compared, sides),
            compare_telling(compared, sides),
            lambda: charts().weight_chart(compared.weights, title, units),
        )

    def check(self) -> Told:
        """Is the table fair and complete, will the wood take the bend.

        Returns
        -------
        Told
            Its result is a `Checked`.
        """
        from hullview.tell.fairness import check_telling

        checked = study.check(self.craft)
        changes = study.if_fair(self.boat, checked.findings)
        table, title = self.boat.hull.table, f"{self.boat.name}: fairness"
        drawn = None if table is None else lambda: charts().fairness_chart(checked.findings, table, title)
        return Told(checked, check_telling(self.boat, checked, changes), drawn)

    def buy(self, build: str | None = None) -> Told:
        """What to order for a build.

        Parameters
        ----------
        build : str, optional

        Returns
        -------
        Told
            Its result is a `Shopping`.
        """
        from hullview.tell.order import buy_telling

        found = study.shopping(self.loaded(build=build).craft)
        return Told(found, buy_telling(found, self.boat))

    def batches(self, build: str | None = None) -> Told:
        """The resin of a build by the pot.

        Parameters
        ----------
        build : str, optional

        Returns
        -------
        Told
            Its result is a `Batches`.
        """
        from hullview.tell.batches import batches_telling

        found = study.batches(self.loaded(build=build).craft)
        return Told(found, batches_telling(found, self.boat))

    def forms(self, build: str | None = None, *, at: Words = ()) -> Told:
        """The forms to build it over.

        Parameters
        ----------
        build : str, optional
        at : str or sequence of str
            Extra positions, aft of the bow datum: "1.3 m".

        Returns
        -------
        Told
            Its result is a `Forms`.
        """
        from hullview.tell.forms import forms_telling

        found = study.forms(self.boat, build or self.build, at=quantities(at, "length"))
        return Told(found, forms_telling(found))

    def cases(self, build: str | None = None) -> Told:
        """The load cases of the boat's file.

        Parameters
        ----------
        build : str, optional

        Returns
        -------
        Told
            Its result is a tuple, one a case.
        """
        from hullview.tell.cases import cases_telling

        found = study.cases(self.boat, build or self.build)
        return Told(found, cases_telling(found, self.boat))

    def report(self, *, light: bool = False, **load: Any) -> str:
        """The whole study as one page.

        Parameters
        ----------
        light : bool
            Without the view to turn.
        **load
            As `loaded` takes it.

        Returns
        -------
        str
            HTML that needs nothing from the net.
        """
        from hullview.show.page import page

        loaded = self.loaded(**load)
        return page(loaded.boat, loaded.build, light=light)

    def show(
        self,
        *,
        colour: str = "materials",
        view: str = "quarter",
        see_through: bool = False,
        stations: bool = False,
        **load: Any,
    ) -> None:
        """A window to turn it in, afloat; it returns when the window is closed.

        Parameters
        ----------
        colour : {"materials", "regions", "wet", "thickness", "bend"}
            What the colours mean.
        view : {"quarter", "profile", "plan", "body"}
        see_through, stations : bool
        **load
            As `loaded` takes it.

        Returns
        -------
        None
        """
        from hullview.show import gl

        gl.prepare(on_screen=True)
        from hullview.show.window import Window

        craft = study.launch(self.loaded(**load).craft)
        one_of(colour, "colour", ("materials", "regions", "wet", "thickness", "bend"))
        one_of(view, "view", ("quarter", "profile", "plan", "body"))
        Window(craft, colour, view, see_through, stations, (1280, 800)).run()


def open(
    path: str | PathLike[str],
    *,
    build: str | None = None,
    water: Literal["fresh", "salt"] | str | None = None,
) -> Opened:
    """A boat to be asked.

    Parameters
    ----------
    path : str or path
        Its folder, or the boat.toml in it.
    build : str, optional
        Of its builds; the first of the file if left out.
    water : str, optional
        "fresh", "salt", or a density; as the file says if left out.

    Returns
    -------
    Opened

    Raises
    ------
    BoatFileError
        Every mistake of its files in one go, each with file, line and mend.
    """
    return Opened(read_boat(path)).loaded(build=build, water=water)


def several(given: Words) -> list[str]:
    """One or several, as a list.

    >>> several("82 kg"), several(["82 kg", "70 kg"])
    (['82 kg'], ['82 kg', '70 kg'])
    """
    return [given] if isinstance(given, str) else list(given)


def quantities(given: Words, kind: str) -> list[float]:
    """Quantities as they are written, in SI.

    >>> quantities("9 ft", "length")
    [2.7432]
    """
    if isinstance(given, (int, float)):
        raise UsageError(f"{given!r}: must have its unit. Write it as a text.")
    return [read(one, kind).value for one in several(given)]


def one_of(given: str, what: str, known: Sequence[str]) -> str:
    """A word of a list, or an error that says which are known."""
    from hullview.errors import did_you_mean

    if given not in known:
        raise UsageError(f"{what}={given!r}: no such {what}. {did_you_mean(given, known)}")
    return given


def charts() -> Any:
    """The charts, loaded when one is drawn."""
    from hullview.show import charts as loaded

    return loaded
