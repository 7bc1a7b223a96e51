"""Two solved sheets of a course on machines.

Sources
-------
Course solution, four-bar drawn to scale (coursehero.com, file 6651323): links 8, 14, 12, ground 16
at 15 deg, crank at 30 deg: read. Drawn, so good to about a degree.
Course worksheet, slider-crank (coursehero.com, file 6680931): a 10 in, b 20 in, no offset, crank
at 45 deg, 1 rad/s: read.
"""

import math

from cases import each_holds, printed
from linkages import FourBar, crank_with_link

DRAWN = "Course solution, four-bar drawn to scale (coursehero.com, file 6651323)"
SHEET = "Course worksheet, slider-crank (coursehero.com, file 6680931)"
BY_PENCIL = "Measured on a drawing: good to about a degree."
GROUND = 15.0


def angles(*, open_circuit: bool) -> tuple[float, float]:
    bar = FourBar(8.0, 14.0, 12.0, 16.0, math.radians(30.0 - GROUND), open_circuit)
    return (
        math.degrees(bar.coupler_rad) + GROUND,
        math.degrees(bar.rocker_rad) + GROUND,
    )


def _drawn(quantity, shown, ours):
    return printed(
        DRAWN,
        "8, 14, 12, ground 16 at 15°, crank at 30°",
        quantity,
        "deg",
        shown,
        ours,
        tolerance=1.0,
        note=BY_PENCIL,
    )


WORKED = "a 10, b 20 in, crank at 45°, 1 rad/s"


def worked():
    return crank_with_link(10.0, 20.0, 0.0, math.radians(45.0))


CASES = (
    _drawn("coupler angle, open", "60", lambda: angles(open_circuit=True)[0]),
    _drawn("rocker angle, open", "97", lambda: angles(open_circuit=True)[1]),
    _drawn("coupler angle, crossed", "-57", lambda: angles(open_circuit=False)[0]),
    _drawn("rocker angle, crossed", "-95", lambda: angles(open_circuit=False)[1]),
    printed(SHEET, WORKED, "slider speed", "in/s", "9.744",
            lambda: worked().at(0.0).slope_mm_per_rad),
)  # fmt: skip


test_sheet = each_holds(CASES)
