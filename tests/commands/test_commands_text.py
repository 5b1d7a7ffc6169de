"""Commands as a person and a script meet them: first lines, widths, JSON keys, statuses, streams."""

from __future__ import annotations

import csv
import io
import json
import math
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from hullview.commands import COMMANDS, group, status_of
from hullview.commands.output import to_stderr, to_stdout
from hullview.show.record import as_csv, plain_value
from hullview.tell.model import Column, Section, Table, Telling

ROOT = Path(__file__).parents[2]
MODELS = ROOT / "models"
KAYAK = str(MODELS / "short-kayak")
LOADED = [m.name for m in sorted(MODELS.iterdir()) if m.name != "wigley"]


@pytest.fixture
def run(capsys):
    """Run a command in this process: (status, stdout, stderr)."""

    def call(*args):
        status = status_of([str(a) for a in args])
        captured = capsys.readouterr()
        return status, captured.out, captured.err

    return call


SAID = {}


def answer_of(run, *args):
    """The JSON of a command, asked once for all tests that only read it."""
    key = tuple(str(a) for a in args)
    if key not in SAID:
        status, out, err = run(*args, "--json")
        assert status == 0, err
        SAID[key] = json.loads(out)
    return SAID[key]


# ---------------------------------------------------------------- carry


@pytest.mark.parametrize("model", LOADED)
def test_the_first_line_is_the_answer(run, model):
    status, out, err = run("carry", MODELS / model)
    assert (status, err) == (0, "")
    first = out.splitlines()[0]
    printed = answer_of(run, "carry", MODELS / model)["answer"]
    assert first.startswith(
        {"carries": "carries ", "marginal": "marginal with ", "does not carry": "does not carry "}[printed]
    )
    assert first.endswith(", on flat water, by these limits")
    assert max(len(line) for line in out.splitlines()) <= 80


CHECK_KEYS = {"key", "name", "value", "limit", "unit", "result", "basis", "margin", "least_margin"}
FLOATING_KEYS = {
    "state",
    "upright_stable",
    "heel_deg",
    "trim_deg",
    "waterplane",
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
}
WEIGHT_KEYS = {"build", "mass_kg", "mass_low_kg", "mass_high_kg", "centre_m", "lines", "usually_also"}
LINE_KEYS = {
    "item",
    "where",
    "basis",
    "quantity",
    "unit",
    "mass_kg",
    "mass_low_kg",
    "mass_high_kg",
    "centre_m",
}
CHECKS = {
    "height_to_flooding": "lowest rim above water",
    "freeboard": "freeboard",
    "trim": "trim by the bow",
    "gm": "GM upright",
    "gm_high": "GM, body's centre high",
    "lean_height": "rim left when leaned 30 mm",
    "lean_heel": "heel when leaned 30 mm",
    "reach": "rim left reaching 300 mm out",
    "flooding_heel": "heel where water comes in",
    "reserve_of_buoyancy": "reserve of buoyancy",
}
"""Keys that stay, and names that a builder reads."""


def test_carry_has_every_key_of_the_interface(run):
    printed = answer_of(run, "carry", KAYAK, "--paddler", "82 kg")
    assert printed["answer"] in ("carries", "marginal", "does not carry")
    assert all(set(c) >= CHECK_KEYS for c in printed["checks"])
    assert {c["key"]: c["name"] for c in printed["checks"]} == CHECKS
    assert isinstance(printed["worst"], list) and printed["worst"] and isinstance(printed["remarks"], list)
    assert {c["result"] for c in printed["checks"]} <= {"pass", "warn", "fail"}
    assert isinstance(printed["heaviest_paddler_kg"], int) or printed["heaviest_paddler_kg"] is None
    assert printed["heaviest_paddler_limit"]
    assert "level_trim_seat_back_m" in printed
    assert set(printed["floating"]) >= FLOATING_KEYS
    assert set(printed["floating"]["waterplane"]) == {"normal", "offset_m"}
    assert set(printed["weight"]) >= WEIGHT_KEYS
    assert all(set(line) >= LINE_KEYS for line in printed["weight"]["lines"])
    assert [row["paddler_kg"] for row in printed["table"]] == [50, 60, 70, 80, 90, 100, 110]


def test_the_heaviest_paddler_carries_and_a_kilogram_more_does_not(run):
    most = answer_of(run, "carry", KAYAK)["heaviest_paddler_kg"]
    assert most is not None
    assert answer_of(run, "carry", KAYAK, "--paddler", f"{most} kg")["answer"] == "carries"
    assert answer_of(run, "carry", KAYAK, "--paddler", f"{most + 1} kg")["answer"] != "carries"


def test_the_seat_for_level_trim_gives_level_trim(run):
    wanted = answer_of(run, "carry", KAYAK)["level_trim_seat_back_m"]
    moved = answer_of(run, "carry", KAYAK, "--seat-back", f"{wanted!r} m")
    assert moved["floating"]["trim_deg"] == pytest.approx(0, abs=1e-5)
    assert moved["level_trim_seat_back_m"] == pytest.approx(wanted, abs=1e-6)


def test_a_row_of_the_table_is_what_that_paddler_gets(run):
    row = answer_of(run, "carry", KAYAK)["table"][1]
    own = answer_of(run, "carry", KAYAK, "--paddler", "60 kg")
    assert row["answer"] == own["answer"]
    assert row["draft_m"] == pytest.approx(own["floating"]["draft_m"], rel=1e-9)
    assert row["gm_m"] == pytest.approx(own["floating"]["gm_m"], rel=1e-9)


def test_options_change_the_load_and_nothing_else(run):
    as_filed = answer_of(run, "float", KAYAK)
    heavier = answer_of(run, "float", KAYAK, "--paddler", "90 kg")
    assert heavier["load"]["mass_kg"] == pytest.approx(as_filed["load"]["mass_kg"] + 8, abs=1e-9)
    salt = answer_of(run, "float", KAYAK, "--water", "salt")
    assert salt["floating"]["draft_m"] < as_filed["floating"]["draft_m"]
    assert salt["water"]["density_kg_m3"] == 1025.976
    brackish = answer_of(run, "float", KAYAK, "--water", "1012 kg/m3")
    assert brackish["water"]["density_kg_m3"] == 1012
    aft = answer_of(run, "float", KAYAK, "--gear", "5 kg @ 2.8 m, 0 m, 0.1 m")
    moved = (aft["load"]["centre_m"][0] - as_filed["load"]["centre_m"][0]) * as_filed["load"]["mass_kg"]
    assert moved == pytest.approx(5 * 0.3, abs=1e-6)
    build = answer_of(run, "float", KAYAK, "--build", "taped-seam")
    assert build["load"]["mass_kg"] != as_filed["load"]["mass_kg"]


def test_two_paddlers_are_aboard_together_in_the_seats_of_the_file(run):
    canoe = MODELS / "open-canoe"
    both = answer_of(run, "carry", canoe, "--paddler", "75 kg", "--paddler", "60 kg")
    assert [p["mass_kg"] for p in both["paddlers"]] == [75, 60]
    assert both["paddlers"][0]["seat_back_m"] != both["paddlers"][1]["seat_back_m"]
    status, _, err = run("carry", KAYAK, "--paddler", "75 kg", "--paddler", "60 kg")
    assert status == 2 and "--seat-back" in err
    status, _, err = run(
        "carry",
        KAYAK,
        *["--paddler", "50kg", "--paddler", "30kg", "--seat-back", "1.8m", "--seat-back", "1.5m"],
    )
    assert status == 2 and "room for 1" in err
    places = [w for back in ("1.5 m", "3.3 m", "2.5 m") for w in ("--paddler", "60 kg", "--seat-back", back)]
    three = answer_of(run, "carry", canoe, *places)
    assert [p["seat_back_m"] for p in three["paddlers"]] == [1.5, 3.3, 2.5]


def test_against_sets_another_paddler_beside_the_first(run):
    status, out, _ = run("carry", KAYAK, "--paddler", "82 kg", "--against", "150 kg")
    assert status == 0
    heads = [line for line in out.splitlines() if line.endswith("on flat water, by these limits")]
    assert len(heads) == 2 and "150 kg" in heads[1] and heads[1].startswith("does not carry")
    printed = answer_of(run, "carry", KAYAK, "--against", "150 kg")
    assert printed["against"][0]["answer"] == "does not carry"


def test_a_builder_in_feet_reads_feet_with_millimetres_beside(run):
    _, out, _ = run("carry", MODELS / "cruising-canoe-1883", "--full")
    assert re.search(r'height to flooding +[0-9\' /"-]+" \(\d+ mm\)', out)
    _, out, _ = run("carry", KAYAK, "--full")
    assert re.search(r"height to flooding +\d+ mm \([0-9' /\"-]+\)", out)


def test_strict_ends_with_4_where_the_answer_is_not_carries(run):
    assert run("carry", KAYAK, "--paddler", "82 kg", "--strict")[0] == 0
    status, out, _ = run("carry", KAYAK, "--paddler", "150 kg", "--strict")
    assert status == 4 and out.startswith("does not carry")
    assert run("carry", KAYAK, "--paddler", "150 kg")[0] == 0


def test_a_boat_that_floods_still_gets_its_answer(run):
    printed = answer_of(run, "carry", KAYAK, "--paddler", "400 kg")
    assert printed["answer"] == "does not carry"
    assert printed["floating"]["state"] in ("floods", "sinks")
    assert printed["floating"]["draft_m"] is None
    status, out, _ = run("carry", KAYAK, "--paddler", "400 kg")
    assert status == 0 and ("floods" in out or "sinks" in out)


# ---------------------------------------------------------------- the others


def test_compare_gives_builds_in_the_order_asked_and_differences_that_turn_round(run):
    ab = answer_of(run, "compare", KAYAK, "clamped-sheer", "taped-seam")
    ba = answer_of(run, "compare", KAYAK, "taped-seam", "clamped-sheer")
    assert [b["build"] for b in ab["builds"]] == ["clamped-sheer", "taped-seam"]
    assert all(set(b) >= WEIGHT_KEYS | {"floating", "resin_kg"} for b in ab["builds"])
    for key in ("mass_kg", "resin_kg", "draft_m", "gm_m"):
        assert ab["differences"][0][key] == pytest.approx(-ba["differences"][0][key], abs=1e-9)
    less = ab["builds"][1]["mass_kg"] - ab["builds"][0]["mass_kg"]
    assert ab["differences"][0]["mass_kg"] == pytest.approx(less, abs=1e-12)


def test_compare_takes_other_boats_among_the_builds(run):
    printed = answer_of(run, "compare", KAYAK, "taped-seam", MODELS / "flat-skiff", MODELS / "pulling-dinghy")
    assert [b["boat"] for b in printed["builds"]] == ["Short kayak", "Flat skiff", "Pulling dinghy"]
    assert printed["builds"][0]["build"] == "Short kayak, taped-seam"
    alone = answer_of(run, "carry", MODELS / "flat-skiff")
    assert printed["builds"][1]["heaviest_paddler_kg"] == alone["heaviest_paddler_kg"]
    assert (
        printed["builds"][1]["peak_arm_m"] == answer_of(run, "righting", MODELS / "flat-skiff")["peak_arm_m"]
    )


@pytest.mark.parametrize(
    "args",
    [
        ("righting", KAYAK, "--plot"),
        ("compare", KAYAK, "--chart"),
        ("compare", KAYAK, "--plot"),
        ("hydrostatics", KAYAK, "--plot"),
    ],
    ids=lambda a: a[0],
)
def test_a_drawing_is_the_same_bytes_twice_and_only_of_a_kind_we_draw(run, tmp_path, args):
    files = [tmp_path / name for name in ("a.svg", "b.svg")]
    for file in files:
        status, out, err = run(*args, file)
        assert status == 0 and out and f"{file}: written." in err
    assert files[0].read_bytes() == files[1].read_bytes()
    assert files[0].read_bytes().startswith(b"<?xml")
    status, out, err = run(*args, tmp_path / "c.gif")
    assert (status, out) == (2, "") and ".svg, .pdf or .png" in err and not (tmp_path / "c.gif").exists()


def test_weigh_adds_up_in_json_and_csv(run):
    printed = answer_of(run, "weigh", KAYAK)
    assert sum(line["mass_kg"] for line in printed["lines"]) == pytest.approx(printed["mass_kg"], rel=1e-12)
    status, out, _ = run("weigh", KAYAK, "--csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert status == 0 and len(rows) == len(printed["lines"]) + len(printed["usually_also"])
    assert float(rows[0]["mass_kg"]) == printed["lines"][0]["mass_kg"]
    assert {"centre_m_x", "centre_m_y", "centre_m_z"} <= set(rows[0])


HYDROSTATIC_KEYS = {
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
}


def test_hydrostatics_goes_by_height_by_displacement_and_by_itself(run):
    rows = answer_of(run, "hydrostatics", KAYAK)["rows"]
    assert len(rows) >= 5 and all(set(r) >= HYDROSTATIC_KEYS for r in rows)
    given = answer_of(run, "hydrostatics", KAYAK, "--from", "50 mm", "--to", "150 mm", "--step", "2 in")[
        "rows"
    ]
    assert [round(r["waterline_height_m"], 9) for r in given] == [0.05, 0.1008]
    by = answer_of(
        run,
        "hydrostatics",
        KAYAK,
        "--by",
        "displacement",
        "--from",
        "80 kg",
        "--to",
        "120 kg",
        "--step",
        "20 kg",
    )["rows"]
    assert [r["displacement_kg"] for r in by] == pytest.approx([80, 100, 120], rel=1e-8)
    trimmed = answer_of(run, "hydrostatics", KAYAK, "--trim", "-1 deg")["rows"]
    assert trimmed[0]["trim_deg"] == pytest.approx(-1)
    assert run("hydrostatics", KAYAK, "--from", "50 mm")[0] == 2
    assert run("hydrostatics", MODELS / "wigley")[0] == 0  # no load, no build


def test_cross_curves_and_bonjean_areas_come_as_text_json_and_csv(run):
    at_100 = ("--by", "displacement", "--from", "100 kg", "--to", "100 kg", "--step", "1 kg")
    _, out, _ = run("hydrostatics", KAYAK, "--cross-curves", *at_100, "--csv")
    kn = next(csv.DictReader(io.StringIO(out)))
    curve = answer_of(run, "righting", KAYAK, "--posture", "rigid", "--to", "30", "--step", "30")
    assert float(kn["displacement_kg"]) == 100
    assert 0.05 < float(kn["kn_30_deg_m"]) - curve["curve"][-1]["arm_m"] < 0.2  # KG sin(30 deg) more
    both = answer_of(run, "hydrostatics", KAYAK, "--cross-curves", "--bonjean", *at_100)
    assert {k: str(v) for k, v in both["cross_curves"][0].items()} == kn
    _, out, _ = run("hydrostatics", KAYAK, "--bonjean", *at_100, "--csv")
    areas = list(csv.DictReader(io.StringIO(out)))
    (column,) = (k for k in areas[0] if k.startswith("area"))
    assert len(areas) >= 5 and all(float(row[column]) >= 0 for row in areas)
    assert [row[column] for row in both["bonjean"]] == [float(row[column]) for row in areas]
    _, out, _ = run("hydrostatics", KAYAK, "--cross-curves", "--bonjean", *at_100)
    shown = f"{float(kn['kn_30_deg_m']) * 1000:.1f}"
    assert shown in out and f"{float(areas[3][column]):.3f}" in out
    assert max(map(len, out.splitlines())) <= 80


def test_righting_has_its_keys_both_postures_and_the_other_side_of_a_lopsided_load(run):
    printed = answer_of(run, "righting", KAYAK, "--step", "15")
    wanted = {
        "gm_m",
        "curve",
        "peak_arm_m",
        "peak_heel_deg",
        "vanishing_heel_deg",
        "flooding_heel_deg",
        "usable_range_ends_deg",
        "energy_to_flooding_j",
    }
    assert set(printed) >= wanted and printed["other_side"] is None
    assert set(printed["curve"][0]) >= {"heel_deg", "arm_m", "moment_nm", "trim_deg"}
    assert [c["posture"] for c in printed["others"]] == ["upright torso"]
    assert printed["others"][0]["gm_m"] > printed["gm_m"]
    aside = answer_of(
        run, "righting", KAYAK, "--gear", "5 kg @ 1.8 m, 0.15 m, 0.1 m", "--to", "60", "--step", "20"
    )
    assert aside["other_side"]["curve"][-1]["heel_deg"] == pytest.approx(-60)
    status, out, _ = run("righting", KAYAK, "--step", "15")
    assert status == 0 and "rigid" in out and "upright torso" in out and "above the seat" in out
    assert "few backs bend past 40 deg" in " ".join(out.split())


def test_check_echoes_every_offset_and_finds_the_doubtful_ones_of_the_canoe(run):
    printed = answer_of(run, "check", MODELS / "cruising-canoe-1883")
    table = (MODELS / "cruising-canoe-1883" / "offsets.csv").read_text().splitlines()
    cells = sum(
        1
        for row in table
        if row.startswith(("height", "half-breadth"))
        for cell in row.split(",")[3:]
        if cell.strip() not in ("", "-")
    )
    assert len(printed["offsets"]) == cells
    doubtful = {(d["line"], d["station"]) for d in printed["doubtful"]}
    assert {("half-breadth sheer", "1"), ("height sheer", "4")} <= doubtful
    assert all(d["fair_m"] is not None for d in printed["doubtful"])
    assert printed["bend"]["light"] in ("dry", "wet or heat", "thinner")
    assert answer_of(run, "check", KAYAK)["doubtful"] == []
    assert answer_of(run, "check", MODELS / "wigley")["bend"] is None  # nothing says how it is built
    _, out, _ = run("check", MODELS / "cruising-canoe-1883")
    assert "0-2-7 (73 mm)" in out


METRIC = re.compile(r"\d (?:mm|cm|m|m2|kg|g|km)\b(?!/)")
"""A figure with its unit; kg/m3 and the like are figures of a material and not of the boat."""


@pytest.mark.parametrize("command", ["check", "weigh", "buy"])
def test_who_builds_in_inches_reads_inches_in_every_line(run, command):
    """Metric figures stand in brackets, beside the builder's own."""
    status, out, _ = run(command, MODELS / "cruising-canoe-1883")
    assert status == 0 and max(len(line) for line in out.splitlines()) <= 80
    own = re.sub(r"\([^()]*\)", "", out)
    assert not [line for line in own.splitlines() if METRIC.search(line)]


def test_the_echo_of_a_table_in_inches_is_as_the_table_has_it_with_mm_under_it(run):
    out = run("check", MODELS / "cruising-canoe-1883")[1]
    echo = out[out.index("Offsets as the table has them") :].splitlines()
    given = next(i for i, line in enumerate(echo) if line.startswith("half-breadth sheer"))
    columns = [echo[given + k].split() for k in range(3)]
    wrote = [x for x in columns[0] if x[0].isdigit()]
    for text, mm in zip(wrote, columns[1], strict=True):
        feet, inches, eighths = (float(p) for p in text.rstrip("+-").split("-")[:3])
        sixteenth = text.endswith("+") - text.endswith("-")
        assert (feet * 12 + inches + eighths / 8 + sixteenth / 16) * 25.4 == pytest.approx(
            float(mm), abs=0.06
        )
    record = {
        (o["line"], o["station"]): o
        for o in answer_of(run, "check", MODELS / "cruising-canoe-1883")["offsets"]
    }
    worst = record["half-breadth sheer", "1"]["out_of_fair_m"]
    assert float(columns[2][1].rstrip("*")) == pytest.approx(worst / 0.0254, abs=0.006)


def test_the_table_of_paddlers_comes_as_csv(run):
    printed = answer_of(run, "carry", KAYAK)["table"]
    _, out, _ = run("carry", KAYAK, "--csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [
        (int(r["paddler_kg"]), r["answer"], float(r["draft_m"])) for r in rows if r["load"] == "table"
    ] == [(r["paddler_kg"], r["answer"], r["draft_m"]) for r in printed]


def test_the_load_given_and_what_is_set_against_it_stand_in_the_csv_too(run):
    _, out, _ = run("carry", KAYAK, "--csv", "--against", "73 kg", "--against", "150 kg")
    rows = [r for r in csv.DictReader(io.StringIO(out)) if r["load"] != "table"]
    assert [r["load"] for r in rows] == ["given", "against", "against"]
    for row, args in zip(rows, ((), ("--paddler", "73 kg"), ("--paddler", "150 kg"))):
        own = answer_of(run, "carry", KAYAK, *args)
        assert (row["answer"], float(row["paddler_kg"])) == (own["answer"], own["paddlers"][0]["mass_kg"])
        assert float(row["draft_m"] or "nan") == pytest.approx(own["floating"]["draft_m"], nan_ok=True)


def test_carry_tells_what_happens_swamped_and_boarded(run):
    printed = answer_of(run, "carry", MODELS / "open-canoe")
    cases = {(c["share"], c["paddlers"]): c["state"] for c in printed["swamped"]["cases"]}
    assert set(cases) == {(s, p) for s in (0.25, 0.5, 1.0) for p in (True, False)}
    assert len(printed["boarding"]) == 4
    assert all(b["ships_water"] == (b["state"] != "afloat") for b in printed["boarding"])
    status, out, _ = run("carry", MODELS / "open-canoe", "--full")
    assert status == 0
    for words in (
        "swamped",
        "there is nothing sealed",
        "rolls, sinks",
        "swimmers bear themselves",
        "back in from deep water",
    ):
        assert words in " ".join(out.split())


def test_the_share_of_builds_comes_only_when_asked_and_is_no_chance_of_safety(run):
    assert answer_of(run, "carry", KAYAK)["chance"] is None
    found = answer_of(run, "carry", KAYAK, "--chance")["chance"]
    assert found["share"] == found["inside"] / found["of"]
    status, out, _ = run("carry", KAYAK, "--chance")
    assert status == 0 and "not a chance of safety" in " ".join(out.split())


def test_righting_reads_itself_out(run):
    printed = answer_of(run, "righting", KAYAK)
    per_degree = printed["mass_kg"] * 9.80665 * printed["gm_m"] * math.radians(1)
    assert printed["reading"]["moment_per_degree_nm"] == pytest.approx(per_degree, rel=1e-12)
    _, out, _ = run("righting", KAYAK)
    assert "Help stops at" in " ".join(out.split())


def test_buy_names_waste_and_needs_what_it_uses(run):
    printed = answer_of(run, "buy", KAYAK)
    assert {line["group"] for line in printed["lines"]} >= {"strips", "cloth", "resin", "consumables"}
    for line in printed["lines"]:
        assert line["buy"] >= line["need"] - 1e-9 or line["group"] == "consumables"
        assert line["need"] == pytest.approx(line["use"] + line["waste"])
    _, out, _ = run("buy", KAYAK, "--csv")
    assert [r["item"] for r in csv.DictReader(io.StringIO(out))] == [
        line["item"] for line in printed["lines"]
    ]
    _, other, _ = run("buy", KAYAK, "--build", "taped-seam")
    assert "taped-seam" in other.splitlines()[0]


def test_a_mesh_floats_with_a_centre_that_starts_with_a_minus(run):
    mesh = MODELS / "wigley" / "wigley.stl"
    printed = answer_of(
        run, "float", mesh, "--units", "mm", "--mass", "300 kg", "--centre", "-0.1,0,0.2", "--water", "salt"
    )
    assert printed["load"]["centre_m"] == [-0.1, 0, 0.2]
    level = answer_of(run, "float", mesh, "--units", "mm", "--mass", "300 kg", "--centre", "2.5,0,0.2")
    assert level["floating"]["height_to_flooding_m"] is None
    status, _, err = run("float", mesh, "--mass", "300 kg")
    assert status == 2 and "--units, --centre" in err
    assert (
        run("float", mesh, "--units", "mm", "--mass", "3 kg", "--centre", "1,0,0", "--paddler", "80 kg")[0]
        == 2
    )
    assert run("float", KAYAK, "--mass", "300 kg")[0] == 2
    assert run("float", mesh, "--units", "mm", "--mass", "3 kg", "--centre", "1,0")[0] == 2


MESH = (MODELS / "wigley" / "wigley.stl", "--units", "mm")
LOADED_MESH = (*MESH, "--mass", "300 kg", "--centre", "2.4,0.02,0.1")


def test_a_mesh_has_its_hydrostatics_table(run):
    """The Wigley hull by its formula, V = 4/9 L B T; its lid lies 120 mm above the waterline."""
    found = answer_of(run, "hydrostatics", *MESH, "--from", "312.5 mm", "--to", "312.5 mm", "--step", "1 mm")
    assert found["rows"][0]["volume_m3"] == pytest.approx(4 / 9 * 5 * 0.5 * 0.3125, rel=1e-3)
    assert found["boat"] == "wigley.stl" and found["rows"][0]["lcb_m"] == pytest.approx(2.5, abs=1e-3)
    status, out, _ = run("hydrostatics", *MESH, "--bonjean")
    assert status == 0 and max(map(len, out.splitlines())) <= 80
    status, _, err = run("hydrostatics", MESH[0])
    assert status == 2 and "--units" in err
    status, _, err = run("hydrostatics", KAYAK, "--units", "mm")
    assert status == 2 and "for a mesh file" in err


def test_a_mesh_has_its_righting_curve(run):
    found = answer_of(run, "righting", *LOADED_MESH, "--to", "60", "--step", "20")
    lying = answer_of(run, "float", *LOADED_MESH)
    assert found["rest_heel_deg"] == pytest.approx(lying["floating"]["heel_deg"], abs=1e-3)
    assert found["curve"][0]["arm_m"] == pytest.approx(-0.02, abs=1e-9)  # upright: its centre is 20 mm off
    assert found["other_side"]["curve"][-1]["heel_deg"] == pytest.approx(-60)
    assert found["flooding_heel_deg"] is None and found["reading"]["reach_shift_m"] == 0
    even = answer_of(run, "righting", *MESH, "--mass", "300 kg", "--centre", "2.4,0,0.1", "--to", "20")
    assert even["other_side"] is None
    status, out, _ = run("righting", *LOADED_MESH, "--to", "60", "--step", "20")
    assert status == 0 and "water comes in nowhere" in out and max(map(len, out.splitlines())) <= 80
    for words in (("--posture", "rigid"), ("--against", "80 kg"), ("--paddler", "80 kg")):
        status, _, err = run("righting", *LOADED_MESH, *words)
        assert status == 2 and words[0] in err
    status, _, err = run("righting", *MESH)
    assert status == 2 and "--mass, --centre" in err


@pytest.mark.render
def test_a_mesh_is_drawn_dry_or_at_rest(run, tmp_path):
    from PIL import Image

    pictures = []
    for i, words in enumerate(([*MESH], [*LOADED_MESH], [*LOADED_MESH, "--colour", "wet"])):
        file = tmp_path / f"{i}.png"
        status, _, err = run("show", *words, "--size", "320x240", "--screenshot", file)
        assert status == 0, err
        pictures.append(Image.open(file).tobytes())
    assert len(set(pictures)) == 3
    status, _, err = run("show", *LOADED_MESH, "--save", tmp_path / "mesh.glb")
    assert status == 0 and (tmp_path / "mesh.glb").read_bytes()[:4] == b"glTF"


def test_a_curve_leads_somewhere(run):
    status, _, err = run("righting", KAYAK, "--to", "0")
    assert status == 2 and "--to 0" in err
    status, _, err = run("righting", KAYAK, "--to", "10", "--step", "20")
    assert status == 2 and "--step 20" in err
    assert [r["heel_deg"] for r in answer_of(run, "righting", KAYAK, "--to", "3")["curve"]] == pytest.approx(
        [0, 3]
    )
    status, _, err = run("righting", KAYAK, *["--against", "70 kg"] * 7)
    assert status == 2 and "6 curves at most" in err


def test_new_writes_a_folder_that_carry_reads(run, tmp_path):
    folder = tmp_path / "my boat"
    assert run("new", folder)[0] == 0
    assert run("carry", folder)[0] == 0
    assert run("new", folder)[0] == 2  # it holds files already


def test_materials_finds_a_word_with_density_source_and_note(run):
    found = answer_of(run, "materials", "redcedar")["materials"]
    assert found[0]["density_kg_m3"] == pytest.approx(358, abs=20) and found[0]["source"] and found[0]["note"]
    assert len(answer_of(run, "materials")["materials"]) > 20
    assert run("materials", "adamantium")[0] == 2


# ---------------------------------------------------------------- what all share

TEXTS = [
    ("batches", KAYAK),
    ("carry", KAYAK),
    ("float", KAYAK),
    ("hydrostatics", KAYAK),
    ("righting", KAYAK),
    ("weigh", KAYAK),
    ("materials",),
    ("compare", KAYAK, "clamped-sheer", "taped-seam"),
    ("righting", KAYAK, "--against", "60 kg"),
    ("hydrostatics", MODELS / "cruising-canoe-1883"),
    ("weigh", MODELS / "pulling-dinghy"),
    ("float", MODELS / "cruising-canoe-1883"),
    ("buy", KAYAK),
    ("buy", MODELS / "flat-skiff"),
    ("carry", KAYAK, "--chance"),
    ("carry", MODELS / "pulling-dinghy"),
    ("check", KAYAK),
    ("check", MODELS / "cruising-canoe-1883"),
    ("check", MODELS / "wigley"),
    ("compare", MODELS / "flat-skiff", MODELS / "pulling-dinghy", MODELS / "open-canoe"),
    ("carry", MODELS / "open-canoe", "--against", "90 kg"),
    ("carry", KAYAK, "--paddler", "400 kg"),
]


@pytest.mark.parametrize("args", TEXTS, ids=lambda args: " ".join(Path(str(a)).name for a in args))
def test_text_fits_80_columns_has_no_control_characters_and_comes_out_the_same_twice(run, args):
    status, out, err = run(*args)
    assert (status, err) == (0, "")
    wide = [line for line in out.splitlines() if len(line) > 80]
    assert not wide
    assert all(c.isprintable() or c == "\n" for c in out)
    assert run(*args)[1] == out


@pytest.mark.parametrize(
    ("args", "status", "printed"),
    [
        (("carri", KAYAK), 2, "Did you mean 'carry'?"),
        (("carry", KAYAK, "--padler", "80 kg"), 2, "--paddler"),
        (("carry", KAYAK, "--paddler", "82"), 2, "must have its unit"),
        (("carry", KAYAK, "--paddler", "-5 kg"), 2, "must be over 0"),
        (("carry", KAYAK, "--gear", "6 kg"), 2, '"6 kg @ 2.3 m"'),
        (("carry", KAYAK, "--water", "brackish"), 2, "fresh, salt"),
        (("carry", KAYAK, "--water", "5 kg/m3"), 2, "900 to 1300"),
        (("carry", KAYAK, "--build", "clamped-sher"), 2, "Did you mean 'clamped-sheer'?"),
        (("carry", KAYAK, "--seat-back", "1.8 m", "--seat-back", "1.9 m"), 2, "--seat-back"),
        (("carry", "no/such/boat"), 3, "does not exist"),
        (("carry", str(MODELS / "wigley")), 2, "nobody is aboard"),
        (("weigh", KAYAK, "--json", "--csv"), 2, "Give one"),
        (("compare", KAYAK, "clamped-sheer"), 2, "two builds"),
        (("float", "missing.stl", "--units", "m", "--mass", "1 kg", "--centre", "0,0,0"), 3, "missing.stl"),
    ],
)
def test_what_goes_wrong_is_said_on_stderr_with_its_status(run, args, status, printed):
    got, out, err = run(*args)
    assert (got, out) == (status, "")
    assert printed in err
    assert "Traceback" not in err


def test_a_wrong_length_stops_before_any_figure(run, tmp_path):
    shutil.copytree(MODELS / "short-kayak", tmp_path / "boat")
    text = (tmp_path / "boat" / "boat.toml").read_text()
    (tmp_path / "boat" / "boat.toml").write_text(text.replace('units = "mm"', 'units = "in"'))
    status, out, _err = run("carry", tmp_path / "boat")
    assert (status, out) == (3, "")


def test_a_fault_of_ours_keeps_its_traceback(monkeypatch):
    monkeypatch.setattr("hullview.study.carry", lambda *a, **k: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        status_of(["carry", KAYAK])


def process(*args, **more):
    env = {**os.environ, **more.pop("env", {})}
    return subprocess.run(
        [sys.executable, "-m", "hullview", *args], capture_output=True, text=True, cwd=ROOT, env=env, **more
    )


def test_as_a_process_it_keeps_paths_whole_statuses_and_a_quiet_broken_pipe(tmp_path):
    long = tmp_path / ("a folder with a long name that no line of eighty columns holds " * 2).strip() / "boat"
    done = process("carry", str(long))
    assert done.returncode == 3 and str(long) in done.stderr
    done = subprocess.run(
        f"{shlex.quote(sys.executable)} -m hullview materials --json | head -c 100",
        shell=True,
        capture_output=True,
        text=True,
        cwd=ROOT,
    )
    assert len(done.stdout) == 100 and done.stderr == ""
    assert process("--version").stdout.startswith("hullview ")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here to play a full disk")
def test_a_full_disk_is_said_in_words():
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "hullview", "materials"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
    assert done.returncode == 2
    assert done.stderr == "the output cannot be written: the disk is full.\n"


def test_signs_a_terminal_lacks_do_not_stop_it(tmp_path):
    shutil.copytree(MODELS / "short-kayak", tmp_path / "boat")
    file = tmp_path / "boat" / "boat.toml"
    text = file.read_text(encoding="utf-8").replace('name = "Short kayak"', 'name = "Møhlenpriser"')
    file.write_text(text, encoding="utf-8")
    done = process("weigh", str(tmp_path / "boat"), env={"PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0, done.stderr
    assert "M\\xf8hlenpriser" in done.stdout


def test_a_control_character_in_a_name_reaches_no_terminal(tmp_path):
    shutil.copytree(MODELS / "short-kayak", tmp_path / "boat")
    file = tmp_path / "boat" / "boat.toml"
    text = file.read_text(encoding="utf-8").replace('name = "Short kayak"', 'name = "Kayak \\u001b[31m"')
    file.write_text(text, encoding="utf-8")
    done = process("weigh", str(tmp_path / "boat"))
    assert "\x1b" not in done.stdout + done.stderr
    assert done.returncode in (0, 3)


def test_nothing_that_a_terminal_would_obey_gets_through(capsys):
    to_stdout("Ella \x1b[31mred\u202eback\x07\nsecond line")
    to_stderr("a\x1b]0;title\x07b")
    out, err = capsys.readouterr()
    assert out == "Ella ?[31mred?back?\nsecond line\n"
    assert err == "a?]0;title?b\n"


def test_no_colour_where_nobody_asked_for_it():
    assert "\x1b" not in process("carry", KAYAK).stdout


# ---------------------------------------------------------------- JSON and CSV


def test_json_has_null_for_what_has_no_value():
    assert plain_value({"a": math.nan, "b": [math.inf, 1.0], "c": (2,)}) == {
        "a": None,
        "b": [None, 1.0],
        "c": [2],
    }


def test_csv_does_not_run_in_a_spreadsheet():
    cells = (("=2+5", 1.5), ("@cmd", -2), (" -rf", None), ("cedar", 0.1), ("a\x1bb", 3))
    columns = (Column("name", "name", "words"), Column("x", "x", "number"))
    telling = Telling((Section("", "", (Table("rows", "", columns, cells),)),))
    rows = list(csv.reader(io.StringIO(as_csv(telling))))
    assert rows == [
        ["name", "x"],
        ["'=2+5", "1.5"],
        ["'@cmd", "-2"],
        ["' -rf", ""],
        ["cedar", "0.1"],
        ["a b", "3"],
    ]


# ---------------------------------------------------------------- help and README


@pytest.mark.parametrize("name", COMMANDS)
def test_help_begins_with_an_example(run, name):
    status, out, _ = run(name, "--help")
    assert status == 0 and out.startswith(f"Example:\n  hullview {name} ")
    assert max(len(line) for line in out.splitlines()) <= 80


def examples():
    for name in COMMANDS:
        command = group.get_command(None, name)
        yield from (line for line in command.example.replace("\\\n", "").splitlines())


README = (ROOT / "README.md").read_text(encoding="utf-8")
TOUR = [line.strip() for line in README.splitlines() if re.match(r"    hullview [a-z]", line)]


def needs(line):
    """Marks for a line that draws, prints by the browser, or takes long."""
    asked = (
        (pytest.mark.render, line.startswith("hullview show") and "--" in line),
        (pytest.mark.browser, "--pdf" in line),
        (pytest.mark.slow, "--turn" in line),
    )
    return [mark for mark, wanted in asked if wanted]


def opens_a_window(line):
    return line.startswith("hullview show") and not re.search("--(screenshot|turn|save)", line)


@pytest.fixture
def bench(tmp_path, monkeypatch):
    """A folder like the project's, to write in."""
    shutil.copytree(MODELS, tmp_path / "models")
    (tmp_path / "reports").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


def but_for_the_names_of_its_files(line):
    """Two lines that differ in what they call the page or the picture they write are one to try."""
    return re.sub(r"[\w/-]+\.(html|pdf|png|svg|glb)", r"file.\1", line)


LINES = [
    line
    for line in {but_for_the_names_of_its_files(k): k for k in [*TOUR, *examples()]}.values()
    if not opens_a_window(line)
]


@pytest.mark.parametrize(
    "line", [pytest.param(line, marks=needs(line)) for line in LINES], ids=lambda line: line[9:60]
)
def test_every_line_of_the_readme_and_of_the_help_runs(run, bench, line):
    status, _out, err = run(*shlex.split(line)[1:])
    assert status == 0, err


def test_every_command_is_in_the_readme():
    told = {line.split()[1] for line in TOUR}
    assert told == set(COMMANDS)


def test_resin_of_compare_is_the_same_figure_in_json_and_csv(run):
    _, out, _ = run("compare", KAYAK, "--csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    for row, build in zip(rows, answer_of(run, "compare", KAYAK)["builds"], strict=True):
        assert float(row["resin_kg"]) == build["resin_kg"]
        assert float(row["trim_deg"]) == build["floating"]["trim_deg"]


def test_the_help_of_all_begins_with_an_example(run):
    status, out, _ = run("--help")
    assert status == 0 and out.startswith("Example:\n  hullview carry models/short-kayak")
    assert max(map(len, out.splitlines())) <= 80
