"""Faces that rub in places, oil between them, a rod that buckles, readings round a rim.

Source: worked out here by numerical integration, by the eigenvalues of a column cut into pieces,
and from planes of known tilt. The limits of facing pressure: R. C. Juvinall, K. M. Marshek,
Fundamentals of Machine Component Design, ch. 18 (read in a scanned excerpt; that it is theirs is
from memory), and M. J. Neale, The Tribology Handbook, Table 7.4 (read).
"""

import math

import numpy as np
import pytest
from cases import in_order, printed, worked_out
from scipy.integrate import quad
from scipy.linalg import eigh_tridiagonal

from liftgeo.parts import column, drag, faces, facing, moved_rest, release, rim, triangle

RINGS = "Overlap of two faces, summed over the ring (SciPy)"
SHEAR = "Shear of an oil film, summed ring by ring (SciPy)"
PIECES = "Column cut into 2000 pieces, lowest eigenvalue"
PLANE = "A plane of known tilt"
STRAIGHT = "A straight line below the measured rest"
JUVINALL = "Juvinall & Marshek, Fundamentals of Machine Component Design, ch. 18"
NEALE = "Neale, The Tribology Handbook, Table 7.4"
OUTSIDE, INSIDE = 118.0, 84.0


def summed_overlap(approach: float, tilt: float) -> float:
    """Return the overlap times radius, summed over the ring where there is any [mm4]."""
    slope = tilt / (OUTSIDE / 2)

    def round_circle(r: float) -> float:
        reach = approach / (slope * r)
        first = math.acos(reach) if abs(reach) < 1 else (0.0 if reach > 0 else math.pi)
        return 2 * quad(lambda f: (approach - slope * r * math.cos(f)) * r * r, first, math.pi)[0]

    kink = abs(approach) / slope
    points = [kink] if INSIDE / 2 < kink < OUTSIDE / 2 else None
    return quad(round_circle, INSIDE / 2, OUTSIDE / 2, points=points, epsabs=0, epsrel=1e-11)[0]


OVERLAPS = {
    "touching over part of the ring": (-0.04, 0.1),
    "parted over part of the ring": (0.06, 0.1),
    "touching everywhere": (0.12, 0.1),
}

PACK = faces.Faces(1, 2, OUTSIDE, INSIDE, 0.3, 0.25, 3000.0, 0.3, 0.1, 0.0)


def rubbing_torque(clamp_n: float, separation_mm: float) -> float:
    """Return the torque of two faces, each on half the cushion, tilted by half the gap needed."""
    soft = 0.25 / 3000.0 / 2
    area = quad(lambda r: 2 * math.pi * r, INSIDE / 2, OUTSIDE / 2)[0]
    stiff = 1 / (soft * area)  # pressure for each mm of overlap
    return 0.3 * 2 * stiff * summed_overlap(soft * clamp_n - separation_mm / 2, 0.3 / 2)


def film_torque() -> float:
    """Return the torque of 100 mPa s at 300 rev/min in four gaps of 0.15 mm [N mm]."""
    speed = 300 * math.pi / 30
    ring = quad(lambda r: 100e-9 * speed * r / 0.15 * r * 2 * math.pi * r, INSIDE / 2, OUTSIDE / 2)
    return 4 * ring[0]


def column_load(length: float, stiffness: float, pieces: int = 2000) -> float:
    """Return the least load at which a pinned column bows: E I w'' + P w = 0, in differences."""
    step = length / pieces
    diagonal = np.full(pieces - 1, 2 / step**2)
    beside = np.full(pieces - 2, -1 / step**2)
    lowest = eigh_tridiagonal(diagonal, beside, select="i", select_range=(0, 0))[0][0]
    return float(stiffness * lowest)


ROUND = math.pi / 64 * 6.0**4
ANGLES = (0.1, 1.2, 2.9, 4.4)
HEIGHTS = tuple(0.9 + 0.12 * math.cos(a - 0.7) for a in ANGLES)
BACK = 0.05
LINK = moved_rest.LinkMovedBack(triangle.Triangle(38.0, 95.0, 90.0, 0.0, -1), BACK)
UNIT = moved_rest.UnitMovedBack(release.CrankWithSlot(6.0, -0.2), BACK)


def arm_pull(turn: float) -> float:
    """Return the pull of the arm beyond its measured rest, by points."""
    rest = math.acos((38.0**2 + 95.0**2 - 90.0**2) / (2 * 38.0 * 95.0))
    pin = [38.0 * math.cos(rest - turn), 38.0 * math.sin(rest - turn)]
    return 90.0 - math.hypot(95.0 - pin[0], pin[1])


def arm_moment(turn: float, step: float = 1e-4) -> float:
    return (8 * (arm_pull(turn + step) - arm_pull(turn - step))
            - arm_pull(turn + 2 * step) + arm_pull(turn - 2 * step)) / (12 * step)  # fmt: skip


def arm_moment_slope(turn: float, step: float = 1e-3) -> float:
    return (arm_moment(turn + step) - arm_moment(turn - step)) / (2 * step)


def slot_travel(turn: float) -> float:
    return 6.0 * (math.sin(turn - 0.2) - math.sin(-0.2))


PAST = 0.3
BEFORE = 0.03

CASES = (
    *(worked_out(RINGS, f"{word}: {approach} mm nearer, tilt {tilt} mm", "overlap × radius",
                 "mm⁴", summed_overlap(approach, tilt),
                 lambda a=approach, t=tilt: float(drag.overlap_moment_mm4(a, t, OUTSIDE, INSIDE)))
      for word, (approach, tilt) in OVERLAPS.items()),
    worked_out(RINGS, "0.1 mm parted of 0.3 mm needed, cushion 0.25 mm at 3 kN", "torque left",
               "N·mm", rubbing_torque(0.0, 0.1),
               lambda: float(drag.drag_torque_nmm(PACK, 0.0, 0.1))),
    worked_out(RINGS, "400 N of clamp force left, tilted", "torque left", "N·mm",
               rubbing_torque(400.0, 0.0), lambda: float(drag.drag_torque_nmm(PACK, 400.0, 0.0))),
    worked_out(SHEAR, "100 mPa·s, 300 rev/min, four gaps of 0.15 mm", "torque", "N·mm",
               film_torque(),
               lambda: float(drag.oil_film_torque_nmm(100.0, 300.0, 0.15, OUTSIDE, INSIDE, 4))),
    worked_out(PIECES, "steel rod of 6 mm, 240 mm long", "buckling load", "N",
               column_load(240.0, 206_000.0 * ROUND),
               lambda: column.rod_buckling_load_n(240.0, 6.0), close=5e-7,
               note="The cut costs 2e-7 of the value."),
    worked_out(PIECES, "E I = 1e7 N·mm², 300 mm long", "buckling load", "N",
               column_load(300.0, 1e7),
               lambda: column.buckling_load_n(300.0, 1e5, 100.0), close=5e-7,
               note="The cut costs 2e-7 of the value."),
    worked_out(PLANE, "four readings of a rim 0.24 mm out of square", "middle", "mm", 0.9,
               lambda: rim.rim_plane(HEIGHTS, ANGLES).mean_mm),
    worked_out(PLANE, "four readings of a rim 0.24 mm out of square", "tilt", "mm", 0.24,
               lambda: rim.rim_plane(HEIGHTS, ANGLES).tilt_mm),
    worked_out(PLANE, "four readings of a rim 0.24 mm out of square", "direction", "rad", 0.7,
               lambda: rim.rim_plane(HEIGHTS, ANGLES).direction_rad),
    worked_out(PLANE, "readings ±0.01 off a plane in turn", "greatest distance", "mm", 0.01,
               lambda: rim.rim_plane((0.51, 0.49, 0.51, 0.49), rim.even_angles_rad(4))
               .residual_mm),
    worked_out(PLANE, "five readings evenly round", "the third of them", "rad", 4 * math.pi / 5,
               lambda: rim.even_angles_rad(5)[2]),
    worked_out(STRAIGHT, "arm 0.05 rad behind its rest", "pull after 0.3 rad", "mm",
               BACK * arm_moment(0.0) + arm_pull(PAST - BACK), lambda: LINK.pull_mm(PAST)),
    worked_out(STRAIGHT, "arm 0.05 rad behind its rest", "pull after 0.03 rad", "mm",
               BEFORE * arm_moment(0.0), lambda: LINK.pull_mm(BEFORE)),
    worked_out(STRAIGHT, "arm 0.05 rad behind its rest", "turn back again", "rad", PAST,
               lambda: LINK.rotation_rad(BACK * arm_moment(0.0) + arm_pull(PAST - BACK))),
    worked_out(STRAIGHT, "arm 0.05 rad behind its rest", "moment arm", "mm",
               arm_moment(PAST - BACK), lambda: LINK.moment_arm_mm(PAST)),
    worked_out(STRAIGHT, "arm 0.05 rad behind its rest", "slope of the moment arm", "mm/rad",
               arm_moment_slope(PAST - BACK), lambda: LINK.moment_arm_slope_mm(PAST),
               close=1e-5, note="Differences of differences: five digits."),
    worked_out(STRAIGHT, "arm 0.05 rad behind its rest", "turn to dead centre", "rad",
               BACK + math.acos((38.0**2 + 95.0**2 - 90.0**2) / (2 * 38.0 * 95.0)),
               lambda: LINK.last_rotation_rad),
    worked_out(STRAIGHT, "arm 0.05 rad behind its rest", "cable to arm at the rest", "rad",
               math.acos((38.0**2 + 90.0**2 - 95.0**2) / (2 * 38.0 * 90.0)),
               lambda: LINK.cable_angle_rad(BACK)),
    worked_out(STRAIGHT, "slotted crank 0.05 rad behind", "travel after 0.3 rad", "mm",
               BACK * 6.0 * math.cos(-0.2) + slot_travel(PAST - BACK),
               lambda: UNIT.travel_mm(PAST)),
    worked_out(STRAIGHT, "slotted crank 0.05 rad behind", "turn back again", "rad", PAST,
               lambda: UNIT.rotation_rad(
                   BACK * 6.0 * math.cos(-0.2) + slot_travel(PAST - BACK))),
    worked_out(STRAIGHT, "slotted crank 0.05 rad behind", "travel per radian", "mm/rad",
               6.0 * math.cos(0.05), lambda: UNIT.slope_mm_per_rad(PAST)),
    worked_out(STRAIGHT, "slotted crank 0.05 rad behind", "its slope", "mm/rad²",
               -6.0 * math.sin(0.05), lambda: UNIT.slope_rate(PAST)),
    worked_out(STRAIGHT, "slotted crank 0.05 rad behind", "torque over load", "mm",
               6.0 * math.cos(0.05), lambda: UNIT.torque_arm_mm(PAST, 1)),
    worked_out(STRAIGHT, "slotted crank 0.05 rad behind", "its slope by torque", "mm/rad",
               -6.0 * math.sin(0.05), lambda: UNIT.torque_arm_rate(PAST, 1)),
    worked_out(STRAIGHT, "slotted crank 0.05 rad behind", "turn to dead centre", "rad",
               math.pi / 2 + 0.2 + BACK, lambda: UNIT.last_rotation_rad),
    *(printed(JUVINALL, f"{material}, dry", f"{word} pressure", "kPa", shown,
              lambda m=material, k=k: 1000 * facing.published_pressure_mpa(m, wet=False)[k])
      for material, limits in (("moulded", ("1030", "2070")), ("woven", ("345", "690")),
                               ("cork", ("55", "95")), ("metal", ("690", "1720")))
      for k, (word, shown) in enumerate(zip(("least", "greatest"), limits, strict=True))),
    *(printed(NEALE, f"{material}, in oil", f"{word} pressure", "kPa", shown,
              lambda m=material, k=k: 1000 * facing.published_pressure_mpa(m, wet=True)[k])
      for material, limits in (("paper", ("700", "1750")), ("sintered", ("700", "4200")))
      for k, (word, shown) in enumerate(zip(("least", "greatest"), limits, strict=True))),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=in_order(CASES))
def test_clutch_end(case):
    assert case.holds(), case.report()


def test_parted_far_enough_nothing_rubs():
    assert float(drag.drag_torque_nmm(PACK, 0.0, 0.3)) == pytest.approx(0.0, abs=1e-9)
