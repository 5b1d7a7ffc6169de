"""What a picture of it is made of: parts in a chosen colour, solids, words, and how it lies; the scene
draws it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hullview.afloat.equilibrium import Floating
from hullview.answer.conditions import Craft
from hullview.arrays import Array
from hullview.boat.model import Boat
from hullview.boat.wording import length_text, mass_text
from hullview.errors import UsageError, did_you_mean
from hullview.shape.body import Body
from hullview.shape.hull import Hull
from hullview.show import parts as skin
from hullview.show.captions import main_figures
from hullview.show.linesplan import sections_of
from hullview.show.paper import facts
from hullview.show.parts import Part
from hullview.show.solids import seats, solids
from hullview.weight.bend import bend
from hullview.weight.placed import room_in

if TYPE_CHECKING:
    import pyvista

    from hullview.study import Verdict

COLOURS = ("materials", "regions", "wet", "thickness", "bend")


@dataclass(frozen=True)
class Picture:
    """Everything a scene is drawn from. normal (3,), offset [m]: the water's surface in the boat's frame,
    None where it has none."""

    parts: tuple[Part, ...]
    solids: tuple[Part, ...]
    normal: Array | None
    offset: float | None
    centre: Array | None
    buoyancy: Array | None
    stations: tuple[tuple[str, Array], ...]
    title: str
    subtitle: str
    verdict: str
    worst: str
    figures: tuple[tuple[str, str], ...]


def surface(craft: Craft, floating: Floating) -> tuple[Array | None, float | None]:
    """The water's surface as it lies, or would lie if the water stayed out; none where it sinks."""
    return floating.rest.normal, floating.rest.offset


def coloured(craft: Craft, floating: Floating, colour: str) -> tuple[Part, ...]:
    """Its skin in parts, coloured by one of COLOURS."""
    boat, hull = craft.boat, craft.hull
    if colour not in COLOURS:
        raise UsageError(f"no colouring {colour!r}. {did_you_mean(colour, COLOURS)}")
    build = boat.build(craft.weight.build)
    if colour == "materials":
        return skin.by_material(hull, build, skin.tones(build, boat.bulkheads))
    if colour == "thickness":
        return skin.by_thickness(
            hull, build, lambda metres: length_text(metres, boat.units_shown, 1, both=False)
        )
    if colour == "wet":
        normal, offset = surface(craft, floating)
        if normal is None or offset is None:
            raise UsageError(f"{boat.name} sinks as loaded, so nothing of it is dry.")
        return skin.by_wetness(hull, normal, offset)
    if colour == "bend":
        return skin.by_bend(hull, bend(boat, hull, build.name))
    return skin.by_region(hull)


def picture(
    craft: Craft, floating: Floating, verdict: Verdict | None = None, colour: str = "materials"
) -> Picture:
    """Its picture as it floats with the load in its file."""
    boat, build = craft.boat, craft.boat.build(craft.weight.build)
    normal, offset = surface(craft, floating)
    inside = (
        *solids(boat, craft.hull, build, skin.tones(build, boat.bulkheads)),
        *seats(boat, craft.hull, craft.thickness, room_in(craft.hull, build.schedule)),
    )
    return Picture(
        coloured(craft, floating, colour),
        inside,
        normal,
        offset,
        floating.centre,
        floating.rest.immersed.centroid if floating.rest.immersed is not None else None,
        tuple((name, section) for name, _, section in sections_of(craft.hull)),
        boat.name,
        subtitle(craft),
        f"{verdict.answer}, on flat water, by these limits" if verdict else "",
        " ".join(verdict.worst) if verdict else "",
        main_figures(floating, boat.units_shown),
    )


def dry(boat: Boat, hull: Hull, colour: str = "regions") -> Picture:
    """Its picture on dry land: a boat whose file does not say how it is built cannot be weighed, so it is
    not floated."""
    parts = skin.by_material(hull, None) if colour == "materials" else skin.by_region(hull)
    stations = tuple((name, section) for name, _, section in sections_of(hull))
    told = tuple((words, value) for words, value in facts(boat, hull))
    return Picture(
        parts,
        (),
        None,
        None,
        None,
        None,
        stations,
        boat.name,
        "as drawn: not weighed, so not afloat",
        "",
        "",
        told,
    )


def bare(name: str, body: Body, floating: Floating | None = None, *, wet: bool = False) -> Picture:
    """A closed mesh with no boat file: at rest with a load, or dry.

    Parameters
    ----------
    name : str
    body : Body
    floating : Floating, optional
        How it lies; dry without.
    wet : bool
        Colour what is under water; else one colour.

    Raises
    ------
    UsageError
        Where it sinks and the wet part is asked for.
    """
    normal, offset = (None, None) if floating is None else (floating.rest.normal, floating.rest.offset)
    if wet and (normal is None or offset is None):
        raise UsageError(f"{name} sinks as loaded, so nothing of it is dry.")
    water = (normal, offset) if wet and normal is not None and offset is not None else None
    length, beam, depth = (float(v) for v in np.ptp(body.vertices, axis=0))
    sizes = tuple(
        (word, length_text(v, "metric"))
        for word, v in zip(("length", "beam", "depth"), (length, beam, depth))
    )
    return Picture(
        skin.of_mesh(name, body.vertices, body.faces, water),
        (),
        normal,
        offset,
        None if floating is None else floating.centre,
        floating.rest.immersed.centroid if floating and floating.rest.immersed is not None else None,
        (),
        name,
        f"water of {floating.density:.0f} kg/m3" if floating else "as drawn: no mass given, so not afloat",
        "",
        "",
        sizes if floating is None else main_figures(floating),
    )


def model(made: Picture) -> bytes:
    """The parts and solids as a GLB file, as it lies in the water."""
    from hullview.show.glb import glb
    from hullview.show.pose import pose

    lying = np.eye(4) if made.normal is None or made.offset is None else pose(made.normal, made.offset)
    return glb([*made.parts, *made.solids], lying)


def subtitle(craft: Craft) -> str:
    """Build and its weight, who is aboard, which water."""
    boat, units = craft.boat, craft.boat.units_shown
    carried = [f"{p.name} {mass_text(p.mass, units, 0, both=False)}" for p in boat.load.paddlers]
    carried += [f"{g.name} {mass_text(g.mass, units, 0, both=False)}" for g in boat.load.gear]
    water = (
        f"{boat.water.kind} water" if boat.water.kind != "given" else f"water of {craft.density:.0f} kg/m3"
    )
    weight = f"{craft.weight.build}, {mass_text(craft.weight.mass, units, both=False)}"
    return "  ·  ".join([weight, *carried, water])


def draw(
    made: Picture,
    *,
    view: str = "quarter",
    see_through: bool = False,
    stations: bool = False,
    size: tuple[int, int] = (1600, 1000),
    off_screen: bool = True,
    tall: float | None = None,
    lift: float | None = None,
) -> pyvista.Plotter:
    """The picture as a scene, not yet shown; tall: share of the height it may fill, if not the usual; lift:
    how far over the middle of the sheet it stands, in the same."""
    from hullview.show.camera import LOW, TALL
    from hullview.show.scene import scene

    return scene(
        made.parts,
        np.array([0.0, 0.0, 1.0]) if made.normal is None else made.normal,
        0.0 if made.offset is None else made.offset,
        water=made.normal is not None,
        centre=made.centre,
        buoyancy=made.buoyancy,
        solids=made.solids,
        stations=made.stations if stations else (),
        title=made.title,
        subtitle=made.subtitle,
        verdict=made.verdict,
        worst=made.worst,
        figures=made.figures,
        view=view,
        see_through=see_through,
        size=size,
        off_screen=off_screen,
        tall=tall or TALL,
        lift=LOW if lift is None else lift,
    )
