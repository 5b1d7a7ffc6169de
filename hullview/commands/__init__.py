"""The command line: which commands there are, each loaded when it is asked for, and the one place where a
status is decided.

Exit status: 0 done; 1 a fault of ours; 2 wrong usage; 3 a boat or mesh file is wrong or missing; 4 the answer
is not "carries" (only with --strict).
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Sequence

import click

from hullview.commands.output import to_stderr
from hullview.commands.streams import take_streams
from hullview.errors import HullviewError, did_you_mean

COMMANDS = {
    "carry": "will it carry this paddler",
    "float": "how it lies at rest",
    "hydrostatics": "the hydrostatics table",
    "righting": "the righting moment curve",
    "weigh": "the weight, line by line",
    "compare": "builds side by side",
    "buy": "what to buy",
    "batches": "epoxy by the pot: resin and hardener for each step",
    "cases": "the load cases of the boat file, a row each",
    "alter": "the smallest change with which it carries",
    "check": "is the table fair and complete, will the wood bend",
    "show": "its picture afloat, to turn and look at",
    "forms": "full-size patterns of the forms to build it over",
    "report": "the whole study in one page to mail or print",
    "materials": "the material library",
    "new": "a new boat folder to fill in",
    "completion": "for the shell: Tab completes commands, builds, materials",
}
"""Name and answer of each command; the module of that name in this room holds it, as `command`."""

EXAMPLE = 'hullview carry models/short-kayak --paddler "82 kg"'
"""To copy, at the head of the help."""

INTERRUPTED = 130
"""What a shell expects of a program stopped with Ctrl-C."""


class LazyGroup(click.Group):
    """Commands found by name and loaded one at a time, so that none waits for what another needs."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = importlib.import_module(f"hullview.commands.{cmd_name}").command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            raise click.UsageError(f"No such command: {name!r}. {did_you_mean(name, COMMANDS)}", ctx)
        return super().resolve_command(ctx, args)

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        formatter.write(f"Example:\n  {EXAMPLE}\n\n")
        super().format_help(ctx, formatter)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def _version(ctx: click.Context, param: click.Parameter, asked: bool) -> None:
    """Print the version of what is installed, and stop."""
    if not asked or ctx.resilient_parsing:
        return
    from importlib.metadata import PackageNotFoundError, version

    try:
        click.echo(f"hullview {version('hullview')}")
    except PackageNotFoundError:
        click.echo("hullview, not installed: run from its folder")
    ctx.exit()


@click.group(
    cls=LazyGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    epilog="hullview COMMAND --help shows an example first. Figures are estimates, not a certificate.",
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_version,
    help="Show the version and exit.",
)
def group() -> None:
    """Will this short boat, built this way, carry this paddler?

    Flotation, stability, weight and materials from a table of offsets.
    """


def main(args: Sequence[str] | None = None) -> None:
    """Run one command and end the process with its status."""
    take_streams()
    sys.exit(status_of(args))


def status_of(args: Sequence[str] | None = None) -> int:
    """Run one command; what went wrong goes to stderr in words. A fault of ours keeps its traceback
    (status 1)."""
    try:
        done = group.main(
            args=None if args is None else list(args), prog_name="hullview", standalone_mode=False
        )
        sys.stdout.flush()
        return done if isinstance(done, int) else 0
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except click.ClickException as wrong:
        wrong.show()
        return 2
    except (click.Abort, KeyboardInterrupt):
        return INTERRUPTED
    except HullviewError as wrong:
        to_stderr(str(wrong))
        return wrong.exit_status
