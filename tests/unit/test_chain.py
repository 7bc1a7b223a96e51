"""The chain at its joints and between them, by hand sums; a rigid mechanism; parts taken apart."""

from __future__ import annotations

import math

import numpy as np
import pytest
from clutches import COILS, DRUM_ARM, DRUM_LEVER, mechanism

from liftgeo.chain import JOINTS, position, taken

PLAIN = {
    "lever": DRUM_LEVER,
    "cable": {"free_play": 2.0, "bend": 90.0, "friction": 0.1, "drag": 3.0, "stiffness": 300.0},
    "arm": DRUM_ARM | {"return_torque": 0.4, "return_rate": 0.01},
    "release": {"kind": "rack", "pinion_radius": 5.0, "efficiency": 0.8, "max_rotation": None},
    "stack": None,
    "spring": COILS,
    "rod": {"end_float": 0.15, "stiffness": 20000.0, "finger_ratio": 2.0},
}


def plain(**tables):
    """Return drums, a rack and coils: every law a straight line, so hand sums are short."""
    release = {k: v for k, v in PLAIN["release"].items() if v is not None}
    merged = PLAIN | {"release": release}
    for table, keys in tables.items():
        merged[table] = merged.get(table, {}) | keys
    return mechanism(**merged).parts()


def test_each_joint_by_hand():
    """Drum 20 at the lever, 40 at the arm; rack 5; coils 6 × 30 N/mm pressed 8 mm; cushion 0.25.

    Clamp force 1440 N. Worked out here from the plates back to the hand.
    """
    parts = plain()
    gain = math.exp(0.1 * math.pi / 2)
    mean = (gain - 1) / (0.1 * math.pi / 2)
    per_rad = 10.0 * 180 / math.pi  # N·mm/rad of the return spring

    def check(at, turned, rod_n, lift, clamp_n):
        torque = rod_n * 5.0 / 0.8 + 400.0 + per_rad * turned
        tension = torque / 40.0 if at >= 2 else 0.0
        pull = 2.0 + 40.0 * turned + tension * mean / 300.0
        hand = (tension * gain + 3.0) * 20.0 / 80.0
        p = position(parts, at)
        assert float(p.lift_mm) == pytest.approx(lift, abs=1e-12)
        assert float(p.clamp_force_n) == pytest.approx(clamp_n, abs=1e-9)
        assert float(p.rod_force_n) == pytest.approx(rod_n, rel=1e-12, abs=1e-9)
        assert float(p.arm_rotation_rad) == pytest.approx(turned, rel=1e-12, abs=1e-15)
        assert float(p.tension_n) == pytest.approx(tension, rel=1e-12)
        assert float(p.cable_pull_mm) == pytest.approx(pull, rel=1e-12)
        assert float(p.hand_force_n) == pytest.approx(hand, rel=1e-12)
        assert float(p.hand_travel_mm) == pytest.approx(80.0 * pull / 20.0, rel=1e-12)

    check(1.0, 0.0, 0.0, 0.0, 1440.0)  # slack taken up: only the drag is felt
    check(2.0, 0.0, 0.0, 0.0, 1440.0)  # the arm moves
    check(3.0, 0.15 / 5.0, 0.0, 0.0, 1440.0)  # the rod loads
    rod = 180 * 8.25 / 2.0  # faces part: spring at 8.25 mm, fingers 2 to 1
    check(4.0, (0.15 + 2 * 0.25 + rod / 20000.0) / 5.0, rod, 0.25, 0.0)
    rod = 180 * 8.75 / 2.0  # half a millimetre apart
    check(4.5, (0.15 + 2 * 0.75 + rod / 20000.0) / 5.0, rod, 0.75, 0.0)
    rod = (180 * 8.125 - 720) / 2.0  # half the clamp force gone
    check(3.5, (0.15 + 2 * 0.125 + rod / 20000.0) / 5.0, rod, 0.125, 720.0)


def test_letting_back_by_hand():
    """Rack 2 − 1/0.8 = 0.75 of the frictionless torque, cable e^(−μβ), drag the other way."""
    p = position(plain(), 4.5, -1)
    rod = 180 * 8.75 / 2.0
    turned = (0.15 + 2 * 0.75 + rod / 20000.0) / 5.0
    torque = rod * 5.0 * 0.75 + 400.0 + 10.0 * 180 / math.pi * turned
    tension = torque / 40.0
    assert float(p.tension_n) == pytest.approx(tension, rel=1e-12)
    loss = math.exp(-0.1 * math.pi / 2)
    assert float(p.hand_force_n) == pytest.approx((tension * loss - 3.0) / 4.0, rel=1e-12)
    mean = (1 - loss) / (0.1 * math.pi / 2)
    pull = 2.0 + 40.0 * turned + tension * mean / 300.0
    assert float(p.cable_pull_mm) == pytest.approx(pull, rel=1e-12)


def test_a_unit_that_holds_itself_leaves_nothing_at_the_hand():
    """Efficiency 0.4: 2 − 1/0.4 < 0, more than the return spring can turn back."""
    back = position(plain(release={"efficiency": 0.4}), 4.5, -1)
    assert float(back.hand_force_n) == 0.0
    assert float(back.tension_n) == 0.0
    assert float(back.unit_torque_nmm) < 0


def test_a_strong_return_spring_brings_a_sticking_unit_back():
    """2 − 1/0.45 = −0.222: 787.5 N × 5 mm × 0.222 = 875 N·mm, less than the spring's torque."""
    parts = plain(release={"efficiency": 0.45}, arm={"return_torque": 2.0, "return_rate": 0.0})
    back = position(parts, 4.5, -1)
    rod = 180 * 8.75 / 2.0
    expected = (2000.0 + rod * 5.0 * (2 - 1 / 0.45)) / 40.0
    assert float(back.tension_n) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("joint", [1.0, 2.0, 3.0, 4.0])
@pytest.mark.parametrize("way", [1, -1])
def test_segments_join_without_a_step(joint, way):
    for parts in (plain(), mechanism().parts(), plain(spring={"friction": 0.05})):
        before, after = (position(parts, q, way) for q in (joint - 1e-9, joint + 1e-9))
        for name in ("lift_mm", "rod_travel_mm", "arm_rotation_rad", "tension_n", "cable_pull_mm",
                     "hand_travel_mm", "hand_force_n", "rod_force_n"):  # fmt: skip
            if way < 0 and name != "lift_mm" and joint == 1.0:
                continue  # letting back begins with the reversal, at rest as elsewhere
            ours, theirs = float(getattr(before, name)), float(getattr(after, name))
            assert ours == pytest.approx(theirs, rel=1e-5, abs=1e-5), name


def test_rest_is_rest():
    p = position(mechanism().parts(), 0.0)
    for name in ("lift_mm", "rod_force_n", "tension_n", "hand_force_n", "unit_torque_nmm"):
        assert float(getattr(p, name)) == 0.0
    for name in ("hand_travel_mm", "cable_pull_mm", "arm_rotation_rad", "rod_travel_mm"):
        assert float(getattr(p, name)) == pytest.approx(0.0, abs=1e-12)
    assert float(p.clamp_force_n) == pytest.approx(float(mechanism().parts().clamp_force_n))


def test_rigid_faces_take_the_clamp_force_without_lift():
    parts = plain(faces={"cushion_travel": 0.0})
    p = position(parts, np.array([3.25, 3.5, 4.0]))
    assert np.all(p.lift_mm == 0.0)
    assert p.rod_force_n * 2.0 == pytest.approx(1440.0 * np.array([0.25, 0.5, 1.0]), rel=1e-12)
    assert p.clamp_force_n == pytest.approx(1440.0 * np.array([0.75, 0.5, 0.0]), abs=1e-9)


def test_a_spring_with_friction_moves_late():
    """Pulling takes F(1 + f); until the rod has overcome f F nothing moves."""
    parts = plain(spring={"friction": 0.1})
    stuck = position(parts, 3.0 + 0.1 / 1.1 * 0.999)
    assert float(stuck.lift_mm) == 0.0
    assert float(stuck.rod_force_n) * 2 == pytest.approx(1440 * 0.0999, rel=1e-9)
    moving = position(parts, 4.3)
    assert float(moving.rod_force_n) * 2 == pytest.approx(1.1 * 180 * 8.55, rel=1e-12)
    back = position(parts, 4.3, -1)
    assert float(back.rod_force_n) * 2 == pytest.approx(0.9 * 180 * 8.55, rel=1e-12)


def test_a_shaft_winds_up_by_the_torque_of_the_unit():
    """Arm less unit = M / k, with M of the unit alone, the return spring being on the arm."""
    parts = plain(arm={"shaft_stiffness": 40.0})
    p = position(parts, 4.4)
    stiffness = 40.0e3 * 180 / math.pi
    torque = float(p.rod_force_n) * 5.0 / 0.8
    wound = float(p.arm_rotation_rad - p.unit_rotation_rad)
    assert wound == pytest.approx(torque / stiffness, rel=1e-12)


def test_a_blade_bends_at_the_hand_and_leaves_the_lever_where_it_is():
    stiff, soft = plain(), plain(lever={"stiffness": 40.0, "efficiency": 0.9})
    ours, theirs = position(stiff, 4.2), position(soft, 4.2)
    assert float(theirs.lever_angle_rad) == pytest.approx(float(ours.lever_angle_rad), rel=1e-13)
    force = float(ours.hand_force_n) / 0.9
    assert float(theirs.hand_force_n) == pytest.approx(force, rel=1e-12)
    bent = float(theirs.hand_travel_mm - ours.hand_travel_mm)
    assert bent == pytest.approx(force / 40.0, rel=1e-10)


def test_the_signed_lift_counts_what_is_short():
    """Slack and float still to be taken up, as they would be at the plate: (s j/p + y)/i."""
    parts = plain()
    assert float(position(parts, 0.0).signed_lift_mm) == pytest.approx(-(2 * 5 / 40 + 0.15) / 2)
    assert float(position(parts, 1.0).signed_lift_mm) == pytest.approx(-0.15 / 2)
    assert float(position(parts, 2.5).signed_lift_mm) == pytest.approx(-0.15 / 4)
    for at in (3.0, 3.7, 4.5):
        p = position(parts, at)
        assert float(p.signed_lift_mm) == pytest.approx(float(p.lift_mm), abs=1e-15)


def test_some_variants_can_be_taken_from_many():
    many = mechanism().parts({"arm.radius": np.array([36.0, 38.0, 40.0])})
    chosen = taken(many, np.array([True, False, True]), (3,))
    ours = position(chosen, 4.2)
    theirs = position(many, 4.2)
    np.testing.assert_array_equal(ours.hand_force_n, theirs.hand_force_n[[0, 2]])
    assert taken(many, np.array([True] * 3), (3,)).rod.float_mm == many.rod.float_mm


def test_a_column_of_coordinates_meets_a_row_of_variants():
    many = mechanism().parts({"arm.radius": np.array([36.0, 38.0, 40.0])})
    grid = position(many, np.array(JOINTS)[:, None])
    assert grid.hand_travel_mm.shape == (5, 3)
    for k, joint in enumerate(JOINTS):
        row = position(many, joint).hand_travel_mm
        np.testing.assert_allclose(grid.hand_travel_mm[k], row, rtol=1e-14, atol=1e-14)
