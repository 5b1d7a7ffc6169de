"""What a boat of its kind usually has beside its planking, and which of these things the words of a builder
mean.

The list is `data/usual.csv`. A name is read as the trade reads it: by its last word, which says what the
thing is. A "foam knee pad" is a pad, a "duffel bag hook" a hook and a "keelson" no keel; "oarlocks, sockets,
rings and screws" are four things.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from hullview.errors import did_you_mean
from hullview.materials import Range, rows

Words = tuple[str, ...]

OTHER = "other"
"""`is = "other"`: none of the usual things, whatever the name says."""
ENDINGS = ("ch", "sh", "x", "ss")
"""A word that ends so takes -es for several."""
PLACES = frozenset(
    ["port", "starboard", "fore", "forward", "aft", "after", "bow", "stern", "amidships", "left", "right"]
)
"""Behind a name they say where it is: "seat, port", "thwart aft"."""
AFTER = frozenset(
    [
        "under",
        "over",
        "in",
        "into",
        "on",
        "onto",
        "at",
        "to",
        "from",
        "along",
        "beside",
        "behind",
        "below",
        "above",
        "between",
        "through",
        "for",
        "of",
        "off",
        "by",
    ]
)
"""What comes after one of these says where a thing is or what for, not what it is."""
LINKS = frozenset(["and", "or", "with", "plus"])
ARTICLES = frozenset(["a", "an", "the", "its"])


@dataclass(frozen=True)
class UsualItem:
    """A thing that such boats have.

    Parameters
    ----------
    boat
        "decked", "canoe" (open and paddled), "rowed" (open and rowed) or "any".
    item
        Its name.
    names
        What a builder may call it, each as words in the singular.
    alone
        Words that mean it only where they are the whole name.
    run
        The line of the hull along which a stick is this thing ("coaming", "hatch", "sheer", "keel"), or
        "cord" for any run of cord.
    per
        What `span` is multiplied by: "boat", "sheer" (m, both sides), "coaming" (m), "hatch" (each), "skin"
        (m2), "seat" (each paddler, one at least), "tank" (each), "flotation" (m3), "wall" (m2 of coaming
        above the deck).
    span
        Low, likely and high mass for one of `per` [kg].
    place
        Where it lies.
    """

    boat: str
    item: str
    names: tuple[Words, ...]
    alone: tuple[Words, ...]
    run: str
    per: str
    span: Range
    place: str

    @property
    def every_name(self) -> tuple[Words, ...]:
        """What it is called outright: its own name, the parts of that, and what builders call it."""
        return (words_of(self.item), *phrases(self.item), *self.names, *self.alone)


@lru_cache(maxsize=1)
def usual_items() -> tuple[UsualItem, ...]:
    """The list, in its order."""
    return tuple(
        UsualItem(
            r["boat"], r["item"], _names(r["words"]), _names(r["alone"]), r["run"], r["per"],
            (float(r["low_kg"]), float(r["likely_kg"]), float(r["high_kg"])), r["place"],
        )
        for r in rows("usual.csv")
    )  # fmt: skip


def _names(cell: str) -> tuple[Words, ...]:
    return tuple(words_of(name) for name in cell.split(";") if name.strip())


def words_of(text: str) -> Words:
    """The words of a text, in small letters and the singular.

    >>> words_of("Foot-braces, 2 hatches"), words_of("brass")
    (('foot', 'brace', '2', 'hatch'), ('brass',))
    """
    return tuple(_singular(w) for w in re.findall(r"[^\W_]+", text.casefold()))


def _singular(word: str) -> str:
    if word.endswith("es") and word[:-2].endswith(ENDINGS):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def phrases(name: str) -> tuple[Words, ...]:
    """The things that a name names, each as its words, without where they are and what for.

    >>> phrases("bow seat and tank top, port")
    (('bow', 'seat'), ('tank', 'top'))
    >>> phrases("foam under the bow seat"), phrases("oarlocks (2)")
    ((('foam',),), (('oarlock',),))
    """
    found = []
    for part in re.split(r"[,;:/&+()\[\]]", name):
        for phrase in _linked(_up_to_a_place(words_of(part))):
            told = [w for w in phrase if w not in ARTICLES]
            while told and (told[-1] in PLACES or told[-1].isdigit()):
                told.pop()
            if told:
                found.append(tuple(told))
    return tuple(found)


def _up_to_a_place(words: Words) -> Words:
    end = next((i for i, w in enumerate(words) if i and w in AFTER), len(words))
    return words[:end]


def _linked(words: Words) -> list[Words]:
    """The words between links ("and", "or", "with")."""
    found: list[list[str]] = [[]]
    for w in words:
        found.append([]) if w in LINKS else found[-1].append(w)
    return [tuple(f) for f in found]


def names_it(name: str, item: UsualItem) -> bool:
    """Whether a name means an item: one of the things that it names ends on a name of the item.

    >>> knees = next(u for u in usual_items() if u.item == "knees and breasthook")
    >>> names_it("hanging knees", knees), names_it("foam knee pad", knees)
    (True, False)
    """
    return any(
        phrase in item.alone or any(phrase[-len(n) :] == n for n in item.names) for phrase in phrases(name)
    )


def ends_on(name: str, word: str) -> bool:
    """Whether one of the things that a name names is that: "sheer clamp" is a clamp, "clamp pad" is none."""
    return any(phrase[-1] == word for phrase in phrases(name))


def is_it(word: str, item: UsualItem) -> bool:
    """Whether `is = word` means the item: by its own name, or exactly as builders call it."""
    return any(sentences in item.every_name for sentences in (words_of(word), *phrases(word)))


def left_out(word: str, item: UsualItem) -> bool:
    """Whether `without = [word]` leaves the item out: by its name, whole words of it, or anything that
    means it."""
    sentences = set(words_of(word)) - LINKS - ARTICLES
    return bool(sentences) and (any(sentences <= set(n) for n in item.every_name) or names_it(word, item))


def doubt(word: str) -> str:
    """What is wrong with a word of `is`, "" if nothing: it must mean one of the usual things, or be
    "other"."""
    if word == OTHER or any(is_it(word, u) for u in usual_items()):
        return ""
    return f'{did_you_mean(word, _known())} Write "{OTHER}" for none of them.'


def doubt_of_without(word: str) -> str:
    """What is wrong with a word of `without`, "" if nothing: it must leave out something that some boat
    usually has."""
    return "" if any(left_out(word, u) for u in usual_items()) else did_you_mean(word, _known())


def _known() -> set[str]:
    return {u.item for u in usual_items()} | {" ".join(n) for u in usual_items() for n in u.names}
