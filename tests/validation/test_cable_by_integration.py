"""Friction and stretch of a bent cable, element by element.

Source: worked out here. The cable is cut into short links on a bent path; each link is in
equilibrium under two tensions, a normal force and its friction, (T2 - T1) cos(d/2) = mu (T1 + T2)
sin(d/2) for a bend of d. Its pieces stretch each under its own tension. No exponential is used.
The differential equation dT = mu T d(angle) is also integrated as it stands.
"""

import math

import numpy as np
import pytest
from cases import each_holds, worked_out
from scipy.integrate import solve_ivp

from liftgeo.parts import cable

LINKS = "Cable cut into 100 000 links, each in equilibrium"
EQUATION = "dT/dβ = µT, integrated step by step (SciPy)"
UP, DOWN = cable.PULLING, cable.BACK
COUNT = 100_000
CUT = "The cut costs up to 7e-9 of the value."

# friction, bend [deg], tension at the arm [N], drag [N], stretch of the straight cable [mm/N]
CABLES = ((0.10, 150.0, 180.0, 4.0, 1 / 240), (0.22, 540.0, 95.0, 9.0, 1 / 90))


def links(friction: float, bend_rad: float, way: int) -> np.ndarray:
    """Return the tension along the cable, 1 at the arm, towards the hand."""
    half = bend_rad / COUNT / 2
    rubbing = way * friction * math.tan(half)
    return ((1 + rubbing) / (1 - rubbing)) ** np.arange(COUNT + 1)


def mean(friction: float, bend_rad: float, way: int) -> float:
    along = links(friction, bend_rad, way)
    return float((along[:-1] + along[1:]).sum() / 2 / COUNT)


def integrated(friction: float, bend_rad: float, way: int) -> tuple[float, float]:
    """Return the tension at the hand and the mean, 1 at the arm."""
    found = solve_ivp(
        lambda _, state: [way * friction * state[0], state[0]],
        (0.0, bend_rad),
        [1.0, 0.0],
        rtol=1e-12,
        atol=1e-14,
    )
    return float(found.y[0, -1]), float(found.y[1, -1]) / bend_rad


def _part(row):
    friction, bend, _, drag, compliance = row
    return cable.Cable(0.0, math.radians(bend), friction, drag, compliance)


def _rows(row):
    friction, bend, tension, drag, compliance = row
    bend_rad = math.radians(bend)
    for way, word in ((UP, "pulling"), (DOWN, "letting back")):
        name = f"µ {friction}, {bend:g}° of bend, {word}"
        end = float(links(friction, bend_rad, way)[-1])
        middle = mean(friction, bend_rad, way)
        yield worked_out(LINKS, name, f"tension at the lever, {tension:g} N at the arm", "N",
                         tension * end + way * drag,
                         lambda way=way: _part(row).hand_tension_n(tension, way),
                         close=1e-8, note=CUT)  # fmt: skip
        yield worked_out(LINKS, name, f"stretch, {1 / compliance:g} N/mm", "mm",
                         tension * middle * compliance,
                         lambda way=way: _part(row).stretch_mm(tension, way),
                         close=1e-8, note=CUT)  # fmt: skip
        gain, factor = integrated(friction, bend_rad, way)
        yield worked_out(EQUATION, name, "tension at the lever over that at the arm", "", gain,
                         lambda way=way: _part(row).gain(way))  # fmt: skip
        yield worked_out(EQUATION, name, "mean tension over that at the arm", "", factor,
                         lambda way=way: _part(row).mean_factor(way))  # fmt: skip
        yield worked_out(EQUATION, name, "stretch per newton", "mm/N", factor * compliance,
                         lambda way=way: _part(row).stretch_per_newton(way))  # fmt: skip


CASES = (*_rows(CABLES[0]), *_rows(CABLES[1]))


test_bent_cable = each_holds(CASES)


def test_halving_the_links_shows_that_the_cut_is_fine_enough():
    """A cut twice as coarse errs four times as much: the method is what it says."""
    exact = math.exp(0.22 * math.radians(540.0))
    errors = []
    for count in (500, 1000):
        rubbing = 0.22 * math.tan(math.radians(540.0) / count / 2)
        errors.append(((1 + rubbing) / (1 - rubbing)) ** count - exact)
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.01)


def test_a_cable_cannot_push():
    """Letting back, drag beyond the tension leaves the lever's end slack, not pushed."""
    assert _part((0.1, 90.0, 0.0, 6.0, 0.01)).hand_tension_n(2.0, DOWN) == 0.0
