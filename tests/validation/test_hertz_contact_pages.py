"""Contact pressure of balls, against published contacts and a second method.

Sources
-------
Code_Aster validation V6.04.104 (SSNV104), two spheres crushed together: read, value on a
simulation service's validation page.
A finite-element textbook's exercise, sphere on a rigid flat, through a tutoring page: read.
B. J. Hamrock and others, contact table of a NASA report, ball on plane and ball in the groove of an
outer race: from memory.
The elliptic contact once more with SciPy's elliptic integrals and root search.
"""

import math

import pytest
from cases import each_holds, printed, worked_out
from scipy.optimize import brentq
from scipy.special import ellipe, ellipk

from liftgeo.parts import hertz, root

ASTER = "Code_Aster validation V6.04.104 (SSNV104), through simscale.com (validation)"
EXERCISE = (
    "A finite-element textbook's exercise, sphere on a flat, through tutorsglobe.com, 51707067"
)
NASA = "Hamrock and others, contact table of a NASA report"
AGAIN = "Hertz's elliptic contact with SciPy's elliptic integrals and root search"

NASA_MODULUS_MPA = 2.197e5 / 2  # the table's E' is twice E*
NASA_LOAD_N = 222.4111


def two_spheres() -> hertz.Contact:
    """Return the contact of two spheres R 50, E 20 000, crushed together by 4 mm in all."""
    modulus = hertz.contact_modulus_mpa(20_000.0, 0.3)

    def crushed(load_n):
        return hertz.point_contact(load_n, 2 / 50.0, 2 / 50.0, modulus)

    load = root.bracketed_root(lambda w: crushed(w).approach_mm - 4.0, 1e5, 1e6)
    return crushed(load)


def on_rigid_flat() -> hertz.Contact:
    modulus = hertz.contact_modulus_mpa(1000.0, 0.3, math.inf, 0.3)
    return hertz.ball_contact(60 * math.pi, 16.0, None, modulus)


def on_plane() -> hertz.Contact:
    return hertz.ball_contact(NASA_LOAD_N, 12.7, None, NASA_MODULUS_MPA)


def in_race() -> hertz.Contact:
    r = 1 / 6.35
    return hertz.point_contact(NASA_LOAD_N, r - 1 / 38.9, r - 1 / 6.6, NASA_MODULUS_MPA)


def by_scipy(load_n, curvature_1, curvature_2, modulus_mpa):
    """Return long and short half axis, pressure and approach, after K. L. Johnson, ch. 4."""
    flat, sharp = sorted((curvature_1, curvature_2))

    def miss(k):
        m = 1 - 1 / k**2
        return (k**2 * ellipe(m) - ellipk(m)) / (ellipk(m) - ellipe(m)) - sharp / flat

    k = brentq(miss, 1 + 1e-9, 1e3, xtol=1e-14)
    m = 1 - 1 / k**2
    long = (3 * k**2 * ellipe(m) * load_n / (math.pi * modulus_mpa * (flat + sharp))) ** (1 / 3)
    short = long / k
    approach = 3 * load_n * ellipk(m) / (2 * math.pi * modulus_mpa * long)
    return long, short, 1.5 * load_n / (math.pi * long * short), approach


def grooved_by_scipy(load_n, diameter, groove):
    modulus = 206_000.0 / (2 * (1 - 0.3**2))
    return by_scipy(load_n, 2 / diameter, 2 / diameter - 1 / groove, modulus)


CASES = (
    printed(ASTER, "Two spheres, R 50, crushed 4 mm", "greatest pressure", "MPa", "2798.3",
            lambda: two_spheres().pressure_mpa),
    printed(ASTER, "Two spheres, R 50, crushed 4 mm", "radius of the contact", "mm", "10.0",
            lambda: two_spheres().long_mm),
    printed(EXERCISE, "Sphere r 8 on a rigid flat, 60π N", "radius of the contact", "mm", "1.010",
            lambda: on_rigid_flat().long_mm),
    printed(NASA, "Ball on plane", "greatest pressure", "GPa", "2.34",
            lambda: on_plane().pressure_mpa / 1000, read=False),
    printed(NASA, "Ball on plane", "approach", "µm", "7.13",
            lambda: 1000 * on_plane().approach_mm, read=False),
    printed(NASA, "Ball in the groove of an outer race", "approach", "µm", "3.56",
            lambda: 1000 * in_race().approach_mm, read=False),
    *(worked_out(AGAIN, "Ball in the groove of an outer race", name, unit, value,
                 lambda name=attribute: getattr(in_race(), name), close=1e-9)
      for (name, unit, attribute), value in zip(
          (("long half axis", "mm", "long_mm"), ("short half axis", "mm", "short_mm"),
           ("greatest pressure", "MPa", "pressure_mpa"), ("approach", "mm", "approach_mm")),
          by_scipy(NASA_LOAD_N, 1 / 6.35 - 1 / 38.9, 1 / 6.35 - 1 / 6.6, NASA_MODULUS_MPA),
          strict=True)),
    worked_out(AGAIN, "8 mm ball in a straight groove of 4.3 mm, 1000 N, steel",
               "greatest pressure", "MPa", grooved_by_scipy(1000.0, 8.0, 4.3)[2],
               lambda: hertz.ball_contact(1000.0, 8.0, 4.3).pressure_mpa),
    worked_out("SciPy's elliptic integrals", "m 0.9", "K", "", float(ellipk(0.9)),
               lambda: hertz.elliptic_integrals(0.9)[0]),
    worked_out("SciPy's elliptic integrals", "m 0.9", "E", "", float(ellipe(0.9)),
               lambda: hertz.elliptic_integrals(0.9)[1]),
    worked_out("By hand, E/(2 (1 - ν²))", "Steel on steel, E 206 000, ν 0.3", "E*", "MPa",
               113_186.813186813, lambda: hertz.contact_modulus_mpa(206_000.0, 0.3)),
)  # fmt: skip


test_contact = each_holds(CASES)


@pytest.mark.parametrize("parameter", [0.0, 1e-12, 0.3, 0.999, 1 - 1e-9])
def test_the_elliptic_integrals_are_scipys(parameter):
    first, second = hertz.elliptic_integrals(parameter)
    assert first == pytest.approx(ellipk(parameter), rel=1e-12)
    assert second == pytest.approx(ellipe(parameter), rel=1e-12)


def test_a_ball_on_a_plane_follows_the_circular_formula():
    """By hand: p = (6 W E*²/(π³ R²))^(1/3), approach a²/R."""
    contact = hertz.ball_contact(500.0, 10.0)
    modulus = hertz.contact_modulus_mpa()
    pressure = (6 * 500.0 * modulus**2 / (math.pi**3 * 25.0)) ** (1 / 3)
    assert contact.pressure_mpa == pytest.approx(pressure, rel=1e-12)
    assert contact.short_mm == pytest.approx(contact.long_mm, rel=1e-12)
    assert contact.approach_mm == pytest.approx(contact.long_mm**2 / 5.0, rel=1e-12)


def test_a_groove_relieves_the_contact_and_a_flat_one_is_a_plane():
    plane = hertz.ball_contact(500.0, 10.0).pressure_mpa
    assert hertz.ball_contact(500.0, 10.0, 5.3).pressure_mpa < 0.6 * plane
    assert hertz.ball_contact(500.0, 10.0, 1e9).pressure_mpa == pytest.approx(plane, rel=1e-6)
