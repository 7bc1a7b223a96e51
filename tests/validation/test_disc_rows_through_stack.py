"""Rows of the standard's disc-spring table, as the clamp force of a clutch measured in its stack.

Source: DIN EN 16983 (formerly DIN 2093), series A, test load at free height less 0.75 h0, as a
spring maker prints it: read; series B and C: from memory. The loads are printed to three digits
and were computed at 0.75 h0 rounded to 0.01 mm, which is the deflection taken here.

The workshop measures no deflection: rim depth, friction plate and pressure plate leave a gap, and
the free height of the spring less that gap is how far it is pressed.
"""

from __future__ import annotations

import pytest
from cases import Case, in_order, printed

import liftgeo
from liftgeo.mechanism import Mechanism

STANDARD = "DIN EN 16983, test load, through [stack]"

# Series, De, Di, t, h0, deflection, load, read there.
ROWS = (
    ("A", 12.5, 6.2, 0.7, 0.3, 0.23, "673", True),
    ("A", 14.0, 7.2, 0.8, 0.3, 0.23, "813", True),
    ("A", 20.0, 10.2, 1.1, 0.45, 0.34, "1530", True),
    ("A", 22.5, 11.2, 1.25, 0.5, 0.38, "1950", True),
    ("A", 25.0, 12.2, 1.5, 0.55, 0.41, "2910", True),
    ("A", 28.0, 14.2, 1.5, 0.65, 0.49, "2850", True),
    ("A", 31.5, 16.3, 1.75, 0.7, 0.53, "3900", True),
    ("B", 12.5, 6.2, 0.5, 0.35, 0.26, "291", False),
    ("B", 20.0, 10.2, 0.8, 0.55, 0.41, "745", False),
    ("B", 25.0, 12.2, 0.9, 0.7, 0.53, "868", False),
    ("C", 16.0, 8.2, 0.4, 0.5, 0.38, "155", False),
    ("C", 25.0, 12.2, 0.7, 0.9, 0.68, "601", False),
    ("C", 50.0, 25.4, 1.25, 1.6, 1.20, "1550", False),
)

FILE = """
[lever]
kind = "drum"
drum_radius = 20
hand_radius = 75
hand_travel = 40
[cable]
free_play = 1
[arm]
kind = "drum"
drum_radius = 40
[release]
kind = "rack"
pinion_radius = 2
[rod]
action = "pull"
[spring]
kind = "coned-disc"
outside_diameter = {outside}
inside_diameter = {inside}
thickness = {thickness}
cone_height = {cone}
[stack]
rim_depth = {rim}
friction_plate = 8.0
pressure_plate = 19.5
[faces]
friction_plates = 1
outside_diameter = 118
inside_diameter = 84
friction = 0.3
"""


def clutch(outside, inside, thickness, cone, pressed) -> Mechanism:
    """Return a clutch whose stack leaves the disc's free height less a deflection."""
    rim = cone + thickness - pressed + 8.0 + 19.5
    return liftgeo.loads(
        FILE.format(outside=outside, inside=inside, thickness=thickness, cone=cone, rim=rim)
    )


def load_case(row: tuple[str, float, float, float, float, float, str, bool]) -> Case:
    series, outside, inside, thickness, cone, pressed, load, read = row

    def clamp_n() -> float:
        return float(clutch(outside, inside, thickness, cone, pressed).parts().clamp_force_n)

    name = f"Series {series}, {outside:g} × {inside:g} × {thickness:g}"
    # Three digits: half of the third.
    return printed(STANDARD, name, "clamp force", "N", load, clamp_n, digits=3, read=read)


CASES = (*(load_case(row) for row in ROWS),)


@pytest.mark.parametrize("case", CASES, ids=in_order(CASES))
def test_row(case):
    assert case.holds(), case.report()


def test_three_series_and_a_dozen_rows_are_held():
    assert {row[0] for row in ROWS} == {"A", "B", "C"}
    assert len(CASES) >= 12
