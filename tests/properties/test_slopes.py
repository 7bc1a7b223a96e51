"""Slopes of every part equal SymPy's derivative of its own law, written out here once more.

Source: the laws are geometry and Almen and Laszlo's load (from memory); derivatives are SymPy's.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import sympy
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from mechanisms import SMOOTH, mechanisms

from liftgeo.chain import Rates, position
from liftgeo.outcome.outcome import analysed
from liftgeo.parts.release import CrankWithLink, CrankWithSlot, Eccentric
from liftgeo.parts.spring import ConedDisc
from liftgeo.parts.triangle import Triangle

CLOSE = {"rel": 1e-10, "abs": 1e-9}


def of(low, high):
    """Return numbers of a range."""
    return st.floats(low, high)


A, R, D, L, H, E, P, SENSE = sympy.symbols("a r d l h e p sense", real=True)


def derived(law, *symbols):
    """Return a law and its first two derivatives over rotation, as functions of numbers."""
    laws = [law, law.diff(A), law.diff(A, 2)]
    return [sympy.lambdify((A, *symbols), each, "math") for each in laws]


TRIANGLE_PULL = SENSE * (sympy.sqrt(R**2 + D**2 + H**2 - 2 * R * D * sympy.cos(P + SENSE * A)) - L)
TRIANGLE = derived(TRIANGLE_PULL, R, D, L, H, P, SENSE)


def slider(psi):
    """Return where the rod stands for a crank's angle from the normal to the rod line."""
    return R * sympy.sin(psi) - sympy.sqrt(L**2 - (R * sympy.cos(psi) - E) ** 2)


CRANK = derived(slider(P + A) - slider(P), R, L, P, E)
SLOT = derived(R * (sympy.sin(P + A) - sympy.sin(P)), R, P)
# cam radius H, friction E with its sign
ECCENTRIC = derived(R * sympy.cos(P + A) + E * (H + R * sympy.sin(P + A)), R, P, H, E)


@settings(max_examples=80, derandomize=True)
@given(of(15, 60), of(1.2, 3), of(0.6, 2.4), of(-20, 20), of(0, 0.5), st.sampled_from([1, -1]))
def test_triangle(radius, ratio, gamma, offset, turn, sense):
    stop = radius * ratio
    length = math.sqrt(radius**2 + stop**2 + offset**2 - 2 * radius * stop * math.cos(gamma))
    link = Triangle(radius, stop, length, offset, sense)
    pull, arm, slope = (f(turn, radius, stop, length, offset, gamma, sense) for f in TRIANGLE)
    assert link.at(turn).pull_mm == pytest.approx(pull, **CLOSE)
    assert link.at(turn).moment_arm_mm == pytest.approx(arm, **CLOSE)
    assert link.at(turn).moment_arm_slope_mm == pytest.approx(slope, **CLOSE)
    assert link.at_pull(link.at(turn).pull_mm).rotation_rad == pytest.approx(turn, abs=1e-8)


def unit_agrees(unit, laws, turn, *numbers):
    """Assert travel, slope, its rate and the inverse of a release unit."""
    travel, slope, rate = (f(turn, *numbers) for f in laws)
    assert unit.at(turn).travel_mm == pytest.approx(travel, **CLOSE)
    assert unit.at(turn).slope_mm_per_rad == pytest.approx(slope, **CLOSE)
    assert unit.at(turn).torque_arm_rate == pytest.approx(rate / unit.efficiency, **CLOSE)
    if turn < unit.last_rotation_rad - 0.05:
        assert unit.at_travel(unit.at(turn).travel_mm).rotation_rad == pytest.approx(turn, abs=1e-9)


@settings(max_examples=80, derandomize=True)
@given(of(3, 15), of(2.2, 6), of(-0.6, 0.5), of(-0.9, 0.9), of(0, 0.8))
def test_crank_with_link(radius, ratio, rest, aside, turn):
    link, offset = radius * ratio, radius * aside
    unit = CrankWithLink(radius, link, rest, offset)
    unit_agrees(unit, CRANK, turn, radius, link, rest, offset)
    # At its last rotation crank and link lie in one line, so the rod stands still.
    assert unit.at(unit.last_rotation_rad).slope_mm_per_rad == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=80, derandomize=True)
@given(of(3, 15), of(-0.6, 0.5), of(0, 0.8), of(0, 15), of(0, 0.2), st.sampled_from([1, -1]))
def test_pin_in_a_slot_and_eccentric(radius, rest, turn, cam, friction, way):
    unit_agrees(CrankWithSlot(radius, rest), SLOT, turn, radius, rest)
    unit = Eccentric(radius, rest, cam, friction)
    unit_agrees(Eccentric(radius, rest, cam), SLOT, turn, radius, rest)
    height = cam + radius * math.sin(
        rest + turn
    )  # of the contact over the axis; below it slides back
    assume(abs(height) > 1e-9)
    slides = math.copysign(way * friction, way * height)
    arm, rate, _ = (f(turn, radius, rest, cam, slides) for f in ECCENTRIC)
    assert unit.at(turn, way).torque_arm_mm == pytest.approx(arm, **CLOSE)
    assert unit.at(turn, way).torque_arm_rate == pytest.approx(rate, **CLOSE)


# Load over deflection A of one disc of outside diameter D, ratio P, thickness L, height H; lever E.
K1 = ((P - 1) / P) ** 2 / ((P + 1) / (P - 1) - 2 / sympy.log(P)) / sympy.pi
EDGE = E * A
DISC = 4 * 206000 / (1 - sympy.Rational(9, 100)) * L * EDGE / (K1 * D**2)
DISC = E * DISC * ((H - EDGE) * (H - EDGE / 2) + L**2)
STORED = sympy.lambdify((A, D, P, L, H, E), sympy.integrate(sympy.expand(DISC), (A, 0, A)), "math")
LOAD = derived(DISC, D, P, L, H, E)


@settings(max_examples=80, derandomize=True)
@given(
    of(80, 180), of(1.2, 1.9), of(1, 2.5), of(0.4, 2.2), of(0.05, 1.9), of(1, 1.3),
    st.sampled_from([1, 2]), st.sampled_from([1, 3]),
)  # fmt: skip
def test_coned_disc(outside, ratio, thickness, steep, share, lever, parallel, series):
    height = thickness * steep
    spring = ConedDisc(
        outside, outside / ratio, thickness, height, 206000.0, 0.3, parallel, series, lever, True
    )
    disc = (outside, ratio, thickness, height, lever)
    one = share * height / lever
    load, rate = LOAD[0](one, *disc), LOAD[1](one, *disc)
    assert spring.load_n(one * series) == pytest.approx(parallel * load, **CLOSE)
    assert spring.rate_n_per_mm(one * series) == pytest.approx(parallel * rate / series, **CLOSE)
    stored = parallel * series * STORED(one, *disc)
    assert spring.energy_nmm(one * series) == pytest.approx(stored, rel=1e-10, abs=1e-6)
    for turning in spring.turning_deflections_mm:
        if steep > math.sqrt(2):
            assert LOAD[1](turning / series, *disc) == pytest.approx(0.0, abs=1e-8 * abs(load))
        else:
            assert np.isnan(turning)


RATES = {
    "lift": "lift_mm",
    "clamp_force": "clamp_force_n",
    "spring_load": "spring_load_n",
    "rod_force": "rod_force_n",
    "rod_travel": "rod_travel_mm",
    "unit_rotation": "unit_rotation_rad",
    "unit_torque": "unit_torque_nmm",
    "arm_rotation": "arm_rotation_rad",
    "tension": "tension_n",
    "cable_pull": "cable_pull_mm",
    "lever_angle": "lever_angle_rad",
    "hand_force": "hand_force_n",
    "hand_travel": "hand_travel_mm",
}


@settings(max_examples=60, derandomize=True)
@given(mechanisms(**SMOOTH), st.lists(of(0.02, 0.98), min_size=3, max_size=3))
def test_rates_of_the_whole_chain_are_its_differences(mechanism, shares):
    """Central differences of fourth order within each segment, so to some 1e-6 of each quantity."""
    outcome = analysed(mechanism)
    end = float(outcome.end.at)
    starts = [0.0, 1.0, 2.0, 3.0, 4.0]
    step = 1e-4
    for start in starts:
        stop = min(start + 1.0, end) if start < 4 else end
        if stop - start < 0.05:
            continue
        for share in shares:
            at = start + 2.5 * step + share * (stop - start - 5 * step)
            clamped = 4.0 - 1 / (1 + float(outcome.parts.spring_friction))
            if abs(at - clamped) < 3 * step:  # where a spring with friction begins to move
                continue
            p = position(outcome.parts, at, rates=True)
            # Near a dead centre nothing is smooth enough for differences.
            if abs(float(p.arm_moment_arm_mm)) < 5 or abs(float(p.lever_moment_arm_mm)) < 5:
                continue
            if float(outcome.parts.release.at(p.unit_rotation_rad).slope_mm_per_rad) < 0.5:
                continue
            near = position(outcome.parts, at + step * np.array([-2, -1, 1, 2]))
            for rate, name in RATES.items():
                f = np.broadcast_to(getattr(near, name), 4)
                slope = (f[0] - 8 * f[1] + 8 * f[2] - f[3]) / (12 * step)
                size = 1 + abs(float(slope)) + abs(float(np.max(np.abs(f))))
                assert float(getattr(p.rates, rate)) == pytest.approx(
                    float(slope), abs=3e-7 * size
                ), (rate, at)


def test_every_rate_is_compared():
    fields = set(Rates._fields)
    assert fields - set(RATES) == {"arm_pull"}  # the wire at the arm: cable pull less the stretch
