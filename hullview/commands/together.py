"""Which options of a command go together: what would do nothing is refused before any work, with status 2.

A command lists its rules beside its options; what only the boat's file decides is refused with `refuse` where
it is known.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import click
from click.core import ParameterSource

from hullview.errors import UsageError


@dataclass(frozen=True)
class Needs:
    """An option that does nothing without another.

    Parameters
    ----------
    option : str
        As typed in full.
    any_of : tuple of str
        One of these has to stand beside it.
    why : str
        In words.
    beside : tuple of str
        The rule holds only where one of these is given; everywhere if empty.
    """

    option: str
    any_of: tuple[str, ...]
    why: str
    beside: tuple[str, ...] = ()

    def broken(self, given: Sequence[str]) -> str:
        """What is wrong with the options given, or ''."""
        if self.option not in given or any(other in given for other in self.any_of):
            return ""
        if self.beside and not any(other in given for other in self.beside):
            return ""
        return f"{self.option} needs {' or '.join(self.any_of)}: {self.why}."


@dataclass(frozen=True)
class Apart:
    """An option that does not go with any of `others`, and why in words."""

    option: str
    others: tuple[str, ...]
    why: str

    def broken(self, given: Sequence[str]) -> str:
        """What is wrong with the options given, or ''."""
        other = next((o for o in self.others if o in given), None)
        if self.option not in given or other is None:
            return ""
        return f"{self.option} and {other} do not go together: {self.why}."


Rule = Needs | Apart


def name_of(param: click.Parameter) -> str:
    """An option as it is typed in full: "--seat-back"."""
    return max(param.opts, key=len)


def given_options(ctx: click.Context) -> list[str]:
    """The options that somebody typed, in the order of the command's own."""
    return [
        name_of(param)
        for param in ctx.command.params
        if isinstance(param, click.Option)
        and ctx.get_parameter_source(param.name or "") is ParameterSource.COMMANDLINE
    ]


def check(ctx: click.Context, rules: Iterable[Rule]) -> None:
    """Refuse options that would do nothing.

    Raises
    ------
    UsageError
        With the first rule that the options given break.
    """
    given = given_options(ctx)
    for rule in rules:
        wrong = rule.broken(given)
        if wrong:
            raise UsageError(wrong)


def refuse(ctx: click.Context, options: Iterable[str], why: str) -> None:
    """Refuse options of these that were typed; `why` goes on after their names: "are for a mesh file"."""
    given = given_options(ctx)
    found = [option for option in options if option in given]
    if found:
        raise UsageError(f"{', '.join(found)}: {why}.")
