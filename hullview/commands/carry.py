"""`hullview carry`: will she carry this paddler."""

from __future__ import annotations

from typing import Any

import click

from hullview.commands import options
from hullview.commands.output import one_format, records_to_csv, to_json, to_stdout
from hullview.commands.together import Apart

NOT_CARRIED = 4
"""Exit status with --strict where the answer is not "carries"."""


@options.example_command(
    "carry",
    'hullview carry models/short-kayak --paddler "82 kg"\nhullview carry models/short-kayak --gear "6 kg @ 2.3 m" --water salt',
    rules=[
        Apart(
            "--chance",
            ("--csv",),
            "--csv is the table of paddlers, the share of builds stands in the text and in --json",
        )
    ],
)
@options.boat_argument
@options.load_options
@click.option(
    "--against", type=options.MASS, multiple=True, help="Another paddler, to be set beside the first."
)
@click.option(
    "--chance",
    is_flag=True,
    help="Also: what share of builds stays inside the limits, by build weight alone.",
)
@click.option("--strict", is_flag=True, help='End with status 4 where the answer is not "carries".')
@options.json_option
@click.option(
    "--csv",
    "as_csv",
    is_flag=True,
    help="The load given, the table of paddlers and what is set against it, as CSV, SI units.",
)
@click.pass_context
def command(
    ctx: click.Context,
    boat: str,
    build: str | None,
    against: Any,
    chance: bool,
    strict: bool,
    as_json: bool,
    as_csv: bool,
    **load: Any,
) -> None:
    """Will she carry this paddler: the answer, each check with its margin and basis, the heaviest paddler, the best seat.

    Options change the load for this answer only; what is left out stays as the boat's file has it. --paddler given twice or more:
    aboard together, in the seats of the file.
    """
    from hullview import study
    from hullview.boat.aboard import with_load

    one_format(as_json, as_csv)
    verdict = study.carry(options.read_loaded(boat, **load), build, with_chance=chance)
    first = verdict.craft.boat
    others = [study.judge(study.launch(with_load(first, [mass]), build)) for mass in against]
    if as_json:
        from hullview.commands.records import of_verdict

        to_json(of_verdict(verdict) | ({"against": [of_verdict(v) for v in others]} if others else {}))
    elif as_csv:
        from hullview.commands.records import of_row

        loads = [("given", study.row_of(verdict)), *(("against", study.row_of(v)) for v in others)]
        every = [*loads[:1], *(("table", row) for row in verdict.table), *loads[1:]]
        records_to_csv([{"load": load, **of_row(row)} for load, row in every])
    else:
        from hullview.show.verdict import against_text, verdict_text

        to_stdout(
            verdict_text(verdict) + "".join("\n\n" + against_text(verdict, v) for v in others),
            bold_first=True,
        )
    if strict and verdict.answer != "carries":
        ctx.exit(NOT_CARRIED)
