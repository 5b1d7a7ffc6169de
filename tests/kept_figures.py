"""The figures of a few boats as they were last looked at: a change in the code that moves any of them is
seen.

    python tests/kept_figures.py

writes tests/kept/*.json anew; read the differences before they are committed. Every number is kept to nine
figures, and compared to six.
"""

from __future__ import annotations

import contextlib
import io
import json
import math
import sys
import tempfile
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))

from whole_boat import whole_boat

from hullview.commands import status_of

HERE = Path(__file__).parent
MODELS = HERE.parent / "models"
WHOLE = "new-boat-whole"
ASKED: dict[str, tuple[tuple[str, ...], ...]] = {
    "short-kayak": (
        ("carry",),
        ("carry", "--paddler", "118 kg", "--seat-back", "1.9 m"),
        ("weigh",),
        ("compare",),
        ("righting", "--step", "45"),
    ),
    "cruising-canoe-1883": (
        ("carry",),
        ("float", "--water", "salt"),
        ("check",),
        ("buy",),
        ("hydrostatics", "--from", "3 in", "--to", "9 in", "--step", "3 in"),
    ),
    "pulling-dinghy": (("carry",), ("weigh",), ("buy",), ("righting", "--step", "45")),
    "flat-skiff": (("carry",), ("weigh",), ("buy",), ("check",)),
    "open-canoe": (("carry", "--paddler", "70 kg", "--paddler", "60 kg"), ("compare",)),
    WHOLE: (("carry",), ("weigh",), ("buy",), ("compare",), ("righting", "--step", "45")),
}


def answered(folder: Path, words: tuple[str, ...]) -> Any:
    """What a command prints with --json, as an object without what says where the boat was read."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        status_of([words[0], str(folder), *words[1:], "--json"])
    record = json.loads(out.getvalue())
    for key in ("checksum", "folder", "file"):
        record.pop(key, None)
    return record


def rounded(value: Any) -> Any:
    """Numbers to nine figures."""
    if isinstance(value, dict):
        return {k: rounded(v) for k, v in value.items()}
    if isinstance(value, list):
        return [rounded(v) for v in value]
    if isinstance(value, float) and math.isfinite(value):
        return float(f"{value:.9g}")
    return value


def folder_of(name: str, place: Path) -> Path:
    return whole_boat(place / "whole") if name == WHOLE else MODELS / name


def figures(name: str, place: Path) -> dict[str, Any]:
    """Every answer of a boat, by the words it was asked with."""
    folder = folder_of(name, place)
    return {" ".join(words): answered(folder, words) for words in ASKED[name]}


def write() -> None:
    (HERE / "kept").mkdir(exist_ok=True)
    for name in ASKED:
        with tempfile.TemporaryDirectory() as place:
            text = json.dumps(rounded(figures(name, Path(place))), indent=0, ensure_ascii=False)
        (HERE / "kept" / f"{name}.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    write()
