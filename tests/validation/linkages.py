"""Textbook linkages told in the package's parts.

A four-bar is two triangles on its diagonal: crank and ground enclose the first (a lever whose pin
is the crank pin and whose stop is the far pivot), coupler and rocker the second. A slider-crank's
crank angle counts from the rod line in textbooks, from its normal here: psi = theta - 90 deg, and
the rod pulls against the textbook's positive direction.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from liftgeo.parts import release, triangle


@dataclass(frozen=True)
class FourBar:
    """Crank a, coupler b, rocker c, ground d, crank angle from the ground line [rad].

    `open_circuit` tells the two ways to join the same links apart.
    """

    a: float
    b: float
    c: float
    d: float
    crank_rad: float
    open_circuit: bool = True

    @property
    def _first(self) -> triangle.Triangle:
        """Crank pin, crank pivot, rocker pivot; at rest where the crank points at the latter."""
        return triangle.Triangle(self.a, self.d, abs(self.d - self.a))

    @property
    def diagonal(self) -> float:
        return abs(self.d - self.a) + float(self._first.at(self.crank_rad).pull_mm)

    @property
    def transmission_rad(self) -> float:
        """Angle between coupler and rocker, not folded."""
        return float(triangle.Triangle(self.b, self.c, self.diagonal).rest_angle_rad)

    @property
    def coupler_rad(self) -> float:
        """Angle of the coupler from the ground line, theta 3."""
        beside = float(triangle.Triangle(self.b, self.diagonal, self.c).rest_angle_rad)
        to_rocker_pivot = (
            self.crank_rad + math.pi + float(self._first.cable_angle_rad(self.crank_rad))
        )
        way = 1 if self.open_circuit else -1
        return math.remainder(to_rocker_pivot + way * beside, math.tau)

    @property
    def rocker_rad(self) -> float:
        """Angle of the rocker from the ground line, theta 4."""
        way = 1 if self.open_circuit else -1
        return math.remainder(self.coupler_rad + way * self.transmission_rad, math.tau)

    @property
    def transmission_rate(self) -> float:
        """d(transmission angle)/d(crank angle): one moment arm over the other."""
        second = triangle.Triangle(self.b, self.c, self.diagonal)
        return float(self._first.at(self.crank_rad).moment_arm_mm / second.at(0.0).moment_arm_mm)


def crank_with_link(a: float, b: float, offset: float, crank_rad: float) -> release.CrankWithLink:
    """Return a textbook's slider-crank, standing at its crank angle [rad], as the release unit."""
    return release.CrankWithLink(a, b, crank_rad - math.pi / 2, offset)


def slider_position(a: float, b: float, offset: float, crank_rad: float) -> float:
    """Return the slider's distance from the crank pivot, counted from the dead centre."""
    unit = crank_with_link(a, b, offset, crank_rad)
    at_dead_centre = math.sqrt((b - a) ** 2 - offset**2)
    return at_dead_centre + float(unit.at(unit.last_rotation_rad).travel_mm)
