"""Where links and units stand at a pull or a travel: slopes by differences of the law itself.

No published numbers. The law of every part, travel over rotation, is checked elsewhere; here its
differences, taken by hand, stand against what the part says when asked the other way round.
The rack's own law is written out by hand.
"""

import math

from cases import each_holds, worked_out

from liftgeo.parts import curve, moved_rest, release, triangle

LAW = "The part's own law of travel over rotation, by differences"
BY_HAND = "Pinion on a rack, by hand"

TABLE = ((0.0, 0.15, 0.35, 0.6), (0.0, 1.1, 2.9, 4.4))
TRIANGLE = triangle.Triangle(38.0, 95.0, 90.0, sense=-1)
LINKS = {
    "triangle": TRIANGLE,
    "measured link": triangle.MeasuredLink(curve.Curve(*TABLE)),
    "arm, moved back": moved_rest.LinkMovedBack(TRIANGLE, 0.05),
}
CRANK = release.CrankWithLink(14.0, 60.0, math.radians(-35.0), 3.0, 0.95)
UNITS = {
    "rack": release.Rack(8.0, 0.9),
    "crank with link": CRANK,
    "crank with slot": release.CrankWithSlot(9.0, math.radians(-20.0), 0.95),
    "measured unit": release.MeasuredUnit(curve.Curve(*TABLE), 0.9),
    "crank, moved back": moved_rest.UnitMovedBack(CRANK, 0.05),
}
EFFICIENCY = {"rack": 0.9, "measured unit": 0.9}
AT = 0.27
STEP = 1e-4


def first(law, at=AT):
    """Return the slope of a law, to the fourth power of the step."""
    near, far = (law(at + k * STEP) - law(at - k * STEP) for k in (1, 2))
    return float((8 * near - far) / (12 * STEP))


def _links():
    for name, link in LINKS.items():
        pull = float(link.at(AT).pull_mm)
        arm = first(lambda at, link=link: link.at(at).pull_mm)
        bend = first(lambda at, link=link: link.at(at).moment_arm_mm)
        yield worked_out(LAW, f"{name}, at its pull", "moment arm", "mm", arm,
                         lambda link=link, pull=pull: link.at_pull(pull).moment_arm_mm,
                         close=1e-8)  # fmt: skip
        yield worked_out(LAW, f"{name}, at its pull", "slope of the moment arm", "mm/rad", bend,
                         lambda link=link, pull=pull: link.at_pull(pull).moment_arm_slope_mm,
                         close=1e-7)  # fmt: skip


def _units():
    for name, unit in UNITS.items():
        eta, travel = EFFICIENCY.get(name, 0.95), float(unit.at(AT).travel_mm)
        slope = first(lambda at, unit=unit: unit.at(at).travel_mm)
        bend = first(lambda at, unit=unit: unit.at(at).slope_mm_per_rad)
        yield worked_out(LAW, f"{name}, at its travel", "slope", "mm/rad", slope,
                         lambda unit=unit, travel=travel: unit.at_travel(travel).slope_mm_per_rad,
                         close=1e-8)  # fmt: skip
        yield worked_out(LAW, f"{name}, at its travel", "torque over load", "mm", slope / eta,
                         lambda unit=unit, travel=travel: unit.at_travel(travel).torque_arm_mm,
                         close=1e-8)  # fmt: skip
        yield worked_out(LAW, f"{name}, at its rotation", "torque over load", "mm", slope / eta,
                         lambda unit=unit: unit.at(AT).torque_arm_mm, close=1e-8)  # fmt: skip
        if name != "rack":  # straight: no bend to speak of
            yield worked_out(
                LAW, f"{name}, at its travel", "slope of torque over load", "mm/rad", bend / eta,
                lambda unit=unit, travel=travel: unit.at_travel(travel).torque_arm_rate,
                close=1e-7)  # fmt: skip


def rack():
    return release.Rack(8.0, 0.9)


CASES = (
    *_links(),
    *_units(),
    worked_out(BY_HAND, "rack, 8 mm pinion", "travel at 0.27 rad", "mm", 8.0 * AT,
               lambda: rack().at(AT).travel_mm),
    worked_out(BY_HAND, "rack, 8 mm pinion", "rotation at 2 mm", "rad", 0.25,
               lambda: rack().at_travel(2.0).rotation_rad),
    worked_out(BY_HAND, "rack, 8 mm pinion", "torque over load, letting back", "mm",
               8.0 * (2 - 1 / 0.9), lambda: rack().at(AT, -1).torque_arm_mm),
)  # fmt: skip


test_position = each_holds(CASES)
