"""Reading and showing quantities: units, fractions, ±, and every refusal.

Conversion factors marked NIST: A. Thompson and B. N. Taylor, "Guide for the Use of the
International System of Units (SI)", NIST Special Publication 811, 2008 edition, Appendix B. Values
from memory; those that NIST prints as exact are compared exactly, the others to half their last
printed digit.
"""

from __future__ import annotations

import copy
import json
import math
import pickle
import subprocess
import sys
import tomllib
from decimal import Decimal
from fractions import Fraction
from typing import Any

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from liftgeo.as_written import amount_in, quoted
from liftgeo.errors import QuantityError
from liftgeo.quantities import (
    DIMENSIONS,
    Measured,
    as_text,
    converted,
    read,
    shown,
    unit_of,
    weighed_unit,
)

NAMES = sorted(DIMENSIONS)
finite = st.floats(allow_nan=False, allow_infinity=False)
half_widths = st.floats(min_value=0.0, allow_nan=False, allow_infinity=False)

# --- factors -------------------------------------------------------------------------------------

NIST_EXACT = [
    ("1 in", "length", 25.4),
    ("1 ft", "length", 304.8),
    ("1 mil", "length", 0.0254),
    ("1 lbf", "force", 4.4482216152605),  # NIST prints 4.448222; 0.45359237 x 9.80665 is exact
    ("1 kgf", "force", 9.80665),
    ("1 kp", "force", 9.80665),
    ("1 kgf·m", "torque", 9.80665),
    ("1 bar", "pressure", 0.1),
    ("1 cP", "viscosity", 1.0),
    ("1 in²", "area", 645.16),
    ("1 '", "length", 304.8),
    ("1 kW", "power", 1.0),
    ("1 PS", "power", 0.73549875),  # NIST prints 735.4988 W; 75 kgf·m/s is exact
]

NIST_PRINTED = [
    ("1 lbf·ft", "torque", "1.355818"),
    ("1 lbf·in", "torque", "0.1129848"),
    ("1 lbf/in", "rate", "0.1751268"),
    ("1 psi", "pressure", "0.006894757"),
    ("1 ksi", "pressure", "6.894757"),
    ("1 kgf/cm^2", "pressure", "0.0980665"),
    ("1 rad", "angle", "57.29578"),
    ("1 degF", "temperature", "0.5555556"),
    ("1 ozf", "force", "0.2780139"),
    ("1 hp", "power", "0.7456999"),  # printed in W, 745.6999, for 550 ft·lbf/s
]


@pytest.mark.parametrize(("text", "dimension", "value"), NIST_EXACT)
def test_exact_factors_of_nist_sp_811(text: str, dimension: str, value: float) -> None:
    assert read(text, dimension) == value


@pytest.mark.parametrize(("text", "dimension", "printed"), NIST_PRINTED)
def test_printed_factors_of_nist_sp_811(text: str, dimension: str, printed: str) -> None:
    half_last_digit = 0.5 * 10.0 ** int(Decimal(printed).as_tuple().exponent)
    assert read(text, dimension) == pytest.approx(float(printed), abs=half_last_digit, rel=0)


def test_revolutions_per_minute_of_nist_sp_811() -> None:
    radians_per_second = 0.1047198  # printed for 1 rpm
    assert read(f"{radians_per_second} rad/s", "speed") == pytest.approx(
        1.0, abs=0.5e-7 / radians_per_second, rel=0
    )


# Every name and spelling served without Pint, and what Pint calls it. In Pint pounds and kilograms
# are masses, so the force units are given their Pint names.
SPELLINGS = {
    "length": {
        "mm": "mm",
        "cm": "cm",
        "m": "m",
        "um µm μm": "um",
        "in inch inches \" ″ ''": "inch",
        "thou mil mils": "thou",
        "ft foot feet '": "foot",
    },
    "angle": {"deg degree degrees ° º": "degree", "rad": "radian", "rev": "turn"},
    "force": {
        "N": "N",
        "kN": "kN",
        "lbf lb lbs": "pound_force",
        "kgf kp": "kilogram_force",
        "gf": "gram_force",
        "ozf oz ounce ounces": "ounce_force",
        "st stone stones": "14 * pound_force",
        "kg": "kilogram_force",
        "g": "gram_force",
    },
    "torque": {
        "N·m|N⋅m|N*m|N.m|N m|N-m|Nm|N × m|N ∙ m|m·N|(N·m)": "N*m",
        "N·mm|Nmm|N.mm": "N*mm",
        "N·cm|Ncm": "N*cm",
        "kN·m|kNm": "kN*m",
        "lbf·ft|ft·lbf|lbf ft|lbf-ft|ft-lbf|ft-lb|lb-ft|lb.ft": "pound_force*foot",
        "lbf·in|in·lbf|in-lb|lb in": "pound_force*inch",
        "kgf·m|kp·m": "kilogram_force*m",
        "kgf·cm|kgf cm": "kilogram_force*cm",
        "kg·m|kg m": "kilogram_force*m",
    },
    "rate": {
        "N/mm|N / mm|N per mm|N·mm^-1|N mm⁻¹|N/(mm)": "N/mm",
        "kN/m": "kN/m",
        "N/m": "N/m",
        "lbf/in|lb/in": "pound_force/inch",
        "kgf/mm|kg/mm": "kilogram_force/mm",
    },
    "angular-rate": {
        "N·m/deg|Nm/deg|N m/°|N.m/degree": "N*m/degree",
        "N·m/rad|Nm/rad": "N*m/radian",
        "N·mm/deg": "N*mm/degree",
        "lbf·in/deg": "pound_force*inch/degree",
        "lbf·ft/deg|ft-lb/deg": "pound_force*foot/degree",
    },
    "pressure": {
        "MPa": "MPa",
        "N/mm²|N/mm^2|N/mm2|N/mm**2|N/(mm·mm)": "N/mm**2",
        "Pa": "Pa",
        "mPa": "mPa",
        "kPa": "kPa",
        "GPa": "GPa",
        "bar": "bar",
        "psi|lbf/in²|lb/in2": "psi",
        "ksi": "ksi",
        "kgf/cm²|kg/cm²": "kilogram_force/cm**2",
    },
    "speed": {
        "rev/min|rpm": "turn/minute",
        "1/min|/min": "turn/minute",
        "rev/s|1/s": "turn/second",
        "rad/s": "radian/second",
        "deg/s": "degree/second",
    },
    "ratio": {"%": "percent", "ppm": "ppm", "mm/mm": "", "mm/m": "mm/m"},
    "temperature": {"K degC °C": "kelvin", "degF °F": "delta_degF"},
    "expansion": {
        "1/K|/K|1/degC|1/°C|K^-1": "1/kelvin",
        "um/(m K)|µm/(m·K)|um/m/K|um/(m·degC)|ppm/K": "um/(m*kelvin)",
        "1/degF": "1/delta_degF",
    },
    "viscosity": {"mPa·s|mPa s|mPa.s|cP": "mPa*s", "Pa·s": "Pa*s"},
    "time": {"h hr hour hours": "hour", "min": "minute", "s sec": "second"},
    "area": {"mm²|mm^2|mm2": "mm**2", "cm²": "cm**2", "in²|in^2|in2": "inch**2", "m²": "m**2"},
    "power": {
        "kW": "kW",
        "W": "W",
        "hp HP bhp": "horsepower",
        "PS CV cv ch pk": "metric_horsepower",
        "N·m/s": "N*m/s",
    },
}
PINT_BARE = {
    "length": "mm",
    "angle": "degree",
    "force": "N",
    "torque": "N*m",
    "rate": "N/mm",
    "angular-rate": "N*m/degree",
    "pressure": "MPa",
    "speed": "turn/minute",
    "ratio": "",
    "temperature": "kelvin",
    "expansion": "1/kelvin",
    "viscosity": "mPa*s",
    "time": "hour",
    "area": "mm**2",
    "power": "kW",
}
TABLE = [
    (dimension, spelling, other)
    for dimension, rows in SPELLINGS.items()
    for spellings, other in rows.items()
    for spelling in (spellings.split("|") if "|" in spellings else [spellings])
    for spelling in ([spelling] if "|" in spellings or "/" in spelling else spelling.split(" "))
]


@pytest.fixture(scope="module")
def registry() -> Any:
    return pint.UnitRegistry()


@pytest.mark.parametrize(("dimension", "spelling", "other"), TABLE)
def test_small_table_agrees_with_pint(
    registry: Any, dimension: str, spelling: str, other: str
) -> None:
    quantity = 7.0 * registry.Quantity(other) if other else registry.Quantity(7.0)
    expected = quantity.to(registry.Unit(PINT_BARE[dimension])).magnitude
    # Pint multiplies rounded factors, so a few last places may differ.
    assert read(f"7 {spelling}", dimension) == pytest.approx(expected, rel=1e-14, abs=0)


def test_table_above_covers_every_dimension_and_unit_shown() -> None:
    assert set(SPELLINGS) == set(DIMENSIONS) == set(PINT_BARE)
    for dimension in NAMES:
        spelled = {spelling for name, spelling, _ in TABLE if name == dimension} | {""}
        assert {unit_of(dimension), unit_of(dimension, "inch")} <= spelled


def test_bare_units_are_those_of_the_geometry_file() -> None:
    assert [unit_of(name) for name in ("length", "force", "angle", "torque", "rate")] == [
        "mm",
        "N",
        "deg",
        "N·m",
        "N/mm",
    ]
    assert unit_of("angular-rate") == "N·m/deg"
    assert unit_of("pressure") == "MPa"
    assert unit_of("speed") == "rev/min"
    assert unit_of("ratio") == unit_of("ratio", "inch") == ""


def test_no_heavy_library_is_loaded_until_a_rare_unit_is_met() -> None:
    script = """
import sys
from liftgeo.quantities import DIMENSIONS, as_text, converted, read, shown
for text, dimension in %r:
    read("7 " + text, dimension)
for name in DIMENSIONS:
    shown(converted(1.0, name, "inch"), name, "inch")
heavy = {"pint", "numpy", "scipy", "sympy", "shapely", "matplotlib", "tomlkit", "pydantic"}
print(sorted(heavy & set(sys.modules)))
print(read("3 hPa", "pressure"), "pint" in sys.modules)
""" % [(spelling, dimension) for dimension, spelling, _ in TABLE]
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, encoding="utf-8"
    )
    assert done.stdout.split("\n")[:2] == ["[]", "0.0003 True"]


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("3 hPa", "pressure", 3e-4),
        ("5 yard", "length", 4572.0),
        ("2 inches", "length", 50.8),
        ("90 arcmin", "angle", 1.5),
        ("2 dm²", "area", 20000.0),
        ("4 kN/dm", "rate", 40.0),
        ("1 day", "time", 24.0),
        ("2 Hz", "speed", 120.0),
        ("1 P", "viscosity", 100.0),
        ("3 N·m/turn", "angular-rate", 3 / 360),
    ],
)
def test_rarer_units_are_served_by_pint(text: str, dimension: str, value: float) -> None:
    assert read(text, dimension) == pytest.approx(value, rel=1e-12)


# --- reading -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("1 3/32 in", "length", 27.78125),
        ("1-3/32 in", "length", 27.78125),
        ("-1 3/32 in", "length", -27.78125),
        ("3/8 in", "length", 9.525),
        ('3/8"', "length", 9.525),
        ("1½ in", "length", 38.1),
        ("⅜ in", "length", 9.525),
        ("12 thou", "length", 0.3048),
        ("12thou", "length", 0.3048),
        ("0.1 in", "length", 2.54),
        ("55 lbf", "force", 244.6521888393275),
        ("55 lb", "force", 244.6521888393275),
        ("-12 deg", "angle", -12.0),
        ("−12°", "angle", -12.0),
        ("+12", "angle", 12.0),
        ("26", "length", 26.0),
        ("  26.5  ", "length", 26.5),
        (".5 mm", "length", 0.5),
        ("5. mm", "length", 5.0),
        ("1.2E-05 1/K", "expansion", 1.2e-5),
        ("12e-6/K", "expansion", 1.2e-5),
        ("5000 1/min", "speed", 5000.0),
        ("12 1/2 1/min", "speed", 12.5),
        ("95 %", "ratio", 0.95),
        ("1e-999999999 mm", "length", 0.0),
    ],
)
def test_text_without_plus_minus(text: str, dimension: str, value: float) -> None:
    number = read(text, dimension)
    assert number == value
    assert type(number) is float


@pytest.mark.parametrize(
    ("text", "dimension", "value", "half_width", "uniform"),
    [
        ("26.0 ± 0.2 mm", "length", 26.0, 0.2, False),
        ("26.0 mm ± 0.2", "length", 26.0, 0.2, False),
        ("26.0 mm ± 0.2 mm", "length", 26.0, 0.2, False),
        ("26±0.2", "length", 26.0, 0.2, False),
        ("26 +/- 0.2 mm uniform", "length", 26.0, 0.2, True),
        ("26 +- 0.2 uniform", "length", 26.0, 0.2, True),
        ("1 in ± 0.1 mm", "length", 25.4, 0.1, False),
        ("1 in ± 5 thou", "length", 25.4, 0.127, False),
        ("1 ± 1/64 in", "length", 25.4, 0.396875, False),
        ("26 ± 0 mm", "length", 26.0, 0.0, False),
        ("26 ± 5 %", "length", 26.0, 1.3, False),
        ("26 cm ± 5%", "length", 260.0, 13.0, False),
        ("-20 deg ± 5 %", "angle", -20.0, 1.0, False),
        ("0.30 ± 10 %", "ratio", 0.3, 0.03, False),
        ("95 % ± 2 %", "ratio", 0.95, 0.02, False),
        ("95 % ± 2", "ratio", 0.95, 0.02, False),
    ],
)
def test_text_with_plus_minus(
    text: str, dimension: str, value: float, half_width: float, uniform: bool
) -> None:
    number = read(text, dimension)
    assert isinstance(number, Measured)
    assert (number, number.half_width, number.uniform) == (value, half_width, uniform)


@pytest.mark.parametrize("value", [3, 3.0, np.float64(3), np.float32(3), np.int64(3), Fraction(3)])
def test_numbers_are_in_the_bare_unit(value: object) -> None:
    number = read(value, "torque")
    assert number == 3.0
    assert type(number) is float


def test_a_measured_value_is_read_as_it_is() -> None:
    value = Measured(26.0, 0.2, uniform=True)
    assert read(value, "length") is value


@given(finite, st.sampled_from(NAMES))
def test_as_text_and_read_give_a_number_back_exactly(value: float, dimension: str) -> None:
    assert read(as_text(value, dimension), dimension) == value


@given(finite, half_widths, st.booleans(), st.sampled_from(NAMES))
def test_as_text_and_read_give_a_measured_value_back_exactly(
    value: float, half_width: float, uniform: bool, dimension: str
) -> None:
    back = read(as_text(Measured(value, half_width, uniform), dimension), dimension)
    assert isinstance(back, Measured)
    assert (back, back.half_width, back.uniform) == (value, half_width, uniform)


@given(
    st.integers(min_value=0, max_value=40),
    st.integers(min_value=1, max_value=6).flatmap(
        lambda power: st.tuples(st.integers(1, 2**power - 1), st.just(2**power))
    ),
)
def test_fractions_of_an_inch_are_exact(whole: int, part: tuple[int, int]) -> None:
    top, bottom = part
    expected = float((whole + Fraction(top, bottom)) * Fraction(254, 10))
    assert read(f"{whole} {top}/{bottom} in", "length") == expected


SIGNS = [*"0123456789.,/^*()-+±%°'\"_½²·µ", "+/-", "⁻¹", "e5"]
WORDS = ["mm", "in", "N", "lbf", "deg", "K", "kg", "dB", "degC", "yard", "nan", "inf", "x"]
tokens = st.sampled_from([*SIGNS, *WORDS, " ", " uniform", "1 3/32"])


# No deadline: the first rare unit loads Pint.
@settings(deadline=None)
@given(st.one_of(st.text(max_size=30), st.lists(tokens).map("".join)), st.sampled_from(NAMES))
def test_any_text_is_read_or_refused_with_a_remedy(text: str, dimension: str) -> None:
    refusal = None
    number = 0.0
    try:
        number = read(text, dimension)
    except QuantityError as fault:
        refusal = fault
    assert math.isfinite(number)
    assert refusal is None or (refusal.problem and refusal.remedy)


def test_as_text_looks_like_what_people_write() -> None:
    assert as_text(Measured(26.0, 0.2), "length") == "26.0 ± 0.2 mm"
    assert as_text(Measured(26.0, 0.2, uniform=True), "length") == "26.0 ± 0.2 mm uniform"
    assert as_text(0.95, "ratio") == "0.95"
    assert as_text(2.5, "torque") == "2.5 N·m"


# --- refusals ------------------------------------------------------------------------------------


# Exact by definition: an inch is 25.4 mm, a foot 12 of them; a pound in standard gravity is
# 0.453 592 37 x 9.806 65 N, a stone 14 and an ounce a sixteenth of it. NIST SP 811, Appendix B.
INCH, FOOT, POUND = 25.4, 304.8, 4.4482216152605
WORKSHOP = [
    ('1 3/16"', "length", (1 + 3 / 16) * INCH),
    ("1 3/16″", "length", (1 + 3 / 16) * INCH),
    ("1 3/16''", "length", (1 + 3 / 16) * INCH),
    ('1-3/16"', "length", (1 + 3 / 16) * INCH),
    ("1⅛″", "length", 1.125 * INCH),
    ("½ in", "length", 0.5 * INCH),
    ("2⅓ in", "length", float(Fraction(7, 3) * Fraction("25.4"))),
    ("1' 7\"", "length", FOOT + 7 * INCH),
    ("1′ 7 1/2″", "length", FOOT + 7.5 * INCH),
    ("1’7½”", "length", FOOT + 7.5 * INCH),
    ("1 ft 7 in", "length", FOOT + 7 * INCH),
    ("1 foot and 7 inches", "length", FOOT + 7 * INCH),
    ("5' 7", "length", 5 * FOOT + 7 * INCH),
    ("2'", "length", 2 * FOOT),
    ("-1' 6\"", "length", -1.5 * FOOT),
    ("11 st 4 lb", "force", 158 * POUND),
    ("1 lb 6 oz", "force", 1.375 * POUND),
    ("12 kg", "force", 12 * 9.80665),
    ("500 g", "force", 4.903325),
    ("3 kg/mm", "rate", 3 * 9.80665),
    ("40 lb/in", "rate", 40 * POUND / 25.4),
]


@pytest.mark.parametrize(("text", "dimension", "value"), WORKSHOP)
def test_numbers_as_they_stand_in_a_note_book(text: str, dimension: str, value: float) -> None:
    assert read(text, dimension) == pytest.approx(value, rel=1e-15, abs=0)


def test_feet_and_inches_take_a_plus_minus_and_a_range() -> None:
    assert read('1\' 7" ± 1/16"', "length") == Measured(482.6, INCH / 16)
    found = read("1 ft 1 in to 1 ft 3 in", "length")
    assert (found.low, found.high) == pytest.approx((13 * INCH, 15 * INCH), rel=1e-15)


@pytest.mark.parametrize(
    ("text", "dimension", "unit"),
    [
        ("12 kg", "force", "kg"),
        ("12 ± 0.5 kg", "force", "kg"),
        ("3 kg/mm", "rate", "kg/mm"),
        ("11 kg to 12 kg", "force", "kg"),
        ("12 kgf", "force", ""),
        ("12 lb", "force", ""),
        ("12 N", "force", ""),
        ("12", "force", ""),
        ("12 kg", "length", ""),
        ("nothing", "force", ""),
    ],
)
def test_a_mass_read_as_a_weight_can_be_told(text: str, dimension: str, unit: str) -> None:
    assert weighed_unit(text, dimension) == unit


def test_what_stands_instead_of_a_comma_can_be_written() -> None:
    for text in ("26,5 mm", "0,05 to 0,4 mm", "1.234,5 mm"):
        with pytest.raises(QuantityError) as caught:
            read(text, "length")
        assert read(caught.value.instead, "length") > 0


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("1 mm more", (1, "1 mm")),
        ("1 mm thicker", (1, "1 mm")),
        ("2 mm less", (-1, "2 mm")),
        ("5 % less", (-1, "5 %")),
        ("1/16 in Shorter", (-1, "1/16 in")),
        ("more", None),
        ("1 mm", None),
        (1.0, None),
    ],
)
def test_by_an_amount(text: object, amount: tuple[int, str] | None) -> None:
    assert amount_in(text) == amount


@pytest.mark.parametrize(
    ("value", "line"),
    [
        ("26.5 mm", '"26.5 mm"'),
        ('1 3/16"', "'1 3/16\"'"),
        ("1' 7\"", '"1 ft 7 in"'),
        ("1' 7''", "\"1' 7''\""),
    ],
)
def test_quoted_lines_keep_the_inch_mark(value: str, line: str) -> None:
    assert quoted(value) == line
    assert read(tomllib.loads(f"x = {line}")["x"], "length") == read(value, "length")


@pytest.mark.parametrize(
    ("value", "dimension", "problem", "remedy"),
    [
        (True, "force", "true or false; a force is wanted", "245 N"),
        (None, "force", "nothing; a force is wanted", "245 N"),
        ([1.0], "length", "a list; a length is wanted", "26.5 mm"),
        ({"a": 1}, "length", "a table; a length is wanted", "26.5 mm"),
        (1j, "length", "of type complex", "26.5 mm"),
        (math.nan, "length", "nan is not a finite number", "26.5 mm"),
        (-math.inf, "length", "-inf is not a finite number", "26.5 mm"),
        (Measured(math.nan, 0.1), "length", "nan is not a finite number", "26.5 mm"),
        (10**400, "length", "not a finite number", "26.5 mm"),
        ("nan", "length", "'nan' is not a finite number", "26.5 mm"),
        ("-Infinity mm", "length", "not a finite number", "26.5 mm"),
        ("1e400", "length", "'1e400' is too large", "26.5 mm"),
        ("1e308 m", "length", "'1e308 m' is too large", "26.5 mm"),
        ("26 ± 1e400", "length", "too large", "26.5 mm"),
        ("26 ± nan", "length", "not a finite number", "26.5 mm"),
        ("", "length", "no number", "26.5 mm"),
        ("mm", "length", "no number", "26.5 mm"),
        ("26 ±", "length", "no number", "26.5 mm"),
        ("26,5 mm", "length", "comma", 'Write "26.5 mm".'),
        ("0,05 to 0,4 mm", "length", "comma", 'Write "0.05 to 0.4 mm".'),
        ("12,5 ± 0,2 mm", "length", "comma", 'Write "12.5 ± 0.2 mm".'),
        ("1,234.5 mm", "length", "nothing stands between", 'Write "1234.5 mm".'),
        ("1.234,5 mm", "length", "comma", 'Write "1234.5 mm".'),
        ("1,234,567 N", "force", "comma", 'Write "1234567 N".'),
        ("1 ft 13 in", "length", "does not add up", "less than 12 in"),
        ("1.5 ft 2 in", "length", "does not add up", "1 ft 7 1/2 in"),
        ("11 st 14 lb", "force", "does not add up", "less than 14 lbf"),
        ("1 ft 7 in", "force", "is a length", "245 N"),
        ("1 000 N", "force", "second number", "1 3/32 in"),
        ("1.5 3/8 in", "length", "second number", "1 3/32 in"),
        ("1/0 in", "length", "divides by zero", "26.5 mm"),
        ("1 5/4 in", "length", "fraction of 1 or more", "26.5 mm"),
        ("3 ± 1 ± 1", "length", "more than one ±", "26.5 mm"),
        ("3 ± -1 mm", "length", "± below 0", "0 or more"),
        ("3 mm uniform", "length", "gives no ±", "26.5 mm"),
        ("3 " + "m" * 200, "length", "202 characters", "26.5 mm"),
        ("3 N", "length", "'3 N' is a force; a length is wanted", "26.5 mm"),
        ("3 mm", "area", "a length; an area is wanted", "1.77 mm²"),
        ("3 N·m", "angular-rate", "a torque; a torsional rate is wanted", "10 N·m/deg"),
        ("3 rad", "ratio", "an angle; a pure number is wanted", "0.95"),
        ("3 arcmin", "ratio", "an angle; a pure number is wanted", "0.95"),
        ("3 1/min", "time", "a speed of rotation; a time is wanted", "500 h"),
        ("3 %", "length", "a pure number; a length is wanted", "26.5 mm"),
        ("3 mm ± 1 N", "length", "a force; a length is wanted", "26.5 mm"),
        ("3 V", "force", "is in V; a force is wanted", "245 N"),
        ("3 kg", "length", "a mass; a length is wanted", "26.5 mm"),
        ("3 kg·m", "force", "a force is wanted", "245 N"),
        ("3 kg/m", "viscosity", "a viscosity is wanted", "80 mPa·s"),
        ("3 mmm", "length", "unit 'mmm', which is not known", "Did you mean mm?"),
        ("3 Mpa", "pressure", "unit 'Mpa', which is not known", "Did you mean MPa?"),
        ("3 RPM", "speed", "not known", "Did you mean rpm?"),
        ("3 lfb/in", "rate", "unit 'lfb'", "Did you mean lbf/in?"),
        ("3 xyzzy", "length", "unit 'xyzzy'", "Units known here: mm, cm, m, in, thou."),
        ("3 dB", "ratio", "not known", "0.95"),
        ("3 degRe", "temperature", "not known", "60 K"),
        ("3 mm^999", "length", "not known", "26.5 mm"),
        ("3 (mm", "length", "not known", "26.5 mm"),
        ("3 mm)", "length", "not known", "26.5 mm"),
        ("3 mm/", "length", "not known", "26.5 mm"),
        ("3 /", "length", "not known", "26.5 mm"),
        ("3 m^1/2", "length", "not known", "26.5 mm"),
        ("3 mm", "lenght", "no dimension 'lenght'", "length"),
    ],
)
def test_refused_with_what_is_wrong_and_what_would_be_right(
    value: object, dimension: str, problem: str, remedy: str
) -> None:
    with pytest.raises(QuantityError) as caught:
        read(value, dimension)
    assert problem in caught.value.problem
    assert remedy in caught.value.remedy


@pytest.mark.parametrize("dimension", NAMES)
def test_the_example_in_each_remedy_can_itself_be_read(dimension: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read(None, dimension)
    example = caught.value.remedy.removeprefix("For example ").removesuffix(".")
    assert read(example, dimension) > 0.0


@pytest.mark.parametrize("dimension", NAMES)
def test_the_units_offered_for_an_unknown_one_can_themselves_be_read(dimension: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read("1 qqqqqqqq", dimension)
    listed = caught.value.remedy.split("Units known here: ")[1].split(". For example")[0]
    assert all(read(f"1 {unit}", dimension) > 0.0 for unit in listed.split(", "))


def test_other_calls_refuse_what_they_cannot_do() -> None:
    with pytest.raises(QuantityError, match="metric or inch"):
        shown(1.0, "length", "imperial")
    with pytest.raises(QuantityError, match="no dimension"):
        unit_of("mass")
    with pytest.raises(QuantityError, match="not a finite number"):
        as_text(math.nan, "length")


# --- Measured ------------------------------------------------------------------------------------


@pytest.mark.parametrize("value", [Measured(26.0, 0.2), Measured(-1.5, 0.0, uniform=True)])
def test_measured_survives_copies_and_pickle(value: Measured) -> None:
    pickled = [pickle.loads(pickle.dumps(value, level)) for level in range(6)]
    for other in [*pickled, copy.copy(value), copy.deepcopy(value), copy.deepcopy([value])[0]]:
        assert type(other) is Measured
        assert (other, other.half_width, other.uniform) == (
            value,
            value.half_width,
            value.uniform,
        )


def test_measured_counts_as_a_plain_float() -> None:
    value = Measured(26.0, 0.2)
    for result in (value + 1, 2 * value, -value, +value, abs(value), value**2, float(value)):
        assert type(result) is float
    assert value == 26.0
    assert f"{value}" == str(value) == "26.0"
    assert json.dumps(value) == "26.0"


def test_measured_repr_builds_it_again() -> None:
    assert repr(Measured(26.0, 0.2)) == "Measured(26.0, 0.2)"
    assert repr(Measured(26, 0.2, uniform=True)) == "Measured(26.0, 0.2, uniform=True)"


@pytest.mark.parametrize("half_width", [-0.1, math.nan, math.inf])
def test_measured_refuses_an_impossible_half_width(half_width: float) -> None:
    with pytest.raises(QuantityError, match="0 or more"):
        Measured(26.0, half_width)


# --- showing -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "dimension", "units", "digits", "text"),
    [
        (12.345, "force", "metric", 1, "12.3 N"),
        (12.345, "force", "metric", None, "12 N"),
        (0.762, "length", "inch", 2, "0.03 in"),
        (25.4, "length", "inch", None, "1.0000 in"),
        (-0.0012, "length", "metric", None, "0.00 mm"),
        (-0.0, "force", "metric", None, "0 N"),
        (-0.03, "length", "metric", None, "-0.03 mm"),
        (0.5, "ratio", "metric", None, "0.50"),
        (14.0, "angle", "inch", None, "14.0 deg"),
        (math.nan, "length", "metric", None, "–"),
        (Measured(26.0, 0.2), "length", "metric", None, "26.00 ± 0.20 mm"),
        (Measured(26.0, 0.002), "length", "metric", None, "26.000 ± 0.002 mm"),
        (Measured(26.0, 0.002), "length", "metric", 1, "26.0 ± 0.0 mm"),
        (Measured(26.0, 0.0), "length", "metric", None, "26.00 ± 0.00 mm"),
        (Measured(25.4, 0.254, True), "length", "inch", 2, "1.00 ± 0.01 in uniform"),
    ],
)
def test_shown(value: float, dimension: str, units: str, digits: int | None, text: str) -> None:
    assert shown(value, dimension, units, digits) == text


@given(finite, st.sampled_from(NAMES), st.sampled_from(["metric", "inch"]))
def test_no_negative_zero_is_shown(value: float, dimension: str, units: str) -> None:
    number = shown(value, dimension, units).split(" ")[0]
    assert not number.startswith("-") or float(number) < 0.0


@given(
    st.floats(min_value=-1e6, max_value=1e6),
    st.sampled_from(NAMES),
    st.sampled_from(["metric", "inch"]),
)
def test_a_converted_value_reads_back_with_the_unit_shown(
    value: float, dimension: str, units: str
) -> None:
    text = f"{converted(value, dimension, units)!r} {unit_of(dimension, units)}"
    assert read(text, dimension) == pytest.approx(value, rel=1e-15, abs=1e-300)


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("dimension", NAMES)
def test_arrays_convert_like_a_loop_of_numbers(dimension: str, units: str) -> None:
    values = np.linspace(-3.0, 7.0, 11)
    together = converted(values, dimension, units)
    assert together is not values
    assert together.tolist() == [converted(float(value), dimension, units) for value in values]


@pytest.mark.parametrize("dimension", NAMES)
def test_inch_factor_is_bare_units_in_one_inch_unit(dimension: str) -> None:
    kind = DIMENSIONS[dimension]
    assert kind.name == dimension
    assert read(f"1 {kind.inch_unit}", dimension) == kind.inch_factor
    assert converted(kind.inch_factor, dimension, "inch") == 1.0
