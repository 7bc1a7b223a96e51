"""The plane through readings round a rim, and links whose rest has moved back, by other methods.

No published numbers: readings taken off a known plane, and the links' own laws moved by hand.
"""

import math

import numpy as np
import pytest
from cases import each_holds, worked_out
from scipy.optimize import brentq

from liftgeo.parts import moved_rest, release, rim, triangle

KNOWN = "Readings taken off a known plane"
MOVED = "The unmoved law, drawn on below its rest as a straight line by hand"

ARM = triangle.Triangle(38.0, 95.0, 90.0, sense=-1)
CRANK = release.CrankWithLink(14.0, 60.0, math.radians(-35.0), 3.0, 0.95)
ECCENTRIC = release.Eccentric(5.0, math.radians(-40.0), 12.0, 0.1)
SMALL_ROUND = release.Eccentric(5.0, math.radians(-50.0), 2.0, 0.1)
BACK = 0.05
FIVE = (0.0, 50.0, 130.0, 200.0, 290.0)


def off_plane(angles_deg, mean=3.0, tilt=0.12, toward_deg=70.0):
    """Return readings off a plane that is highest, by half its tilt, at an angle."""
    return tuple(mean + tilt / 2 * math.cos(math.radians(a - toward_deg)) for a in angles_deg)


def plane(angles_deg=FIVE, heights=None):
    places = tuple(math.radians(a) for a in angles_deg)
    return rim.rim_plane(off_plane(angles_deg) if heights is None else heights, places)


def arm():
    return moved_rest.LinkMovedBack(ARM, BACK)


def crank():
    return moved_rest.UnitMovedBack(CRANK, BACK)


def eccentric():
    return moved_rest.UnitMovedBack(ECCENTRIC, BACK)


def slope(law, at):
    """Return the slope of a law by differences."""
    return float((law(at + 1e-5) - law(at - 1e-5)) / 2e-5)


ARM_FIRST = slope(lambda at: ARM.at(at).pull_mm, 0.0)
CRANK_FIRST = slope(lambda at: CRANK.at(at).travel_mm, 0.0)
MOVED_PULL = float(ARM_FIRST * BACK + ARM.at(0.15).pull_mm)
MOVED_TRAVEL = float(CRANK_FIRST * BACK + CRANK.at(0.25).travel_mm)

LEVEL = brentq(lambda turn: 2.0 + 5.0 * math.sin(turn - math.radians(50.0)), 0.0, 1.0, xtol=1e-14)
LEVEL_TRAVEL = float(SMALL_ROUND.at(LEVEL).travel_mm)

CASES = (
    worked_out(KNOWN, "five uneven places", "height of the middle", "mm", 3.0,
               lambda: plane().mean_mm),
    worked_out(KNOWN, "five uneven places", "tilt", "mm", 0.12, lambda: plane().tilt_mm),
    worked_out(KNOWN, "five uneven places", "where it is highest", "deg", 70.0,
               lambda: math.degrees(plane().direction_rad)),
    worked_out("By hand", "warped up and down by 0.05 at four places", "residual", "mm", 0.05,
               lambda: plane((0.0, 90.0, 180.0, 270.0), (1.05, 0.95, 1.05, 0.95)).residual_mm),
    worked_out("By hand", "third of four even places", "angle", "deg", 180.0,
               lambda: math.degrees(rim.even_angles_rad(4)[2])),
    worked_out(MOVED, "arm, 0.2 rad on", "pull", "mm", MOVED_PULL, lambda: arm().at(0.2).pull_mm),
    worked_out(MOVED, "arm, still below its old rest", "pull", "mm", ARM_FIRST * 0.03,
               lambda: arm().at(0.03).pull_mm, close=1e-8),
    worked_out(MOVED, "arm", "rotation", "rad", 0.2,
               lambda: arm().at_pull(MOVED_PULL).rotation_rad),
    worked_out(MOVED, "arm", "last rotation", "rad", float(ARM.rest_angle_rad) + BACK,
               lambda: arm().last_rotation_rad),
    worked_out(MOVED, "arm, 0.2 rad on", "moment arm", "mm",
               slope(lambda at: ARM.at(at).pull_mm, 0.15),
               lambda: arm().at(0.2).moment_arm_mm, close=1e-8),
    worked_out(MOVED, "arm, 0.2 rad on", "slope of the moment arm", "mm/rad",
               slope(lambda at: ARM.at(at).moment_arm_mm, 0.15),
               lambda: arm().at(0.2).moment_arm_slope_mm, close=1e-8),
    worked_out(MOVED, "arm, 0.2 rad on", "angle of the cable", "rad",
               float(ARM.cable_angle_rad(0.15)), lambda: arm().cable_angle_rad(0.2)),
    worked_out(MOVED, "arm", "rotation at its measured rest", "rad", BACK,
               lambda: arm().bends_rad[0]),
    worked_out(MOVED, "crank", "rotation at its measured rest", "rad", BACK,
               lambda: crank().bends_rad[0]),
    worked_out(MOVED, "crank, 0.3 rad on", "travel", "mm", MOVED_TRAVEL,
               lambda: crank().at(0.3).travel_mm),
    worked_out(MOVED, "crank", "rotation", "rad", 0.3,
               lambda: crank().at_travel(MOVED_TRAVEL).rotation_rad),
    worked_out(MOVED, "crank", "last rotation", "rad", float(CRANK.last_rotation_rad) + BACK,
               lambda: crank().last_rotation_rad),
    worked_out(MOVED, "crank, 0.3 rad on", "slope", "mm/rad",
               slope(lambda at: CRANK.at(at).travel_mm, 0.25),
               lambda: crank().at(0.3).slope_mm_per_rad, close=1e-8),
    worked_out(MOVED, "crank, 0.3 rad on, pulling", "slope of torque over load", "mm/rad",
               slope(lambda at: CRANK.at(at).slope_mm_per_rad, 0.25) / 0.95,
               lambda: crank().at(0.3).torque_arm_rate, close=1e-7),
    worked_out(MOVED, "crank", "travel at its measured rest", "mm", CRANK_FIRST * BACK,
               lambda: crank().loss_bends_mm[0], close=1e-8),
    worked_out("The radius of contact searched for its zero", "eccentric, round below its axis",
               "travel at which rubbing turns", "mm", LEVEL_TRAVEL,
               lambda: SMALL_ROUND.loss_bends_mm[0]),
    worked_out(MOVED, "eccentric, 0.3 rad on, pulling", "torque over load", "mm",
               5.0 * math.cos(0.25 - math.radians(40.0))
               + 0.1 * (12.0 + 5.0 * math.sin(0.25 - math.radians(40.0))),
               lambda: eccentric().at(0.3, 1).torque_arm_mm),
    worked_out(MOVED, "eccentric, 0.3 rad on, pulling", "slope of torque over load", "mm/rad",
               -5.0 * math.sin(0.25 - math.radians(40.0))
               + 0.1 * 5.0 * math.cos(0.25 - math.radians(40.0)),
               lambda: eccentric().at(0.3, 1).torque_arm_rate),
)  # fmt: skip


test_law = each_holds(CASES)


def test_three_readings_leave_nothing_over():
    assert plane((0.0, 120.0, 240.0), (3.0, 3.2, 3.1)).residual_mm < 1e-12


def test_even_readings_follow_the_sums_of_their_waves():
    """By hand: for even places, b = 2/n sum h cos, c = 2/n sum h sin."""
    heights = (3.0, 3.14, 3.2, 3.11, 2.98, 2.95)
    places = rim.even_angles_rad(6)
    found = rim.rim_plane(heights, places)
    b, c = (2 / 6 * np.dot(heights, wave(np.array(places))) for wave in (np.cos, np.sin))
    assert found.tilt_mm == pytest.approx(2 * math.hypot(b, c), rel=1e-12)
    assert found.direction_rad == pytest.approx(math.atan2(c, b), rel=1e-12)


def test_below_their_old_rest_both_are_straight():
    assert crank().at(0.02).slope_mm_per_rad == pytest.approx(CRANK_FIRST, rel=1e-8)
    assert crank().at(0.02, 1).torque_arm_rate == 0.0
    assert arm().at(0.02).moment_arm_slope_mm == 0.0
    assert arm().dead_centre
    assert crank().dead_centre
    assert not moved_rest.UnitMovedBack(release.Rack(8.0), BACK).dead_centre


@pytest.mark.parametrize("at", [0.01, 0.05, 0.2])
def test_pull_and_rotation_are_each_others_inverse(at):
    assert arm().at_pull(arm().at(at).pull_mm).rotation_rad == pytest.approx(at, rel=1e-10)
    assert crank().at_travel(crank().at(at).travel_mm).rotation_rad == pytest.approx(at, rel=1e-10)
