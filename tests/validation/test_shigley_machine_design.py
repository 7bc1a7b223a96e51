"""Power screws both ways, and the rating and axial factors of a ball bearing.

Sources
-------
R. G. Budynas, J. K. Nisbett, Shigley's Mechanical Engineering Design: instructor's solutions
manual (8th edition series), problems 8-4, 8-6 and 11-2: read. Example 8-1: from memory. Equations
(8-1) to (8-6): read in the 9th edition, pp. 415-418.
Table 11-1, axial factor Y2 over Fa/C0, rows .084, .110, .17 and .28; and an exercise that uses
it: read in a public notebook that works chapter 11.
"""

import math

import pytest
from cases import each_holds, printed

from liftgeo.parts import bearing, cable, release

MANUAL = (
    "Budynas & Nisbett, Shigley's Mechanical Engineering Design, instructor's solutions (8th ed.)"
)
TEXT = "Budynas & Nisbett, Shigley's Mechanical Engineering Design"
TABLE = f"{TEXT}, Table 11-1 (through a notebook, github.com/jeevanjyoti4/dome)"
UP, DOWN = cable.PULLING, cable.BACK

P8_4 = release.QuickThread(5.0, 22.5, 0.0, 0.08, 40.0, 0.05)
P8_4_THREAD = release.QuickThread(5.0, 22.5, 0.0, 0.08)
# Inches and pounds: a screw's torque is a length times a load in any unit.
P8_6 = release.QuickThread(0.5, 2.75, math.radians(14.5), 0.05, 5.0, 0.06)
P8_6_THREAD = release.QuickThread(0.5, 2.75, math.radians(14.5), 0.05)
EX_8_1 = release.QuickThread(8.0, 30.0, 0.0, 0.08, 40.0, 0.08)
EX_8_1_THREAD = release.QuickThread(8.0, 30.0, 0.0, 0.08)

DRIVEN_DOWN = (
    "Printed as the torque that drives the screw down; letting back, ours counts it below zero: "
    "the unit holds itself."
)
WEIBULL = (
    "The manual goes through its Weibull distribution, which at 90 % calls 0.9933 of the rating "
    "life one; ours is set over by the cube root of that (0.22 %). Constants from memory."
)
TWO_TABLES = (
    "Ours is interpolated in another published table of the same factor, which prints one "
    "decimal (± 0.05) at wider steps; this one prints two (± 0.005)."
)


def arm(unit, way):
    """Return torque over load, in the screw's unit of length."""
    return unit.at(0.0, way).torque_arm_mm


def efficiency(unit):
    return unit.at(0.0).slope_mm_per_rad / arm(unit, UP)


def groove(static_n: float, dynamic_n: float = 1.0) -> bearing.Bearing:
    """Return a deep-groove bearing that turns once a minute."""
    return bearing.Bearing(None, static_n, dynamic_n, 1.0)


def rating_for(million_revolutions: float, load: float) -> float:
    """Return the rating that lasts so long, from the life at a rating of 1.

    With Fa/C0 = 0.5 the axial factor is 1, so that the axial load is the equivalent load.
    """
    lasts = groove(load / 0.5).life_h(load) * 60 / 1e6
    return (million_revolutions / lasts) ** (1 / 3)


def weibull_life(reliability: float) -> float:
    """Return the life in rating lives that so many bearings outlast, by the manual's constants."""
    return 0.02 + 4.439 * math.log(1 / reliability) ** (1 / 1.483)


CASES = (
    printed(MANUAL, "Problem 8-4", "torque to raise, thread", "N·m", "10.23",
            lambda: 6.0 * arm(P8_4_THREAD, UP)),
    printed(MANUAL, "Problem 8-4", "torque to raise, with collar", "N·m", "16.23",
            lambda: 6.0 * arm(P8_4, UP)),
    printed(MANUAL, "Problem 8-4", "torque to lower, thread", "N·m", "0.622",
            lambda: -6.0 * arm(P8_4_THREAD, DOWN), note=DRIVEN_DOWN),
    printed(MANUAL, "Problem 8-4", "torque to lower, with collar", "N·m", "6.622",
            lambda: -6.0 * arm(P8_4, DOWN), note=DRIVEN_DOWN),
    printed(MANUAL, "Problem 8-4", "efficiency", "", "0.294", lambda: efficiency(P8_4)),
    printed(MANUAL, "Problem 8-6, flanks of 29°", "torque to raise, thread", "lbf·in", "377.6",
            lambda: 2500.0 * arm(P8_6_THREAD, UP)),
    printed(MANUAL, "Problem 8-6, flanks of 29°", "torque to raise, with collar", "lbf·in", "753",
            lambda: 2500.0 * arm(P8_6, UP)),
    printed(TEXT, "Example 8-1, two starts", "torque to raise, with collar", "N·m", "26.18",
            lambda: 6.4 * arm(EX_8_1, UP), read=False),
    printed(TEXT, "Example 8-1, two starts", "torque to lower, with collar", "N·m", "9.77",
            lambda: -6.4 * arm(EX_8_1, DOWN), note=DRIVEN_DOWN, read=False),
    printed(TEXT, "Example 8-1, two starts", "efficiency", "", "0.311",
            lambda: efficiency(EX_8_1), read=False),
    printed(MANUAL, "Problem 11-2, 1440 million revolutions at 854 lbf", "rating", "lbf", "9665",
            lambda: rating_for(1440.0 / weibull_life(0.90), 854.0), note=WEIBULL),
    printed(TABLE, "Exercise, Fa 3 kN, C0 34 kN", "axial factor Y", "", "1.53",
            lambda: groove(34.0).dynamic_axial_factor(3.0), tolerance=0.055, note=TWO_TABLES),
    *(printed(TABLE, f"Fa/C0 = {share}", "axial factor Y", "", value,
              lambda share=share: groove(1.0).dynamic_axial_factor(float(share)),
              tolerance=0.055, note=TWO_TABLES)
      for share, value in ((".084", "1.55"), (".110", "1.45"), (".17", "1.31"), (".28", "1.15"))),
)  # fmt: skip


test_example = each_holds(CASES)


def test_example_8_1_without_its_collar_is_a_quick_thread():
    """Worked out from the same numbers: the thread alone is driven by its load."""
    assert 6.4 * arm(EX_8_1_THREAD, DOWN) == pytest.approx(0.4656, abs=5e-5)
