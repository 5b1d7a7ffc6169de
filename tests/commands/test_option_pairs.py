"""Every pair of options of every command: both change what comes out, or the pair is refused with status 2 in
words.

Everything runs in this process, on a coarse mesh shaped once; what draws is stood in for by what it was asked
to draw.
"""

from __future__ import annotations

import dataclasses
import functools
import hashlib
import itertools
import shutil
from collections.abc import Mapping
from pathlib import Path

import click
import numpy as np
import pytest

from hullview import study
from hullview.answer.conditions import Craft
from hullview.answer.seat import Heaviest
from hullview.boat.reader import read_boat
from hullview.commands import COMMANDS, group, meshes, status_of
from hullview.commands.together import name_of
from hullview.shape.appendages import body_of
from hullview.shape.assemble import build_hull
from hullview.shape.body import Body
from hullview.shape.hull import Hull

ROOT = Path(__file__).parents[2]
WIGLEY = ROOT / "models" / "wigley" / "wigley.stl"

SAMPLES: dict[str, list[str]] = {
    "--paddler": ["140 kg"],
    "--seat": ["second"],
    "--seat-back": ["1.75 m"],
    "--faces": ["stern"],
    "--stature": ["1.9 m"],
    "--gear": ["6 kg @ 2.3 m"],
    "--build": ["taped-seam"],
    "--water": ["salt"],
    "--against": ["64 kg"],
    "--from": ["40 mm"],
    "--step": ["10"],
    "--by": ["displacement"],
    "--trim": ["1 deg"],
    "--plot": ["plot.svg"],
    "--chart": ["chart.svg"],
    "--to": ["25"],
    "--posture": ["rigid"],
    "--colour": ["regions"],
    "--view": ["plan"],
    "--size": ["400x300"],
    "--screenshot": ["picture.png"],
    "--turn": ["turn.gif"],
    "--lines": ["lines.svg"],
    "--scale": ["1:10"],
    "--save": ["boat.glb"],
    "--output": ["page.html"],
    "--pdf": ["page.pdf"],
    "--paper": ["letter"],
    "--units": ["m"],
    "--mass": ["200 kg"],
    "--centre": ["2.4,0.01,0.1"],
    "--at": ["1.3 m"],
    "--edge": ["bevelled"],
    "--sheet": ["1220x610 mm"],
    "--lengthen": ["4 %"],
    "--widen": ["20 mm"],
    "--deepen": ["-2 %"],
    "--raise-sheer": ["15 mm"],
    "--only": ["wider"],
}
"""A value of each option that takes one; in `SPECIAL` where a command wants another."""
SPECIAL: dict[tuple[str, str], list[str]] = {
    ("hydrostatics", "--to"): ["100 mm"],
    ("hydrostatics", "--step"): ["30 mm"],
    ("show mesh", "--colour"): ["wet"],
    ("forms", "--output"): ["patterns"],
    ("alter", "--output"): ["altered"],
    ("report", "--sheet"): [],
}
RANGE = ("--from", "--to", "--step")
PLACE = ("--mass", "--centre")
LOADED = ("carry", "float", "righting", "show", "report", "alter")
COMPANIONS: dict[tuple[str, str], tuple[str, ...]] = {
    **{
        (name, option): ("--paddler",)  # given once, for one who is aboard alone
        for name in LOADED
        for option in ("--seat", "--seat-back", "--faces", "--stature")
    },
    **{("hydrostatics", option): RANGE for option in RANGE},
    **{("hydrostatics mesh", option): RANGE for option in RANGE},
    ("report", "--paper"): ("--pdf",),
    **{("forms", option): ("--output",) for option in ("--paper", "--sheet", "--halves")},
    ("show", "--scale"): ("--lines",),
    ("show mesh", "--water"): PLACE,
    ("show mesh", "--colour"): PLACE,
    ("show mesh", "--mass"): PLACE,
    ("show mesh", "--centre"): PLACE,
}
"""What an option needs beside it; added where the pair does not have it."""
BASES = {
    "carry": ["BOAT"], "float": ["BOAT"], "hydrostatics": ["BOAT"], "righting": ["BOAT"], "weigh": ["BOAT"],
    "compare": ["BOAT"], "buy": ["BOAT"], "check": ["BOAT"], "show": ["BOAT"], "report": ["BOAT"],
    "batches": ["BOAT"], "forms": ["BOAT"], "materials": ["cedar"], "new": ["a boat"], "completion": ["bash"],
    "alter": ["BOAT", "--widen", "3 %"], "cases": ["BOAT"],
    "float mesh": ["MESH", "--units", "mm", "--mass", "300 kg", "--centre", "2.5,0.01,0.2"],
    "hydrostatics mesh": ["MESH", "--units", "mm"],
    "righting mesh": ["MESH", "--units", "mm", "--mass", "300 kg", "--centre", "2.5,0.01,0.2"],
    "show mesh": ["MESH", "--units", "mm"],
}  # fmt: skip
"""What each command is given in every run; "COMMAND mesh" is the command with a mesh file."""

LOAD = {"--paddler", "--seat", "--seat-back", "--faces", "--stature", "--gear", "--build"}
OF_A_MESH = {"--units", "--mass", "--centre"}
ALONE: dict[str, set[str]] = {
    "float": OF_A_MESH,
    "hydrostatics": {"--units"},
    "righting": OF_A_MESH,
    "show": OF_A_MESH,
    "alter": {"--only"},
    "float mesh": LOAD,
    "righting mesh": LOAD | {"--posture", "--against"},
    "show mesh": LOAD | {"--stations", "--lines", "--scale", "--forms"},
}
"""Options that a boat, or a mesh, refuses whatever stands beside them."""
LOOKS = ("--view", "--see-through", "--stations", "--size")
FILES = ("--lines", "--save")
WITH_WATER = ("--lines", "--scale", "--colour", "--see-through", "--stations", "--water")
REFUSED: dict[str, set[frozenset[str]]] = {
    "carry": {
        frozenset(p)
        for p in (("--json", "--csv"), ("--chance", "--csv"), ("--full", "--json"), ("--full", "--csv"))
    },
    "hydrostatics": {
        frozenset(p)
        for p in (
            ("--json", "--csv"),
            ("--bonjean", "--water"),
            *((r, "--by") for r in RANGE),  # a height where a mass is wanted: tried with masses below
        )
    },
    "righting": {frozenset(("--json", "--csv"))},
    "weigh": {frozenset(("--json", "--csv"))},
    "compare": {frozenset(("--json", "--csv"))},
    "buy": {frozenset(("--json", "--csv"))},
    "batches": {frozenset(("--json", "--csv"))},
    "forms": {frozenset(("--json", "--csv"))},
    "alter": {frozenset(("--json", "--csv"))},
    "cases": {frozenset(("--json", "--csv"))},
    "check": {frozenset(p) for p in (("--json", "--csv"), ("--build", "--csv"))},
    "materials": {frozenset(("--json", "--csv"))},
    "report": {frozenset(("--light", "--sheet"))},
    "show": (
        {frozenset(p) for p in (*itertools.product(LOOKS, FILES), ("--colour", "--lines"))}
        | {frozenset((look, "--scale")) for look in (*LOOKS, "--colour")}
        | {frozenset(("--forms", o)) for o in (*(LOAD - {"--build"}), *WITH_WATER)}
    ),
    "show mesh": {
        frozenset(p) for p in itertools.product(("--view", "--see-through", "--size"), ("--save",))
    },
}
for _name in LOADED:
    REFUSED.setdefault(_name, set()).add(frozenset(("--seat", "--seat-back")))
REFUSED["hydrostatics mesh"] = REFUSED["hydrostatics"]
REFUSED["righting mesh"] = REFUSED["righting"]
"""Pairs that are refused, each in words."""


def command_of(name: str) -> click.Command:
    command = group.get_command(None, name.split()[0])  # type: ignore[arg-type]
    assert command is not None
    return command


def options_of(name: str) -> list[str]:
    """The options of a command but what its every run has."""
    given = {word for word in BASES[name] if word.startswith("--")}
    return [
        name_of(p) for p in command_of(name).params if isinstance(p, click.Option) and name_of(p) not in given
    ]


def words_of(name: str, option: str) -> list[str]:
    """An option as typed, with its value where it takes one."""
    command = command_of(name)
    param = next(p for p in command.params if name_of(p) == option)
    if isinstance(param, click.Option) and param.is_flag:
        return [option]
    value = SPECIAL.get((name, option)) or SPECIAL.get((name.split()[0], option)) or SAMPLES.get(option)
    assert value, f"{name} {option}: give it a value in SAMPLES, please"
    return [option, *value]


def content(thing):
    """A digest of everything in a thing; what is equal has the same."""
    if isinstance(thing, np.ndarray):
        parts = [str(thing.shape).encode(), thing.tobytes()]
    elif isinstance(thing, Body | Hull):  # one of each in this test
        parts = [str(id(thing)).encode()]
    elif isinstance(thing, Craft):  # all the rest follows from these
        parts = [content(thing.boat), repr(thing.build).encode()]
    elif dataclasses.is_dataclass(thing):
        parts = [content(getattr(thing, f.name)) for f in dataclasses.fields(thing)]
    elif isinstance(thing, Mapping):
        parts = [content(part) for item in sorted(thing.items(), key=repr) for part in item]
    elif isinstance(thing, (list, tuple)):
        parts = [content(part) for part in thing]
    else:
        parts = [repr(thing).encode()]
    return hashlib.md5(b"|".join((type(thing).__name__.encode(), *parts)), usedforsecurity=False).digest()


SECOND = """[[load.paddler]]
name = "second"
mass = "60 kg"
posture = "kneeling"
seat_height = "20 mm"
seat_back = "1.35 m"

"""


@pytest.fixture(scope="module")
def heavy(tmp_path_factory):
    """The short kayak with more aboard than it carries, so that --strict has something to say, in a
    cockpit with two seats."""
    folder = tmp_path_factory.mktemp("pairs") / "kayak"
    shutil.copytree(ROOT / "models" / "short-kayak", folder)
    file = folder / "boat.toml"
    text = file.read_text(encoding="utf-8")
    for old, new in (
        ('mass = "82 kg"', 'mass = "150 kg"'),
        ('centre = "1.66 m"\nlength = "0.86 m"', 'centre = "1.5 m"\nlength = "1.55 m"'),
        ("[[load.gear]]", f"{SECOND}[[load.gear]]"),
    ):
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    file.write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(scope="module", autouse=True)
def cheap(heavy):
    """One coarse hull for all; what draws says what it was given to draw."""
    boat = read_boat(heavy)
    hull = build_hull(boat).coarse
    assert hull is not None
    made = hull, body_of(hull)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(study, "shaped", lambda boat: made)

        def once(room, name):
            """A function of the study, worked out once for each of its arguments."""
            real, known = getattr(room, name), {}

            @functools.wraps(real)
            def kept(*args, **more):
                key = content((args, more))
                if key not in known:
                    known[key] = real(*args, **more)
                return known[key]

            patch.setattr(room, name, kept)

        for name in (
            "launch",
            "judge",
            "righting",
            "other_side",
            "curve_with_error",
            "check",
            "bends",
            "if_fair",
            "compared",
            "shopping",
        ):
            once(study, name)
        import hullview.afloat.hydrostatics
        import hullview.answer.chance
        import hullview.answer.reading
        import hullview.show.browser
        import hullview.show.charts
        import hullview.show.cross_charts
        import hullview.show.drawings
        import hullview.show.film
        import hullview.show.forms_folder
        import hullview.show.gl
        import hullview.show.page
        import hullview.show.paper
        import hullview.show.picture
        import hullview.show.scene
        import hullview.show.window

        def told(*args, **more):
            return content((args, more)).hex()

        show = hullview.show
        once(hullview.answer.chance, "chance")
        once(hullview.answer.reading, "reading")
        once(study, "with_error")
        once(meshes, "body_of_mesh")
        for name in ("hydrostatics", "cross_curves", "bonjean", "height_for", "displacement_at"):
            once(hullview.afloat.hydrostatics, name)
        patch.setattr(study, "swamped", lambda craft: None)
        patch.setattr(study, "boarding", lambda craft: ())
        patch.setattr(study, "heaviest", lambda judge: Heaviest(None, "not asked here"))
        patch.setattr(study, "SCAN", (60,))
        for room, name in (
            (show.charts, "righting_chart"),
            (show.charts, "hydrostatic_chart"),
            (show.charts, "weight_chart"),
            (show.cross_charts, "cross_curves_chart"),
            (show.cross_charts, "bonjean_chart"),
            (show.paper, "lines_of"),
            (show.page, "page"),
            (show.page, "sheet"),
        ):
            patch.setattr(room, name, functools.partial(told, name))

        def patterns(made, parts, sheets, telling, paper, each):
            return {"patterns.txt": told(parts, sheets, paper).encode()}

        patch.setattr(show.forms_folder, "files_of", patterns)
        once(study, "forms")

        def without_the_step(boat, build, *, light, tell):
            return told("page", boat, build, light)

        patch.setattr(show.page, "page", without_the_step)
        patch.setattr(show.browser, "found", lambda: "a browser")
        patch.setattr(show.browser, "printed", functools.partial(told, "printed"))
        patch.setattr(show.drawings, "saved", lambda figure, kind: f"{figure} {kind}".encode())
        patch.setattr(show.gl, "prepare", lambda on_screen: None)
        patch.setattr(show.film, "turning", lambda plotter, frames, each: f"turn {plotter}".encode())
        patch.setattr(show.scene, "png", lambda plotter: f"png {plotter}".encode())
        patch.setattr(show.picture, "draw", lambda picture, **look: Drawn(told(picture, **look)))
        patch.setattr(show.picture, "model", lambda picture: f"model {told(picture)}".encode())
        patch.setattr(
            show.window,
            "Window",
            lambda craft, colour, **look: Drawn(told(craft.boat, craft.weight.build, colour, **look)),
        )
        yield


@dataclasses.dataclass(frozen=True)
class Drawn:
    """In the place of a scene or a window: opened, it says what it was to show."""

    told: str

    def show(self) -> None:
        click.echo(self.told)

    run = show


@pytest.fixture
def outcome(heavy, tmp_path, monkeypatch, capsys):
    """What one line leaves behind: status, stdout, the files it writes by name; and what it said on
    stderr."""
    count = itertools.count()
    places = {"BOAT": str(heavy), "MESH": str(WIGLEY)}

    def run(name, words):
        folder = tmp_path / str(next(count))
        folder.mkdir()
        monkeypatch.chdir(folder)
        base = [places.get(word, word) for word in BASES[name]]
        status = status_of([name.split()[0], *base, *words])
        printed = capsys.readouterr()
        files = {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
        return (status, printed.out, files), printed.err

    return run


@pytest.mark.timeout(600)
@pytest.mark.parametrize("name", BASES)
def test_each_pair_of_options_works_together_or_is_refused_in_words(name, outcome):
    known = {}

    def ask(options):
        if options not in known:
            known[options] = outcome(name, [word for option in options for word in words_of(name, option)])
        return known[options]

    alone, refused = ALONE.get(name, set()), REFUSED.get(name, set())
    for pair in itertools.combinations(options_of(name), 2):
        needed = [c for option in pair for c in COMPANIONS.get((name, option), ()) if c not in pair]
        options = tuple(dict.fromkeys((*pair, *needed)))
        (status, *_), err = found = ask(options)
        if frozenset(pair) in refused or alone & set(pair):
            assert status == 2 and err.strip(), f"{name} {' '.join(pair)}: is not refused"
            assert any(option in err for option in options), f"{name} {' '.join(pair)}: {err}"
            continue
        assert status in (0, 4), f"{name} {' '.join(pair)}: {err}"
        for option in pair:
            without, _ = ask(tuple(o for o in options if o != option))
            assert without != found[0], (
                f"{name}: {option} changes nothing beside {' '.join(o for o in pair if o != option)}"
            )


def test_every_command_has_its_pairs_tried():
    assert {name.split()[0] for name in BASES} == set(COMMANDS)


@pytest.mark.parametrize("more", [(), ("--cross-curves",), ("--bonjean",)])
@pytest.mark.parametrize(
    "kind", [(), ("--json",), ("--csv",), ("--plot", "plot.svg"), ("--trim", "2 deg"), ("--water", "salt")]
)
def test_a_range_by_displacement_goes_with_the_rest(outcome, more, kind):
    by = ["--by", "displacement", "--from", "60 kg", "--to", "120 kg", "--step", "20 kg"]
    (status, out, files), err = outcome("hydrostatics", [*by, *more, *kind])
    assert status == 0, err
    plain, _ = outcome("hydrostatics", [*by, *more])
    assert not kind or (out, files) != plain[1:]
    wider, _ = outcome("hydrostatics", ["--by", "displacement", *more, *kind])
    assert wider[1:] != (out, files), "the range changes nothing"


@pytest.mark.parametrize("words", [("--csv",), ("--plot", "plot.svg")])
def test_two_families_of_curves_do_not_fit_one_table_or_chart(outcome, words):
    (status, *_), err = outcome("hydrostatics", ["--cross-curves", "--bonjean", *words])
    assert status == 2 and words[0] in err


def test_a_boat_that_is_drawn_dry_refuses_what_would_load_it(outcome, monkeypatch):
    monkeypatch.setitem(BASES, "dry", [str(ROOT / "models" / "wigley")])
    for words in (["--water", "salt"], ["--paddler", "80 kg", "--seat-back", "2 m"], ["--colour", "wet"]):
        monkeypatch.setitem(BASES, "show", BASES["dry"])
        (status, *_), err = outcome("show", [*words, "--screenshot", "a.png"])
        assert status == 2 and words[0] in err
    (status, *_), err = outcome("show", ["--screenshot", "a.png", "--colour", "regions"])
    assert status == 0, err
