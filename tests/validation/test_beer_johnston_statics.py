"""A rope round a post.

Source: F. P. Beer, E. R. Johnston et al., Vector Mechanics for Engineers: Statics, 10th and 11th
ed., problem 8.104: read on answer pages of the problem, not in the book. The sample problem of
the same chapter ("Belt friction"): from memory.

Left out: an answer page that gives a coefficient of 0.00254 for problem 8.104. Its logarithm of
the ratio of tensions is wrong.
"""

import math

from cases import each_holds, printed

from liftgeo.parts import cable

BOOK = "Beer & Johnston, Vector Mechanics for Engineers: Statics"
ROUNDED = "The book goes on with the rounded coefficient 0.311, and so does this."


def friction_of(ratio: float, turns: float) -> float:
    """Return the friction at which a rope holds so much, from the gain at a friction of 1."""
    per_unit = cable.Cable(bend_rad=2 * math.pi * turns, friction=1.0).gain(cable.PULLING)
    return math.log(ratio) / math.log(per_unit)


def turns_of(ratio: float, friction: float) -> float:
    one_turn = cable.Cable(bend_rad=2 * math.pi, friction=friction).gain(cable.PULLING)
    return math.log(ratio) / math.log(one_turn)


def held_n(force_n: float, turns: float, friction: float) -> float:
    rope = cable.Cable(bend_rad=2 * math.pi * turns, friction=friction)
    return rope.hand_tension_n(force_n, cable.PULLING)


CASES = (
    printed(BOOK, "Problem 8.104: 80 lb holds 5000 lb, two turns", "friction", "", "0.329",
            lambda: friction_of(5000 / 80, 2.0)),
    printed(BOOK, "Problem 8.104: 80 lb holds 20 000 lb", "turns", "", "2.67",
            lambda: turns_of(20_000 / 80, friction_of(5000 / 80, 2.0))),
    printed(BOOK, "Sample problem: 150 N holds 7500 N, two turns", "friction", "", "0.311",
            lambda: friction_of(7500 / 150, 2.0), read=False),
    printed(BOOK, "Sample problem: 150 N, three turns", "tension held", "kN", "52.7",
            lambda: held_n(0.150, 3.0, 0.311), note=ROUNDED, read=False),
)  # fmt: skip


test_problem = each_holds(CASES)
