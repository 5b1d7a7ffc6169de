"""Each result told once: no figure stands in one writer and not in another, in mm and in inches."""

from __future__ import annotations

import functools
import io
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import solids
from writers import check_every_writer

from hullview import study
from hullview.afloat.hydrostatics import bonjean, cross_curves, heights_for, hydrostatics
from hullview.afloat.mesh_error import hydrostatics_error
from hullview.afloat.righting import righting_curve
from hullview.answer.boarding import boarding
from hullview.answer.reading import bare_reading, reading
from hullview.answer.swamped import swamped
from hullview.boat.model import Shop
from hullview.boat.reader import read_boat
from hullview.materials import library
from hullview.shape.body import Body
from hullview.show import html, record, text
from hullview.tell.batches import batches_telling
from hullview.tell.boat import about_section, dimensions, offsets_section, waterline_on_forms
from hullview.tell.compare import compare_telling
from hullview.tell.crosscurves import bonjean_telling, cross_curves_telling
from hullview.tell.fairness import check_telling
from hullview.tell.floating import floating_telling
from hullview.tell.hydrostatics import hydrostatics_telling
from hullview.tell.materials import materials_telling, sources_section
from hullview.tell.mishaps import boarding_section, swamped_section
from hullview.tell.model import Section, Telling
from hullview.tell.order import buy_telling
from hullview.tell.righting import MESH_HOLDS, curves_telling, righting_telling
from hullview.tell.verdict import verdict_telling
from hullview.tell.weight import weight_telling

MODELS = Path(__file__).parents[2] / "models"
UNITS = ("metric", "imperial")


@functools.cache
def craft(name):
    return study.launch(read_boat(MODELS / name))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy"])
def test_float(name, units):
    check_every_writer(floating_telling(study.afloat(craft(name)), name, units))


@functools.cache
def curves(name):
    made = study.righting(craft(name), None, ("rigid", "upright torso"))
    return [study.curve_with_error(craft(name), made[0]), *made[1:]]


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy"])
def test_righting(name, units):
    first = curves(name)[0]
    boat = replace(craft(name).boat, units_shown=units)
    told, other = reading(craft(name), first), study.other_side(craft(name), first)
    check_every_writer(righting_telling(curves(name), boat, told, other))


def test_the_page_marks_a_peak_past_flooding_as_the_terminal_does():
    """The dinghy's arm is greatest at 35 degrees, water comes in at 33."""
    telling = righting_telling(
        curves("pulling-dinghy"),
        craft("pulling-dinghy").boat,
        reading(craft("pulling-dinghy"), curves("pulling-dinghy")[0]),
    )
    row = next(line for line in text.text(telling).splitlines() if line.startswith("at "))
    assert " w" in row
    page = html.section_html(telling.section("righting"), "metric")
    assert re.search(r"<th[^>]*>at</th><td[^>]*>[0-9.]+° w</td>", page)


@pytest.mark.parametrize("units", UNITS)
def test_hydrostatics(units):
    one = craft("pulling-dinghy")
    rows = hydrostatics(one.hull, one.density, heights_for(one.hull, units), body=one.body)
    check_every_writer(
        hydrostatics_telling(
            rows, one.boat.name, one.density, units, hydrostatics_error(one.hull, rows, one.density)
        )
    )


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy"])
def test_mishaps(name, units):
    found, cases = swamped(craft(name)), boarding(craft(name))
    constants = (80.0, 0.030, 20.0)
    check_every_writer(Telling((swamped_section(found), boarding_section(cases)), units), known=constants)


@pytest.mark.parametrize("units", UNITS)
def test_materials_and_their_sources(units):
    boat = craft("short-kayak").boat
    check_every_writer(replace(materials_telling("cedar"), units=units))
    check_every_writer(Telling((sources_section(boat.build(), library(boat.materials)),), units))


@pytest.mark.parametrize("units", UNITS)
def test_the_boat_from_its_files(units):
    old = read_boat(MODELS / "cruising-canoe-1883")
    one = craft("short-kayak")
    lying = study.afloat(one)
    section = Section(
        "forms", "", (dimensions(one.boat, one.hull, lying), waterline_on_forms(one.hull, lying))
    )
    check_every_writer(Telling((about_section(old), offsets_section(old.hull.table, units), section), units))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", ["short-kayak", "cruising-canoe-1883"])
def test_check(name, units):
    boat = replace(read_boat(MODELS / name), units_shown=units)
    checked = study.check(study.craft_of(boat))
    check_every_writer(check_telling(boat, checked, study.if_fair(boat, checked.findings)))


@pytest.mark.parametrize("units", UNITS)
def test_cross_curves_and_bonjean_areas(units):
    one = craft("pulling-dinghy")
    heights = heights_for(one.hull, units)
    found = cross_curves(one.body, one.density, [150.0, 310.0], np.radians([20.0, 60.0]), 0.02)
    check_every_writer(cross_curves_telling(found, one.boat.name, one.density, units))
    areas = bonjean(one.body.bare, one.hull.stations, heights, 0.02)
    stations = list(zip(one.hull.station_names, one.hull.stations))
    told = bonjean_telling(stations, heights.tolist(), areas.tolist(), one.boat.name, units, 0.02, 1010.0)
    check_every_writer(told)


def test_a_mesh_has_its_righting_curve_told():
    body = Body(*solids.box(3, 0.8, 0.5))
    curve = righting_curve(
        body, 400.0, (1.5, 0.02, 0.2), 1000.0, np.radians(np.arange(0, 91, 15.0)), label="rigid"
    )
    other = righting_curve(body, 400.0, (1.5, 0.02, 0.2), 1000.0, -curve.heel, label="rigid")
    check_every_writer(
        curves_telling([curve], "box.stl", "metric", MESH_HOLDS, bare_reading(curve, 0.4), other)
    )


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", ["short-kayak", "open-canoe", "flat-skiff", "cruising-canoe-1883"])
def test_buy(name, units):
    boat = replace(craft(name).boat, units_shown=units)
    check_every_writer(buy_telling(study.shopping(craft(name)), boat))


@functools.cache
def verdict(name):
    return study.carry(read_boat(MODELS / name))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy"])
def test_carry(name, units):
    found = verdict(name)
    check_every_writer(replace(verdict_telling(found, [found]), units=units), known=(80.0, 0.030, 20.0))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", ["short-kayak", "open-canoe", "flat-skiff"])
def test_weigh(name, units):
    boat = replace(craft(name).boat, units_shown=units)
    check_every_writer(weight_telling(craft(name).weight, boat))


@pytest.mark.parametrize("units", UNITS)
def test_compare(units):
    one = craft("short-kayak")
    one = replace(one, boat=replace(one.boat, units_shown=units))
    check_every_writer(compare_telling(*study.compared([(one, ())])))


@pytest.mark.parametrize(
    "name", ["short-kayak", "open-canoe", "flat-skiff", "pulling-dinghy", "cruising-canoe-1883"]
)
def test_the_answer_fits_one_screen(name):
    told = text.text(verdict_telling(verdict(name)), full=False).splitlines()
    assert len(told) <= 23 and max(map(len, told)) <= 80
    whole = text.text(verdict_telling(verdict(name)))
    assert whole.splitlines()[0] == whole.splitlines()[-1] == told[0]


def test_a_data_frame_holds_what_the_csv_holds():
    telling = weight_telling(craft("short-kayak").weight, craft("short-kayak").boat)
    frame = record.as_frame(telling)
    read = pd.read_csv(io.StringIO(record.as_csv(telling)))
    assert list(frame.columns) == list(read.columns) and len(frame) == len(read) > 30
    assert frame["mass_kg"].sum() == pytest.approx(craft("short-kayak").weight.mass, rel=1e-9)
    assert frame["mass_kg"].to_list() == pytest.approx(read["mass_kg"].to_list(), rel=1e-12)


def test_colour_and_weight_on_a_terminal_say_nothing_that_the_words_do_not():
    spans = text.lines(verdict_telling(verdict("pulling-dinghy")))
    coloured = text.on_terminal(spans)
    bare = re.sub(r"\x1b\[[0-9;]*m", "", coloured)
    assert [line.rstrip() for line in bare.splitlines()] == text.plain(spans).splitlines()


def test_a_mark_is_drawn_in_colour_beside_its_word(monkeypatch):
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("NO_COLOR", raising=False)
    coloured = text.on_terminal([[("fail", "fail"), ("  rim", "")]])
    assert "\x1b[" in coloured and "fail" in coloured


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", ["short-kayak", "pulling-dinghy"])
def test_batches(name, units):
    one = craft(name)
    shop = Shop(scale=0.0001, temperature=27.0, hands=2)
    one = replace(one, boat=replace(one.boat, units_shown=units, shop=shop))
    limits = tuple(
        s.girth for s in one.boat.builds[0].schedule.skins if s.girth
    )  # in the words of a label alone
    check_every_writer(batches_telling(study.batches(one), one.boat), known=limits)
