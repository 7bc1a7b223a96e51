"""The closed form of blade against grip, held to Shapely's distances of the turned line."""

from __future__ import annotations

import math

import numpy as np
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from liftgeo.parts.contact import first_contact_rad
from liftgeo.parts.plane import as_complex, first_crossing, lines_apart_mm

ANGLES = np.linspace(0.0, np.pi, 181)


def points(least, most):
    grid = st.integers(-60, 60).map(lambda k: 2.5 * k)
    return st.lists(st.tuples(grid, grid), min_size=least, max_size=most, unique=True)


def shape(line):
    return shapely.Point(line[0]) if len(line) == 1 else shapely.LineString(line)


def turned(line, pivot, angle):
    return shapely.affinity.rotate(shape(line), angle, origin=pivot, use_radians=True)


@settings(max_examples=150, deadline=None)
@given(points(2, 4), points(1, 3), st.floats(2.0, 40.0), st.sampled_from([1, -1]))
def test_the_turned_line_is_first_a_reach_away_at_the_contact(line, place, reach, turning) -> None:
    assume(first_crossing(as_complex(line)) is None)
    assume(first_crossing(as_complex(place)) is None)
    pivot, still = (3.0, -4.0), shape(place)
    angle = float(
        first_contact_rad(as_complex(line), as_complex(place), reach, complex(*pivot), turning)
    )
    last = np.pi if math.isnan(angle) else angle
    before = ANGLES[: np.searchsorted(ANGLES, last - 1e-6)]
    apart = [turned(line, pivot, turning * a).distance(still) for a in before]
    if angle == 0.0:
        assert shape(line).distance(still) <= reach + 1e-9
        return
    assert min(apart) >= reach - 1e-9
    if not math.isnan(angle):
        met = turned(line, pivot, turning * angle).distance(still)
        assert abs(met - reach) < 1e-9


@settings(max_examples=200, deadline=None)
@given(points(1, 4), points(3, 5))
def test_lines_are_as_far_apart_as_shapely_says(line, outline) -> None:
    for closed, other in ((False, shape(outline)), (True, shapely.Polygon(outline))):
        assume(not closed or (other.is_valid and other.area > 0))
        found = lines_apart_mm(as_complex(line), as_complex(outline), closed=closed)
        assert abs(found - shape(line).distance(other)) < 1e-9


@settings(max_examples=300, deadline=None)
@given(points(3, 6))
def test_an_outline_crosses_itself_where_shapely_says_it_is_not_valid(outline) -> None:
    crossing = first_crossing(as_complex(outline), closed=True) is not None
    assert crossing == (not shapely.Polygon(outline).is_valid)


@settings(max_examples=300, deadline=None)
@given(points(2, 6))
def test_a_line_crosses_itself_where_shapely_says_it_is_not_simple(line) -> None:
    crossing = first_crossing(as_complex(line)) is not None
    assert crossing == (not shapely.LineString(line).is_simple)


def test_many_reaches_are_met_as_one_by_one() -> None:
    line, place = as_complex([[0, 0], [-45, 20], [-130, 70]]), as_complex([[-150, -30], [40, -30]])
    reaches, pivots = np.array([20.0, 24.0, 300.0, 5.0]), np.array([0, 1 + 2j, 0, -2j])
    ways = np.array([1, 1, 1, -1])
    many = first_contact_rad(line, place, reaches, pivots, ways)
    one = [
        float(first_contact_rad(line, place, reach, pivot, way))
        for reach, pivot, way in zip(reaches, pivots, ways, strict=True)
    ]
    np.testing.assert_array_equal(many, one)
    assert many[2] == 0.0
    assert math.isnan(many[3]) or many[3] > many[0]
