"""What is written is what was reckoned: DXF read by ezdxf, SVG by svgpathtools, the PDF drawn by pypdfium2;
parts on sheets by shapely; and a folder whole or not at all."""

from __future__ import annotations

import csv
import io
import json
import os
import re
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import pypdfium2
import pytest
import svgpathtools
from shapely import LineString, Polygon, box, union_all
from shapely.affinity import rotate, translate

from hullview import study
from hullview.boat.reader import read_boat
from hullview.commands import status_of
from hullview.forms.nest import nest
from hullview.show.dxf import LAYERS, dxf_of
from hullview.show.forms_folder import patterns_and_sheets
from hullview.show.nested import area_of
from hullview.show.pattern_svg import extent_of, svg_of
from hullview.show.pdf import tiled_pdf
from hullview.show.tiling import PAPERS, STRIP, tiling_of

MODELS = Path(__file__).parents[2] / "models"
DOTS = 600
SHEET = (2440.0, 1220.0)


@cache
def patterns(name="short-kayak", halves=False):
    forms = study.forms(read_boat(MODELS / name))
    return forms, *patterns_and_sheets(forms, SHEET, halves)


def polygon(part):
    return Polygon(part.rings[0], part.rings[1:])


def read_dxf(text):
    document = ezdxf.read(io.StringIO(text))
    assert not document.audit().errors
    return document


@pytest.mark.parametrize("name", ["short-kayak", "open-canoe", "pulling-dinghy"])
def test_dxf_has_closed_outlines_in_millimetres_that_are_the_parts(name):
    for part in patterns(name)[1]:
        document = read_dxf(dxf_of([(part, 0.0, np.zeros(2))]))
        assert document.header["$INSUNITS"] == 4 and document.header["$MEASUREMENT"] == 1
        assert set(LAYERS) <= {layer.dxf.name for layer in document.layers}
        cuts = [e for e in document.modelspace() if e.dxf.layer == "cut"]
        assert len(cuts) == len(part.rings) and all(e.closed for e in cuts)
        for e, ring in zip(cuts, part.rings):
            read = Polygon(np.array(e.get_points("xy")))
            assert read.exterior.hausdorff_distance(Polygon(ring).exterior) < 0.05
        words = " ".join(e.dxf.text for e in document.modelspace() if e.dxftype() == "TEXT")
        assert part.texts == () or part.texts[0].words.split()[0] in words


@pytest.mark.parametrize("name", ["short-kayak", "flat-skiff"])
def test_svg_is_at_its_true_size_and_its_cuts_are_the_parts(name):
    for part in patterns(name)[1]:
        text = svg_of(part)
        paths, attributes, root = svgpathtools.svgstr2paths(text, return_svg_attributes=True)
        wide, high = (float(root[k].removesuffix("mm")) for k in ("width", "height"))
        frame = [float(v) for v in root["viewBox"].split()]
        assert (wide, high) == pytest.approx((frame[2], frame[3]))  # one unit is one millimetre
        cuts = [p for p, a in zip(paths, attributes) if a.get("class") == "cut"]
        assert len(cuts) == len(part.rings)
        for path, ring in zip(cuts, part.rings):
            assert path.isclosed()
            read = Polygon([(s.start.real, -s.start.imag) for s in path])
            assert read.exterior.hausdorff_distance(Polygon(ring).exterior) < 0.05


def dark(page):
    """A page at 600 dots to the inch: where it has ink (rows from the foot, columns)."""
    grey = np.asarray(page.render(scale=DOTS / 72, grayscale=True).to_numpy())
    return grey.reshape(grey.shape[0], grey.shape[1])[::-1] < 128


def to_dots(mm):
    return mm * DOTS / 25.4


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
def test_pages_are_exactly_the_papers_size_with_bars_of_100_mm_and_a_free_edge(paper):
    part = next(p for p in patterns()[1] if p.file == "form-12")
    document = pypdfium2.PdfDocument(tiled_pdf([part], paper, "Short kayak"))
    assert len(document) >= 2
    for page in document:
        size = sorted(v * 25.4 / 72 for v in page.get_size())
        assert size == pytest.approx(sorted(PAPERS[paper]), abs=0.02)
    ink = dark(document[1])
    edge = int(to_dots(9.5))
    assert not (ink[:edge].any() or ink[-edge:].any() or ink[:, :edge].any() or ink[:, -edge:].any())
    bar = ink[int(to_dots(13.5)) : int(to_dots(14.5))]
    longest = max(run_of(row) for row in bar)
    assert longest == pytest.approx(to_dots(100), abs=to_dots(0.35))
    assert "100 %" in document[1].get_textpage().get_text_range()


def run_of(row):
    """The longest unbroken run of ink."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
    return max((b - a for a, b in zip(edges[::2], edges[1::2])), default=0)


@pytest.mark.parametrize("file", ["form-4", "inner-bow-stem"])
def test_pages_put_together_give_the_whole_outline_where_the_numbers_have_it(file):
    """Every point of the outline, taken each 5 mm, has ink within 0.2 mm on the page that shows it."""
    part = next(p for p in patterns()[1] if p.file == file)
    low, high = (v + pad for v, pad in zip(extent_of(part), (-6.0, 6.0)))
    tiling = tiling_of(low, high, "a4")
    document = pypdfium2.PdfDocument(tiled_pdf([part], "a4", "Short kayak"))
    pages = iter(list(document)[1:])
    points = np.vstack(
        [
            [r.interpolate(d).coords[0] for d in np.arange(0, r.length, 5.0)]
            for r in (LineString(np.vstack([q, q[:1]])) for q in part.rings)
        ]
    )
    seen = np.zeros(len(points), int)
    reach = int(np.ceil(to_dots(0.2)))
    for row in range(tiling.down):
        for column in range(tiling.across):
            x, y = tiling.origin(column, row)
            at = points - [x, y]
            here = ((at > 0.3) & (at < np.array(tiling.window) - 0.3)).all(axis=1)
            if not here.any() and not touched(part, tiling, x, y):
                continue
            ink = dark(next(pages))
            for k in np.flatnonzero(here):
                i = int(to_dots(at[k, 1] + tiling.free + STRIP))
                j = int(to_dots(at[k, 0] + tiling.free))
                assert ink[i - reach : i + reach + 1, j - reach : j + reach + 1].any(), (
                    row,
                    column,
                    points[k],
                )
                seen[k] += 1
    assert (seen >= 1).all()


def touched(part, tiling, x, y):
    from hullview.show.pdf import _has_something

    column = round((x - tiling.corner[0]) / tiling.step[0])
    row = tiling.down - 1 - round((y - tiling.corner[1]) / tiling.step[1])
    return _has_something(part, tiling, column, row)


@pytest.mark.parametrize("halves", [False, True])
@pytest.mark.parametrize("name", ["short-kayak", "open-canoe", "flat-skiff"])
def test_nested_parts_do_not_overlap_and_none_is_lost(name, halves):
    _, parts, sheets = patterns(name, halves)
    placed = [p.name for n in sheets for s in n.sheets for p, _, _ in s]
    assert sorted(placed) == sorted(p.name for p in parts if p.sheet)
    for n in sheets:
        for sheet in n.sheets:
            there = [translate(rotate(polygon(p), turn, origin=(0, 0)), *shift) for p, turn, shift in sheet]
            inside = box(0, 0, *n.size).buffer(-12 + 1e-6)
            assert all(inside.contains(shape.envelope) for shape in there)
            for k, shape in enumerate(there):
                assert all(shape.distance(other) > 11.9 for other in there[k + 1 :])
        used = sum(union_all(polygon(p)).area for s in n.sheets for p, _, _ in s)
        assert n.waste == pytest.approx(1 - used / (len(n.sheets) * n.size[0] * n.size[1]), abs=1e-6)
        assert used == pytest.approx(sum(area_of(p) for s in n.sheets for p, _, _ in s))


def test_nesting_turns_what_fits_only_turned_and_says_what_fits_nowhere():
    (spot,) = nest([(100.0, 900.0)], (1000.0, 200.0), 12.0, 12.0)
    assert spot.turned
    with pytest.raises(Exception, match="form 9 is 300 x 300 mm and does not fit a sheet of 200 x 250"):
        nest([(300.0, 300.0)], (200.0, 250.0), 12.0, 12.0, ["form 9"])


def test_a_label_is_not_mirrored_and_says_which_face_looks_where():
    """Seen looking at the station face: the words run from left to right, and starboard is on the right of a
    form whose face looks to the stern."""
    forms, parts, _ = patterns()
    for form in forms.forms:
        part = next(p for p in parts if p.name == f"form {form.name}")
        words = [t.words for t in part.texts]
        assert f"THIS FACE TO {'BOW' if form.body == 'aft' else 'STERN'}" in words
        assert all(-90.0 <= t.angle <= 90.0 for t in part.texts)


def test_halves_are_half_of_the_whole_along_the_centre_line():
    whole = {p.name: p for p in patterns()[1]}
    halves = patterns("short-kayak", True)[1]
    made = [p for p in halves if "half" in p.name or "left" in p.name or "right" in p.name]
    assert made
    forms = patterns()[0]
    for form in forms.forms[2:5]:
        mine = [p for p in made if re.search(rf"\bform {form.name}\b", p.name)]
        assert len(mine) == 2
        areas = [polygon(p).area for p in mine]
        assert sum(areas) == pytest.approx(polygon(whole[f"form {form.name}"]).area, rel=1e-6)


def test_the_command_writes_all_of_it_whole(tmp_path, capsys):
    out = tmp_path / "forms"
    assert status_of(["forms", str(MODELS / "flat-skiff"), "-o", str(out), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    names = {str(p.relative_to(out)) for p in out.rglob("*") if p.is_file()}
    for form in told["forms"]:
        assert {f"svg/form-{form['name']}.svg", f"dxf/form-{form['name']}.dxf"} <= names
    assert {"inside-offsets.csv", "inside-hull.toml", "forms.json", "bevels.csv", "bench.txt"} <= names
    assert "patterns-a4.pdf" in names and any(n.startswith("sheets-") for n in names)
    assert json.loads((out / "forms.json").read_text())["forms"] == told["forms"]
    assert told["bulkheads"] == [] and {f["kind"] for f in told["forms"]} == {"form"}
    assert 0 < max(told["waste"].values()) < 1
    with (out / "bevels.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert {r["form"] for r in rows} == {f["name"] for f in told["forms"]}
    read_dxf((out / next(n for n in names if n.startswith("sheet-"))).read_text())


def test_an_existing_folder_is_left_as_it_is(tmp_path, capsys):
    out = tmp_path / "forms"
    out.mkdir()
    (out / "mine.txt").write_text("keep")
    assert status_of(["forms", str(MODELS / "flat-skiff"), "-o", str(out)]) != 0
    assert "mine.txt" not in capsys.readouterr().out
    assert [p.name for p in out.iterdir()] == ["mine.txt"]
    assert [p.name for p in tmp_path.iterdir()] == ["forms"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--at", "9 m"], "no form can stand there"),
        (["--at", "nonsense"], "--at"),
        (["--sheet", "12"], "2440x1220"),
        (["--sheet", "200x100 mm"], "does not fit a sheet"),
        (["--build", "clamped"], "clamped-sheer"),
        (["--paper", "a5"], "a4"),
    ],
)
def test_bad_options_are_refused_in_words_and_nothing_is_written(tmp_path, capsys, words, said):
    out = tmp_path / "forms"
    assert status_of(["forms", str(MODELS / "short-kayak"), "-o", str(out), *words]) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_written_leaves_nothing(tmp_path, capsys):
    if os.geteuid() == 0:
        target = tmp_path / "no such folder" / "forms"
    else:
        tmp_path.chmod(0o500)
        target = tmp_path / "forms"
    assert status_of(["forms", str(MODELS / "flat-skiff"), "-o", str(target)]) == 2
    assert capsys.readouterr().err.strip() and not target.exists()


@pytest.mark.parametrize("name", ["short-kayak", "cruising-canoe-1883"])
def test_the_same_boat_gives_the_same_files(name, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    made = []
    for _ in range(2):
        forms = study.forms(read_boat(MODELS / name))
        parts, _ = patterns_and_sheets(forms)
        made.append(
            [dxf_of([(parts[0], 0.0, np.zeros(2))]), svg_of(parts[0]), tiled_pdf(parts[:1], "a4", "x")]
        )
    assert made[0] == made[1]
    assert "2023-11-14" in made[0][1]
