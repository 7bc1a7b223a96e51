"""A square thread under load, and the rule that a thread which holds itself wastes half the work.

Source: an open statics text (adaptivebooks.org, Statics, section 5.6 "Screw threads"), problem 2
(the number) and problem 3 (a self-locking screw cannot exceed 50 per cent): read.
"""

import math

import pytest
from cases import each_holds, printed
from hypothesis import given
from hypothesis import strategies as st

from liftgeo.parts import cable, release

TEXT = "Open statics text (adaptivebooks.org, Statics), section 5.6, screw threads"
UP, DOWN = cable.PULLING, cable.BACK

CASES = (
    printed(TEXT, "Problem 2: 10 000 lb, 2 threads an inch, 2 in mean", "torque to raise", "lb·in",
            "2840", lambda: 10_000.0 * release.QuickThread(0.5, 2.0, 0.0, 0.2)
            .at(0.0, UP).torque_arm_mm, digits=3, note="Printed to three digits."),
)  # fmt: skip


test_problem = each_holds(CASES)


screws = st.builds(
    release.QuickThread,
    lead_mm=st.floats(0.5, 80.0),
    mean_diameter_mm=st.floats(5.0, 60.0),
    flank_angle_rad=st.floats(0.0, math.radians(30.0)),
    friction=st.floats(0.01, 0.5),
    collar_diameter_mm=st.floats(0.0, 80.0),
    collar_friction=st.floats(0.0, 0.3),
).filter(lambda screw: screw.at(0.0, UP).torque_arm_mm > 0)


@given(screws)
def test_a_thread_that_holds_itself_wastes_more_than_half(screw):
    """A screw with less than half its work lost runs back; one that does not, loses more."""
    efficiency = screw.at(0.0).slope_mm_per_rad / screw.at(0.0, UP).torque_arm_mm
    holds_itself = screw.at(0.0, DOWN).torque_arm_mm <= 0
    assert efficiency <= 0.5 or not holds_itself


@pytest.mark.parametrize(("efficiency", "holds"), [(0.499, True), (0.5, True), (0.501, False)])
def test_so_does_a_rack_or_crank_with_equal_loss_both_ways(efficiency, holds):
    rack = release.Rack(9.0, efficiency)
    assert (rack.at(0.0, DOWN).torque_arm_mm <= 0) is holds
