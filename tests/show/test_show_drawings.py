"""Drawings and charts against the numbers behind them: to scale, the same bytes every time, readable on
paper."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from hullview import study
from hullview.afloat.hydrostatics import hydrostatics
from hullview.boat.reader import read_boat
from hullview.commands import status_of
from hullview.shape.fairness import fairness
from hullview.show import charts, drawings
from hullview.show.linesplan import lines_plan
from hullview.show.paper import lines_of

POINT = 25.4 / 72
"""[mm]"""


@pytest.fixture(scope="module")
def craft():
    return study.launch(read_boat("models/short-kayak"))


@pytest.fixture(scope="module")
def floating(craft):
    return study.afloat(craft)


@pytest.fixture(scope="module")
def curves(craft):
    return study.righting(craft, np.radians(np.arange(0, 181, 10)), ("rigid", "upright torso"), "")


# ---------------------------------------------------------------- the lines


def test_waterlines_of_the_plan_enclose_the_waterplanes_of_the_table(craft):
    plan = lines_plan(craft.hull, tolerance=0.0)
    drawn = {}
    for curve in plan.half_breadth:
        if curve.kind == "waterline":
            x, y = curve.points.T
            drawn[float(curve.name) / 1000] = drawn.get(float(curve.name) / 1000, 0.0) + abs(
                ((y[1:] + y[:-1]) * np.diff(x)).sum()
            )
    under_the_sheer = [h for h in sorted(drawn) if h < craft.hull.sheer[:, 2].min()]
    rows = hydrostatics(craft.hull, craft.density, under_the_sheer, body=craft.body)
    assert len(rows) >= 4
    for row in rows:
        # the flat of a stem, 8 mm wide, is cut at the centre line
        assert drawn[row.waterline_height] == pytest.approx(row.waterplane_area, rel=2e-3)


def test_the_loaded_waterline_is_as_long_as_it_floats(craft, floating):
    load = [c for c in lines_plan(craft.hull, floating).half_breadth if c.kind == "load"]
    points = np.concatenate([c.points for c in load])
    assert np.ptp(points[:, 0]) == pytest.approx(floating.waterline_length, abs=2e-3)
    assert 2 * points[:, 1].max() == pytest.approx(floating.waterline_beam, abs=1e-3)


def test_sections_ahead_of_the_widest_lie_to_the_right(craft):
    plan = lines_plan(craft.hull)
    sections = {c.name: c.points for c in plan.body if c.kind == "station"}
    assert len(sections) == len([s for s in craft.hull.sections if len(s) > 1])
    first, last = craft.hull.station_names[1], craft.hull.station_names[-2]
    assert sections[first][:, 0].max() > 0.05 and sections[last][:, 0].min() < -0.05


def crossing(section, height, angle):
    """How far down a diagonal from the centre plane a section (k, 2) meets it [m]."""
    down = np.array([np.cos(angle), -np.sin(angle)])
    square = np.array([np.sin(angle), np.cos(angle)])
    over, along = (section - [0.0, height]) @ square, (section - [0.0, height]) @ down
    k = int(np.flatnonzero((over[:-1] < 0) != (over[1:] < 0))[0])
    return along[k] + over[k] / (over[k] - over[k + 1]) * (along[k + 1] - along[k])


def test_diagonals_are_laid_out_flat_by_the_sections(craft):
    """Every section meets the diagonal of the body plan as far down as the plan shows it at that station."""
    wanted = [(0.15, math.radians(45)), (0.25, math.radians(30))]
    plan = lines_plan(craft.hull, tolerance=0.0, diagonals=wanted)
    flat = [c for c in plan.half_breadth if c.kind == "diagonal"]
    assert len(flat) == 2 and all((c.points[:, 1] <= 1e-9).all() for c in flat)
    for curve, (height, angle) in zip(flat, wanted):
        p = curve.points[np.argsort(curve.points[:, 0])]
        for x, section in list(zip(craft.hull.stations, craft.hull.sections))[3:-3]:
            there = -np.interp(x, p[:, 0], p[:, 1])
            assert there == pytest.approx(crossing(section[:, 1:], height, angle), abs=4e-4)
    body = [c for c in plan.body if c.kind == "diagonal"]
    assert len(body) == 4
    for c in body:
        (y0, z0), (y1, z1) = c.points
        angle = dict(wanted)[round(float(z0), 6)]
        assert y0 == 0.0 and math.atan2(z0 - z1, abs(y1)) == pytest.approx(angle)


def test_a_plan_has_two_diagonals_of_its_own_and_takes_those_of_the_table(craft):
    from hullview.show.paper import diagonals_of

    names = {c.name for c in lines_plan(craft.hull).half_breadth if c.kind == "diagonal"}
    assert len(names) == 2
    line = replace(craft.boat.hull.table.lines[3], name="diagonal", at=0.2, angle=0.5)
    table = replace(craft.boat.hull.table, lines=(*craft.boat.hull.table.lines, line))
    boat = replace(craft.boat, hull=replace(craft.boat.hull, table=table))
    assert diagonals_of(boat) == [(0.2, 0.5)] and diagonals_of(craft.boat) == []


def test_the_title_block_says_what_who_and_to_which_scale(craft):
    figure = lines_of(craft.boat, craft.hull, study.afloat(craft))
    words = " ".join(t.get_text() for t in figure.axes[0].texts)
    for wanted in (craft.boat.name, craft.boat.builder, "to the outside of the planking", "scale 1:"):
        assert wanted in words
    assert craft.boat.checksum[:8] in words


@pytest.mark.parametrize("scale", [None, 10.0, 16.0])
def test_the_drawing_is_to_scale_on_its_own_sheet(craft, floating, scale):
    figure = lines_of(craft.boat, craft.hull, floating, scale)
    (axes,) = figure.axes
    width, height = figure.get_size_inches() * 25.4
    assert axes.get_xlim() == pytest.approx((0, width)) and axes.get_ylim() == pytest.approx((0, height))
    used = scale or float(re.search(r"scale 1:([\d.]+)", " ".join(t.get_text() for t in axes.texts))[1])
    sheer = max((line.get_xdata() for line in axes.lines if len(line.get_xdata()) > 8), key=np.ptp)
    assert np.ptp(sheer) == pytest.approx(np.ptp(craft.hull.sheer[:, 0]) * 1000 / used, rel=1e-6)
    for line in axes.lines:
        assert np.min(line.get_xdata()) >= 0 and np.max(line.get_xdata()) <= width
        assert np.min(line.get_ydata()) >= 0 and np.max(line.get_ydata()) <= height


def test_the_bar_measures_100_mm_in_the_file_itself(craft):
    svg = drawings.saved(lines_of(craft.boat, craft.hull), "svg").decode()
    size = re.search(r'width="([\d.]+)pt" height="([\d.]+)pt"', svg)
    assert float(size[1]) * POINT == pytest.approx(297.0, abs=0.01)
    bar = []
    for path, style in re.findall(r'<path d="(M [^"]*?)" [^>]*?style="([^"]*)"', svg, re.S):
        if (
            "stroke: #20303a" in style
            and "fill: " in style
            and "fill: none" not in style
            and path.count("L") == 3
        ):
            bar += [float(x) for x in re.findall(r"[ML] ([\d.]+) ", path)]
    assert len(bar) == 40
    assert (max(bar) - min(bar)) * POINT == pytest.approx(100.0, abs=0.01)


def test_a_pdf_has_the_size_of_its_paper(craft):
    pdf = drawings.saved(lines_of(craft.boat, craft.hull, scale=10.0), "pdf")
    box = re.search(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+)", pdf)
    assert [float(v) * POINT for v in box.groups()] == pytest.approx([420.0, 297.0], abs=0.05), (
        "A3 holds 310 mm"
    )


@pytest.mark.parametrize("kind", ["svg", "pdf", "png"])
def test_the_same_drawing_is_the_same_bytes(craft, floating, kind):
    assert drawings.saved(lines_of(craft.boat, craft.hull, floating), kind) == drawings.saved(
        lines_of(craft.boat, craft.hull, floating), kind
    )


def test_every_boat_has_a_plan():
    for name in ("open-canoe", "pulling-dinghy", "flat-skiff", "cruising-canoe-1883"):
        craft = study.launch(read_boat(f"models/{name}"))
        plan = lines_plan(craft.hull, study.afloat(craft))
        assert {"outline", "station", "waterline", "buttock", "load"} <= {c.kind for c in plan.profile}, name


def test_a_hull_read_as_a_mesh_has_sections_of_its_own(tmp_path):
    import trimesh

    hull, _ = study.shaped(read_boat("models/open-canoe"))
    trimesh.Trimesh(hull.vertices, hull.faces, process=False).export(tmp_path / "hull.stl")
    (tmp_path / "boat.toml").write_text(
        'name = "mesh"\n[hull]\nmesh = "hull.stl"\nunits = "m"\nmeasured_to = "outside"\ntype = "open"\n'
    )
    mesh, _ = study.shaped(read_boat(tmp_path))
    sections = {c.name: c.points for c in lines_plan(mesh).body if c.kind == "station"}
    assert list(sections) == [str(i) for i in range(1, 10)]
    assert sections["4"][:, 0].max() == pytest.approx(
        np.interp(4 / 10 * 4.6, hull.sheer[:, 0], hull.sheer[:, 1]), abs=0.02
    )


def test_a_name_is_drawn_as_written(craft, tmp_path):
    boat = replace(craft.boat, name="The $x^2$ & <b>\x1b[31m")
    svg = drawings.saved(lines_of(boat, craft.hull), "svg").decode()
    assert "\x1b" not in svg and "<b>" not in svg.replace("<!--", "")
    assert len(svg) > 10000


def test_the_command_writes_the_plan_and_refuses_what_it_cannot(tmp_path, capsys):
    file = tmp_path / "lines.pdf"
    assert status_of(["show", "models/flat-skiff", "--lines", str(file), "--scale", "1:16"]) == 0
    assert file.read_bytes().startswith(b"%PDF")
    assert status_of(["show", "models/flat-skiff", "--lines", str(tmp_path / "lines.dxf")]) == 2
    assert ".svg, .pdf or .png" in capsys.readouterr().err
    assert status_of(["show", "models/flat-skiff", "--lines", str(file), "--scale", "10:1"]) == 2
    assert "1:10" in capsys.readouterr().err


# ---------------------------------------------------------------- charts


def test_a_righting_curve_is_dashed_from_where_water_comes_in(curves):
    figure = charts.righting_chart(curves, "a boat")
    (axes,) = figure.axes
    wet = np.degrees(curves[0].flooding_heel)
    solid = next(line for line in axes.lines if line.get_label().startswith("rigid"))
    dashed = axes.lines[list(axes.lines).index(solid) + 1]
    assert solid.get_linestyle() == "-" and dashed.get_linestyle() != "-"
    assert solid.get_xdata()[-1] == pytest.approx(wet) == dashed.get_xdata()[0]
    peak = max(np.max(solid.get_ydata()), np.max(dashed.get_ydata()))
    assert peak == pytest.approx(curves[0].peak_arm * 1000, rel=3e-3), (
        "the curve drawn is as high as the peak found"
    )
    legend, (line,) = axes.get_legend(), axes.texts
    assert f"peak {np.degrees(curves[0].peak_heel):.0f}°" in legend.get_texts()[0].get_text()
    assert line.get_text() == f"water comes in {wet:.0f}°"


def test_words_of_many_righting_curves_keep_clear_of_each_other_and_of_the_curves(craft):
    """Two loads in both postures: what is said of each stands in the legend, clear of the line where water
    comes in."""
    made = [
        c
        for mass in ("82 kg", "100 kg")
        for c in study.righting(craft, np.radians(np.arange(0, 181, 15)), ("rigid", "upright torso"), mass)
    ]
    figure = charts.righting_chart(made, "a boat")
    figure.draw_without_rendering()
    (axes,) = figure.axes
    box = axes.get_legend().get_window_extent()
    assert len(axes.get_legend().get_texts()) == 4
    assert not any(box.overlaps(text.get_window_extent()) for text in axes.texts)
    for line in axes.lines:
        if len(line.get_xdata()) > 2:
            assert not any(box.contains(*point) for point in axes.transData.transform(line.get_xydata()))


def test_a_peak_past_flooding_is_marked_so():
    made = study.righting(study.launch(read_boat("models/pulling-dinghy")), np.radians(np.arange(0, 91, 10)))
    assert made[0].peak_heel > made[0].flooding_heel
    assert (
        "past flooding"
        in charts.righting_chart(made, "a boat").axes[0].get_legend().get_texts()[0].get_text()
    )


def test_the_curve_between_its_points_is_the_curve_between_its_points(craft, curves):
    """The cubics drawn through every tenth degree pass through the arms computed at the degrees between."""
    fine = study.righting(craft, np.radians(np.arange(0, 61, 5)), ("rigid",), "")[0]
    coarse = curves[0]
    x, y = charts.smooth(np.degrees(coarse.heel), coarse.arm, np.radians(coarse.slope), between=2)
    at = {round(float(a)): b for a, b in zip(x, y)}
    for heel, arm in zip(np.degrees(fine.heel), fine.arm):
        assert at[round(float(heel))] == pytest.approx(arm, abs=4e-4)


def test_hydrostatic_curves_are_the_rows(craft):
    rows = hydrostatics(craft.hull, craft.density, body=craft.body)
    figure = charts.hydrostatic_chart(rows, "a boat", load=0.12)
    first = figure.axes[0].lines[0]
    assert list(first.get_xdata()) == [r.displacement for r in rows]
    assert list(first.get_ydata()) == [r.waterline_height * 1000 for r in rows]
    assert figure.axes[0].lines[1].get_ydata()[0] == 120.0


def test_weight_bars_are_as_long_as_the_groups_weigh(craft):
    weights = [study.launch(craft.boat, b.name).weight for b in craft.boat.builds]
    figure = charts.weight_chart(weights, "a boat")
    (axes,) = figure.axes
    for row, weight in enumerate(weights):
        bars = [p for p in axes.patches if abs(p.get_y() + p.get_height() / 2 - row) < 1e-9]
        assert sum(p.get_width() for p in bars) == pytest.approx(weight.mass)
        whisker = next(line for line in axes.lines if abs(line.get_ydata()[0] - row - 0.36) < 1e-9)
        assert list(whisker.get_xdata()) == pytest.approx([weight.low, weight.high])


def test_the_chart_of_fairness_marks_a_planted_slip(craft):
    table = craft.boat.hull.table
    row = next(i for i, line in enumerate(table.lines) if line.label == "half-breadth sheer")
    values = list(table.lines[row].values)
    values[6] += 0.012
    lines = (*table.lines[:row], replace(table.lines[row], values=tuple(values)), *table.lines[row + 1 :])
    slipped = replace(table, lines=lines)
    boat = replace(craft.boat, hull=replace(craft.boat.hull, table=slipped))
    figure = charts.fairness_chart(fairness(boat), slipped, "a boat")
    (axes,) = figure.axes
    printed = [(t.xy, t.get_text()) for t in axes.texts]
    assert (
        len(printed) == 1
        and printed[0][0][0] == 6
        and axes.get_yticklabels()[int(printed[0][0][1])].get_text() == "half-breadth sheer"
    )
    assert abs(float(printed[0][1].split()[0]) - 12) < 4


def test_no_letters_are_too_small_to_read_on_paper(craft, floating, curves):
    rows = hydrostatics(craft.hull, craft.density, body=craft.body)
    made = (
        lines_of(craft.boat, craft.hull, floating),
        charts.righting_chart(curves, "a boat", "holds for"),
        charts.hydrostatic_chart(rows, "a boat"),
        charts.weight_chart([craft.weight], "a boat"),
    )
    for figure in made:
        from matplotlib.text import Text

        sizes = [t.get_fontsize() for t in figure.findobj(Text) if t.get_text().strip()]
        assert min(sizes) >= 7.0
        assert figure.get_size_inches()[0] * 25.4 <= 297.0


def test_charts_are_the_same_bytes_each_time(craft, curves):
    for make in (
        lambda: charts.righting_chart(curves, "a"),
        lambda: charts.weight_chart([craft.weight], "a"),
    ):
        assert drawings.saved(make(), "svg") == drawings.saved(make(), "svg")
