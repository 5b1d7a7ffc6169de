"""`hullview cases`: the load cases of a boat's file, a row each."""

from __future__ import annotations

from typing import Any

from hullview.commands import options
from hullview.commands.output import give, one_format


@options.example_command("cases", "hullview cases models/open-canoe")
@options.boat_argument
@options.build_option
@options.water_option
@options.json_option
@options.csv_option
def command(boat: str, build: str | None, water: Any, as_json: bool, as_csv: bool) -> None:
    """Every [[case]] of the boat's file: the answer, what stands in the way, the least margin, draft, trim,
    and the seat for level trim."""
    from hullview import study
    from hullview.tell.cases import cases_telling

    one_format(as_json, as_csv)
    loaded = options.read(boat, water=water)
    give(cases_telling(study.cases(loaded, build), loaded), as_json=as_json, as_csv=as_csv)
