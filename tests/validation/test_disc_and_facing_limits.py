"""Tolerance on a disc's load, its reference stress, and the pressure facings bear.

Sources
-------
DIN EN 16983, tolerance on load at free height less 0.75 h0, in a spring maker's extract: read.
Juvinall & Marshek, Fundamentals of Machine Component Design, ch. 18, p. 750 tables, dry facings:
read (that it is this book is from memory).
M. J. Neale (ed.), The Tribology Handbook, Table 7.4, facings in oil: read.
Reference stress: the bending of a turned ring at the circle it turns about, by hand.
"""

import math

import pytest
from cases import in_order, printed, worked_out

from liftgeo.parts import disc_limits, facing, spring

STANDARD = "DIN EN 16983, tolerance on load, in a spring maker's extract"
DRY = "Juvinall & Marshek, Fundamentals of Machine Component Design, ch. 18"
OIL = "Neale (ed.), The Tribology Handbook, Table 7.4"
BENDING = "Bending of a ring turned about its neutral circle, by hand"

DISC = spring.ConedDisc(140.0, 100.0, 2.0, 4.0)


def share(thickness_mm: float, end: int) -> float:
    """Return how much more (1) or less (0) a disc may press, in per cent."""
    factor = float(disc_limits.load_tolerance(thickness_mm)[end])
    return 100 * (factor - 1) if end else 100 * (1 - factor)


def bending_mpa(s: float) -> float:
    """Return the bending stress at the circle the section turns about.

    The section turns by s over half of De - Di about the circle D0 = (De - Di)/ln(De/Di); there
    its surface is strained by half the thickness times that turn over the radius. The standard
    takes K1, of the membrane term, for the bending constant too; the ratio sets one over to the
    other.
    """
    outside, inside, t, e = 140.0, 100.0, 2.0, 206_000.0
    ratio = outside / inside
    turn = s / ((outside - inside) / 2)
    circle = (outside - inside) / math.log(ratio)
    strain = t / 2 * turn / (circle / 2)
    bending = 6 / (math.pi * math.log(ratio)) * ((ratio - 1) / ratio) ** 2
    membrane = ((ratio - 1) / ratio) ** 2 / math.pi
    membrane /= (ratio + 1) / (ratio - 1) - 2 / math.log(ratio)
    return e / (1 - 0.3**2) * strain * bending / membrane


def kilopascals(material: str, end: int, *, wet: bool) -> float:
    published = facing.published_pressure_mpa(material, wet=wet)
    return 1000 * published[end]


CASES = (
    *(printed(STANDARD, f"{thickness} mm thick", word, "%", value,
              lambda row=(thickness, end): share(*row), tolerance=1e-9,
              note="Given as a share, so exact.")
      for thickness, low, high in ((1.0, "7.5", "25"), (1.25, "7.5", "15"), (3.0, "7.5", "15"),
                                   (3.5, "5", "10"), (6.0, "5", "10"), (7.0, "5", "5"))
      for end, word, value in ((0, "load it may lack", low), (1, "load it may have more", high))),
    worked_out(BENDING, "140 × 100 × 2, pressed 3 mm", "reference stress", "MPa", bending_mpa(3.0),
               lambda: disc_limits.reference_stress_mpa(DISC, 3.0)),
    *(printed(DRY, material, word, "kPa", value,
              lambda row=(material, end): kilopascals(*row, wet=False), tolerance=0.5,
              note="Both ends of a range in round numbers.")
      for material, low, high in (("moulded", "1030", "2070"), ("woven", "345", "690"),
                                  ("sintered", "1030", "2070"), ("cork", "55", "95"),
                                  ("metal", "690", "1720"))
      for end, word, value in ((0, "lowest pressure", low), (1, "greatest pressure", high))),
    *(printed(OIL, f"{material} in oil", "greatest pressure", "kPa", value,
              lambda material=material: kilopascals(material, 1, wet=True), tolerance=0.5,
              note="An end of a range in round numbers.")
      for material, value in (("paper", "1750"), ("woven", "1750"), ("sintered", "4200"))),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=in_order(CASES))
def test_limit(case):
    assert case.holds(), case.report()


def test_a_stack_is_stressed_as_one_of_its_discs():
    stack = spring.ConedDisc(140.0, 100.0, 2.0, 4.0, in_series=3.0, in_parallel=2.0)
    assert disc_limits.reference_stress_mpa(stack, 9.0) == pytest.approx(
        disc_limits.reference_stress_mpa(DISC, 3.0), rel=1e-12
    )


def test_a_class_with_one_published_range_has_that_one_and_an_unknown_class_none():
    assert facing.published_pressure_mpa("cork", wet=True)[1] == 0.095
    assert facing.published_pressure_mpa("paper", wet=False)[1] == 1.75
    assert facing.published_pressure_mpa("hemp", wet=False) is None
