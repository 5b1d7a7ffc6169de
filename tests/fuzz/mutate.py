"""A boat's folder spoilt in the ways that people, spreadsheets and bad disks spoil one, or by plain chance.

Everything is drawn from one `random.Random`, so that a seed and a number give the same folder again.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from hullview.boat import keys
from hullview.boat.units import SPELLINGS

MODELS = Path(__file__).parents[2] / "models"


@dataclass(frozen=True)
class Folder:
    """The two files of a boat, as bytes."""

    toml: bytes
    table: bytes


def models() -> list[Folder]:
    """Every model that the project ships, by name."""
    found = sorted(p.parent for p in MODELS.glob("*/boat.toml"))
    return [Folder((f / "boat.toml").read_bytes(), (f / "offsets.csv").read_bytes()) for f in found]


# ---------------------------------------------------------------- what is written where it does not belong

NUMBERS = (
    "0",
    "-0",
    "-1",
    "1",
    "2",
    "3",
    "1e3",
    "1e-3",
    "1e308",
    "1e-320",
    "-1e308",
    "1e999",
    "nan",
    "inf",
    "-inf",
    "+nan",
    "NaN",
    "0.0",
    "-0.0",
    "00",
    "007",
    "1.",
    ".5",
    "1,5",
    "1 000",
    "1_000",
    "0x10",
    "0b1",
    "9" * 25,
    "9" * 400,
    "0." + "3" * 80,
    "1/2",
    "1/0",
    "0/0",
    "3/2",
    "12/8",
    "1-1/8",
    "1-3-5",
    "1-3-5+",
    "0-0-0-",
    "1-12-0",
    "1-3-9",
    "-1-3-5",
    "O-O-O",
    "1-O-3",
    "l-3-5",
    "\u00bd",
    "1\u00bd",
    "\u0663",
    "\u00b2",
    "\uff11",
    "1'2\"",
    "''",
    "--",
    "-",
    "+",
    "",
    " ",
    "1-2",
    "1--2",
)
WORDS = (
    "true",
    "false",
    "1979-05-27",
    "07:32:00",
    "1979-05-27T07:32:00Z",
    "9999-99-99",
    '""',
    "''",
    '"x"',
    "[]",
    "{}",
    "[[]]",
    "[{}]",
    "[1, 2]",
    "[1, 2, 3]",
    '["1 m", "0 m", "0 m"]',
    '["1 m", "0 m"]',
    "[[0, 0], [0, 0]]",
    "[[0, 300], [0, 0]]",
    "[[1]]",
    "{a = 1}",
    '"""\n\n"""',
    '"\\u0000"',
    '"\\u001b[2J"',
    '"\\u202e"',
    '"=1+1"',
    '"<script>"',
    '"../boat.toml"',
    '"/etc/passwd"',
    '"a\\\\b"',
    '"offsets.csv/"',
    '"."',
    '""',
    '"boat.toml"',
    '"' + "x" * 5000 + '"',
    "'" + "y" * 61 + "'",
    '"\\ud7ff"',
    '"\U0001f6f6"',
)
SHOP_WORDS = (
    "our cedar",
    "our cloth",
    "outside",
    "inside",
    "decked",
    "open",
    "mm",
    "cm",
    "m",
    "in",
    "ft",
    "ft-in-eighths",
    "none",
    "spray deck",
    "sealed",
    "loose",
    "legs forward",
    "bench",
    "kneeling",
    "standing",
    "fresh",
    "salt",
    "hull",
    "deck",
    "transom",
    "bottom",
    "hull outside",
    "hull inside",
    "deck outside",
    "deck inside",
    "bulkheads",
    "strip",
    "sheet",
    "lapped",
    "square",
    "bead and cove",
    "lamination",
    "solid",
    "fillet",
    "tape",
    "glue line",
    "cord",
    "sheer",
    "keel",
    "bow stem",
    "stern stem",
    "coaming",
    "chine",
    "chine 1",
    "hatch",
    "wood",
    "cloth",
    "resin",
    "coating",
    "western redcedar",
    "epoxy",
    "varnish",
    "okoume plywood",
    "careful",
    "heavy-handed",
)
LINES = (
    "height,sheer,",
    "half-breadth,sheer,",
    "height,keel,",
    "height,rabbet,",
    "half-breadth,rabbet,",
    "half-breadth,chine,",
    "height,chine,",
    "half-breadth,chine 1,",
    "height,chine 2,",
    "half-breadth,waterline,50",
    "height,buttock,100",
    "half-breadth,diagonal,300/45",
    "height,deck,",
    "half-breadth,deck,280",
    "height,deck,100",
    "shape,keel,",
    "shape,deck,",
    "position,,",
    "width,sheer,",
    "height,waterline,50",
)
SHAPES = ("round", "vee", "flat", "smooth", "ridge", "", "-", "sharp")


EXTRAS = (
    '[[hatch]]\ncentre = "2.6 m"\nlength = "200 mm"\nwidth = "160 mm"\ncover = "loose"',
    '[[tank]]\nfrom = "0.2 m"\nto = "0.8 m"\ntop = "150 mm"',
    '[[tank]]\nfrom = "2 m"\nto = "2.6 m"\ninboard = "100 mm"',
    '[[flotation]]\nvolume = "12 l"\nat = ["0.5 m", "0 mm", "100 mm"]',
    '[[flooding]]\nname = "drain"\nat = ["2.5 m", "0 mm", "200 mm"]',
    (
        '[[appendage]]\nname = "skeg"\noutline = [["2.3 m", "0 mm"], ["2.8 m", "0 mm"], ["2.8 m", "-60'
        ' mm"]]\nthickness = "12 mm"\nwood = "white ash"'
    ),
    '[[bulkhead]]\nposition = "0.7 m"\ncloth = "plain glass 6 oz/yd2"\nlayers = 2',
    (
        '[[material]]\nname = "our cedar"\nkind = "wood"\nlength = "1 m"\nwidth = "20 mm"\nthickness = "6'
        ' mm"\nmass = "44 g"'
    ),
    (
        '[[material]]\nname = "our cloth"\nkind = "cloth"\nareal_weight = "165 g/m2"\nlike = "plain glass 6'
        ' oz/yd2"\nprice = 9.5'
    ),
    '[[weighed]]\nstage = "hull shell"\nmass = "6.1 kg"',
    '[[weighed]]\nstage = "hull shell outside"\nmass = "26 kg"\non_forms = true\nforms_mass = "20 kg"',
    '[[weighed]]\nstage = "glassed out"\nmass = "7 kg"\nbuild = "clamped-sheer"',
    '[[schedule.piece]]\nname = "fin"\nis = ["skeg", "other"]\nmass = "0.4 kg"\nat = ["2 m", "0 m", "0 m"]',
    (
        '[[afloat]]\nfreeboards = [{position = "0.5 m", freeboard = "190 mm"}, {position = "2.5 m", freeboard'
        ' = "170 mm"}]'
    ),
    '[[afloat]]\ninclining = [{mass = "5 kg", distance = "200 mm", heel = "3 deg"}]',
    '[limits]\nfreeboard = "6 in"\nflooding_heel = "25 deg"\nlean = "40 mm"',
    '[[load.paddler]]\nmass = "25 kg"\nseat_back = "2.3 m"\nside = "50 mm"',
    '[[load.gear]]\nmass = "4 kg"\nat = ["1 m", "0.1 m"]',
)
"""What the models have little of."""


def _key_names() -> tuple[str, ...]:
    sheets = [
        *keys.LISTS.values(),
        *keys.TABLES.values(),
        *keys.SCHEDULE.values(),
        keys.HULL,
        keys.END,
        keys.PADDLER,
        keys.GEAR,
    ]
    return tuple(dict.fromkeys([*keys.TOP, *(name for sheet in sheets for name in sheet.names)]))


KEYS = _key_names()
UNITS = tuple(SPELLINGS)
_NUMBER = re.compile(rb"-?[0-9]+(?:\.[0-9]+)?")
_QUOTED = re.compile(rb'"[^"\n]*"')
_WORD = re.compile(rb"[A-Za-z_][A-Za-z_-]*")
_KEY_LINE = re.compile(rb"(?m)^([A-Za-z_]+ *= *)(.*)$")

Change = Callable[[random.Random, bytes], bytes]


def _splice(text: bytes, start: int, end: int, new: bytes) -> bytes:
    return text[:start] + new + text[end:]


def _one(rng: random.Random, pattern: re.Pattern[bytes], text: bytes) -> re.Match[bytes] | None:
    found = list(pattern.finditer(text))
    return rng.choice(found) if found else None


# ---------------------------------------------------------------- bytes and encodings


def flip_bit(rng: random.Random, text: bytes) -> bytes:
    if not text:
        return text
    i = rng.randrange(len(text))
    return _splice(text, i, i + 1, bytes([text[i] ^ (1 << rng.randrange(8))]))


def put_bytes(rng: random.Random, text: bytes) -> bytes:
    i = rng.randrange(len(text) + 1)
    odd = rng.choice(
        (
            b"\0",
            b"\xff",
            b"\xc3",
            b"\xed\xa0\x80",
            b"\xf4\x90\x80\x80",
            b"\x1b",
            b"\r",
            b"\n",
            b"\x85",
            b'"',
            b"'",
            b"]",
            b"#",
        )
    )
    return _splice(text, i, i, odd if rng.random() < 0.7 else rng.randbytes(rng.randrange(1, 9)))


def cut_out(rng: random.Random, text: bytes) -> bytes:
    i = rng.randrange(len(text) + 1)
    return _splice(text, i, min(len(text), i + rng.choice((1, 2, 5, 30, 200))), b"")


def say_twice(rng: random.Random, text: bytes) -> bytes:
    i = rng.randrange(len(text) + 1)
    return _splice(text, i, i, text[i : i + rng.choice((1, 3, 20, 100, 600))])


def truncate(rng: random.Random, text: bytes) -> bytes:
    return text[: rng.randrange(len(text) + 1)]


def recode(rng: random.Random, text: bytes) -> bytes:
    words = text.decode("utf-8", "replace")
    how = rng.choice(
        ("utf-16", "utf-16-be", "utf-32", "cp1252", "utf-8-sig", "crlf", "cr", "bom twice", "nel")
    )
    if how == "crlf":
        return text.replace(b"\n", b"\r\n")
    if how == "cr":
        return text.replace(b"\n", b"\r")
    if how == "nel":
        return text.replace(b"\n", "\u2028".encode())
    if how == "bom twice":
        return b"\xef\xbb\xbf" * 2 + text
    return words.encode(how, "replace")


def empty(rng: random.Random, text: bytes) -> bytes:
    return rng.choice(
        (
            b"",
            b" ",
            b"\n" * 100,
            b"#",
            b"\0" * 1000,
            b"a" * 100_000,
            b"[" * 5000,
            b"a=" + b"[" * 3000,
            b"x.y" * 2000,
        )
    )


# ---------------------------------------------------------------- words and numbers


def odd_number(rng: random.Random, text: bytes) -> bytes:
    m = _one(rng, _NUMBER, text)
    return _splice(text, *m.span(), rng.choice(NUMBERS).encode()) if m else text


def near_number(rng: random.Random, text: bytes) -> bytes:
    """A slip: a digit more or less, two changed round, a factor, a small step."""
    m = _one(rng, _NUMBER, text)
    if not m:
        return text
    digits = m.group().decode()
    value = float(digits)
    i = rng.randrange(len(digits))
    new = rng.choice(
        (
            f"{value + rng.choice((-50, -10, -3, -1, 1, 3, 10, 50)):g}",
            f"{value * rng.choice((0.1, 0.5, 0.9, 1.1, 2, 10, 25.4, -1)):g}",
            digits[:i] + digits[i + 1 :],
            digits[:i] + rng.choice("0123456789") + digits[i:],
            digits[::-1],
            f"{value:.1f}",
        )
    )
    return _splice(text, *m.span(), new.encode())


def other_unit(rng: random.Random, text: bytes) -> bytes:
    m = _one(rng, re.compile(rb'"(-?[0-9][^"\n]*?) ?([A-Za-z/0-9]+)"'), text)
    return _splice(text, *m.span(2), rng.choice(UNITS).replace('"', '\\"').encode()) if m else text


def other_word(rng: random.Random, text: bytes) -> bytes:
    m = _one(rng, _QUOTED, text)
    return _splice(text, *m.span(), b'"' + rng.choice(SHOP_WORDS).encode() + b'"') if m else text


def other_value(rng: random.Random, text: bytes) -> bytes:
    m = _one(rng, _KEY_LINE, text)
    return _splice(text, *m.span(2), rng.choice(WORDS + NUMBERS).encode()) if m else text


def misspell(rng: random.Random, text: bytes) -> bytes:
    m = _one(rng, _WORD, text)
    if not m:
        return text
    word = bytearray(m.group())
    i = rng.randrange(len(word))
    word[i : i + 1] = rng.choice((b"", b"q", bytes([word[i]]) * 2, b"_", b"-", bytes([word[i]]).swapcase()))
    return _splice(text, *m.span(), bytes(word))


def add_key(rng: random.Random, text: bytes) -> bytes:
    lines = text.split(b"\n")
    value = rng.choice(WORDS + NUMBERS) if rng.random() < 0.6 else f'"{rng.choice(SHOP_WORDS + NUMBERS)}"'
    lines.insert(rng.randrange(len(lines) + 1), f"{rng.choice(KEYS)} = {value}".encode())
    return b"\n".join(lines)


def sensible_key(rng: random.Random, text: bytes) -> bytes:
    """A key where it may well belong, with a quantity that may well be its own."""
    lines = text.split(b"\n")
    number = rng.choice(("0", "1", "3", "12", "25", "250", "1.5", "-4", "3/4"))
    value = f'"{number} {rng.choice(("mm", "m", "in", "kg", "kg/m3", "deg", "l", "g/m2", "lb"))}"'
    lines.insert(rng.randrange(len(lines) + 1), f"{rng.choice(KEYS)} = {value}".encode())
    return b"\n".join(lines)


# ---------------------------------------------------------------- structure


def lose_line(rng: random.Random, text: bytes) -> bytes:
    lines = text.split(b"\n")
    del lines[rng.randrange(len(lines))]
    return b"\n".join(lines)


def move_line(rng: random.Random, text: bytes) -> bytes:
    lines = text.split(b"\n")
    line = lines[rng.randrange(len(lines))] if rng.random() < 0.3 else lines.pop(rng.randrange(len(lines)))
    lines.insert(rng.randrange(len(lines) + 1), line)
    return b"\n".join(lines)


def _blocks(text: bytes) -> list[bytes]:
    return re.split(rb"(?m)^(?=\[)", text)


def lose_block(rng: random.Random, text: bytes) -> bytes:
    blocks = _blocks(text)
    del blocks[rng.randrange(len(blocks))]
    return b"".join(blocks)


def move_block(rng: random.Random, text: bytes) -> bytes:
    blocks = _blocks(text)
    block = (
        blocks[rng.randrange(len(blocks))] if rng.random() < 0.5 else blocks.pop(rng.randrange(len(blocks)))
    )
    at = rng.randrange(len(blocks) + 1)
    blocks[at:at] = [block] * (rng.choice((1, 1, 1, 2, 40)))
    return b"\n".join(blocks)


def other_header(rng: random.Random, text: bytes) -> bytes:
    m = _one(rng, re.compile(rb"(?m)^\[+([A-Za-z_.-]+)\]+"), text)
    if not m:
        return text
    name = rng.choice(
        (
            m[1].decode(),
            rng.choice(KEYS),
            "schedule." + rng.choice(KEYS),
            "load.paddler",
            "builds.x.run",
            "hull.bow",
            "a.b.c",
            '""',
        )
    )
    return _splice(text, *m.span(), (f"[[{name}]]" if rng.random() < 0.5 else f"[{name}]").encode())


# ---------------------------------------------------------------- the table


def _cells(text: bytes) -> list[list[bytes]]:
    return [line.split(b",") for line in text.rstrip(b"\n").split(b"\n")]


def _written(rows: list[list[bytes]]) -> bytes:
    return b"\n".join(b",".join(r) for r in rows) + b"\n"


def odd_cell(rng: random.Random, text: bytes) -> bytes:
    rows = _cells(text)
    row = rng.choice(rows)
    row[rng.randrange(len(row))] = rng.choice(NUMBERS + SHAPES + ('"', '"a', "=1+1", "a;b", "\t")).encode()
    return _written(rows)


def near_cell(rng: random.Random, text: bytes) -> bytes:
    """One offset a little or a lot out; in fair boats this is what gets as far as the water."""
    rows = _cells(text)
    row = rng.choice(rows[1:] or rows)
    places = [i for i in range(3, len(row)) if _NUMBER.fullmatch(row[i])]
    if places:
        i = rng.choice(places)
        value = float(row[i]) + rng.choice((-300, -60, -20, -6, -2, 2, 6, 20, 60, 300))
        row[i] = f"{value if rng.random() < 0.3 else max(value, 0):g}".encode()
    return _written(rows)


def small_slip(rng: random.Random, text: bytes) -> bytes:
    """A few offsets a little out: it is another boat, or a lumpy one."""
    rows = _cells(text)
    for _ in range(rng.choice((1, 2, 5, 20))):
        row = rng.choice(rows[1:] or rows)
        places = [i for i in range(3, len(row)) if _NUMBER.fullmatch(row[i])]
        if places:
            i = rng.choice(places)
            row[i] = f"{max(float(row[i]) + rng.choice((-12, -5, -2, -1, 1, 2, 5, 12)), 0):g}".encode()
    return _written(rows)


def stretched(rng: random.Random, text: bytes) -> bytes:
    """Longer, wider or deeper by a third at most."""
    k, what = rng.uniform(0.75, 1.33), rng.choice((b"position", b"height", b"half-breadth"))
    rows = _cells(text)
    for row in rows[1:]:
        for i in range(2 if row[1] != b"buttock" else 3, len(row)):
            if row[0] == what and _NUMBER.fullmatch(row[i]):
                row[i] = f"{float(row[i]) * k:.1f}".encode()
    return _written(rows)


def scale_row(rng: random.Random, text: bytes) -> bytes:
    rows = _cells(text)
    row = rng.choice(rows[1:] or rows)
    k, step = rng.choice((0.0, 0.5, 0.8, 0.95, 1.05, 1.25, 2.0, -1.0)), rng.choice((0, 0, 5, -5, 40))
    for i in range(3, len(row)):
        if _NUMBER.fullmatch(row[i]):
            row[i] = f"{float(row[i]) * k + step:g}".encode()
    return _written(rows)


def scale_table(rng: random.Random, text: bytes) -> bytes:
    k = rng.choice((0.001, 0.1, 0.5, 0.8, 1.2, 2.0, 10.0, 1000.0))
    what = rng.choice((b"position", b"height", b"half-breadth", b""))
    rows = _cells(text)
    for row in rows[1:]:
        for i in range(2, len(row)):
            if row[0].startswith(what) and _NUMBER.fullmatch(row[i]):
                row[i] = f"{float(row[i]) * k:g}".encode()
    return _written(rows)


def lose_cell(rng: random.Random, text: bytes) -> bytes:
    rows = _cells(text)
    row = rng.choice(rows)
    i = rng.randrange(len(row))
    if rng.random() < 0.8:
        row[i] = rng.choice((b"", b"-"))
    else:
        del row[i]
    return _written(rows)


def change_rows(rng: random.Random, text: bytes) -> bytes:
    rows = _cells(text)
    i, j = rng.randrange(len(rows)), rng.randrange(len(rows))
    how = rng.randrange(5)
    if how == 0:
        del rows[i]
    elif how == 1:
        rows.insert(j, list(rows[i]))
    elif how == 2:
        rows[i], rows[j] = rows[j], rows[i]
    elif how == 3:
        rows[i][3:] = rows[j][3:]
    else:
        rows.insert(
            i,
            rng.choice(LINES).encode().split(b",")
            + [rng.choice((b"", b"100", rng.choice(SHAPES).encode())) for _ in rows[j][3:]],
        )
    return _written(rows)


def change_columns(rng: random.Random, text: bytes) -> bytes:
    rows = _cells(text)
    width = min(len(r) for r in rows)
    if width < 5:
        return text
    i, j = rng.randrange(3, width), rng.randrange(3, width)
    how = rng.randrange(6)
    if how == 5:
        return _written([list(r) for r in zip(*rows)])
    for row in rows:
        if how == 0:
            del row[i]
        elif how == 1:
            row.insert(j, row[i])
        elif how == 2:
            row[i], row[j] = row[j], row[i]
        elif how == 3:
            row[3:] = row[:2:-1]
        else:
            del row[3 + max(3, i - 3) :]
    return _written(rows)


def other_separator(rng: random.Random, text: bytes) -> bytes:
    return text.replace(b",", rng.choice((b";", b"\t", b", ", b",,", b"|", b" ")), rng.choice((-1, -1, 5)))


BYTES: tuple[Change, ...] = (flip_bit, put_bytes, cut_out, say_twice, truncate, recode, empty)
TOML: tuple[Change, ...] = (
    odd_number,
    near_number,
    near_number,
    other_unit,
    other_word,
    other_value,
    misspell,
    add_key,
    sensible_key,
    lose_line,
    move_line,
    lose_block,
    move_block,
    other_header,
)
TABLE: tuple[Change, ...] = (
    odd_cell,
    near_cell,
    near_cell,
    odd_number,
    scale_row,
    scale_table,
    lose_cell,
    change_rows,
    change_columns,
    other_separator,
    misspell,
)
MILD_TOML: tuple[Change, ...] = (
    near_number,
    near_number,
    near_number,
    other_unit,
    other_word,
    lose_block,
    move_block,
    sensible_key,
)
MILD_TABLE: tuple[Change, ...] = (
    small_slip,
    small_slip,
    small_slip,
    stretched,
    stretched,
    near_cell,
    near_cell,
    scale_row,
    scale_table,
    lose_cell,
    change_rows,
    change_columns,
)


def spoilt(rng: random.Random, originals: list[Folder], mild: bool = False) -> Folder:
    """One model with one to four changes; mild ones are those after which it may still be a boat."""
    folder = rng.choice(originals)
    toml, table = folder.toml, folder.table
    if rng.random() < (0.03 if mild else 0.05):
        table = rng.choice(originals).table
    fitting = [e for e in EXTRAS if not (mild and b'"open"' in toml and e.startswith("[[hatch"))]
    for extra in rng.sample(fitting, rng.choice((0, 0, 0, 0, 1, 1, 2, 4))):
        toml += b"\n" + extra.encode() + b"\n"
    for _ in range(rng.choice((1, 1, 1, 2, 2, 3) if mild else (1, 1, 1, 2, 3, 4))):
        on_table = rng.random() < (0.6 if mild else 0.45)
        if mild:
            change = rng.choice(MILD_TABLE if on_table else MILD_TOML)
        else:
            change = rng.choice(BYTES) if rng.random() < 0.25 else rng.choice(TABLE if on_table else TOML)
        if on_table:
            table = change(rng, table)
        else:
            toml = change(rng, toml)
    return Folder(toml, table)
