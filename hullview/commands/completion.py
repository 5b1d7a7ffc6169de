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
    'eval "$(hullview completion bash)"        # now; in ~/.bashrc for good\n'
    'eval "$(hullview completion zsh)"         # in ~/.zshrc\n'
    "hullview completion fish > ~/.config/fish/completions/hullview.fish",
)
@click.argument("shell", type=click.Choice(SHELLS))
@click.pass_context
def command(ctx: click.Context, /, shell: str) -> None:
    """A script for the shell: with it, Tab completes commands, options, a boat's builds and materials."""
    from click.shell_completion import BashComplete, FishComplete, ZshComplete

    kind: Any = {"bash": BashComplete, "zsh": ZshComplete, "fish": FishComplete}[shell]
    to_stdout(str(kind(ctx.find_root().command, {}, "hullview", VARIABLE).source_template) % NAMES)
