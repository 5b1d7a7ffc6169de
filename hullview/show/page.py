"""The page a shop mails to a customer: one HTML file with everything in it, and the bench sheet, from one
study."""

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
from hullview.answer.cautions import ALL, IN_ONE_LINE, Caution, cautions
from hullview.answer.reading import reading
from hullview.errors import UsageError
from hullview.materials import library
from hullview.show import charts
from hullview.show.drawings import saved
from hullview.show.html import Image, blocks_html, escaped, figure_html, section_html
from hullview.show.paper import lines_of
from hullview.show.picture import Picture, picture, subtitle
from hullview.show.pose import pose
from hullview.show.units import in_words, shown
from hullview.study import Verdict
from hullview.tell import bend, compare, fairness, floating, materials, mishaps, order, paddlers, righting
from hullview.tell import boat as about
from hullview.tell import cases as load_cases
from hullview.tell import hydrostatics as waterlines
from hullview.tell import verdict as answer
from hullview.tell import weight as weights
from hullview.tell.forms import NOTCH_NOTE, notch_table
from hullview.tell.model import Block, Column, Line, Table, say

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from hullview.afloat.righting import RightingCurve
    from hullview.boat.model import Boat
    from hullview.shape.hull import Hull
    from hullview.weight.buy import Shopping

TEMPLATES = Path(__file__).parent / "templates"
PICTURE_SIZE, LIGHT_PICTURE_SIZE = (1500, 940), (1200, 752)
"""Of the picture afloat, on the page with the view to turn and on the light one [pixels]."""
HEELS = np.radians(np.arange(0.0, 180.1, 5.0))
"""Heels of the page's righting curves [rad]."""


@dataclass(frozen=True)
class Chapter:
    """A chapter of the page: the address of its heading, its title, and what stands in it as HTML."""

    key: str
    title: str
    html: str


@dataclass(frozen=True)
class Studied:
    """One boat studied for the page: the answer, and what the chapters ask for when they are written."""

    verdict: Verdict

    @property
    def boat(self) -> Boat:
        return self.verdict.craft.boat

    @property
    def hull(self) -> Hull:
        return self.verdict.craft.hull

    @cached_property
    def picture(self) -> Picture:
        return picture(self.verdict.craft, self.verdict.floating, self.verdict)

    @cached_property
    def curves(self) -> list[RightingCurve]:
        return study.righting(self.verdict.craft, HEELS, ("rigid", "upright torso"))

    def told(self, *blocks: Block, label: str = "") -> str:
        """Blocks of a telling in the builder's units."""
        return blocks_html(blocks, self.boat.units_shown, label)


def page(
    boat: Boat,
    build: str | None = None,
    *,
    light: bool = False,
    tell: Callable[[str], None] = lambda step: None,
) -> str:
    """The whole study as one HTML page that needs nothing from the net.

    Parameters
    ----------
    light
        Without the view to turn.
    tell
        Hears each step.
    """
    tell("the answer")
    whole = Studied(study.carry(boat, build, with_chance=True))
    tell("the picture")
    shot = afloat_image(whole, LIGHT_PICTURE_SIZE if light else PICTURE_SIZE)
    chapters: list[Chapter] = []
    for step, write in CHAPTERS:
        if step:
            tell(step)
        chapters += [made for made in [write(whole)] if made is not None]
    tell("the view to turn")
    context = {
        **_common(whole),
        **_first_screen(whole, shot),
        "chapters": chapters,
        **({} if light else _turn(whole)),
    }
    return render("page.html", context)


def sheet(boat: Boat, build: str | None = None) -> str:
    """One page for the bench: dimensions, the waterline on the forms, weights by stage, what to order; the
    notches in the forms on a second."""
    whole = Studied(study.carry(boat, build))
    verdict, craft = whole.verdict, whole.verdict.craft
    context = {
        **_common(whole),
        "dimensions": whole.told(about.dimensions(boat, craft.hull, verdict.floating), label="Dimensions"),
        "stages": whole.told(weights.stages_table(craft.weight, to_fill_in=True)),
        "forms": whole.told(about.waterline_on_forms(craft.hull, verdict.floating)),
        "notches": _notches(whole),
        "buy": [whole.told(t, label="To order") for t in short_list(study.shopping(craft))],
        "cautions": cautions("shop"),
    }
    return render("sheet.html", context)


def _notches(whole: Studied) -> str:
    """The table of the notches in the forms for what is glued up on them; "" where there are none, or no
    forms."""
    try:
        made = study.forms(whole.boat, whole.verdict.craft.weight.build)
    except UsageError:  # a mesh, lapped planking: nothing that is built over such forms
        return ""
    cut = [(form, notch) for form in made.forms for notch in form.notches]
    return whole.told(notch_table(cut), Line(NOTCH_NOTE), label="Notches in the forms") if cut else ""


def short_list(shopping: Shopping) -> tuple[Table, ...]:
    """The order for the bench in two columns: what and how much, nothing else."""
    rows = tuple((order.label(line), order.bought(line)) for line in shopping.lines)
    half = (len(rows) + 1) // 2
    columns = (Column("", "what"), Column("", "buy"))
    return tuple(Table("", "", columns, part) for part in (rows[:half], rows[half:]) if part)


def render(name: str, context: dict[str, Any]) -> str:
    """A template with every word of a boat's file escaped, and no control signs."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    env = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: clean(value) if type(value) is str else value,
    )
    return env.get_template(name).render(**{"turn": "", "library": "", **context})


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


def _first_screen(whole: Studied, shot: Image) -> dict[str, Any]:
    """The answer, the worst things, what stands in the way, and the picture."""
    verdict, units = whole.verdict, whole.boat.units_shown
    words = in_words(answer.headline(verdict), units)
    because = in_words(answer.because(verdict), units)
    remarks = [f"Remark: {remark.words}." for remark in verdict.remarks]
    return {
        "headline": f"{words[0].upper()}{words[1:]}.",
        "mark": paddlers.MARKS[verdict.answer],
        "worst": " ".join(verdict.worst),
        "because": f"{because[0].upper()}{because[1:]}." if because else "",
        "doubts": [*(f"Unusual: {doubt}." for doubt in verdict.doubts), *remarks],
        "caution": IN_ONE_LINE,
        "picture": figure_html(shot),
        "picture_alt": shot.alt,
    }


def _checks(whole: Studied) -> Chapter:
    blocks = (*answer.rests_section(whole.verdict).blocks, *answer.checks_section(whole.verdict).blocks)
    return Chapter("checks", "Checks", whole.told(*blocks, label="Checks"))


def _afloat(whole: Studied) -> Chapter:
    verdict = whole.verdict
    rest = floating.floating_section(verdict.floating, paddlers.trims(verdict))
    who = paddlers.figures_section(verdict)
    others = paddlers.paddlers_section(verdict)
    html = whole.told(*rest.blocks, label=rest.title) + whole.told(*who.blocks, label=who.title)
    return Chapter(
        "afloat",
        "How it lies",
        html + f"<h3>{escaped(others.title)}</h3>" + whole.told(*others.blocks, label=others.title),
    )


def _cases(whole: Studied) -> Chapter | None:
    if not whole.boat.cases:
        return None
    section = load_cases.cases_section(study.cases(whole.verdict.craft), whole.boat)
    return Chapter("cases", section.title, section_html(section, whole.boat.units_shown))


def _mishaps(whole: Studied) -> Chapter | None:
    verdict = whole.verdict
    if verdict.swamped is None:
        return None
    lead = say("Water lies loose in the boat. Swimmers bear themselves in their jackets and are not counted.")
    sections = (mishaps.swamped_section(verdict.swamped), mishaps.boarding_section(verdict.boarding))
    blocks = (Line(lead), *(block for section in sections for block in section.blocks))
    return Chapter("mishaps", "Swamped and boarded", whole.told(*blocks, label="Swamped and boarded"))


def _righting(whole: Studied) -> Chapter:
    curves, craft = whole.curves, whole.verdict.craft
    table = righting.figures_table(curves, title="Read off the curves")
    words = in_words(righting.reading_says(reading(craft, curves[0])), whole.boat.units_shown)
    chart = drawn(
        charts.righting_chart(curves, "Righting arm over heel"),
        "Righting curves",
        f"Righting arm over heel. {words}",
    )
    first = Line(righting.reading_says(reading(craft, curves[0])))
    other = Line(righting.other_side(study.other_side(craft, curves[0])))
    holds = Line(righting.holds_for(whole.boat))
    return Chapter(
        "righting", "Righting", whole.told(first, other) + figure_html(chart) + whole.told(table, holds)
    )


def _hydrostatics(whole: Studied) -> Chapter:
    craft, lying, units = whole.verdict.craft, whole.verdict.floating.rest, whole.boat.units_shown
    rows = hydrostatics(craft.hull, craft.density, heights_for(craft.hull, units), body=craft.body)
    load = None if lying.normal is None or lying.offset is None else lying.offset / lying.normal[2]
    chart = drawn(
        charts.hydrostatic_chart(rows, "What each waterline offers", units, load),
        "Hydrostatic curves",
        "Curves of the figures in the table below, over the waterline's height.",
    )
    return Chapter(
        "hydrostatics", "Hydrostatics", figure_html(chart) + whole.told(waterlines.page_table(rows))
    )


def _weight(whole: Studied) -> Chapter:
    craft = whole.verdict.craft
    weighed, html = [craft.weight], ""
    if len(whole.boat.builds) > 1:
        names = [b.name for b in whole.boat.builds]
        compared, sides = study.compared([(craft, names)], whole.verdict, whole.curves[0])
        weighed = list(compared.weights)
        html = whole.told(
            compare.side_by_side(compared, sides, "Ways of building it"),
            *(Line(compare.difference_words(d)) for d in compared.differences),
            *compare.unseen_lines(compared),
        )
    units = whole.boat.units_shown
    sentences = "; ".join(f"{w.build} {shown('mass', w.mass, units, True)}" for w in weighed)
    chart = drawn(
        charts.weight_chart(weighed, "Weight by group", units),
        "Weight by group",
        f"Bars of weight by group: {sentences}.",
    )
    lines = whole.told(
        *weights.weight_blocks(craft.weight), label=f"Weight of {craft.weight.build}, line by line"
    )
    return Chapter("weight", "Weight", figure_html(chart) + html + lines)


def _buy(whole: Studied) -> Chapter:
    shopping, units = study.shopping(whole.verdict.craft), whole.boat.units_shown
    sections = (
        order.order_section(shopping, whole.boat.name),
        order.cuts_section(shopping.cuts),
        order.usage_section(shopping.usage),
    )
    html = "".join(section_html(section, units) for section in sections)
    return Chapter("buy", "What to buy", html + _cautions(cautions("shop")))


def _bend(whole: Studied) -> Chapter | None:
    section = bend.bend_section(study.bends(whole.verdict.craft))
    return Chapter("bend", "Will it bend", section_html(section, whole.boat.units_shown))


def _lines(whole: Studied) -> Chapter:
    craft, table = whole.verdict.craft, whole.boat.hull.table
    plan = drawn(
        lines_of(whole.boat, craft.hull, whole.verdict.floating),
        "Lines plan",
        "Lines plan: profile, half-breadth plan and body plan.",
    )
    html = figure_html(plan) + whole.told(about.dimensions(whole.boat, craft.hull), label="Dimensions")
    if table is not None:
        html += section_html(about.offsets_section(table, whole.boat.units_shown), whole.boat.units_shown)
        findings, look_first = study.fair(whole.boat)
        elsewhere = study.out_of_place(whole.boat) if any(f.flagged for f in findings) else ()
        if elsewhere:
            findings, look_first = study.fair(whole.boat, elsewhere)
        names = fairness.names_of(table)
        doubtful = [
            f"{in_words(names[f.line], whole.boat.units_shown)} at station {f.station}"
            for f in findings
            if f.flagged
        ]
        sentences = f"Out of fair: {', '.join(doubtful)}." if doubtful else "No offset lies out of fair."
        if look_first:
            sentences += f" Look first at the place of these stations: {', '.join(look_first)}."
        if elsewhere:
            sentences = f"May stand elsewhere: {', '.join(f'station {m.name}' for m in elsewhere)}."
        chart = charts.fairness_chart(findings, table, "How far each offset lies out of fair")
        html += figure_html(drawn(chart, "Fairness", sentences, sentences))
    return Chapter("lines", "Lines and offsets", html)


def _rests(whole: Studied) -> Chapter:
    build = whole.boat.build(whole.verdict.craft.weight.build)
    limits = say(
        "Every limit is this shop's own or a default of the program's, named above with its basis: canoes and"
        " kayaks have no statutory pass mark."
    )
    sources = materials.sources_section(build, library(whole.boat.materials))
    html = (
        whole.told(*about.about_section(whole.boat).blocks, Line(limits), label="About the boat")
        + section_html(sources, whole.boat.units_shown)
        + f"<h3>Cautions</h3>{_cautions(ALL)}"
    )
    return Chapter("rests", "What it rests on", html)


def _cautions(found: tuple[Caution, ...]) -> str:
    lines = (f'<li>{escaped(c.text)} <span class="note">({escaped(c.source)})</span></li>' for c in found)
    return f"<ul>{''.join(lines)}</ul>"


CHAPTERS: tuple[tuple[str, Callable[[Studied], Chapter | None]], ...] = (
    ("", _checks),
    ("", _afloat),
    ("", _cases),
    ("", _mishaps),
    ("righting", _righting),
    ("hydrostatics", _hydrostatics),
    ("weight", _weight),
    ("", _buy),
    ("", _bend),
    ("lines", _lines),
    ("", _rests),
)
"""The chapters in their order, each with the step that is told of before it is written."""


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


def afloat_image(whole: Studied, size: tuple[int, int] = PICTURE_SIZE) -> Image:
    """The picture afloat; where nothing can be drawn in three dimensions, the profile from the lines plan
    stands in for it."""
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
            f"The lines stand in for a picture: {reason}",
        )
    from hullview.show.scene import webp

    data = base64.b64encode(webp(draw(whole.picture, size=size))).decode()
    width, height = size
    return Image(
        f"data:image/webp;base64,{data}",
        "Afloat",
        alt,
        "As computed: heel, trim and draft are true; the water is calm.",
        width,
        height,
    )


def seen_words(whole: Studied) -> str:
    """What the picture shows, for who cannot see it."""
    boat, floating = whole.boat, whole.verdict.floating
    if floating.draft is None:
        return f"{clean(boat.name)}: it {floating.state} with this load."
    draft = shown("length", floating.draft, boat.units_shown, True)
    mass = shown("mass", floating.mass, boat.units_shown, True)
    return f"{clean(boat.name)} afloat with {mass} in all, draft {draft}."
