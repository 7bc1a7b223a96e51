"""Breaking load of flexible aircraft cable.

Sources
-------
FAA, Advisory Circular AC 43.13-1B, Table 7-3 (MIL-W-83420), as given on landseaskyspace.com: read,
in pounds and newtons.
"""

import pytest
from cases import each_holds, printed

from liftgeo.parts import wire_strength

TABLE = "FAA AC 43.13-1B, Table 7-3 (MIL-W-83420)"
SIXTEENTHS = {"3/64": 3 / 64, "1/16": 1 / 16, "3/32": 3 / 32, "1/8": 1 / 8, "5/32": 5 / 32,
              "3/16": 3 / 16}  # fmt: skip

ROWS = (
    ("7x7", "galvanised", "3/64", "1201"),
    ("7x7", "galvanised", "1/16", "2135"),
    ("7x7", "galvanised", "3/32", "4092"),
    ("7x19", "galvanised", "1/16", "2135"),
    ("7x19", "galvanised", "3/32", "4448"),
    ("7x19", "galvanised", "1/8", "8896"),
    ("7x19", "galvanised", "5/32", "12455"),
    ("7x19", "galvanised", "3/16", "18683"),
    ("7x19", "stainless", "3/32", "4092"),
    ("7x19", "stainless", "1/8", "7829"),
    ("7x19", "stainless", "5/32", "10676"),
    ("7x19", "stainless", "3/16", "16458"),
)


def breaks_n(construction: str, material: str, inches: str) -> float:
    return wire_strength.breaking_load_n(construction, material, SIXTEENTHS[inches] * 25.4)


CASES = (
    *(printed(TABLE, f"{construction}, {material}, {inches} in", "breaking load", "N", load,
              lambda row=(construction, material, inches): breaks_n(*row))
      for construction, material, inches, load in ROWS),
    printed(TABLE, "7x19, largest size listed", "diameter", "mm", "4.76",
            lambda: wire_strength.listed_sizes_mm("7x19", "stainless")[-1]),
    printed(TABLE, "7x7, smallest size listed", "diameter", "mm", "1.19",
            lambda: wire_strength.listed_sizes_mm("7x7", "stainless")[0]),
)  # fmt: skip


test_row = each_holds(CASES)


def test_between_two_sizes_and_beyond_them_the_load_goes_with_the_metal():
    """The same load for each square millimetre as at the nearest size, or between two sizes."""
    largest = breaks_n("7x19", "stainless", "3/16")
    twice = wire_strength.breaking_load_n("7x19", "stainless", 2 * 25.4 * 3 / 16)
    assert twice == pytest.approx(4 * largest, rel=1e-12)
    between = wire_strength.breaking_load_n("7x19", "stainless", 3.0)
    low, high = (breaks_n("7x19", "stainless", inches) for inches in ("3/32", "1/8"))
    assert low / (25.4 * 3 / 32) ** 2 < between / 9.0 < high / 3.175**2
