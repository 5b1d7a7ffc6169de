"""`hullview materials`: the material library."""

from __future__ import annotations

import click

from hullview.commands import options
from hullview.commands.output import give, one_format
from hullview.errors import UsageError


@options.example_command("materials", "hullview materials cedar\nhullview materials --csv")
@click.argument("word", required=False, shell_complete=options.materials_of)
@options.json_option
@options.csv_option
def command(word: str | None, as_json: bool, as_csv: bool) -> None:
    """The material library, with density, source and note; with WORD, only what has it in its name, source
    or note."""
    from hullview.tell.materials import materials_telling

    one_format(as_json, as_csv)
    telling = materials_telling(word)
    if not dict(telling.tables())["materials"].rows:
        raise UsageError(
            f"no material has {word!r} in its name, source or note. hullview materials lists them all."
        )
    give(telling, as_json=as_json, as_csv=as_csv)
