"""Energy over whole mechanisms: power balance, work, effort floor.

Source: conservation of work; the terms are derived in docs/theory.md. Here the work is summed up a
second time, from the hand's force over its travel and from what every part stores.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from mechanisms import documents, mechanisms, read
from scipy.integrate import quad

import liftgeo
from liftgeo.chain import position
from liftgeo.chain.energy import power_balance
from liftgeo.outcome.outcome import analysed

FRICTIONS = {
    "lever": ("efficiency",),
    "cable": ("friction", "drag"),
    "arm": ("efficiency",),
    "release": ("friction", "friction_angle", "efficiency", "collar_friction"),
    "spring": ("friction",),
}


def outcome_of(mechanism):
    """Return the arrays behind a result; at a dead centre without any give a force is infinite."""
    outcome = analysed(mechanism)
    with np.errstate(all="ignore"):
        assert outcome.full is not None
        assert outcome.peak is not None
        assert outcome.work_nmm is not None
    return outcome


def without_friction(document):
    """Return the document with everything that rubs taken out."""
    return {
        table: {k: v for k, v in keys.items() if k not in FRICTIONS.get(table, ())}
        if isinstance(keys, dict)
        else keys
        for table, keys in document.items()
    }


@settings(max_examples=70, derandomize=True)
@given(mechanisms(), st.lists(st.floats(0.001, 0.999), min_size=8, max_size=8))
def test_what_the_hand_gives_is_what_the_parts_take(mechanism, shares):
    """At any place of the stroke, and on both sides of its joints."""
    outcome = outcome_of(mechanism)
    end = float(outcome.end.at)
    joints = [0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0]
    at = np.array([s * end for s in shares] + [j for j in joints if j < end])
    p = position(outcome.parts, at, rates=True)
    balance = power_balance(outcome.parts, p)
    hand = np.abs(np.broadcast_to(balance.hand, at.shape))
    # Where the hand's force only just begins, or just balances, the terms still are of some size.
    size = hand + np.abs(balance.spring) + np.abs(balance.cable_elastic) + 1e-3
    assert np.all(np.abs(balance.residual) <= 1e-9 * size)


@settings(max_examples=40, derandomize=True)
@given(documents())
def test_without_friction_the_work_is_what_the_parts_store(document):
    """Closed forms of every store at full lever; the spring's by SciPy's quadrature."""
    outcome = outcome_of(read(without_friction(document)))
    assume(not outcome.end.jumps and np.isfinite(outcome.full.hand_force_n))
    parts, full = outcome.parts, outcome.full
    start, end = float(parts.installed_deflection_mm), float(full.deflection_mm)
    knots = [x for x in document["spring"].get("deflection", []) if start < x < end]
    spring, _ = quad(lambda s: float(parts.spring.load_n(s)), start, end, points=knots or None)
    cushion = parts.faces.cushion_compliance * (parts.clamp_force_n**2 - full.clamp_force_n**2) / 2
    arm = parts.arm
    stored = [
        spring,
        -cushion,
        arm.return_torque_nmm * full.arm_rotation_rad,
        arm.return_rate_nmm_per_rad * full.arm_rotation_rad**2 / 2,
        parts.cable.compliance_mm_per_n * full.tension_n**2 / 2,
        parts.rod.compliance_mm_per_n * full.rod_force_n**2 / 2,
        arm.shaft_compliance_rad_per_nmm * full.unit_torque_nmm**2 / 2,
        parts.lever.compliance_mm_per_n * full.hand_force_n**2 / 2,
    ]
    expected = float(np.sum(stored))
    assert float(outcome.work_nmm) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@settings(max_examples=40, derandomize=True)
@given(mechanisms())
def test_work_is_the_hand_force_summed_over_its_travel(mechanism):
    """Trapezoids between 2000 places of each segment, without a jump."""
    outcome = outcome_of(mechanism)
    # Beside the arm's dead centre the force rises too steeply for trapezoids.
    assume(float(outcome.full.arm_moment_arm_mm) > 5.0)
    end = outcome.end
    total = 0.0
    for low, high in zip([0.0, *end.jumps_to], [*end.jumps_from, float(end.at)], strict=True):
        joints = [j for j in (1.0, 2.0, 3.0, 4.0) if low < j < high]
        for start, stop in itertools.pairwise([low, *joints, high]):
            # Just right of rest, too: there the force steps up to the cable's drag.
            first, last = np.nextafter(start, 9), np.nextafter(stop, 0)
            at = np.concatenate([[start], np.linspace(first, last, 2001)])
            p = position(outcome.parts, at)
            force, travel = np.broadcast_arrays(p.hand_force_n, p.hand_travel_mm)
            total += np.trapezoid(force, travel)
    assert float(outcome.work_nmm) == pytest.approx(total, rel=3e-6, abs=1e-6)


@settings(max_examples=70, derandomize=True)
@given(mechanisms())
def test_floor_is_below_mean_and_mean_below_peak(mechanism):
    result = liftgeo.stroke(mechanism)
    parts = mechanism.parts()
    mean = result.effort.work_j * 1000 / float(parts.lever.hand_travel_mm)
    assert result.effort.floor_n <= mean * (1 + 1e-9) + 1e-9
    assert mean <= result.peak.hand_force_n * (1 + 1e-9) + 1e-9
    assert result.effort.floor_n > 0 or result.full_lever.plate_lift_mm == 0
    if result.effort.floor_n > 0:
        expected = result.peak.hand_force_n / result.effort.floor_n
        assert result.effort.peak_over_floor == pytest.approx(expected, rel=1e-12)
