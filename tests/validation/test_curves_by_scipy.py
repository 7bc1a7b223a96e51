"""Monotone curves and the root search against SciPy's.

Source: SciPy, `PchipInterpolator` (value, slope, second derivative, area) and `brentq` (inverse,
roots). The package has its own because importing SciPy costs more than the whole analysis.
"""

import math

import numpy as np
import pytest
from cases import each_holds, worked_out
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from liftgeo.parts import curve, release, root, spring, triangle

SCIPY = "SciPy PchipInterpolator"
BRENT = "SciPy brentq"

LOADS = (
    np.array([0.0, 0.4, 1.1, 1.5, 2.2, 3.0, 3.3]),
    np.array([0.0, 900.0, 2100.0, 2300.0, 2250.0, 2400.0, 3100.0]),
)
"""A disc's load that rises, falls a little and rises again."""
TRAVELS = (
    np.array([0.0, 0.05, 0.16, 0.30, 0.44, 0.5]),
    np.array([0.0, 0.30, 0.70, 1.60, 2.05, 2.3]),
)
AT = 1.23
TURN = 0.21


def theirs(knots):
    return PchipInterpolator(*knots)


def their_inverse(knots, value):
    smooth = theirs(knots)
    return brentq(lambda x: float(smooth(x)) - value, knots[0][0], knots[0][-1], xtol=1e-15)


def loads():
    return curve.Curve(*LOADS)


def measured_spring():
    return spring.MeasuredSpring(loads(), 20.0)


def measured_unit():
    return release.MeasuredUnit(curve.Curve(*TRAVELS), 0.9)


def measured_link():
    return triangle.MeasuredLink(curve.Curve(*TRAVELS))


def _rows():
    smooth, travel = theirs(LOADS), theirs(TRAVELS)
    name, unit = "load table of seven readings", "measured release unit"
    link, disc = "measured lever", "measured spring"
    there = float(travel(TURN))

    def row(case, quantity, unit_of, expected, ours, source=SCIPY):
        return worked_out(source, case, quantity, unit_of, float(expected), ours, close=1e-12)

    yield from (
        row(name, "slope at the sixth reading", "N/mm", smooth(3.0, 1),
            lambda: curve.knot_slopes(*LOADS)[5]),
        row(name, "slope at the first reading", "N/mm", smooth(0.0, 1),
            lambda: curve.knot_slopes(*LOADS)[0]),
        row(name, f"value at {AT}", "N", smooth(AT), lambda: loads().value(AT)),
        row(name, f"slope at {AT}", "N/mm", smooth(AT, 1), lambda: loads().slope(AT)),
        row(name, f"second derivative at {AT}", "N/mm²", smooth(AT, 2),
            lambda: loads().at(AT).curvature),
        row(name, f"area to {AT}", "N·mm", smooth.integrate(0.0, AT), lambda: loads().area(AT)),
        row("travel table of six readings", f"inverse at {there:.3f}", "rad",
            their_inverse(TRAVELS, there), lambda: curve.Curve(*TRAVELS).inverse(there), BRENT),
        row(disc, "load", "N", smooth(2.7), lambda: measured_spring().load_n(2.7)),
        row(disc, "rate", "N/mm", smooth(2.7, 1), lambda: measured_spring().rate_n_per_mm(2.7)),
        row(disc, "energy", "N·mm", smooth.integrate(0.0, 2.7),
            lambda: measured_spring().energy_nmm(2.7)),
        row(disc, "last reading", "mm", LOADS[0][-1],
            lambda: measured_spring().last_deflection_mm),
        row(disc, "known end", "mm", LOADS[0][-1], lambda: measured_spring().known_end_mm),
        row(disc, "reading at which the load turns", "mm", LOADS[0][3],
            lambda: measured_spring().turns_mm[3]),
        row(unit, "third reading, where the law bends", "rad", TRAVELS[0][2],
            lambda: measured_unit().bends_rad[2]),
        row(link, "third reading, where the law bends", "rad", TRAVELS[0][2],
            lambda: measured_link().bends_rad[2]),
        row(unit, "travel", "mm", there, lambda: measured_unit().at(TURN).travel_mm),
        row(unit, "travel per radian", "mm/rad", travel(TURN, 1),
            lambda: measured_unit().at(TURN).slope_mm_per_rad),
        row(unit, "its slope", "mm/rad²", travel(TURN, 2),
            lambda: measured_unit().at(TURN).torque_arm_rate * 0.9),
        row(unit, "turn back", "rad", TURN,
            lambda: measured_unit().at_travel(there).rotation_rad, BRENT),
        row(unit, "last reading", "rad", TRAVELS[0][-1],
            lambda: measured_unit().last_rotation_rad),
        row(link, "pull", "mm", there, lambda: measured_link().at(TURN).pull_mm),
        row(link, "moment arm", "mm", travel(TURN, 1),
            lambda: measured_link().at(TURN).moment_arm_mm),
        row(link, "its slope", "mm/rad", travel(TURN, 2),
            lambda: measured_link().at(TURN).moment_arm_slope_mm),
        row(link, "turn back", "rad", TURN,
            lambda: measured_link().at_pull(there).rotation_rad, BRENT),
        row(link, "last reading", "rad", TRAVELS[0][-1],
            lambda: measured_link().last_rotation_rad),
    )  # fmt: skip


FUNCTIONS = {
    "x³ − 2x − 5": (lambda x: x**3 - 2 * x - 5, 2.0, 3.0),
    "cos x − x": (lambda x: np.cos(x) - x, 0.0, 1.0),
    "e⁻ˣ − 0.01": (lambda x: np.exp(-x) - 0.01, 0.0, 50.0),
    "(x − 1)⁷": (lambda x: (x - 1) ** 7, 0.0, 2.5),
}

CASES = (
    *_rows(),
    *(
        worked_out(
            BRENT,
            name,
            "root",
            "",
            brentq(function, low, high, xtol=1e-15, maxiter=1000),
            lambda f=function, a=low, b=high: root.bracketed_root(f, a, b),
            close=1e-13,
        )
        for name, (function, low, high) in FUNCTIONS.items()
    ),
)


test_curve = each_holds(CASES)


steps = st.lists(st.tuples(st.floats(0.05, 3.0), st.floats(-2.0, 2.0)), min_size=1, max_size=8)


@given(steps, st.floats(0.0, 1.0))
def test_any_curve_is_scipy_s_between_its_ends(moves, share):
    x = np.concatenate([[0.0], np.cumsum([m[0] for m in moves])])
    y = np.concatenate([[0.3], 0.3 + np.cumsum([m[1] for m in moves])])
    ours, smooth, at = curve.Curve(x, y), PchipInterpolator(x, y), share * x[-1]
    close = {"rel": 1e-9, "abs": 1e-9}
    assert ours.value(at) == pytest.approx(float(smooth(at)), **close)
    assert ours.slope(at) == pytest.approx(float(smooth(at, 1)), **close)
    assert ours.area(at) == pytest.approx(float(smooth.integrate(0.0, at)), **close)


@given(st.floats(0.0, 1.0))
def test_the_inverse_finds_the_place_again(share):
    ours = curve.Curve(*TRAVELS)
    at = share * TRAVELS[0][-1]
    assert ours.inverse(ours.value(at)) == pytest.approx(at, abs=1e-13)


def test_beyond_its_ends_a_curve_goes_straight_on():
    ours, smooth = curve.Curve(*TRAVELS), theirs(TRAVELS)
    end, beyond = TRAVELS[0][-1], 0.2
    straight = float(smooth(end)) + beyond * float(smooth(end, 1))
    assert ours.value(end + beyond) == pytest.approx(straight, rel=1e-14)
    assert ours.inverse(straight) == pytest.approx(end + beyond, rel=1e-13)
    assert ours.at(end + beyond).curvature == 0.0
    trapezium = beyond * (float(smooth(end)) + straight) / 2
    whole = float(smooth.integrate(0.0, end)) + trapezium
    assert ours.area(end + beyond) == pytest.approx(whole, rel=1e-14)


def test_many_roots_at_once_are_the_roots_one_by_one():
    targets = np.linspace(0.1, 5.0, 23)
    together = root.bracketed_root(lambda x: np.sinh(x) - targets, 0.0, 4.0 + 0 * targets)
    assert together == pytest.approx(np.array([math.asinh(t) for t in targets]), rel=1e-14)
