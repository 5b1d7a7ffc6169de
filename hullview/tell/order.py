"""What to buy: the order line by line with what is lost of each, how cloth is cut, where wood and resin
end up."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from hullview.answer.cautions import cautions
from hullview.boat.model import Boat
from hullview.tell.labels import sizes_words
from hullview.tell.model import Column, Data, Line, Q, Say, Section, Table, Telling, Words, listed, say
from hullview.weight.buy import Shopping, Usage
from hullview.weight.order import (
    BoardsCut,
    ClothCutting,
    Coats,
    Layers,
    Loss,
    Mixing,
    OrderLine,
    Roll,
    SheetsCut,
    SticksCut,
    StripsCut,
    Thickening,
)
from hullview.weight.order_cloth import ClothCut

UNIT_KINDS = {"m": "long", "m2": "about area", "kg": "fine mass", "pieces": "whole"}
"""How an amount is told by the unit of its line; cloth by the running length of its roll."""
WITHOUT_WASTE = ("pieces", "consumables")

_USAGE = (
    Column("what", "of"),
    Column("step", "for", wrap=True),
    Column("bought_kg", "bought", "fine mass"),
    Column("left_kg", "left on the boat", "fine mass"),
    Column("sanded_kg", "sanded off", "fine mass"),
    Column("wasted_kg", "wasted", "fine mass"),
    Column("over_kg", "over", "fine mass"),
)
_RECORD = tuple(
    Column(key, key, kind)
    for key, kind in (
        ("group", "words"),
        ("item", "words"),
        ("kind", "words"),
        ("material", "words"),
        ("purpose", "words"),
        ("sizes_m", "size"),
        ("buy", "number"),
        ("unit", "words"),
        ("use", "number"),
        ("waste", "number"),
        ("need", "number"),
        ("need_high", "number"),
        ("mass_kg", "fine mass"),
        ("instead", "yes"),
        ("detail", "words"),
        ("waste_note", "words"),
        ("cost", "money"),
        ("currency", "words"),
    )
)


def buy_telling(shopping: Shopping, boat: Boat) -> Telling:
    """The whole of `buy`."""
    warned = tuple(Line(say(c.text)) for c in cautions("shop"))
    return Telling(
        (
            order_section(shopping, boat.name),
            cuts_section(shopping.cuts),
            usage_section(shopping.usage),
            Section("cautions", "Cautions", warned),
        ),
        boat.units_shown,
        ("lines",),
        {"boat": boat.name},
    )


def order_section(shopping: Shopping, name: str) -> Section:
    """The order by group, what it costs as far as there are prices, and every line for programs."""
    groups = dict.fromkeys(line.group for line in shopping.lines)
    head = Line(say(f"What to buy for {name}, built {shopping.build}"), strong=True)
    tables = [_group(g, [line for line in shopping.lines if line.group == g]) for g in groups]
    rows = tuple(_record(line) for line in shopping.lines)
    return Section(
        "order",
        "To order",
        (
            head,
            *tables,
            *_costs(shopping),
            Data("build", shopping.build),
            Table("lines", "", _RECORD, rows, short=False, full=False),
            Data("made", [_made_record(line) for line in shopping.lines]),
            Data("costs", shopping.costs),
            Data("unpriced", list(shopping.unpriced)),
        ),
    )


def _record(line: OrderLine) -> tuple[Any, ...]:
    return (
        line.group,
        line.item,
        line.kind,
        line.material or None,
        line.purpose or None,
        line.sizes,
        line.buy,
        line.unit,
        line.use,
        line.waste,
        line.need,
        line.high,
        line.mass,
        line.instead,
        detail(line),
        losses(line),
        line.cost,
        line.currency,
    )


def _made_record(line: OrderLine) -> dict[str, Any]:
    """How a line is cut or mixed, SI: lengths [m], masses [kg], areas [m2]."""
    made = {} if line.made is None else asdict(line.made)
    return {"item": line.item, **made, "losses": [asdict(loss) for loss in line.losses]}


def _costs(shopping: Shopping) -> tuple[Line, ...]:
    """What is priced, summed; nothing where the shop gave no price."""
    if not shopping.costs:
        return ()
    sums = listed(
        [say(Q("money", total), f" {currency}".rstrip()) for currency, total in shopping.costs.items()]
    )
    left = f"; without a price: {', '.join(shopping.unpriced)}" if shopping.unpriced else ""
    return (Line(say("Cost of what has a price: ", sums, left)),)


# ---------------------------------------------------------------- one line


def _group(name: str, lines: Sequence[OrderLine]) -> Table:
    """One group: what to buy of each, what is used and what is lost, and why."""
    rows = [
        (label(line), bought(line), amount(line, line.use), amount(line, line.waste), cost(line))
        for line in lines
    ]
    notes = tuple(note(line) for line in lines)
    columns = tuple(Column("", t, wrap=not k) for k, t in enumerate((name, "buy", "used", "waste", "cost")))
    priced = any(line.cost is not None for line in lines)
    shown = [k for k in range(5) if (k not in (2, 3) or name not in WITHOUT_WASTE) and (k != 4 or priced)]
    return Table(
        "",
        "",
        tuple(columns[k] for k in shown),
        tuple(tuple(row[k] for k in shown) for row in rows),
        notes=notes,
    )


def label(line: OrderLine) -> Say:
    """What a line is, with its sizes."""
    if line.kind == "cloth":
        return say(line.item, ", roll ", Q("roll", line.sizes[0]), " wide")
    sizes = say(", ", sizes_words(*line.sizes)) if line.sizes else say()
    return say("or " if line.instead else "", line.item, sizes)


def amount(line: OrderLine, value: float) -> Say:
    """A figure of a line in its unit."""
    return say(Q("running" if line.kind in ("cloth", "tape") else UNIT_KINDS[line.unit], value))


def bought(line: OrderLine) -> Say:
    """How much to buy; a consumable in the shop's own words."""
    return say(line.words) if line.kind == "consumable" else amount(line, line.buy)


def cost(line: OrderLine) -> Say:
    """What it costs, where the shop gave a price."""
    return say() if line.cost is None else say(Q("money", line.cost), f" {line.currency or ''}".rstrip())


def note(line: OrderLine) -> Say:
    """How a line is made up and why something is lost, as one sentence."""
    lost = losses(line)
    parts = [p for p in (detail(line), say("waste: ", lost) if lost else say()) if p]
    return listed(parts, "; ") if parts else say()


def losses(line: OrderLine) -> Say:
    """The waste by name: its share where it is reckoned by one, else how much."""

    def one(loss: Loss) -> Words:
        if loss.share:
            return say(Q("share", loss.share), f" {loss.why}")
        if len(line.losses) == 1:
            return loss.why
        return say(amount(line, loss.amount), f" {loss.why}")

    return listed([one(loss) for loss in line.losses if loss.amount > 0]) if line.waste > 0 else say()


def detail(line: OrderLine) -> Say:
    """How a line is cut, joined or mixed."""
    made = line.made
    return say() if made is None else _DETAILS[type(made)](made)


def _many(count: int, one: str, many: str = "") -> Say:
    return say(Q("whole", count), f" {one if count == 1 else many or one + 's'}")


def _strips(made: StripsCut) -> Say:
    joined = say(f", {made.joint}ed (the longest is ", Q("place", made.longest, both=False), ")")
    return say(
        Q("whole", made.round_girth), " strips round the girth; ", _many(made.lengths, "length"), " of ",
        Q("place", made.stock, both=False), joined if made.joint else "",
    )  # fmt: skip


def _boards(made: BoardsCut) -> Say:
    each = say(", ", Q("whole", made.pieces_each), " from each") if made.pieces_each else say()
    return say(
        _many(made.boards, "board"), " of ", Q("place", made.stock, both=False), each,
        f" (called {made.nominal})" if made.nominal else "",
        ", to be planed to that thickness first: planed boards are not sold so thick" if made.rough else "",
        "; kerf ", Q("fine length", made.kerf, both=False),
    )  # fmt: skip


def _sticks(made: SticksCut) -> Say:
    return say(
        Q("whole", made.pieces),
        " of ",
        Q("place", made.each, both=False),
        f", {made.joint}ed" if made.joint else "",
        *((", ", Q("fine length", made.over), " of the depth planed to the deck") if made.over else ()),
    )


def _sheets(made: SheetsCut) -> Say:
    uses = listed([say(use.where, " ", Q("about area", use.area)) for use in made.uses])
    found = say(
        _many(made.sheets, "whole sheet"),
        " of ",
        Q("long", made.size[0]),
        " x ",
        Q("long", made.size[1]),
        " for ",
        uses,
    )
    if not made.joints:
        return found
    joints = _many(made.joints, made.joint)
    how = (
        say(joints, " of ", Q("length", made.scarf, both=False), ", 8 to 1,")
        if made.joint == "scarf"
        else say(joints, ", each with a block behind it,")
    )
    long = Q("place", made.panel, both=False)
    return say(found, "; panels of ", long, " are longer than a sheet: ", how, " in each")


def _cloth(made: ClothCutting) -> Say:
    beside = "; ".join(" beside ".join(shelf) for shelf in made.side_by_side)
    others = [say(_roll(r), " of a roll ", Q("roll", r.width), " wide") for r in made.others]
    return say(
        _roll(made.roll), f"; {beside}" if beside else "",
        say("; or ", listed(others, ", or ")) if others else "",
    )  # fmt: skip


def _roll(roll: Roll) -> Say:
    return say(Q("running", roll.length), " in ", _many(roll.lengths, "length"))


def _mixing(made: Mixing) -> Say:
    steps = listed([say(f"{step} ", Q("fine mass", m)) for step, m in made.steps])
    packs = listed([say(Q("whole", n), " x ", Q("given mass", m)) for n, m in made.packs], " and ")
    return say(
        "bought for a boat at the upper end of its range, ",
        Q("fine mass", made.upper),
        say(", in packs of ", packs) if made.packs else "",
        "; likely use by step: ",
        steps,
    )


def _thickening(made: Thickening) -> Say:
    wet = "; wet both faces with neat resin first"
    return say(
        (
            f"mixed as thick as {made.consistency}: "
            if made.consistency in FOODS
            else f"mixed {made.consistency}: "
        ),
        Q("share", made.share),
        " of flour by weight of resin",
        wet,
    )


FOODS = ("ketchup", "mayonnaise")

_DETAILS: Mapping[type, Callable[[Any], Say]] = {
    StripsCut: _strips,
    BoardsCut: _boards,
    SticksCut: _sticks,
    SheetsCut: _sheets,
    ClothCutting: _cloth,
    Mixing: _mixing,
    Thickening: _thickening,
    Coats: lambda made: say(Q("about area", made.area), " of coats"),
    Layers: lambda made: _many(made.layers, "layer"),
}


# ---------------------------------------------------------------- cloth, wood and resin


def cuts_section(cuts: Sequence[ClothCut]) -> Section:
    """Panels to cut, and the stations where one width of the roll falls short."""
    columns = (
        Column("", "cloth to cut", wrap=True),
        Column("", "pieces", "whole"),
        Column("", "long", "place"),
        Column("", "wide", "place"),
    )
    rows = tuple((cut_words(c), c.pieces, c.length, c.width) for c in cuts)
    short = tuple(
        Line(
            say(
                f"one width falls short, {c.where}: ",
                listed(
                    [
                        say(f"station {s.station} by ", Q("length", s.shortfall, both=False))
                        for s in c.stations
                        if s.shortfall > 0
                    ]
                ),
            ),
            hang=True,
        )
        for c in cuts
        if any(s.shortfall > 0 for s in c.stations)
    )
    tables = (Table("", "", columns, rows),) if rows else ()
    return Section(
        "cuts", "Cloth to cut", (*tables, *short, Data("cloth_cuts", [_cut_record(c) for c in cuts]))
    )


def cut_words(c: ClothCut) -> Say:
    """What a panel of cloth is for, and of which cloth."""
    lap = say(", lapped ", Q("length", c.lap, both=False)) if c.lap else say()
    return say(c.where, lap, f", {c.cloth}")


def _cut_record(c: ClothCut) -> dict[str, Any]:
    return {
        "where": c.where,
        "region": c.region,
        "lap_m": c.lap,
        "cloth": c.cloth,
        "pieces": c.pieces,
        "length_m": c.length,
        "width_m": c.width,
        "stations": [
            {"station": s.station, "position_m": s.position, "girth_m": s.girth, "shortfall_m": s.shortfall}
            for s in c.stations
        ],
    }


def usage_section(usage: Sequence[Usage]) -> Section:
    """Bought, left on the boat, sanded off, wasted, and over: the same kilograms as the order's."""
    rows = tuple((u.what, u.step, u.bought, u.left, u.sanded, u.wasted, u.over) for u in usage)
    return Section("usage", "Wood and resin by step", (Table("usage", "", _USAGE, rows),) if rows else ())
