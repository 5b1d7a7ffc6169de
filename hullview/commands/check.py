"""`hullview check`: is the table fair and complete, and will the wood take the bend."""

from __future__ import annotations

from hullview.commands import options
from hullview.commands.output import give, one_format
from hullview.commands.together import Apart


@options.example_command(
    "check",
    "hullview check models/cruising-canoe-1883\nhullview check models/short-kayak --csv",
    rules=[
        Apart(
            "--build",
            ("--csv",),
            "--csv is the table of offsets; how a build's wood bends stands in the text and in --json",
        )
    ],
)
@options.boat_argument
@options.build_option
@options.json_option
@options.csv_option
def command(boat: str, build: str | None, as_json: bool, as_csv: bool) -> None:
    """Is the table fair and complete: each offset echoed in mm with how far it is out of fair, doubtful ones
    with the fair value beside them; and will laminations and strips take the bend.

    An offset out of fair is a warning, not a mistake: the status is 0. It needs no load, and without a build
    the bend is left out.
    """
    from hullview import study
    from hullview.tell.fairness import check_telling

    one_format(as_json, as_csv)
    read = options.read(boat, notices=False)
    if build is not None:
        read.build(build)  # one it does not have is refused, also where there is none at all
    checked = study.check(study.craft_of(read, build))
    changes = () if as_csv else study.if_fair(read, checked.findings)
    give(check_telling(read, checked, changes), as_json=as_json, as_csv=as_csv)
