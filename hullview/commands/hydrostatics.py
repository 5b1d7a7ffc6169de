"""`hullview hydrostatics`: the hydrostatics table, cross curves and Bonjean areas."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import click

from hullview.commands import options
from hullview.commands.drawing import charts, draw, drawing_option
from hullview.commands.output import one_format, records_to_csv, to_csv, to_json, to_stdout
from hullview.errors import UsageError

if TYPE_CHECKING:
    import numpy as np

MOST_ROWS = 1000


@options.example_command(
    "hydrostatics",
    "hullview hydrostatics models/short-kayak\n"
    "hullview hydrostatics models/short-kayak --by displacement --csv",
)
@options.boat_argument
@click.option(
    "--from",
    "first",
    metavar="HEIGHT",
    help="First waterline above the base line; a mass with --by displacement.",
)
@click.option("--to", "last", metavar="HEIGHT", help="Last waterline.")
@click.option("--step", metavar="HEIGHT", help="From one to the next.")
@click.option(
    "--by", type=click.Choice(["waterline", "displacement"]), default="waterline", help="What the rows go by."
)
@click.option(
    "--trim",
    type=options.Quantity("angle"),
    default=0.0,
    help='By the stern: "1 deg"; by the bow with a minus.',
)
@click.option("--cross-curves", is_flag=True, help="Arms KN by displacement and heel, as CSV.")
@click.option("--bonjean", is_flag=True, help="Immersed area of each station to each height, as CSV.")
@drawing_option("--plot", "Draw the curves too.")
@options.water_option
@options.json_option
@options.csv_option
def command(
    boat: str, first: str | None, last: str | None, step: str | None, by: str, trim: float, cross_curves: bool, bonjean: bool,
    plot: str | None, water: Any, as_json: bool, as_csv: bool,
) -> None:  # fmt: skip
    """The hydrostatics table, upright, by waterline height above the base line or by displacement.

    Without a range: from the keel to the lowest sheer in round steps. It needs no load and no build.
    """
    import numpy as np

    from hullview import study
    from hullview.afloat import hydrostatics as table
    from hullview.afloat.mesh_error import hydrostatics_error
    from hullview.afloat.water import density_of
    from hullview.show.stability import hydrostatics_text

    one_format(as_json, as_csv)
    read = options.read(boat, water=water)
    (hull, body), density = study.shaped(read), density_of(read.water)
    at = _range(first, last, step, "mass" if by == "displacement" else "length")
    levels = table.heights_for(hull, read.units_shown) if at is None or by == "displacement" else at
    masses = at if by == "displacement" else None
    if masses is None and (by == "displacement" or cross_curves):
        masses = np.array(
            [
                row.displacement
                for row in table.hydrostatics(
                    hull, density, table.heights_for(hull, read.units_shown), body=body
                )
            ]
        )
    if cross_curves:
        assert masses is not None
        return to_csv(*_cross_curves(body, density, masses))
    if bonjean:
        return to_csv(*_bonjean(hull, body, levels))
    rows = table.hydrostatics(
        hull, density, None if by == "displacement" else levels, displacements=masses, trim=trim, body=body
    )
    records = [table.as_json(row) for row in rows]
    errors = None if as_csv else hydrostatics_error(hull, rows, density, read.appendages)
    if as_json:
        records = [{**record, "error": errors[i] if errors else None} for i, record in enumerate(records)]
        to_json({"boat": read.name, "water": {"density_kg_m3": density}, "rows": records})
    elif as_csv:
        records_to_csv(records)
    else:
        to_stdout(hydrostatics_text(rows, read.name, density, read.units_shown, errors), bold_first=True)
    draw(plot, lambda: charts().hydrostatic_chart(rows, f"{read.name}: hydrostatic curves", read.units_shown))


def _range(first: str | None, last: str | None, step: str | None, kind: str) -> np.ndarray | None:
    """The values from first to last by step, or None where nothing is given."""
    import numpy as np

    from hullview.boat.quantity import read

    given = {"--from": first, "--to": last, "--step": step}
    if not any(given.values()):
        return None
    missing = [name for name, text in given.items() if text is None]
    if missing:
        raise UsageError(f"a range needs --from, --to and --step: {', '.join(missing)} missing.")
    low, high, by = (read(text, kind).value for text in given.values())
    if not (by > 0 and high >= low):
        raise UsageError("--step must be more than 0 and --to no less than --from.")
    count = math.floor((high - low) / by + 1e-9) + 1
    if count > MOST_ROWS:
        raise UsageError(f"--step makes {count} rows; {MOST_ROWS} at most.")
    return np.round(
        low + by * np.arange(count), 12
    )  # a tenth three times over is three tenths to who reads it


def _cross_curves(body: Any, density: float, masses: np.ndarray) -> tuple[list[str], list[list[float]]]:
    """KN by displacement (rows) and heel (columns, 10 to 90 degrees)."""
    import numpy as np

    from hullview.afloat.hydrostatics import cross_curves

    heels = np.arange(10.0, 91.0, 10.0)
    found = cross_curves(body, density, masses, np.radians(heels))
    header = ["displacement_kg", *(f"kn_{h:.0f}_deg_m" for h in heels)]
    return header, [[m, *kn] for m, kn in zip(found.displacement.tolist(), found.kn.tolist())]


def _bonjean(hull: Any, body: Any, heights: np.ndarray) -> tuple[list[str], list[list[Any]]]:
    """Immersed area of each station (rows) to each height (columns)."""
    from hullview.afloat.hydrostatics import bonjean

    areas = bonjean(body.bare, hull.stations, heights)
    header = ["station", "position_m", *(f"area_to_{h:.4f}_m_m2" for h in heights.tolist())]
    return header, [[n, x, *row] for n, x, row in zip(hull.station_names, hull.stations, areas.tolist())]
