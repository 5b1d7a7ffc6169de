"""A telling as text for people: at most 80 columns, plain where it is piped, with colour and weight on a
terminal.

Lines are lists of spans (words, style); style is a mark ("pass", "warn", "fail"), "strong", "head" or "".
`plain` joins them, `on_terminal` hands them to rich.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any

from hullview.kinds import KINDS
from hullview.show.tables import WIDTH, cells_wide, clean, wrapped
from hullview.show.units import in_words, shown
from hullview.tell.model import Block, Column, Curves, Data, Facts, Line, Q, Say, Table, Telling, Units

Span = tuple[str, str]
Spans = list[Span]

STYLES = {
    "pass": "green",
    "warn": "bold yellow",
    "fail": "bold red",
    "strong": "bold",
    "head": "bold",
    "": "",
}
"""How rich draws a mark; the word stands beside the colour, so that nothing is said by colour alone."""
GAPS = ("  ", " ")
"""Between columns: two spaces, or one where the page would be too narrow."""
SCREEN = 23
"""Lines of a terminal's screen, less one for the prompt: a short text is closed up to them."""
LEAST = 12
"""A wrapped column is not squeezed under this."""


def text(telling: Telling, *, full: bool = True, width: int = WIDTH) -> str:
    """The telling as plain text; full=False leaves out what stands in the full text alone."""
    return plain(lines(telling, full=full, width=width))


def plain(spans: Iterable[Spans]) -> str:
    """Lines without their styles."""
    return "\n".join("".join(words for words, _ in line).rstrip() for line in spans)


def on_terminal(spans: Sequence[Spans]) -> str:
    """Lines with the codes for colour and weight that this terminal understands; rich is loaded here
    alone."""
    import io

    from rich.console import Console
    from rich.text import Text

    console = Console(file=io.StringIO(), force_terminal=True, highlight=False, soft_wrap=True)
    with console.capture() as caught:
        for line in spans:
            console.print(Text.assemble(*((words, STYLES[style]) for words, style in line)), soft_wrap=True)
    return caught.get()


def lines(telling: Telling, *, full: bool = True, width: int = WIDTH) -> list[Spans]:
    """Every line of the telling, an empty one between blocks that are no paragraphs of one kind."""
    found: list[Spans] = []
    last: Block | None = None
    for section in telling.sections:
        for k, block in enumerate(section.blocks):
            if isinstance(block, Data) or not (block.full if full else block.short):
                continue
            made = _BLOCK[type(block)](block, telling.units, width)
            if not made:
                continue
            together = isinstance(block, Line) and isinstance(last, Line) and not block.apart and k > 0
            if found and not together:
                found.append([])
            found += made
            last = block
    return found if full else closed_up(found)


def closed_up(found: list[Spans], most: int = SCREEN) -> list[Spans]:
    """The same without as many of its empty lines, the last first, as it takes to come down to one screen."""
    for k in reversed([i for i, line in enumerate(found) if not line]):
        if len(found) <= most:
            break
        found = found[:k] + found[k + 1 :]
    return found


def _line(block: Line, units: Units, width: int) -> list[Spans]:
    style = block.mark or ("strong" if block.strong else "")
    indent = "  " if block.hang else ""
    return [[(words, style)] for words in paragraph(in_words(block.words, units), "", indent, width)]


def paragraph(words: str, first: str = "", rest: str = "", width: int = WIDTH) -> list[str]:
    """Words wrapped to the page; a word longer than a line (a path) is left whole."""
    made = wrapped(clean(words.replace("\n", " ")), width - max(len(first), len(rest)))
    return [(rest if n else first) + line for n, line in enumerate(made)]


def _facts(block: Facts, units: Units, width: int) -> list[Spans]:
    rows = [(clean(in_words(name, units)), in_words(value, units)) for name, value in block.rows]
    if not rows:
        return []
    wide = max(cells_wide(name) for name, _ in rows) + 2
    title: list[Spans] = [[(block.title, "head")]] if block.title else []
    made = [
        [(_pad(name if n == 0 else "", wide), ""), (part, "")]
        for name, value in rows
        for n, part in enumerate(wrapped(clean(value.replace("\n", " ")), max(width - wide, LEAST)) or [""])
    ]
    return title + made


def _table(block: Table, units: Units, width: int) -> list[Spans]:
    """The table with both kinds of unit, or where that is too wide with the builder's own alone; notes and
    foot below it."""
    shown_columns = [i for i, c in enumerate(block.columns) if not c.hidden]
    if not block.rows or not shown_columns:
        return [
            [(words, "")] for foot in block.foot for words in paragraph(in_words(foot, units), width=width)
        ]
    made: list[Spans] = []
    for both in (True, False):
        made = _laid(block, shown_columns, units, both, width)
        if _widest(made) <= width:
            break
    else:
        if block.sideways and len(shown_columns) > 2:
            made = _broken(block, shown_columns, units, width)
    title = in_words(block.title, units)
    head: list[Spans] = [[(words, "head")] for words in paragraph(title, width=width)] if title else []
    foot: list[Spans] = [
        [(words, "")]
        for sentences in block.foot
        for words in paragraph(in_words(sentences, units), width=width)
    ]
    return head + made + foot


def _widest(made: Sequence[Spans]) -> int:
    return max((cells_wide("".join(words for words, _ in line).rstrip()) for line in made), default=0)


def _broken(block: Table, columns: Sequence[int], units: Units, width: int) -> list[Spans]:
    """As many columns at a time as the page holds, the names again for the rest."""
    first, rest = columns[0], list(columns[1:])
    for many in range(len(rest) - 1, 0, -1):
        parts = [
            _laid(block, [first, *rest[at : at + many]], units, False, width)
            for at in range(0, len(rest), many)
        ]
        if many == 1 or all(_widest(part) <= width for part in parts):
            made: list[Spans] = []
            for part in parts:
                made += ([[]] if made else []) + part
            return made
    return _laid(block, columns, units, False, width)


def _laid(block: Table, columns: Sequence[int], units: Units, both: bool, width: int) -> list[Spans]:
    """Header, rule and rows, padded; a mark colours its cell."""
    header, shared, rows = cells_of(block, columns, units, both)
    align = ["l" if KINDS[block.columns[i].kind].text and not _right(block, i) else "r" for i in columns]
    widths = [max(cells_wide(row[k]) for row in [header, shared, *rows]) for k in range(len(columns))]
    wrap = next((k for k, i in enumerate(columns) if block.columns[i].wrap), None)
    gap = next((g for g in GAPS if sum(widths) + len(g) * (len(widths) - 1) <= width), GAPS[-1])
    if wrap is not None:
        rest = sum(widths) - widths[wrap] + len(gap) * (len(widths) - 1)
        widths[wrap] = max(min(widths[wrap], width - rest), LEAST)
    made: list[Spans] = []
    if any(header):
        for texts in (*_split(header, widths, wrap), *([shared] if any(shared) else [])):
            made.append(_joined([_pad(t, w, a) for t, w, a in zip(texts, widths, align)], gap, "head"))
        made.append([(gap.join("-" * w for w in widths), "")])
    marked = next((k for k, i in enumerate(columns) if block.columns[i].key == block.marked), 0)
    for n, row in enumerate(rows):
        mark = block.marks[n] if block.marks else "strong" if block.total and n == len(rows) - 1 else ""
        for texts in _split(row, widths, wrap):
            made.append(_joined([_pad(t, w, a) for t, w, a in zip(texts, widths, align)], gap, mark, marked))
        if block.notes and block.notes[n]:
            made += [[(t, "")] for t in paragraph(in_words(block.notes[n], units), "    ", "    ", width)]
    return made


def _right(block: Table, i: int) -> bool:
    """Whether a column of words holds quantities in most of its cells: those stand to the right."""
    cells = [row[i] for row in block.rows if row[i] not in (None, "")]
    return bool(cells) and i > 0 and sum(isinstance(c, Q) for c in cells) * 2 > len(cells)


def _split(row: Sequence[str], widths: Sequence[int], wrap: int | None) -> list[list[str]]:
    """The lines of one row: more than one only where its wrapped column needs them."""
    if wrap is None:
        return [list(row)]
    parts = wrapped(row[wrap], widths[wrap]) or [""]
    return [
        [(part if k == wrap else cell if n == 0 else "") for k, cell in enumerate(row)]
        for n, part in enumerate(parts)
    ]


def _joined(cells: Sequence[str], gap: str, style: str, only: int | None = None) -> Spans:
    """Cells of one line with their style: all of them, or one alone where a mark colours it."""
    spans: Spans = []
    for k, cell in enumerate(cells):
        spans.append((cell, style if only is None or k == only or style == "strong" else ""))
        if k < len(cells) - 1:
            spans.append((gap, ""))
    return spans


def _pad(words: str, width: int, align: str = "l") -> str:
    space = " " * max(width - cells_wide(words), 0)
    return space + words if align == "r" else words + space


PLOT_ROWS, PLOT_WIDE = 13, 62


def _curves(block: Curves, units: Units, width: int) -> list[Spans]:
    """One mark a curve in characters, dots past flooding, the line of nought."""
    low = min(0.0, *(min(y) for y in block.y))
    high = max(0.001, *(max(y) for y in block.y))
    step, span = (high - low) / (PLOT_ROWS - 1), block.x[-1] - block.x[0] or 1.0
    field = [[" "] * PLOT_WIDE for _ in range(PLOT_ROWS)]
    field[round(high / step)] = ["-"] * PLOT_WIDE
    for k, (y, dots) in reversed(list(enumerate(zip(block.y, block.dots_from)))):
        for column in range(PLOT_WIDE):
            x = block.x[0] + span * column / (PLOT_WIDE - 1)
            wet = dots is not None and abs(x) > dots
            field[round((high - _between(block.x, y, x)) / step)][column] = "." if wet else Curves.MARKS[k]
    scale = [shown(block.kind, high - i * step, units) for i in range(PLOT_ROWS)]
    wide = max(map(len, scale))
    made: list[Spans] = [[(f"{at:>{wide}} |" + "".join(row).rstrip(), "")] for at, row in zip(scale, field)]
    foot = [" "] * (PLOT_WIDE + 4)
    for i in range(5):
        words, at = f"{block.x[0] + span * i / 4:.0f}", round((PLOT_WIDE - 1) * i / 4)
        start = max(at - len(words) // 2, 0)
        foot[start : start + len(words)] = words
    key = "   ".join(f"{Curves.MARKS[k]} {name}" for k, name in enumerate(block.names))
    if any(d is not None for d in block.dots_from):
        key += "   . past the heel where water comes in"
    edge = " " * (wide + 2)
    return [
        *made,
        [(edge + "".join(foot).rstrip() + "  deg", "")],
        *([(line, "")] for line in paragraph(key, edge, edge, width)),
    ]


def _between(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """Straight between two points; xs may run down."""
    for (a, b), (p, q) in zip(pairwise(xs), pairwise(ys)):
        if min(a, b) <= x <= max(a, b):
            return p + (q - p) * (x - a) / (b - a)
    return ys[-1]


# ---------------------------------------------------------------- cells, for every writer that shows a table
# to people


def cells_of(
    block: Table, columns: Sequence[int], units: Units, both: bool
) -> tuple[list[str], list[str], list[list[str]]]:
    """Titles, units and rows of a table in words; a unit that a whole column shares is taken out of its
    cells.

    Parameters
    ----------
    block : Table
    columns : sequence of int
        Which of its columns, in order.
    units : {"metric", "imperial"}
    both : bool
        Whether the other kind of unit stands beside, in columns that ask for it.
    """
    header = [clean(in_words(block.columns[i].title, units)) for i in columns]
    shared = [""] * len(header)
    rows = [[clean(cell_text(block.columns[i], row[i], units, both)) for i in columns] for row in block.rows]
    for k, i in enumerate(columns):
        column = block.columns[i]
        if KINDS[column.kind].text or (both and column.both) or len(rows) < 2:
            continue
        unit = _shared_unit([row[k] for row, whole in zip(rows, block.rows) if whole[i] is not None])
        if unit and header[k]:
            shared[k] = unit
            for row in rows:
                row[k] = row[k].removesuffix(f" {unit}")
    return header, shared, rows


_HOISTED = frozenset(
    [
        "mm",
        "in",
        "m",
        "kg",
        "g",
        "lb",
        "oz",
        "m2",
        "ft2",
        "litres",
        "ft3",
        "kg/m3",
        "lb/ft3",
        "g/m2",
        "oz/yd2",
        "kg/cm",
        "lb/in",
        "Nm",
        "lb-ft",
        "J",
        "ft-lb",
        "deg",
        "%",
        "ml",
        "MPa",
        "psi",
        "h",
        "min",
        "C",
        "F",
        "ft",
    ]
)


def _shared_unit(cells: Sequence[str]) -> str:
    """The unit that ends every cell, if there is one."""
    units = {cell.rpartition(" ")[2] if cell.count(" ") == 1 else "" for cell in cells}
    unit = units.pop() if len(units) == 1 else ""
    return unit if unit in _HOISTED else ""


def cell_text(column: Column, value: Any, units: Units, both: bool) -> str:
    """One cell in words."""
    if isinstance(value, Q):
        return shown(value.kind, value.value, units, both and column.both and value.both) + (
            f" {value.note}" if value.note else ""
        )
    if isinstance(value, Say):
        return in_words(value, units, both and column.both)
    if value is None and KINDS[column.kind].text:
        return ""
    return shown(column.kind, value, units, both and column.both)


_BLOCK: dict[type, Any] = {Line: _line, Facts: _facts, Table: _table, Curves: _curves}
