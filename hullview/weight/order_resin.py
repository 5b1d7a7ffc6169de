"""What comes in pots: resin by step in the packs the shop lists, flour by glue job, wood glue, paint and
varnish."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hullview.arrays import Array
from hullview.boat.model import Boat, Build, Order
from hullview.materials import Library, Resin
from hullview.weight.areas import Places, skin_spread
from hullview.weight.order import Coats, Loss, Mixing, OrderLine, Thickening, priced
from hullview.weight.total import Weight

COAT_WASTE = 0.15
"""Share of what is used (common practice, no source)."""
EDGE_GLUE_WASTE = 1.0
"""Of wood glue as much again is squeezed out and wiped off (common practice, no source)."""
GLUE_SOLIDS = 0.5
"""Share of water-based glue that is left when it has dried (from memory)."""
SQUEEZED = ("joint", "glue line")
"""Kinds of glue that is squeezed out of a clamped joint."""
KETCHUP, MAYONNAISE, STIFF = "ketchup", "mayonnaise", "stiff, stands in peaks"
JOBS = {
    "joint": ("between plies", KETCHUP),
    "glue line": ("to fill gaps", MAYONNAISE),
    "fillet": ("for fillets", STIFF),
}
"""What the flour of each kind of glue is for, and how thick it is mixed, as shops say it (common practice,
no source)."""


@dataclass(frozen=True)
class ResinStep:
    """Neat resin of one step of a resin, by the kind of its lines: likely [kg], and of many boats (n,)
    [kg]; flour by mass of resin."""

    resin: str
    step: str
    kind: str
    likely: float
    sampled: Array
    flour_share: float

    @property
    def flour(self) -> float:
        """Flour that goes with it [kg]."""
        return self.likely * self.flour_share

    def squeezed(self, order: Order) -> float:
        """Share of it that is squeezed out besides."""
        return order.squeeze_out if self.kind in SQUEEZED else 0.0


def flour_share(r: Resin, kind: str) -> float:
    """Wood flour by mass of resin in glue of a kind; none in coats and in what wets cloth."""
    return {"joint": r.flour_light, "glue line": r.flour_gap, "fillet": r.flour_fillet}.get(kind, 0.0)


def resin_steps(weight: Weight, lib: Library) -> list[ResinStep]:
    """What is put on, by resin, step and kind; flour is taken out of thickened glue."""
    model, z = weight.model, weight.z
    if model is None or z is None:
        return []
    sampled, likely = model.term_masses(z), model.term_masses(model.likely())
    rows: dict[tuple[str, str, str], list[int]] = {}
    for i, (t, n) in enumerate(zip(model.terms, model.line)):
        line = weight.lines[n] if n < len(weight.lines) else None
        if line and line.group in ("resin", "glue") and line.kind != "edge glue" and t.coefficient > 0:
            kind = line.kind if line.group == "glue" else ""
            rows.setdefault((line.material, t.step, kind), []).append(i)
    found = []
    for (name, step, kind), which in rows.items():
        r = lib.resin(name)
        share = flour_share(r, kind)
        neat = 1 + share
        found.append(
            ResinStep(
                r.name,
                step,
                kind,
                float(likely[which].sum()) / neat,
                sampled[which].sum(axis=0) / neat,
                share,
            )
        )
    return found


def resins(weight: Weight, order: Order, lib: Library) -> Iterator[OrderLine]:
    """Each resin by step and in all, for a boat at the upper end of its range, in the packs the shop
    lists; flour by glue job; wood glue."""
    steps = resin_steps(weight, lib)
    for name in dict.fromkeys(s.resin for s in steps):
        yield _resin(lib.resin(name), [s for s in steps if s.resin == name], order)
    for kind, (job, thick) in JOBS.items():
        several = [s for s in steps if s.kind == kind and s.flour_share > 0]
        for share in dict.fromkeys(s.flour_share for s in several):
            yield _flour([s for s in several if s.flour_share == share], Thickening(job, thick, share), order)
    edge = [line for line in weight.lines if line.kind == "edge glue"]
    if edge:
        wet = sum(line.mass for line in edge) / GLUE_SOLIDS
        buy = float(np.ceil((1 + EDGE_GLUE_WASTE) * wet * 4 - 1e-9) / 4)
        yield OrderLine(
            "glue",
            "wood glue for the strips' edges",
            wet,
            buy,
            "kg",
            kind="edge glue",
            material=edge[0].material,
            purpose="strips",
            losses=(Loss("squeezed out and wiped off", EDGE_GLUE_WASTE * wet, EDGE_GLUE_WASTE),),
            mass=buy,
        )


def _lost(steps: Sequence[ResinStep], used: Sequence[float], order: Order) -> tuple[Loss, ...]:
    """What is squeezed out of clamped joints, then what is left in pots of all that is mixed."""
    squeezed = sum(u * s.squeezed(order) for u, s in zip(used, steps))
    pots = Loss(
        "left in pots, rollers and brushes", order.resin_waste * (sum(used) + squeezed), order.resin_waste
    )
    out = (Loss("squeezed out of clamped joints", squeezed, order.squeeze_out),) if squeezed > 0 else ()
    return (*out, pots)


def _flour(steps: Sequence[ResinStep], made: Thickening, order: Order) -> OrderLine:
    used = [s.flour for s in steps]
    losses = _lost(steps, used, order)
    buy = float(np.ceil((sum(used) + sum(x.amount for x in losses)) * 20 - 1e-9) / 20)
    return OrderLine(
        "flour",
        f"wood flour, {made.job}",
        sum(used),
        buy,
        "kg",
        kind="flour",
        purpose=made.job,
        losses=losses,
        made=made,
        mass=buy,
    )


def _resin(r: Resin, steps: Sequence[ResinStep], order: Order) -> OrderLine:
    used = [s.likely for s in steps]
    mixed = sum((s.sampled * (1 + s.squeezed(order)) for s in steps), np.zeros(1))
    losses, upper = _lost(steps, used, order), (1 + order.resin_waste) * float(np.quantile(mixed, 0.9))
    need = max(upper, sum(used) + sum(x.amount for x in losses))
    bought, packs = packs_for(need, r.packs or order.resin_packs)
    by_step: dict[str, float] = {}
    for s in steps:
        what = f"glue {JOBS[s.kind][0]}" if s.kind in JOBS else s.step
        by_step[what] = by_step.get(what, 0.0) + s.likely
    line = OrderLine(
        "resin",
        f"{r.name}, resin and hardener together",
        sum(used),
        bought,
        "kg",
        kind="resin",
        material=r.name,
        losses=losses,
        made=Mixing(tuple(by_step.items()), packs, upper),
        high=upper,
        mass=bought,
    )
    litres = bought / r.mixed_density * 1000
    return priced(line, r, {"kg": bought, "l": litres, "litre": litres})


def packs_for(need: float, sizes: Sequence[float]) -> tuple[float, tuple[tuple[int, float], ...]]:
    """The fewest kilograms in whole packs that cover the need, then the fewest packs; without sizes, rounded
    up to 0.1 kg.

    >>> packs_for(4.3, (1.5, 6.0))
    (4.5, ((3, 1.5),))
    >>> packs_for(7.2, (1.5, 6.0))
    (7.5, ((1, 6.0), (1, 1.5)))
    """
    if not sizes:
        return float(np.ceil(need * 10 - 1e-9) / 10), ()
    grams = sorted({round(s * 1000) for s in sizes})
    target = int(np.ceil(need * 1000 - 1e-6))
    best: dict[int, tuple[int, ...]] = {0: ()}
    for total in range(0, target + grams[-1] + 1):
        if total in best:
            if total >= target:
                counted = sorted({g: best[total].count(g) for g in best[total]}.items(), reverse=True)
                return total / 1000, tuple((n, g / 1000) for g, n in counted)
            for g in grams:
                chosen = (*best[total], g)
                if total + g not in best or len(chosen) < len(best[total + g]):
                    best[total + g] = chosen
    raise AssertionError("a pack larger than the need always covers it")


def coatings(build: Build, places: Places, boat: Boat, lib: Library) -> Iterator[OrderLine]:
    """Paint and varnish by the coat, wet, as it comes from the tin."""
    used: dict[str, float] = {}
    for s in build.schedule.skins:
        if s.coating:
            used[s.coating] = used.get(s.coating, 0.0) + skin_spread(s, places, boat).size * max(s.coats, 1)
    for name, area in used.items():
        c = lib.coating(name)
        wet = area * c.wet
        buy = float(np.ceil((1 + COAT_WASTE) * wet * 10 - 1e-9) / 10)
        line = OrderLine(
            "coating", c.name, wet, buy, "kg", kind="coating", material=c.name, made=Coats(area), mass=buy,
            losses=(Loss("left in brushes and tins", COAT_WASTE * wet, COAT_WASTE),),
        )  # fmt: skip
        yield priced(line, c, {"kg": line.buy})
