"""The hull afloat as a PyVista scene, built from results and returned, not shown. The water's surface is z
= 0."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from hullview.arrays import Array
from hullview.show import colours, stage, wood
from hullview.show.camera import LOW, TALL, box, look
from hullview.show.lettering import add_caption, add_legend, letter, place, remove
from hullview.show.parts import Part, legend
from hullview.show.pose import move, pose

if TYPE_CHECKING:
    import pyvista

EDGE_ON = ("profile", "body")
AMBIENT, DIFFUSE = 0.74, 0.34
"""Little shading: a face must look like its word in the legend."""
INSIDE = 0.62
"""The inside of a skin is this much darker than its outside."""
FOOT_AT = 0.62
"""How far under the middle of the sheet a vertical may reach, in halves of its height."""
UNDER = 0.16
"""How far under the boat the rod of 1 m lies where the water is seen edge on, in the same."""
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
    worst: str = "",
    figures: Sequence[tuple[str, str]] = (),
    view: str = "quarter",
    see_through: bool = False,
    size: tuple[int, int] = (1600, 1000),
    off_screen: bool = True,
    tall: float = TALL,
    lift: float = LOW,
) -> pyvista.Plotter:
    """The hull at rest in water whose surface is normal . p = offset [m] in the boat's frame.

    water=False draws it dry. centre, buoyancy: (3,) of its weight and of the water it displaces;
    stations: name and (k, 3) starboard section of each; figures: (words, value) for the caption. `size` in
    pixels; tall: share of the height it may fill; lift: how far over the middle it stands, in the same.
    """
    plotter = canvas(size, off_screen)
    motion = pose(normal, offset)
    add_parts(plotter, parts, motion, see_through=see_through)
    add_parts(plotter, solids, motion, prefix="solid")
    look(plotter, view, [*parts, *solids], motion, tall, lift)
    line = np.empty((0, 2, 3))
    if water:
        line = add_waterline(plotter, parts, motion)
        add_water(plotter, parts, motion, line)
        add_curtain(plotter, parts, motion, view)
    add_centres(plotter, parts, motion, centre, buoyancy)
    add_ends(plotter, parts, motion, view)
    add_stations(plotter, stations, motion)
    add_legend(plotter, [*legend([*parts, *solids]), *signs(line, centre, buoyancy)])
    add_caption(plotter, title, subtitle, verdict, figures, worst)
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
    for lamp, strength in (((-4.0, 7.0, 6.0), 0.9), ((4.0, -5.0, 4.0), 0.5)):
        plotter.add_light(
            pyvista.Light(position=lamp, intensity=strength, light_type="scene light", positional=False)
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
        inside = colours.darker("#ffffff" if part.wooden else part.colour, INSIDE)
        if prefix == "part" and not see_through:
            look_of_it["backface_params"] = {"color": inside, "ambient": AMBIENT, "diffuse": DIFFUSE}
        if part.wooden:
            picture = pyvista.Texture(wood.planks(part.colour, part.words, strips=part.strip > 0))
            picture.repeat, picture.mipmap, picture.interpolate = True, True, True
            picture.SetMaximumAnisotropicFiltering(8)
            look_of_it |= {"color": "white", "texture": picture}
        actor = plotter.add_mesh(
            mesh_of(part),
            name=f"{prefix} {part.name}",
            smooth_shading=True,
            culling="back" if part.opacity < 1 else None,
            ambient=AMBIENT,
            diffuse=DIFFUSE,
            specular=0.0,
            opacity=0.28 if see_through else part.opacity,
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
    remove(plotter, "waterline", "waterline edge")
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
    plotter: pyvista.Plotter,
    parts: Sequence[Part],
    motion: Array,
    centre: Array | None,
    buoyancy: Array | None,
) -> None:
    """Its centre of gravity G and of buoyancy B, seen through the hull, the verticals through them and the
    lever between."""
    import pyvista

    size = _size(plotter)
    thin = max(1.5, min(plotter.window_size) / 500)
    # seen from above the verticals stand end on: their marks lie fore and aft instead
    from_above = abs(plotter.camera.direction[2]) > 0.9
    out = np.array([-1.0, 0, 0]) * 0.3 if from_above else UP
    half = plotter.camera.parallel_scale
    lowest = plotter.camera.focal_point[2] - FOOT_AT * half
    if plotter.camera.parallel_projection:  # the rod lies under it
        lowest = max(lowest, box(parts, motion)[0][2] - UNDER * half + 0.1 * size)
    found: dict[str, Array] = {}
    for letter_of, at, colour, way in (
        ("G", centre, colours.WEIGHT, 1),
        ("B", buoyancy, colours.BUOYANCY, -1),
    ):
        if at is None:
            continue
        point = found[letter_of] = move(motion, at)
        mark = pyvista.Sphere(radius=size / 40, center=point, theta_resolution=24, phi_resolution=24)
        if letter_of == "B" and from_above:  # under G: a ring round it
            mark = pyvista.Disc(center=point, inner=size / 28, outer=size / 20, normal=UP, c_res=48)
        _in_front(_draw(plotter, mark, f"centre {letter_of}", color=colour), 1e6)
        far = point + out * size * 0.36 * way
        if way < 0 and not from_above:  # never down into the figures along the foot
            far[2] = min(max(far[2], lowest), point[2] - 0.06 * size)
        _in_front(
            _draw(plotter, pyvista.Line(point, far), f"vertical {letter_of}", color=colour, line_width=thin),
            1e6,
        )
        place(
            plotter, letter(plotter, letter_of, far + out * size * 0.05 * way, colour), f"letter {letter_of}"
        )
    remove(plotter, "lever")
    if len(found) == 2 and abs(found["B"][1] - found["G"][1]) > LEVER_LEAST:
        foot = np.array([found["G"][0], found["B"][1], found["G"][2]])
        lever = pyvista.Line(found["G"], foot)
        _in_front(_draw(plotter, lever, "lever", color=colours.LEVER, line_width=3 * thin), 1e6)


def add_ends(plotter: pyvista.Plotter, parts: Sequence[Part], motion: Array, view: str) -> None:
    """The words "bow" and "stern" over the two ends; none where the boat is seen from an end."""
    remove(plotter, "end bow", "end stern")
    if view == "body":
        return
    points = np.concatenate([part.vertices for part in parts])
    aft, raised = points[:, 0], np.array(plotter.camera.up)
    near = 0.02 * np.ptp(aft)
    for name, there in (("bow", aft < aft.min() + near), ("stern", aft > aft.max() - near)):
        seen = move(motion, points[there])
        head = seen[(seen @ raised).argmax()] + 0.055 * _size(plotter) * raised
        words = letter(plotter, name, head, colours.FAINT_INK, 0.7)
        place(plotter, words, f"end {name}")


def _size(plotter: pyvista.Plotter) -> float:
    """Half of what the sheet's shorter side shows [m]."""
    width, height = plotter.window_size
    return float(plotter.camera.parallel_scale * min(1.0, width / height))


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
        words = letter(plotter, name, top, colours.INK, 0.65)
        words.GetTextProperty().SetBackgroundColor(*colours.rgb(colours.PAPER))
        words.GetTextProperty().SetBackgroundOpacity(0.75)
        place(plotter, words, f"station name {name}")


def add_bar(plotter: pyvista.Plotter, parts: Sequence[Part], motion: Array, view: str) -> None:
    """A rod 1 m long, black and white by 100 mm: beside it on the water, or under it where the water is
    seen edge on."""
    import pyvista

    low, high = box(parts, motion)
    middle, half = (low + high) / 2, plotter.camera.parallel_scale
    along = np.array([0.0, 1, 0]) if view == "body" else np.array([1.0, 0, 0])
    if view in EDGE_ON:
        beside = np.array([middle[0], middle[1], low[2] - UNDER * half])
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
    side = -1.0 if view in ("profile", "plan") else 1.0  # right of it, or left where B's vertical comes down
    words = letter(
        plotter, "1 m", beside + along * side * (0.5 + 0.09 * _size(plotter)), colours.FAINT_INK, 0.75
    )
    place(plotter, words, "bar 1 m")


def add_curtain(plotter: pyvista.Plotter, parts: Sequence[Part], motion: Array, view: str) -> None:
    """Where the water's surface is seen edge on, a veil in front of it from the surface down, so that
    water is seen."""
    remove(plotter, "curtain")
    if view in EDGE_ON:
        half = plotter.camera.parallel_scale
        reach = half * plotter.window_size[0] / plotter.window_size[1]
        _add_veil(
            plotter, "curtain", *stage.curtain(*box(parts, motion), half, reach, from_aft=view == "body")
        )


def _draw(plotter: pyvista.Plotter, mesh: Any, name: str, **look_of_it: Any) -> Any:
    """An actor in plain colour, lit or not lit alike, in place of any of that name."""
    return plotter.add_mesh(mesh, name=name, lighting=False, render=False, reset_camera=False, **look_of_it)


def _in_front(actor: Any, by: float) -> None:
    """Draw an actor as if `by` units of depth nearer: a line on a skin shows whole, a centre shows through
    the hull."""
    mapper = actor.GetMapper()
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    mapper.SetRelativeCoincidentTopologyPolygonOffsetParameters(0, -by)
    mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0, -by)
