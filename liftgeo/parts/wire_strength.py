"""Breaking load of a cable's wire, by its construction."""

from __future__ import annotations

import numpy as np

from liftgeo.parts.values import Values

_LBF_N = 4.4482216152605
_INCH_MM = 25.4

# Diameter [in] and least breaking load [lbf] of flexible aircraft cable, MIL-W-83420, carbon
# (galvanised) and stainless. Source: FAA AC 43.13-1B, Table 7-3 (read).
BREAKING_LOADS_LBF = {
    ("7x7", "galvanised"): ((3 / 64, 270.0), (1 / 16, 480.0), (3 / 32, 920.0)),
    ("7x7", "stainless"): ((3 / 64, 270.0), (1 / 16, 480.0), (3 / 32, 920.0)),
    ("7x19", "galvanised"): (
        (1 / 16, 480.0),
        (3 / 32, 1000.0),
        (1 / 8, 2000.0),
        (5 / 32, 2800.0),
        (3 / 16, 4200.0),
    ),
    ("7x19", "stainless"): (
        (1 / 16, 480.0),
        (3 / 32, 920.0),
        (1 / 8, 1760.0),
        (5 / 32, 2400.0),
        (3 / 16, 3700.0),
    ),
}


def breaking_load_n(construction: str, material: str, diameter_mm: Values) -> Values:
    """Return the least breaking load of a new wire [N]; NaN for a construction not in the table.

    Between two sizes of the table it runs straight over the diameter squared; beyond them it goes
    with the diameter squared from the nearest size.
    """
    rows = BREAKING_LOADS_LBF.get((construction, material))
    if rows is None:
        return np.nan + 0.0 * diameter_mm
    size = np.array([(inch * _INCH_MM) ** 2 for inch, _ in rows])
    load = np.array([pounds * _LBF_N for _, pounds in rows])
    square = np.asarray(diameter_mm, float) ** 2
    beyond = np.where(square < size[0], square / size[0], np.maximum(square / size[-1], 1.0))
    return np.interp(square, size, load) * beyond


def listed_sizes_mm(construction: str, material: str) -> tuple[float, ...]:
    """Return the diameters the table lists [mm], none for a construction it does not know."""
    rows = BREAKING_LOADS_LBF.get((construction, material), ())
    return tuple(inch * _INCH_MM for inch, _ in rows)
