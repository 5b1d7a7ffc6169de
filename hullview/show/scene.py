"""The hull afloat as a PyVista scene, built from results and returned, not shown. The water's surface is z
= 0."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from hullview.show import colours, stage, wood
from hullview.show.camera import TALL, box, look
from hullview.show.captions import shortened
from hullview.show.parts import Part, legend
from hullview.show.pose import move, pose

if TYPE_CHECKING:
    import pyvista

Array = np.ndarray

EDGE_ON = ("profile", "body")
AMBIENT, DIFFUSE = 0.74, 0.34
"""Little shading: a face must look like its word in the legend."""
UP = np.array([0.0, 0.0, 1.0])
OFF = 0.0008
"""How far the band along the waterline stands off the skin [m], so that no skin shows through it."""
LEVER_LEAST = 0.002
"""A lever between the verticals shorter than this [m] is not drawn."""


def scene(
    parts: Sequence[Part],
    normal: Array,
    offset: float,
    *,
    water: bool = True,
    centre: Array | None = None,
    buoyancy: Array | None = None,
    solids: Sequence[Part] = (),
    stations: Sequence[tuple[str, Array]] = (),
    title: str = "",
    subtitle: str = "",
    verdict: str = "",
    figures: Sequence[tuple[str, str]] = (),
    view: str = "quarter",
    see_through: bool = False,
    size: tuple[int, int] = (1600, 1000),
    off_screen: bool = True,
    tall: float = TALL,
) -> pyvista.Plotter:
    """The hull at rest in water whose surface is normal . p = offset [m] in the boat's frame.

    water=False draws it dry. centre, buoyancy: (3,) of its weight and of the water it displaces;
    stations: name and (k, 3) starboard section of each; figures: (words, value) for the caption. `size` in
    pixels; tall: share of the height it may fill.
    """
    plotter = canvas(size, off_screen)
    motion = pose(normal, offset)
    add_parts(plotter, parts, motion, see_through=see_through)
    add_parts(plotter, solids, motion, prefix="solid")
    look(plotter, view, parts, motion, tall)
    line = np.empty((0, 2, 3))
    if water:
        line = add_waterline(plotter, parts, motion)
        add_water(plotter, parts, motion, line)
        add_curtain(plotter, parts, motion, view)
    add_centres(plotter, motion, centre, buoyancy)
    add_stations(plotter, stations, motion)
    add_legend(plotter, [*legend([*parts, *solids]), *signs(line, centre, buoyancy)])
    add_caption(plotter, title, subtitle, verdict, figures)
    add_bar(plotter, parts, motion, view)
    plotter.reset_camera_clipping_range()
    return plotter


def png(plotter: pyvista.Plotter) -> bytes:
    """The scene as it stands, as a PNG file; the plotter is closed."""
    held = io.BytesIO()
    plotter.screenshot(held)
    plotter.close()
    return held.getvalue()


def webp(plotter: pyvista.Plotter) -> bytes:
    """The scene as it stands, as a small picture for a page; the plotter is closed."""
    from PIL import Image

    shot = Image.fromarray(np.asarray(plotter.screenshot(None, return_img=True)))
    plotter.close()
    held = io.BytesIO()
    shot.save(held, "WEBP", quality=90, method=2)
    return held.getvalue()


def signs(line: Array, centre: Array | None, buoyancy: Array | None) -> tuple[tuple[str, str], ...]:
    """(words, colour) of what is drawn over it."""
    drawn = (
        ("loaded waterline", colours.WATERLINE, line if len(line) else None),
        ("G  centre of gravity", colours.WEIGHT, centre),
        ("B  centre of buoyancy", colours.BUOYANCY, buoyancy),
    )
    return tuple((words, colour) for words, colour, there in drawn if there is not None)


def canvas(size: tuple[int, int], off_screen: bool) -> pyvista.Plotter:
    """An empty sheet: paper, and two lamps that leave colours what they are."""
    import pyvista

    plotter: Any = pyvista.Plotter(
        off_screen=off_screen, window_size=list(size), lighting="none", title="hullview"
    )
    plotter.set_background(colours.PAPER, top="#e9eef0")
    for place, strength in (((-4.0, 7.0, 6.0), 0.9), ((4.0, -5.0, 4.0), 0.5)):
        plotter.add_light(
            pyvista.Light(position=place, intensity=strength, light_type="scene light", positional=False)
        )
    plotter.enable_anti_aliasing("msaa", multi_samples=8)
    made: pyvista.Plotter = plotter
    return made


def mesh_of(part: Part) -> pyvista.PolyData:
    """The faces of a part, with normals for soft shading and the place of the grain."""
    import pyvista

    mesh: pyvista.PolyData = pyvista.PolyData.from_regular_faces(part.vertices, part.faces)
    mesh.compute_normals(
        cell_normals=False,
        consistent_normals=False,
        auto_orient_normals=False,
        split_vertices=False,
        inplace=True,
    )
    if part.wooden:
        mesh.active_texture_coordinates = wood.texture_place(part.sheet.along, part.sheet.across, part.strip)
    return mesh


def add_parts(
    plotter: pyvista.Plotter,
    parts: Iterable[Part],
    motion: Array,
    *,
    see_through: bool = False,
    prefix: str = "part",
) -> None:
    """Each part as an actor named after it ("part hull, western redcedar"), moved into the water by its
    matrix."""
    import pyvista

    for part in parts:
        look_of_it: dict[str, Any] = {"color": part.colour}
        if part.wooden:
            picture = pyvista.Texture(wood.planks(part.colour, part.words, strips=part.strip > 0))
            picture.repeat, picture.mipmap, picture.interpolate = True, True, True
            picture.SetMaximumAnisotropicFiltering(8)
            look_of_it = {"color": "white", "texture": picture}
        actor = plotter.add_mesh(
            mesh_of(part),
            name=f"{prefix} {part.name}",
            smooth_shading=True,
            ambient=AMBIENT,
            diffuse=DIFFUSE,
            specular=0.0,
            opacity=0.28 if see_through else 1.0,
            show_scalar_bar=False,
            render=False,
            reset_camera=False,
            **look_of_it,
        )
        actor.user_matrix = motion


def turn_to(plotter: pyvista.Plotter, motion: Array) -> None:
    """Move every part and solid to another pose; the meshes stay as they are."""
    for name, actor in plotter.actors.items():
        if name.startswith(("part ", "solid ", "station ")):
            actor.user_matrix = motion


def add_water(plotter: pyvista.Plotter, parts: Sequence[Part], motion: Array, line: Array) -> None:
    """Still water round it, open where it stands in it (`line`, (k, 2, 3)), so that none shows inside it."""
    _add_veil(plotter, "water", *stage.water(*box(parts, motion), line))


def _add_veil(plotter: pyvista.Plotter, name: str, grid: Array, share: Array) -> None:
    """A sheet of water through points (i, j, 3), as thick to the eye as `share` (i, j) says, 0 to 1."""
    import pyvista

    index = np.arange(share.size).reshape(share.shape)
    quads = np.stack([index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]], axis=-1).reshape(-1, 4)
    sheet = pyvista.PolyData.from_regular_faces(grid.reshape(-1, 3), quads.astype(int))
    veil = np.tile([*(255 * c for c in colours.rgb(colours.WATER)), 0.0], (sheet.n_points, 1))
    veil[:, 3] = 165 * share.ravel()
    sheet["veil"] = veil.astype(np.uint8)
    _draw(plotter, sheet, name, scalars="veil", rgb=True)


def add_waterline(plotter: pyvista.Plotter, parts: Sequence[Part], motion: Array) -> Array:
    """A band up the outside of its skin from the line where the water's surface cuts it; returns the line
    (k, 2, 3) as drawn."""
    import pyvista

    line, outward, upward = stage.waterline([(move(motion, p.vertices), p.faces) for p in parts])
    _remove(plotter, "waterline", "waterline edge")
    if not len(line):
        return line
    for name, colour, off, share in (
        ("waterline edge", "#ffffff", OFF, 48),
        ("waterline", colours.WATERLINE, 2 * OFF, 80),
    ):
        foot = line + off * outward
        top = foot + upward * plotter.camera.parallel_scale / share
        band = np.concatenate([foot, top[:, ::-1]], axis=1).reshape(-1, 3)
        quads: Any = np.arange(len(band)).reshape(-1, 4)
        _draw(plotter, pyvista.PolyData.from_regular_faces(band, quads), name, color=colour, culling="back")
    return line


def add_centres(
    plotter: pyvista.Plotter, motion: Array, centre: Array | None, buoyancy: Array | None
) -> None:
    """Its centre of gravity G and of buoyancy B, seen through the hull, the verticals through them and the
    lever between."""
    import pyvista

    size = plotter.camera.parallel_scale
    thin = max(1.5, plotter.window_size[1] / 500)
    from_above = (
        abs(plotter.camera.direction[2]) > 0.9
    )  # the verticals are then seen end on, and its ends lie right and left
    out = np.array([-1.0, 0, 0]) * 0.3 if from_above else UP
    found: dict[str, Array] = {}
    for letter, place, colour, way in (
        ("G", centre, colours.WEIGHT, 1),
        ("B", buoyancy, colours.BUOYANCY, -1),
    ):
        if place is None:
            continue
        point = found[letter] = move(motion, place)
        ball = pyvista.Sphere(radius=size / 40, center=point, theta_resolution=24, phi_resolution=24)
        _in_front(_draw(plotter, ball, f"centre {letter}", color=colour), 1e6)
        far = point + out * size * 0.36 * way
        _in_front(
            _draw(plotter, pyvista.Line(point, far), f"vertical {letter}", color=colour, line_width=thin), 1e6
        )
        _place(plotter, _letter(plotter, letter, far + out * size * 0.05 * way, colour), f"letter {letter}")
    _remove(plotter, "lever")
    if len(found) == 2 and abs(found["B"][1] - found["G"][1]) > LEVER_LEAST:
        foot = np.array([found["G"][0], found["B"][1], found["G"][2]])
        lever = pyvista.Line(found["G"], foot)
        _in_front(_draw(plotter, lever, "lever", color=colours.LEVER, line_width=3 * thin), 1e6)


def add_stations(plotter: pyvista.Plotter, stations: Sequence[tuple[str, Array]], motion: Array) -> None:
    """Each station's section drawn on both sides of the hull, with its name above the sheer."""
    import pyvista

    for name, section in stations:
        if len(section) < 2:
            continue
        both = np.concatenate([(section * [1, -1, 1])[::-1], section])
        actor = _draw(
            plotter,
            pyvista.MultipleLines(both),
            name=f"station {name}",
            color=colours.INK,
            opacity=0.55,
            line_width=max(1.0, plotter.window_size[1] / 900),
        )
        actor.user_matrix = motion
        _in_front(actor, 40.0)
        top = move(motion, section[-1]) + UP * plotter.camera.parallel_scale * 0.05
        words = _letter(plotter, name, top, colours.INK, 0.65)
        words.GetTextProperty().SetBackgroundColor(*colours.rgb(colours.PAPER))
        words.GetTextProperty().SetBackgroundOpacity(0.75)
        _place(plotter, words, f"station name {name}")


def add_legend(plotter: pyvista.Plotter, key: Sequence[tuple[str, str]]) -> None:
    """(words, colour) down the right-hand side, a patch of the colour before each word."""
    drop = 0.034
    for i, (words, colour) in enumerate(key):
        y = 0.93 - i * drop
        _place(plotter, _patch(plotter, 0.8, y, colours.FAINT_INK, 1.12), f"rim {i}")
        _place(plotter, _patch(plotter, 0.8, y, colour), f"patch {i}")
        _write(plotter, f"legend {i}", words, (0.817, y), 19, colours.INK)
    extra = len(key)
    while f"patch {extra}" in plotter.actors:  # left over from a longer legend
        _remove(plotter, f"rim {extra}", f"patch {extra}", f"legend {extra}")
        extra += 1


def add_caption(
    plotter: pyvista.Plotter, title: str, subtitle: str, verdict: str, figures: Sequence[tuple[str, str]]
) -> None:
    """Name and answer at the top left; figures in a row along the foot, each with its words under it."""
    _write(plotter, "title", shortened(title, 42), (0.03, 0.925), 40, colours.INK, bold=True)
    _write(plotter, "subtitle", shortened(subtitle, 92), (0.03, 0.877), 20, colours.FAINT_INK)
    _write(
        plotter,
        "verdict",
        shortened(verdict, 110),
        (0.03, 0.835),
        22,
        colours.headline_colour(verdict),
        bold=True,
    )
    step = 0.945 / max(len(figures), 1)
    for i, (words, value) in enumerate(figures):
        x = 0.03 + i * step
        _write(plotter, f"value {i}", value, (x, 0.082), 26, colours.INK, bold=True)
        _write(plotter, f"word {i}", words, (x, 0.048), 17, colours.FAINT_INK)
    _remove(plotter, *(f"{kind} {i}" for kind in ("value", "word") for i in range(len(figures), 8)))


def add_foot(plotter: pyvista.Plotter, words: str) -> None:
    """A small line along the very foot of the sheet."""
    _write(plotter, "foot", words, (0.03, 0.016), 14, colours.FAINT_INK)


def add_bar(plotter: pyvista.Plotter, parts: Sequence[Part], motion: Array, view: str) -> None:
    """A rod 1 m long, black and white by 100 mm: beside it on the water, or under it where the water is
    seen edge on."""
    import pyvista

    low, high = box(parts, motion)
    middle, half = (low + high) / 2, plotter.camera.parallel_scale
    along = np.array([0.0, 1, 0]) if view == "body" else np.array([1.0, 0, 0])
    if view in EDGE_ON:
        beside = np.array([middle[0], middle[1], low[2] - 0.16 * half])
        beside[0 if view == "body" else 1] = (
            high[0 if view == "body" else 1] + 0.05
        )  # before the veil of water
    else:
        beside = np.array([middle[0], high[1] + 0.28 * (high[0] - low[0]) / 2, 0.0])
    thick = half / 130
    for i in range(10):
        rod = pyvista.Tube(
            pointa=beside + along * (i / 10 - 0.5),
            pointb=beside + along * (i / 10 - 0.4),
            radius=thick,
            n_sides=12,
        )
        _draw(plotter, rod, f"bar {i}", color=(colours.INK, "#ffffff")[i % 2])
    side = 1.0 if view == "body" else -1.0  # the rod's right-hand end, as these views show it
    words = _letter(plotter, "1 m", beside + along * side * (0.5 + 0.08 * half), colours.FAINT_INK, 0.75)
    _place(plotter, words, "bar 1 m")


def add_curtain(plotter: pyvista.Plotter, parts: Sequence[Part], motion: Array, view: str) -> None:
    """Where the water's surface is seen edge on, a veil in front of it from the surface down, so that
    water is seen."""
    _remove(plotter, "curtain")
    if view in EDGE_ON:
        half = plotter.camera.parallel_scale
        reach = half * plotter.window_size[0] / plotter.window_size[1]
        _add_veil(
            plotter, "curtain", *stage.curtain(*box(parts, motion), half, reach, from_aft=view == "body")
        )


def _draw(plotter: pyvista.Plotter, mesh: Any, name: str, **look_of_it: Any) -> Any:
    """An actor in plain colour, lit or not lit alike, in place of any of that name."""
    return plotter.add_mesh(mesh, name=name, lighting=False, render=False, reset_camera=False, **look_of_it)


def _place(plotter: Any, actor: Any, name: str) -> None:
    plotter.add_actor(actor, name=name, render=False, reset_camera=False)


def _remove(plotter: Any, *names: str) -> None:
    plotter.remove_actor([n for n in names if n in plotter.actors], render=False)


def _in_front(actor: Any, by: float) -> None:
    """Draw an actor as if `by` units of depth nearer: a line on a skin shows whole, a centre shows through
    the hull."""
    mapper = actor.GetMapper()
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(0, -by)
    mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0, -by)


def _text(plotter: pyvista.Plotter, words: str, pixels: float, colour: str, bold: bool) -> Any:
    from vtkmodules.vtkRenderingCore import vtkTextActor

    actor = vtkTextActor()
    # a dollar would begin mathematics, a control sign would be drawn as a box
    actor.SetInput("".join(c if c.isprintable() else " " for c in words).replace("$", r"\$"))
    style = actor.GetTextProperty()
    style.SetFontFamilyToArial()
    style.SetFontSize(max(8, round(pixels * plotter.window_size[1] / 1000)))
    style.SetColor(*colours.rgb(colour))
    style.SetBold(bold)
    style.SetVerticalJustificationToCentered()
    return actor


def _write(
    plotter: pyvista.Plotter,
    name: str,
    words: str,
    place: tuple[float, float],
    pixels: float,
    colour: str,
    bold: bool = False,
) -> None:
    """Words at a place of the sheet (shares of its width and height), `pixels` high on a sheet 1000 high."""
    actor = _text(plotter, words, pixels, colour, bold)
    actor.GetPositionCoordinate().SetCoordinateSystemToNormalizedDisplay()
    actor.SetPosition(*place)
    _place(plotter, actor, name)


def _letter(plotter: pyvista.Plotter, words: str, point: Array, colour: str, size: float = 1.0) -> Any:
    """Words that stay upright at a point in the water's frame."""
    actor = _text(plotter, words, 24 * size, colour, True)
    actor.GetTextProperty().SetJustificationToCentered()
    actor.GetPositionCoordinate().SetCoordinateSystemToWorld()
    actor.GetPositionCoordinate().SetValue(*(float(c) for c in point))
    return actor


def _patch(plotter: pyvista.Plotter, x: float, y: float, colour: str, size: float = 1.0) -> Any:
    """A small square of a colour, its middle at x and y (shares of the sheet)."""
    import pyvista
    from vtkmodules.vtkRenderingCore import vtkActor2D, vtkCoordinate, vtkPolyDataMapper2D

    half = size * 0.009 * plotter.window_size[1]
    corners = half * np.array([[-1, -1, 0], [1, -1, 0], [1, 1, 0], [-1, 1, 0]])
    square = pyvista.PolyData.from_regular_faces(corners, np.array([[0, 1, 2, 3]]))
    mapper, actor, system = vtkPolyDataMapper2D(), vtkActor2D(), vtkCoordinate()
    system.SetCoordinateSystemToDisplay()
    mapper.SetInputData(square)
    mapper.SetTransformCoordinate(system)
    actor.SetMapper(mapper)
    actor.GetProperty().SetColor(*colours.rgb(colour))
    actor.GetPositionCoordinate().SetCoordinateSystemToNormalizedDisplay()
    actor.GetPositionCoordinate().SetValue(x, y, 0)
    return actor
