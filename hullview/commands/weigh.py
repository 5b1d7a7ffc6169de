"""`hullview weigh`: the weight, line by line."""

from __future__ import annotations

from hullview.commands import options
from hullview.commands.output import give, one_format


@options.example_command(
    "weigh", "hullview weigh models/short-kayak\nhullview weigh models/short-kayak --build taped-seam --csv"
)
@options.boat_argument
@options.build_option
@options.json_option
@options.csv_option
def command(boat: str, build: str | None, as_json: bool, as_csv: bool) -> None:
    """The weight, line by line, with its centre and its range; then what such a boat usually also has."""
    from hullview.study import launch
    from hullview.tell.weight import weight_telling

    one_format(as_json, as_csv)
    read = options.read(boat)
    give(weight_telling(launch(read, build).weight, read), as_json=as_json, as_csv=as_csv)
