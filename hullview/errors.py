"""What can go wrong, in one family: where, what was given, what is allowed, how to mend it.

Anything that is not a `HullviewError` is a fault of ours and keeps its traceback.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from os import PathLike, fspath


@dataclass(frozen=True)
class Mistake:
    """One thing wrong in a builder's file.

    `place` says where: a file with its line, or a table with its row and column. `key` is the key or the
    line of the table, `given` what stands there, `allowed` what may stand there, `mend` what to do about it.
    """

    place: str
    key: str
    given: str
    allowed: str
    mend: str = ""

    def __str__(self) -> str:
        what = self.key + (f" = {self.given}" if self.given else "")
        return f"{self.place} {what}: {self.allowed}." + (f" {self.mend}" if self.mend else "")


class HullviewError(Exception):
    """The one base class; `exit_status` is turned into a process status in `commands` alone.

    Parameters
    ----------
    message
        What is wrong and how to mend it.
    place
        The file, with its row or key, that it is about; said first. "" where the raiser does not know.
    """

    exit_status = 3

    def __init__(self, message: str, *, place: str = ""):
        self.place = place
        super().__init__(f"{place}: {message}" if place else message)


class BoatFileError(HullviewError):
    """Every mistake found in a boat's folder, in one report."""

    def __init__(self, mistakes: Iterable[Mistake]):
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(m) for m in self.mistakes))


class ShapeError(HullviewError):
    """The table and the stems do not make a closed hull."""


class MeshError(HullviewError):
    """A mesh is open, inside out or empty, so nothing can be said of what it displaces."""


class SolveError(HullviewError):
    """A solver stopped short; `state` is the last state it reached, never to be shown as a result."""

    exit_status = 1

    def __init__(self, message: str, state: object = None):
        self.state = state
        super().__init__(message)


class UsageError(HullviewError):
    """Asked for in a way that cannot be answered: a wrong option, no display, a missing library."""

    exit_status = 2


MEANING = {
    "sitting": ("bench", "legs forward"), "seated": ("bench", "legs forward"), "on a thwart": ("bench",),
    "laminated": ("lamination",), "plank": ("strip", "sheet"), "planks": ("strip",), "plywood": ("sheet",),
    "clinker": ("lapped",), "closed": ("decked",), "covered": ("decked",), "undecked": ("open",),
    "outer": ("outside",), "outer side": ("outside",), "inner": ("inside",), "inner side": ("inside",),
    "sea": ("salt",), "seawater": ("salt",), "ocean": ("salt",), "lake": ("fresh",), "river": ("fresh",),
    "left": ("port",), "right": ("starboard",), "skirt": ("spray deck",), "sprayskirt": ("spray deck",),
    "inch": ("in",), "inches": ("in",), "feet": ("ft",), "foot": ("ft",), "metre": ("m",), "metres": ("m",),
    "meter": ("m",), "meters": ("m",), "centimetres": ("cm",), "millimetres": ("mm",), "millimeters": ("mm",),
    "weight": ("mass", "areal_weight"), "weighs": ("mass",), "breadth": ("width",), "beam": ("width",),
    "gunwale": ("sheer",), "gunnel": ("sheer",), "rail": ("sheer",), "stem": ("bow stem", "stern stem"),
    "beadandcove": ("bead and cove",), "bead-and-cove": ("bead and cove",), "half breadth": ("half-breadth",),
    "halfbreadth": ("half-breadth",), "width": ("half-breadth",), "x": ("at",), "where": ("at",),
}  # fmt: skip
"""What people write for a word of ours, where the letters say nothing of it, or say something else."""


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Say which of the `known` words was probably meant, or list them if none is near.

    By meaning first, then by spelling. A word with other digits in it is another thing, however few letters
    differ; and where two words are about as near, neither is offered alone, since the wrong one of them could
    be taken.

    >>> did_you_mean("westen redcedar", ["western redcedar", "white ash"])
    "Did you mean 'western redcedar'?"
    >>> did_you_mean("sitting", ["bench", "standing", "kneeling"])
    "Did you mean 'bench'?"
    >>> did_you_mean("cloth 5 oz", ["cloth 4 oz", "cloth 6 oz"])
    'Known: cloth 4 oz, cloth 6 oz.'
    """
    names = sorted(set(known))
    if meant := meant_by(word, names):
        return f"Did you mean {' or '.join(repr(n) for n in meant)}?"
    return f"Known: {', '.join(names[:20])}{', ...' if len(names) > 20 else ''}."


def meant_by(word: str, known: Iterable[str]) -> list[str]:
    """Those of the `known` words that `word` probably stands for: none, one, or a few that it could be."""
    names = sorted(set(known))
    low = " ".join(word.lower().split())
    return [n for n in MEANING.get(low, ()) if n in names] or _near(low, names)


def _near(word: str, names: Iterable[str]) -> list[str]:
    """The names within a few edits of a word (lower case): the nearest, and with it one that is about as
    near."""
    if not 3 <= len(word) <= 80:
        return [n for n in names if n.lower() == word]
    most = min(3, max(1, len(word) // 4))
    digits = _DIGITS.findall(word)
    like = [n for n in names if abs(len(n) - len(word)) <= most + 1 and _DIGITS.findall(n) == digits]
    edits = {n: _edits(word, n.lower()) for n in like}
    least = min(edits.values(), default=most + 1)
    close = [n for n, d in edits.items() if d <= least + (least > 1)]
    return close if least <= most and len(close) <= 2 else []


def _edits(one: str, other: str) -> int:
    """Letters left out, put in, changed or transposed between two words: the optimal string alignment
    distance."""
    above: list[int] = []
    row = list(range(len(other) + 1))
    for i, a in enumerate(one):
        two_above, above, row = above, row, [i + 1]
        for j, b in enumerate(other):
            fewest = min(above[j + 1] + 1, row[j] + 1, above[j] + (a != b))
            if i and j and a == other[j - 1] and b == one[i - 1]:
                fewest = min(fewest, two_above[j - 1] + 1)
            row.append(fewest)
    return row[-1]


_DIGITS = re.compile(r"[0-9]+(?:\.[0-9]+)?")


def refuse_path(boat: object) -> None:
    """Refuse a path where a boat is due.

    Parameters
    ----------
    boat : object

    Raises
    ------
    UsageError
        It says how a boat is read.
    """
    if isinstance(boat, (str, PathLike)):
        path = fspath(boat)
        raise UsageError(
            f"{path!r} is a path, and a boat is due here. Read it first: hullview.open({path!r}), or"
            f" hullview.read_boat({path!r}) for what its files say."
        )
