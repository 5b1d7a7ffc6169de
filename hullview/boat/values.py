"""How one value of boat.toml is read: each reader checks kind, unit and size, notes what is wrong, and
gives SI or None."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from hullview.boat.ledger import Ledger, shown
from hullview.boat.readings import OLD_STAGES, STAGES
from hullview.boat.units import EXAMPLES
from hullview.boat.usual import OTHER, doubt, doubt_of_without
from hullview.boat.where import Path, show
from hullview.errors import did_you_mean


@dataclass(frozen=True)
class Reader:
    """Reads one value: the ledger, its path and what TOML holds there -> SI, or None with the mistake noted.

    says: what may stand there, for a message that it is missing.
    """

    read: Callable[[Ledger, Path, object], Any]
    says: str

    def __call__(self, ledger: Ledger, path: Path, given: object) -> Any:
        return self.read(ledger, path, given)


LONGEST = 1000.0


def one_of(words: Iterable[str]) -> str:
    """Words as a choice: "a, b or c"."""
    *most, last = words
    return f"{', '.join(most)} or {last}" if most else last


def quantity(
    kind: str, low: float | None = None, high: float | None = None, unit: str = "", mend: str = ""
) -> Reader:
    """A quantity with its unit; `low` is allowed itself, `low` None means more than zero. `unit` names
    those of the limits."""

    def read(ledger: Ledger, path: Path, given: object) -> float | None:
        value = ledger.read(path, given, kind)
        return None if value is None else _within(ledger, path, given, value, low, high, unit, mend)

    return Reader(read, EXAMPLES[kind])


def _within(
    ledger: Ledger,
    path: Path,
    given: object,
    value: float,
    low: float | None,
    high: float | None,
    unit: str,
    mend: str,
) -> float | None:
    if (low is None or low > 0) and value <= 0:
        ledger.wrong(path, shown(given), "must be more than 0", mend)
        return None
    if low is not None and value < low:
        least = "0" if low == 0 else f"{low * 1000:g} mm" if unit == "m" and low < 0.1 else f"{low:g} {unit}"
        ledger.wrong(
            path, shown(given), f"must be {least} or more", mend or ("" if low == 0 else "Check the unit.")
        )
        return None
    if high is not None and value > high:
        ledger.wrong(
            path, shown(given), f"must be at most {high:g} {unit}".rstrip(), mend or "Check the unit."
        )
        return None
    return value


def length(low: float | None = None, high: float = LONGEST, mend: str = "") -> Reader:
    """A length [m], more than zero unless `low` says otherwise."""
    return quantity("length", low, high, "m", mend)


def position() -> Reader:
    """A height or a place across [m], of either sign."""
    return quantity("length", -LONGEST, LONGEST, "m")


ASIDE, ABOVE = 0.5, 2.0
"""A rudder or a bag may lie this far past the ends or sides of the hull, or over it; further is a slip
[m]."""


def aft(aside: float = 0.0) -> Reader:
    """A place aft of the bow datum [m], on the boat or at most `aside` past its ends."""
    place = position()

    def read(ledger: Ledger, path: Path, given: object) -> float | None:
        value = place(ledger, path, given)
        return (
            value if value is not None and on_board(ledger, path, given, value, 0, (aside, aside)) else None
        )

    return Reader(read, place.says)


def on_board(
    ledger: Ledger, path: Path, given: object, value: float, axis: int, aside: tuple[float, float]
) -> bool:
    """Whether a place lies on the boat along an axis, or little past it; else that is noted."""
    if ledger.box is None or ledger.box[axis][0] - aside[0] <= value <= ledger.box[axis][1] + aside[1]:
        return True
    low, high = ledger.box[axis]
    way = ("aft of the datum", "to starboard", "up from the base line")[axis]
    ledger.wrong(
        path,
        shown(given),
        f"lies off the boat, which runs from {low:.3g} m to {high:.3g} m {way}",
        "Check the unit.",
    )
    return False


def spot(optional: int = 0, outside: float = ASIDE) -> Reader:
    """A place on board, or at most so far outside the boat [m]: [aft of datum, starboard, up]; things may
    stand above it."""
    parts = row(("aft of datum", "starboard", "up"), optional)
    aside = ((outside, outside), (outside, outside), (outside, ABOVE))

    def read(ledger: Ledger, path: Path, given: object) -> tuple[float, ...] | None:
        found = parts(ledger, path, given)
        if found is None or not isinstance(given, list):
            return None
        there = [on_board(ledger, (*path, i), given[i], v, i, aside[i]) for i, v in enumerate(found)]
        return found if all(there) else None

    return Reader(read, parts.says)


def spots() -> Reader:
    """One place on board, or a list of places: each a (aft of datum, starboard, up) [m]."""
    one = spot()

    def read(ledger: Ledger, path: Path, given: object) -> tuple[tuple[float, ...], ...] | None:
        if not (isinstance(given, list) and given and isinstance(given[0], list)):
            found = one.read(ledger, path, given)
            return None if found is None else (found,)
        places = [one.read(ledger, (*path, i), g) for i, g in enumerate(given)]
        return None if any(p is None for p in places) else tuple(p for p in places if p is not None)

    return Reader(read, f"{one.says}, or a list of such places, one for each")


def named(allowed: tuple[str, ...] = ()) -> Reader:
    """A region or a line of the boat, one of `allowed`, or of the lines this boat has."""

    def read(ledger: Ledger, path: Path, given: object) -> str | None:
        known = allowed or ledger.lines_known
        if not isinstance(given, str) or given not in known:
            hint = did_you_mean(given, known) if isinstance(given, str) and len(given) < 80 else ""
            ledger.wrong(
                path, shown(given), f"must be {one_of(known)}", hint if hint.startswith("Did") else ""
            )
            return None
        if ledger.lacks.get(given):
            ledger.wrong(path, shown(given), f"does nothing: {ledger.lacks[given]}", "Leave this entry out.")
            return None
        return given

    return Reader(read, one_of(allowed) if allowed else "a line such as sheer, keel or bow stem")


def mass(high: float, low: float | None = None, mend: str = "") -> Reader:
    """A mass [kg]."""
    return quantity("mass", low, high, "kg", mend)


def density(low: float, high: float) -> Reader:
    """A density [kg/m3]."""
    return quantity("density", low, high, "kg/m3")


def number(low: float, high: float, mend: str = "") -> Reader:
    """A plain number without a unit."""

    def read(ledger: Ledger, path: Path, given: object) -> float | None:
        if isinstance(given, bool) or not isinstance(given, int | float) or given != given:
            ledger.wrong(path, shown(given), f"must be a number from {low:g} to {high:g}", mend)
            return None
        if not low <= given <= high:
            ledger.wrong(path, shown(given), f"must be a number from {low:g} to {high:g}", mend)
            return None
        return float(given)

    return Reader(read, f"a number from {low:g} to {high:g}")


def count(low: int, high: int, mend: str = "") -> Reader:
    """A whole number."""

    def read(ledger: Ledger, path: Path, given: object) -> int | None:
        if isinstance(given, bool) or not isinstance(given, int):
            ledger.wrong(path, shown(given), "must be a whole number", mend)
            return None
        if given < low:
            ledger.wrong(path, shown(given), f"must be {low} or more", mend)
            return None
        if given > high:
            ledger.wrong(path, shown(given), f"must be at most {high}", mend)
            return None
        return given

    return Reader(read, f"a whole number from {low}")


def share(low: float = 0.0, high: float = 1.0) -> Reader:
    """A share: 0.18 or "18 %"."""

    def read(ledger: Ledger, path: Path, given: object) -> float | None:
        value = given
        if isinstance(given, str) and given.rstrip().endswith("%"):
            digits = given.rstrip()[:-1].strip()
            value = (
                float(digits) / 100
                if digits.isascii() and digits.replace(".", "", 1).isdigit() and len(digits) < 9
                else given
            )
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            ledger.wrong(
                path,
                shown(given),
                f'must be a share from {low:g} to {high:g}, or "{low * 100:g} %" to "{high * 100:g} %"',
            )
            return None
        return float(value)

    return Reader(read, "a share such as 0.18")


def text(limit: int = 200, lines: bool = False) -> Reader:
    """Words without control characters; `lines`: line ends are welcome."""

    def read(ledger: Ledger, path: Path, given: object) -> str | None:
        if not isinstance(given, str):
            ledger.wrong(path, shown(given), "must be text in quotation marks")
            return None
        if not given.strip():
            ledger.wrong(path, shown(given), "must not be empty")
            return None
        if len(given) > limit:
            ledger.wrong(path, shown(given), f"is longer than {limit} characters")
            return None
        bad = [c for c in given if not _decent(c) and not (lines and c in "\n\t")]
        if bad:
            ledger.wrong(
                path, shown(given), f"holds a control character, U+{ord(bad[0]):04X}", "Write it without."
            )
            return None
        return given

    return Reader(read, "text in quotation marks")


def amount() -> Reader:
    """How many or how much of a thing to order, in the shop's own words: 3, or "1 box"."""
    words = text(100)

    def read(ledger: Ledger, path: Path, given: object) -> str | None:
        plain = isinstance(given, int) and not isinstance(given, bool) and 0 < given < 10**6
        return str(given) if plain else words(ledger, path, given)

    return Reader(read, '3, or "1 box"')


def _decent(c: str) -> bool:
    """Whether a character can be printed to a terminal without moving what is around it."""
    if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp"):
        return False
    return not ("\u202a" <= c <= "\u202e" or "\u2066" <= c <= "\u2069")


def choice(*words: str) -> Reader:
    """One of a few words."""

    def read(ledger: Ledger, path: Path, given: object) -> str | None:
        if isinstance(given, str) and given in words:
            return given
        mend = did_you_mean(given, words) if isinstance(given, str) and len(given) < 80 else ""
        ledger.wrong(path, shown(given), f"must be {one_of(words)}", mend if mend.startswith("Did") else "")
        return None

    return Reader(read, one_of(words))


def flag() -> Reader:
    """true or false."""

    def read(ledger: Ledger, path: Path, given: object) -> bool | None:
        if isinstance(given, bool):
            return given
        ledger.wrong(path, shown(given), "must be true or false, without quotation marks")
        return None

    return Reader(read, "true or false")


def row(parts: Iterable[str], optional: int = 0, ascending: bool = False, low: float = -LONGEST) -> Reader:
    """A list of lengths, one for each of the named parts; the last `optional` of them may be left out."""
    names = tuple(parts)

    def read(ledger: Ledger, path: Path, given: object) -> tuple[float, ...] | None:
        if not isinstance(given, list) or not len(names) - optional <= len(given) <= len(names):
            ledger.wrong(path, shown(given), f"must be a list: [{', '.join(names)}]")
            return None
        values = [ledger.read((*path, i), g, "length") for i, g in enumerate(given)]
        if any(v is None for v in values):
            return None
        sound = tuple(v for v in values if v is not None)
        for i, v in enumerate(sound):
            if _within(ledger, (*path, i), given[i], v, low, LONGEST, "m", "") is None:
                return None
        if ascending and list(sound) != sorted(sound):
            ledger.wrong(path, shown(given), f"must grow: [{', '.join(names)}]")
            return None
        return sound

    return Reader(read, f"[{', '.join(names)}]")


def coaming() -> Reader:
    """One height of the rim, or three: fore, side, aft [m]."""
    one, three = length(0.0, 0.5), row(("fore", "side", "aft"), low=0.0)

    def read(ledger: Ledger, path: Path, given: object) -> tuple[float, float, float] | None:
        if isinstance(given, list):
            heights: tuple[float, float, float] | None = three(ledger, path, given)
            return heights
        value = one(ledger, path, given)
        return None if value is None else (value, value, value)

    return Reader(read, "a height, or [fore, side, aft]")


def points(least: int, what: str = "[aft of datum, height]", low: float = -LONGEST) -> Reader:
    """A list of points in a plane; bare numbers are in the unit of the table. `low`: least second number."""

    def read(ledger: Ledger, path: Path, given: object) -> tuple[tuple[float, float], ...] | None:
        if not isinstance(given, list) or len(given) < least:
            ledger.wrong(path, shown(given), f"must be a list of {least} or more points {what}")
            return None
        if len(given) > 1000:
            ledger.wrong(path, shown(given), "must have at most 1000 points")
            return None
        found = [_point(ledger, (*path, i), g, what, low) for i, g in enumerate(given)]
        sound = tuple(p for p in found if p is not None)
        if len(sound) < len(found):
            return None
        for i in range(2, len(sound)):
            if sound[i] == sound[i - 1] == sound[i - 2]:
                ledger.wrong(
                    (*path, i),
                    shown(given[i]),
                    "stands here a third time",
                    "A point given twice is a corner.",
                )
                return None
        return sound

    return Reader(read, f"points {what}")


def _point(ledger: Ledger, path: Path, given: object, what: str, low: float) -> tuple[float, float] | None:
    if not isinstance(given, list) or len(given) != 2:
        ledger.wrong(path, shown(given), f"must be two numbers, {what}")
        return None
    pair = [_bare(ledger, (*path, i), g) for i, g in enumerate(given)]
    x, z = pair
    if x is None or z is None:
        return None
    for i, v in enumerate((x, z)):
        if _within(ledger, (*path, i), given[i], v, (-LONGEST, low)[i], LONGEST, "m", "") is None:
            return None
    return x, z


def _bare(ledger: Ledger, path: Path, given: object) -> float | None:
    """A length that may be bare; where `hull.units` is missing or wrong, that is one mistake and not one
    for each number."""
    if ledger.bare is None and isinstance(given, int | float) and not isinstance(given, bool):
        ledger.without_unit.append(f"{ledger.place(path)} {show(path)}")
        return None
    # In quotation marks a length says itself what it is: 1-3-5 may stand in a file whose numbers are mm.
    metric = ledger.bare in ("mm", "cm", "m")
    return ledger.read(path, given, "length", None if metric and isinstance(given, str) else ledger.bare)


def words(each: int = 200) -> Reader:
    """A list of texts."""
    one = text(each)

    def read(ledger: Ledger, path: Path, given: object) -> tuple[str, ...] | None:
        if not isinstance(given, list) or len(given) > 1000:
            ledger.wrong(path, shown(given), 'must be a list of texts, ["one", "two"]')
            return None
        found = [one(ledger, (*path, i), g) for i, g in enumerate(given)]
        return None if any(f is None for f in found) else tuple(f for f in found if f is not None)

    return Reader(read, '["one", "two"]')


def several(one: Reader, what: str) -> Reader:
    """A list of values, each read by `one`."""

    def read(ledger: Ledger, path: Path, given: object) -> tuple[Any, ...] | None:
        if not isinstance(given, list) or not given or len(given) > 1000:
            ledger.wrong(path, shown(given), f"must be a list of {what}")
            return None
        found = [one(ledger, (*path, i), g) for i, g in enumerate(given)]
        return None if any(f is None for f in found) else tuple(found)

    return Reader(read, f"a list of {what}")


def material(kind: str) -> Reader:
    """The name of a wood, cloth, resin or coating; looked up later, when the shop's own are known."""
    name = text(100)

    def read(ledger: Ledger, path: Path, given: object) -> str | None:
        found: str | None = name(ledger, path, given)
        if found is not None:
            ledger.names.append((path, kind, found))
        return found

    return Reader(read, f"the name of a {kind}")


def stage() -> Reader:
    """A stage of the build; a name of older files is read with a notice."""
    one = choice(*STAGES)

    def read(ledger: Ledger, path: Path, given: object) -> str | None:
        old = isinstance(given, str) and given in OLD_STAGES
        found: str | None = str(given) if old else one(ledger, path, given)
        if old and found is not None:
            ledger.notices.append(
                f"{ledger.place(path)} {show(path)} = {shown(given)} is an old name of a stage, read as:"
                f" {OLD_STAGES[found]}. The stages now are {one_of(STAGES)}."
            )
        return found

    return Reader(read, one_of(STAGES))


def usual_item() -> Reader:
    """Which of the things that such boats usually have an entry is, or several of them, or "other"."""
    one = _told_by(doubt, "is nothing that such boats usually have")

    def read(ledger: Ledger, path: Path, given: object) -> tuple[str, ...] | None:
        if isinstance(given, list):
            items: tuple[str, ...] | None = several(one, "usual items")(ledger, path, given)
            return items
        found: str | None = one(ledger, path, given)
        return None if found is None else (found,)

    return Reader(read, f'an item such as "seat", or "{OTHER}"')


def left_off() -> Reader:
    """Things that such boats usually have and this one has not."""
    one = _told_by(doubt_of_without, "is nothing that such boats usually have, so it does nothing")
    parts = words()

    def read(ledger: Ledger, path: Path, given: object) -> tuple[str, ...] | None:
        found: tuple[str, ...] | None = parts(ledger, path, given)
        if found is None:
            return None
        sound = [one(ledger, (*path, i), word) for i, word in enumerate(found)]
        return None if None in sound else found

    return Reader(read, parts.says)


def _told_by(doubted: Callable[[str], str], allowed: str) -> Reader:
    """A text that `doubted` finds nothing wrong with; else what it says is how to mend it."""
    plain = text()

    def read(ledger: Ledger, path: Path, given: object) -> str | None:
        found: str | None = plain(ledger, path, given)
        mend = "" if found is None else doubted(found)
        if mend:
            ledger.wrong(path, shown(given), allowed, mend)
        return None if mend else found

    return Reader(read, plain.says)
