"""Epoxy by the pot: each step with its batches, resin and hardener by weight and by volume, how long a pot
lasts, what to mind."""

from __future__ import annotations

from typing import Any

from hullview.answer.cautions import CAN_FIRST, EPOXY, EXOTHERM
from hullview.boat.model import Boat, Run
from hullview.tell.labels import where_words
from hullview.tell.model import Column, Data, Line, Q, Say, Section, Table, Telling, listed, say
from hullview.weight.batches import IN_HAND, Batch, Batches, least_batch
from hullview.weight.order_resin import KETCHUP, MAYONNAISE

SEAL = "Seal bare wood while the temperature falls, towards evening: warming wood blows bubbles."
NEXT = (
    "The next coat goes on within the hours given without sanding, bonding as one; after that wash the blush"
    " off with water and sand. The pot life is that of 150 g at the shop's temperature."
)
THICK = "Before thickened resin both faces are wetted with neat resin."

_RECORD = tuple(
    Column(key, key, kind)
    for key, kind in (
        ("step", "words"),
        ("where", "words"),
        ("material", "words"),
        ("amount", "number"),
        ("amount_unit", "words"),
        ("count", "whole"),
        ("mixed_g", "grams"),
        ("used_g", "grams"),
        ("in_time_g", "grams"),
        ("resin_g", "grams"),
        ("hardener_g", "grams"),
        ("resin_ml", "millilitres"),
        ("hardener_ml", "millilitres"),
        ("flour_g", "grams"),
        ("consistency", "words"),
        ("pot_minutes", "minutes"),
        ("minutes", "minutes"),
        ("next_coat_h", "hours"),
        ("instead", "words"),
        ("tray", "yes"),
        ("refused", "yes"),
    )
)


def batches_telling(found: Batches, boat: Boat) -> Telling:
    """The whole of `batches`."""
    minded = (EXOTHERM.text, EPOXY.text, CAN_FIRST.text)
    return Telling(
        (
            batches_section(found, boat.name),
            Section("cautions", "Cautions", tuple(Line(say(text)) for text in minded)),
        ),
        boat.units_shown,
        ("batches",),
        {"boat": boat.name},
    )


def batches_section(found: Batches, name: str) -> Section:
    """The shop, then every step in order."""
    grams = "fine grams" if found.shop.scale < 0.00095 else "grams"
    blocks: list[Any] = [
        Line(say(f"Epoxy by the pot for {name}, built {found.build}: ", _sum(found)), strong=True),
        Line(_shop(found)),
    ]
    if found.batches:
        blocks += [_table(found, grams), Line(say(NEXT)), Line(say(SEAL)), Line(say(THICK))]
    blocks += [
        Data("build", found.build),
        Data(
            "shop",
            {
                "temperature_c": found.shop.temperature,
                "hands": found.shop.hands,
                "scale_g": found.shop.scale * 1000,
                "hardener": found.shop.hardener,
                "least_batch_g": least_batch(found.shop.scale) * 1000,
                "share_of_pot_life": IN_HAND,
            },
        ),
        Data("count", sum(b.count for b in found.batches)),
        Data("mixed_kg", sum(b.count * b.each for b in found.batches)),
        Table("batches", "", _RECORD, tuple(_record(b) for b in found.batches), short=False, full=False),
    ]
    return Section("batches", "Epoxy by the pot", tuple(blocks))


def _sum(found: Batches) -> Say:
    count = sum(b.count for b in found.batches)
    if not count:
        return say("nothing to mix")
    mixed = sum(b.count * b.each for b in found.batches)
    return say(Q("whole", count), f" batch{'es' if count > 1 else ''}, ", Q("fine mass", mixed), " mixed")


def _shop(found: Batches) -> Say:
    shop = found.shop
    pairs = "one pair of hands" if shop.hands == 1 else "two pairs of hands"
    kind = "fine grams" if shop.scale < 0.00095 else "grams"
    return say(
        "In a shop at ",
        Q("celsius", shop.temperature),
        f", {pairs}, a scale that reads to ",
        Q(kind, shop.scale * 1000),
        f", {shop.hardener} hardener; no batch under ",
        Q(kind, least_batch(shop.scale) * 1000),
        ", none larger than is used in ",
        Q("share", IN_HAND),
        " of its pot life.",
    )


def _table(found: Batches, grams: str) -> Table:
    """For people: one batch a row, with how many of them."""
    columns = (
        Column("", "step", wrap=True),
        Column("", "pots", "whole"),
        Column("", "resin", grams),
        Column("", "hardener", grams),
        Column("", "or resin", "millilitres"),
        Column("", "hardener", "millilitres"),
        Column("", "flour", grams),
        Column("", "lasts", "minutes"),
        Column("", "next coat"),
    )
    rows = tuple(
        (
            _label(b),
            b.count,
            b.resin * 1000,
            b.hardener * 1000,
            b.resin_volume * 1e6,
            b.hardener_volume * 1e6,
            b.flour * 1000 if b.flour else None,
            b.pot,
            say(Q("hours", b.next_coat)),
        )
        for b in found.batches
    )
    notes = tuple(_note(b, grams) for b in found.batches)
    return Table("", "", columns, rows, notes=notes)


def _label(b: Batch) -> Say:
    """The step and where it is."""
    entry = b.job.line.entry
    if isinstance(entry, Run) and entry.name:
        return say(f"{b.job.name}: {entry.name}")
    return say(f"{b.job.name}: ", where_words(b.job.line))


def _note(b: Batch, grams: str) -> Say:
    """What is particular about a step: how thick it is mixed, what of a batch is used, what would last
    longer."""
    sentences = []
    if b.job.consistency:
        thick = b.job.consistency
        sentences.append(say(f"mixed {'as thick as ' if thick in (KETCHUP, MAYONNAISE) else ''}{thick}"))
    if b.refused:
        sentences.append(
            say(
                "not to be mixed here: the least batch outlasts even slow hardener in a tray; work where it"
                " is cooler"
            )
        )
    elif b.instead is not None:
        hardener, tray = b.instead
        way = f"{hardener} hardener" + (", poured into a tray," if tray else "")
        sentences.append(
            say("only ", Q(grams, b.in_time * 1000), f" of a batch can be used in time: {way} lasts longer")
        )
    if not b.refused and b.each > b.used * (1 + 1e-9):
        sentences.append(
            say("the least the scale weighs truly; the step takes ", Q(grams, b.used * 1000), " of each")
        )
    return listed(sentences, "; ") if sentences else say()


def _record(b: Batch) -> tuple[Any, ...]:
    hardener, tray = b.instead or (None, None)
    return (
        b.job.name,
        _label(b),
        b.job.line.material,
        b.job.amount,
        b.job.per,
        b.count,
        b.each * 1000,
        b.used * 1000,
        b.in_time * 1000,
        b.resin * 1000,
        b.hardener * 1000,
        b.resin_volume * 1e6,
        b.hardener_volume * 1e6,
        b.flour * 1000,
        b.job.consistency or None,
        b.pot,
        b.minutes,
        b.next_coat,
        hardener,
        tray,
        b.refused,
    )
