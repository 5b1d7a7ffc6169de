"""`hullview buy`: what to buy."""

from __future__ import annotations

from hullview.commands import options
from hullview.commands.output import one_format, records_to_csv, to_json, to_stdout


@options.example_command(
    "buy", "hullview buy models/short-kayak\nhullview buy models/short-kayak --build taped-seam --csv"
)
@options.boat_argument
@options.build_option
@options.json_option
@options.csv_option
def command(boat: str, build: str | None, as_json: bool, as_csv: bool) -> None:
    """What to buy: strips, boards, cloth by roll width, tape, resin by step and by packs, each with its waste named.

    How the shop buys stands under [order] in boat.toml, prices under [[material]].
    """
    from hullview import study
    from hullview.show.order import buy_text, order_records, shopping_record

    one_format(as_json, as_csv)
    read = options.read(boat)
    shopping = study.shopping(read, build)
    if as_json:
        to_json({"boat": read.name, **shopping_record(shopping)})
    elif as_csv:
        records_to_csv(order_records(shopping))
    else:
        to_stdout(buy_text(shopping, read), bold_first=True)
