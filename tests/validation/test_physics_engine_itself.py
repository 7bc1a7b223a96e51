"""The physics engine's answers against sums done by hand and against plain root finding.

Before the engine may judge anything else it is judged here. Sources: the closed forms are derived
where they stand below; the root finding (class `_ByRoots`) solves the same statics with one
unknown, the rotation of the unit, written down from triangles and levers without the engine. All
mechanisms are invented.
"""

import math
from dataclasses import replace

import coming_to_rest
import plain_mechanism
import pytest
from physics_engine import (
    Drum,
    LinearUnit,
    LinkCrank,
    Mechanism,
    NotSettledError,
    PinTriangle,
    SlotCrank,
    settle,
    settle_at_hand,
)
from plain_mechanism import STOCK
from scipy.optimize import brentq

# The engine's leftover accelerations are near 1e-15 mm or rad; wires some 100 mm long are known to
# 1e-14 mm, a rod's stretch of a tenth of a millimetre so to 1e-13 of itself.
CLOSE = 1e-11

ROUND = Mechanism(
    lever=Drum(20.0),
    hand_radius_mm=75.0,
    cable_slack_mm=2.0,
    cable_stiffness_n_per_mm=200.0,
    arm=Drum(40.0),
    arm_return_torque_nmm=400.0,
    unit=LinearUnit(4.0),
    rod_stiffness_n_per_mm=20_000.0,
    rod_float_mm=0.1,
    spring_preload_n=2_000.0,
    spring_rate_n_per_mm=100.0,
    cushion_travel_mm=0.2,
    cushion_load_n=2_000.0,
)
"""All in proportion: two drums, a linear unit, coil springs."""

MECHANISMS = {
    **plain_mechanism.MECHANISMS,
    "drums": ROUND,
    "bent-spring": replace(
        STOCK, spring_second_n_per_mm2=-180.0, spring_third_n_per_mm3=25.0, finger_ratio=1.3
    ),
}


def _root(function, low, high):
    return brentq(function, low, high, xtol=1e-16, rtol=9e-16, maxiter=300)


class _Wire:
    """Pull and moment arm at a lever (way +1, growing) or an arm (way -1, shrinking)."""

    def __init__(self, end, way):
        self.end, self.way = end, way

    def _length(self, turn):
        end = self.end
        flat = end.rest_length_mm**2 - end.axial_offset_mm**2
        r, d = end.pin_radius_mm, end.stop_distance_mm
        angle = math.acos((r * r + d * d - flat) / (2 * r * d)) + self.way * turn
        x, y = d - r * math.cos(angle), r * math.sin(angle)
        return math.sqrt(x * x + y * y + end.axial_offset_mm**2), d * y

    def pull(self, turn):
        if isinstance(self.end, Drum):
            return self.end.radius_mm * turn
        return self.way * (self._length(turn)[0] - self.end.rest_length_mm)

    def moment_arm(self, turn):
        if isinstance(self.end, Drum):
            return self.end.radius_mm
        length, across = self._length(turn)
        return across / length


class _ByRoots:
    """The same statics with one unknown, the rotation of the unit."""

    def __init__(self, mechanism):
        self.m = mechanism
        self.lever, self.arm = _Wire(mechanism.lever, 1), _Wire(mechanism.arm, -1)

    def unit(self, turn):
        """Return travel and slope of the release unit."""
        unit = self.m.unit
        if isinstance(unit, LinearUnit):
            return unit.lead_mm_per_rad * turn, unit.lead_mm_per_rad
        rest, now = unit.rest_angle_rad, unit.rest_angle_rad + turn
        if isinstance(unit, LinkCrank):
            r, off = unit.crank_radius_mm, unit.offset_mm

            def reach(angle):
                return math.sqrt(unit.link_length_mm**2 - (r * math.cos(angle) - off) ** 2)

            travel = r * math.sin(now) - reach(now) - (r * math.sin(rest) - reach(rest))
            lean = (r * math.cos(now) - off) / reach(now)
            return travel, r * math.cos(now) - lean * r * math.sin(now)
        r = unit.crank_radius_mm if isinstance(unit, SlotCrank) else unit.eccentricity_mm
        return r * (math.sin(now) - math.sin(rest)), r * math.cos(now)

    def clamp(self, lift):
        m = self.m
        if m.cushion_travel_mm == 0:
            return 0.0
        rate = m.cushion_load_n / m.cushion_travel_mm
        return max(0.0, m.spring_preload_n - rate * lift)

    def spring(self, x):
        m = self.m
        bends = (m.spring_second_n_per_mm2 + m.spring_third_n_per_mm3 * x) * x * x
        return m.spring_preload_n + m.spring_rate_n_per_mm * x + bends

    def plate(self, travel):
        """Return lift, rod force and clamp force for a travel of the unit."""
        m, i = self.m, self.m.finger_ratio
        spare = travel - m.rod_float_mm
        if spare <= 0:
            return 0.0, 0.0, m.spring_preload_n
        if m.cushion_travel_mm == 0:
            rod = spare * m.rod_stiffness_n_per_mm
            if i * rod <= m.spring_preload_n:
                return 0.0, rod, m.spring_preload_n - i * rod

        def rod_force(x):
            return (self.spring(x) - self.clamp(x)) / i

        lift = _root(lambda x: i * x + rod_force(x) / m.rod_stiffness_n_per_mm - spare, 0, spare)
        return lift, rod_force(lift), self.clamp(lift)

    def loaded(self, unit_turn):
        """Return arm rotation, tension, and what the plate side says."""
        m = self.m
        travel, slope = self.unit(unit_turn)
        lift, rod, clamp = self.plate(travel)
        torque = rod * slope
        shaft = m.shaft_stiffness_nmm_per_rad
        arm = unit_turn if shaft is None else unit_turn + torque / shaft
        back = m.arm_return_torque_nmm + m.arm_return_rate_nmm_per_rad * arm
        return arm, (torque + back) / self.arm.moment_arm(arm), travel, lift, rod, clamp

    def lever_at(self, hand_travel, tension):
        """Return lever angle and hand force: h = r φ + F/k, F = T p/r."""
        m, radius = self.m, self.m.hand_radius_mm

        def force(angle):
            return tension * self.lever.moment_arm(angle) / radius

        angle = hand_travel / radius
        if m.blade_stiffness_n_per_mm is not None and tension > 0:

            def over(a):
                return radius * a + force(a) / m.blade_stiffness_n_per_mm - hand_travel

            angle = _root(over, -0.3, angle)
        return angle, force(angle)

    def at_hand(self, hand_travel):
        m = self.m

        def over(unit_turn):
            arm, tension, *_ = self.loaded(unit_turn)
            pull = self.lever.pull(self.lever_at(hand_travel, tension)[0])
            stretch = tension / m.cable_stiffness_n_per_mm
            return pull - self.arm.pull(arm) - stretch - m.cable_slack_mm

        if over(0.0) <= 0:
            turn = arm = travel = lift = rod = 0.0
            clamp = m.spring_preload_n
            tension = self.still(hand_travel)
        else:
            turn = _root(over, 0.0, 0.6)
            arm, tension, travel, lift, rod, clamp = self.loaded(turn)
        angle, force = self.lever_at(hand_travel, tension)
        return {
            "hand_travel_mm": hand_travel,
            "lever_angle_rad": angle,
            "cable_pull_mm": self.lever.pull(angle),
            "cable_taken_at_arm_mm": self.arm.pull(arm),
            "arm_rotation_rad": arm,
            "unit_rotation_rad": turn,
            "rod_travel_mm": travel,
            "plate_lift_mm": lift,
            "cable_tension_n": tension,
            "rod_force_n": rod,
            "clamp_force_n": clamp,
            "hand_force_n": force,
        }

    def still(self, hand_travel):
        """Return the tension with the arm on its rest stop."""
        m = self.m

        def over(tension):
            pull = self.lever.pull(self.lever_at(hand_travel, tension)[0])
            return pull - tension / m.cable_stiffness_n_per_mm - m.cable_slack_mm

        return 0.0 if over(0.0) <= 0 else _root(over, 0.0, 1e4)


def stage(settled):
    """Return how far the stroke has come."""
    if settled.cable_tension_n == 0.0:
        return "slack"
    if settled.arm_rotation_rad == 0.0:
        return "arm still"
    if settled.rod_force_n == 0.0:
        return "rod free"
    return "clamped" if settled.clamp_force_n > 0.0 else "parted"


def off_by(settled, wanted):
    """Return the largest relative deviation, in units of 1 or of the value if that is larger."""
    return max(
        abs(getattr(settled, name) - value) / max(1.0, abs(value)) for name, value in wanted.items()
    )


# --- closed forms, by hand -------------------------------------------------------------------
#
# ROUND, with pull s = 20 φ: slack to s = 2; the return torque needs T = 400/40 = 10 N, so the arm
# moves from s = 2 + 10/200 = 2.05 at s = 2.05 + 40 θ until y = 4 θ = 0.1 takes up the float. Then
# T = (4 R + 400)/40 = R/10 + 10 and θ = y/4, so s = 10 y + R/2000 + 2.05.
# Clamped: R = 2000 + 100 x − (2000 − 10000 x) = 10100 x;  y = R/10100 + R/20000 + 0.1.
# Parted (x above 0.2): x = (R − 2000)/100;                 y = x + R/20000 + 0.1.


def test_inside_the_slack_nothing_is_loaded():
    found = settle(ROUND, 0.08)
    assert found.cable_pull_mm == pytest.approx(1.6, rel=CLOSE)
    assert found.clamp_force_n == pytest.approx(2_000.0, rel=CLOSE)
    assert stage(found) == "slack"
    for name in ("arm_rotation_rad", "rod_travel_mm", "plate_lift_mm", "hand_force_n"):
        assert getattr(found, name) == pytest.approx(0.0, abs=CLOSE), name


def test_cable_stretches_while_the_return_torque_holds_the_arm():
    found = settle(ROUND, 0.1015)
    assert found.cable_tension_n == pytest.approx((2.03 - 2.0) * 200.0, rel=1e-10)
    assert found.hand_force_n == pytest.approx(6.0 * 20.0 / 75.0, rel=1e-10)
    assert stage(found) == "arm still"


def test_arm_turns_through_the_end_float():
    found = settle(ROUND, 0.12)
    assert found.cable_tension_n == pytest.approx(10.0, rel=CLOSE)
    assert found.arm_rotation_rad == pytest.approx((2.4 - 2.05) / 40.0, rel=CLOSE)
    assert found.rod_travel_mm == pytest.approx(4.0 * 0.35 / 40.0, rel=CLOSE)
    assert stage(found) == "rod free"


def test_faces_still_touch():
    found = settle(ROUND, 0.2)
    rod = (4.0 - 3.05) / (10 / 10_100 + 10 / 20_000 + 1 / 2_000)
    assert found.rod_force_n == pytest.approx(rod, rel=CLOSE)
    assert found.plate_lift_mm == pytest.approx(rod / 10_100, rel=CLOSE)
    assert found.clamp_force_n == pytest.approx(2_000.0 - 10_000.0 * rod / 10_100, rel=CLOSE)
    assert found.cable_tension_n == pytest.approx(rod / 10 + 10, rel=CLOSE)
    assert found.hand_force_n == pytest.approx((rod / 10 + 10) * 20.0 / 75.0, rel=CLOSE)
    assert stage(found) == "clamped"


def test_faces_have_parted():
    found = settle(ROUND, 0.5)
    rod = (10.0 + 200.0 - 1.0 - 2.05) / (10 / 100 + 10 / 20_000 + 1 / 2_000)
    assert found.rod_force_n == pytest.approx(rod, rel=CLOSE)
    assert found.plate_lift_mm == pytest.approx((rod - 2_000.0) / 100.0, rel=CLOSE)
    assert found.cable_tension_n == pytest.approx(rod / 10 + 10, rel=CLOSE)
    assert stage(found) == "parted"


def test_rigid_faces_stay_where_they_are_until_the_clamp_force_is_gone():
    """Without a cushion x = 0 and y = R/20000 + 0.1: R = (s − 3.05)/(10/20000 + 1/2000)."""
    found = settle(replace(ROUND, cushion_travel_mm=0.0), 0.2)
    assert found.rod_force_n == pytest.approx(950.0, rel=CLOSE)
    assert found.clamp_force_n == pytest.approx(1_050.0, rel=CLOSE)
    assert found.plate_lift_mm == pytest.approx(0.0, abs=CLOSE)


def test_drum_has_no_end_in_ordinary_use():
    """A drum of 10 mm turned by 80° draws 10 · 80 π/180 mm; the arm's drum of 40 mm lets it go."""
    wide = replace(ROUND, lever=Drum(10.0), rod_float_mm=100.0)
    found = settle(wide, math.radians(80.0))
    assert found.cable_pull_mm == pytest.approx(10.0 * math.radians(80.0), rel=CLOSE)
    turned = (10.0 * math.radians(80.0) - 2.05) / 40.0
    assert found.arm_rotation_rad == pytest.approx(turned, rel=CLOSE)
    small_arm = replace(wide, lever=Drum(40.0), arm=Drum(20.0))
    found = settle(small_arm, math.radians(60.0))
    turned = (40.0 * math.radians(60.0) - 2.0 - 20.0 / 200.0) / 20.0
    assert found.arm_rotation_rad == pytest.approx(turned, rel=CLOSE)


def test_right_angled_lever_pulls_at_24_mm():
    """Pin at 30 mm, stop at 40 mm: at a right angle the wire is 50 mm long, 24 mm off the pivot."""
    before = 0.1
    rest = math.sqrt(30.0**2 + 40.0**2 - 2 * 30.0 * 40.0 * math.sin(before))
    lever = PinTriangle(30.0, 40.0, rest)
    held = replace(ROUND, lever=lever, cable_slack_mm=1.0, arm_return_torque_nmm=1e5)
    found = settle(held, before)
    tension = 200.0 * (50.0 - rest - 1.0)
    assert found.cable_pull_mm == pytest.approx(50.0 - rest, rel=CLOSE)
    assert found.cable_tension_n == pytest.approx(tension, rel=CLOSE)
    assert found.hand_force_n == pytest.approx(tension * 24.0 / 75.0, rel=CLOSE)


def test_link_crank_turned_by_a_right_angle():
    """Crank 6 mm, link 10 mm: turned by a right angle, the rod end goes from −8 mm to −4 mm."""
    straight = LinkCrank(6.0, 10.0, 0.0)
    loose = replace(ROUND, arm=Drum(10.0), unit=straight, rod_float_mm=100.0)
    arm_moves_from = 2.0 + 400.0 / 10.0 / 200.0
    found = settle(loose, (arm_moves_from + 10.0 * math.pi / 2) / 20.0)
    assert found.arm_rotation_rad == pytest.approx(math.pi / 2, rel=CLOSE)
    assert found.rod_travel_mm == pytest.approx(4.0, rel=CLOSE)


def test_blade_bends_by_force_over_stiffness():
    """Hand travel is r φ + F/k: with the hand F/k further on, all stands as with a rigid blade."""
    rigid = settle(STOCK, 0.3)
    stiffness = 60.0
    bent = replace(STOCK, blade_stiffness_n_per_mm=stiffness)
    found = settle_at_hand(bent, 75.0 * 0.3 + rigid.hand_force_n / stiffness)
    assert found.lever_angle_rad == pytest.approx(0.3, rel=CLOSE)
    assert found.hand_force_n == pytest.approx(rigid.hand_force_n, rel=1e-10)
    assert found.plate_lift_mm == pytest.approx(rigid.plate_lift_mm, rel=1e-10)


# --- root finding ----------------------------------------------------------------------------


@pytest.mark.parametrize("name", MECHANISMS)
def test_engine_and_root_finding_agree_all_through_the_stroke(name):
    mechanism = MECHANISMS[name]
    stages = set()
    for hand_travel in (1.5, 7.5, 14.0, 24.0, 36.0):
        found = settle_at_hand(mechanism, hand_travel)
        wanted = _ByRoots(mechanism).at_hand(hand_travel)
        for quantity, value in wanted.items():
            expected = pytest.approx(value, rel=CLOSE, abs=CLOSE)
            assert getattr(found, quantity) == expected, (quantity, hand_travel)
        assert found.leftover < CLOSE
        stages.add(stage(found))
    assert {"slack", "clamped"} <= stages
    # The fingers halve and more what the long cushion asks for: those never part here.
    assert ("parted" in stages) == (mechanism.finger_ratio < 2.0 or not mechanism.cushion_travel_mm)


def test_held_by_lever_or_by_hand_is_the_same_with_a_rigid_blade():
    by_hand = settle_at_hand(STOCK, 75.0 * 0.35)
    by_lever = settle(STOCK, 0.35)
    assert off_by(by_lever, vars(by_hand)) < CLOSE


@pytest.mark.parametrize(
    "change",
    [
        {"lever": PinTriangle(26.0 * 1.001, 42.0, 44.0)},
        {"arm": PinTriangle(38.0 * 1.001, 95.0, 90.0)},
        {"cable_stiffness_n_per_mm": 240.24},
        {"unit": LinearUnit(16.0 * math.tan(math.radians(14.0)) * 1.001)},
        {"rod_stiffness_n_per_mm": 25_025.0},
        {"rod_float_mm": 0.12012},
        {"finger_ratio": 1.001},
        {"spring_rate_n_per_mm": 200.2},
        {"arm_return_torque_nmm": 300.3},
        {"cable_slack_mm": 2.2022},
        {"cushion_load_n": 3_003.0},
    ],
    ids=lambda change: next(iter(change)),
)
def test_a_thousandth_more_of_anything_shows(change):
    travel = 24.0 if "cushion_load_n" in change else 36.0
    wanted = _ByRoots(replace(STOCK, **change)).at_hand(travel)
    assert off_by(settle_at_hand(STOCK, travel), wanted) > 1e3 * CLOSE


def test_lever_angle_of_a_flexible_blade_is_refused():
    with pytest.raises(ValueError, match="settle_at_hand"):
        settle(MECHANISMS["flexible-blade"], 0.3)


def test_motion_that_does_not_die_out_gives_no_answer(monkeypatch):
    monkeypatch.setattr(coming_to_rest, "SETTLE_STEPS", coming_to_rest.RAMP_STEPS)
    with pytest.raises(NotSettledError, match="Still moving"):
        settle(STOCK, 0.3)
