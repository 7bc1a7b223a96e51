"""Buckling of a push rod."""

from __future__ import annotations

import numpy as np

from liftgeo.parts.values import Values

STEEL_MODULUS_MPA = 206000.0


def buckling_load_n(length_mm: Values, modulus_mpa: Values, second_moment_mm4: Values) -> Values:
    """Return Euler's load of a straight column free to tilt at both ends, pi**2 E I/L**2 [N].

    Source: F. P. Beer and others, Mechanics of Materials, "Euler's formula for pin-ended columns"
    (from memory). It overrates stocky rods, which yield first.
    """
    return np.pi**2 * modulus_mpa * second_moment_mm4 / length_mm**2


def rod_buckling_load_n(
    length_mm: Values, diameter_mm: Values, modulus_mpa: Values = STEEL_MODULUS_MPA
) -> Values:
    """Return Euler's load of a round rod [N]."""
    return buckling_load_n(length_mm, modulus_mpa, np.pi / 64 * diameter_mm**4)
