"""`hullview hydrostatics`: the hydrostatics table, cross curves and Bonjean areas."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hullview.commands import meshes, options
from hullview.commands.drawing import charts, draw, drawing_option
from hullview.commands.output import give, one_format
from hullview.commands.together import Needs
from hullview.errors import UsageError

if TYPE_CHECKING:
    import numpy as np

    from hullview.boat.model import Appendage, Water
    from hullview.shape.body import Body
    from hullview.shape.hull import Hull
    from hullview.tell.model import Telling, Units

MOST_ROWS = 1000
HEELS = range(10, 91, 10)
"""Heels of the cross curves [deg]."""
SECTIONS = 11
"""Sections of a mesh, which has no stations: evenly from end to end, as a plan of ten spaces has them."""


@options.example_command(
    "hydrostatics",
    "hullview hydrostatics models/short-kayak\n"
    "hullview hydrostatics models/short-kayak --by displacement --csv\n"
    "hullview hydrostatics models/wigley/wigley.stl --units mm --cross-curves",
    rules=[
        Needs("--from", ("--to",), "a range has two ends"),
        Needs("--from", ("--step",), "a range has a step"),
        Needs("--to", ("--from",), "a range has two ends"),
        Needs("--step", ("--from",), "a step is from one waterline of a range to the next"),
    ],
)
@meshes.argument
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
@click.option("--cross-curves", is_flag=True, help="Instead: arms KN by displacement and heel.")
@click.option("--bonjean", is_flag=True, help="Instead: immersed area of each station to each waterline.")
@drawing_option("--plot", words="Draw the curves too.")
@options.water_option
@meshes.units_option
@options.json_option
@options.csv_option
@click.pass_context
def command(
    ctx: click.Context,
    boat: str,
    first: str | None,
    last: str | None,
    step: str | None,
    by: str,
    trim: float,
    cross_curves: bool,
    bonjean: bool,
    plot: str | None,
    water: Any,
    units: str | None,
    as_json: bool,
    as_csv: bool,
) -> None:
    """The hydrostatics table, upright, by waterline height above the base line or by displacement.

    Without a range: from the keel to the lowest sheer in round steps. It needs no load and no build. A mesh
    file (STL, OBJ, PLY, GLB) needs --units; its x runs aft, its z up.
    """
    one_format(as_json, as_csv)
    if cross_curves and bonjean and (as_csv or plot):
        what = "--csv is one table" if as_csv else "--plot is one chart"
        raise UsageError(f"{what}: give --cross-curves or --bonjean with it.")
    if bonjean and not cross_curves and by == "waterline" and water is not None:
        raise UsageError("--water changes no Bonjean area: leave it out, or use --by displacement.")
    source = _source(ctx, boat, units, water)
    heights, masses = _waterlines(
        source, _range(first, last, step, "mass" if by == "displacement" else "length"), by, trim
    )
    if cross_curves or bonjean:
        _families(
            source, heights, masses, trim, cross_curves, bonjean, by == "displacement", plot, as_json, as_csv
        )
    else:
        _table(source, heights, masses if by == "displacement" else None, trim, plot, as_json, as_csv)


@dataclass(frozen=True)
class Source:
    """What is cut by waterlines: a boat's hull, or a mesh (hull None). stations: name and place [m];
    density [kg/m3]."""

    name: str
    units: Units
    body: Body
    density: float
    stations: tuple[tuple[str, float], ...]
    hull: Hull | None = None
    appendages: tuple[Appendage, ...] = ()


def _source(ctx: click.Context, boat: str, units: str | None, water: Water | None) -> Source:
    import numpy as np

    if meshes.is_mesh(boat):
        body = meshes.body_of_mesh(boat, units)
        places = np.linspace(*body.extent((1.0, 0.0, 0.0)), SECTIONS).tolist()
        sections = tuple((str(i), x) for i, x in enumerate(places))
        return Source(Path(boat).name, "metric", body, meshes.density_in(water), sections)
    from hullview import study
    from hullview.afloat.water import density_of

    meshes.only_for_meshes(ctx)
    read = options.read(boat, water=water)
    hull, body = study.shaped(read)
    stations = tuple(zip(hull.station_names, (float(x) for x in hull.stations)))
    return Source(read.name, read.units_shown, body, density_of(read.water), stations, hull, read.appendages)


def _waterlines(source: Source, at: np.ndarray | None, by: str, trim: float) -> tuple[np.ndarray, np.ndarray]:
    """Heights above the base line [m] and displacements [kg] of the waterlines: one is given, the other
    found."""
    import numpy as np

    from hullview.afloat import hydrostatics as table

    hull = source.hull or source.body
    if by == "displacement":
        masses = (
            table.displacements_for(hull, source.body, source.density, source.units) if at is None else at
        )
        heights = [table.height_for(source.body, m, source.density, trim) for m in masses.tolist()]
        return np.array(heights), masses
    heights = (table.heights_for(hull, source.units) if at is None else at).tolist()
    return np.array(heights), np.array(
        [table.displacement_at(source.body, h, source.density, trim) for h in heights]
    )


def _table(
    source: Source, heights: np.ndarray, masses: np.ndarray | None, trim: float,
    plot: str | None, as_json: bool, as_csv: bool,
) -> None:  # fmt: skip
    """The hydrostatics table itself."""
    from hullview.afloat import hydrostatics as table
    from hullview.afloat.mesh_error import hydrostatics_error
    from hullview.tell.hydrostatics import hydrostatics_telling

    rows = table.hydrostatics(
        source.hull or source.body, source.density, None if masses is not None else heights,
        displacements=masses, trim=trim, body=source.body,
    )  # fmt: skip
    hull = None if as_csv else source.hull
    errors = hydrostatics_error(hull, rows, source.density, source.appendages) if hull else None
    give(
        hydrostatics_telling(rows, source.name, source.density, source.units, errors),
        as_json=as_json,
        as_csv=as_csv,
    )
    draw(plot, lambda: charts().hydrostatic_chart(rows, f"{source.name}: hydrostatic curves", source.units))


def _families(
    source: Source,
    heights: np.ndarray,
    masses: np.ndarray,
    trim: float,
    cross: bool,
    bonjean: bool,
    by_displacement: bool,
    plot: str | None,
    as_json: bool,
    as_csv: bool,
) -> None:
    """Cross curves, Bonjean areas or both."""
    import numpy as np

    from hullview.afloat import hydrostatics as table
    from hullview.tell import crosscurves as tell

    name, units = source.name, source.units
    telling: Telling | None = None
    if cross:
        found = table.cross_curves(
            source.body, source.density, masses, np.radians(np.array(HEELS, float)), trim
        )
        telling = tell.cross_curves_telling(found, name, source.density, units)
    if bonjean:
        areas = table.bonjean(source.body.bare, [x for _, x in source.stations], heights, trim)
        density = source.density if by_displacement else None
        made = tell.bonjean_telling(
            source.stations, heights.tolist(), areas.tolist(), name, units, trim, density
        )
        telling = telling + made if telling else made
    assert telling is not None
    give(telling, as_json=as_json, as_csv=as_csv)
    if plot:
        from hullview.show import cross_charts

        if cross:
            draw(plot, lambda: cross_charts.cross_curves_chart(found, f"{name}: cross curves", units))
        else:
            title = f"{name}: Bonjean areas"
            draw(
                plot,
                lambda: cross_charts.bonjean_chart(
                    source.stations, heights.tolist(), areas.tolist(), title, units
                ),
            )


def _range(first: str | None, last: str | None, step: str | None, kind: str) -> np.ndarray | None:
    """The values from first to last by step, or None where nothing is given."""
    import numpy as np

    given = {"--from": first, "--to": last, "--step": step}
    if not any(given.values()):
        return None
    missing = [name for name, text in given.items() if text is None]
    if missing:
        raise UsageError(f"a range needs --from, --to and --step: {', '.join(missing)} missing.")
    low, high, by = (_read(name, text, kind) for name, text in given.items())
    if not (by > 0 and high >= low):
        raise UsageError("--step must be more than 0 and --to no less than --from.")
    count = math.floor((high - low) / by + 1e-9) + 1
    if count > MOST_ROWS:
        raise UsageError(f"--step makes {count} rows; {MOST_ROWS} at most.")
    return np.round(
        low + by * np.arange(count), 12
    )  # a tenth three times over is three tenths to who reads it


def _read(name: str, text: str | None, kind: str) -> float:
    """An option's quantity in SI; what is wrong with it is said with the option's name."""
    from hullview.boat.quantity import QuantityError, read

    try:
        return read(text, kind).value
    except QuantityError as wrong:
        raise UsageError(f"{name} {wrong}") from wrong
