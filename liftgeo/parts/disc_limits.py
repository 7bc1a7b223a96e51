"""What the standards say of a coned disc: tolerance on its load, and the stress it may bear."""

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
