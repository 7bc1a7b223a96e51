"""Lines in a plane, the blade at the grip, what a hand moves, and a coil weighed, by other methods.

No published numbers: distances by Shapely (a general-purpose library of plane geometry) and by
hand, turns as products of complex numbers, the straight line by SciPy's linregress.
"""

import cmath
import math

import numpy as np
import pytest
from cases import each_holds, worked_out
from scipy.stats import linregress
from shapely import LineString

from liftgeo.parts import contact, moved_link, plane, spring_line

BY_HAND = "By hand"
SHAPELY = "Shapely's distance between two lines"
TURNED = "A turn as a product of complex numbers"
SCIPY = "scipy.stats.linregress through the same readings"

ONE = ((0.0, 0.0), (10.0, 0.0), (14.0, 3.0))
OTHER = ((3.0, 4.0), (8.0, 9.0), (20.0, 7.5))

# A straight blade through its pivot comes down on a round bar: the distance of the bar's middle to
# the blade's middle line is R sin(a - phi), R and a its place from the pivot in polar form.
BAR, REACH = complex(30.0, -20.0), 15.0
TURN = -cmath.phase(BAR) - math.asin(REACH / abs(BAR))
BLADE = np.array([0.0 + 0.0j, 60.0 + 0.0j])

MOVED = moved_link.Moves(31.0, math.radians(12.0), 2.5, -1.5, -1)
REST = math.radians(72.0)
PIN = 31.0 * cmath.exp(1j * (REST - math.radians(12.0)))

LENGTHS, LOADS = (54.0, 48.0, 44.5, 41.0), (0.0, 187.0, 302.0, 405.0)
FIT = linregress(LENGTHS, LOADS)
RATE, FREE = -FIT.slope, FIT.intercept / -FIT.slope
REST_OF_LOADS = np.array(LOADS) - (FIT.intercept + FIT.slope * np.array(LENGTHS))


def way_round():
    start, end = plane.pieces(np.array([0j, 3 + 0j, 3 + 4j]), closed=True)
    return float(np.abs(end - start).sum())


def line():
    return spring_line.SpringLine(np.array(LOADS), np.array(LENGTHS))


CASES = (
    worked_out(SHAPELY, "two bent lines", "distance", "mm",
               LineString(ONE).distance(LineString(OTHER)),
               lambda: plane.lines_apart_mm(plane.as_complex(ONE), plane.as_complex(OTHER))),
    worked_out(BY_HAND, "round a triangle of 3, 4 and 5", "way", "mm", 12.0, way_round),
    worked_out(BY_HAND, "a point beside a piece, 3-4-5", "distance", "mm", 5.0,
               lambda: float(plane.point_to_line_mm(complex(13.0, 4.0), 0j, 10 + 0j))),
    worked_out(BY_HAND, "straight blade comes down on a bar", "turn to the contact", "rad", TURN,
               lambda: float(contact.first_contact_rad(
                   BLADE, np.array([BAR]), REACH, 0j, -1))),
    worked_out(BY_HAND, "the same at rest", "distance of the middle lines", "mm", 20.0,
               lambda: float(contact.apart_at_rest_mm(BLADE[:, None], np.array([[BAR]]))[0])),
    worked_out(TURNED, "another hole, turned 12 deg", "pin, x", "mm", PIN.real,
               lambda: MOVED.pin_mm(36.0, REST)[0]),
    worked_out(TURNED, "another hole, turned 12 deg", "pin, y", "mm", PIN.imag,
               lambda: MOVED.pin_mm(36.0, REST)[1]),
    worked_out(BY_HAND, "stop moved", "stop, x", "mm", 94.5, lambda: MOVED.stop_mm(92.0)[0]),
    worked_out(BY_HAND, "stop moved", "stop, y", "mm", -1.5, lambda: MOVED.stop_mm(92.0)[1]),
    worked_out(SCIPY, "a coil weighed at four lengths", "rate", "N/mm", RATE,
               lambda: line().rate_n_per_mm),
    worked_out(SCIPY, "a coil weighed at four lengths", "free length", "mm", FREE,
               lambda: line().free_length_mm),
    worked_out(SCIPY, "a coil weighed at four lengths", "misfit of the second", "N",
               float(REST_OF_LOADS[1]), lambda: line().misfits_n[1], close=1e-9),
    worked_out(SCIPY, "a coil weighed at four lengths", "standard misfit", "N",
               math.sqrt(float(REST_OF_LOADS @ REST_OF_LOADS) / 2),
               lambda: line().standard_misfit_n, close=1e-9),
)  # fmt: skip

test_lines_blades_moves_and_weighed_coils = each_holds(CASES)


def test_crossing_lines_are_said_to_cross_and_to_be_no_distance_apart() -> None:
    one, other = (plane.as_complex(p) for p in (((0, 0), (10, 10)), ((0, 10), (10, 0))))
    assert LineString([(0, 0), (10, 10)]).crosses(LineString([(0, 10), (10, 0)]))
    assert bool(plane.cross(one[0], one[1], other[0], other[1]))
    assert plane.lines_apart_mm(one, other) == 0.0
    bow = plane.as_complex(((0, 0), (10, 10), (10, 0), (0, 10)))
    assert plane.first_crossing(bow, closed=True) == (0, 2)
    assert plane.first_crossing(plane.as_complex(((0, 0), (10, 0), (10, 10)))) is None


def test_a_blade_that_passes_the_bar_meets_it_on_no_turn() -> None:
    far = np.array([complex(200.0, -20.0)])
    assert math.isnan(float(contact.first_contact_rad(BLADE, far, REACH, 0j, -1)))
    assert float(contact.apart_at_rest_mm(BLADE[:, None], far[None])[0]) == pytest.approx(
        math.hypot(140.0, 20.0), rel=1e-12
    )
