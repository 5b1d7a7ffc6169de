"""Which unknown decides: the indices by formula, the quadratics against full answers, and what is told."""

from __future__ import annotations

import functools
import json
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from hullview import study
from hullview.answer.doubt import (
    GEAR,
    OVER,
    Margins,
    Unknowns,
    doubt,
    held_out,
    shares_of,
    triangle,
)
from hullview.boat.loading import with_load
from hullview.boat.reader import read_boat
from hullview.commands import status_of

MODELS = Path(__file__).parents[2] / "models"


@functools.cache
def craft(name, *masses):
    boat = read_boat(MODELS / name)
    return study.launch(with_load(boat, list(masses)) if masses else boat)


@functools.cache
def told(name, *masses):
    return doubt(craft(name, *masses))


class Given:
    """Unknowns with quantiles of one's own."""

    def __init__(self, *quantiles, names=("boat weight", "centre height", "seat", "gear")):
        self.quantiles, self.names = quantiles, names[: len(quantiles)]

    def at(self, shares):
        return np.array([q(u) for q, u in zip(self.quantiles, shares)])


def shares(f, *quantiles):
    found = shares_of(f, Given(*quantiles))
    by = {s.unknown: s for s in found.shares}
    return [by[name] for name in Given(*quantiles).names], found


@pytest.mark.parametrize(
    "low, likely, high", [(0.0, 0.5, 1.0), (0.23, 0.26, 0.30), (-1.0, -1.0, 2.0), (0.0, 3.0, 3.0)]
)
def test_quantiles_of_a_triangle_are_those_of_a_statistics_library(low, likely, high):
    u = np.linspace(0.001, 0.999, 57)
    want = stats.triang.ppf(u, (likely - low) / (high - low), low, high - low)
    assert triangle(low, likely, high)(u) == pytest.approx(want)
    assert (triangle(2.0, 2.0, 2.0)(u) == 2.0).all()


def test_shares_of_a_sum_are_those_of_the_variances():
    """f = 3 a + 2 b + c with variances (high - low)^2 / 24 of symmetric triangles: 9 : 4 : 1."""
    one = triangle(-1.0, 0.0, 1.0)
    (a, b, c), found = shares(lambda v: 3 * v[0] + 2 * v[1] + v[2], one, one, one)
    for s, want in ((a, 9 / 14), (b, 4 / 14), (c, 1 / 14)):
        assert s.first == pytest.approx(want, abs=0.01) and s.total == pytest.approx(want, abs=0.01)
        assert s.first_interval[0] < want < s.first_interval[1]
        assert s.total_interval[0] < want < s.total_interval[1]
    assert [s.unknown for s in found.shares] == ["boat weight", "centre height", "seat"], "most first"
    assert found.spread == pytest.approx(np.sqrt(14 / 6), rel=0.02)
    assert found.words == "weigh the boat: it makes 64 % of the doubt in the least margin"


def test_what_two_do_only_together_is_in_the_total_alone():
    one = triangle(-1.0, 0.0, 1.0)
    (a, b), _ = shares(lambda v: v[0] * v[1], one, one)
    for s in (a, b):
        assert s.first == pytest.approx(0.0, abs=0.03) and s.total == pytest.approx(1.0, abs=0.05)


def test_the_usual_test_function_has_its_published_indices():
    """sin x + 7 sin^2 y + 0.1 z^4 sin x, uniform within pi (Ishigami and Homma, 1990): indices by formula."""
    uniform = lambda u: np.pi * (2 * u - 1)  # noqa: E731
    got, _ = shares(
        lambda v: np.sin(v[0]) + 7 * np.sin(v[1]) ** 2 + 0.1 * v[2] ** 4 * np.sin(v[0]), *[uniform] * 3
    )
    va = 0.5 * (1 + 0.1 * np.pi**4 / 5) ** 2
    vb, vac = 49 / 8, 0.01 * np.pi**8 * (1 / 18 - 1 / 50)
    whole = va + vb + vac
    for s, first, total in zip(got, (va, vb, 0.0), (va + vac, vb, vac)):
        assert s.first == pytest.approx(first / whole, abs=0.03)
        assert s.total == pytest.approx(total / whole, abs=0.03)


def test_what_nothing_moves_is_said():
    one = triangle(-1.0, 0.0, 1.0)
    found = shares_of(lambda v: np.full(v.shape[1], 0.3), Given(one, one))
    assert not found.shares and "cannot be told: nothing that is not known moves" in found.words


@pytest.mark.parametrize(
    "name, within", [("pulling-dinghy", 0.01), ("open-canoe", 0.002), ("flat-skiff", 0.05)]
)
def test_the_quadratics_follow_full_answers(name, within):
    margins = Margins(Unknowns(craft(name)))
    tried = margins.unknowns.at(held_out(len(margins.unknowns.names)).T)
    whole = [margins.full(v) for v in tried.T]
    assert margins.least(tried) == pytest.approx(whole, abs=within)
    assert told(name).fit_error == pytest.approx(np.sqrt(np.mean((margins.least(tried) - whole) ** 2)))
    assert margins.over == 0 and told(name).full == len(margins.found) + tried.shape[1]


def test_at_the_middle_it_is_the_margin_of_the_likely_answer():
    unknowns = Unknowns(craft("pulling-dinghy"))
    values = unknowns.at(np.full((3, 1), 0.5))[:, 0]
    values[0] = craft("pulling-dinghy").weight.mass
    likely, want = unknowns.condition(values), study.carry(craft("pulling-dinghy")).ends[0]
    for field in ("draft", "trim_length", "gm", "lean_height", "mass"):
        assert getattr(likely, field) == pytest.approx(getattr(want, field), rel=1e-9)


def test_the_height_of_the_centre_decides_on_the_kayak_until_it_is_measured():
    """A full calculation without any fit (scipy's, 128 points, 768 answers, by hand): total shares of 0.96
    for 82 kg and 0.92 for 110 kg."""
    for mass, want in ((82.0, 0.96), (110.0, 0.92)):
        first = told("short-kayak", mass).shares[0]
        assert first.unknown == "centre height" and first.total == pytest.approx(want, abs=0.1)
    assert told("short-kayak", 110.0).words.startswith("measure the height of your centre: it makes 9")
    boat = craft("short-kayak", 95.0).boat
    likely = boat.load.paddlers[0].heights[1]
    known = boat.with_load(paddlers=(replace(boat.load.paddlers[0], centre_height=(likely,) * 3),))
    measured = {s.unknown: s for s in doubt(study.launch(known)).shares}
    assert abs(measured["centre height"].total) < 1e-9
    assert told("short-kayak", 95.0).shares[0].unknown == "centre height"
    assert told("short-kayak", 110.0).over > 0


def test_gear_counts_only_where_there_is_some_and_the_seat_decides_on_the_skiff():
    assert {s.unknown for s in told("flat-skiff").shares} == {"boat weight", "centre height", "seat"}
    assert {s.unknown for s in told("open-canoe").shares} == {"boat weight", "centre height", "seat", "gear"}
    assert told("flat-skiff").shares[0].unknown == "seat"
    unknowns = Unknowns(craft("open-canoe"))
    values = unknowns.at(np.full((4, 1), 0.5))[:, 0]
    more = np.array([*values[:3], 1 + GEAR])
    assert unknowns.condition(more).mass - unknowns.condition(values).mass == pytest.approx(GEAR * 8.0)


def test_a_boat_that_is_not_afloat_leaves_nothing_to_tell():
    found = doubt(craft("short-kayak", 400.0))
    assert not found.shares and "as it is likely to be it" in found.words
    assert OVER == -1.0


def test_it_takes_two_seconds_at_most():
    one = craft("short-kayak", 82.0)
    one.rims, one.weight  # noqa: B018
    doubt(one)
    start = time.process_time()
    doubt(one)
    assert time.process_time() - start < 2.0


def test_carry_tells_it_in_text_and_in_json(capsys):
    kayak = str(MODELS / "short-kayak")
    assert status_of(["carry", kayak, "--paddler", "110 kg", "--chance"]) == 0
    assert "Measure the height of your centre: it makes 9" in " ".join(capsys.readouterr().out.split())
    assert status_of(["carry", kayak, "--paddler", "110 kg", "--chance", "--full"]) == 0
    out = capsys.readouterr().out
    assert all(word in out for word in ("with others", "centre height", "boat weight", "gear"))
    assert status_of(["carry", kayak, "--paddler", "110 kg", "--chance", "--json"]) == 0
    record = json.loads(capsys.readouterr().out)["doubt"]
    assert record["shares"][0]["unknown"] == "centre height"
    low, high = record["shares"][0]["total_interval"]
    assert low < record["shares"][0]["total"] < high
    assert status_of(["carry", kayak, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["doubt"] is None
