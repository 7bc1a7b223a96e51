"""A hand that pulls on past an early stop: held to the closed form of drums, worked by hand.

A drum of radius r under a hand at R: pull s = r h/R, so that what is left of the hand's travel,
H - h, stretches a cable of stiffness k by r (H - h)/R, and adds k times that to its tension. A
blade that bends by F/K takes F/K of the hand's travel with it, F = T r/R.
"""

from __future__ import annotations

import numpy as np
import pytest
from clutches import DRUM_LEVER, mechanism

import liftgeo
from liftgeo.outcome.outcome import analysed

R, H, RADIUS, K = 80.0, 45.0, 20.0, 150.0
CABLE = {"cable.stiffness": K, "cable.friction": 0.0, "cable.drag": 0.0}


def early(rotation_deg, **keys):
    laid = {**CABLE, "arm.max_rotation": rotation_deg, **keys}
    return analysed(mechanism(lever=DRUM_LEVER).changed(laid))


def test_what_is_left_of_the_travel_stretches_the_cable():
    outcome = early(8.0)
    full = outcome.full
    left = H - float(full.hand_travel_mm)
    assert 2.0 < left < 20.0
    tension = float(full.hand_tension_n) + K * RADIUS * left / R
    assert float(outcome.clutch_end.tension_at_grip_n) == pytest.approx(tension, rel=1e-9)
    assert float(outcome.clutch_end.panic_tension_n) == pytest.approx(
        max(tension, float(outcome.clutch_end.greatest_tension_n)), rel=1e-9
    )


def test_a_blade_that_bends_takes_its_share():
    stiffness = 40.0
    outcome = early(8.0, **{"lever.stiffness": stiffness})
    full = outcome.full
    # h = R phi + T r/(R K), with T = T0 + k r (phi - phi0): solved for what T must add.
    bends = RADIUS / (R * stiffness)
    left = H - float(full.hand_travel_mm)
    more = left / (R / (K * RADIUS) + bends)
    tension = float(full.hand_tension_n) + more
    assert float(outcome.clutch_end.tension_at_grip_n) == pytest.approx(tension, rel=1e-9)


def test_friction_of_the_bends_lets_the_hand_put_more_on_the_cable():
    """By hand: the mean tension that stretches is T (1 - exp(-x))/x, with x = friction x bend."""
    outcome = early(8.0, **{"cable.friction": 0.1, "cable.bend": 180})
    full, x = outcome.full, 0.1 * np.pi
    left = H - float(full.hand_travel_mm)
    tension = float(full.hand_tension_n) + K * RADIUS * left / R * x / (1 - np.exp(-x))
    assert float(outcome.clutch_end.tension_at_grip_n) == pytest.approx(tension, rel=1e-9)


def test_the_full_force_is_never_passed():
    outcome = early(2.0, **{"cable.stiffness": 5000})
    forced = 450 * R / RADIUS
    assert float(outcome.clutch_end.forced_tension_n) == pytest.approx(forced, rel=1e-12)
    assert np.isnan(outcome.clutch_end.tension_at_grip_n)
    assert float(outcome.clutch_end.panic_tension_n) == pytest.approx(forced, rel=1e-12)


def test_the_nearer_the_grip_the_less_a_hand_can_add_down_to_nothing():
    turns = np.linspace(3.0, 20.0, 200)
    base = mechanism(lever=DRUM_LEVER).changed(CABLE)
    many = analysed(base, {"arm.max_rotation": turns})
    tension = np.broadcast_to(many.clutch_end.panic_tension_n, turns.shape)
    early = np.broadcast_to(many.end.limit, turns.shape) != 0
    assert early.any()
    assert (~early).any()
    assert np.all(np.diff(tension[early]) < 0)
    assert tension[early][-1] == pytest.approx(tension[~early][0], rel=0.05)
    alone = [
        float(analysed(base.changed({"arm.max_rotation": t})).clutch_end.panic_tension_n)
        for t in turns[::40]
    ]
    assert tension[::40] == pytest.approx(alone, rel=1e-12)


def test_a_stop_just_short_of_the_grip_raises_nothing_and_one_far_short_does():
    weak = mechanism(lever=DRUM_LEVER).changed({**CABLE, "cable.breaking_load": 700})

    def warned(rotation):
        result = liftgeo.stroke(weak.changed({"arm.max_rotation": rotation}))
        return [w.severity for w in result.warnings if w.key == "cable-strength"]

    ends = early(30.0)
    grip = float(np.degrees(ends.full.arm_rotation_rad))
    assert warned(grip + 0.05) == warned(grip - 0.05)
    assert warned(grip / 3) == ["stop"]
