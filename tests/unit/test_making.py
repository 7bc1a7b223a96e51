"""Answers that can be made: rounded to tenths and half degrees, or to sizes that are there."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from clutches import mechanism

import liftgeo
from liftgeo.errors import RequestError
from liftgeo.studies.making import makeable_step, stock_from
from liftgeo.studies.size import size
from liftgeo.studies.wants import range_from


@pytest.mark.parametrize(
    ("dimension", "low", "high", "step"),
    [
        ("length", 30.0, 44.0, 0.1),
        ("length", 1.0, 1.4, 0.05),
        ("length", 0.10, 0.15, 0.01),
        ("angle", 10.0, 18.0, 0.5),
        ("angle", 14.0, 15.0, 0.1),
        ("stiffness", 200.0, 450.0, 1.0),
        ("ratio", 0.05, 0.12, 0.001),
    ],
)
def test_the_step_suits_the_range(dimension: str, low: float, high: float, step: float) -> None:
    """A tenth, half a degree, three figures of what has no size: common practice, no source."""
    assert makeable_step(dimension, low, high) == pytest.approx(step)


def on(value: float, step: float) -> bool:
    return abs(value / step - round(value / step)) < 1e-9


def test_the_answer_is_the_best_of_all_that_can_be_made() -> None:
    """Against every combination of tenths and half degrees, one batch over the whole grid."""
    found = size(
        mechanism(), ["arm.radius=34..42", "release.ramp_angle=13..18"], ["clearance>=0.03"]
    )
    radii, angles = np.arange(340, 421) / 10, np.arange(26, 37) / 2
    grid = np.array(list(itertools.product(radii, angles)))
    many = liftgeo.batch(mechanism(), {"arm.radius": grid[:, 0], "release.ramp_angle": grid[:, 1]})
    kept = np.where(many.clearance_per_face_mm >= 0.03, many.peak_hand_force_n, np.inf)
    assert found.met
    assert found.result.peak.hand_force_n == pytest.approx(kept.min(), rel=1e-9)
    assert on(found.values["arm.radius"], 0.1)
    assert on(found.values["release.ramp_angle"], 0.5)


def test_wants_are_judged_at_the_rounded_value() -> None:
    """Rounded to the nearest tenth the want would break by a hair: a neighbour is taken."""
    loose = size(mechanism(), ["arm.radius=30..44"], ["clearance>=0.03"], exact=True)
    radius = loose.values["arm.radius"]
    nearest = round(radius, 1)
    found = size(mechanism(), ["arm.radius=30..44"], ["clearance>=0.03"])
    assert found.met
    assert found.result.full_lever.clearance_per_face_mm >= 0.03
    assert abs(found.values["arm.radius"] - radius) < 0.1
    alone = liftgeo.stroke(mechanism().changed({"arm.radius": nearest}))
    assert (alone.full_lever.clearance_per_face_mm >= 0.03) == (
        found.values["arm.radius"] == nearest
    )
    assert found.result.full_lever == liftgeo.stroke(mechanism().changed(found.change)).full_lever
    assert found.binding == ["clearance"]


def test_the_front_can_be_made_too() -> None:
    found = size(mechanism(), ["arm.radius=30..44"], ["clearance>=0.03"])
    assert len(found.front) > 5
    assert all(on(point.values["arm.radius"], 0.1) for point in found.front)
    values = np.array([point.values["arm.radius"] for point in found.front])
    many = liftgeo.batch(mechanism(), {"arm.radius": values})
    peaks = [point.peak_hand_force_n for point in found.front]
    assert many.peak_hand_force_n == pytest.approx(peaks, rel=1e-12)


def test_a_range_too_narrow_for_any_step_stays_as_it_is() -> None:
    found = size(mechanism(), ["arm.radius=34.0201..34.0209"], ["clearance>=0.01"])
    assert 34.0201 <= found.values["arm.radius"] <= 34.0209


# --- sizes ---


def test_only_the_sizes_listed_are_tried() -> None:
    found = size(mechanism(), ["arm.radius=31,35.5,38"], ["clearance>=0.02"])
    assert found.values["arm.radius"] in (31.0, 35.5, 38.0)
    assert {point.values["arm.radius"] for point in found.front} <= {31.0, 35.5, 38.0}
    kept = {}
    for radius in (31.0, 35.5, 38.0):
        alone = liftgeo.stroke(mechanism().changed({"arm.radius": radius}))
        if alone.full_lever.clearance_per_face_mm >= 0.02:
            kept[alone.peak.hand_force_n] = radius
    assert found.values["arm.radius"] == kept[min(kept)]


def test_a_unit_behind_the_last_size_is_that_of_all() -> None:
    sizes = range_from(mechanism(), "arm.radius=1, 1 1/4,1.5 in").sizes
    assert sizes == pytest.approx((25.4, 31.75, 38.1))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("arm.radius=30,,36", "between any two commas"),
        ("arm.radius=30,-4", "not possible"),
        ("spring.in_series=1,1.5", "a whole number"),
        ("arm.radius=30,x", "arm.radius"),
    ],
)
def test_sizes_that_are_none_are_refused(text: str, said: str) -> None:
    with pytest.raises(RequestError, match=said):
        range_from(mechanism(), text)


def test_a_step_beside_sizes_has_no_use() -> None:
    with pytest.raises(RequestError, match="has sizes already"):
        size(mechanism(), ["arm.radius=30,36"], step=["arm.radius=0.5"])


# --- a stock ---


def test_a_stock_is_a_list_or_a_table() -> None:
    wanted = {"arm.radius": ["30", "1 1/4 in"], "spring.thickness": ["1.6"]}
    listed = "# at hand\n\narm.radius = 30, 1 1/4 in  # drilled\nspring.thickness = 1.6\n"
    table = "arm.radius,spring.thickness\n30,1.6\n1 1/4 in,\n"
    assert stock_from(listed) == wanted
    assert stock_from(table) == wanted


@pytest.mark.parametrize(
    "text", ["", "# nothing\n", "arm.radius =\n", "arm.radius\n", "arm.radius = 1\nx"]
)
def test_a_stock_without_sizes_is_refused(text: str) -> None:
    with pytest.raises(RequestError, match="--stock"):
        stock_from(text)


def test_only_what_is_in_stock_is_tried() -> None:
    stock = {"arm.radius": ["20", "33", "36.5", "60"], "spring.thickness": ["1.6"]}
    found = size(mechanism(), ["arm.radius=30..44"], ["clearance>=0.02"], stock=stock)
    assert found.values["arm.radius"] in (33.0, 36.5)


@pytest.mark.parametrize(
    ("stock", "said"),
    [
        ({"cable.bend": ["90"]}, "no size of what is varied"),
        ({"arm.radius": ["20"]}, "lies within 30"),
        ({"arm.radius": ["20 N"]}, "arm.radius"),
        ({"arm.radus": ["36"]}, "Did you mean arm.radius"),
    ],
)
def test_a_stock_that_does_not_fit_is_refused(stock: dict[str, list[str]], said: str) -> None:
    with pytest.raises(RequestError, match=said):
        size(mechanism(), ["arm.radius=30..44"], stock=stock)
