"""What a faulty file says, drawn: circles that meet or do not, every number at its place."""

from __future__ import annotations

import math

import numpy as np
import pytest
from clutches import document, fault, faults
from matplotlib.figure import Figure
from test_drawings import check_apart

from liftgeo.figures.faults_sheet import faults_sheet, plot_attempt
from liftgeo.outline.attempt import Attempt, attempts
from liftgeo.outline.links import outline

# Radius about the pivot, distance of the stop, length of the cable; how far the circles miss, by
# hand: 200 - (27 + 43), (92 - 36) - 40, (60 - 40) - 5.
MISSES = [(27.0, 43.0, 200.0, 130.0), (36.0, 92.0, 40.0, 16.0), (60.0, 40.0, 5.0, 15.0)]


@pytest.mark.parametrize(("pin", "stop", "rest", "apart"), MISSES)
def test_circles_that_do_not_meet_are_as_far_apart_as_the_numbers_say(
    pin: float, stop: float, rest: float, apart: float
) -> None:
    tried = Attempt("lever", pin, stop, rest)
    assert tried.apart_mm == pytest.approx(apart)
    assert tried.pin is None
    about_stop, about_pivot = sorted(tried.missed, key=lambda p: abs(np.hypot(*p) - pin))[::-1]
    assert np.hypot(*about_pivot) == pytest.approx(pin)
    assert np.hypot(*(about_stop - [stop, 0.0])) == pytest.approx(rest)
    assert np.hypot(*(about_stop - about_pivot)) == pytest.approx(apart)


def test_circles_that_meet_do_so_where_the_pin_is() -> None:
    from clutches import mechanism

    tried = attempts(document())["lever"]
    wanted = outline(mechanism()).lever.pin
    assert tried.apart_mm == 0.0
    assert tried.missed is None
    assert tried.pin == pytest.approx(wanted)


@pytest.mark.parametrize("value", ["", "about 40", "3 N", -4.0, 0, True, math.inf, [1, 2], None])
def test_a_number_that_cannot_be_read_is_left_open(value: object) -> None:
    broken = document()
    broken["arm"]["rest_length"] = value
    tried = attempts(broken)["arm"]
    assert math.isnan(tried.rest_mm)
    assert tried.pin_mm == 38.0
    assert "end" not in tried.view().points
    assert np.isnan(tried.apart_mm)


def test_points_and_an_offset_count() -> None:
    broken = document(lever={"kind": "pin", "points": {"pivot": [0, 0], "pin": ["3 mm", 4],
        "stop": [10, 0], "hand": "?"}})  # fmt: skip
    tried = attempts(broken)["lever"]
    assert (tried.pin_mm, tried.stop_mm) == (5.0, 10.0)
    assert tried.rest_mm == pytest.approx(math.hypot(7, 4))
    aside = document(arm={"axial_offset": 54.0})
    assert attempts(aside)["arm"].rest_mm == pytest.approx(72.0)  # 54, 72, 90


def test_a_change_is_laid_over_it_and_one_that_cannot_be_is_passed_over() -> None:
    broken = document() | {"changes": {"a": {"arm": {"radius": 400.0}}, "b": {"arm.radius": 1}}}
    assert attempts(broken, ["a"])["arm"].pin_mm == 400.0
    assert attempts(broken, ["nobody"])["arm"].pin_mm == 38.0
    assert attempts({"lever": 3, "changes": 4}, ["a"])["lever"].whole is False


def test_the_number_at_fault_is_marked_and_the_gap_is_drawn() -> None:
    wrong = fault(lever={"rest_length": 200.0})
    tried = attempts(document(lever={"rest_length": 200.0}))["lever"]
    ax = Figure(figsize=(6, 4)).add_axes((0, 0, 1, 1))
    plot_attempt(tried, ax=ax, bad={wrong.key})
    assert [t.get_text() for t in ax.texts if "✗" in t.get_text()] == ["200.0 ✗"]
    (gap,) = (line for line in ax.lines if line.get_gid() == "missed")
    assert np.hypot(*np.diff(gap.get_xydata(), axis=0)[0]) == pytest.approx(132.0)  # 200 - 26 - 42
    rings = [
        line for line in ax.lines if line.get_gid() in ("reach of the pin", "reach of the cable")
    ]
    assert all(line.is_dashed() for line in rings)
    assert len(rings) == 2


@pytest.mark.parametrize(
    "over",
    [
        {"lever": {"rest_length": 200.0}, "arm": {"rest_length": 40.0}},
        {"lever": {"nipple_radius": -1}, "arm": {"radius": "x", "stop_distance": None}},
        {"arm": {"rest_length": 400.0, "radius": 3.0}},
    ],
)
def test_nothing_overlaps_on_the_sheet_of_a_faulty_file(over) -> None:
    broken = document(**over)
    found = faults(**over)
    sheet = faults_sheet("A machine (invented)", attempts(broken), found)
    check_apart(sheet)
    said = " ".join(text.get_text() for text in sheet.texts)
    for each in found:
        assert each.key in said


def test_a_sheet_of_very_many_faults_says_that_there_are_more() -> None:
    wrong = fault(lever={"rest_length": 200.0})
    sheet = faults_sheet("", attempts({}), [wrong] * 40)
    said = " ".join(text.get_text() for text in sheet.texts)
    assert "prints all" in said
    check_apart(sheet)
