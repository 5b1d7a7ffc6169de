"""`hullview completion`: what a shell needs to complete commands, options, builds and materials."""

from __future__ import annotations

from typing import Any

import click

from hullview.commands import options
from hullview.commands.output import to_stdout

SHELLS = ("bash", "zsh", "fish")
VARIABLE = "_HULLVIEW_COMPLETE"
"""By it the shell asks what may stand next."""
NAMES = {"complete_func": "_hullview_completion", "complete_var": VARIABLE, "prog_name": "hullview"}
"""What click's templates leave open."""


@options.example_command(
    "completion",
    "hullview completion bash",
)
@click.argument("shell", type=click.Choice(SHELLS))
@click.pass_context
def command(ctx: click.Context, /, shell: str) -> None:
    """A script for the shell: with it, Tab completes commands, options, a boat's builds and materials.

    For good, put eval "$(hullview completion bash)" into ~/.bashrc (zsh: the same with zsh into ~/.zshrc), or
    write the script of fish to ~/.config/fish/completions/hullview.fish.
    """
    from click.shell_completion import BashComplete, FishComplete, ZshComplete

    kind: Any = {"bash": BashComplete, "zsh": ZshComplete, "fish": FishComplete}[shell]
    to_stdout(str(kind(ctx.find_root().command, {}, "hullview", VARIABLE).source_template) % NAMES)
