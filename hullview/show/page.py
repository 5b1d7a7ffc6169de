"""The page a shop mails to a customer: one HTML file with everything in it, and the bench sheet, from one study."""

from __future__ import annotations

import base64
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from hullview import study
from hullview.afloat.hydrostatics import heights_for, hydrostatics
from hullview.answer.cautions import ALL, BEND_A_SCRAP, IN_ONE_LINE, cautions
from hullview.answer.reading import reading
from hullview.boat.wording import length_text, mass_text
from hullview.materials import library
from hullview.show import chapters, charts, sources, words
from hullview.show.buying import buy_tables, short_list
from hullview.show.drawings import saved
from hullview.show.mishaps import reading_text
from hullview.show.paper import facts, lines_of
from hullview.show.picture import Picture, picture, subtitle
from hullview.show.pose import pose
from hullview.show.stability import holds_for, other_side_text
from hullview.show.verdict import assumptions, because, chance_text, headline
from hullview.study import Verdict

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from hullview.afloat.righting import RightingCurve
    from hullview.boat.model import Boat

TEMPLATES = Path(__file__).parent / "templates"
PICTURE_SIZE = (1500, 940)
HEELS = np.radians(np.arange(0.0, 180.1, 5.0))
"""Heels of the page's righting curves [rad]."""


@dataclass(frozen=True)
class Image:
    """A picture in the page: its bytes as a data address, what it shows in words, a line under it, its size in pixels or none."""

    source: str
    title: str
    alt: str
    caption: str = ""
    width: int | None = None
    height: int | None = None


@dataclass(frozen=True)
class Studied:
    """One boat studied for the page: the answer, and what the chapters ask for when they are written."""

    verdict: Verdict

    @property
    def boat(self) -> Boat:
        return self.verdict.craft.boat

    @cached_property
    def picture(self) -> Picture:
        return picture(self.verdict.craft, self.verdict.floating, self.verdict)

    @cached_property
    def curves(self) -> list[RightingCurve]:
        return study.righting(self.verdict.craft, HEELS, ("rigid", "upright torso"))


def page(
    boat: Boat,
    build: str | None = None,
    *,
    light: bool = False,
    tell: Callable[[str], None] = lambda step: None,
) -> str:
    """The whole study as one HTML page that needs nothing from the net; light: without the view to turn. `tell` hears each step."""
    tell("the answer")
    whole = Studied(study.carry(boat, build, with_chance=True))
    tell("her picture")
    shot = afloat_image(whole)
    context = {**_common(whole), "picture": shot, **_answer(whole)}
    for step, chapter in (
        ("righting", _righting),
        ("hydrostatics", _hydrostatics),
        ("weight", _weight),
        ("lines", _lines),
    ):
        tell(step)
        context |= chapter(whole)
    tell("the view to turn")
    context |= {} if light else _turn(whole)
    return render("page.html", context)


def sheet(boat: Boat, build: str | None = None) -> str:
    """One page for the bench: dimensions, the waterline on the forms, weights by stage, what to order."""
    whole = Studied(study.carry(boat, build))
    verdict, units = whole.verdict, boat.units_shown
    hull = verdict.craft.hull
    places = list(zip(hull.station_names, hull.stations))
    tops = [float(np.interp(x, hull.sheer[:, 0], hull.sheer[:, 2])) for _, x in places]
    forms = sources.forms_table(
        places, verdict.floating, tops, [hull.keel_height(x) for _, x in places], units
    )
    dimensions = chapters.Table("Dimensions", ("", "size"), facts(boat, hull, verdict.floating), "lr")
    context = {
        **_common(whole),
        "forms": forms,
        "dimensions": dimensions,
        "stages": sources.stages_table(verdict.craft.weight, units),
        "buy": short_list(study.shopping(boat, verdict.craft.weight.build), boat.units_shown),
        "cautions": cautions("shop"),
    }
    return render("sheet.html", context)


def render(name: str, context: dict[str, Any]) -> str:
    """A template with every word of a boat's file escaped, and no control signs."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    env = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        finalize=lambda value: clean(value) if type(value) is str else value,
    )  # fmt: skip
    given = {"buy": (), "bend": (), "turn": "", "library": "", "shop_cautions": ()}
    return env.get_template(name).render(**{**given, **context})


def _common(whole: Studied) -> dict[str, Any]:
    from markupsafe import Markup

    name = clean(whole.boat.name)
    return {
        "title": name,
        "title_css": Markup(css_text(name)),
        "subtitle": clean(subtitle(whole.verdict.craft)),
        "css": Markup((TEMPLATES / "page.css").read_text(encoding="utf-8")),
        "version": version(),
        "checksum": whole.boat.checksum or "none",
    }


def clean(text: str) -> str:
    """A name or note without control signs; line ends become spaces."""
    return "".join(c if c.isprintable() else " " for c in text)


def css_text(text: str) -> str:
    r"""Text fit to stand in quotes in a style: every sign but plain letters and figures as its number.

    >>> css_text('a "b"</style>')
    'a\\20 \\22 b\\22 \\3c \\2f style\\3e '
    """
    return "".join(c if c.isascii() and c.isalnum() else f"\\{ord(c):x} " for c in text)


def version() -> str:
    """The version that made the page."""
    try:
        return metadata.version("hullview")
    except metadata.PackageNotFoundError:
        return "from its source folder"


# ---------------------------------------------------------------- chapters


def _answer(whole: Studied) -> dict[str, Any]:
    verdict = whole.verdict
    return {
        "headline": f"She {headline(verdict)}."
        if verdict.answer != "marginal"
        else f"She is {headline(verdict)}.",
        "mark": {"carries": "pass", "marginal": "warn", "does not carry": "fail"}[verdict.answer],
        "because": _sentence(because(verdict)),
        "doubts": verdict.doubts,
        "caution": IN_ONE_LINE,
        "assumptions": clean(assumptions(whole.boat)),
        "checks": chapters.checks_table(verdict),
        "lies": chapters.afloat_table(verdict),
        "paddlers": chapters.paddlers_table(verdict),
        "swamped": None
        if verdict.swamped is None
        else chapters.swamped_table(verdict.swamped, whole.boat.units_shown),
        "boarding": chapters.boarding_table(verdict.boarding, whole.boat.units_shown)
        if verdict.boarding
        else None,
        "chance": "" if verdict.chance is None else chance_text(verdict.chance),
        "about": sources.boat_rows(whole.boat),
        "sources": sources.sources_table(
            whole.boat.build(verdict.craft.weight.build), library(whole.boat.materials)
        ),
        "cautions": ALL,
    }


def _sentence(text: str) -> str:
    plain = " ".join(text.split())
    return f"{plain[0].upper()}{plain[1:]}." if plain else ""


def _righting(whole: Studied) -> dict[str, Any]:
    curves, boat = whole.curves, whole.boat
    table = chapters.righting_table(curves, boat.units_shown)
    chart = charts.righting_chart(curves, "Righting arm over heel")
    said = "; ".join(f"{row[0]} {row[1]}" for row in table.rows)
    other = other_side_text(study.other_side(whole.verdict.craft, curves[0]), boat.units_shown)
    return {
        "righting_chart": drawn(chart, "Righting curves", f"Righting arm over heel. Rigid paddler: {said}."),
        "righting": table,
        "righting_words": " ".join(
            f"{reading_text(reading(whole.verdict.craft, curves[0]), boat.units_shown)} {other}".split()
        ),
        "holds_for": clean(holds_for(boat)),
    }


def _hydrostatics(whole: Studied) -> dict[str, Any]:
    craft, floating, units = whole.verdict.craft, whole.verdict.floating, whole.boat.units_shown
    rows = hydrostatics(
        craft.hull, craft.density, heights_for(craft.hull, whole.boat.units_shown), body=craft.body
    )
    load = (
        None
        if floating.rest.normal is None or floating.rest.offset is None
        else floating.rest.offset / floating.rest.normal[2]
    )
    chart = charts.hydrostatic_chart(rows, "What each waterline offers", units, load)
    return {
        "hydrostatic_chart": drawn(
            chart,
            "Hydrostatic curves",
            "Curves of the figures in the table below, over the waterline's height.",
        ),
        "hydrostatics": chapters.hydrostatics_table(rows, units),
    }


def _weight(whole: Studied) -> dict[str, Any]:
    boat, weight = whole.boat, whole.verdict.craft.weight
    found: dict[str, Any] = {
        "compare": None,
        "unseen": (),
        "weight": chapters.weight_table(weight, boat.units_shown),
    }
    weights = [weight]
    if len(boat.builds) > 1:
        compared, sides = study.compared([(boat, [b.name for b in boat.builds])])
        weights = list(compared.weights)
        found |= {
            "compare": chapters.compare_table(compared, sides, boat.units_shown),
            "unseen": compared.unseen,
        }
    said = "; ".join(f"{w.build} {mass_text(w.mass, boat.units_shown)}" for w in weights)
    found["weight_chart"] = drawn(
        charts.weight_chart(weights, "Weight by group", boat.units_shown),
        "Weight by group",
        f"Bars of weight by group: {said}.",
    )
    return found


def _lines(whole: Studied) -> dict[str, Any]:
    craft, boat, table = whole.verdict.craft, whole.boat, whole.boat.hull.table
    findings, bend, _ = study.looked_over(boat, craft.weight.build)
    sizes = ", ".join(f"{name} {value}" for name, value in facts(boat, craft.hull))
    found: dict[str, Any] = {
        "lines": drawn(
            lines_of(boat, craft.hull, whole.verdict.floating),
            "Lines plan",
            f"Lines plan: profile, half-breadth plan and body plan. {sizes}.",
        ),
        "offsets": () if table is None else sources.offsets_tables(table),
        "fair": None,
        "bend": () if bend is None else chapters.bend_tables(bend, boat.units_shown),
        "bend_caution": BEND_A_SCRAP,
        "buy": buy_tables(study.shopping(boat, craft.weight.build), boat.units_shown),
        "shop_cautions": cautions("shop"),
    }
    if table is not None and findings:
        doubtful = [f"{words.rows_of(table)[f.line]} at station {f.station}" for f in findings if f.flagged]
        said = f"Out of fair: {', '.join(doubtful)}." if doubtful else "No offset lies out of fair."
        found["fair"] = drawn(
            charts.fairness_chart(findings, table, "How far each offset lies out of fair"),
            "Fairness",
            said,
            said,
        )
    return found


def _turn(whole: Studied) -> dict[str, Any]:
    from hullview.show.turntable import drawing_library, script, turntable

    made = whole.picture
    lying = np.eye(4) if made.normal is None or made.offset is None else pose(made.normal, made.offset)
    figure = turntable(
        made.parts, made.solids, lying, made.centre, made.buoyancy, water=made.normal is not None
    )
    return {"turn": script(figure), "library": drawing_library()}


# ---------------------------------------------------------------- pictures


def drawn(figure: Figure, title: str, alt: str, caption: str = "") -> Image:
    """A drawing as a picture that stays sharp on paper."""
    data = base64.b64encode(saved(figure, "svg")).decode()
    return Image(f"data:image/svg+xml;base64,{data}", title, alt, caption)


def afloat_image(whole: Studied) -> Image:
    """Her picture afloat; where nothing can be drawn in three dimensions, her profile from the lines plan stands in for it."""
    from hullview.errors import UsageError
    from hullview.show import gl
    from hullview.show.picture import draw

    alt = seen_words(whole)
    try:
        gl.prepare(on_screen=False)
    except UsageError as reason:
        return drawn(
            lines_of(whole.boat, whole.verdict.craft.hull, whole.verdict.floating),
            "Lines plan",
            alt,
            f"Her lines stand in for a picture: {reason}",
        )
    from hullview.show.scene import webp

    data = base64.b64encode(webp(draw(whole.picture, size=PICTURE_SIZE))).decode()
    width, height = PICTURE_SIZE
    return Image(
        f"data:image/webp;base64,{data}",
        "Afloat",
        alt,
        "As computed: heel, trim and draft are true; the water is calm.",
        width,
        height,
    )


def seen_words(whole: Studied) -> str:
    """What her picture shows, for who cannot see it."""
    boat, floating = whole.boat, whole.verdict.floating
    if floating.draft is None:
        return f"{clean(boat.name)}: she {floating.state} with this load."
    draft = length_text(floating.draft, boat.units_shown)
    return (
        f"{clean(boat.name)} afloat with {mass_text(floating.mass, boat.units_shown)} in all, draft {draft}."
    )
