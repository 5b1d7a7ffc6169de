"""Quantities as builders write them: what is read, exactly; what is refused, by name; and back again."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hullview.boat import quantity
from hullview.boat.quantity import QuantityError, read
from hullview.boat.units import EXAMPLES, SPELLINGS
from hullview.boat.wording import eighths, feet_inches, length_text, mass_text, millimetres

INCH = Fraction("0.0254")
POUND = Fraction("0.45359237")


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("3/4 in", Fraction(3, 4)),
        ("1-1/8 in", Fraction(9, 8)),
        ("1 1/8 in", Fraction(9, 8)),
        ("1\u00bd in", Fraction(3, 2)),  # never 11/2
        ('\u215c"', Fraction(3, 8)),
        (".75 in", Fraction(3, 4)),
        ("9 ft 6 in", 114),
        ("9ft6in", 114),
        ("9'-6\"", 114),
        ("9' - 6\"", 114),
        ("9' 6-1/2\"", Fraction(229, 2)),
        ("17 ft 3 in", 207),
        ("17' 3 1/2\"", Fraction(415, 2)),
        ("17\u2032 3\u00bd\u2033", Fraction(415, 2)),
        ("-1-1/2 in", Fraction(-3, 2)),
        ("1-3-5", 15 + Fraction(5, 8)),
        ("1-3-5+", 15 + Fraction(11, 16)),
        ("1-3-5-", 15 + Fraction(9, 16)),
        ("-0-2-0", -2),
        ("10-11-7", 131 + Fraction(7, 8)),
        ("5/4 in", Fraction(5, 4)),
    ],
)
def test_lengths_in_inches_are_exact(text, inches):
    reading = read(text, "length")
    assert reading.value == float(inches * INCH)
    assert reading.imperial is True
    assert reading.notice == ""


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("19 mm", "length", Fraction(19, 1000)),
        ("1.55 m", "length", Fraction("1.55")),
        ("23cm", "length", Fraction("0.23")),
        ("19 MM", "length", Fraction(19, 1000)),
        ("82 kg", "mass", 82),
        ("82 Kg", "mass", 82),
        ("350 g", "mass", Fraction("0.35")),
        ("180 lb", "mass", 180 * POUND),
        ("12 oz", "mass", 12 * POUND / 16),
        ("12oz", "mass", 12 * POUND / 16),
        ("5 lb 4 oz", "mass", Fraction("5.25") * POUND),
        ("11 st 4 lb", "mass", 158 * POUND),
        ("6 oz/yd2", "areal weight", 6 * POUND / 16 / (36 * INCH) ** 2),
        ("6 oz/sq yd", "areal weight", 6 * POUND / 16 / (36 * INCH) ** 2),
        ("200 g/m\u00b2", "areal weight", Fraction("0.2")),
        ("350 kg/m3", "density", 350),
        ("0.35 g/cm3", "density", 350),
        ("22 lb/ft3", "density", 22 * POUND / (12 * INCH) ** 3),
        ("12 l", "volume", Fraction("0.012")),
        ("2 US gal", "volume", 462 * INCH**3),
        ("8 g/m", "mass per length", Fraction("0.008")),
    ],
)
def test_other_quantities_are_exact(text, kind, value):
    assert read(text, kind).value == float(value)


def test_areal_weight_agrees_with_the_trade_figure():
    # 1 oz/yd2 = 33.90575 g/m2: conversion as printed in the trade's tables.
    assert read("1 oz/yd2", "areal weight").value * 1000 == pytest.approx(33.90575, abs=5e-6)


@pytest.mark.parametrize(
    ("text", "plain"),
    [("1O mm", "10 mm"), ("1-O-5", "1-0-5"), ("O-3-5", "0-3-5"), ("1.O5 m", "1.05 m"), ("2O oz", "20 oz")],
)
def test_letter_o_is_zero_with_a_notice(text, plain):
    kind = "mass" if "oz" in text else "length"
    assert read(text, kind).value == read(plain, kind).value
    assert "letter O read as zero" in read(text, kind).notice
    assert text in read(text, kind).notice


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("82", "mass", "must have its unit"),
        ("0", "length", "must have its unit"),
        ("", "length", "not empty"),
        ("1,5 m", "length", "decimal point"),
        ("1,000 mm", "length", "decimal point"),
        ("1 000 mm", "length", "must be a length"),
        ("1e3 mm", "length", "exponent"),
        ("nan", "length", "finite"),
        ("inf m", "length", "must be a length"),
        ("1-12-0", "length", "12 inches"),
        ("1-3-8", "length", "8 eighths"),
        ("1-3", "length", "three numbers"),
        ("0-0-0-", "length", "less than nothing"),
        ("9 ft 14 in", "length", "Carry them"),
        ("9.5 ft 3 in", "length", "whole number"),
        ("9 ft 6", "length", "must be a length"),
        ("6 in 9 ft", "length", "mixes"),
        ("1 m 5 cm", "length", "mixes"),
        ("6''", "length", "two single marks"),
        ("1-9/8 in", "length", "one or more"),
        ("11/8 in", "length", "1-1/8"),
        ("1/0 in", "length", "zero"),
        ("l2 mm", "length", "a 1 may be meant"),
        ("3 Mm", "length", "must be a length"),
        ("\u0663 mm", "length", "must be a length"),  # digits of another script
        ("3 lb", "length", "lb is a mass"),
        ("1-3-5", "mass", "must be a mass"),
        ("6 oz", "areal weight", "per what area"),
        ("2 gal", "volume", "US and an imperial"),
        ("1 ton", "mass", "which ton"),
        ("82 kg dressed", "mass", "must be a mass"),
        ("5 kg 3 kg", "mass", "mixes"),
        ("--3 mm", "length", "must be a length"),
        ("1_000 mm", "length", "must be a length"),
        ("0x10 mm", "length", "must be a length"),
        ("9" * 80, "length", "80 characters"),
    ],
)
def test_refused_by_name_and_with_a_way_out(text, kind, words):
    with pytest.raises(QuantityError) as caught:
        read(text, kind)
    assert words in str(caught.value)
    assert caught.value.exit_status == 2


@pytest.mark.parametrize("value", [True, None, [], {}, float("nan"), float("-inf"), 10**400, 1e300, 3, 2.5])
def test_what_is_not_text_is_refused_without_a_unit(value):
    with pytest.raises(QuantityError):
        read(value, "length")


@pytest.mark.parametrize(
    ("value", "unit", "metres"),
    [(310, "mm", 0.31), (0.1, "mm", 0.0001), (-3, "in", -0.0762), (2.5, "m", 2.5)],
)
def test_bare_numbers_take_the_unit_of_the_table(value, unit, metres):
    assert read(value, "length", unit).value == metres
    assert read(str(value), "length", unit).value == metres


def test_bare_numbers_in_a_table_of_eighths_are_refused_but_for_zero():
    assert read("0", "length", "ft-in-eighths").value == 0.0
    assert read("0", "length", "ft-in-eighths").imperial is None
    with pytest.raises(QuantityError, match="three numbers"):
        read("5", "length", "ft-in-eighths")
    with pytest.raises(QuantityError, match="table in mm"):
        read("1-3-5", "length", "mm")


@given(st.integers(0, 10**6), st.sampled_from(["mm", "cm", "m", "in", "ft"]), st.integers(0, 3))
def test_decimal_lengths_round_trip(whole, unit, decimals):
    text = f"{whole / 10**decimals:.{decimals}f} {unit}"
    exact = Fraction(text.split()[0]) * SPELLINGS[unit].factor
    assert read(text, "length").value == float(exact)
    assert read(f"-{text}", "length").value == -float(exact)


@given(st.integers(0, 16 * 12 * 100))
def test_sixteenths_round_trip_in_both_ways_of_writing(sixteenths):
    metres = float(sixteenths * INCH / 16)
    assert read(eighths(metres), "length").value == metres
    assert read(feet_inches(metres), "length").value == metres
    if sixteenths:
        assert read(eighths(-metres), "length").value == -metres
        assert read(feet_inches(-metres), "length").value == -metres


@given(st.floats(-1000, 1000))
def test_any_length_is_written_to_the_nearest_sixteenth_and_millimetre(metres):
    assert abs(read(eighths(metres), "length").value - metres) <= 0.0254 / 32 + 1e-12
    assert abs(read(feet_inches(metres), "length").value - metres) <= 0.0254 / 32 + 1e-12
    assert abs(read(millimetres(metres, 1), "length").value - metres) <= 0.00005 + 1e-9


@given(st.integers(0, 20), st.integers(0, 11), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_feet_inches_and_a_fraction_are_one_sum(feet, inches, top, bottom):
    top %= bottom
    exact = (Fraction(feet * 12 + inches) + Fraction(top, bottom)) * INCH
    fraction = f"-{top}/{bottom}" if top else ""
    for text in (f"{feet}' {inches}{fraction}\"", f"{feet} ft {inches}{fraction} in"):
        assert read(text, "length").value == float(exact)


@given(
    st.text(max_size=70), st.sampled_from(sorted(EXAMPLES)), st.sampled_from([None, "mm", "ft-in-eighths"])
)
def test_any_text_is_read_or_refused(text, kind, bare):
    try:
        reading = read(text, kind, bare)
    except QuantityError as error:
        assert error.given and error.allowed and str(error).isprintable()
    else:
        assert abs(reading.value) < 1e70


def test_every_spelling_is_read_as_its_own_unit():
    for word, unit in SPELLINGS.items():
        assert read(f"3 {word}", unit.kind).value == float(3 * unit.factor), word


def test_functions_of_one_kind():
    assert quantity.length("2 m") == 2.0
    assert quantity.mass("2 kg") == 2.0
    assert quantity.density("2 kg/m3") == 2.0
    assert quantity.volume("2 m3") == 2.0
    assert quantity.angle("2 rad") == 2.0


def test_words_for_people():
    assert length_text(0.4763, "imperial") == "1' 6-3/4\" (476 mm)"
    assert length_text(0.4763, "metric", both=False) == "476 mm"
    assert mass_text(37.25, "imperial") == "82.1 lb (37.2 kg)"
    assert feet_inches(0.30479) == "1'"  # never 0' 12"
    assert eighths(0.30479) == "1-0-0"
    assert millimetres(-0.0002) == "0 mm"
