"""`hullview buy`: what to buy."""

from __future__ import annotations

from hullview.commands import options
from hullview.commands.output import give, one_format


@options.example_command(
    "buy", "hullview buy models/short-kayak\nhullview buy models/short-kayak --build taped-seam --csv"
)
@options.boat_argument
@options.build_option
@options.json_option
@options.csv_option
def command(boat: str, build: str | None, as_json: bool, as_csv: bool) -> None:
    """What to buy: strips, boards, cloth by roll width, tape, resin by step and by packs, each with its waste
    named.

    How the shop buys stands under [order] in boat.toml, prices under [[material]].
    """
    from hullview import study
    from hullview.tell.order import buy_telling

    one_format(as_json, as_csv)
    read = options.read(boat)
    give(buy_telling(study.shopping(study.craft_of(read, build)), read), as_json=as_json, as_csv=as_csv)
