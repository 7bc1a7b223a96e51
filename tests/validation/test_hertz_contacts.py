"""Contact of balls, after Hertz.

Sources
-------
Code_Aster validation manual V6.04.104 (SSNV104), two spheres pressed together: radius 50 mm,
E 20 000 MPa, nu 0.3, 4 mm nearer: a = 10 mm read there; 2798.3 MPa read on the simscale.com
validation page of the same case.
Finite-element exercise (tutorsglobe.com, 51707067): sphere of 8 mm on a rigid flat, 60 pi N,
E 1000 MPa, nu 0.3: read.
B. J. Hamrock and co-workers, NASA, table of ball contacts: ball of 6.35 mm on a plane and in an
outer race's groove, 222.4111 N, E' 219.7 GPa: from memory.
SciPy: complete elliptic integrals, and an ellipse solved with them.

Left out: an answer page (20 mm steel ball on aluminium, 1 kN) whose own half axis and load do not
give its pressure.
"""

import math

import pytest
from cases import in_order, printed, worked_out
from scipy.optimize import brentq
from scipy.special import ellipe, ellipk

from liftgeo.parts import hertz

SPHERES = "Code_Aster validation V6.04.104 (SSNV104), two spheres; pressure on simscale.com"
EXERCISE = "Finite-element exercise (tutorsglobe.com, 51707067)"
NASA = "B. J. Hamrock and co-workers, NASA, ball contacts"
SCIPY = "SciPy elliptic integrals and brentq, after Hertz"
MODULUS = 219_700.0 / 2  # Hamrock's E' is twice E*
LOAD = 222.4111


def crushed_spheres() -> hertz.Contact:
    """Return two spheres of 50 mm brought 4 mm nearer: the approach goes with load**(2/3)."""
    modulus = hertz.contact_modulus_mpa(20_000.0, 0.3)
    one = hertz.point_contact(1.0, 2 / 50.0, 2 / 50.0, modulus)
    return hertz.point_contact((4.0 / one.approach_mm) ** 1.5, 2 / 50.0, 2 / 50.0, modulus)


def exercise() -> hertz.Contact:
    modulus = hertz.contact_modulus_mpa(1000.0, 0.3, math.inf, 0.0)
    return hertz.ball_contact(60 * math.pi, 16.0, modulus_mpa=modulus)


def on_plane() -> hertz.Contact:
    return hertz.ball_contact(LOAD, 12.7, modulus_mpa=MODULUS)


def in_race() -> hertz.Contact:
    return hertz.point_contact(LOAD, 1 / 6.35 - 1 / 38.9, 1 / 6.35 - 1 / 6.6, MODULUS)


def in_straight_groove() -> hertz.Contact:
    return hertz.ball_contact(LOAD, 12.7, 6.6, MODULUS)


def ellipse(flat: float, sharp: float) -> tuple[float, float, float, float]:
    """Return long and short half axis [mm], pressure [MPa], approach [mm] by SciPy."""

    def miss(m):
        k2 = 1 / (1 - m)
        return (k2 * ellipe(m) - ellipk(m)) / (ellipk(m) - ellipe(m)) - sharp / flat

    m = brentq(miss, 1e-9, 1 - 1e-12, xtol=1e-16)
    k = (1 - m) ** -0.5
    long = (3 * k**2 * ellipe(m) * LOAD / (math.pi * MODULUS * (flat + sharp))) ** (1 / 3)
    short = long / k
    pressure = 3 * LOAD / (2 * math.pi * long * short)
    return long, short, pressure, 3 * LOAD * ellipk(m) / (2 * math.pi * MODULUS * long)


RACE = ellipse(1 / 6.35 - 1 / 6.6, 1 / 6.35 - 1 / 38.9)
GROOVE = ellipse(1 / 6.35 - 1 / 6.6, 1 / 6.35)
AXES = ("long half axis", "mm"), ("short half axis", "mm"), ("pressure", "MPa"), ("approach", "mm")
FIELDS = "long_mm", "short_mm", "pressure_mpa", "approach_mm"

CASES = (
    printed(SPHERES, "two spheres, 4 mm nearer", "pressure", "MPa", "2798.3",
            lambda: crushed_spheres().pressure_mpa),
    printed(SPHERES, "two spheres, 4 mm nearer", "half axis", "mm", "10",
            lambda: crushed_spheres().long_mm),
    printed(EXERCISE, "sphere of 8 mm on a rigid flat, 60π N", "half axis", "mm", "1.010",
            lambda: exercise().short_mm),
    printed(NASA, "ball on a plane", "pressure", "GPa", "2.34",
            lambda: on_plane().pressure_mpa / 1000, read=False),
    printed(NASA, "ball on a plane", "approach", "µm", "7.13",
            lambda: on_plane().approach_mm * 1000, read=False),
    printed(NASA, "ball in an outer race", "approach", "µm", "3.56",
            lambda: in_race().approach_mm * 1000, read=False),
    *(worked_out(SCIPY, "ball in an outer race", quantity, unit, RACE[k],
                 lambda name=FIELDS[k]: float(getattr(in_race(), name)))
      for k, (quantity, unit) in enumerate(AXES)),
    *(worked_out(SCIPY, "ball in a straight groove", quantity, unit, GROOVE[k],
                 lambda name=FIELDS[k]: float(getattr(in_straight_groove(), name)))
      for k, (quantity, unit) in enumerate(AXES)),
    *(worked_out(SCIPY, f"m = {m}", name, "", float(function(m)),
                 lambda m=m, k=k: float(hertz.elliptic_integrals(m)[k]), close=1e-13)
      for m in (0.2, 0.97) for k, (name, function) in enumerate((("K", ellipk), ("E", ellipe)))),
    worked_out("Two springs in series", "steel on aluminium (206 and 70 GPa, ν 0.3 and 0.33)",
               "contact modulus", "MPa", 1 / (0.91 / 206_000 + (1 - 0.33**2) / 70_000),
               lambda: hertz.contact_modulus_mpa(206_000.0, 0.3, 70_000.0, 0.33)),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=in_order(CASES))
def test_contact(case):
    assert case.holds(), case.report()
