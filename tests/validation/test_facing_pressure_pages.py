"""Pressure that facings bear, class by class.

Sources
-------
Juvinall & Marshek, Fundamentals of Machine Component Design, ch. 18, p. 750 tables, dry facings:
read (that it is this book is from memory).
M. J. Neale (ed.), The Tribology Handbook, Table 7.4, facings in oil: read.
"""

from cases import each_holds, printed

from liftgeo.parts import facing

DRY = "Juvinall & Marshek, Fundamentals of Machine Component Design, ch. 18"
OIL = "Neale (ed.), The Tribology Handbook, Table 7.4"


def kilopascals(material: str, end: int, *, wet: bool) -> float:
    published = facing.published_pressure_mpa(material, wet=wet)
    return 1000 * published[end]


CASES = (
    *(printed(DRY, f"{material}, dry", word, "kPa", value,
              lambda row=(material, end): kilopascals(*row, wet=False))
      for material, low, high in (("moulded", "1030", "2070"), ("woven", "345", "690"),
                                  ("sintered", "1030", "2070"), ("cork", "55", "95"),
                                  ("metal", "690", "1720"))
      for end, word, value in ((0, "lowest pressure", low), (1, "greatest pressure", high))),
    *(printed(OIL, f"{material}, in oil", "greatest pressure", "kPa", value,
              lambda material=material: kilopascals(material, 1, wet=True))
      for material, value in (("paper", "1750"), ("woven", "1750"), ("sintered", "4200"))),
)  # fmt: skip


test_row = each_holds(CASES)


def test_a_class_with_one_published_range_has_that_one_and_an_unknown_class_none():
    assert facing.published_pressure_mpa("cork", wet=True)[1] == 0.095
    assert facing.published_pressure_mpa("paper", wet=False)[1] == 1.75
    assert facing.published_pressure_mpa("hemp", wet=False) is None
