"""Kinds of quantity: what each is, in which SI unit it travels, and whether it is an angle. How it is
shown is a writer's matter."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Kind:
    """A kind of quantity. si: unit of its values inside; angle: kept in radians, given as degrees to
    programs; text: no number."""

    si: str
    words: str
    angle: bool = False
    text: bool = False


KINDS: dict[str, Kind] = {
    "words": Kind("", "text: names, states, notes", text=True),
    "yes": Kind("", "true or false", text=True),
    "length": Kind("m", "a length across or up: whole mm, or sixteenths of an inch"),
    "fine length": Kind("m", "the same to tenths of a mm, or 32nds of an inch"),
    "offset": Kind("m", "a cell of a table of offsets: mm, or feet-inches-eighths"),
    "written": Kind("m", "a cell of a table of offsets with its unit, and mm beside where it is in inches"),
    "millimetres": Kind("m", "a cell of a table of offsets in mm, whatever its own unit"),
    "at": Kind("m", "which waterline or buttock a row of the table is: mm, or feet and inches"),
    "size": Kind(
        "m", "sizes of a section as exact as they were given: mm, or 64ths of an inch where they are that"
    ),
    "at most": Kind("m", "a size that must not be passed, rounded down to what a builder reads"),
    "out of fair": Kind(
        "m", "how far an offset lies out of fair, with its sign: mm, or hundredths of an inch"
    ),
    "echoed": Kind("m", "the same without its unit, for a table full of them"),
    "place": Kind("m", "a length along the boat: metres to the mm, or feet and inches"),
    "roll": Kind("m", "the width of a roll of cloth: mm, or inches"),
    "running": Kind("m", "a running length of cloth off its roll: metres, or yards"),
    "about area": Kind("m2", "an area that is bought: as many figures as its size deserves, m2 or ft2"),
    "rough place": Kind("m", "the same to the centimetre, or the inch"),
    "long": Kind("m", "a length that is bought or laid: metres, or feet"),
    "trim": Kind("m", "draft aft less draft forward, told by the end that lies deeper"),
    "side": Kind("m", "a distance off the centre line, told by its side"),
    "radius": Kind("m", "a radius of bending: mm to a metre, then metres; endless is straight"),
    "error": Kind("m", "how far a length may be off: hundredths of a mm, thousandths of an inch"),
    "angle error": Kind("rad", "how far an angle may be off: hundredths of a degree", angle=True),
    "mass": Kind("kg", "a mass to a tenth of a kg or lb"),
    "fine mass": Kind("kg", "a mass to a hundredth"),
    "whole mass": Kind("kg", "a mass to the kg or lb"),
    "given mass": Kind("kg", "a mass that somebody gave: whole where it is whole"),
    "small mass": Kind("kg", "a mass of a pot or a patch: grams"),
    "grams": Kind("g", "a mass as a scale in grams reads it"),
    "fine grams": Kind("g", "the same to a tenth"),
    "millilitres": Kind("ml", "a volume in a measuring cup: ml, or fluid ounces"),
    "ounces": Kind("kg", "a mass of a pot: grams, or ounces"),
    "area": Kind("m2", "an area: m2 or ft2"),
    "rough area": Kind("m2", "an area to as many figures as it deserves: m2 or ft2"),
    "volume": Kind("m3", "a volume: litres, or cubic feet"),
    "small volume": Kind("m3", "a volume of a pot: ml, or fluid ounces"),
    "density": Kind("kg/m3", "a density: kg/m3, or lb/ft3"),
    "water density": Kind("kg/m3", "the same of water, to a tenth"),
    "areal": Kind("kg/m2", "a mass on an area: g/m2, or oz/yd2"),
    "immersion": Kind("kg/cm", "what sinks the boat a centimetre: kg/cm, or lb/in"),
    "trimming": Kind("kg m/cm", "what trims the boat a centimetre: kg m/cm, or pound-feet/in"),
    "moment": Kind("N m", "a moment: Nm, or pound-feet"),
    "energy": Kind("J", "an energy: J, or foot-pounds"),
    "degrees": Kind("rad", "an angle to a tenth of a degree", angle=True),
    "whole degrees": Kind("rad", "an angle to the degree", angle=True),
    "fine degrees": Kind("rad", "an angle to a hundredth of a degree", angle=True),
    "heel": Kind("rad", "an angle of heel, told by its side", angle=True),
    "trim angle": Kind("rad", "an angle of trim, told by the end that lies deeper", angle=True),
    "whole trim": Kind("rad", "an angle of trim to the degree, in short", angle=True),
    "plain degrees": Kind("deg", "an angle that travels in degrees"),
    "share": Kind("1", "a share, as per cent"),
    "signed share": Kind("1", "a change as per cent, with its sign"),
    "fine share": Kind("1", "a share, as per cent with two figures"),
    "ratio": Kind("1", "a ratio to thousandths"),
    "number": Kind("1", "a number to as many figures as its size deserves"),
    "whole": Kind("1", "a whole number, a count"),
    "money": Kind("", "a sum of money, two decimals"),
    "hours": Kind("h", "hours"),
    "minutes": Kind("min", "minutes"),
    "celsius": Kind("C", "a temperature: degrees Celsius, or Fahrenheit"),
    "pressure": Kind("Pa", "a strength or stiffness: MPa, or psi"),
}
