"""No figure of the models changes unseen: every answer agrees with tests/kept, to six figures."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import kept_figures
import pytest

SHARE, FLOOR = 1e-6, 1e-7


def differences(now: Any, kept: Any, where: str = "") -> list[str]:
    """Places where two answers differ, each with both values."""
    if isinstance(now, dict) and isinstance(kept, dict):
        missing = [f"{where}.{k}: only in one" for k in now.keys() ^ kept.keys()]
        return missing + [
            d for k in now.keys() & kept.keys() for d in differences(now[k], kept[k], f"{where}.{k}")
        ]
    if isinstance(now, list) and isinstance(kept, list) and len(now) == len(kept):
        return [d for i, (a, b) in enumerate(zip(now, kept)) for d in differences(a, b, f"{where}[{i}]")]
    if isinstance(now, float | int) and isinstance(kept, float | int) and not isinstance(now, bool):
        return [] if abs(now - kept) <= FLOOR + SHARE * abs(kept) else [f"{where}: {now!r}, was {kept!r}"]
    return [] if now == kept else [f"{where}: {now!r}, was {kept!r}"]


@pytest.mark.parametrize("name", kept_figures.ASKED)
def test_figures_are_as_they_were(name, tmp_path):
    kept = json.loads((Path(__file__).parent / "kept" / f"{name}.json").read_text(encoding="utf-8"))
    found = differences(kept_figures.figures(name, tmp_path), kept)
    assert not found, "\n".join(
        ["If this is meant: python tests/kept_figures.py, and read the differences.", *found[:20]]
    )


def test_a_changed_figure_is_seen():
    assert differences({"a": [1.0, 2.0]}, {"a": [1.0, 2.0 + 5e-6]}) == [".a[1]: 2.0, was 2.000005"]
    assert (
        differences({"a": 1.0}, {"a": 1.0 + 1e-8}) == []
        and differences({"a": None}, {"a": 0.0})
        and differences({}, {"b": 1})
    )
