"""What to order for one build: strips, boards, sheets, cloth, tape, resin, flour, coatings; what is used, what is waste, what to buy.

Each line names its waste. Wood and cloth are counted from the hull itself: strips along their own lines, cloth against the girth of each
station. The shop's own settings are those of `[order]`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hullview.boat.model import Boat, Build, Order, Planking, Skin
from hullview.materials import Cloth, Coating, Library, Resin, Wood, library
from hullview.shape.hull import Hull, SurfaceGrid
from hullview.weight.areas import Places, label_of, places_of, skin_spread, strip_face
from hullview.weight.lengths import STICKS, spread_along
from hullview.weight.strips import girths, strip_lines
from hullview.weight.total import Weight

Array = np.ndarray

SCARF = 8.0
"""A scarf is this many thicknesses long (common practice, no source)."""
SPARE_LENGTH = 0.10
"""A stick is cut this much longer than its run [m] (common practice, no source)."""
SHEET = (2.44, 1.22)
"""A sheet of plywood [m]."""
SHEET_WASTE, STICK_WASTE, TAPE_WASTE, COAT_WASTE = 0.25, 0.10, 0.05, 0.15
"""Shares of what is used (common practice, no source)."""
EDGE_GLUE_WASTE = 1.0
"""Of wood glue as much again is squeezed out and wiped off (common practice, no source)."""
GLUE_SOLIDS = 0.5
"""Share of water-based glue that is left when it has dried (from memory)."""


@dataclass(frozen=True)
class OrderLine:
    """One thing to buy. use: what goes on the boat, waste: what is lost besides (its reason in `waste_note`), need: both, buy: what to
    order, rounded up to how it is sold; all in `unit`. high: the need of a boat at the upper end of its range, where it was reckoned.
    cost in `currency` where the shop gave a price for that unit."""

    group: str
    item: str
    use: float
    waste: float
    buy: float
    unit: str
    detail: str = ""
    waste_note: str = ""
    high: float | None = None
    cost: float | None = None
    currency: str | None = None

    @property
    def need(self) -> float:
        return self.use + self.waste


@dataclass(frozen=True)
class StationGirth:
    """Full girth of a skin at a place [m] against the roll's width: shortfall 0 where one width covers it."""

    station: str
    position: float
    girth: float
    shortfall: float


@dataclass(frozen=True)
class ClothCut:
    """A panel of cloth to cut: widths side by side along the boat, each `length` by `width` [m]; stations against the roll."""

    where: str
    cloth: str
    pieces: int
    length: float
    width: float
    stations: tuple[StationGirth, ...]


@dataclass(frozen=True)
class Usage:
    """Wood or resin by step: bought, left on the boat, sanded off, wasted [kg]."""

    what: str
    step: str
    bought: float
    left: float
    sanded: float
    wasted: float


@dataclass(frozen=True)
class Shopping:
    """The whole order: lines, how the cloth is cut, and where wood and resin end up by step."""

    build: str
    lines: tuple[OrderLine, ...]
    cuts: tuple[ClothCut, ...]
    usage: tuple[Usage, ...]

    @property
    def costs(self) -> dict[str, float]:
        """What is priced, summed by currency."""
        found: dict[str, float] = {}
        for line in self.lines:
            if line.cost is not None:
                found[line.currency or ""] = found.get(line.currency or "", 0.0) + line.cost
        return found

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Items that have no price."""
        return tuple(line.item for line in self.lines if line.cost is None)


def buy(boat: Boat, hull: Hull, weight: Weight) -> Shopping:
    """The order for the build that was weighed."""
    build, lib, order = boat.build(weight.build), library(boat.materials), boat.order
    places = places_of(hull, build.schedule)
    cuts = tuple(cloth_cuts(build, hull, order, lib))
    lines = [
        *_strips(build, hull, weight, order, lib), *_sticks(build, places, order, lib), *_sheets(weight, lib),
        *_pieces(build, lib), *_cloth(cuts, build, places, boat, lib), *_tapes(build, places, lib),
        *_resins(weight, order, lib), *_coatings(build, places, boat, lib), *_consumables(boat),
    ]  # fmt: skip
    return Shopping(build.name, tuple(lines), cuts, tuple(_usage(weight, order)))


def _priced(line: OrderLine, material: Wood | Cloth | Resin | Coating, amounts: dict[str, float]) -> OrderLine:
    """With its cost, where the shop's price is per a unit in which the amount bought is known."""
    per = (material.price_per or "").strip().lower()
    if material.price is None or per not in amounts:
        return line
    return replace(line, cost=material.price * amounts[per], currency=material.currency)


# ---------------------------------------------------------------- wood


@dataclass(frozen=True)
class StripCount:
    """Strips of one skin: how many (both sides), their running length [m], the longest [m]."""

    count: int
    running: float
    longest: float


def strip_count(grid: SurfaceGrid | None, face: float, area: float, sheer_row: int, length: float) -> StripCount:
    """Count along the girth and length along each strip's own line; without a grid, from the area and the skin's length [m]."""
    if grid is None:
        running = area / face
        return StripCount(int(np.ceil(running / length)), running, length)
    lines = strip_lines(grid, face, sheer_row)
    widest = int(np.ceil(float(girths(grid).max()) / face - 1e-6))
    count = max(widest, len(lines))
    return StripCount(2 * count, max(2 * sum(s.length for s in lines), area / face), max(s.length for s in lines))


def _strips(build: Build, hull: Hull, weight: Weight, order: Order, lib: Library) -> Iterator[OrderLine]:
    """Strips by count and running length, then the boards they are ripped from."""
    length = float(np.ptp(hull.sheer[:, 0]))
    banded = any(p.band for p in build.schedule.planking)
    for p in build.schedule.planking:
        if p.kind != "strip":
            continue
        wood, face = lib.wood(p.wood), strip_face(p)
        area = sum(x.quantity for x in weight.lines if x.group == "planking" and x.material == wood.name and x.where == label_of(p))
        grid, row = {"hull": (hull.side, -1), "deck": (hull.deck, 0)}.get(p.where, (None, -1))
        if p.band is not None or (banded and p.where == "hull"):
            grid = None  # a band changes how many run where: go by the area
        yield from _ordered_strips(p, wood, strip_count(grid, face, area, row, length), area / face, order)


def _ordered_strips(p: Planking, wood: Wood, found: StripCount, used: float, order: Order) -> Iterator[OrderLine]:
    joints = 0.0
    stock = order.stock_length or found.longest + SPARE_LENGTH
    if found.longest > stock:
        each = SCARF * p.thickness if order.joint == "scarf" else 0.0
        joints = found.running / stock * each
    waste = order.strip_waste * used + joints
    lengths = int(np.ceil((used + waste) / stock - 1e-9))
    joined = "" if found.longest <= stock else f", {order.joint}ed (the longest is {found.longest:.2f} m)"
    size = f"{p.thickness * 1000:.4g} x {p.strip_width * 1000:.4g} mm, {p.edge}"
    line = OrderLine(
        "strips", f"{wood.name} strips {size}, {p.where if p.band is None else 'band'}", used, waste, lengths * stock, "m",
        f"{found.count} strips round the girth; {lengths} lengths of {stock:.2f} m{joined}", f"{order.strip_waste:.0%} offcuts and splits"
        + (f", {joints:.1f} m in scarfs" if joints else ""),
    )  # fmt: skip
    volume = line.buy * p.thickness * p.strip_width
    yield _priced(line, wood, {"m": line.buy, "m3": volume, "kg": volume * wood.density[1], "strip": float(lengths), "each": float(lengths)})
    ripped = int((order.board_width + order.kerf) / (p.thickness + order.kerf))
    boards = int(np.ceil(lengths / max(ripped, 1)))
    solid = lengths * stock * p.thickness * p.strip_width
    sawn = boards * stock * order.board_width * p.strip_width
    board = OrderLine(
        "boards", f"or boards of {wood.name} {order.board_width * 1000:.0f} x {p.strip_width * 1000:.4g} mm", solid / (order.board_width * p.strip_width),
        (sawn - solid) / (order.board_width * p.strip_width), boards * stock, "m",
        f"{boards} boards of {stock:.2f} m, {ripped} strips from each", f"kerf {order.kerf * 1000:.1f} mm a cut and what is left of the last board",
    )  # fmt: skip
    yield _priced(board, wood, {"board": float(boards)})


def _sticks(build: Build, places: Places, order: Order, lib: Library) -> Iterator[OrderLine]:
    """Plies and solid sticks by their section, as long as their run and a little more."""
    for run in build.schedule.runs:
        if run.kind not in STICKS or not run.wood:
            continue
        wood, length = lib.wood(run.wood), spread_along(run, places).size
        sides = 2 if run.along.startswith(("sheer", "chine", "transom")) else 1
        plies = run.plies if run.kind == "lamination" else 1
        thick = (run.ply_thickness if run.kind == "lamination" else run.thickness) or 0.0
        one = length / sides
        stock = order.stock_length
        scarf = SCARF * thick * sides * plies * (np.ceil(one / stock) - 1) if stock and one > stock and order.joint == "scarf" else 0.0
        used = length * plies
        waste = STICK_WASTE * used + SPARE_LENGTH * sides * plies + scarf
        line = OrderLine(
            "sticks", f"{wood.name} {thick * 1000:.4g} x {(run.depth or 0) * 1000:.4g} mm, {run.name or run.along}", used, waste,
            float(np.ceil((used + waste) * 10) / 10), "m", f"{sides * plies} of {one + SPARE_LENGTH:.2f} m",
            f"{STICK_WASTE:.0%} and {SPARE_LENGTH * 1000:.0f} mm on each" + (f", {scarf:.2f} m in scarfs" if scarf else ""),
        )  # fmt: skip
        volume = line.buy * thick * (run.depth or 0)
        yield _priced(line, wood, {"m": line.buy, "m3": volume, "kg": volume * wood.density[1]})


def _sheets(weight: Weight, lib: Library) -> Iterator[OrderLine]:
    """Sheet planking, lapped planks and bulkheads by area."""
    for line in weight.lines:
        sheet = line.item.startswith(("sheet planking", "lapped planking", "bulkhead")) and line.group in ("planking", "other wood")
        if not sheet:
            continue
        wood = lib.wood(line.material)
        waste = SHEET_WASTE * line.quantity
        sheets = (line.quantity + waste) / (SHEET[0] * SHEET[1])
        count = float(np.ceil(sheets * 4 - 1e-9) / 4)
        made = OrderLine(
            "sheets", f"{wood.name}, {line.where}", line.quantity, waste, count * SHEET[0] * SHEET[1], "m2",
            f"{count:g} sheets of {SHEET[0]:.2f} x {SHEET[1]:.2f} m", f"{SHEET_WASTE:.0%} offcuts",
        )  # fmt: skip
        yield _priced(made, wood, {"m2": made.buy, "sheet": float(np.ceil(count)), "each": float(np.ceil(count))})


def _pieces(build: Build, lib: Library) -> Iterator[OrderLine]:
    """Pieces: by wood and size, or as bought."""
    for p in build.schedule.pieces:
        if p.wood and p.size:
            wood, volume = lib.wood(p.wood), p.count * float(np.prod(p.size))
            size = " x ".join(f"{s * 1000:.4g}" for s in p.size)
            line = OrderLine("pieces", f"{p.name}: {wood.name} {size} mm", float(p.count), 0.0, float(p.count), "pieces")
            yield _priced(line, wood, {"m3": volume, "kg": volume * wood.density[1], "each": float(p.count)})
        else:
            yield OrderLine("pieces", p.name, float(p.count), 0.0, float(p.count), "pieces")


# ---------------------------------------------------------------- cloth


def cloth_cuts(build: Build, hull: Hull, order: Order, lib: Library) -> Iterator[ClothCut]:
    """How each skin's cloth is cut from its roll: widths from the greatest girth, lengths from the skin's, both with overhang."""
    for s in build.schedule.skins:
        if not s.cloth or s.layers < 1 or s.coating:
            continue
        cloth = lib.cloth(s.cloth)
        roll = cloth.roll_width or order.roll_width
        stations = tuple(_station_girths(s, hull, roll, order.cloth_overhang))
        if not stations:
            continue
        widest = max(g.girth for g in stations) + 2 * (order.cloth_overhang + s.overlap)
        length = float(np.ptp(hull.sheer[:, 0]))
        pieces = int(np.ceil(widest / roll - 1e-9))
        yield ClothCut(s.where, cloth.name, pieces * s.layers, length + 2 * order.cloth_overhang, min(widest / pieces, roll), stations)


def _station_girths(s: Skin, hull: Hull, roll: float, overhang: float) -> Iterator[StationGirth]:
    """Both sides' girth of a skin at each column of its grid, named where it is a station."""
    grid = hull.deck if s.where.startswith("deck") else hull.side if s.where.startswith(("hull", "bottom")) else None
    if grid is None:
        return
    p = grid.points
    step = np.sqrt((np.diff(p, axis=0) ** 2).sum(axis=2))
    from_edge = np.concatenate([np.zeros((1, p.shape[1])), np.cumsum(step, axis=0)])
    half = from_edge[-1]
    if grid is hull.side:
        from_centre = from_edge + p[0, :, 1]
        half = from_centre[-1]
        if s.girth is not None:
            half = np.minimum(half, s.girth)
        if s.below is not None:
            half = np.minimum(half, [float(np.interp(s.below, p[:, j, 2], from_centre[:, j])) for j in range(p.shape[1])])
    x = p[:, :, 0].mean(axis=0)
    for name, at in zip(hull.station_names, hull.stations):
        if x[0] < at < x[-1]:
            girth = 2 * float(np.interp(at, x, half))
            yield StationGirth(name, float(at), girth, max(0.0, girth + 2 * overhang - roll))


def _cloth(cuts: Sequence[ClothCut], build: Build, places: Places, boat: Boat, lib: Library) -> Iterator[OrderLine]:
    """Each cloth by the metre off its roll, panels nested side by side where two fit its width."""
    used: dict[str, float] = {}
    for s in build.schedule.skins:
        if s.cloth and not s.coating:
            cloth = lib.cloth(s.cloth)
            used[cloth.name] = used.get(cloth.name, 0.0) + s.layers * skin_spread(s, places, boat).size
    for name, area in used.items():
        cloth = lib.cloth(name)
        roll = cloth.roll_width or boat.order.roll_width
        panels = [(c.length, c.width, c.where) for c in cuts if c.cloth == name for _ in range(c.pieces)]
        shelves = nested(panels, roll)
        cut_area = sum(length * width for length, width, _ in panels)
        length = sum(shelf[0][0] for shelf in shelves) + max(0.0, area - cut_area if not panels else 0.0) / roll
        buy_length = float(np.ceil(length * 10 - 1e-9) / 10)
        side_by_side = "; ".join(" beside ".join(w for _, _, w in shelf) for shelf in shelves if len(shelf) > 1)
        line = OrderLine(
            "cloth", f"{cloth.name}, roll {roll:.2f} m wide", area, buy_length * roll - area, buy_length * roll, "m2",
            f"{buy_length:.1f} m off the roll in {len(shelves)} lengths" + (f"; {side_by_side}" if side_by_side else ""),
            f"{boat.order.cloth_overhang * 1000:.0f} mm overhang and the roll's edges",
        )  # fmt: skip
        yield _priced(line, cloth, {"m2": line.buy, "m": buy_length, "kg": line.buy * cloth.areal[1]})


def nested(panels: Sequence[tuple[float, float, str]], roll: float) -> list[list[tuple[float, float, str]]]:
    """Panels (length, width, name) laid on lengths of a roll: longest first, each beside the first one that leaves room for it.

    >>> [[p[2] for p in shelf] for shelf in nested([(3.2, 0.7, "hull"), (3.1, 0.5, "deck"), (2.0, 0.3, "bottom")], 1.27)]
    [['hull', 'deck'], ['bottom']]
    """
    shelves: list[list[tuple[float, float, str]]] = []
    for panel in sorted(panels, key=lambda p: (-p[0], -p[1], p[2])):
        room = next((s for s in shelves if sum(p[1] for p in s) + panel[1] <= roll + 1e-9), None)
        if room is None:
            shelves.append([panel])
        else:
            room.append(panel)
    return shelves


def _tapes(build: Build, places: Places, lib: Library) -> Iterator[OrderLine]:
    """Tape by width and length."""
    for run in build.schedule.runs:
        if run.kind == "tape" and run.cloth and run.width:
            cloth = lib.cloth(run.cloth)
            used = spread_along(run, places).size * run.layers
            waste = TAPE_WASTE * used
            line = OrderLine(
                "tape", f"{cloth.name}, {run.width * 1000:.4g} mm wide, {run.name or run.along}", used, waste,
                float(np.ceil((used + waste) * 2) / 2), "m", f"{run.layers} layer{'s' if run.layers > 1 else ''}", f"{TAPE_WASTE:.0%} at the ends",
            )  # fmt: skip
            area = line.buy * run.width
            yield _priced(line, cloth, {"m": line.buy, "m2": area, "kg": area * cloth.areal[1]})


# ---------------------------------------------------------------- resin and coatings

JOBS = {"glue line": "light", "fillet": "filleting"}
"""Which thickening a step takes; a light glue job on porous softwood takes little filler, syrup-thin (common practice, no source)."""


@dataclass(frozen=True)
class ResinStep:
    """Neat resin of one step: likely, at the upper end of the range [kg], and the flour that goes with it."""

    resin: str
    step: str
    likely: float
    high: float
    flour: float


def resin_steps(weight: Weight, lib: Library) -> list[ResinStep]:
    """What is put on, by resin and step; flour is taken out of thickened glue."""
    model, z = weight.model, weight.z
    if model is None or z is None:
        return []
    sampled, likely = model.term_masses(z), model.term_masses(model.likely())
    rows: dict[tuple[str, str], list[int]] = {}
    for i, (t, n) in enumerate(zip(model.terms, model.line)):
        line = weight.lines[n] if n < len(weight.lines) else None
        if line and line.group in ("resin", "glue") and t.step != "edge glue" and t.coefficient > 0:
            rows.setdefault((line.material, t.step), []).append(i)
    found = []
    for (name, step), which in rows.items():
        r = lib.resin(name)
        flour = {"light": r.flour_light, "filleting": r.flour_fillet}.get(JOBS.get(step, ""), 0.0)
        most, upper = float(likely[which].sum()), float(np.quantile(sampled[which].sum(axis=0), 0.9))
        found.append(ResinStep(r.name, step, most / (1 + flour), upper / (1 + flour), most * flour / (1 + flour)))
    return found


def _resins(weight: Weight, order: Order, lib: Library) -> Iterator[OrderLine]:
    """Each resin by step and in all, in the packs the shop lists; flour by glue job; wood glue."""
    steps = resin_steps(weight, lib)
    for name in dict.fromkeys(s.resin for s in steps):
        yield _resin(lib.resin(name), [s for s in steps if s.resin == name], order)
    for step, job in JOBS.items():
        flour = sum(s.flour for s in steps if s.step == step)
        if flour > 0:
            waste = order.resin_waste * flour
            yield OrderLine(
                "flour", f"wood flour for {job} glue", flour, waste, float(np.ceil((flour + waste) * 20 - 1e-9) / 20), "kg",
                "" if job == "filleting" else "little, syrup-thin, on porous softwood; a joint squeezed dry is weak", f"{order.resin_waste:.0%} with the resin",
            )  # fmt: skip
    edge = sum(s.put_on for s in weight.steps if s.step == "edge glue")
    if edge > 0:
        wet = edge / GLUE_SOLIDS
        yield OrderLine("glue", "wood glue for the strips' edges", wet, EDGE_GLUE_WASTE * wet, float(np.ceil((1 + EDGE_GLUE_WASTE) * wet * 4) / 4), "kg",
                        "half of it is water", "as much again squeezed out and wiped off")  # fmt: skip


def _resin(r: Resin, steps: Sequence[ResinStep], order: Order) -> OrderLine:
    used, high = sum(s.likely for s in steps), (1 + order.resin_waste) * sum(s.high for s in steps)
    waste = order.resin_waste * used
    bought, packs = packs_for(used + waste, r.packs or order.resin_packs)
    said = ["by step [kg]: " + ", ".join(f"{s.step} {s.likely:.2f}" for s in steps), *([f"packs {packs}"] if packs else [])]
    if high > bought:
        said.append(f"a boat at the upper end of the range needs {high:.1f} kg")
    line = OrderLine(
        "resin", f"{r.name}, resin and hardener together", used, waste, bought, "kg", "; ".join(said),
        f"{order.resin_waste:.0%} left in pots, rollers and brushes", high,
    )  # fmt: skip
    litres = bought / r.mixed_density * 1000
    return _priced(line, r, {"kg": bought, "l": litres, "litre": litres})


def packs_for(need: float, sizes: Sequence[float]) -> tuple[float, str]:
    """The fewest kilograms in whole packs that cover the need, then the fewest packs; without sizes, rounded up to 0.1 kg.

    >>> packs_for(4.3, (1.5, 6.0))
    (4.5, '3 x 1.5 kg')
    >>> packs_for(5.2, (1.5, 6.0))
    (6.0, '1 x 6 kg')
    """
    if not sizes:
        return float(np.ceil(need * 10 - 1e-9) / 10), ""
    grams = sorted({round(s * 1000) for s in sizes})
    target = int(np.ceil(need * 1000 - 1e-6))
    best: dict[int, tuple[int, ...]] = {0: ()}
    for total in range(0, target + grams[-1] + 1):
        if total in best:
            if total >= target:
                counted = sorted({g: best[total].count(g) for g in best[total]}.items(), reverse=True)
                return total / 1000, " and ".join(f"{n} x {g / 1000:g} kg" for g, n in counted)
            for g in grams:
                chosen = (*best[total], g)
                if total + g not in best or len(chosen) < len(best[total + g]):
                    best[total + g] = chosen
    raise AssertionError("a pack larger than the need always covers it")


def _coatings(build: Build, places: Places, boat: Boat, lib: Library) -> Iterator[OrderLine]:
    """Paint and varnish by the coat, wet, as it comes from the tin."""
    used: dict[str, float] = {}
    for s in build.schedule.skins:
        if s.coating:
            used[s.coating] = used.get(s.coating, 0.0) + skin_spread(s, places, boat).size * max(s.coats, 1)
    for name, area in used.items():
        c = lib.coating(name)
        wet = area * c.wet
        line = OrderLine("coating", c.name, wet, COAT_WASTE * wet, float(np.ceil((1 + COAT_WASTE) * wet * 10) / 10), "kg",
                         f"{area:.1f} m2 of coats", f"{COAT_WASTE:.0%} in brushes and tins")  # fmt: skip
        yield _priced(line, c, {"kg": line.buy})


def _consumables(boat: Boat) -> Iterator[OrderLine]:
    """The shop's own list, as it stands."""
    for c in boat.consumables:
        number = "".join(ch for ch in c.quantity.split()[0] if ch.isdigit() or ch == ".") if c.quantity.split() else ""
        count = float(number) if number.strip(".") else 1.0
        yield OrderLine("consumables", c.name, count, 0.0, count, c.quantity, cost=None if c.price is None else c.price * count)


def _usage(weight: Weight, order: Order) -> Iterator[Usage]:
    """Bought, left, sanded and wasted by step, for wood, resin and glue."""
    share = {"planking": order.strip_waste, "resin": order.resin_waste, "glue": order.resin_waste, "other wood": STICK_WASTE}
    stripped = any(x.item.startswith("strip planking") for x in weight.lines)
    for s in weight.steps:
        if s.group in share:
            rate = SHEET_WASTE if s.group == "planking" and not stripped else share[s.group]
            waste = rate * s.put_on
            yield Usage(s.group, s.step, s.put_on + waste, s.left, s.sanded, waste)
