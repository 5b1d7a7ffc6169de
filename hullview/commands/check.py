"""`hullview check`: is the table fair and complete, and will the wood take the bend."""

from __future__ import annotations

from hullview.commands import options
from hullview.commands.output import one_format, records_to_csv, to_json, to_stdout
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
    """Is the table fair and complete: each offset echoed in mm with how far it is out of fair, doubtful ones with the fair value
    beside them; and will laminations and strips take the bend.

    An offset out of fair is a warning, not a mistake: the status is 0. It needs no load, and without a build the bend is left out.
    """
    from hullview import study
    from hullview.show.fair import bend_record, change_record, check_text, finding_records

    one_format(as_json, as_csv)
    read = options.read(boat, notices=False)
    if build is not None:
        read.build(build)  # one it does not have is refused, also where there is none at all
    findings, bend, notes = study.looked_over(read, build)
    records = finding_records(findings, read.hull.table)
    if as_json:
        taken = study.if_fair(read, findings)
        doubtful = [
            r | {"if_taken": change_record(c)} for r, c in zip((r for r in records if r["doubtful"]), taken)
        ]
        to_json(
            {
                "boat": read.name,
                "offsets": records,
                "doubtful": doubtful,
                "notices": [*read.notices, *notes],
                "bend": bend_record(bend) if bend else None,
            }
        )
    elif as_csv:
        records_to_csv(records)
    else:
        to_stdout(check_text(read, findings, bend, notes, study.if_fair(read, findings)), bold_first=True)
