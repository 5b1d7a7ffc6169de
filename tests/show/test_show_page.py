"""The page as text, and in a real browser: it says what was computed, asks the net for nothing, draws,
prints, and reads aloud."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

from hullview import study
from hullview.boat.reader import read_boat
from hullview.commands import status_of
from hullview.show import browser
from hullview.show.page import page, sheet
from hullview.tell.boat import offsets_section


@pytest.fixture(scope="module")
def boat():
    return read_boat("models/short-kayak")


@pytest.fixture(scope="module")
def light(boat):
    return page(boat, light=True)


@pytest.fixture(scope="module")
def file(boat, tmp_path_factory):
    target = tmp_path_factory.mktemp("page") / "kayak.html"
    target.write_text(page(boat), encoding="utf-8")
    return target


class Reader(HTMLParser):
    """Headings, table headers, pictures and addresses of a page, and its words."""

    def __init__(self, text: str):
        super().__init__()
        self.headings, self.pictures, self.addresses, self.words = [], [], [], []
        self.cells = {"scoped": 0, "unscoped": 0, "captions": 0, "tables": 0}
        self.silent = 0
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag == "img":
            self.pictures.append(given)
        if tag == "th":
            self.cells["scoped" if given.get("scope") else "unscoped"] += 1
        if tag in ("table", "caption"):
            self.cells[tag + "s"] += 1
        self.addresses += [given[k] for k in ("href", "src", "srcset", "data", "action") if given.get(k)]
        self.silent += tag in ("script", "style")

    def handle_endtag(self, tag):
        self.silent -= tag in ("script", "style")

    def handle_data(self, data):
        if not self.silent:
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


# ---------------------------------------------------------------- as text


def test_the_answer_comes_first_and_the_figures_are_those_of_the_study(boat, light):
    verdict, told = study.carry(boat), Reader(light)
    assert told.text.lower().index(verdict.answer) < 400
    assert "on flat water, by these limits" in told.text[:500]
    for check in verdict.checks:
        assert check.name in told.text and check.basis in told.text
    assert f"{verdict.floating.draft * 1000:.0f} mm" in told.text
    assert f"{verdict.craft.weight.mass:.2f}" in told.text
    for build in boat.builds:
        assert build.name in told.text
    for caution in ("Cold water", "not a certificate", "Wood dust", "Uncured epoxy"):
        assert caution in told.text
    assert boat.checksum in told.text and "hullview" in told.text


def test_headings_are_in_order_pictures_have_words_tables_have_headers(light):
    told = Reader(light)
    assert told.headings[0] == 1 and told.headings.count(1) == 1
    assert all(b - a <= 1 for a, b in zip(told.headings, told.headings[1:]))
    assert len(told.pictures) >= 5 and all(len(p.get("alt", "")) > 20 for p in told.pictures)
    assert told.cells["unscoped"] == 0 and told.cells["scoped"] > 50
    assert told.cells["captions"] == told.cells["tables"] >= 9


def test_nothing_in_it_points_to_the_net(light, file):
    for text in (light, file.read_text(encoding="utf-8")):
        assert all(a.startswith(("data:", "#")) for a in Reader(text).addresses)
        assert "default-src 'none'" in text


def test_the_light_page_is_under_a_megabyte(light, file):
    assert len(light.encode()) < 1_000_000
    assert 4_000_000 < file.stat().st_size < 8_000_000


def test_every_offset_is_echoed(boat, light):
    told = Reader(light).text
    for line in boat.hull.table.lines:
        assert line.label in told
    old = read_boat("models/cruising-canoe-1883")
    parts = offsets_section(old.hull.table, "imperial").blocks
    names = [
        column.title
        for part in parts
        for column in part.columns
        if column.kind == "offset" and not column.hidden
    ]
    assert len(parts) == 2 and names == list(old.hull.table.column_names)
    imperial = Reader(page(old, light=True)).text
    assert "1-3-0 (381)" in imperial or re.search(r"\d-\d+-\d\+? \(\d+(\.\d)?\)", imperial)


@pytest.fixture
def no_gl(monkeypatch):
    """A machine with no GL library."""
    from hullview.errors import UsageError
    from hullview.show import gl

    def none(on_screen: bool) -> None:
        raise UsageError("no GL library")

    monkeypatch.setattr(gl, "prepare", none)


def test_names_and_notes_come_out_escaped_and_lines_stand_in_where_nothing_can_be_drawn(boat, no_gl):
    nasty = "<script>alert(1)</script> \"&' }} {{ 7*7 }} \x1b[31m </style> ]]>"
    text = page(replace(boat, name=nasty, builder=nasty, notes=nasty, source=nasty), light=True)
    told = Reader(text)
    assert "<script>alert" not in text and "\x1b" not in text
    assert text.count("</style>") == 1
    assert told.text.count("<script>alert(1)</script>") >= 4 and "{{ 7*7 }}" in told.text
    assert "stand in for a picture: no GL library" in told.text
    assert told.pictures[0]["src"].startswith("data:image/svg+xml")


def test_the_same_boat_gives_the_same_page(boat, light):
    assert page(boat, light=True) == light


def test_the_bench_sheet_has_what_a_bench_needs(boat):
    told = Reader(sheet(boat)).text
    verdict = study.carry(boat)
    floating, hull = verdict.floating, verdict.craft.hull
    for name, x in zip(hull.station_names, hull.stations):
        height = (floating.offset - floating.normal[0] * x) / floating.normal[2]
        assert f"{height * 1000:.0f} mm" in told, name
    for stage in verdict.craft.weight.stages:
        assert stage.stage in told
    assert told.index("Dimensions") < told.index("On the forms")


def test_the_command_writes_the_page_whole_or_says_why_not(tmp_path, capsys):
    target = tmp_path / "sub folder" / "its page.html"
    assert status_of(["report", "models/flat-skiff", "--light", "-o", str(target)]) == 2
    assert "cannot be written" in capsys.readouterr().err
    target.parent.mkdir()
    assert status_of(["report", "models/flat-skiff", "--light", "-o", str(target)]) == 0
    assert target.read_text(encoding="utf-8").rstrip().endswith("</html>")
    assert [p.name for p in target.parent.iterdir()] == ["its page.html"]
    assert status_of(["report", "models/flat-skiff", "-o", str(tmp_path / "it.pdf")]) == 2


def test_with_no_browser_a_pdf_is_refused_with_what_to_install(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(browser, "found", lambda: None)
    assert status_of(["report", "models/flat-skiff", "--light", "--pdf", str(tmp_path / "it.pdf")]) == 2
    assert "chromium" in capsys.readouterr().err


# ---------------------------------------------------------------- in a browser


@pytest.fixture(scope="module")
def chromium():
    from playwright.sync_api import sync_playwright

    program = next(p for n in browser.NAMES if (p := shutil.which(n)))
    with sync_playwright() as play:
        flags = [
            *(f for f in browser.QUIET if f not in ("--headless", "--disable-gpu")),
            "--use-angle=swiftshader",
            "--enable-unsafe-swiftshader",
        ]
        opened = play.chromium.launch(executable_path=program, args=flags)
        yield opened
        opened.close()


@pytest.fixture
def opened(chromium, file):
    """The page at a desk, with what it said and asked for."""
    tab = chromium.new_page(viewport={"width": 1200, "height": 900})
    tab.said, tab.asked = [], []
    tab.on("console", lambda m: tab.said.append(m.text) if m.type == "error" else None)
    tab.on("pageerror", lambda e: tab.said.append(str(e)))
    tab.on("request", lambda r: tab.asked.append(r.url))
    tab.goto(file.as_uri())
    tab.wait_for_selector("#turn[data-drawn=yes]", timeout=60_000)
    yield tab
    tab.close()


@pytest.mark.browser
def test_it_opens_from_a_file_without_a_word_to_the_net(opened, file):
    opened.wait_for_timeout(500)
    assert opened.said == []
    assert [a for a in opened.asked if not a.startswith(("data:", "blob:"))] == [file.as_uri()]


@pytest.mark.browser
def test_the_view_to_turn_draws_and_its_legend_switches_parts(opened):
    from io import BytesIO

    import numpy as np
    from PIL import Image

    def seen() -> np.ndarray:
        opened.wait_for_timeout(1200)
        return np.asarray(
            Image.open(BytesIO(opened.locator("#turn canvas").first.screenshot())).convert("RGB")
        ).astype(float)

    opened.locator("#turn").scroll_into_view_if_needed()
    whole = seen()
    cedar = np.abs(whole - [0xA8, 0x68, 0x3F]).max(axis=2) < 40
    assert cedar.mean() > 0.03, "a hull of cedar is seen"
    assert opened.locator("#turn .legendtext", has_text="western redcedar").count() == 1
    opened.locator("#turn .legendtoggle").first.click()
    without = seen()
    assert (np.abs(without - [0xA8, 0x68, 0x3F]).max(axis=2) < 40).mean() < 0.3 * cedar.mean()
    shown = opened.evaluate(
        "document.getElementById('turn').data.filter(t => t.name == 'western redcedar').map(t => t.visible)"
    )
    assert set(shown) == {"legendonly"}


@pytest.mark.browser
@pytest.mark.parametrize("width", [1200, 390])
def test_it_is_accessible_and_does_not_scroll_sideways(chromium, file, width):
    from axe_playwright_python.sync_playwright import Axe

    tab = chromium.new_page(viewport={"width": width, "height": 800})
    tab.goto(file.as_uri())
    tab.wait_for_selector("#turn[data-drawn=yes]", timeout=60_000)
    assert tab.evaluate("document.documentElement.scrollWidth") <= width
    found = Axe().run(tab)
    assert found.violations_count == 0, found.generate_report()
    tab.close()


@pytest.mark.browser
@pytest.mark.parametrize("model", ["cruising-canoe-1883", "pulling-dinghy"])
def test_no_table_is_wider_than_the_paper(chromium, tmp_path, model):
    """A4 less its margins is 688 px: a wider table would be cut off at the edge, and all else made small
    beside it."""
    target = tmp_path / "page.html"
    target.write_text(page(read_boat(f"models/{model}"), light=True), encoding="utf-8")
    tab = chromium.new_page(viewport={"width": 688, "height": 1000})
    tab.emulate_media(media="print")
    tab.goto(target.as_uri())
    wide = (
        "[...document.querySelectorAll('table')].filter(t => t.scrollWidth > 689).map(t =>"
        " t.caption.innerText)"
    )
    assert tab.evaluate(wide) == []
    tab.close()


@pytest.mark.browser
def test_it_reads_without_scripts(chromium, file):
    context = chromium.new_context(java_script_enabled=False)
    tab = context.new_page()
    tab.goto(file.as_uri())
    assert tab.locator("section#answer img").bounding_box()["height"] > 200
    assert tab.locator("table").count() >= 9
    assert "needs scripts" in tab.locator("#turning").inner_text()
    context.close()


@pytest.mark.browser
@pytest.mark.parametrize(("paper", "wide"), [("A4", 595), ("letter", 612)])
def test_it_prints_on_its_pages_with_a_picture_for_the_view(file, paper, wide):
    pdf = browser.printed(file.read_text(encoding="utf-8"), paper)
    boxes = re.findall(rb"/MediaBox ?\[ ?0 0 ([\d.]+)", pdf)
    pages = len(re.findall(rb"/Type ?/Page\b", pdf))
    assert 9 <= pages <= 16
    assert {round(float(b)) for b in boxes} == {wide}
    assert b"/Subtype /Image" in pdf or b"/Subtype/Image" in pdf


@pytest.mark.browser
@pytest.mark.parametrize(
    ("model", "paper"), [("short-kayak", "A4"), ("open-canoe", "letter"), ("pulling-dinghy", "A4")]
)
def test_the_bench_sheet_prints_on_one_page_and_its_notches_on_a_second(model, paper):
    made = sheet(read_boat(f"models/{model}"))
    pdf = browser.printed(made, paper)
    assert "Notches in the forms" in made
    assert len(re.findall(rb"/Type ?/Page\b", pdf)) == 2


def test_the_bench_sheet_has_the_notches_of_every_form_or_none(boat):
    made = study.forms(boat)
    told = Reader(sheet(boat)).text
    assert told.index("On the forms") < told.index("Notches in the forms")
    table = told[told.index("Notches in the forms") :]
    for form in made.forms:
        for notch in form.notches:
            assert notch.what in table and f"{notch.depth * 1000:.1f}" in table
    bare = read_boat("models/cruising-canoe-1883")
    assert any(f.notches for f in study.forms(bare).forms) == ("Notches in the forms" in sheet(bare))


def test_the_view_to_turn_shows_boats_of_any_length_alike_and_undistorted():
    """A long slim boat was cut off at the side: the view's scale must hang on its length alone, one for
    all three ways."""
    from hullview.show.picture import dry
    from hullview.show.turntable import LENGTH_SEEN, turntable

    for name in ("short-kayak", "cruising-canoe-1883"):
        boat = read_boat(f"models/{name}")
        made = dry(boat, study.shaped(boat)[0])
        for water in (True, False):
            scene = turntable(made.parts, made.solids, np.eye(4), np.array([1.0, 0.0, 0.3]), None, water)[
                "layout"
            ]["scene"]
            wide = {
                axis: scene[f"{axis}axis"]["range"][1] - scene[f"{axis}axis"]["range"][0] for axis in "xyz"
            }
            scales = [scene["aspectratio"][axis] / wide[axis] for axis in "xyz"]
            assert np.ptp(scales) < 1e-9 * scales[0]
            long = np.ptp(np.concatenate([p.vertices for p in made.parts])[:, 0])
            assert scales[0] * long == pytest.approx(LENGTH_SEEN)
