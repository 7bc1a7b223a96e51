"""Four-bar and slider-crank positions and speeds.

Source: R. L. Norton, Design of Machinery, examples 4-1 and 4-2, tables P4-1 (row a) and P4-2
(row a): all values from memory; the links of table P4-1, row a, were also read on a question page
without its answers.

Left out: the open angle of table P4-2, row a, remembered as 179.86 deg where every way to work it
out gives 180.14; the printed page decides, and it is not at hand.
"""

import math

from cases import each_holds, printed
from linkages import FourBar, crank_with_link, slider_position

BOOK = "R. L. Norton, Design of Machinery"


def four_bar(lengths: tuple[float, ...], degrees: float, *, open_circuit: bool) -> FourBar:
    return FourBar(*lengths, math.radians(degrees), open_circuit)


ROUNDED = (
    "Worked exactly, the rocker stands at 57.3249° or −98.0050°; the book's working rounds its "
    "constants on the way, which moves the last digit."
)


def _angles(case, lengths, degrees, shown, rocker_tolerance=None, note=""):
    for circuit, (coupler, rocker) in zip(("open", "crossed"), shown, strict=True):
        bar = four_bar(lengths, degrees, open_circuit=circuit == "open")
        yield printed(
            BOOK,
            case,
            f"coupler angle, {circuit}",
            "deg",
            coupler,
            lambda bar=bar: math.degrees(bar.coupler_rad),
            read=False,
        )
        yield printed(BOOK, case, f"rocker angle, {circuit}", "deg", rocker,
                      lambda bar=bar: math.degrees(bar.rocker_rad), read=False,
                      tolerance=rocker_tolerance, note=note)  # fmt: skip


EX_4_1 = (40.0, 120.0, 80.0, 100.0)
P4_1_A = (2.0, 7.0, 9.0, 6.0)
EX_4_2 = (40.0, 120.0, -20.0)
P4_2_A = (1.4, 4.0, 1.0)
MIRRORED = (
    "The other way to join the links, told as its mirror image: crank at 180° minus the angle."
)


def slider(lengths, degrees):
    return slider_position(*lengths, math.radians(degrees))


def crank_angle_deg(lengths, position):
    """Return the crank angle at a slider position, found from 40 degrees."""
    unit = crank_with_link(*lengths, math.radians(40.0))
    turn = unit.at_travel(slider(lengths, 40.0) - position).rotation_rad
    return 40.0 + math.degrees(turn)


CASES = (
    *_angles("Example 4-1", EX_4_1, 40.0, (("20.30", "57.33"), ("-60.98", "-98.01")),
             0.01, ROUNDED),
    *_angles("Table P4-1, row a", P4_1_A, 30.0, (("88.84", "117.29"), ("-115.21", "-143.66"))),
    printed(BOOK, "Table P4-1, row a", "rocker less coupler speed at 10 rad/s", "rad/s", "2.00",
            lambda: 10 * four_bar(P4_1_A, 30.0, open_circuit=True).transmission_rate,
            tolerance=0.01, read=False,
            note="Difference of two printed speeds, −3.99 and −5.99: half a digit of each."),
    printed(BOOK, "Example 4-2", "slider, open", "", "126.84", lambda: slider(EX_4_2, 60.0),
            read=False),
    printed(BOOK, "Example 4-2", "crank angle from the slider, open", "deg", "60",
            lambda: crank_angle_deg(EX_4_2, 126.84), tolerance=0.01, read=False,
            note="Half a digit of the printed 126.84 is this much of the crank's angle."),
    printed(BOOK, "Example 4-2", "slider, crossed", "", "-86.84",
            lambda: -slider(EX_4_2, 120.0), read=False, note=MIRRORED),
    printed(BOOK, "Table P4-2, row a", "slider, open", "", "4.990", lambda: slider(P4_2_A, 45.0),
            read=False),
    printed(BOOK, "Table P4-2, row a", "slider, crossed", "", "-3.010",
            lambda: -slider(P4_2_A, 135.0), read=False, note=MIRRORED),
)  # fmt: skip


test_example = each_holds(CASES)
