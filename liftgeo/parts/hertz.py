"""Contact pressure of a ball on a plane or in a groove, after Hertz."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.parts.root import bracketed_root
from liftgeo.parts.values import Values

STEEL_MODULUS_MPA, STEEL_POISSON = 206000.0, 0.3

# A ball-bearing contact is taken to be sound, at rest, up to this pressure, which leaves a dent of
# a ten-thousandth of the ball's diameter in hardened steel. Source: ISO 76 (from memory).
BALL_PRESSURE_LIMIT_MPA = 4200.0

_AGM_STEPS = 8
_FLATTEST = 12.0  # natural logarithm of the longest axis ratio looked for


def contact_modulus_mpa(
    modulus_mpa: Values = STEEL_MODULUS_MPA,
    poisson: Values = STEEL_POISSON,
    other_modulus_mpa: Values | None = None,
    other_poisson: Values | None = None,
) -> Values:
    """Return E* of two bodies, 1/E* = (1 - nu1**2)/E1 + (1 - nu2**2)/E2 [MPa].

    The second body is the same as the first where it is not given; infinity is rigid.
    """
    other = modulus_mpa if other_modulus_mpa is None else other_modulus_mpa
    other_nu = poisson if other_poisson is None else other_poisson
    return 1 / ((1 - poisson**2) / modulus_mpa + (1 - other_nu**2) / other)


@dataclass(frozen=True, eq=False, repr=False)
class Contact:
    """A point contact: half axes of the touching ellipse [mm], greatest pressure, approach [mm]."""

    long_mm: Values
    short_mm: Values
    pressure_mpa: Values
    approach_mm: Values


def elliptic_integrals(parameter: Values) -> tuple[Values, Values]:
    """Return the complete elliptic integrals K(m) and E(m), by the arithmetic-geometric mean.

    Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 17.6 (from memory); held to
    SciPy in tests.
    """
    a, b = np.ones_like(np.asarray(parameter, float)), np.sqrt(1.0 - np.asarray(parameter, float))
    total, power = np.asarray(parameter, float) / 2, 1.0
    for _ in range(_AGM_STEPS):
        c = (a - b) / 2
        a, b = (a + b) / 2, np.sqrt(a * b)
        total = total + power * c**2
        power *= 2
    first = np.pi / (2 * a)
    return first, first * (1.0 - total)


def _curvature_ratio(log_axes: Values) -> Values:
    """Return the ratio of the relative curvatures that gives a ratio of the ellipse's axes."""
    inverse = np.exp(-2.0 * log_axes)
    parameter = 1.0 - inverse
    first, second = elliptic_integrals(parameter)
    near = parameter < 1e-6
    below = np.where(near, 1.0, first - second)
    return np.where(near, 1.0 + 0.75 * parameter, (second / inverse - first) / below)


def point_contact(
    load_n: Values, curvature_1: Values, curvature_2: Values, modulus_mpa: Values
) -> Contact:
    """Return the contact of two bodies whose relative curvatures lie in two square directions.

    Parameters
    ----------
    load_n : float or array
        Normal load [N].
    curvature_1, curvature_2 : float or array
        Sum of both bodies' curvatures in either direction, above 0 [1/mm].
    modulus_mpa : float or array
        E* [MPa].

    Notes
    -----
    With k the ratio of the axes and m = 1 - 1/k**2, (B/A) = (k**2 E(m) - K(m))/(K(m) - E(m));
    a = (3 k**2 E(m) W/(pi E* (1/R1 + 1/R2)))**(1/3), b = a/k, p = 3 W/(2 pi a b),
    approach 3 W K(m)/(2 pi E* a). For a sphere on a plane p = (6 W E***2/(pi**3 R**2))**(1/3).
    Assumes smooth, elastic bodies and a contact small beside them.
    Source: K. L. Johnson, Contact Mechanics, ch. 4 (from memory); held to published cases.
    """
    flat = np.minimum(curvature_1, curvature_2)
    sharp = np.maximum(curvature_1, curvature_2)
    ratio = np.asarray(sharp / flat, float)
    shape = ratio.shape
    log_axes = bracketed_root(
        lambda x: _curvature_ratio(x) - ratio, np.zeros(shape), np.full(shape, _FLATTEST)
    )
    axes = np.exp(log_axes)
    first, second = elliptic_integrals(1.0 - axes**-2)
    long = (3 * axes**2 * second * load_n / (np.pi * modulus_mpa * (flat + sharp))) ** (1 / 3)
    short = long / axes
    return Contact(
        long,
        short,
        3 * load_n / (2 * np.pi * long * short),
        3 * load_n * first / (2 * np.pi * modulus_mpa * long),
    )


def ball_contact(
    load_n: Values,
    ball_diameter_mm: Values,
    groove_radius_mm: Values | None = None,
    modulus_mpa: Values | None = None,
) -> Contact:
    """Return the contact of a ball on a plane, or in a straight groove of a radius.

    Parameters
    ----------
    load_n, ball_diameter_mm : float or array
        Normal load [N] and diameter [mm].
    groove_radius_mm : float, array or None
        Radius of the groove across it [mm], larger than the ball's; None: a plane.
    modulus_mpa : float, array or None
        E*; None: steel on steel.
    """
    modulus = contact_modulus_mpa() if modulus_mpa is None else modulus_mpa
    along = 2 / ball_diameter_mm
    across = along if groove_radius_mm is None else along - 1 / groove_radius_mm
    return point_contact(load_n, along, across, modulus)
