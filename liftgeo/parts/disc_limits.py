"""What is known of a coned disc beside its load: tolerance, bias of the formula, stresses."""

from __future__ import annotations

import numpy as np

from liftgeo.parts.spring import ConedDisc, disc_constant
from liftgeo.parts.values import Values

# Thickness up to (mm): least and greatest load over the nominal one, at a test length of free
# height less 0.75 h0. Source: DIN EN 16983, in a spring maker's published extract (read).
# A thickness of exactly 1.25 mm belongs to the second row, of 3 and 6 mm to the row before.
LOAD_TOLERANCE = (
    (1.25, 0.925, 1.25),
    (3.0, 0.925, 1.15),
    (6.0, 0.95, 1.10),
    (16.0, 0.95, 1.05),
)

# A disc that bears a steady load keeps its shape while the reference stress stays below the yield
# point of its steel, 1400 to 1600 MPa; the lower one is taken. Source: DIN EN 16984 (formerly DIN
# 2092), from memory.
REFERENCE_STRESS_LIMIT_MPA = 1400.0


def load_tolerance(thickness_mm: Values) -> tuple[Values, Values]:
    """Return least and greatest load of a disc made to the standard, over the nominal one."""
    row = (thickness_mm >= 1.25) * 1 + (thickness_mm > 3.0) * 1 + (thickness_mm > 6.0) * 1
    low = np.array([item[1] for item in LOAD_TOLERANCE])
    high = np.array([item[2] for item in LOAD_TOLERANCE])
    return low[row], high[row]


def reference_stress_mpa(disc: ConedDisc, deflection_mm: Values) -> Values:
    """Return the reference stress of a disc at a deflection of its stack [MPa], as a size.

    Notes
    -----
    sigma_OM = 4E/(1 - nu**2) t s/(K1 De**2) 3/pi, the bending stress at the upper face over the
    middle of the section, compressive. Source: DIN EN 16984 (from memory).
    """
    one = disc.lever_ratio * deflection_mm / disc.in_series
    ratio = disc.outside_diameter_mm / disc.inside_diameter_mm
    stiff = 4 * disc.youngs_modulus_mpa / (1 - disc.poisson**2) * disc.thickness_mm
    return stiff * one / (disc_constant(ratio) * disc.outside_diameter_mm**2) * 3 / np.pi


# How far the formula lies above an elastic solid of revolution: 1/(1 - nu**2) throughout, and with
# the square of the cone's slope, at no deflection and what comes on top up to flat. Fitted here to
# the finite elements of tests/validation; see docs/theory.md, "The clutch end".
_BIAS_AT_REST, _BIAS_TO_FLAT = 0.25, 0.30

SLOT_ROOT_RATIO = 1.2
"""Stress at the root of a slot over the formula's, three clutch diaphragm springs at full working
deflection. Source: strain gauges, Trans. CSAE 1998, abstract (read)."""

POINTS = ("I", "II", "III", "IV")
"""Upper inside, lower inside, lower outside and upper outside edge, as in DIN EN 16984."""


def formula_bias_ratio(disc: ConedDisc, deflection_mm: Values) -> Values:
    """Return the formula's load over that of an elastic disc of the same sizes, an estimate.

    Notes
    -----
    [1 + q**2 (0.25 + 0.3 s/h0)]/(1 - nu**2), q = h0/((De - Di)/2) the slope of the cone. The
    formula takes the hoops as unable to breathe and angles as small; a real disc is softer by both.
    Holds to 2 % for De/Di up to 1.6 and h0/t up to 2, to 3 % for De/Di = 2. Rounded edges
    and friction, which raise a real load, are left out: the side on which the clutch may slip.
    Source: fitted here; tests/validation/test_disc_finite_elements.py holds it.
    """
    width = (disc.outside_diameter_mm - disc.inside_diameter_mm) / 2
    slope = disc.cone_height_mm / width
    share = np.minimum(np.maximum(deflection_mm / disc.flat_deflection_mm, 0.0), 1.0)
    angle = slope**2 * (_BIAS_AT_REST + _BIAS_TO_FLAT * share)
    return (1 + angle) / (1 - disc.poisson**2)


def edge_stresses_mpa(
    disc: ConedDisc, deflection_mm: Values
) -> tuple[Values, Values, Values, Values]:
    """Return the stresses at `POINTS` at a deflection of the stack [MPa], tension above zero.

    Notes
    -----
    With C = 4E/(1 - nu**2) t s/(K1 De**2) and m = h0/t - s/(2 t): I -C (K2 m + K3),
    II -C (K2 m - K3), III and IV -C [(K2 - 2 K3) m -+ K3] Di/De. A whole ring: slots, holes and
    marks come on top. Source: DIN EN 16984 (from memory); point I, and all four against the
    energy of a turning section, held in tests.
    """
    ratio = disc.outside_diameter_mm / disc.inside_diameter_mm
    log, t = np.log(ratio), disc.thickness_mm
    k2 = 6 / np.pi * ((ratio - 1) / log - 1) / log
    k3 = 3 / np.pi * (ratio - 1) / log
    one = disc.lever_ratio * deflection_mm / disc.in_series
    stiff = 4 * disc.youngs_modulus_mpa / (1 - disc.poisson**2) * t
    c = stiff * one / (disc_constant(ratio) * disc.outside_diameter_mm**2)
    m = (disc.cone_height_mm - one / 2) / t
    inside = (-c * (k2 * m + k3), -c * (k2 * m - k3))
    outside = (-c * ((k2 - 2 * k3) * m - k3) / ratio, -c * ((k2 - 2 * k3) * m + k3) / ratio)
    return (*inside, *outside)
