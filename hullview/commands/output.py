"""Where results leave the program: text, JSON and CSV to stdout, everything else to stderr."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from hullview.boat.files import why
from hullview.commands.streams import drop, has_reader
from hullview.errors import UsageError
from hullview.show.tables import clean

if TYPE_CHECKING:
    from hullview.tell.model import Telling


def give(telling: Telling, *, as_json: bool = False, as_csv: bool = False, full: bool = True) -> None:
    """Print a result: for people, or for programs as JSON or CSV; full=False leaves out what stands in the
    full text alone."""
    if as_json or as_csv:
        from hullview.show import record

        _write(record.as_json(telling) if as_json else record.as_csv(telling))
        return
    from hullview.show import text

    spans = text.lines(telling, full=full)
    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
    _write(text.on_terminal(spans) if colour else text.plain(spans) + "\n")


def to_stdout(text: str, *, bold_first: bool = False) -> None:
    """Print text for people; its first line in bold where stdout is a terminal and NO_COLOR is not set.

    Names and notes come from a boat's file: whatever a terminal would obey is taken out of them here, for all
    commands.
    """
    text = _harmless(text)
    if bold_first and sys.stdout.isatty() and not os.environ.get("NO_COLOR"):
        first, rest = text.partition("\n")[::2]
        text = f"\033[1m{first}\033[0m\n{rest}"
    _write(text.rstrip("\n") + "\n")


def _write(text: str) -> None:
    """All of it or an error in words; where nobody reads any more it goes nowhere."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except OSError as error:
        drop(sys.stdout)
        raise UsageError(f"the output cannot be written: {why(error)}.") from error


def to_stderr(text: str) -> None:
    """Tell a person what went wrong."""
    sys.stderr.write(_harmless(text) + "\n")


def written(path: str) -> None:
    """Tell a person that a file is written, unless stdout is closed or its reader has gone: then nobody
    looks on."""
    if has_reader(sys.stdout):
        to_stderr(f"{path}: written.")


def _harmless(text: str) -> str:
    """Lines of text with nothing in them that a terminal would obey."""
    return "\n".join(clean(line) for line in text.split("\n"))


def one_format(as_json: bool, as_csv: bool) -> None:
    """Refuse two formats at once."""
    if as_json and as_csv:
        raise UsageError("--json and --csv were both given. Give one.")
