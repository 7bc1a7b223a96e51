"""The work of a stroke where its losses change on the way, and the numbers it is summed with."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from clutches import mechanism
from scipy.integrate import quad

from liftgeo import chain
from liftgeo.chain import energy
from liftgeo.chain.states import pushed_back, worn
from liftgeo.chain.stop import path_pieces, stroke_end
from liftgeo.parts.moved_rest import UnitMovedBack
from liftgeo.parts.release_form import UnitAt


def test_the_quadrature_nodes_are_those_of_numpy() -> None:
    """Source: numpy.polynomial.legendre.leggauss, a general-purpose library."""
    nodes, weights = np.polynomial.legendre.leggauss(12)
    np.testing.assert_allclose(energy._NODES, nodes, rtol=0, atol=1e-15)
    np.testing.assert_allclose(energy._WEIGHTS, weights, rtol=0, atol=1e-15)


ECCENTRIC = {"kind": "eccentric", "eccentricity": 5.0, "rest_angle": -30.0, "cam_radius": 12.0,
    "friction": 0.15}  # fmt: skip
"""An eccentric whose follower rubs (invented): its loss changes as it turns."""


@dataclass(frozen=True)
class SlowingRack:
    """A made-up unit: a rack whose loss grows with its travel, y = r theta, R r (1 + c y)."""

    radius_mm: float
    loss_per_mm: float
    last_rotation_rad: float = np.inf
    dead_centre: bool = False
    has_bends: bool = False
    bends_rad: tuple[float, ...] = ()
    loss_varies: bool = True
    loss_bends_mm: tuple[float, ...] = ()

    def at(self, rotation_rad, way=1):
        return self.at_travel(self.radius_mm * rotation_rad, way)

    def at_travel(self, travel_mm, way=1):
        r, loss = self.radius_mm, way * self.loss_per_mm
        turn = travel_mm / r
        return UnitAt(turn, travel_mm, r, r * (1 + loss * travel_mm), r * r * loss)


def hand_work(parts, end):
    """Return the hand's force summed over its travel, piece by piece, by SciPy's quadrature."""

    def power(q):
        p = chain.position(parts, np.float64(q), rates=True)
        return float(p.hand_force_n * p.rates.hand_travel)

    return sum(
        quad(power, float(low), float(high), epsabs=1e-11, epsrel=1e-11, limit=500)[0]
        for low, high in path_pieces(parts, end)
        if high > low
    )


def worked(parts):
    """Return the work of a stroke two ways."""
    with np.errstate(all="ignore"):
        end = stroke_end(parts, ())
        return float(energy.stroke_work_nmm(parts, end, end.full)), hand_work(parts, end)


@pytest.mark.parametrize("pack_wear_mm", [0.0, 0.1, 0.2, 0.31, 0.4])
def test_the_work_through_a_worn_eccentric_is_the_hand_force_over_its_travel(pack_wear_mm) -> None:
    parts = worn(mechanism(release=ECCENTRIC).parts(), pack_wear_mm)
    assert isinstance(parts.release, UnitMovedBack) == (pack_wear_mm >= 0.2)
    closed, summed = worked(parts)
    assert closed == pytest.approx(summed, rel=1e-10)
    # What a loss taken as that at rest would give is wrong by far more.
    constant = replace(parts, release=WithoutVaryingLoss(parts.release))
    end = stroke_end(parts, ())
    assert float(energy.stroke_work_nmm(constant, end, end.full)) != pytest.approx(summed, rel=1e-4)


@dataclass(frozen=True)
class WithoutVaryingLoss:
    """A unit that says of itself, wrongly, that its loss is the same everywhere."""

    unit: object
    loss_varies: bool = False

    def __getattr__(self, name):
        return getattr(self.unit, name)


def test_the_work_through_a_hot_eccentric_is_the_hand_force_over_its_travel() -> None:
    parts = pushed_back(mechanism(release=ECCENTRIC).parts(), 0.25)
    assert isinstance(parts.release, UnitMovedBack)
    closed, summed = worked(parts)
    assert closed == pytest.approx(summed, rel=1e-10)


@pytest.mark.parametrize("pack_wear_mm", [0.0, 0.3])
def test_the_work_through_any_unit_whose_loss_varies(pack_wear_mm) -> None:
    parts = replace(mechanism().parts(), release=SlowingRack(4.0, 0.4))
    closed, summed = worked(worn(parts, pack_wear_mm))
    assert closed == pytest.approx(summed, rel=1e-10)


def test_many_worn_eccentrics_take_what_each_takes_alone() -> None:
    file, wear = mechanism(release=ECCENTRIC), np.array([0.0, 0.2, 0.31, 0.4])
    with np.errstate(all="ignore"):
        parts = worn(file.parts({"arm.radius": np.full(4, 40.0)}), wear)
        end = stroke_end(parts, (4,))
        many = energy.stroke_work_nmm(parts, end, end.full)
        alone = [worked(worn(file.parts({"arm.radius": 40.0}), w))[0] for w in wear]
    np.testing.assert_allclose(many, alone, rtol=1e-11)
