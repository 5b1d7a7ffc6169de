"""Every figure of a telling, looked for in what each writer makes of it."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from typing import Any

from hullview.kinds import KINDS
from hullview.show import html, record, text
from hullview.show.text import cell_text, cells_of
from hullview.show.units import in_words
from hullview.tell.model import Curves, Data, Facts, Line, Q, Say, Table, Telling


def says_of(telling: Telling) -> Iterator[Say]:
    """Every sentence of the full telling."""
    for section in telling.sections:
        for block in section.blocks:
            if isinstance(block, Data | Curves) or not block.full:
                continue
            if isinstance(block, Line):
                yield block.words
            elif isinstance(block, Facts):
                for name, value in block.rows:
                    yield from (part for part in (name, value) if isinstance(part, Say))
            else:
                yield from (*block.notes, *block.foot)
                yield from (cell for row in block.rows for cell in row if isinstance(cell, Say))


def numbers_in(value: Any) -> Iterator[float]:
    """Every number of a JSON object, those inside its words too."""
    if isinstance(value, dict):
        for v in value.values():
            yield from numbers_in(v)
    elif isinstance(value, list):
        for v in value:
            yield from numbers_in(v)
    elif isinstance(value, bool) or value is None:
        return
    elif isinstance(value, (int, float)):
        yield float(value)
    else:
        yield from (float(n) for n in re.findall(r"\d+(?:\.\d+)?", value))
        for sizes in re.findall(r"((?:\d+(?:\.\d+)? (?:x|to|/) )*\d+(?:\.\d+)?) mm\b", value):
            yield from (float(n) / 1000 for n in re.findall(r"\d+(?:\.\d+)?", sizes))


def flat(words: str) -> str:
    return " ".join(words.split())


def check_every_writer(telling: Telling, *, known: tuple[float, ...] = ()) -> None:
    """Fail where one writer leaves out a figure that another gives.

    A sentence with a key stands in JSON as a whole. known: constants of a sentence, and figures derived for
    people.
    """
    told = flat(text.text(telling, full=True, width=4000))
    page = html.blocks_html([b for s in telling.sections for b in s.blocks], telling.units)
    page = flat(re.sub(r"<[^>]+>", " ", page))
    data = json.loads(record.as_json(telling))
    numbers = [*numbers_in(data), *known]
    for printed in says_of(telling):
        for q in printed.quantities:
            if q.value is None:
                continue
            words = [flat(in_words(q, telling.units, both)) for both in (True, False)]
            assert any(w in told for w in words), f"the text lacks {words[0]!r} of {printed}"
            assert any(html.escaped(w) in page for w in words), f"the page lacks {words[0]!r} of {printed}"
            values = q.value if isinstance(q.value, tuple) else (q.value,)
            for one in () if printed.key or KINDS[q.kind].text else values:
                if not math.isfinite(one):
                    continue
                value = record.value_of(q.kind, one)
                assert any(math.isclose(abs(value), abs(n), rel_tol=1e-9, abs_tol=1e-12) for n in numbers), (
                    f"JSON lacks {value} of {printed}"
                )
    for section in telling.sections:
        for block in section.blocks:
            if isinstance(block, Table) and block.full:
                check_table(block, telling, told, page, numbers)


def check_table(block: Table, telling: Telling, told: str, page: str, numbers: list[float]) -> None:
    columns = [i for i, c in enumerate(block.columns) if not c.hidden]
    *_, rows = cells_of(block, columns, telling.units, True)
    for row, whole in zip(rows, block.rows):
        for cell in row:
            assert flat(cell) in told, f"the text lacks {cell!r} of {block.title}"
            assert html.escaped(flat(cell)) in page, f"the page lacks {cell!r} of {block.title}"
        for i in columns:
            cell, kind = whole[i], block.columns[i].kind
            if isinstance(cell, Q):
                cell, kind = cell.value, cell.kind
            if cell is None or isinstance(cell, Say) or KINDS[kind].text:
                continue
            for one in cell if isinstance(cell, tuple) else (cell,):
                value = record.value_of(kind, one)
                if value is None:
                    continue
                assert any(math.isclose(abs(value), abs(n), rel_tol=1e-9, abs_tol=1e-12) for n in numbers), (
                    f"JSON lacks {value}, {cell_text(block.columns[i], whole[i], telling.units, False)}, of"
                    f" {block.title}"
                )
