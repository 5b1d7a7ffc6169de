"""`hullview weigh`: the weight, line by line."""

from __future__ import annotations

from hullview.commands import options
from hullview.commands.output import one_format, records_to_csv, to_json, to_stdout


@options.example_command(
    "weigh", "hullview weigh models/short-kayak\nhullview weigh models/short-kayak --build taped-seam --csv"
)
@options.boat_argument
@options.build_option
@options.json_option
@options.csv_option
def command(boat: str, build: str | None, as_json: bool, as_csv: bool) -> None:
    """The weight, line by line, with its centre and its range; then what such a boat usually also has."""
    from hullview.commands.records import of_line, of_weight
    from hullview.show.weights import weight_text
    from hullview.study import launch

    one_format(as_json, as_csv)
    read = options.read(boat)
    weight = launch(read, build).weight
    if as_json:
        to_json(of_weight(weight))
    elif as_csv:
        records_to_csv([of_line(line) for line in (*weight.lines, *weight.usually_also)])
    else:
        to_stdout(weight_text(weight, read), bold_first=True)
