"""What can go wrong, in one family: where, what was given, what is allowed, how to mend it.

Anything that is not a `HullviewError` is a fault of ours and keeps its traceback.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass


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
    """The one base class; `exit_status` is turned into a process status in `commands` alone."""

    exit_status = 3


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


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Say which of the `known` words was probably meant, or list them if none is near.

    >>> did_you_mean("westen redcedar", ["western redcedar", "white ash"])
    "Did you mean 'western redcedar'?"
    >>> did_you_mean("zzz", ["oak", "ash"])
    'Known: ash, oak.'
    """
    names = sorted(set(known))
    near = difflib.get_close_matches(word.lower(), [n.lower() for n in names], n=1, cutoff=0.6)
    if near:
        name = next(n for n in names if n.lower() == near[0])
        return f"Did you mean {name!r}?"
    return f"Known: {', '.join(names[:20])}{', ...' if len(names) > 20 else ''}."
