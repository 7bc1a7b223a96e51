"""Ropes round a bollard, and the drag of a bend in a lined cable, on public pages.

Sources
-------
engineeringtoolbox.com, "Bollard force" (d_1296): read.
openknowledgegraph.com, quiz on belt friction: read.
killasgarage.bike, "Cable routing - experimental results": lined bicycle gear cable, home-made
tests over 0 to 540 degrees of bend, radii 1.5 to 5 in, two lengths; all points on the curve for
a friction of 0.06, radius and length without effect: read. A hobby test, not a laboratory's.
"""

import math

import pytest
from cases import each_holds, printed

from liftgeo.parts import cable

TOOLBOX = "engineeringtoolbox.com, Bollard force (d_1296)"
QUIZ = "openknowledgegraph.com, belt friction quiz"
UP, DOWN = cable.PULLING, cable.BACK


def rope(turns: float, friction: float) -> cable.Cable:
    return cable.Cable(bend_rad=2 * math.pi * turns, friction=friction)


CASES = (
    printed(QUIZ, "friction 0.3, one turn", "ratio of tensions", "", "6.6",
            lambda: rope(1.0, 0.3).gain(UP)),
    printed(TOOLBOX, "friction 0.5, one turn", "share of the load to hold it", "", "0.043",
            lambda: rope(1.0, 0.5).gain(DOWN)),
    printed(TOOLBOX, "500 N, friction 0.4, half a turn", "force to hold it", "N", "142",
            lambda: rope(0.5, 0.4).hand_tension_n(500.0, DOWN)),
)  # fmt: skip


test_page = each_holds(CASES)


@pytest.mark.parametrize("radius_in", [1.5, 5.0])
def test_only_the_sum_of_the_bends_counts_not_their_radius(radius_in):
    """As the hobby test found: the bend alone makes the drag."""
    length = radius_in * math.pi  # of one half-turn
    one = cable.Cable(bend_rad=length / radius_in, friction=0.06)
    parts = cable.Cable(bend_rad=math.pi / 3, friction=0.06)
    assert one.gain(UP) == pytest.approx(parts.gain(UP) ** 3, rel=1e-12)
