"""Every figure: where it draws what the result says, in the right units, readable in print.

The mechanisms are invented for these tests; no machine was measured.
"""

from __future__ import annotations

import hashlib
import re
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import clutches
import matplotlib
import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

import liftgeo
from liftgeo import figures
from liftgeo.errors import RequestError
from liftgeo.figures import (
    budget_bars,
    overlays,
    plan_page,
    spread_plots,
    spring_curve,
    stroke_curves,
    studies,
)
from liftgeo.figures.page import page, single
from liftgeo.figures.registry import FIGURES
from liftgeo.figures.study_pages import Along, comparison_page, sizing_page
from liftgeo.figures.style import STYLE, drawing, look
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.results import Result
from liftgeo.words import verdict as words
from liftgeo.words.certainty import running_taken
from liftgeo.words.names import EVENT_WORDS, ITEM_WORDS, LEAST_EFFORT, LETTING_BACK_BEGINS
from liftgeo.words.numbers import lift_text

CHECKOUT = Path(__file__).resolve().parents[2]
MM_PER_INCH, N_PER_LBF = 25.4, 4.4482216152605  # exact by definition

CHANGES: dict[str, Any] = {
    "longer-arm": clutches.CHANGES["longer-arm"],
    "thick-plate": clutches.CHANGES["thick-plate"],
    "falling": {
        "spring": {"thickness": 1.5, "cone_height": 3.8},
        "stack": {"rim_depth": 30.0},
        "cable": {"free_play": 0.8},
    },
    "never-releases": {"cable": {"free_play": 6.5, "stiffness": 90.0}},
    "clear": {
        "cable": {"free_play": 0.5, "stiffness": 400.0},
        "engine": {"torque": 20.0},
        "targets": {"hand_force": 110.0},
    },
    "slips": {"engine": {"torque": 150.0}},
    "snap": {
        "spring": {
            "thickness": 1.3,
            "cone_height": 4.0,
            "outside_diameter": 150.0,
            "inside_diameter": 110.0,
            "past_flat": True,
            "installed_deflection": 2.53,
        },
        "cable": {"stiffness": 30.0, "free_play": 0.5},
        "lever": {"hand_travel": 75.0},
        "faces": {"cushion_travel": 0.1},
        "release": {"ramp_angle": 30.0, "max_rotation": 70.0},
    },
}
WET: dict[str, Any] = {
    "lever": {"hand_travel": 46.0},
    "cable": {"free_play": 1.2, "drag": 3.0},
    "release": {
        "kind": "crank",
        "crank_radius": 9.0,
        "link_length": 45.0,
        "rest_angle": -12.0,
        "efficiency": 0.92,
    },
    "spring": {
        "kind": "coils",
        "count": 6,
        "rate": 21.0,
        "free_length": 42.0,
        "installed_length": 31.5,
        "solid_length": 24.0,
    },
    "stack": None,
    "faces": {
        "friction_plates": 6,
        "running": "wet",
        "cushion_travel": None,
        "plate_runout": 0.04,
        "plain_plate_runout": 0.03,
        "basket_runout": 0.03,
        "pressure_plate_runout": None,
        "lift_tilt": 0.06,
    },
}
MEASURED = {
    "kind": "table",
    "deflection": [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.5],
    "load": [0.0, 1750.0, 2800.0, 3350.0, 3500.0, 3380.0, 3000.0],
    "installed_deflection": 3.4,
}

CASES = (
    "as-it-stands",
    "longer-arm",
    "thick-plate",
    "falling",
    "never-releases",
    "clear",
    "slips",
    "snap",
    "wet",
    "table",
    "rigid",
)


@cache
def case(name: str) -> tuple[Mechanism, Result]:
    """Return an invented mechanism and its result."""
    if name == "wet":
        mechanism = clutches.mechanism(**WET)
    elif name == "table":
        mechanism = clutches.mechanism(spring=MEASURED, stack=None)
    elif name == "rigid":  # no stiffness given: two warnings; coils without a solid length
        endless = {k: v for k, v in WET["spring"].items() if k != "solid_length"}
        cable = WET["cable"] | {"stiffness": None}
        rigid = {"cable": cable, "rod": {"stiffness": None}, "spring": endless}
        mechanism = clutches.mechanism(**WET | rigid)
    else:
        mechanism = clutches.mechanism(changes=CHANGES)
        mechanism = mechanism if name == "as-it-stands" else mechanism.changed(name)
    return mechanism, liftgeo.stroke(mechanism)


def test_the_invented_cases_are_what_their_names_say() -> None:
    verdicts = {name: case(name)[1].verdict for name in CASES}
    assert verdicts["as-it-stands"] == "drags"
    assert verdicts["never-releases"] == "no-release"
    assert verdicts["clear"] == verdicts["wet"] == "clear"
    assert verdicts["slips"] == "slips"
    assert {w.key for w in case("rigid")[1].warnings} >= {"rigid-cable", "rigid-rod"}
    assert "snap" in {w.key for w in case("snap")[1].warnings}
    parts = case("falling")[0].parts()
    assert parts.spring.rate_n_per_mm(parts.installed_deflection_mm) < 0


# --- one contract for every plot_* ---


def variants() -> dict[str, Result]:
    names = ("as-it-stands", "longer-arm", "thick-plate", "falling", "clear", "never-releases")
    return {name.replace("-", " "): case(name)[1] for name in names}


POINTS = [
    (name, r.full_lever.clearance_per_face_mm, r.peak.hand_force_n)
    for name, r in variants().items()
]
TRIED = [(-0.05 + 0.02 * k, 110.0 + 9.0 * k + 25.0 * (k % 3)) for k in range(12)]
FRONT = [point for point in TRIED if point[1] % 1 == 0 and round((point[0] + 0.05) / 0.02) % 3 == 0]
ROWS = [("free play −1 mm", 0.05), ("arm radius +5 mm", -0.031), ("rod stiffness +10 %", 0.004)]
WORN = np.linspace(0.0, 1.2, 7)

Drawer = Callable[..., Axes]

# What is drawn, and the dimension of either axis; None for an axis of names.
PLOTS: dict[str, tuple[Drawer, str | None, str | None]] = {
    "plot_effort": (lambda **k: figures.plot_effort(case("clear")[1], **k), "mm", "N"),
    "plot_lift": (lambda **k: figures.plot_lift(case("clear")[1], **k), "mm", "mm"),
    "plot_advantage": (lambda **k: figures.plot_advantage(case("clear")[1], **k), "mm", "N/N"),
    "plot_budget": (lambda **k: figures.plot_budget(case("clear")[1], **k), "mm", None),
    "plot_spring": (lambda **k: figures.plot_spring(*case("clear"), **k), "mm", "N"),
    "plot_effort_overlay": (lambda **k: figures.plot_effort_overlay(variants(), **k), "mm", "N"),
    "plot_separation_overlay": (
        lambda **k: figures.plot_separation_overlay(variants(), **k),
        "mm",
        "mm",
    ),
    "plot_beside": (
        lambda **k: figures.plot_beside(
            "longer arm", case("longer-arm")[1], case("as-it-stands")[1], **k
        ),
        "mm",
        "N",
    ),
    "plot_trade_map": (lambda **k: figures.plot_trade_map(POINTS, (0.1, 90.0), **k), "mm", "N"),
    "plot_front": (
        lambda **k: figures.plot_front(
            FRONT,
            tried=TRIED,
            chosen=FRONT[2],
            stock=(-0.03, 137.0),
            targets=(0.1, 150.0),
            **k,
        ),
        "mm",
        "N",
    ),
    "plot_bought": (
        lambda **k: figures.plot_bought(
            [("A", 0.0, -0.02, False, False), ("B", 25.0, 0.06, True, True)],
            [(0.0, -0.02), (12.0, 0.01), (25.0, 0.06), (40.0, 0.05)],
            quantity="clearance per face",
            dimension="length",
            more_is_better=True,
            limit=0.05,
            **k,
        ),
        None,
        "mm",
    ),
    "plot_along_front": (
        lambda **k: figures.plot_along_front(
            [(0.02, 38.0), (0.05, 34.0), (0.08, 31.0)],
            name="Arm, shaft to cable end (arm.radius)",
            dimension="length",
            chosen=(0.05, 34.0),
            **k,
        ),
        "mm",
        "mm",
    ),
    "plot_sensitivity": (lambda **k: figures.plot_sensitivity(ROWS, **k), "mm", None),
    "plot_clearance_spread": (
        lambda **k: figures.plot_clearance_spread(
            np.linspace(-0.2, 0.15, 31),
            np.hanning(30) / np.hanning(30).sum(),
            target_mm=0.1,
            zones=(0.68, 0.316, 0.004),
            measured_mm=-0.02,
            **k,
        ),
        "mm",
        None,
    ),
    "plot_shares": (
        lambda **k: figures.plot_shares(
            [("cable free play", 0.33, 0.37), ("rod end float", 0.23, 0.26), ("idle", 0.0, None)],
            **k,
        ),
        "%",
        None,
    ),
    "plot_wear": (
        lambda **k: figures.plot_wear(
            WORN,
            3400.0 - 200.0 * WORN,
            quantity="clamp force",
            dimension="force",
            target=3000.0,
            wear_limit_mm=1.0,
            riding_mm=0.6,
            **k,
        ),
        "mm",
        "N",
    ),
}
INCH = {"mm": "in", "N": "lbf", "N/N": "lbf/lbf", "%": "%"}

every_plot = pytest.mark.parametrize("name", PLOTS)
both_units = pytest.mark.parametrize("units", ["metric", "inch"])


def test_the_contract_covers_every_plot() -> None:
    homes = (stroke_curves, budget_bars, plan_page, spread_plots, spring_curve, overlays, studies)
    found = {name for home in homes for name in vars(home) if name.startswith("plot_")}
    assert found == set(PLOTS)
    assert {name for name in figures.__all__ if name.startswith("plot_")} == set(PLOTS)


@every_plot
@both_units
def test_a_plot_draws_on_the_axes_given_and_leaves_the_rest_alone(name: str, units: str) -> None:
    draw, across, up = PLOTS[name]
    other, ax = Figure(figsize=(11.0, 5.0), layout="constrained").subplots(1, 2)
    with matplotlib.rc_context({"font.size": 17.0, "lines.linewidth": 7.0, "svg.hashsalt": "mine"}):
        before = dict(matplotlib.rcParams)
        assert draw(ax=ax, units=units) is ax
        figures.render(ax.figure, ".png")
        assert dict(matplotlib.rcParams) == before
    assert other.has_data() is False
    for label, wanted in ((ax.get_xlabel(), across), (ax.get_ylabel(), up)):
        unit = None if wanted is None else wanted if units == "metric" else INCH[wanted]
        assert label.endswith(f"({unit})") if unit else label == ""


@every_plot
def test_a_plot_makes_its_own_axes_when_none_are_given(name: str) -> None:
    ax = PLOTS[name][0]()
    assert isinstance(ax, Axes)
    assert ax.has_data()
    assert ax.get_title(loc="left")


@every_plot
@both_units
def test_text_is_large_enough_whole_and_apart(name: str, units: str) -> None:
    check_texts(PLOTS[name][0](units=units).figure)


@every_plot
def test_lines_tell_apart_without_their_colour(name: str) -> None:
    ax = PLOTS[name][0]()
    lines = [line for line in ax.lines if not line.get_label().startswith("_")]
    for number, line in enumerate(lines):
        line.set_gid(f"line-{number}")
        line.set_color("black")
        line.set_markerfacecolor("black" if line.get_markerfacecolor() != "white" else "white")
    picture = figures.render(ax.figure, ".svg").decode()
    signs: dict[str, tuple[str, str]] = {}
    for number, line in enumerate(lines):
        drawn = picture.split(f'id="line-{number}"')[1].split("</g>")[0]
        dash = re.search(r"stroke-dasharray: ([^;\"]+)", drawn)
        solid = "none" if line.get_linestyle() == "None" else "solid"
        mark = (str(line.get_marker()), str(line.get_markerfacecolor()), line.get_linewidth() > 3)
        signs[line.get_label()] = (dash[1] if dash else solid, str(mark))
    twins = [
        (a, b)
        for a, b in combinations(signs, 2)
        if signs[a] == signs[b] and name != "plot_trade_map"  # its marks bear their names
    ]
    assert twins == []


def test_many_curves_have_dashes_and_markers_of_their_own() -> None:
    signs = [(str(look(k)["linestyle"]), look(k)["marker"]) for k in range(32)]
    assert len(set(signs)) == 32


def test_bars_tell_apart_by_hatch_or_darkness() -> None:
    ax = figures.plot_budget(case("as-it-stands")[1])
    kinds = {(bar.get_hatch(), grey(bar.get_facecolor())) for bar in ax.patches}
    assert len(kinds) == 3  # given, lost, short
    assert len({hatch for hatch, _ in kinds}) == 3


def grey(colour: Any) -> float:
    red, green, blue = matplotlib.colors.to_rgb(colour)
    return round(0.299 * red + 0.587 * green + 0.114 * blue, 2)


# --- text in print ---


def shown_texts(figure: Any) -> Iterator[tuple[Text, Bbox]]:
    """Yield every text that is really drawn, with its box in pixels."""
    figure.draw_without_rendering()
    hidden: set[int] = set()
    for ax in figure.findobj(Axes):
        for axis in (ax.xaxis, ax.yaxis):
            low, high = sorted(axis.get_view_interval())
            for tick in axis.get_major_ticks():
                hidden.add(id(tick.label2))
                if not low - 1e-9 <= tick.get_loc() <= high + 1e-9:
                    hidden.add(id(tick.label1))
    for text in figure.findobj(Text):
        if text.get_visible() and text.get_text().strip() and id(text) not in hidden:
            yield text, text.get_window_extent()


def check_texts(figure: Any) -> None:
    """Hold a figure's text to 8 pt at least, inside the figure, and off every other text."""
    with drawing():
        found = list(shown_texts(figure))
    assert len(found) > 5
    small = [t.get_text() for t, _ in found if t.get_fontsize() < 8.0]
    assert small == []
    edge = figure.bbox
    clipped = [
        t.get_text()
        for t, box in found
        if box.x0 < edge.x0 - 0.5
        or box.y0 < edge.y0 - 0.5
        or box.x1 > edge.x1 + 0.5
        or box.y1 > edge.y1 + 0.5
    ]
    assert clipped == []
    # A pixel of shared box is the room above and below letters, not ink.
    crossed = [
        (a.get_text(), b.get_text())
        for (a, one), (b, two) in combinations(found, 2)
        if min(one.x1, two.x1) - max(one.x0, two.x0) > 1.0
        and min(one.y1, two.y1) - max(one.y0, two.y0) > 1.0
    ]
    assert crossed == []


# Every case once, the crowded ones in both units.
PRINTED = [(name, "metric") for name in CASES]
PRINTED += [(name, "inch") for name in ("as-it-stands", "snap", "table")]


@pytest.mark.parametrize(("name", "units"), PRINTED)
def test_the_page_has_room_for_all_its_text(name: str, units: str) -> None:
    mechanism, result = case(name)
    check_texts(page(result, mechanism, units))


@pytest.mark.parametrize("name", ["as-it-stands", "snap", "table"])
@pytest.mark.parametrize("which", FIGURES)
def test_a_single_figure_has_room_for_all_its_text(name: str, which: str) -> None:
    mechanism, result = case(name)
    check_texts(figures.single(which, result, mechanism, "metric"))


@pytest.mark.parametrize(
    "title",
    [
        "Costs $5 and $6, 100 % {steel} [bold]x[/bold] <b>&amp; \\alpha",
        "A very long title about a very old machine " * 9,
        "W" * 300,
        "Two\nlines\tand a tab",
        "",
        "Трактор 拖拉机 🚜",
    ],
)
def test_any_title_prints(title: str) -> None:
    mechanism = clutches.mechanism(title=title)
    drawn = page(liftgeo.stroke(mechanism), mechanism, "metric")
    check_texts(drawn)
    words_drawn = [t.get_text() for t in drawn.findobj(Text)]
    start = " ".join(title.split())[:12] or "Clutch release"
    assert any(w.startswith(start) for w in words_drawn)


# --- curves stand where the result says ---


def line_of(ax: Axes, label: str) -> Any:
    return next(line for line in ax.lines if line.get_label() == label)


def marks_of(ax: Axes, marker: str) -> list[tuple[float, float]]:
    """Return where single marks of a kind stand."""
    return [
        (float(line.get_xdata()[0]), float(line.get_ydata()[0]))
        for line in ax.lines
        if line.get_marker() == marker and len(line.get_xdata()) == 1
    ]


def labels_of(ax: Axes) -> list[str]:
    ax.figure.draw_without_rendering()
    return [text.get_text() for text in ax.findobj(Text)]


@both_units
@pytest.mark.parametrize("name", ["as-it-stands", "wet", "never-releases"])
def test_effort_draws_both_branches_and_the_reversal_between_them(name: str, units: str) -> None:
    result = case(name)[1]
    mm, newton = (1.0, 1.0) if units == "metric" else (MM_PER_INCH, N_PER_LBF)
    ax, table = figures.plot_effort(result, units=units), result.stroke
    assert table is not None
    columns = {
        "pulling": (table.hand_travel_mm, table.hand_force_n),
        "letting back": (table.return_hand_travel_mm, table.return_hand_force_n),
    }
    for label, (travel, force) in columns.items():
        line = line_of(ax, label)
        np.testing.assert_allclose(line.get_xdata(), travel / mm, rtol=1e-12)
        np.testing.assert_allclose(line.get_ydata(), force / newton, rtol=1e-12)
    reversal = line_of(ax, LETTING_BACK_BEGINS)
    ends = [table.hand_travel_mm[-1] / mm, table.return_hand_travel_mm[-1] / mm]
    np.testing.assert_allclose(reversal.get_xdata(), ends, rtol=1e-12)
    drop = [result.full_lever.hand_force_n, result.full_lever.return_hand_force_n]
    np.testing.assert_allclose(reversal.get_ydata(), np.array(drop) / newton, rtol=1e-12)


@both_units
def test_effort_marks_peak_parting_floor_and_target(units: str) -> None:
    result = case("wet")[1]  # the peak comes long after the faces part
    mm, newton = (1.0, 1.0) if units == "metric" else (MM_PER_INCH, N_PER_LBF)
    ax = figures.plot_effort(result, units=units, target_n=77.0)
    (peak,) = marks_of(ax, "^")
    wanted = (result.peak.hand_travel_mm / mm, result.peak.hand_force_n / newton)
    assert peak == pytest.approx(wanted, rel=1e-12)
    (parting,) = marks_of(ax, "o")
    event = result.event("faces-part")
    assert parting[0] == pytest.approx(event.hand_travel_mm / mm, rel=1e-12)
    assert result.stroke is not None
    row = np.flatnonzero(np.isclose(result.stroke.hand_travel_mm, event.hand_travel_mm))[0]
    assert parting[1] == pytest.approx(result.stroke.hand_force_n[row] / newton, rel=1e-12)
    levels = {round(float(line.get_ydata()[0]), 9) for line in ax.lines if level(line)}
    assert levels == {round(77.0 / newton, 9), round(result.effort.floor_n / newton, 9)}
    texts = " | ".join(labels_of(ax))
    said = "142 N" if units == "metric" else "31.9 lbf"
    assert f"peak {said}" in texts
    assert "faces part at" in texts
    assert "target 77 N" in texts or "target 17.3 lbf" in texts
    assert LEAST_EFFORT in texts


def level(line: Any) -> bool:
    """Tell whether a line runs level across the whole axes."""
    return list(line.get_xdata()) == [0, 1]


def test_faces_that_part_with_the_hand_still_are_marked_at_the_top() -> None:
    result = case("rigid")[1]  # no cushion and nothing gives: the force rises on the spot
    table = result.stroke
    assert table is not None
    (parting,) = marks_of(figures.plot_effort(result), "o")
    assert parting[1] == table.hand_force_n[table.separation_mm == 0.0].max()


def test_effort_has_no_parting_mark_where_the_faces_never_part() -> None:
    ax = figures.plot_effort(case("never-releases")[1])
    assert marks_of(ax, "o") == []
    assert not any("faces part" in text for text in labels_of(ax))


@both_units
@pytest.mark.parametrize("name", ["as-it-stands", "clear", "never-releases", "wet", "snap"])
def test_lift_marks_the_events_that_were_reached_and_no_others(name: str, units: str) -> None:
    result = case(name)[1]
    mm = 1.0 if units == "metric" else MM_PER_INCH
    ax = figures.plot_lift(result, units=units)
    upright = [float(line.get_xdata()[0]) for line in ax.lines if list(line.get_ydata()) == [0, 1]]
    reached = [event for event in result.events if event.reached]
    assert upright == pytest.approx([event.hand_travel_mm / mm for event in reached], rel=1e-12)
    texts = labels_of(ax)
    for event in result.events:
        named = [t for t in texts if t.startswith(EVENT_WORDS[event.name])]
        assert len(named) == (1 if event.reached else 0)


@both_units
def test_lift_draws_lift_separation_and_the_need(units: str) -> None:
    result = case("as-it-stands")[1]
    mm = 1.0 if units == "metric" else MM_PER_INCH
    ax, table = figures.plot_lift(result, units=units), result.stroke
    assert table is not None
    np.testing.assert_allclose(
        line_of(ax, "plate lift").get_ydata(), table.plate_lift_mm / mm, rtol=1e-12
    )
    np.testing.assert_allclose(
        line_of(ax, "separation").get_ydata(), table.separation_mm / mm, rtol=1e-12
    )
    (band,) = ax.patches
    box = band.get_path().transformed(band.get_patch_transform()).get_extents()
    assert box.y0 == 0.0
    assert box.y1 == pytest.approx(result.full_lever.needed_mm / mm, rel=1e-12)
    assert band.get_hatch()
    assert ("0.27 mm" if units == "metric" else "0.0106 in") in labels_of(ax)


def test_lift_draws_one_curve_where_lift_and_separation_are_the_same() -> None:
    ax = figures.plot_lift(case("wet")[1])  # no cushion
    assert [line.get_label() for line in ax.lines if line.get_label() == "plate lift"] == []
    assert any("all of the plate lift" in text for text in labels_of(ax))


@pytest.mark.parametrize("draw", [figures.plot_effort, figures.plot_lift])
def test_a_jump_of_the_plates_is_drawn_apart_from_the_curve(draw: Drawer) -> None:
    result = case("snap")[1]
    table = result.stroke
    assert table is not None
    row = int(np.argmax(np.diff(table.plate_lift_mm)))
    ax = draw(result)
    jump = line_of(ax, "plates jump")
    column = table.hand_force_n if draw is figures.plot_effort else table.separation_mm
    np.testing.assert_allclose(jump.get_ydata(), column[row : row + 2])
    curve = line_of(ax, "pulling" if draw is figures.plot_effort else "separation")
    assert np.flatnonzero(np.isnan(curve.get_ydata())).tolist() == [row + 1]
    assert "plates jump" in labels_of(ax)


def test_advantage_draws_both_columns_without_infinities() -> None:
    result = case("as-it-stands")[1]
    ax, table = figures.plot_advantage(result), result.stroke
    assert table is not None
    ideal = line_of(ax, "ideal, from geometry alone").get_ydata()
    actual = line_of(ax, "actual, after friction").get_ydata()
    np.testing.assert_array_equal(ideal, table.ideal_advantage)
    np.testing.assert_array_equal(actual, table.advantage)
    assert ax.get_ylim()[1] < 2.0 * np.nanmax(ideal)


# --- budget and spring ---


@both_units
@pytest.mark.parametrize("name", CASES)
def test_budget_steps_from_geometry_to_what_is_left(name: str, units: str) -> None:
    result = case(name)[1]
    mm = 1.0 if units == "metric" else MM_PER_INCH
    ax = figures.plot_budget(result, units=units)
    lost = [line for line in result.budget[1:] if abs(line.lost_mm) >= 0.005]
    spans = [(0.0, result.budget[0].left_mm)]
    spans += [tuple(sorted((k.left_mm, k.left_mm + k.lost_mm))) for k in lost]
    spans += [tuple(sorted((0.0, result.budget[-1].left_mm)))]
    drawn = [(bar.get_x() * mm, (bar.get_x() + bar.get_width()) * mm) for bar in ax.patches]
    np.testing.assert_allclose(drawn, spans, rtol=1e-9, atol=1e-12)
    names = [text.get_text() for text in ax.get_yticklabels()]
    assert names[0] == "geometry alone"
    assert names[1:-1] == [ITEM_WORDS[line.item] for line in lost]
    nil = {ITEM_WORDS[k.item] for k in result.budget[1:] if abs(k.lost_mm) < 0.0005}
    assert not nil & set(names)
    short = result.budget[-1].left_mm < 0
    end, each = names[-1].split("\n")
    assert end == ("short of clear" if short else "left to run clear")
    assert each == f"{lift_text(result.full_lever.clearance_per_face_mm, units)} a face"


@both_units
@pytest.mark.parametrize("name", CASES)
def test_spring_marks_installed_and_full_lever_on_its_curve(name: str, units: str) -> None:
    mechanism, result = case(name)
    mm, newton = (1.0, 1.0) if units == "metric" else (MM_PER_INCH, N_PER_LBF)
    ax, parts = figures.plot_spring(mechanism, result, units=units), mechanism.parts()
    rest = float(parts.installed_deflection_mm)
    installed = (rest / mm, result.capacity.clamp_force_n / newton)
    assert installed == pytest.approx(marks_of(ax, "o")[0], rel=1e-9)
    (full,) = marks_of(ax, "s")
    assert full[0] * mm == pytest.approx(rest + result.full_lever.plate_lift_mm, rel=1e-9)
    assert full[1] * newton == pytest.approx(float(parts.spring.load_n(full[0] * mm)), rel=1e-9)
    from_parts = figures.plot_spring(parts, result, units=units)
    assert marks_of(from_parts, "s") == [full]


def test_spring_marks_the_peak_and_valley_it_has() -> None:
    table = figures.plot_spring(*case("table"))
    assert marks_of(table, "^") == [(4.0, 3500.0)]  # its greatest reading
    assert marks_of(table, "v") == []
    coils = figures.plot_spring(*case("wet"))
    assert marks_of(coils, "^") == marks_of(coils, "v") == []
    assert marks_of(coils, "X") == [(18.0, pytest.approx(6 * 21.0 * 18.0))]  # solid: 42 − 24
    endless = figures.plot_spring(*case("rigid"))
    assert marks_of(endless, "X") == []
    for name, valleys in (("as-it-stands", 0), ("falling", 0), ("snap", 1)):
        mechanism, result = case(name)
        ax, spring = figures.plot_spring(mechanism, result), mechanism.parts().spring
        (peak,) = marks_of(ax, "^")
        around = spring.load_n(peak[0] + np.array([-0.02, 0.0, 0.02]))
        assert around[1] > max(around[0], around[2])
        assert peak[1] == pytest.approx(around[1], rel=1e-12)
        assert len(marks_of(ax, "v")) == valleys
        for valley in marks_of(ax, "v"):
            around = spring.load_n(valley[0] + np.array([-0.02, 0.0, 0.02]))
            assert around[1] < min(around[0], around[2])


def test_spring_says_on_which_side_of_its_peak_it_sits() -> None:
    titles = {
        n: figures.plot_spring(*case(n)).get_title(loc="left") for n in ("falling", "table", "wet")
    }
    assert titles["falling"] == "Spring: past its peak"
    assert titles["table"] == "Spring: before its peak"
    assert titles["wet"] == "Spring"


# --- figures of studies ---


@pytest.mark.parametrize("count", [2, 5, 9, 14])
@both_units
def test_a_page_of_many_changes_is_whole_and_names_each_once_at_least(
    count: int, units: str
) -> None:
    names = ["as it stands", *(f"change-{k}-of-several" for k in range(count))]
    kinds = [case(n)[1] for n in ("longer-arm", "thick-plate", "falling", "never-releases")]
    results = {
        name: case("as-it-stands")[1] if k == 0 else kinds[k % 4] for k, name in enumerate(names)
    }
    page = comparison_page("Many (invented)", results, (0.1, 90.0), units=units)
    check_texts(page)
    said = "\n".join(text.get_text() for text, _ in shown_texts(page))
    for name in names[1:]:
        assert name in said
    legends = [ax.get_legend() for ax in page.axes if ax.get_legend() is not None]
    assert len(legends) == (count <= 4)
    if count > 4:
        # What does not release, or drags hard, bears that behind its name.
        titles = {ax: "".join(ax.get_title(loc="left").splitlines()) for ax in page.axes}
        fields = [ax for ax, title in titles.items() if title.split(":")[0] in names]
        assert len(fields) >= count
        tallest = max(np.nanmax(line.get_ydata()) for ax in fields for line in ax.lines)
        assert all(ax.get_ylim()[1] >= tallest for ax in fields)


def test_small_fields_fill_their_rows_and_alike_warnings_stand_once() -> None:
    results = {"as it stands": case("as-it-stands")[1]}
    results |= {f"number-{k}": case("rigid")[1] for k in range(6)}
    page = comparison_page("Six (invented)", results, (0.1, 90.0))
    fields = [ax for ax in page.axes if ax.get_title(loc="left").startswith("number-")]
    grids = {ax.get_subplotspec().get_gridspec().get_geometry() for ax in fields}
    assert grids == {(2, 3)}
    foot = [text.get_text() for text, _ in shown_texts(page) if "rigid cable" in text.get_text()]
    said = " ".join(foot)
    assert said.count("rigid cable") == 1
    assert all(f"number-{k}" in said for k in range(6))


def test_names_of_small_fields_that_bear_why_not_keep_apart() -> None:
    """Five abreast, each the width at which its name in bold no longer fits on one line."""
    results = {"as it stands": case("as-it-stands")[1]}
    results |= {f"braced-finger-{k}": case("never-releases")[1] for k in range(5)}
    page = comparison_page("Five (invented)", results, (0.1, 90.0))
    heads = [ax.get_title(loc="left") for ax in page.axes]
    assert sum(head.startswith("braced-finger-") for head in heads) == 5
    check_texts(page)


def test_fourteen_changes_go_on_a4() -> None:
    results = {"as it stands": case("as-it-stands")[1]}
    results |= {f"number-{k}": case("longer-arm")[1] for k in range(14)}
    assert comparison_page("Many (invented)", results, (0.1, 90.0)).get_figheight() <= 11.7


def test_the_stock_one_lies_over_the_others_and_is_the_heaviest() -> None:
    for draw in (figures.plot_effort_overlay, figures.plot_separation_overlay):
        ax = draw(variants())
        stock, *others = (line_of(ax, name) for name in variants())
        assert all(stock.get_linewidth() > line.get_linewidth() for line in others)
        assert all(stock.get_zorder() > line.get_zorder() for line in others)


def test_overlays_draw_every_variant_in_its_order() -> None:
    effort, parting = (
        draw(variants()) for draw in (figures.plot_effort_overlay, figures.plot_separation_overlay)
    )
    for ax, column in ((effort, "hand_force_n"), (parting, "separation_mm")):
        legend = ax.get_legend()
        assert legend is not None
        assert [text.get_text() for text in legend.get_texts()] == list(variants())
        for name, result in variants().items():
            drawn = line_of(ax, name).get_ydata()
            np.testing.assert_array_equal(drawn, getattr(result.stroke, column))
    assert len(parting.patches) == 1  # all need the same


def test_separation_overlay_marks_each_need_where_they_differ() -> None:
    trued = liftgeo.stroke(case("clear")[0].changed({"faces.plate_runout": 0.05}))
    ax = figures.plot_separation_overlay({"clear": case("clear")[1], "trued": trued})
    assert len(ax.patches) == 0
    wanted = [
        (r.event("running-clear").hand_travel_mm, r.full_lever.needed_mm)
        for r in (case("clear")[1], trued)
    ]
    assert marks_of(ax, "x") == [pytest.approx(w) for w in wanted]


@both_units
def test_trade_map_names_every_variant_beside_its_mark(units: str) -> None:
    mm, newton = (1.0, 1.0) if units == "metric" else (MM_PER_INCH, N_PER_LBF)
    ax = figures.plot_trade_map(POINTS, (0.1, 90.0), units=units)
    marks = marks_of(ax, "s") + marks_of(ax, "o")
    wanted = [(x / mm, y / newton) for _, x, y in POINTS]
    assert marks == [pytest.approx(w) for w in wanted]
    texts = labels_of(ax)
    assert all(texts.count(name) == 1 for name, _, _ in POINTS)
    upright = [float(k.get_xdata()[0]) for k in ax.lines if list(k.get_ydata()) == [0, 1]]
    assert upright == pytest.approx([0.0, 0.1 / mm])
    assert [k.get_ydata()[0] for k in ax.lines if level(k)] == pytest.approx([90.0 / newton])


def test_trade_map_strikes_out_what_slips_and_keeps_it_off_the_target_ground() -> None:
    points = [
        ("stock", -0.05, 140.0),
        ("soft", 0.2, 60.0),
        ("weak", 0.05, 150.0),
        ("ok", 0.2, 70.0),
    ]
    struck = {"soft": "slips", "weak": "does not release"}
    ax = figures.plot_trade_map(points, (0.1, 90.0), struck=struck)
    assert marks_of(ax, "x") == [(0.05, 150.0)]
    assert (0.2, 60.0) not in marks_of(ax, "o")
    assert (0.2, 70.0) in marks_of(ax, "o")
    assert "weak: DOES NOT RELEASE" in labels_of(ax)
    assert "Struck out, not drawn: soft slips." in ax.get_xlabel()


def test_front_strikes_out_a_stock_machine_that_slips() -> None:
    ax = figures.plot_front(FRONT, stock=(-0.03, 137.0), stock_struck="slips")
    assert marks_of(ax, "x") == [(-0.03, 137.0)]
    assert "as it stands: SLIPS" in labels_of(ax)
    ax = figures.plot_front(FRONT, stock=(0.2, 60.0), stock_struck="slips", targets=(0.1, 90.0))
    assert not marks_of(ax, "s")
    assert "as it stands slips" in ax.get_xlabel()


def test_trade_map_keeps_crowded_names_apart() -> None:
    spots = [(k % 4, k // 4) for k in range(12)]
    crowd = [(f"variant {k}", 0.02 + 0.012 * x, 120.0 + 2.0 * y) for k, (x, y) in enumerate(spots)]
    crowd += [("far off", 0.3, 60.0), ("cannot be built", float("nan"), 80.0)]
    ax = figures.plot_trade_map(crowd, (0.1, 90.0))
    check_texts(ax.figure)
    texts = labels_of(ax)
    assert "variant 11" in texts
    assert "cannot be built" not in texts


def test_front_is_drawn_in_order_of_clearance() -> None:
    ax = figures.plot_front(FRONT[::-1], tried=TRIED, chosen=(0.07, 165.0), stock=(-0.03, 137.0))
    front, tried = line_of(ax, "least effort"), line_of(ax, "tried")
    assert list(zip(front.get_xdata(), front.get_ydata(), strict=True)) == sorted(FRONT)
    assert len(tried.get_xdata()) == len(TRIED)
    assert marks_of(ax, "D") == [(0.07, 165.0)]
    assert marks_of(ax, "s") == [(-0.03, 137.0)]


def test_sensitivity_puts_the_greatest_first_and_keeps_the_sign() -> None:
    ax = figures.plot_sensitivity([*ROWS[::-1], ("unknown", float("nan"))])
    assert [bar.get_width() for bar in ax.patches] == [0.05, -0.031, 0.004]
    assert [text.get_text() for text in ax.get_yticklabels()] == [name for name, _ in ROWS]
    rise, fall = ax.patches[0].get_hatch(), ax.patches[1].get_hatch()
    assert (rise, bool(fall)) == (None, True)
    assert {"+0.050 mm", "−0.031 mm", "+0.004 mm"} <= set(labels_of(ax))


def test_studies_with_nothing_in_them_draw_empty_axes() -> None:
    for ax in (
        figures.plot_effort_overlay({}),
        figures.plot_separation_overlay({}),
        figures.plot_trade_map([]),
        figures.plot_front([]),
        figures.plot_sensitivity([]),
        figures.plot_sensitivity([("nothing changes", 0.0)]),
        figures.plot_wear([], [], quantity="clamp force", dimension="force"),
    ):
        assert figures.render(ax.figure, "png").startswith(b"\x89PNG")
        assert np.isfinite([*ax.get_xlim(), *ax.get_ylim()]).all()


def test_wear_draws_the_quantity_its_target_and_its_ends() -> None:
    ax = PLOTS["plot_wear"][0](units="inch")
    line = line_of(ax, "clamp force")
    np.testing.assert_allclose(line.get_xdata(), WORN / MM_PER_INCH)
    np.testing.assert_allclose(line.get_ydata(), (3400.0 - 200.0 * WORN) / N_PER_LBF)
    upright = [float(k.get_xdata()[0]) for k in ax.lines if list(k.get_ydata()) == [0, 1]]
    assert upright == pytest.approx([1.0 / MM_PER_INCH, 0.6 / MM_PER_INCH])
    texts = labels_of(ax)
    assert {"facings done 0.0394 in", "lever rides 0.0236 in", "target 674.4 lbf"} <= set(texts)


# --- the page, and files ---


def test_the_page_says_verdict_numbers_and_what_to_beware_of() -> None:
    mechanism, result = case("as-it-stands")
    texts = [t.get_text() for t in page(result, mechanism, "metric").findobj(Text)]
    whole = " ".join(texts)
    assert clutches.BASE["title"] in texts
    assert "DRAGS: at full lever the faces part 0.27 mm; they need 0.33 mm to run clear." in whole
    for sentence in (
        "unload the spring evenly before the cover comes off",
        "treat dust from old facings as asbestos",
        "only with the machine blocked and nobody in line",
        "local codes and licensed practice come first",
    ):
        assert sentence in whole
    pairs = dict(words.key_numbers(result, "metric", 0.1, 90.0, running_taken(mechanism)))
    assert pairs["clearance per face"] == "−0.03 mm"
    assert pairs["peak hand force"] == "137 N"
    assert pairs["full lever"] == "39.0 mm"
    assert set(pairs) <= set(texts)


@pytest.mark.parametrize("name", FIGURES)
def test_a_figure_on_its_own_names_every_stop_and_caution(name: str) -> None:
    for made in ("rigid", "never-releases", "slips"):
        mechanism, result = case(made)
        whole = " ".join(t.get_text() for t in single(name, result, mechanism).findobj(Text))
        whole = " ".join(whole.split())
        for warning in result.warnings:
            if warning.severity != "note":
                assert warning.key.replace("-", " ") in whole
        assert "Work safely" in whole


def test_a_page_with_more_warnings_than_room_names_them_all() -> None:
    mechanism = clutches.sound_mechanism().changed(
        {
            "engine.torque": 60,
            "cable.breaking_load": 400,
            "bearing.static_rating": 1000,
            "rod.diameter": 3,
            "arm.cable_angle": 49,
            "faces.plate_runout": 1.2,
        }
    )
    result = liftgeo.stroke(mechanism)
    whole = " ".join(t.get_text() for t in page(result, mechanism).findobj(Text))
    named = [w.key.replace("-", " ") for w in result.warnings if w.severity != "note"]
    assert len(named) > 6
    assert all(name in " ".join(whole.split()) for name in named)


def test_the_page_carries_every_warning_but_notes() -> None:
    mechanism, result = case("rigid")
    whole = " ".join(t.get_text() for t in page(result, mechanism).findobj(Text))
    for warning in result.warnings:
        assert (warning.message in whole) is (warning.severity != "note")


@pytest.mark.parametrize(
    ("name", "start"),
    [
        ("as-it-stands", "DRAGS: "),
        ("never-releases", "DOES NOT RELEASE: "),
        ("falling", "MARGINAL: "),
        ("clear", "RUNS CLEAR: "),
        ("slips", "SLIPS: the clutch holds "),
    ],
)
def test_each_verdict_begins_with_its_word(name: str, start: str) -> None:
    assert words.verdict_line(case(name)[1], "metric").startswith(start)


def test_the_page_is_a4_and_sharp_enough_to_print() -> None:
    mechanism, result = case("as-it-stands")
    drawn = page(result, mechanism, "metric")
    assert drawn.get_size_inches() == pytest.approx([210 / 25.4, 297 / 25.4], abs=0.01)
    picture = figures.render(drawn, ".png")
    width = int.from_bytes(picture[16:20], "big")
    assert 150 <= width / (210 / 25.4) <= 200


@pytest.mark.parametrize("suffix", [".png", ".svg", ".pdf", "PDF"])
def test_the_same_figure_gives_the_same_bytes(suffix: str) -> None:
    mechanism, result = case("wet")

    def picture() -> bytes:
        return figures.render(figures.single("lift", result, mechanism, "metric"), suffix)

    plain = picture()
    mine = {"font.size": 20.0, "svg.hashsalt": None, "axes.edgecolor": "red"}
    with matplotlib.rc_context(mine):
        assert picture() == plain
    start = {".png": b"\x89PNG", ".svg": b"<?xml", ".pdf": b"%PDF", "PDF": b"%PDF"}[suffix]
    assert plain.startswith(start)
    assert not re.search(rb"<dc:date>|CreationDate|ModDate|/ID\b|tEXtSoftware", plain)


def test_a_figure_is_written_as_picture_only() -> None:
    drawn = figures.single("budget", *case("wet")[::-1], "metric")
    with pytest.raises(RequestError, match=r"\.png, \.svg or \.pdf"):
        figures.render(drawn, ".docx")


def test_an_unknown_figure_names_the_nearest() -> None:
    mechanism, result = case("wet")
    with pytest.raises(RequestError, match="Did you mean budget"):
        figures.single("bugdet", result, mechanism, "metric")


@pytest.mark.parametrize("draw", [figures.plot_effort, figures.plot_lift, figures.plot_advantage])
def test_a_result_without_its_stroke_is_refused(draw: Drawer) -> None:
    from dataclasses import replace

    with pytest.raises(RequestError, match="without its stroke"):
        draw(replace(case("wet")[1], stroke=None))


def test_threads_that_draw_at_once_do_not_disturb_each_other() -> None:
    mechanism, result = case("clear")
    before, pictures = dict(matplotlib.rcParams), []

    def draw() -> None:
        drawn = figures.single("effort", result, mechanism, "metric")
        pictures.append(figures.render(drawn, ".svg"))

    threads = [threading.Thread(target=draw) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(pictures) == 4
    assert len(set(pictures)) == 1
    assert dict(matplotlib.rcParams) == before


def run_python(program: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def test_another_python_draws_the_same_bytes_and_needs_no_pyplot() -> None:
    program = (
        "import sys, hashlib, liftgeo\n"
        "from liftgeo import figures\n"
        "from liftgeo.mechanism import from_document\n"
        f"m = from_document({clutches.document(**WET)!r})\n"
        "drawn = figures.single('spring', liftgeo.stroke(m), m, 'inch')\n"
        "print(hashlib.sha256(figures.render(drawn, '.svg')).hexdigest())\n"
        "print('matplotlib.pyplot' in sys.modules)\n"
    )
    mechanism, result = case("wet")
    here = figures.render(figures.single("spring", result, mechanism, "inch"), ".svg")
    assert run_python(program).split() == [hashlib.sha256(here).hexdigest(), "False"]


@pytest.mark.parametrize(
    "imported",
    [
        "import liftgeo",
        "import liftgeo.figures.registry as r; assert r.FIGURES",
        "import liftgeo.words.stroke_page",
    ],
)
def test_matplotlib_stays_away_until_a_figure_is_asked_for(imported: str) -> None:
    program = f"import sys\n{imported}\nprint('matplotlib' in sys.modules)"
    assert run_python(program) == "False"


def test_no_text_of_the_style_is_smaller_than_8_pt() -> None:
    sizes = [value for key, value in STYLE.items() if key.endswith("size") and "marker" not in key]
    assert min(sizes) >= 8.0


@pytest.mark.parametrize("wide_in", [3.1, 6.3])
def test_what_is_kept_off_the_hatched_ground_is_named_within_the_figure(wide_in: float) -> None:
    names = ["as it stands", "shorter-arm", "braced-fingers", "level-fingers"]
    points = [(name, 0.12 + 0.01 * k, 58.0 + k) for k, name in enumerate(names)]
    figure = Figure(figsize=(wide_in, 3.0), layout="constrained")
    ax = figures.plot_trade_map(
        points, (0.1, 90.0), struck=dict.fromkeys(names, "slips"), ax=figure.add_subplot()
    )
    with drawing():
        figure.draw_without_rendering()
    told = ax.xaxis.label
    box = told.get_window_extent()
    assert box.x0 >= 0.0
    assert box.x1 <= figure.bbox.width
    assert all(f"{name} slips" in told.get_text().replace("\n", " ") for name in names)


# --- inputs along the front ---


def test_a_value_that_jumps_to_another_part_of_its_range_breaks_the_line() -> None:
    points = [(0.01, -2.0), (0.02, -4.0), (0.03, -6.0), (0.04, 9.0), (0.05, 10.0)]
    ax = figures.plot_along_front(points, name="Arm: turned", dimension="angle")
    drawn = line_of(ax, "least effort").get_ydata()
    assert np.isnan(drawn).sum() == 1
    assert drawn[~np.isnan(drawn)].tolist() == [y for _, y in points]
    assert np.isnan(drawn[3])
    even = figures.plot_along_front(points[:3], name="Arm: turned", dimension="angle")
    assert not np.isnan(line_of(even, "least effort").get_ydata()).any()


@pytest.mark.parametrize(
    "vary",
    [
        ("arm.hole=30..44", "faces.lift_tilt=0..0.3"),
        ("lever.hole=24..30", "arm.turned=-15..15", "arm.stop_direction=-5..5"),
    ],
)
def test_a_sizing_has_room_for_the_names_of_its_inputs(vary: tuple[str, ...]) -> None:
    from liftgeo.words.size_page import input_names

    found = liftgeo.size(clutches.mechanism(), vary, ["clearance>=0.02"])
    names = input_names(found)
    assert all(f"({key})" in name for key, name in names.items())
    inputs = [
        Along(name, "length", [p.values[key] for p in found.front], found.values[key])
        for key, name in names.items()
    ]
    front = [(p.clearance_per_face_mm, p.peak_hand_force_n) for p in found.front]
    check_texts(sizing_page("Sized", front, None, (0.0, 120.0), (0.1, 90.0), inputs=inputs))
