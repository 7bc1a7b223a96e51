"""A coned disc as an elastic solid: finite elements, round the axis, large deflections.

Nothing here comes from liftgeo and nothing from disc-spring theory: a ring-shaped solid of
Saint-Venant-Kirchhoff material, quadratic elements (scikit-fem), Green-Lagrange strain, Newton
steps. It rests on a circle at its outer edge, half way up, and is pressed on a circle at its inner
edge; both edges are free to move in and out, without friction. Its section is a rectangle with
sharp corners, its thickness square to the cone, as a micrometer reads it.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from skfem import (
    Basis,
    BilinearForm,
    ElementQuad2,
    ElementVector,
    LinearForm,
    MeshQuad,
    condense,
    solve,
)

Field = NDArray[np.float64]


def _times(a: Field, b: Field) -> Field:
    return np.einsum("ij...,jk...->ik...", a, b)


def _dot(a: Field, b: Field) -> Field:
    return np.einsum("ij...,ij...->...", a, b)


def _turned(a: Field) -> Field:
    return np.swapaxes(a, 0, 1)


def _gradient(moved, radius: Field) -> Field:
    """Return the displacement gradient in radius, height and hoop directions."""
    rows = moved.grad
    full = np.zeros((3, 3, *rows.shape[2:]))
    full[:2, :2] = rows
    full[2, 2] = moved[0] / radius
    return full


def _symmetric(a: Field) -> Field:
    return (a + _turned(a)) / 2


class _Solid:
    """The forms of one material."""

    def __init__(self, modulus_mpa: float, poisson: float) -> None:
        self.first = modulus_mpa * poisson / ((1 + poisson) * (1 - 2 * poisson))
        self.second = modulus_mpa / (2 * (1 + poisson))

    def stress(self, strain: Field) -> Field:
        trace = strain[0, 0] + strain[1, 1] + strain[2, 2]
        return self.first * trace * np.eye(3)[:, :, None, None] + 2 * self.second * strain

    def deformed(self, w) -> tuple[Field, Field]:
        """Return the deformation gradient and the stress."""
        moved = np.eye(3)[:, :, None, None] + _gradient(w["state"], w.x[0])
        strain = (_times(_turned(moved), moved) - np.eye(3)[:, :, None, None]) / 2
        return moved, self.stress(strain)

    def stiffness(self, u, v, w) -> Field:
        moved, stress = self.deformed(w)
        du, dv = _gradient(u, w.x[0]), _gradient(v, w.x[0])
        strain_u = _symmetric(_times(_turned(moved), du))
        strain_v = _symmetric(_times(_turned(moved), dv))
        both = _dot(self.stress(strain_u), strain_v) + _dot(stress, _times(_turned(du), dv))
        return 2 * np.pi * w.x[0] * both

    def inner_force(self, v, w) -> Field:
        moved, stress = self.deformed(w)
        strain = _symmetric(_times(_turned(moved), _gradient(v, w.x[0])))
        return 2 * np.pi * w.x[0] * _dot(stress, strain)


@cache
def loads_n(
    sizes: tuple[float, float, float, float],
    modulus_mpa: float,
    poisson: float,
    deflections_mm: tuple[float, ...],
    across: int = 16,
) -> tuple[float, ...]:
    """Return the load [N] at each deflection.

    Parameters
    ----------
    sizes : tuple
        Outside and inside diameter, thickness, cone height [mm].
    modulus_mpa, poisson : float
        Of the material.
    deflections_mm : tuple
        Taken one after the other from the free disc.
    across : int
        Elements across the section; two over its thickness.
    """
    outer, inner, thickness, cone = sizes[0] / 2, sizes[1] / 2, sizes[2], sizes[3]
    flat = MeshQuad.init_tensor(
        np.linspace(inner, outer, across + 1), np.linspace(-thickness / 2, thickness / 2, 3)
    )
    # A rectangle turned into the cone: its middle runs from edge to edge, thickness square to it.
    along, square = (flat.p[0] - outer) / (outer - inner), flat.p[1]
    slant = np.hypot(outer - inner, cone)
    points = np.array(
        [
            outer + along * (outer - inner) + square * cone / slant,
            -along * cone + square * (outer - inner) / slant,
        ]
    )
    basis = Basis(MeshQuad(points, flat.t), ElementVector(ElementQuad2()), intorder=4)
    solid = _Solid(modulus_mpa, poisson)
    stiffness, inner_force = BilinearForm(solid.stiffness), LinearForm(solid.inner_force)

    def height_at(radius: float, height: float) -> int:
        there = np.hypot(basis.doflocs[0] - radius, basis.doflocs[1] - height) < 1e-9 * outer
        return int(np.flatnonzero(there)[1])  # the second of two is the height

    pressed, held = height_at(inner, cone), height_at(outer, 0.0)
    state, found = np.zeros(basis.N), []
    for deflection in deflections_mm:
        for step in range(40):
            now = basis.interpolate(state)
            change = np.zeros(basis.N)
            if step == 0:
                change[pressed] = -deflection - state[pressed]
            matrix = stiffness.assemble(basis, state=now)
            force = inner_force.assemble(basis, state=now)
            change = solve(*condense(matrix, -force, x=change, D=np.array([pressed, held])))
            state = state + change
            if np.abs(change).max() < 1e-10 * thickness:
                break
        else:
            raise ArithmeticError(f"no equilibrium found at a deflection of {deflection} mm")
        force = inner_force.assemble(basis, state=basis.interpolate(state))
        found.append(-float(force[pressed]))
    return tuple(found)
