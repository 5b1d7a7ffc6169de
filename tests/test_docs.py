"""What the documents say is there: every option runs, every promised key is in the JSON, every link and
every path leads somewhere."""

from __future__ import annotations

import importlib
import importlib.util
import json
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from hullview.boat import keys
from hullview.boat.keys import KeyTable
from hullview.commands import COMMANDS, group, status_of

ROOT = Path(__file__).parents[1]
DOCUMENTS = [
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    ROOT / "CHANGELOG.md",
    *sorted((ROOT / "reports").glob("*.md")),
    ROOT / "hullview" / "data" / "SOURCES.md",
]
BOAT, SKIFF = "models/short-kayak", "models/flat-skiff"

CANOE, SEATED = (
    "models/open-canoe",
    '--paddler "80 kg" --seat "bow paddler" --faces stern --stature "1.9 m" --gear none',
)
RUNS = {
    "carry": [
        'models/open-canoe --paddler "80 kg" --seat "bow paddler" --faces stern --stature "1.8 m" --full',
        (
            f'{BOAT} --paddler "82 kg" --seat-back "1.8 m" --gear "6 kg @ 2.3 m" --build taped-seam --water'
            ' "1012 kg/m3" --against "70 kg" --json'
        ),
        f"{CANOE} {SEATED} --json",
        f"{SKIFF} --strict --csv",
        f"{SKIFF} --chance",
    ],
    "float": [
        'models/open-canoe --paddler "80 kg" --seat "bow paddler" --faces stern --stature "1.8 m"',
        (
            f'{BOAT} --paddler "180 lb" --seat-back "5 ft 11 in" --gear "6 kg @ 2.3 m, 0 m, 0.1 m" --build'
            " taped-seam --water salt --json"
        ),
        f"{CANOE} {SEATED}",
        'models/wigley/wigley.stl --units mm --mass "300 kg" --centre "2.5,0,0.2"',
    ],
    "hydrostatics": [
        (
            f'{SKIFF} --from "50 mm" --to "200 mm" --step "50 mm" --trim "-1 deg" --water salt --json --plot'
            " OUT/table.svg"
        ),
        f"{SKIFF} --by displacement --csv",
        f"{SKIFF} --cross-curves --plot OUT/kn.svg",
        f"{SKIFF} --bonjean --plot OUT/areas.pdf",
        "models/wigley/wigley.stl --units mm --cross-curves --bonjean",
    ],
    "righting": [
        (
            'models/open-canoe --paddler "80 kg" --seat "bow paddler" --faces stern --stature "1.8 m" --to 20'
            " --step 20"
        ),
        (
            f'{BOAT} --paddler "82 kg" --seat-back "1.8 m" --gear "6 kg @ 2.3 m" --build taped-seam --water'
            ' fresh --to 60 --step 20 --posture both --against "70 kg" --plot OUT/curves.svg --json'
        ),
        f"{SKIFF} --to -40 --step 20 --csv",
        f"{CANOE} {SEATED} --step 45",
        'models/wigley/wigley.stl --units mm --mass "300 kg" --centre "2.5,0,0.2" --plot OUT/mesh.svg',
    ],
    "weigh": [f"{BOAT} --build taped-seam --json", f"{BOAT} --csv"],
    "compare": [f"{BOAT} clamped-sheer taped-seam --json --chart OUT/weights.svg", f"{BOAT} --csv"],
    "batches": [f"{BOAT} --build taped-seam --json", f"{SKIFF} --csv"],
    "buy": [f"{BOAT} --build taped-seam --json", f"{BOAT} --csv"],
    "check": [f"{BOAT} --build taped-seam --json", f"{BOAT} --csv"],
    "show": [
        f"{BOAT} --forms --build clamped-sheer --size 400x300 --screenshot OUT/forms.png",
        (
            'models/open-canoe --paddler "80 kg" --seat "bow paddler" --faces stern --stature "1.8 m" --lines'
            " OUT/seat.svg"
        ),
        (
            f'{BOAT} --paddler "82 kg" --seat-back "1.8 m" --gear "6 kg @ 2.3 m" --build taped-seam --water'
            " fresh --colour bend --view body --see-through --stations --size 400x300 --screenshot OUT/a.png"
            " --lines OUT/a.svg --scale 1:10 --save OUT/a.glb"
        ),
        f"{SKIFF} --turn OUT/a.gif --size 200x150",
        f"{CANOE} {SEATED} --save OUT/seated.glb",
        (
            'models/wigley/wigley.stl --units mm --mass "300 kg" --centre "2.5,0,0.2" --colour wet'
            " --screenshot OUT/mesh.png"
        ),
    ],
    "forms": [
        (
            f'{BOAT} --build clamped-sheer --at "1.3 m" --edge bevelled --paper letter --sheet "8 ft x 4 ft"'
            " --halves --output OUT/forms --json"
        ),
        f"{SKIFF} --csv",
    ],
    "report": [
        (
            'models/open-canoe --paddler "80 kg" --seat "bow paddler" --faces stern --stature "1.8 m" --sheet'
            " --output OUT/seat.html"
        ),
        (
            f'{BOAT} --paddler "82 kg" --seat-back "1.8 m" --gear "6 kg @ 2.3 m" --build taped-seam --water'
            " fresh --sheet --output OUT/a.html"
        ),
        f"{SKIFF} --light --output OUT/b.html --pdf OUT/b.pdf --paper letter",
        f"{CANOE} {SEATED} --sheet --output OUT/c.html",
    ],
    "alter": [
        f'{SKIFF} --paddler "80 kg" --paddler "75 kg" --seat-back "1.74 m" --seat-back "3.1 m"'
        ' --only "seat moved" -o OUT/moved',
        (
            f'{BOAT} --paddler "125 kg" --seat-back "1.8 m" --stature "1.9 m" --gear "6 kg @ 2.3 m"'
            ' --build taped-seam --water salt --lengthen "2 %" --widen "30 mm" --deepen "3 %"'
            ' --raise-sheer "10 mm" --json'
        ),
        f'{CANOE} --paddler "80 kg" --seat "bow paddler" --faces stern --widen "1 in" --csv',
    ],
    "cases": [f"{BOAT} --build taped-seam --water salt --json", f"{CANOE} --csv"],
    "materials": ["cedar --json", "--csv"],
    "new": ["OUT/my-boat"],
    "completion": ["bash", "zsh", "fish"],
}
"""Runs that between them use every option of every command once."""


def marks(command: str, line: str):
    drawn = command == "show" or (command == "report" and "--sheet" not in line)
    return [
        m
        for m, wanted in (
            (pytest.mark.render, drawn),
            (pytest.mark.browser, "--pdf" in line),
            (pytest.mark.slow, "--turn" in line),
        )
        if wanted
    ]


CASES = [
    pytest.param(c, line, marks=marks(c, line), id=f"{c}-{i}")
    for c, lines in RUNS.items()
    for i, line in enumerate(lines)
]


@pytest.mark.parametrize("command, line", CASES)
def test_every_option_runs(command, line, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    assert status_of([command, *shlex.split(line.replace("OUT", str(tmp_path)))]) == 0, (
        capsys.readouterr().err
    )


def test_no_option_is_left_out_and_each_has_a_line_of_help():
    assert RUNS.keys() == COMMANDS.keys()
    for name in COMMANDS:
        command = group.get_command(None, name)
        assert command is not None and command.help
        used = {word for line in RUNS[name] for word in shlex.split(line) if word.startswith("-")}
        for option in command.params:
            if option.param_type_name == "option":
                assert used & set(option.opts), f"{name} {option.opts}: in no run"
                assert getattr(option, "help", None), f"{name} {option.opts}: no help"


# ---------------------------------------------------------------- the keys that users rely on

FLOATING = [
    "state",
    "upright_stable",
    "heel_deg",
    "trim_deg",
    "waterplane.normal",
    "waterplane.offset_m",
    "draft_m",
    "draft_forward_m",
    "draft_aft_m",
    "displaced_volume_m3",
    "centre_of_buoyancy_m",
    "waterplane_area_m2",
    "wetted_area_m2",
    "waterline_length_m",
    "waterline_beam_m",
    "gm_m",
    "gm_longitudinal_m",
    "immersion_kg_per_cm",
    "freeboard_m",
    "height_to_flooding_m",
]
WEIGHT = ["build", "mass_kg", "mass_low_kg", "mass_high_kg", "centre_m", "lines", "usually_also"]
LINE = ["item", "where", "basis", "quantity", "unit", "mass_kg", "mass_low_kg", "mass_high_kg", "centre_m"]
PROMISED = {
    f"float {SKIFF}": [
        "water.density_kg_m3",
        "load.mass_kg",
        "load.centre_m",
        *(f"floating.{k}" for k in FLOATING),
    ],
    f"hydrostatics {SKIFF}": [
        "rows",
        *(
            f"rows.0.{k}"
            for k in [
                "waterline_height_m",
                "draft_m",
                "volume_m3",
                "displacement_kg",
                "lcb_m",
                "kb_m",
                "waterplane_area_m2",
                "lcf_m",
                "bm_m",
                "bm_longitudinal_m",
                "km_m",
                "wetted_area_m2",
                "waterline_length_m",
                "waterline_beam_m",
                "block_coefficient",
                "prismatic_coefficient",
                "midship_coefficient",
                "waterplane_coefficient",
                "immersion_kg_per_cm",
            ]
        ),
    ],
    f"righting {SKIFF} --step 20": [
        "gm_m",
        "curve.0.heel_deg",
        "curve.0.arm_m",
        "curve.0.moment_nm",
        "curve.0.trim_deg",
        "peak_arm_m",
        "peak_heel_deg",
        "vanishing_heel_deg",
        "flooding_heel_deg",
        "usable_range_ends_deg",
        "energy_to_flooding_j",
    ],
    f"weigh {BOAT}": [*WEIGHT, *(f"lines.0.{k}" for k in LINE)],
    f"compare {BOAT} clamped-sheer taped-seam": [
        "differences.0",
        *(f"builds.{i}.{k}" for i in (0, 1) for k in (*WEIGHT, "floating", "resin_kg")),
        *(f"builds.1.floating.{k}" for k in FLOATING),
    ],
    f"cases {BOAT}": [
        f"cases.3.{k}"
        for k in (
            "name",
            "answer",
            "in_the_way",
            "least_margin",
            "draft_m",
            "trim_m",
            "level_trim_seat_back_m",
        )
    ],
    f"alter {BOAT} --widen 3%": [
        "before.answer",
        *(f"proposals.0.{k}" for k in ("change.beam_factor", "answer", "checks.0.value")),
    ],
    f"carry {BOAT}": [
        "answer",
        *(f"checks.0.{k}" for k in ["name", "value", "limit", "unit", "result", "basis"]),
        "heaviest_paddler_kg",
        "heaviest_paddler_limit",
        "level_trim_seat_back_m",
        *(f"floating.{k}" for k in FLOATING),
        *(f"weight.{k}" for k in WEIGHT),
    ],
}


@pytest.mark.parametrize(
    "line, promised", PROMISED.items(), ids=lambda v: v.split()[0] if isinstance(v, str) else ""
)
def test_every_promised_key_is_in_the_json(line, promised, monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    assert status_of([*line.split(), "--json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    for key in promised:
        value = printed
        for part in key.split("."):
            assert part.isdigit() or part in value, key
            value = value[int(part) if part.isdigit() else part]


# ---------------------------------------------------------------- links and paths


def _anchor(heading: str) -> str:
    return re.sub(r"[^\w\- ]", "", heading.strip().lower()).replace(" ", "-")


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda d: d.name)
def test_links_within_the_project_resolve(document):
    text = document.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if target.startswith(("http://", "https://", "mailto:")):
            continue
        path, _, anchor = target.partition("#")
        file = (document.parent / path).resolve() if path else document
        assert file.is_relative_to(ROOT) and file.exists(), target
        if anchor:
            headings = {_anchor(h) for h in re.findall(r"(?m)^#+ (.*)$", file.read_text(encoding="utf-8"))}
            assert anchor in headings, target


@pytest.mark.parametrize("document", DOCUMENTS[:2], ids=lambda d: d.name)
def test_files_and_rooms_that_are_named_are_there(document):
    text = document.read_text(encoding="utf-8")
    named = set(re.findall(r"`([\w./-]+\.(?:py|csv|toml|md|css|html))`", text)) | set(
        re.findall(r"`((?:tests|hullview|reports|models)/[\w./-]*)`", text)
    )
    here = [
        p
        for top in ("hullview", "tests", "reports", "models")
        for p in (ROOT / top).rglob("*")
        if "__pycache__" not in p.parts
    ]
    made_by_the_reader = {"offsets.csv", "boat.toml", "hull.glb", "kayak.gif", "kayak.pdf"}
    for name in sorted(named - made_by_the_reader):
        assert (ROOT / name).exists() or any(path.match(name.rstrip("/")) for path in here), name
    for module in re.findall(r"`(hullview(?:\.\w+)+)`", text):
        found = module
        while found.count(".") and not _importable(found):
            found = found.rpartition(".")[0]
        assert all(
            hasattr(importlib.import_module(found), part)
            for part in module[len(found) + 1 :].split(".")[:1]
            if part
        ), module


def _importable(name: str) -> bool:
    try:
        importlib.import_module(name)
    except ModuleNotFoundError:
        return False
    return True


def test_tools_that_developers_are_told_of_say_how_they_are_used():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    tools = sorted(set(re.findall(r"python (tests/fuzz/[\w/]+\.py)", text)))
    assert tools
    for tool in tools:
        if "guided" in tool and importlib.util.find_spec("atheris") is None:
            continue
        done = subprocess.run(
            [sys.executable, str(ROOT / tool), "--help"],
            capture_output=True,
            text=True,
            env={"PYTHONPATH": str(ROOT)},
            timeout=60,
        )
        assert done.returncode == 0 and "usage" in done.stdout.lower(), tool


def _names(sheet: KeyTable) -> set[str]:
    return {key.name for key in sheet.keys}


def test_the_new_boat_explains_every_key():
    text = (ROOT / "hullview" / "data" / "new-boat" / "boat.toml").read_text(encoding="utf-8")
    words = set(re.findall(r"[a-z_]+", text))
    sheets = [*keys.LISTS.values(), *keys.TABLES.values(), *keys.SCHEDULE.values(), keys.BUILD]
    known = set(keys.TOP).union(*(_names(s) for s in sheets))
    assert known - words == set()
