"""`hullview carry`: will the boat carry this paddler."""

from __future__ import annotations

from typing import Any

import click

from hullview.commands import options
from hullview.commands.output import give, one_format
from hullview.commands.together import Apart

NOT_CARRIED = 4
"""Exit status with --strict where the answer is not "carries"."""


@options.example_command(
    "carry",
    'hullview carry models/short-kayak --paddler "82 kg"\nhullview carry models/short-kayak --gear "6 kg @'
    ' 2.3 m" --water salt',
    rules=[
        Apart(
            "--chance",
            ("--csv",),
            "--csv is the table of paddlers, the share of builds stands in the text and in --json",
        ),
        Apart("--full", ("--json", "--csv"), "what programs are given is whole already"),
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
    help="Also: what share of builds stays inside the limits, by weight alone, and which unknown decides.",
)
@click.option(
    "--full",
    is_flag=True,
    help="Every check with its basis, other paddlers, swamped, boarded: the whole answer.",
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
    /,
    boat: str,
    build: str | None,
    against: Any,
    chance: bool,
    full: bool,
    strict: bool,
    as_json: bool,
    as_csv: bool,
    **load: Any,
) -> None:
    """Will the boat carry this paddler: the answer, the worst that happens, what stands in the way, the
    heaviest paddler, the best seat.

    Options change the load for this answer only; what is left out stays as the boat's file has it. --paddler
    given twice or more: aboard together, in the seats of the file.
    """
    from hullview import study
    from hullview.boat.loading import with_load
    from hullview.tell.verdict import verdict_telling

    one_format(as_json, as_csv)
    verdict = study.carry(options.read_loaded(boat, **load), build, with_chance=chance)
    first = verdict.craft.boat
    others = [study.judge(study.launch(with_load(first, [mass]), build)) for mass in against]
    give(verdict_telling(verdict, others), as_json=as_json, as_csv=as_csv, full=full)
    if strict and verdict.answer != "carries":
        ctx.exit(NOT_CARRIED)
