"""`hullview batches`: epoxy by the pot."""

from __future__ import annotations

from hullview.commands import options
from hullview.commands.output import give, one_format


@options.example_command(
    "batches",
    "hullview batches models/short-kayak\nhullview batches models/short-kayak --build taped-seam --csv",
)
@options.boat_argument
@options.build_option
@options.json_option
@options.csv_option
def command(boat: str, build: str | None, as_json: bool, as_csv: bool) -> None:
    """Epoxy by the pot: for each step how many batches of how much, resin and hardener by weight and by
    volume, how long a pot lasts.

    The shop's temperature, hands, scale and hardener stand under [shop] in boat.toml; what stands on the can
    under [[material]].
    """
    from hullview import study
    from hullview.tell.batches import batches_telling

    one_format(as_json, as_csv)
    read = options.read(boat)
    give(batches_telling(study.batches(study.craft_of(read, build)), read), as_json=as_json, as_csv=as_csv)
