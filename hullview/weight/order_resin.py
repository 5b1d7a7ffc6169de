"""What comes in pots: resin by step in the packs the shop lists, flour by glue job, wood glue, paint and varnish."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hullview.boat.model import Boat, Build, Order
from hullview.materials import Library, Resin
from hullview.weight.areas import Places, skin_spread
from hullview.weight.order import OrderLine, priced
from hullview.weight.total import Weight

COAT_WASTE = 0.15
"""Share of what is used (common practice, no source)."""
EDGE_GLUE_WASTE = 1.0
"""Of wood glue as much again is squeezed out and wiped off (common practice, no source)."""
GLUE_SOLIDS = 0.5
"""Share of water-based glue that is left when it has dried (from memory)."""
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
        found.append(
            ResinStep(r.name, step, most / (1 + flour), upper / (1 + flour), most * flour / (1 + flour))
        )
    return found


def resins(weight: Weight, order: Order, lib: Library) -> Iterator[OrderLine]:
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
    said = [
        "by step: " + ", ".join(f"{s.step} {s.likely:.2f} kg" for s in steps),
        *([f"packs {packs}"] if packs else []),
    ]
    if high > bought:
        said.append(f"a boat at the upper end of the range needs {high:.1f} kg")
    line = OrderLine(
        "resin", f"{r.name}, resin and hardener together", used, waste, bought, "kg", "; ".join(said),
        f"{order.resin_waste:.0%} left in pots, rollers and brushes", high,
    )  # fmt: skip
    litres = bought / r.mixed_density * 1000
    return priced(line, r, {"kg": bought, "l": litres, "litre": litres})


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


def coatings(build: Build, places: Places, boat: Boat, lib: Library) -> Iterator[OrderLine]:
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
        yield priced(line, c, {"kg": line.buy})
