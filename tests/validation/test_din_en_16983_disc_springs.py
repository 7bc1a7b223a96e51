"""Standard coned discs: the table of loads, and the constant K1.

Sources
-------
DIN EN 16983 (formerly DIN 2093), Disc springs: quality requirements, dimensions. Series A, rows
8 to 31.5 mm, and the heading (E = 206 000 MPa, nu = 0.3): read, with their test deflections, in
the table as a spring maker gives it (xmdiscsprings.com, "DIN 2093 disc springs"). Series B and C:
from memory.
DIN EN 16984 (formerly DIN 2092), Disc springs: calculation. Four rows of K1: from memory.

The trap: the table's loads stand at 0.75 h0 *rounded half up to 0.01 mm*. At 0.75 h0 itself small
discs differ by up to 2 per cent. Loads carry three significant digits.

Left out: series C, 125 × 64 × 3.5, remembered as 15 100 N where the formula gives 15 422 N. One of
the two is wrong, and it may well be the memory.
"""

from decimal import ROUND_HALF_UP, Decimal

import clutches
import pytest
from cases import each_holds, half_digit, printed

from liftgeo.parts import spring

TABLE = "DIN EN 16983 (DIN 2093), table of disc springs, series "
CONSTANT = "DIN EN 16984 (DIN 2092), table of K1"

SERIES_A = (
    # De, Di, t, h0, test deflection as printed, load as printed
    ("8", "4.2", "0.4", "0.2", "0.15", "210"),
    ("10", "5.2", "0.5", "0.25", "0.19", "329"),
    ("12.5", "6.2", "0.7", "0.3", "0.23", "673"),
    ("14", "7.2", "0.8", "0.3", "0.23", "813"),
    ("16", "8.2", "0.9", "0.35", "0.26", "1000"),
    ("18", "9.2", "1.0", "0.4", "0.30", "1250"),
    ("20", "10.2", "1.1", "0.45", "0.34", "1530"),
    ("22.5", "11.2", "1.25", "0.5", "0.38", "1950"),
    ("25", "12.2", "1.5", "0.55", "0.41", "2910"),
    ("28", "14.2", "1.5", "0.65", "0.49", "2850"),
    ("31.5", "16.3", "1.75", "0.7", "0.53", "3900"),
)
SERIES_B = (
    ("8", "4.2", "0.3", "0.25", "119"),
    ("12.5", "6.2", "0.5", "0.35", "291"),
    ("16", "8.2", "0.6", "0.45", "412"),
    ("20", "10.2", "0.8", "0.55", "745"),
    ("25", "12.2", "0.9", "0.7", "868"),
    ("31.5", "16.3", "1.25", "0.9", "1920"),
    ("40", "20.4", "1.5", "1.15", "2620"),
    ("50", "25.4", "2", "1.4", "4760"),
    ("63", "31", "2.5", "1.75", "7180"),
)
SERIES_C = (
    ("8", "4.2", "0.2", "0.25", "39"),
    ("12.5", "6.2", "0.35", "0.45", "152"),
    ("16", "8.2", "0.4", "0.5", "155"),
    ("20", "10.2", "0.5", "0.65", "254"),
    ("25", "12.2", "0.7", "0.9", "601"),
    ("40", "20.4", "1.0", "1.3", "1020"),
    ("50", "25.4", "1.25", "1.6", "1550"),
    ("63", "31", "1.8", "2.35", "4240"),
    ("100", "51", "2.7", "3.5", "8610"),
)
K1 = (("1.90", "0.672"), ("1.96", "0.686"), ("2.00", "0.694"), ("2.06", "0.706"))


def rounded_deflection(cone_height: str) -> str:
    """Return 0.75 h0 as the table rounds it [mm]."""
    exact = Decimal("0.75") * Decimal(cone_height)
    return str(exact.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def _load_n(sizes: tuple[str, ...], deflection: float) -> float:
    return spring.ConedDisc(*map(float, sizes)).load_n(deflection)


def clamp_n(sizes: tuple[str, ...], deflection: float) -> float:
    """Return the clamp force of a clutch whose stack leaves the free height less a deflection.

    The workshop measures no deflection: rim depth, friction plate and pressure plate leave a gap.
    """
    names = ("outside_diameter", "inside_diameter", "thickness", "cone_height")
    disc = dict(zip(names, map(float, sizes), strict=True))
    plates = clutches.BASE["stack"]["friction_plate"] + clutches.BASE["stack"]["pressure_plate"]
    rim = disc["cone_height"] + disc["thickness"] - deflection + plates
    made = clutches.mechanism(spring=disc, stack={"rim_depth": rim})
    return float(made.parts().clamp_force_n)


def _row(series: str, row: tuple[str, ...], *, read: bool):
    *sizes, load = row
    sizes, deflection = tuple(sizes[:4]), rounded_deflection(sizes[3])
    return printed(
        TABLE + series,
        f"{sizes[0]} × {sizes[1]} × {sizes[2]}, h0 {sizes[3]}, at {deflection} mm",
        "load",
        "N",
        load,
        lambda: _load_n(sizes, float(deflection)),
        digits=3,
        read=read,
    )


CASES = (
    *(_row("A", row, read=True) for row in SERIES_A),
    *(_row("B", row, read=False) for row in SERIES_B),
    *(_row("C", row, read=False) for row in SERIES_C),
    *(
        printed(
            CONSTANT,
            f"δ = {ratio}",
            "K1",
            "",
            value,
            lambda ratio=ratio: spring.disc_constant(float(ratio)),
            read=False,
        )
        for ratio, value in K1
    ),
)


test_row = each_holds(CASES)


@pytest.mark.parametrize("row", [*SERIES_A, *SERIES_B, *SERIES_C], ids="-".join)
def test_a_clutch_measured_in_its_stack_is_clamped_by_the_load_of_its_row(row):
    sizes, load = row[:4], row[-1]
    found = clamp_n(sizes, float(rounded_deflection(sizes[3])))
    assert found == pytest.approx(float(load), abs=half_digit(load, 3))


@pytest.mark.parametrize("row", SERIES_A, ids=lambda row: row[0])
def test_the_printed_deflections_are_rounded_half_up(row):
    assert rounded_deflection(row[3]) == row[4]


def test_at_the_unrounded_deflection_the_smallest_loads_are_missed():
    sizes, load = SERIES_A[2][:4], float(SERIES_A[2][5])
    exact = _load_n(sizes, 0.75 * float(sizes[3]))
    assert exact == pytest.approx(0.98 * load, abs=0.002 * load)
