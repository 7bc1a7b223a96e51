"""Stretch of wire rope.

Source: strandcore.com, technical resources, "Wire rope stretch": elastic stretch in per cent is
the load [lbf] times a factor G over the diameter [in] squared; G for four constructions in
stainless and galvanised wire: read. Its stainless 1×7 is printed tenfold (7.35e-5), which would
make the metal as soft as 15 GPa; taken here as 7.35e-6.
"""

import math

import pytest
from cases import Case, each_holds, half_digit, printed, worked_out

from liftgeo.parts import cable

PAGE = "Wire rope stretch (strandcore.com, technical resources)"
CIRCLES = "Equal round wires summed up: n·π/4·(d/m)², m wires across"
LBF, INCH = 4.4482216152605, 25.4

STRETCH = (
    ("1x7", "stainless", "7.35e-6"),
    ("1x19", "stainless", "7.79e-6"),
    ("7x7", "stainless", "1.20e-5"),
    ("7x19", "stainless", "1.62e-5"),
    ("1x7", "galvanised", "6.61e-6"),
    ("1x19", "galvanised", "6.98e-6"),
    ("7x7", "galvanised", "1.07e-5"),
    ("7x19", "galvanised", "1.40e-5"),
)
MISPRINT = (
    "Printed 7.35e-5, as the first number says; that would make the metal as soft as 15 GPa. The "
    "second, a tenth of it, is ours, and what is held."
)
WIRES = (("1x7", 7, 3), ("1x19", 19, 5), ("7x7", 49, 9), ("7x19", 133, 15))


def stretch_percent(construction: str, material: str, load_n: float, diameter_mm: float) -> float:
    """Return the stretch of a metre of wire as a straight cable, by modulus and area."""
    area = cable.wire_area_mm2(construction, diameter_mm)
    modulus = cable.wire_modulus_mpa(construction, material)
    wire = cable.Cable(compliance_mm_per_n=1000.0 / (modulus * area))
    return wire.stretch_mm(load_n, cable.PULLING) / 1000.0 * 100


CASES = (
    Case(PAGE, "1x7, stainless", "stretch factor G", "%·in²/lbf", 7.35e-6,
         half_digit("7.35e-6"), lambda: stretch_percent("1x7", "stainless", LBF, INCH), MISPRINT,
         shown="7.35e-5; 7.35e-6"),
    *(printed(PAGE, f"{construction}, {material}", "stretch factor G", "%·in²/lbf", factor,
              lambda c=construction, m=material: stretch_percent(c, m, LBF, INCH))
      for construction, material, factor in STRETCH[1:]),
    worked_out(PAGE + ", put into its own formula", "7x19 stainless, 1/8 in, 500 lbf", "stretch",
               "%", 500.0 * 1.62e-5 / 0.125**2,
               lambda: stretch_percent("7x19", "stainless", 500.0 * LBF, 0.125 * INCH)),
    *(worked_out(CIRCLES, f"{construction} of 2.5 mm", "metal area", "mm²",
                 count * math.pi / 4 * (2.5 / across) ** 2,
                 lambda c=construction: cable.wire_area_mm2(c, 2.5))
      for construction, count, across in WIRES),
)  # fmt: skip


test_row = each_holds(CASES)


@pytest.mark.parametrize("rope", STRETCH, ids=lambda rope: " ".join(rope[:2]))
def test_no_rope_is_stiffer_than_its_steel(rope):
    """Lay lengthens the wires; on the metal a rope lies below 206 GPa and above 80."""
    assert 80_000 < cable.wire_modulus_mpa(*rope[:2]) < 206_000


def test_coarser_lay_is_stiffer():
    """A strand of few wires stretches less than a rope of strands, whatever the material."""
    for material in ("stainless", "galvanised"):
        k = [
            cable.wire_modulus_mpa(c, material) * cable.wire_area_mm2(c, 1.0)
            for c in ("1x7", "1x19", "7x7", "7x19")
        ]
        assert k == sorted(k, reverse=True)
