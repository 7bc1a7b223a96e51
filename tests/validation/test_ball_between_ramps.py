"""A ball that rolls between two ramped plates, and what it takes to turn one of them.

Source: worked out here. Unrolled at the ball circle, one plate moves along, the other up. At each
contact the ball's rim moves as the plate does: four equations for the ball's two speeds, its spin
and the plate's lift, solved in small steps. The forces on a ball that only rolls are two, so they
lie on the line between its contacts; a seated ball is a block on an incline with friction.
"""

import math

import numpy as np
import pytest
from cases import each_holds, worked_out

from liftgeo.parts import cable, release

ROLLING = "Ball rolling without slip between two planes, contact by contact"
TWO_FORCES = "Equilibrium of a ball under two contact forces"
BLOCK = "Equilibrium of a block on an incline with friction"
UP, DOWN = cable.PULLING, cable.BACK
RADIUS, BALL = 16.0, 4.0  # circle of the balls, and a ball [mm]


def normals(near_rad: float, far_rad: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the directions from each contact into the ball: (along, up)."""
    near = np.array([math.sin(near_rad), math.cos(near_rad)])  # the driven plate, below
    far = np.array([-math.sin(far_rad), -math.cos(far_rad)])
    return near, far


def rolled_lift(near_rad: float, far_rad: float, along_mm: float, steps: int = 50) -> float:
    """Return the lift when the driven plate has moved along, in small steps."""
    lift = 0.0
    for _ in range(steps):
        equations, known = [], []
        for normal, moves in zip(normals(near_rad, far_rad), (True, False), strict=True):
            across = -BALL * normal  # from the ball's middle to the contact
            # Ball: (v_along, v_up) + spin × across; plate: (along, 0) or (0, lift).
            equations.append([1.0, 0.0, -across[1], 0.0])
            known.append(along_mm / steps if moves else 0.0)
            equations.append([0.0, 1.0, across[0], 0.0 if moves else -1.0])
            known.append(0.0)
        lift += float(np.linalg.solve(np.array(equations), np.array(known))[3])
    return lift


def line_of_contacts_rad(near_rad: float, far_rad: float) -> float:
    """Return how far the line between the two contacts leans from the axis [rad]."""
    near, far = normals(near_rad, far_rad)
    line = BALL * near - BALL * far
    return math.atan2(line[0], line[1])


def slip_angle_rad(near_rad: float, far_rad: float) -> float:
    """Return the angle between that line and a contact's normal."""
    near, far = normals(near_rad, far_rad)
    line = near - far
    return math.acos(min(1.0, float(line @ near) / math.hypot(*line)))


def push_over_load(slope_rad: float, friction_rad: float, way: int) -> float:
    """Return the push that moves a block of weight 1 up (or lets it down) an incline."""
    normal = np.array([-math.sin(slope_rad), math.cos(slope_rad)])
    down = np.array([-math.cos(slope_rad), -math.sin(slope_rad)])
    contact = normal + way * math.tan(friction_rad) * down
    return float(-contact[0] / contact[1])


def ramp(near: float, far: float, friction: float = 0.0, *, rolling: bool = True):
    angles = (math.radians(a) for a in (near, far, friction))
    return release.BallRamp(RADIUS, *angles, rolling=rolling)


TURN = 0.35
PAIRS = ((14.0, 14.0), (20.0, 0.0), (30.0, 0.0), (18.0, 10.0))


def _rows(near: float, far: float):
    name = f"ramps {near:g}° and {far:g}°, ball circle {RADIUS:g} mm"
    a, b = math.radians(near), math.radians(far)
    lift = rolled_lift(a, b, RADIUS * TURN)
    yield worked_out(ROLLING, name, f"lift after {TURN} rad", "mm", lift,
                     lambda: ramp(near, far).at(TURN).travel_mm)  # fmt: skip
    yield worked_out(ROLLING, name, f"turn to lift {lift:.3f} mm", "rad", TURN,
                     lambda: ramp(near, far).at_travel(lift).rotation_rad)  # fmt: skip
    yield worked_out(ROLLING, name, "lift per radian", "mm/rad", lift / TURN,
                     lambda: ramp(near, far).at(TURN).slope_mm_per_rad)  # fmt: skip
    yield worked_out(TWO_FORCES, name, "torque over load", "mm",
                     RADIUS * math.tan(line_of_contacts_rad(a, b)),
                     lambda: ramp(near, far).at(TURN, UP).torque_arm_mm)  # fmt: skip
    if near != far:
        yield worked_out(TWO_FORCES, name, "friction that keeps the ball rolling", "",
                         math.tan(slip_angle_rad(a, b)),
                         lambda: ramp(near, far).friction_to_roll)  # fmt: skip


CASES = (
    *(row for pair in PAIRS for row in _rows(*pair)),
    *(
        worked_out(
            BLOCK,
            f"seated ball, slope 17°, friction angle 3°, {word}",
            "torque over load",
            "mm",
            RADIUS * push_over_load(math.radians(17.0), math.radians(3.0), way),
            lambda way=way: ramp(17.0, 11.0, 3.0, rolling=False).at(0.1, way).torque_arm_mm,
        )
        for way, word in ((UP, "pulling"), (DOWN, "letting back"))
    ),
    worked_out(
        BLOCK,
        "seated ball, slope 17°",
        f"lift after {TURN} rad",
        "mm",
        RADIUS * TURN * math.sin(math.radians(17.0)) / math.cos(math.radians(17.0)),
        lambda: ramp(17.0, 11.0, rolling=False).at(TURN).travel_mm,
    ),
    worked_out(
        BLOCK,
        "ramps 14° and 14°, friction angle 1°, 2 kN",
        "torque",
        "N·mm",
        2000.0 * RADIUS * push_over_load(math.radians(14.0), math.radians(1.0), UP),
        lambda: 2000.0 * ramp(14.0, 14.0, 1.0).at(0.1, UP).torque_arm_mm,
    ),
)


test_ball = each_holds(CASES)


@pytest.mark.parametrize("angle", [5.0, 15.0, 30.0])
def test_a_flat_far_plate_gives_less_than_half_a_ramp(angle):
    """The rule of thumb "half the lift" is too much by the square of the angle."""
    rolled = rolled_lift(math.radians(angle), 0.0, 1.0)
    half = rolled_lift(math.radians(angle), math.radians(angle), 1.0) / 2
    assert half / rolled - 1 == pytest.approx(
        math.tan(math.radians(angle) / 2) ** 2 / (1 - math.tan(math.radians(angle) / 2) ** 2),
        rel=1e-9,
    )
    assert ramp(angle, 0.0).at(1.0 / RADIUS).travel_mm < half


def test_the_size_of_the_ball_does_not_matter(monkeypatch):
    before = rolled_lift(0.3, 0.1, 5.0)
    monkeypatch.setitem(globals(), "BALL", 9.0)
    assert rolled_lift(0.3, 0.1, 5.0) == pytest.approx(before, rel=1e-12)
