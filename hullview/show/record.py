"""A telling for programs: JSON, CSV and DataFrame. SI, angles in degrees, unrounded, null where there is
no figure."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from hullview.kinds import KINDS
from hullview.show.units import plain as in_metric
from hullview.tell.model import Curves, Data, Facts, Line, Q, Say, Table, Telling, joined_path

if TYPE_CHECKING:
    import pandas as pd

Record = dict[str, Any]

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet takes for the start of a formula when it opens a CSV."""


def as_json(telling: Telling) -> str:
    """The telling as one JSON object: unrounded, the same bytes for the same input, null for what has no
    value."""
    return json.dumps(as_record(telling), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def as_record(telling: Telling) -> Record:
    """The telling as nested dicts and lists."""
    root: Record = plain_value(dict(telling.record))
    for section in telling.sections:
        for block in section.blocks:
            if isinstance(block, Data):
                _put(root, joined_path(section.path, block.key), plain_value(block.value))
            elif isinstance(block, Table):
                if block.key:
                    _put(root, joined_path(section.path, block.key), records_of(block))
            elif not isinstance(block, Curves):
                for sentences in _sentences(block):
                    for q in sentences.quantities:
                        if q.key:
                            _put(root, joined_path(section.path, q.key), value_of(q.kind, q.value))
                    if sentences.key:
                        _add(root, joined_path(section.path, sentences.key), in_metric(sentences))
    return root


def records_of(table: Table) -> list[Record]:
    """A record for each row, by the keys of its columns."""
    return [{c.key: cell_value(c.kind, v) for c, v in zip(table.columns, row) if c.key} for row in table.rows]


def as_csv(telling: Telling) -> str:
    """The tables that make the telling's CSV, one below the other; vectors are spread over columns key_x,
    key_y, key_z.

    Text that a spreadsheet would run as a formula gets a ' before it.
    """
    flat = [_spread(r) for r in _rows(telling)]
    header = list(dict.fromkeys(k for r in flat for k in r))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([_safe(h) for h in header])
    writer.writerows([_safe(r.get(k)) for k in header] for r in flat)
    return out.getvalue()


def as_frame(telling: Telling) -> pd.DataFrame:
    """The same tables as a pandas DataFrame; angles in degrees, lengths in metres."""
    import pandas as pd

    return pd.DataFrame([_spread(r) for r in _rows(telling)])


def _rows(telling: Telling) -> list[Record]:
    tables = dict(telling.tables())
    keys = telling.csv or tuple(tables)[:1]
    return [record for key in keys for record in records_of(tables[key])]


def _sentences(block: Line | Facts) -> Iterator[Say]:
    if isinstance(block, Line):
        yield block.words
    else:
        for name, value in block.rows:
            if isinstance(name, Say):
                yield name
            yield value


def value_of(kind: str, value: Any) -> Any:
    """A value as programs are given it: angles in degrees, null for NaN and what is endless.

    >>> value_of("heel", 0.5 * math.pi), value_of("length", math.inf)
    (90.0, None)
    """
    if hasattr(value, "tolist"):  # a numpy array or number
        value = value.tolist()
    if isinstance(value, (list, tuple)):
        return [value_of(kind, v) for v in value]
    if KINDS[kind].angle and value is not None and not isinstance(value, str):
        return plain_value(math.degrees(value))
    return plain_value(value)


def cell_value(kind: str, value: Any) -> Any:
    """A cell of a table as programs are given it; words in metric."""
    if isinstance(value, Q):
        return value_of(value.kind, value.value)
    if isinstance(value, Say):
        return in_metric(value)
    return value_of(kind, value)


def plain_value(value: Any) -> Any:
    """The same in plain lists, dicts and numbers, with null for NaN and infinity."""
    if isinstance(value, Q):
        return value_of(value.kind, value.value)
    if isinstance(value, Telling):
        return as_record(value)
    if isinstance(value, Table):
        return records_of(value)
    if isinstance(value, Mapping):
        return {str(k): plain_value(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain_value(v) for v in value]
    if hasattr(value, "tolist"):  # a numpy array or number
        return plain_value(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _put(root: Record, path: str, value: Any) -> None:
    at = root
    *parents, last = path.split(".")
    for name in parents:
        at = at.setdefault(name, {})
    at[last] = value


def _add(root: Record, path: str, words: str) -> None:
    """Sentences of one key stand in a list, in their order."""
    at = root
    *parents, last = path.split(".")
    for name in parents:
        at = at.setdefault(name, {})
    at.setdefault(last, []).append(words)


def _spread(record: Mapping[str, Any]) -> Record:
    out: Record = {}
    for key, value in record.items():
        if isinstance(value, list) and len(value) == 3 and all(isinstance(v, (int, float)) for v in value):
            out |= {f"{key}_{axis}": v for axis, v in zip("xyz", value)}
        elif not isinstance(value, (list, dict)):
            out[key] = value
    return out


def _safe(value: Any) -> Any:
    if not isinstance(value, str):
        return value
    words = "".join(c if c.isprintable() else " " for c in value)
    return "'" + words if value.startswith(_FORMULA) or words.lstrip().startswith(_FORMULA) else words


def table_csv(header: Sequence[str], rows: Sequence[Sequence[Any]]) -> str:
    """A bare table as CSV."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([_safe(plain_value(c)) for c in row] for row in rows)
    return out.getvalue()
