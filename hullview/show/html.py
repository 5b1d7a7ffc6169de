"""A telling as fragments of HTML: paragraphs, lists of figures, tables. Templates put them in order; every
word is escaped here."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from hullview.kinds import KINDS
from hullview.show.text import cells_of
from hullview.show.units import in_words
from hullview.tell.model import Block, Curves, Data, Facts, Line, Q, Section, Table, Units

WIDE = 7
"""A table of more columns is set in smaller type on paper."""
WHOLE = 20
"""A table of at most so many rows is kept on one page of paper."""
MARKED = ("pass", "warn", "fail", "carries", "marginal", "does not carry")

_SUPERSCRIPT = re.compile(r"\b(m|ft|yd)([23])\b")
_DEGREES = re.compile(r"(?<=\d) deg\b")


@dataclass(frozen=True)
class Image:
    """A picture in the page.

    Parameters
    ----------
    source
        Its bytes as a data address.
    title, alt, caption
        Its name, what it shows in words, and a line under it.
    width, height
        Its size in pixels; None for a drawing that scales.
    """

    source: str
    title: str
    alt: str
    caption: str = ""
    width: int | None = None
    height: int | None = None


def figure_html(image: Image) -> str:
    """A picture with its words, kept on one page of paper."""
    size = f' width="{image.width}" height="{image.height}"' if image.width else ""
    caption = f"<figcaption>{escaped(image.caption)}</figcaption>" if image.caption else ""
    picture = f'<img src="{image.source}" alt="{escaped(image.alt)}"{size}>'
    if not image.width:
        label = escaped(image.title)
        picture = f'<div class="scroll chart" role="group" tabindex="0" aria-label="{label}">{picture}</div>'
    return f'<figure class="keep">{picture}{caption}</figure>'


def section_html(section: Section, units: Units) -> str:
    """All blocks of a section, its title left to the template."""
    return blocks_html(section.blocks, units, section.title)


def blocks_html(blocks: Iterable[Block], units: Units, label: str = "") -> str:
    """Blocks in their order; label: what a table without a title is about, for who cannot see it."""
    return "\n".join(_BLOCK[type(b)](b, units, label) for b in blocks if not isinstance(b, Data) and b.full)


def escaped(words: str) -> str:
    """Text fit for a page: signs of HTML escaped, control signs out, units set as a printer would (m²,
    3°)."""
    from html import escape

    clean = "".join(c if c.isprintable() else " " for c in words)
    return _DEGREES.sub("°", _SUPERSCRIPT.sub(lambda m: m[1] + "²³"[int(m[2]) - 2], escape(clean)))


def _line(block: Line, units: Units, label: str) -> str:
    words = escaped(in_words(block.words, units))
    style = f' class="{block.mark}"' if block.mark else ""
    return f"<p{style}>{f'<strong>{words}</strong>' if block.strong else words}</p>" if words else ""


def _facts(block: Facts, units: Units, label: str) -> str:
    rows = "".join(
        "<tr><th"
        f' scope="row">{escaped(in_words(name, units))}</th><td>{escaped(in_words(value, units))}</td></tr>'
        for name, value in block.rows
    )
    if not rows:
        return ""
    table = f"<table>{_caption(block.title, label)}<tbody>{rows}</tbody></table>"
    return _scroll(table, escaped(block.title or label or "figures"), True)


def _table(block: Table, units: Units, label: str) -> str:
    columns = [i for i, c in enumerate(block.columns) if not c.hidden]
    foot = "".join(f'<p class="note">{escaped(in_words(words, units))}</p>' for words in block.foot)
    if not block.rows or not columns:
        return foot
    titles, shared, rows = cells_of(block, columns, units, True)
    header = [f"{title}, {unit}" if unit else title for title, unit in zip(titles, shared)]
    kinds = [
        "l" if KINDS[block.columns[i].kind].text and not isinstance(block.rows[0][i], Q) else "r"
        for i in columns
    ]
    marked = next((k for k, i in enumerate(columns) if block.columns[i].key == block.marked), 0)
    head = "".join(
        f'<th scope="col" class="{a}">{escaped(h)}</th>' if h else "<td></td>" for h, a in zip(header, kinds)
    )
    body = []
    for n, row in enumerate(rows):
        mark = block.marks[n] if block.marks else ""
        cells = "".join(
            (
                f'<th scope="row" class="{a}{_mark(mark, k == marked)}">{escaped(cell)}</th>'
                if k == 0
                else f'<td class="{a}{_mark(mark, k == marked)}">{escaped(cell)}</td>'
            )
            for k, (cell, a) in enumerate(zip(row, kinds))
        )
        total = ' class="total"' if block.total and n == len(rows) - 1 else ""
        body.append(f"<tr{total}>{cells}</tr>")
        if block.notes and block.notes[n]:
            note = escaped(in_words(block.notes[n], units))
            body.append(f'<tr class="beside"><td colspan="{len(columns)}" class="note">{note}</td></tr>')
    caption = escaped(in_words(block.title, units))
    wide = ' class="wide"' if len(columns) > WIDE else ""
    table = (
        f"<table{wide}>{_caption(in_words(block.title, units), label)}"
        + (f"<thead><tr>{head}</tr></thead>" if any(header) else "")
        + f"<tbody>{''.join(body)}</tbody></table>"
    )
    return _scroll(table, caption or escaped(label or "figures"), len(rows) <= WHOLE) + foot


def _caption(title: str, label: str) -> str:
    """The title of a table; one without is named for who cannot see it."""
    if title:
        return f"<caption>{escaped(title)}</caption>"
    return f'<caption class="unseen">{escaped(label or "figures")}</caption>'


def _mark(mark: str, here: bool) -> str:
    return f" {mark}" if mark and here else ""


def _scroll(table: str, label: str, whole: bool) -> str:
    return (
        f'<div class="scroll{" whole" if whole else ""}" role="group" tabindex="0"'
        f' aria-label="{label}">{table}</div>'
    )


def _nothing(block: Block, units: Units, label: str) -> str:
    return ""  # the page draws its own


_BLOCK: dict[type, Any] = {Line: _line, Facts: _facts, Table: _table, Curves: _nothing}
