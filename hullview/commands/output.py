"""Where results leave the program: text, JSON and CSV to stdout, everything else to stderr."""

from __future__ import annotations

import csv
import io
import json
import math
import os
import sys
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from hullview.boat.files import why
from hullview.commands.streams import drop, has_reader
from hullview.errors import UsageError
from hullview.show.tables import clean

if TYPE_CHECKING:
    from hullview.tell.model import Telling

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet takes for the start of a formula when it opens a CSV."""


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


def to_json(data: Mapping[str, Any]) -> None:
    """Print one JSON object: unrounded, the same bytes for the same input, null for what has no value."""
    _write(json.dumps(plain(data), indent=2, ensure_ascii=False, allow_nan=False) + "\n")


def plain(value: Any) -> Any:
    """The same in plain lists, dicts and numbers, with null for NaN and infinity."""
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(v) for v in value]
    if hasattr(value, "tolist"):  # a numpy array or number
        return plain(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def to_csv(header: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """Print a table as CSV; text that a spreadsheet would run as a formula gets a ' before it."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([_cell(c) for c in row] for row in rows)
    _write(out.getvalue())


def _cell(value: Any) -> Any:
    value = plain(value)
    if not isinstance(value, str):
        return value
    text = "".join(c if c.isprintable() else " " for c in value)
    return "'" + text if value.startswith(_FORMULA) or text.lstrip().startswith(_FORMULA) else text


def records_to_csv(records: Sequence[Mapping[str, Any]]) -> None:
    """Print mappings that share their keys as CSV; vectors are spread over columns key_x, key_y, key_z."""
    flat = [_spread(plain(r)) for r in records]
    header = list(dict.fromkeys(k for r in flat for k in r))
    to_csv(header, [[r.get(k) for k in header] for r in flat])


def _spread(record: Mapping[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for key, value in record.items():
        if isinstance(value, list) and len(value) == 3 and all(isinstance(v, (int, float)) for v in value):
            out |= {f"{key}_{axis}": v for axis, v in zip("xyz", value)}
        elif not isinstance(value, (list, dict)):
            out[key] = value
    return out


def one_format(as_json: bool, as_csv: bool) -> None:
    """Refuse two formats at once."""
    if as_json and as_csv:
        raise UsageError("--json and --csv were both given. Give one.")
