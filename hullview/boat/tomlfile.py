"""boat.toml as a file: found, read up to a size, parsed, with the line of each key; and what the commonest
slips would be."""

from __future__ import annotations

import os
import re
import tomllib
from pathlib import Path as FilePath
from typing import Any

from hullview.boat.files import Unreadable, inside, read_limited
from hullview.boat.ledger import Ledger, shown
from hullview.boat.where import lines_of
from hullview.errors import BoatFileError, Mistake

Document = dict[str, Any]

MOST_PARTS = 16
"""Parts of a dotted key; no key of a boat file has more than four, and a parser takes time that grows with
their square."""
_TOKEN = re.compile(
    r"""(?P<key>(?:(?:[A-Za-z0-9_-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+)"""
    f"{{{MOST_PARTS}}})"
    r"""|"{3}(?:[^"\\]|\\.|"(?!""))*+"{3,5}|'{3}(?:[^']|'(?!''))*+'{3,5}|(?P<open>"{3}|'{3})"""
    r"""|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+'|\#[^\n]*+|[A-Za-z0-9_-]++|[^"'\#A-Za-z0-9_-]++""",
    re.DOTALL,
)
"""A key of too many parts, a text, a comment, a word, or what stands between them; "open": a text of
several lines that never ends."""


def find(path: str | os.PathLike[str]) -> tuple[FilePath, str]:
    """The folder and the name of the file in it."""
    given = FilePath(path)
    text = "".join(c if c.isprintable() else "?" for c in str(path))  # whole: a path is there to be copied
    try:
        if given.is_dir():
            if not (given / "boat.toml").exists():
                raise BoatFileError(
                    [
                        Mistake(
                            text,
                            "boat.toml",
                            "",
                            "is missing in this folder",
                            "Make one: hullview new FOLDER.",
                        )
                    ]
                )
            return given, "boat.toml"
        if not given.exists():
            mend = "Give the boat's folder, or the boat.toml in it."
            raise BoatFileError([Mistake(text, "boat folder", "", "does not exist", mend)])
    except (OSError, ValueError) as error:
        raise BoatFileError([Mistake(text, "boat folder", "", "cannot be read")]) from error
    if given.suffix != ".toml":
        mend = "A mesh file goes to hullview float, or into a boat.toml as hull.mesh."
        raise BoatFileError([Mistake(text, "boat folder", "", "is neither a folder nor a .toml file", mend)])
    return given.parent, given.name


def bytes_of(folder: FilePath, name: str, limit: int) -> bytes:
    try:
        return read_limited(inside(folder, name), limit)
    except Unreadable as error:
        raise BoatFileError([Mistake(name, "file", "", error.allowed, error.mend)]) from error


def parse(raw: bytes, ledger: Ledger) -> Document:
    """The TOML as a dict, with the line of each key noted in the ledger."""

    def stop(line: int, allowed: str, mend: str = "") -> BoatFileError:
        return BoatFileError([Mistake(f"{ledger.file}:{line}", "the file", "", allowed, mend)])

    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise stop(line, "is not UTF-8 text", "Save it again as UTF-8.") from error
    if not text.strip():
        raise stop(
            1, "is empty", "Begin with a name and [hull]; hullview new FOLDER writes a file to fill in."
        )
    if (at := _long_key(text)) is not None:
        raise stop(at, f"holds a key of more than {MOST_PARTS} parts", "Is this a boat file?")
    try:
        document = tomllib.loads(text)
        ledger.lines = lines_of(text)
    except tomllib.TOMLDecodeError as error:
        match = re.fullmatch(
            r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", str(error), re.DOTALL
        )
        line = int(match[2]) if match and match[2] else text.count("\n") + 1
        what = shown(_dotted(match[1] if match else str(error)))[1:-1]
        column = f" (column {match[3]})" if match and match[3] else ""
        raise stop(line, f"is not TOML: {what}{column}", _toml_hint(text, line, what)) from error
    except (RecursionError, ValueError, OverflowError) as error:
        raise stop(
            1, "is not a boat file: it nests too deep or holds an impossible number or date"
        ) from error
    return document


def _long_key(text: str) -> int | None:
    """The line of the first dotted key of too many parts, or None."""
    for token in _TOKEN.finditer(text):
        if token["key"]:
            return text.count("\n", 0, token.start()) + 1
        if token["open"]:
            return None  # not TOML, which the parser says better
    return None


def _dotted(words: str) -> str:
    """A key that the parser shows as Python writes it, as the file does: ('builds', 'x') is builds.x."""
    return re.sub(r"\(((?:'[^']*'(?:, |,)?)+)\)", lambda m: ".".join(re.findall(r"'([^']*)'", m[1])), words)


def _toml_hint(text: str, line: int, what: str) -> str:
    """What the commonest slip of that line would be."""
    if "overwrite" in what or "twice" in what:
        return "This key or table stands in the file already; a list of tables is written [[name]] each time."
    words = text.split("\n")[line - 1] if line <= text.count("\n") + 1 else ""
    if re.search(r"=\s*[-.0-9/' ]+ *(?:mm|cm|m|in|ft|kg|lb|oz|g|deg)\b", words):
        return 'A number with its unit stands in quotation marks: "19 mm".'
    if re.search(r"=\s*[A-Za-z][^\"']*$", words) and not re.search(r"=\s*(?:true|false)\b", words):
        return 'Text stands in quotation marks: "fresh".'
    if words.count('"') > 2:
        return "Inches inside quotation marks: write 6 in, or use '...' around it."
    return ""
