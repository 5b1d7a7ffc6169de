"""Fair boats by formula, drawn at random from a seed: every kind that a table of offsets can say.

`random_boat(seed)` gives a boat with its table; `form_of(seed)` the surface it was read off, so that tests
know the truth between the offsets. `write_folder` writes a boat as a builder would, in any unit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from hullview.boat.model import Boat, Build, End, HullForm, Opening, Planking, Schedule, Table, TableLine

ENDS = ("raked", "plumb", "recurved", "straight")
BOTTOMS = ("round", "vee", "flat", "rabbet")
CHINES = ("none", "none", "through", "fading")


@dataclass(frozen=True)
class Form:
    """A hull by formula: length, half beam, depth [m] and the exponents of its curves; see `half_breadth`."""

    seed: int
    length: float
    beam: float
    depth: float
    sheer_rise: tuple[float, float]
    rocker: float
    widest: float
    fullness: tuple[float, float]
    bottom: str
    chine: str
    bow: str
    stern: str
    decked: bool
    siding: float
    foot: tuple[float, float]
    tumblehome: float
    camber: float
    transom_width: float
    rake: float

    # ---- lines along it, x in [0, length]

    def sheer_height(self, x):
        u = 2 * x / self.length - 1
        return self.depth + np.where(u < 0, self.sheer_rise[0], self.sheer_rise[1]) * u**2

    def keel_height(self, x):
        u = 2 * x / self.length - 1
        return self.rocker * u**2

    def sheer_breadth(self, x):
        """From the siding at the stem to the widest place and on to the stern: a quartic on either side,
        smooth where they join."""
        c = self.widest * self.length
        t = np.clip((c - x) / c, 0, 1)
        fore = self.siding / 2 + (self.beam - self.siding / 2) * (1 - t**2) * (1 - 0.25 * t**2)
        end = self.transom_width if self.stern == "transom" else self.siding / 2
        t = np.clip((x - c) / (self.length - c), 0, 1)
        run = end + (self.beam - end) * (1 - t**2) * (1 - (0.25 if self.stern != "transom" else 0.0) * t**2)
        return np.where(x < c, fore, run)

    # ---- ends

    def stem(self, end: str, z: float) -> float:
        """How far the stem stands in from the end of the boat at height z [m]."""
        kind, foot = (self.bow, self.foot[0]) if end == "bow" else (self.stern, self.foot[1])
        x = 0.0 if end == "bow" else self.length
        top = float(self.sheer_height(x))
        low = float(self.keel_height(foot if end == "bow" else self.length - foot))
        u = min(max((top - z) / (top - low), 0.0), 1.0)
        quarter = 1 - (1 - u**2.4) ** (1 / 2.4)
        if kind == "straight":
            return foot * u
        if kind == "raked":
            return foot * (0.35 * u + 0.65 * quarter)
        if kind == "recurved":
            return foot * quarter - 0.012 * self.length * math.sin(math.pi * min(1.6 * u, 1.0))
        return foot * (0.04 * u + 0.96 * quarter)

    def profile(self, end: str) -> tuple[tuple[float, float], ...]:
        foot = self.foot[0] if end == "bow" else self.foot[1]
        x = 0.0 if end == "bow" else self.length
        top, low = (
            float(self.sheer_height(x)),
            float(self.keel_height(foot if end == "bow" else self.length - foot)),
        )
        steps = (
            (0, 0.12, 0.25, 0.4, 0.55, 0.7, 0.82, 0.9, 0.96, 1)
            if (self.bow if end == "bow" else self.stern) != "straight"
            else (0, 1)
        )
        z = [top + s * (low - top) for s in steps]
        inward = [self.stem(end, q) for q in z]
        return tuple((a if end == "bow" else self.length - a, q) for a, q in zip(inward, z))

    def raked(self, z: float) -> float:
        """Where a transom stands at height z [m aft of the datum]."""
        return self.length - self.rake * (float(self.sheer_height(self.length)) - z)

    # ---- the surface

    def half_breadth(self, x: float, z: float) -> float | None:
        """Half-breadth at position x and height z [m], or None where it is not there."""
        if not self.keel_at(x) <= z <= float(self.sheer_height(x)) + 1e-12:
            return None
        if self.chine == "through":
            return self._chined(x, z)
        return self._round(x, z)

    def keel_at(self, x: float) -> float:
        """Height of the keel line, or of the stem in its overhang, at x."""
        for end, inward in (("bow", x), ("stern", self.length - x)):
            foot = self.foot[0 if end == "bow" else 1]
            if (end == "bow" or self.stern != "transom") and inward < foot:
                at = 0.0 if end == "bow" else self.length
                low, high = (
                    float(self.keel_height(foot if end == "bow" else self.length - foot)),
                    float(self.sheer_height(at)),
                )
                for _ in range(50):
                    mid = (low + high) / 2
                    low, high = (mid, high) if self.stem(end, mid) > inward else (low, mid)
                return (low + high) / 2
        return float(self.keel_height(x))

    def _stretched(self, x: float, z: float) -> float:
        """Position along the breadth curve: each waterline ends where the stem is at its height."""
        c = self.widest * self.length
        if x < c:
            s = self.stem("bow", z)
            return max(x - s * ((c - x) / (c - s)) ** 3, 0.0)
        if self.stern == "transom":
            return x
        s = self.stem("stern", z)
        return min(x + s * ((x - c) / (self.length - s - c)) ** 3, self.length)

    def _round(self, x: float, z: float) -> float:
        top, low = float(self.sheer_height(x)), float(self.keel_height(x))
        u = 2 * x / self.length - 1
        fade = (1 - min(abs(u), 1.0) ** 2.2) if self.stern != "transom" or u < 0 else 1.0
        m = 1.25 + self.fullness[0] * fade if self.bottom != "vee" else 1.0
        n = 1.5 + self.fullness[1] * fade
        r = min(max((top - z) / (top - low), 0.0), 1.0)
        b = float(self.sheer_breadth(self._stretched(x, z)))
        flat = self.flat(x)
        y = flat + (b - flat) * (1 - r**n) ** (1 / m)
        y *= 1 + self.tumblehome * fade * 4 * r * (1 - r) ** 2
        if self.chine == "fading":
            y -= self._knuckle(x) * max(0.0, 0.55 - r) * b
        return max(y, min(self.siding / 2, b))

    def flat(self, x: float) -> float:
        """Half-breadth of the keel line: of a rabbet, or of a flat bottom."""
        if self.bottom == "rabbet":
            return self.siding / 2
        return 0.0

    def _knuckle(self, x: float) -> float:
        """How sharp a fading chine is at x: nothing in the fore third."""
        t = (x / self.length - 0.35) / 0.65
        return 0.25 * t**2 * (3 - 2 * t) if t > 0 else 0.0

    def chine_at(self, x: float) -> tuple[float, float] | None:
        """(half-breadth, height) of the chine at x, or None where there is none."""
        top, low = float(self.sheer_height(x)), float(self.keel_height(x))
        if self.chine == "fading":
            if self._knuckle(x) <= 0:
                return None
            z = top - 0.55 * (top - low)
            y = self.half_breadth(x, z)
            return None if y is None else (y, z)
        if self.chine == "through":
            share = 0.0 if self.bottom == "flat" else 0.28
            lift = 0.55 * max(0.0, 1 - x / (0.5 * self.length)) ** 2
            z = low + (share + (1 - share) * lift) * (top - low)
            return float(self.sheer_breadth(self._stretched(x, z))) * 0.82, z
        return None

    def _chined(self, x: float, z: float) -> float:
        chine = self.chine_at(x)
        assert chine is not None
        (yc, zc), top, low = chine, float(self.sheer_height(x)), float(self.keel_height(x))
        if z >= zc:
            s = (z - zc) / (top - zc)
            return yc + (float(self.sheer_breadth(x)) - yc) * s + 0.04 * yc * s * (1 - s)
        s = (z - low) / (zc - low)
        return yc * s * (1 + 0.1 * (1 - s))

    def height(self, x: float, y: float) -> float | None:
        """Height where the bottom passes half-breadth y at x, going down from the sheer, or None."""
        high, low = float(self.sheer_height(x)), self.keel_at(x)
        heights = np.linspace(high, low + 1e-6, 60)
        ys = np.array([self.half_breadth(x, z) for z in heights], float)
        inside = np.flatnonzero((ys[:-1] >= y) & (ys[1:] < y))
        if not len(inside):
            return None
        high, low = heights[inside[-1]], heights[inside[-1] + 1]
        for _ in range(50):
            mid = (low + high) / 2
            low, high = (mid, high) if (self.half_breadth(x, mid) or 0.0) < y else (low, mid)
        return float(low + high) / 2

    def deck_height(self, x: float, y: float) -> float:
        b = float(self.sheer_breadth(x))
        return float(self.sheer_height(x)) + (
            self.camber * b * (1 - (min(y / b, 1.0)) ** 2) if b > 1e-9 else 0.0
        )


def form_of(seed: int, **fixed) -> Form:
    """The form of a seed; any field may be fixed."""
    rng = np.random.default_rng(seed)
    length = rng.uniform(2.6, 5.6)
    beam = length * rng.uniform(0.085, 0.15)
    depth = rng.uniform(0.24, 0.42) * (0.7 + 0.1 * length)
    stern = str(rng.choice([*ENDS, "transom", "transom"]))
    chine = str(rng.choice(CHINES))
    bottom = str(
        rng.choice(
            BOTTOMS[:2]
            if chine == "fading"
            else ("vee", "flat")
            if chine == "through"
            else ("round", "vee", "rabbet")
        )
    )
    values = {
        "length": length,
        "beam": beam,
        "depth": depth,
        "sheer_rise": (rng.uniform(0.06, 0.35) * depth, rng.uniform(0.03, 0.25) * depth),
        "rocker": rng.uniform(0.01, 0.12) * depth,
        "widest": rng.uniform(0.46, 0.58),
        "fullness": (rng.uniform(0.3, 1.1), rng.uniform(0.3, 1.6)),
        "bottom": bottom,
        "chine": chine,
        "bow": str(rng.choice(ENDS)),
        "stern": stern,
        "decked": bool(rng.random() < 0.4),
        "siding": (
            float(rng.choice([0.0, 0.006, 0.012, 0.02]))
            if bottom != "rabbet"
            else float(rng.choice([0.012, 0.02]))
        ),
        "foot": (length * rng.uniform(0.04, 0.11), length * rng.uniform(0.04, 0.11)),
        "tumblehome": float(rng.choice([0.0, 0.0, 0.08, 0.15])),
        "camber": rng.uniform(0.08, 0.3),
        "transom_width": beam * rng.uniform(0.5, 0.8),
        "rake": rng.uniform(0.0, 0.4),
    }
    values.update(fixed)
    return Form(seed, **values)


# ---------------------------------------------------------------- reading the table off the form


def random_boat(
    seed: int,
    *,
    stations: int | None = None,
    waterlines: int | None = None,
    step: float | None = None,
    **fixed,
) -> Boat:
    """A boat with the table read off `form_of(seed, **fixed)`, rounded to `step` [m] if given."""
    form = form_of(seed, **fixed)
    rng = np.random.default_rng(seed + 1_000_003)
    table = table_of(form, stations or int(rng.integers(9, 15)), waterlines or int(rng.integers(5, 9)), step)
    inside = bool(rng.random() < 0.3)
    planking = tuple(
        Planking(w, "western redcedar", 0.0064) for w in ("hull", *(["deck"] if form.decked else []))
    )
    transom = (
        End(
            tuple(
                (form.raked(z), z)
                for z in (float(form.sheer_height(form.length)), float(form.keel_height(form.length)))
            ),
            0.0,
            True,
        ),
    )
    bow = End(form.profile("bow"), form.siding)
    stern = transom[0] if form.stern == "transom" else End(form.profile("stern"), form.siding)
    openings = ()
    if form.decked:
        middle = form.widest * form.length
        openings = (
            Opening(middle, 0.18 * form.length, min(0.42, 1.1 * form.beam), coaming=(0.03, 0.02, 0.015)),
        )
    return Boat(
        name=f"random boat {seed}",
        hull=HullForm(
            "decked" if form.decked else "open",
            "inside" if inside else "outside",
            table,
            bow=bow,
            stern=stern,
        ),
        openings=openings,
        builds=(Build("schedule", Schedule(planking)),),
    )


def table_of(form: Form, stations: int, waterlines: int, step: float | None = None) -> Table:
    """The table of offsets of a form: its named lines, waterlines, two or three buttocks, all blank where
    it is not or where they say little."""
    last = form.length
    xs = np.concatenate([[0.0], np.linspace(0.055, 0.945, stations - 2) * last, [last]])
    low = min(form.keel_at(float(x)) for x in xs[1:-1])
    levels = low + (np.linspace(0.1, 0.93, waterlines) ** 1.15) * (float(form.depth) - low)
    levels = np.round(levels, 3)
    at_end = _column_on_transom(form) if form.stern == "transom" else None

    def value(x: float, get) -> float | None:
        v = get(x)
        return None if v is None else (round(v / step) * step if step else v)

    def row(
        measure: str, name: str, get, at: float | None = None, bow=False, stern: bool | float = False
    ) -> TableLine:
        values: list[float | None] = []
        for k, x in enumerate(xs):
            if (k == 0 and not bow) or (k == len(xs) - 1 and stern is False):
                values.append(None)
            else:
                values.append(
                    value(float(x), get)
                    if k < len(xs) - 1 or isinstance(stern, bool)
                    else value(float(x), lambda _: stern)
                )
        return TableLine(measure, name, at, tuple(values), row=3)

    on_keel = [
        form.foot[0] - 1e-9 <= x and (form.stern == "transom" or x <= last - form.foot[1] + 1e-9) for x in xs
    ]
    kept = dict(zip(xs.tolist(), on_keel))
    keel = "rabbet" if form.bottom == "rabbet" else "keel"
    end = {} if at_end is None else {"stern": at_end["keel"]}
    rows = [
        row("height", "sheer", lambda x: float(form.sheer_height(x)), bow=True, stern=True),
        row(
            "half-breadth",
            "sheer",
            lambda x: float(form.half_breadth(x, float(form.sheer_height(x)))),
            bow=True,
            stern=True,
        ),
        row("height", keel, lambda x: float(form.keel_height(x)) if kept.get(x) else None, **end),
    ]
    if keel == "rabbet":
        rows.append(
            row(
                "half-breadth",
                keel,
                lambda x: form.flat(x) if kept.get(x) else None,
                **({} if at_end is None else {"stern": form.flat(last)}),
            )
        )
    if form.chine != "none":
        rows += _chine_rows(form, row, at_end)
    for z in levels if form.chine != "through" else levels[1::2]:
        rows.append(
            row(
                "half-breadth",
                "waterline",
                lambda x, z=z: _clear(form, x, z),
                float(z),
                **_at(at_end, lambda x, z=z: _clear(form, x, z), z, form),
            )
        )
    if form.chine == "none":
        for y in np.round(np.array([0.25, 0.5, 0.72]) * form.beam, 3):
            rows.append(
                row(
                    "height",
                    "buttock",
                    lambda x, y=y: (
                        form.height(x, y) if y < 0.62 * float(form.sheer_breadth(x)) and kept.get(x) else None
                    ),
                    float(y),
                )
            )
    if form.decked:
        rows.append(row("height", "deck", lambda x: form.deck_height(x, 0.0), bow=True, stern=True))
        y = round(0.5 * form.beam, 3)
        rows.append(
            row(
                "height",
                "deck",
                lambda x: form.deck_height(x, y) if y < 0.8 * float(form.sheer_breadth(x)) else None,
                y,
            )
        )
    rows = [r for r in rows if sum(v is not None for v in r.values) > 1]
    shape = {"round": "round", "vee": "vee", "flat": "flat", "rabbet": "vee"}[form.bottom]
    return Table(
        tuple(float(x) for x in xs),
        tuple(rows),
        (shape,) * len(xs),
        ("smooth",) * len(xs),
        tuple(str(k) for k in range(len(xs))),
        keel_given=True,
    )


def _clear(form: Form, x: float, z: float) -> float | None:
    """Half-breadth at (x, z), blank within a little of the keel, the chine and the sheer, where the table
    would say it twice."""
    top, low = float(form.sheer_height(x)), form.keel_at(x)
    near = 0.05 * (top - low)
    chine = form.chine_at(x)
    if z < low + max(near, 0.008) or z > top - near or (chine is not None and abs(z - chine[1]) < near):
        return None
    return form.half_breadth(x, z)


def _column_on_transom(form: Form) -> dict[str, float]:
    """Height of the keel where the transom ends it."""
    low = 0.0
    for _ in range(60):
        low = float(form.keel_height(form.raked(low)))
    return {"keel": low}


def _at(at_end, get, z: float, form: Form) -> dict[str, float]:
    if at_end is None:
        return {}
    y = get(form.raked(float(z)))
    return {} if y is None else {"stern": y}


def _chine_rows(form: Form, row, at_end) -> list[TableLine]:
    def there(x: float):
        c = form.chine_at(x)
        seen = (
            c is not None and c[1] >= form.keel_at(x) and (form.chine == "through" or form._knuckle(x) > 0.01)
        )
        return c if seen else None

    end: list[dict[str, float]] = [{}, {}]
    if at_end is not None:
        z = 0.0
        for _ in range(60):
            c = form.chine_at(form.raked(z))
            assert c is not None
            z = c[1]
        end = [{"stern": z}, {"stern": c[0]}]
    return [
        row("height", "chine", lambda x: (there(x) or (None, None))[1], **end[0]),
        row("half-breadth", "chine", lambda x: (there(x) or (None, None))[0], **end[1]),
    ]


# ---------------------------------------------------------------- writing a folder

UNITS = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": 0.0254, "ft": 0.3048}


def write_folder(boat: Boat, folder: Path, unit: str = "mm") -> Path:
    """Write the boat's hull (table, ends, type) as a builder would, every length in `unit`, and return the
    folder."""
    table = boat.hull.table
    assert table is not None
    folder.mkdir(parents=True, exist_ok=True)

    def printed(v: float | None) -> str:
        return "" if v is None else f"{round(v / UNITS[unit], 12) + 0.0:.12f}".rstrip("0").rstrip(".")

    lines = [
        "measure,line,at," + ",".join(table.column_names),
        "position,,," + ",".join(printed(x) for x in table.stations),
    ]
    lines += [
        f"{r.measure},{r.name},{printed(r.at)}," + ",".join(printed(v) for v in r.values) for r in table.lines
    ]
    lines.append("shape,keel,," + ",".join(table.keel_shape))
    (folder / "offsets.csv").write_text("\n".join(lines) + "\n")
    toml = [
        f'name = "{boat.name}"', "[hull]", 'offsets = "offsets.csv"', f'units = "{unit}"',
        f'measured_to = "{boat.hull.measured_to}"', f'type = "{boat.hull.type}"',
    ]  # fmt: skip
    for name, end in (("bow", boat.hull.bow), ("stern", boat.hull.stern)):
        toml.append(f"[hull.{name}]")
        if end.profile is not None:
            toml.append(
                "profile = ["
                + ", ".join(f'["{printed(x)} {unit}", "{printed(z)} {unit}"]' for x, z in end.profile)
                + "]"
            )
        if end.siding:
            toml.append(f'siding = "{printed(end.siding)} {unit}"')
        if end.transom:
            toml.append("transom = true")
    for o in boat.openings:
        coaming = ", ".join(f'"{printed(c)} {unit}"' for c in o.coaming)
        toml += [
            "[[opening]]",
            *(f'{k} = "{printed(getattr(o, k))} {unit}"' for k in ("centre", "length", "width")),
            f"coaming = [{coaming}]",
        ]
    for p in boat.builds[0].schedule.planking if boat.builds else ():
        toml += [
            "[[schedule.planking]]",
            f'where = "{p.where}"',
            f'wood = "{p.wood}"',
            f'thickness = "{printed(p.thickness)} {unit}"',
        ]
    (folder / "boat.toml").write_text("\n".join(toml) + "\n")
    return folder


def scaled(boat: Boat, k: float) -> Boat:
    """The same hull k times as large: table and ends."""
    table = boat.hull.table
    assert table is not None
    lines = tuple(
        replace(
            r,
            at=None if r.at is None else r.at * k,
            values=tuple(None if v is None else v * k for v in r.values),
        )
        for r in table.lines
    )
    ends = [
        replace(
            e,
            siding=e.siding * k,
            profile=None if e.profile is None else tuple((x * k, z * k) for x, z in e.profile),
        )
        for e in (boat.hull.bow, boat.hull.stern)
    ]
    table = replace(table, stations=tuple(x * k for x in table.stations), lines=lines)
    return replace(boat, hull=replace(boat.hull, table=table, bow=ends[0], stern=ends[1]), openings=())
