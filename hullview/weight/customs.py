"""What a shop does when it makes forms, as numbers: data/forms.csv, each with its source."""

from __future__ import annotations

import csv
import functools
from collections.abc import Mapping
from pathlib import Path


@functools.cache
def customs() -> Mapping[str, float]:
    """Values by key, SI, as they stand in data/forms.csv.

    >>> customs()["glue_line"]
    0.00025
    """
    path = Path(__file__).parent.parent / "data" / "forms.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return {row["key"]: float(row["value"]) for row in csv.DictReader(file)}
