"""What is published of facing materials: the pressure each class bears."""

from __future__ import annotations

DRY_TABLE = (
    "Juvinall & Marshek, Fundamentals of Machine Component Design, ch. 18; table read, the book "
    "it is from recalled"
)
OIL_TABLE = "Neale, The Tribology Handbook, Table 7.4; read"

# Lowest and greatest pressure [MPa]. Source: the two tables named above (read; that the first is
# Juvinall & Marshek is from memory).
PRESSURE_DRY_MPA = {
    "moulded": (1.03, 2.07),
    "woven": (0.345, 0.690),
    "sintered": (1.03, 2.07),
    "cork": (0.055, 0.095),
    "metal": (0.690, 1.72),
}
PRESSURE_OIL_MPA = {
    "paper": (0.70, 1.75),
    "woven": (0.70, 1.75),
    "moulded": (0.70, 1.75),
    "sintered": (0.70, 4.20),
}


def published_pressure_mpa(material: str, *, wet: bool) -> tuple[float, float, str] | None:
    """Return the published range of pressure of a class of facing, and its source.

    None for a class without a published range; a class with one range only gives that one.
    """
    first, second = (PRESSURE_OIL_MPA, PRESSURE_DRY_MPA)
    tables = ((first, OIL_TABLE), (second, DRY_TABLE))
    for table, source in tables if wet else tables[::-1]:
        if material in table:
            return (*table[material], source)
    return None
