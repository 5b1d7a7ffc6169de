"""Colours by meaning, told apart by lightness too, so that eyes blind to red or green can read them; words
stand beside each."""

from __future__ import annotations

from collections.abc import Iterable

RGB = tuple[float, float, float]

INK = "#20303a"
FAINT_INK = "#5a6a73"
PAPER = "#f6f3ec"
WATER = "#8fb9c6"
WATERLINE = "#0b4a7f"
WEIGHT = "#c1440e"
BUOYANCY = "#7b2d8e"
LEVER = "#20303a"

WOODS = {
    "western redcedar": "#a8683f",
    "redwood, old growth": "#8a4a33",
    "redwood, young growth": "#9a5a40",
    "northern white-cedar": "#dfc294",
    "atlantic white-cedar": "#d9b58b",
    "sitka spruce": "#e6cb98",
    "eastern white pine": "#ecd9ad",
    "alaska-cedar": "#e3c777",
    "port-orford-cedar": "#e8d2a4",
    "white ash": "#e9dcc1",
    "white oak": "#c6a273",
    "black walnut": "#5b4030",
    "basswood": "#efe2c6",
    "okoume": "#c48b6a",
    "mahogany": "#80402c",
    "cherry": "#b0714b",
}
OTHER_WOOD = "#bf9566"

REGIONS = {
    "hull": "#6ea6cf",
    "deck": "#f3d27a",
    "transom": "#b5482f",
    "keel": "#16324a",
    "bow stem": "#8d6aa5",
    "stern stem": "#5e4278",
    "coaming": "#7c2f1a",
    "hatch": "#78b8a2",
}

NEUTRAL = "#b9a98a"
SEAT, PADDLER = "#5d7480", "#f0a04b"
WET, DRY = "#2a6f97", "#f1dcae"

LIGHTS = {"dry": "#3d8fc4", "wet or heat": "#f2bd3a", "thinner": "#8f1d14"}
"""The three lights of bending, in the order of lightness blue, pale amber, dark red."""

VERDICTS = {"carries": "#1f6f8b", "marginal": "#8a5a00", "does not carry": "#9b1c1c"}
LOST = ("does not carry", "capsized", "it floods", "it sinks", "it capsized", "leaned")
"""How words begin that are no better than "does not carry"."""

GROUPS = ("#2f6f9e", "#f0c35e", "#b5482f", "#5aa391", "#5e4278", "#e2ddd3", "#16324a", "#d98d62", "#8c9be8")
"""For groups of weight and the like, in this order."""


def headline_colour(words: str) -> str:
    """The colour of the words over a picture.

    >>> headline_colour("capsized: ...") == VERDICTS["does not carry"]
    True
    >>> headline_colour("heel held by hand") == INK
    True
    """
    if words.startswith(LOST):
        return VERDICTS["does not carry"]
    return next((colour for word, colour in VERDICTS.items() if words.startswith(word)), INK)


def rgb(colour: str) -> RGB:
    """
    >>> rgb("#ff0000")
    (1.0, 0.0, 0.0)
    """
    return tuple(int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))  # type: ignore[return-value]


def hexed(colour: Iterable[float]) -> str:
    return "#" + "".join(f"{round(min(max(c, 0.0), 1.0) * 255):02x}" for c in colour)


def lightness(colour: str) -> float:
    """CIE L* of an sRGB colour, 0 to 100.

    >>> round(lightness("#777777"))
    50
    """
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in rgb(colour)]
    y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours as WCAG 2.1 defines it, 1 to 21.

    >>> round(contrast("#000000", "#ffffff"), 1)
    21.0
    """
    linear = []
    for colour in (one, other):
        c = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in rgb(colour)]
        linear.append(0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2] + 0.05)
    return max(linear) / min(linear)


def shade(colour: str, lightness_wanted: float) -> str:
    """The same colour made lighter (towards white) or darker (towards black) until its L* is the one wanted.

    >>> round(lightness(shade("#a8683f", 70)))
    70
    """
    end = 1.0 if lightness_wanted > lightness(colour) else 0.0
    low, high = 0.0, 1.0
    for _ in range(24):
        share = (low + high) / 2
        mixed = hexed(c + (end - c) * share for c in rgb(colour))
        nearer = lightness(mixed) < lightness_wanted if end else lightness(mixed) > lightness_wanted
        low, high = (share, high) if nearer else (low, share)
    return hexed(c + (end - c) * low for c in rgb(colour))


def darker(colour: str, share: float) -> str:
    """A colour with this share of its light.

    >>> darker("#ffffff", 0.6)
    '#999999'
    """
    return hexed(c * share for c in rgb(colour))


def apart(colours: dict[str, str], least: float = 9.0) -> dict[str, str]:
    """The same names with colours whose L* differ by `least` or more, moved as little as order allows (eight
    or fewer).

    Woods lie in one band of hue, where a colour-blind eye has lightness alone to go by.
    """
    names = sorted(colours, key=lambda n: (lightness(colours[n]), n))
    if len(names) < 2:
        return dict(colours)
    least = min(least, 70.0 / (len(names) - 1))
    wanted = [lightness(colours[n]) for n in names]
    for i in range(1, len(wanted)):
        wanted[i] = max(wanted[i], wanted[i - 1] + least)
    over = max(0.0, wanted[-1] - 92.0)
    if over:  # too light to stand on paper: let the row down from its light end
        wanted[-1] -= over
        for i in range(len(wanted) - 2, -1, -1):
            wanted[i] = min(wanted[i], wanted[i + 1] - least)
    moved = {
        n: colours[n] if abs(w - lightness(colours[n])) < 0.5 else shade(colours[n], w)
        for n, w in zip(names, wanted)
    }
    return {n: moved[n] for n in colours}


def wood_colour(name: str) -> str:
    """Colour of a wood by its name or by the nearest known name within it."""
    key = name.lower()
    if key in WOODS:
        return WOODS[key]
    near = [n for n in WOODS if n.split(",")[0] in key or key in n or n.split()[-1] in key.split()]
    return WOODS[near[0]] if near else OTHER_WOOD


def ramp(step: int, steps: int) -> str:
    """Steps of one hue from pale to dark, for what is more or less (a thickness): lightness 85 down to 30."""
    return shade("#3f7f6b", 60.0 if steps < 2 else 85 - 55 * (step / (steps - 1)))
