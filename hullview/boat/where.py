"""On which line of a TOML file each key stands, since tomllib tells only what it holds.

The text has been read by tomllib before, so it is known to be well formed and only its outline is followed
here.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping

Path = tuple[str | int, ...]
"""("schedule", "skin", 0, "layers"): keys, and places in lists from 0."""

_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_KEY = re.compile(r"[A-Za-z0-9_-]+|\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'")
_STRING = re.compile(
    r"\"\"\"(?:[^\"\\]|\\.|\"(?!\"\")|\"(?=\"\"\"))*\"\"\"|'''(?:[^']|'(?!'')|'(?=''')){0,}'''"
    r"|\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'",
    re.DOTALL,
)
_SCALAR = re.compile(r"[^,\]}\n#]*")


def lines_of(text: str) -> Mapping[Path, int]:
    """Line number, from 1, of every table, key and list item of a well formed TOML text.

    >>> lines_of("a = 1\\n[[b]]\\nc = [\\n  2,\\n  3]\\n")[("b", 0, "c", 1)]
    5
    """
    scan = _Scan(text.replace("\r\n", "\n"))
    scan.document()
    return scan.lines


def show(path: Path) -> str:
    """The path as a person reads it, places counted from 1.

    >>> show(("builds", "clamped sheer", "run", 0, "depth"))
    'builds."clamped sheer".run[1].depth'
    """
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            word = part if re.fullmatch(r"[A-Za-z0-9_-]{1,60}", part) else '"' + _printable(part) + '"'
            text += ("." if text else "") + word
    return text


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in text[:60]) + ("..." if len(text) > 60 else "")


class _Scan:
    """One walk through the text; `lines` is its result."""

    def __init__(self, text: str):
        self.text, self.at = text, 0
        self.ends = [m.start() for m in re.finditer("\n", text)]
        self.lines: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}

    def document(self) -> None:
        table: Path = ()
        while True:
            self._skip(_BLANK)
            if self.at >= len(self.text):
                return
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)

    def _skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        assert match, "tomllib has read this text, so it is well formed"
        self.at = match.end()
        return match.group()

    def _note(self, path: Path, at: int) -> None:
        self.lines.setdefault(path, bisect_right(self.ends, at - 1) + 1)

    def _key(self) -> list[str]:
        parts: list[str] = []
        while True:
            self._skip(_SPACE)
            raw = self._skip(_KEY)
            parts.append(tomllib.loads(f"k = {raw}")["k"] if raw[0] in "\"'" else raw)
            self._skip(_SPACE)
            if self.text[self.at : self.at + 1] != ".":
                return parts
            self.at += 1

    def _below(self, path: Path, parts: list[str], at: int) -> Path:
        """The path of a dotted key; a list of tables on the way means its last one so far."""
        for part in parts:
            path = (*path, part)
            self._note(path, at)
            if path in self.counts:
                path = (*path, self.counts[path] - 1)
        return path

    def _header(self) -> Path:
        start = self.at
        double = self.text.startswith("[[", self.at)
        self.at += 2 if double else 1
        parts = self._key()
        self.at += 2 if double else 1
        if not double:
            return self._below((), parts, start)
        path = (*self._below((), parts[:-1], start), parts[-1])
        self._note(path, start)
        self.counts[path] = self.counts.get(path, 0) + 1
        path = (*path, self.counts[path] - 1)
        self._note(path, start)
        return path

    def _pair(self, table: Path) -> None:
        start = self.at
        path = self._below(table, self._key(), start)
        self.at += 1  # the equals sign
        self._skip(_SPACE)
        self._value(path)

    def _value(self, path: Path) -> None:
        self._note(path, self.at)
        first = self.text[self.at : self.at + 1]
        if first == "[":
            self._list(path)
        elif first == "{":
            self._inline(path)
        else:
            self._skip(_STRING if first and first in "\"'" else _SCALAR)

    def _list(self, path: Path) -> None:
        self.at += 1
        for place in range(len(self.text)):
            self._skip(_BLANK)
            if self.text[self.at] == "]":
                break
            self._value((*path, place))
            self._skip(_BLANK)
            if self.text[self.at] == ",":
                self.at += 1
        self.at += 1

    def _inline(self, path: Path) -> None:
        self.at += 1
        while True:
            self._skip(_BLANK)
            if self.text[self.at] == "}":
                break
            self._pair(path)
            self._skip(_BLANK)
            if self.text[self.at] == ",":
                self.at += 1
        self.at += 1
