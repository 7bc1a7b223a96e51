"""Euler's load of a push rod.

Sources
-------
F. P. Beer, E. R. Johnston and others, Mechanics of Materials, example 10.1, a wooden column of
square section: from memory. 2 m, E 13 GPa, 100 kN and 200 kN with a factor of safety of 2.5: sides
of 98.3 and 116.95 mm.
The first bending shape of a round rod cut into short pieces, by an eigenvalue.
"""

import math

import numpy as np
from cases import each_holds, printed, worked_out

from liftgeo.parts import column

BOOK = "Beer, Johnston and others, Mechanics of Materials, example 10.1"
PIECES = "Eigenvalue of the rod cut into 400 pieces"


def side_mm(load_n: float) -> float:
    """Return the side of the square that buckles at 2.5 times a load, by the package's load."""
    of_unit_side = column.buckling_load_n(2000.0, 13_000.0, 1 / 12)
    return (2.5 * load_n / of_unit_side) ** 0.25


def by_pieces(length_mm, diameter_mm, modulus_mpa=206_000.0, count=400):
    """Return the least P with -E I v'' = P v, v zero at both ends."""
    step = length_mm / count
    bend = (2 * np.eye(count - 1) - np.eye(count - 1, k=1) - np.eye(count - 1, k=-1)) / step**2
    inertia = math.pi * diameter_mm**4 / 64
    return modulus_mpa * inertia * np.linalg.eigvalsh(bend)[0]


CASES = (
    printed(BOOK, "Column for 100 kN", "side", "mm", "98.3", lambda: side_mm(100e3), read=False),
    printed(BOOK, "Column for 200 kN", "side", "mm", "116.95", lambda: side_mm(200e3), read=False),
    worked_out(PIECES, "Rod of 6 mm, 240 mm long", "buckling load", "N", by_pieces(240.0, 6.0),
               lambda: column.rod_buckling_load_n(240.0, 6.0), close=1e-5,
               note="The pieces are straight: a hundred-thousandth too little."),
    worked_out(PIECES, "Column of 1 mm⁴, 100 mm", "buckling load", "N",
               by_pieces(100.0, (64 / math.pi) ** 0.25, 1000.0),
               lambda: column.buckling_load_n(100.0, 1000.0, 1.0), close=1e-5,
               note="The pieces are straight: a hundred-thousandth too little."),
)  # fmt: skip


test_column = each_holds(CASES)
