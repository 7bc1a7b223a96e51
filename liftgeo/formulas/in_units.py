"""The units a working is written in: the file's own, or inch units that are coherent like them."""

from __future__ import annotations

from liftgeo.quantities import DIMENSIONS

_INCH = DIMENSIONS["length"].inch_factor
_LBF = DIMENSIONS["force"].inch_factor

# Inches, pounds-force and what is made of them: a formula holds in them as it stands.
_IN_INCH: dict[str, tuple[str, float]] = {
    "mm": ("in", _INCH),
    "mm²": ("in²", _INCH**2),
    "mm/rad": ("in/rad", _INCH),
    "N": ("lbf", _LBF),
    "N/mm": ("lbf/in", _LBF / _INCH),
    "N/mm³": ("lbf/in³", _LBF / _INCH**3),
    "N·mm": ("lbf·in", _LBF * _INCH),
    "N·mm/rad": ("lbf·in/rad", _LBF * _INCH),
    "MPa": ("psi", _LBF / _INCH**2),
}


def unit_shown(unit: str, units: str) -> tuple[str, float]:
    """Return the unit a quantity is written in, and what its number is divided by.

    Parameters
    ----------
    unit : str
        Of the quantity, as `symbols` names it.
    units : {"metric", "inch"}
    """
    return _IN_INCH.get(unit, (unit, 1.0)) if units == "inch" else (unit, 1.0)
