"""Plain tables and paragraphs for people: text in, text out, never wider than the page. No colour, no box
drawing."""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Callable, Sequence

WIDTH = 80
"""Columns of the page."""

GAPS = ("  ", " ")
"""Between columns: two spaces, or one where the page would be too narrow."""


def clean(text: str) -> str:
    """A name or note with nothing in it that a terminal would obey: no control, no direction marks.

    >>> clean("Ella" + chr(27) + "[31m red")
    'Ella?[31m red'
    """
    return "".join("?" if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp") else c for c in text)


_TOGETHER = re.compile(r"(?<=\d) (?=(?:mm|cm|m|m2|kg|g|lb|oz|deg|litres|%)(?![A-Za-z0-9]))|(?<=\d') (?=\d)")


def wrapped(text: str, width: int) -> list[str]:
    """Lines of at most `width`; a number stays with its unit, and a word longer than a line (a path) stays
    whole."""
    lines = textwrap.wrap(
        _TOGETHER.sub("\u00a0", text), width, break_long_words=False, break_on_hyphens=False
    )
    return [line.replace("\u00a0", " ") for line in lines]


def cells_wide(text: str) -> int:
    """Terminal cells a text takes: two for wide East Asian signs, none for combining ones."""
    wide = sum(unicodedata.east_asian_width(c) in "WF" for c in text)
    return len(text) + wide - sum(unicodedata.combining(c) != 0 for c in text)


def columns(
    header: Sequence[str],
    rows: Sequence[Sequence[str]],
    align: str = "",
    indent: str = "",
    width: int = WIDTH,
    notes: Sequence[str] = (),
) -> str:
    """A table with its header underlined; `align` has a letter a column: l, r, or w for left and wrapped to
    what is left.

    At most one column is wrapped. notes: text under each row, over the whole width. A table too wide without
    one is handed back as it is: cut cells would be false.

    >>> print(columns(["item", "kg"], [["hull", "6.10"], ["deck", "12.30"]], "lr"))
    item     kg
    ----  -----
    hull   6.10
    deck  12.30
    """
    cells = [[clean(c) for c in row] for row in ([header] if header else [])] + [
        [clean(c) for c in row] for row in rows
    ]
    if not cells:
        return ""
    align = align or "l" * len(cells[0])
    widths = [max(cells_wide(row[i]) for row in cells) for i in range(len(align))]
    room = width - len(indent)
    if "w" in align:
        gap, at = GAPS[0], align.index("w")
        rest = sum(widths) - widths[at] + len(gap) * (len(widths) - 1)
        widths[at] = max(min(widths[at], room - rest), 8)
    else:
        gap = next((g for g in GAPS if sum(widths) + len(g) * (len(widths) - 1) <= room), GAPS[-1])
    lines: list[str] = []
    for n, row in enumerate(cells):
        lines += [gap.join(texts) for texts in _row(row, widths, align)]
        if header and n == 0:
            lines.append(gap.join("-" * w for w in widths))
        elif notes and notes[n - bool(header)]:
            lines += paragraph(notes[n - bool(header)], "    ", width=room).splitlines()
    return "\n".join((indent + line).rstrip() for line in lines)


def fitting(table: Callable[[bool], str]) -> str:
    """A table made with both kinds of unit, or where that is too wide with the builder's own alone."""
    wide = table(True)
    return wide if max(map(len, wide.splitlines())) <= WIDTH else table(False)


def side_by_side(header: Sequence[str], rows: Sequence[Sequence[str]], width: int = WIDTH) -> str:
    """Figures to the right of their names, a column each; as many columns at a time as the page holds, the
    names again for the rest."""
    for many in range(len(header) - 1, 0, -1):
        spans = [range(at, min(at + many, len(header))) for at in range(1, len(header), many)]
        parts = [
            columns(
                (header[0], *(header[i] for i in span)),
                [(row[0], *(row[i] for i in span)) for row in rows],
                "l" + "r" * len(span),
                width=width,
            )
            for span in spans
        ]
        if many == 1 or all(cells_wide(line) <= width for part in parts for line in part.splitlines()):
            return joined(*parts)
    return ""


def _row(row: Sequence[str], widths: Sequence[int], align: str) -> list[list[str]]:
    """The lines of one row, cell by cell: more than one only where its wrapped column needs them."""
    parts = [wrapped(c, w) or [""] if a == "w" else [c] for c, w, a in zip(row, widths, align)]
    lines = []
    for k in range(max(len(p) for p in parts)):
        texts = [p[k] if k < len(p) else "" for p in parts]
        lines.append([_pad(t, w, a) for t, w, a in zip(texts, widths, align)])
    return lines


def _pad(text: str, width: int, align: str) -> str:
    space = " " * max(width - cells_wide(text), 0)
    return space + text if align == "r" else text + space


def paragraph(text: str, first: str = "", rest: str | None = None, width: int = WIDTH) -> str:
    """Text wrapped to the page, its first line and the rest with their own beginnings; a long word (a
    path) is left whole."""
    rest = first if rest is None else rest
    lines = wrapped(clean(text), width - max(len(first), len(rest)))
    return "\n".join((rest if n else first) + line for n, line in enumerate(lines))


def pairs(items: Sequence[tuple[str, str]], indent: str = "", width: int = WIDTH) -> str:
    """Names and what they are, a line each, the second column aligned and wrapped.

    >>> print(pairs([("draft", "98 mm"), ("least freeboard", "161 mm")]))
    draft            98 mm
    least freeboard  161 mm
    """
    return columns((), [list(i) for i in items], "lw", indent, width)


def joined(*blocks: str) -> str:
    """Blocks of text with an empty line between; empty ones are left out."""
    return "\n\n".join(b for b in blocks if b)
