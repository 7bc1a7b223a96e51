"""The coned disc's formula against elasticity itself: how far the standard stands from a solid.

Sources
-------
disc_finite_elements.py: the disc as an elastic solid of revolution in a general-purpose
finite-element library (scikit-fem), sharp-edged and without friction.
S. Timoshenko, S. Woinowsky-Krieger, Theory of Plates and Shells: bending of a ring-shaped plate,
w = C1 + C2 ln r + C3 r**2 + P r**2 ln r/(8 pi D) (from memory). It judges the finite elements.

What Almen and Laszlo leave out is not small, and these rows say how large it is:
- the section cannot bend: nothing for narrow rings, 3 per cent at δ = 2;
- 1/(1 - nu**2), as if the hoops could not breathe: 9.9 per cent too stiff with nu = 0.3;
- small angles: a steep cone (14 deg) loses another 1 to 3 per cent on the way to flat.
Rounded edges, which shorten the arm of the load, and friction at the edges, both left out on both
sides, raise the load of a real disc. A wide tolerance here is not the package's: it is the
standard's distance from elasticity, and the reason to weigh the spring.
"""

import math

import numpy as np
import pytest
from cases import Case, each_holds
from disc_finite_elements import loads_n

from liftgeo.parts import disc_limits, spring

SOLID = "Elastic solid of revolution, finite elements (scikit-fem)"
E = 206_000.0

NARROW = (200.0, 160.0, 0.5, 0.75)
WIDE = (200.0, 100.0, 0.5, 0.75)
STEEP = (120.0, 92.0, 1.7, 3.4)
SHARES = (0.5, 1.0, 1.5)


def solid_n(sizes, poisson, share):
    deflections = tuple(s * sizes[3] for s in SHARES)
    return loads_n(sizes, E, poisson, deflections)[SHARES.index(share)]


def disc_n(sizes, poisson, share):
    return spring.ConedDisc(*sizes, E, poisson).load_n(share * sizes[3])


def row(word, sizes, poisson, share, close, note):
    return Case(
        SOLID,
        f"{word}, {sizes[0]:g} × {sizes[1]:g} × {sizes[2]:g}, h0 {sizes[3]:g}, ν {poisson:g}",
        f"load at {share:g} h0",
        "N",
        lambda: solid_n(sizes, poisson, share),
        close,
        lambda: disc_n(sizes, poisson, share),
        note,
        None,
        relative=True,
    )


RING = "A narrow ring without Poisson's effect is what the formula describes: half a per cent."
BENDS = "A wide section bends a little, which the formula leaves out: 3 % at δ = 2."
BREATHES = "The formula's 1/(1 − ν²) is 9.9 % too stiff for free edges; ours lies above by that."
ANGLE = "1/(1 − ν²) again, and a cone of 14°, which is no small angle: 12 % at half, 13 % at flat."

CASES = (
    *(row("narrow", NARROW, 0.0, share, 0.005, RING) for share in SHARES),
    *(row("wide", WIDE, 0.0, share, 0.03, BENDS) for share in SHARES),
    *(row("narrow", NARROW, 0.3, share, 0.105, BREATHES) for share in SHARES),
    *(row("steep", STEEP, 0.3, share, 0.14, ANGLE) for share in (0.5, 1.0)),
)


def plate_n_per_mm(sizes, poisson):
    """Return the stiffness of a flat ring, held at its outer edge and pressed at its inner."""
    outer, inner, thickness = sizes[0] / 2, sizes[1] / 2, sizes[2]
    rigidity = E * thickness**3 / (12 * (1 - poisson**2))
    load = 1 / (8 * math.pi * rigidity)  # of 1 N

    def bending(r):
        """Return w'' + nu w'/r for ln r, r**2 and the load's r**2 ln r."""
        return np.array(
            [
                (poisson - 1) / r**2,
                2 * (1 + poisson),
                load * (2 * math.log(r) * (1 + poisson) + 3 + poisson),
            ]
        )

    rows = np.array([bending(outer), bending(inner)])
    second, third = np.linalg.solve(rows[:, :2], -rows[:, 2])

    def sag(r):
        return second * math.log(r) + third * r**2 + load * r**2 * math.log(r)

    return 1 / abs(sag(inner) - sag(outer))


# Bias of the formula by shape: De/Di, slope of the cone, h0/t.
SHAPES = (
    (1.25, 0.06, 1.2),
    (1.25, 0.25, 2.0),
    (1.4, 0.06, 0.6),
    (1.4, 0.12, 2.0),
    (1.4, 0.25, 1.2),
    (1.6, 0.18, 1.2),
)


def shaped(ratio, slope, steepness):
    """Return the sizes of a disc of 120 mm, all invented."""
    width = (120.0 - 120.0 / ratio) / 2
    return (120.0, 120.0 / ratio, slope * width / steepness, slope * width)


test_disc = each_holds(CASES)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("share", SHARES[:2])
def test_the_stated_bias_is_the_formula_over_the_solid(shape, share):
    """2 per cent: the bias is a fit of two numbers to many shapes, and said to be one."""
    sizes = shaped(*shape)
    stated = disc_limits.formula_bias_ratio(spring.ConedDisc(*sizes), share * sizes[3])
    assert stated == pytest.approx(disc_n(sizes, 0.3, share) / solid_n(sizes, 0.3, share), rel=0.02)


@pytest.mark.parametrize("share", SHARES[:2])
def test_a_wide_disc_is_met_within_three_per_cent(share):
    sizes = shaped(2.0, 0.12, 1.2)
    stated = disc_limits.formula_bias_ratio(spring.ConedDisc(*sizes), share * sizes[3])
    assert stated == pytest.approx(disc_n(sizes, 0.3, share) / solid_n(sizes, 0.3, share), rel=0.03)


@pytest.mark.parametrize("share", [0.5, 0.8, 1.0])
def test_the_low_load_of_a_clutch_s_disc_lies_below_the_solid_s(share):
    """What the page calls the least clamp load may not lie above an elastic disc's own load."""
    disc = spring.ConedDisc(*STEEP)
    at = share * STEEP[3]
    low = disc_limits.load_tolerance(STEEP[2])[0] / disc_limits.formula_bias_ratio(disc, at)
    assert low * disc.load_n(at) < loads_n(STEEP, E, 0.3, (at,))[0]


@pytest.mark.parametrize("poisson", [0.0, 0.3])
@pytest.mark.parametrize("inside", [100.0, 160.0])
def test_the_finite_elements_bend_as_a_plate_does(inside, poisson):
    sizes = (200.0, inside, 0.5, 0.0)
    found = loads_n(sizes, E, poisson, (1e-4,))[0] / 1e-4
    assert found == pytest.approx(plate_n_per_mm(sizes, poisson), rel=1e-3)


def test_finer_elements_change_nothing_that_counts():
    coarse = solid_n(STEEP, 0.3, 1.0)
    fine = loads_n(STEEP, E, 0.3, (STEEP[3],), 32)[0]
    assert fine == pytest.approx(coarse, rel=2e-4)


def test_without_the_poisson_term_a_narrow_ring_is_met_within_a_per_cent():
    """The tenth that ours lies above is 1/(1 − ν²), and nothing else."""
    for share in SHARES:
        free = disc_n(NARROW, 0.3, share) * (1 - 0.3**2)
        assert free == pytest.approx(solid_n(NARROW, 0.3, share), rel=0.01)
