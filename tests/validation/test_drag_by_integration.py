"""Torque of faces that touch in places, and of an oil film, by brute integration.

No published numbers: the closed form in the package is held to SciPy's integration over the ring,
and to the limits that can be written down by hand.
"""

import math

import numpy as np
import pytest
from cases import each_holds, worked_out
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import dblquad, quad
from scipy.optimize import brentq

from liftgeo.parts import drag, faces

OVER_THE_RING = "Overlap times radius, integrated over the ring by SciPy"
BY_HAND = "Worked out by hand"
IN_A_ROW = "Faces in a row under one force, summed on a grid, solved by SciPy"
THE_GRID = "As near as the grid, 60 by 2000."
D, INNER = 118.0, 84.0


def integrated(approach, tilt, outside=D, inside=INNER):
    """Return the integral of (a - t r cos(phi)/R)+ r over the ring."""
    outer = outside / 2
    slope = tilt / outer

    def around(radius):
        if slope * radius <= abs(approach):
            return math.pi * max(approach, 0.0)
        edge = math.acos(approach / (slope * radius))
        return quad(lambda p: approach - slope * radius * math.cos(p), edge, math.pi)[0]

    kink = [abs(approach) / slope] if slope and inside / 2 < abs(approach) / slope < outer else None
    return 2 * quad(lambda r: r * r * around(r), inside / 2, outer, points=kink, epsabs=0.0)[0]


PLACES = {
    "three quarters touching": (0.02, 0.08),
    "half touching": (0.0, 0.08),
    "a quarter touching": (-0.03, 0.08),
    "the outer rim touching": (-0.075, 0.08),
    "all but the inner rim": (0.07, 0.08),
}


def pack(needed_mm=0.325, cushion_mm=0.25, load_n=3400.0, friction_faces=2.0):
    return faces.Faces(1.0, friction_faces, D, INNER, 0.3, cushion_mm, load_n, needed_mm, 0.1, 0.0)


def whole_torque(clamp_n):
    """By hand: uniform pressure over a ring, 2/3 mu N z (R³ - r³)/(R² - r²)."""
    outer, inner = D / 2, INNER / 2
    return 2 / 3 * 0.3 * clamp_n * 2 * (outer**3 - inner**3) / (outer**2 - inner**2)


def film(gap_mm):
    """By hand: integral of eta omega r/h times r over the ring, both faces of a plate."""
    omega, eta = 3000 * 2 * math.pi / 60, 90e-9
    return 2 * quad(lambda r: eta * omega * r / gap_mm * r * 2 * math.pi * r, INNER / 2, D / 2)[0]


CASES = (
    *(worked_out(OVER_THE_RING, name, "overlap times radius", "mm⁴", integrated(*place),
                 lambda place=place: drag.overlap_moment_mm4(*place, D, INNER), close=1e-7)
      for name, place in PLACES.items()),
    *(worked_out(OVER_THE_RING, name, "overlap", "mm³", lambda place=place: volume(*place),
                 lambda place=place: drag.overlap_volume_mm3(*place, D, INNER), close=1e-7)
      for name, place in PLACES.items()),
    *(worked_out(OVER_THE_RING, name, "touching area", "mm²", lambda place=place: touching(*place),
                 lambda place=place: drag.touching_area_mm2(*place, D, INNER), close=1e-7)
      for name, place in PLACES.items()),
    worked_out(IN_A_ROW, "Parted 0.2 mm of 0.325 needed, all tilt in one gap", "torque", "N·mm",
               lambda: chain(pack(), (0.325, 0.0), 0.2),
               lambda: drag.greatest_drag_torque_nmm(pack(), 0.0, 0.2), close=3e-4, note=THE_GRID),
    worked_out(BY_HAND, "half touching", "overlap times radius", "mm⁴",
               0.08 / 59.0 * (59.0**4 - 42.0**4) / 2,
               lambda: drag.overlap_moment_mm4(0.0, 0.08, D, INNER)),
    worked_out(BY_HAND, "touching all round", "overlap times radius", "mm⁴",
               2 * math.pi * 0.1 * (59.0**3 - 42.0**3) / 3,
               lambda: drag.overlap_moment_mm4(0.1, 0.08, D, INNER)),
    worked_out(BY_HAND, "Clamped all round, 3000 N", "torque", "N·mm", whole_torque(3000.0),
               lambda: drag.least_drag_torque_nmm(pack(needed_mm=0.1), 3000.0, -0.22)),
    worked_out(BY_HAND, "Parted 0.2 mm of 0.325 needed", "torque", "N·mm",
               0.3 * 2 * integrated(-0.1, 0.1625)
               / (0.25 / 3400 / 2 * math.pi / 4 * (D**2 - INNER**2)),
               lambda: drag.least_drag_torque_nmm(pack(), 0.0, 0.2), close=1e-7),
    worked_out(BY_HAND, "Oil of 90 mPa·s, 3000 rev/min, gaps of 0.15 mm", "torque", "N·mm",
               film(0.15), lambda: drag.oil_film_torque_nmm(90.0, 3000.0, 0.15, D, INNER, 2.0)),
)  # fmt: skip


test_torque = each_holds(CASES)


def volume(approach, tilt, outside=D, inside=INNER):
    """Return the integral of (a - t r cos(phi)/R)+ over the ring, by SciPy."""
    outer = outside / 2
    slope = tilt / outer

    def around(radius):
        if slope * radius <= abs(approach):
            return math.pi * max(approach, 0.0)
        edge = math.acos(approach / (slope * radius))
        return quad(lambda p: approach - slope * radius * math.cos(p), edge, math.pi)[0]

    kink = [abs(approach) / slope] if slope and inside / 2 < abs(approach) / slope < outer else None
    return 2 * quad(lambda r: r * around(r), inside / 2, outer, points=kink, epsabs=0.0)[0]


def touching(approach, tilt, outside=D, inside=INNER):
    """Return the area where a - t r cos(phi)/R is above zero, by SciPy."""
    outer = outside / 2

    def around(radius):
        level = approach * outer / (tilt * radius)
        return math.pi if level >= 1 else math.pi - math.acos(max(level, -1.0))

    kink = [r] if inside / 2 < (r := abs(approach) * outer / tilt) < outer else None
    return 2 * quad(lambda r: r * around(r), inside / 2, outer, points=kink, epsabs=0.0)[0]


@pytest.mark.parametrize("place", PLACES.values(), ids=PLACES)
def test_the_overlap_s_volume_is_the_integral(place):
    assert drag.overlap_volume_mm3(*place, D, INNER) == pytest.approx(volume(*place), rel=1e-7)


@given(st.floats(-0.999, 6.0), st.floats(1e-4, 2.0), st.floats(0.1, 0.95), st.integers(1, 7))
def test_the_approach_of_the_tilted_gap_balances_the_row(share, tilt, ratio, plates):
    sizes = D, ratio * D
    clutch = faces.Faces(
        plates, 2.0 * plates, *sizes, 0.3, 0.25, 3400.0, 2 * plates * tilt, 0.1, 0.0
    )
    closed, others = share * tilt, 2 * plates - 1
    found = float(drag._tilted_approach_mm(closed, tilt, others, clutch))
    area = math.pi / 4 * (D**2 - sizes[1] ** 2)

    def miss(approach):
        return (
            approach
            + others * float(drag.overlap_volume_mm3(approach, tilt, *sizes)) / area
            - closed
        )

    by_brent = brentq(miss, -tilt, max(closed, 0.0) + tilt, xtol=1e-14)
    assert found == pytest.approx(by_brent, abs=2e-7 * tilt)


RADII, WEIGHTS = np.polynomial.legendre.leggauss(60)
RADII, WEIGHTS = (59.0 + 42.0 + 17.0 * RADII) / 2, WEIGHTS * 17.0 / 2
TURNS = (np.arange(2000) + 0.5) * np.pi / 1000


def summed(approach, tilt, power):
    """Return the integral of overlap times radius to a power, on a grid over the ring."""
    over = np.maximum(approach - tilt / 59.0 * np.outer(RADII, np.cos(TURNS)), 0.0)
    return float((WEIGHTS * RADII ** (power + 1)) @ over.sum(axis=1)) * np.pi / 1000


def chain(clutch, tilts, separation, clamp_n=0.0):
    """Return the torque of faces in a row, each gap with a tilt of its own.

    Written out again on a grid: one force through all, each gap's approach found from it, the
    approaches added up.
    """
    layer = clutch.cushion_travel_mm / clutch.cushion_load_n / len(tilts)
    area = math.pi / 4 * (D**2 - INNER**2)

    def approach(force, tilt):
        if tilt == 0:
            return layer * force
        return brentq(
            lambda a: summed(a, tilt, 0) / (layer * area) - force, -tilt, layer * force + tilt
        )

    closed = len(tilts) * layer * clamp_n - separation
    force = brentq(lambda f: sum(approach(f, t) for t in tilts) - closed, 1e-3, 1e5)
    moments = [summed(approach(force, t), t, 1) for t in tilts]
    return 0.3 * sum(moments) / (layer * area)


@pytest.mark.parametrize("separation", [0.05, 0.2, 0.3])
def test_faces_in_a_row_with_all_tilt_in_one_gap(separation):
    clutch = pack()
    expected = chain(clutch, (0.325, 0.0), separation)
    found = drag.greatest_drag_torque_nmm(clutch, 0.0, separation)
    assert found == pytest.approx(expected, rel=1e-3)  # the grid


@pytest.mark.parametrize("separation", [0.05, 0.2, 0.3])
@pytest.mark.parametrize("share", [0.3, 0.38, 0.8])
def test_any_other_sharing_lies_between_the_two(separation, share):
    clutch = pack()
    between = chain(clutch, (0.325 * share, 0.325 * (1 - share)), separation)
    least = float(drag.least_drag_torque_nmm(clutch, 0.0, separation))
    assert least == pytest.approx(chain(clutch, (0.1625, 0.1625), separation), rel=1e-3)
    greatest = float(drag.greatest_drag_torque_nmm(clutch, 0.0, separation))
    assert least < between < greatest


def test_the_greatest_falls_to_nothing_and_meets_the_clamped_torque():
    clutch = pack()
    clamp = np.array([3400.0, 1700.0, 1.0, *np.zeros(60)])
    parted = np.concatenate([-0.25 * clamp[:3] / 3400, np.linspace(1e-6, 0.33, 60)])
    torque = drag.greatest_drag_torque_nmm(clutch, clamp, parted, 0.0, 3400.0)
    assert np.all(np.diff(torque) <= 1e-9)
    assert torque[0] == pytest.approx(whole_torque(3400.0), rel=1e-9)
    assert torque[-1] == 0.0
    alone = [
        float(drag.greatest_drag_torque_nmm(clutch, n, s, 0.0, 3400.0))
        for n, s in zip(clamp, parted, strict=True)
    ]
    assert torque.tolist() == pytest.approx(alone, rel=1e-12, abs=1e-12)
    rigid = pack(cushion_mm=0.0)
    assert np.isnan(drag.greatest_drag_torque_nmm(rigid, 0.0, 0.2))


def test_the_check_itself_agrees_with_a_double_integral():
    """The check above integrates in two steps; here in one, straight over ring and angle."""
    slope = 0.08 / 59.0
    whole = dblquad(
        lambda p, r: max(-0.03 - slope * r * math.cos(p), 0.0) * r * r,
        42.0, 59.0, 0.0, 2 * math.pi, epsrel=1e-6,
    )[0]  # fmt: skip
    assert integrated(-0.03, 0.08) == pytest.approx(whole, rel=1e-5)


@given(st.floats(-0.3, 0.3), st.floats(0.0, 0.2), st.floats(20.0, 200.0), st.floats(0.05, 0.95))
def test_the_overlap_never_falls_as_the_faces_approach(approach, tilt, outside, share):
    nearer = drag.overlap_moment_mm4(approach + 1e-3, tilt, outside, share * outside)
    assert nearer >= drag.overlap_moment_mm4(approach, tilt, outside, share * outside) - 1e-9


def test_the_torque_only_falls_from_clamped_to_clear():
    clutch = pack()
    clamp = np.array([3400.0, 1700.0, 1.0, *np.zeros(60)])
    parted = np.concatenate([-0.25 * clamp[:3] / 3400, np.linspace(1e-6, 0.33, 60)])
    torque = drag.least_drag_torque_nmm(clutch, clamp, parted, 0.0, 3400.0)
    assert np.all(np.diff(torque) <= 0)
    assert torque[0] == pytest.approx(whole_torque(3400.0), rel=1e-12)
    assert torque[-1] == 0.0
    assert torque[-10] > 0.0


def test_clear_running_carries_nothing_and_just_short_of_it_next_to_nothing():
    clutch = pack()
    assert drag.least_drag_torque_nmm(clutch, 0.0, 0.325) == 0.0
    just_short = float(drag.least_drag_torque_nmm(clutch, 0.0, 0.324))
    assert 0.0 < just_short < 1e-3 * whole_torque(3400.0)


def test_a_stiffer_facing_drags_more():
    clutch = pack()
    soft = drag.least_drag_torque_nmm(clutch, 0.0, 0.2, 1 / 20_000)
    stiff = drag.least_drag_torque_nmm(clutch, 0.0, 0.2, 1 / 200_000)
    assert 0.0 < soft < stiff < drag.least_drag_torque_nmm(clutch, 0.0, 0.2)


def test_rigid_faces_that_touch_in_places_are_not_guessed_at():
    rigid = pack(cushion_mm=0.0)
    assert np.isnan(drag.least_drag_torque_nmm(rigid, 0.0, 0.2))
    assert drag.least_drag_torque_nmm(rigid, 0.0, 0.4) == 0.0
    assert drag.least_drag_torque_nmm(rigid, 500.0, 0.0) == pytest.approx(
        whole_torque(500.0), rel=1e-12
    )


def test_oil_in_closed_gaps_is_not_guessed_at():
    assert np.isnan(drag.oil_film_torque_nmm(90.0, 3000.0, 0.0, D, INNER, 2.0))


def test_arrays_are_the_same_as_numbers_one_by_one():
    parted = np.linspace(-0.1, 0.4, 23)
    clamp = np.maximum(-parted, 0.0) / 0.25 * 3400.0
    together = drag.least_drag_torque_nmm(pack(), clamp, parted)
    alone = [
        float(drag.least_drag_torque_nmm(pack(), n, s)) for n, s in zip(clamp, parted, strict=True)
    ]
    assert together.tolist() == pytest.approx(alone, rel=1e-12, abs=1e-12)
