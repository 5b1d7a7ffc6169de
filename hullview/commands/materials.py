"""`hullview materials`: the material library."""

from __future__ import annotations

import click

from hullview.commands import options
from hullview.commands.output import one_format, records_to_csv, to_json, to_stdout
from hullview.errors import UsageError


@options.example_command("materials", "hullview materials cedar\nhullview materials --csv")
@click.argument("word", required=False)
@options.json_option
@options.csv_option
def command(word: str | None, as_json: bool, as_csv: bool) -> None:
    """The material library, with density, source and note; with WORD, only what has it in its name, source or note."""
    from hullview.show.weights import material_records, materials_text

    one_format(as_json, as_csv)
    records = material_records(word)
    if not records:
        raise UsageError(
            f"no material has {word!r} in its name, source or note. hullview materials lists them all."
        )
    if as_json:
        to_json({"materials": records})
    elif as_csv:
        records_to_csv(records)
    else:
        to_stdout(materials_text(word))
