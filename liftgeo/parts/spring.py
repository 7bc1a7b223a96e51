"""The clamping spring: coned discs, coils, or a measured table of load against deflection."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from liftgeo.parts.curve import Curve
from liftgeo.parts.values import Values


class Spring(Protocol):
    """What the chain needs of a spring. Deflection [mm] counts from the free spring."""

    @property
    def end_name(self) -> str:
        """How a stroke that runs into the end of this spring is called."""

    @property
    def has_bends(self) -> bool:
        """Whether the load bends on the way, so that few samples could miss a jump or a hump."""

    @property
    def free_height_mm(self) -> Values:
        """Height of the free spring [mm]."""

    @property
    def last_deflection_mm(self) -> Values:
        """Deflection at which the spring ends: flat, solid or the end of its table [mm]."""

    @property
    def known_end_mm(self) -> Values:
        """The last deflection where something really ends there, else NaN [mm]."""

    @property
    def turns_mm(self) -> Sequence[Values]:
        """Deflections at which the load may turn, in order; NaN where it does not [mm]."""

    def load_n(self, deflection_mm: Values) -> Values:
        """Load at a deflection [N]."""

    def rate_n_per_mm(self, deflection_mm: Values) -> Values:
        """Slope of the load [N/mm]."""

    def energy_nmm(self, deflection_mm: Values) -> Values:
        """Stored energy, the integral of the load from the free spring [N mm]."""


def disc_constant(diameter_ratio: Values) -> Values:
    """Return K1 of a coned disc for a ratio of outside to inside diameter.

    Source: DIN EN 16984 (formerly DIN 2092), from memory; held to printed values in tests.
    """
    d = diameter_ratio
    return ((d - 1) / d) ** 2 / ((d + 1) / (d - 1) - 2 / np.log(d)) / np.pi


@dataclass(frozen=True, eq=False, repr=False)
class ConedDisc:
    """Coned disc springs after Almen and Laszlo, singly or stacked.

    Parameters
    ----------
    outside_diameter_mm, inside_diameter_mm, thickness_mm, cone_height_mm : float or array
        Edges, thickness and free cone height h0 (without the thickness) of one disc [mm].
    youngs_modulus_mpa, poisson : float or array
        Of the disc's steel.
    in_parallel, in_series : float or array
        Discs nested the same way; nests set against each other.
    lever_ratio : float or array
        K = (De - Di)/(Df - Ds) for force and support away from the edges; 1 at the edges.
    past_flat : bool
        True: the disc sits on raised rings and may pass flat.

    Notes
    -----
    F(s) = 4E/(1 - nu**2) t s/(K1 De**2) [(h0 - s)(h0 - s/2) + t**2]; with K, F = K F(K s).
    For h0/t > sqrt 2 the load falls between s = h0 -+ sqrt((h0**2 - 2 t**2)/3).
    Assumes small angles, rigid rotation of the section, no contact flats.
    Source: J. O. Almen, A. Laszlo, Trans. ASME 58 (1936); DIN EN 16984 (both from memory).
    """

    outside_diameter_mm: Values
    inside_diameter_mm: Values
    thickness_mm: Values
    cone_height_mm: Values
    youngs_modulus_mpa: Values = 206000.0
    poisson: Values = 0.3
    in_parallel: Values = 1.0
    in_series: Values = 1.0
    lever_ratio: Values = 1.0
    past_flat: bool = False
    _scale: Values = field(init=False, repr=False)

    def __post_init__(self) -> None:
        ratio = self.outside_diameter_mm / self.inside_diameter_mm
        stiff = 4 * self.youngs_modulus_mpa / (1 - self.poisson**2) * self.thickness_mm
        scale = stiff / (disc_constant(ratio) * self.outside_diameter_mm**2)
        object.__setattr__(self, "_scale", scale)

    @property
    def has_bends(self) -> bool:
        """Return False: a disc's load is smooth."""
        return False

    @property
    def end_name(self) -> str:
        """Return how the end is called."""
        return "spring-solid" if self.past_flat else "spring-flat"

    @property
    def flat_deflection_mm(self) -> Values:
        """Deflection of the stack at flat [mm]."""
        return self.in_series * self.cone_height_mm / self.lever_ratio

    @property
    def last_deflection_mm(self) -> Values:
        """Flat, or turned right over where the disc may pass flat [mm]."""
        return (2.0 if self.past_flat else 1.0) * self.flat_deflection_mm

    @property
    def known_end_mm(self) -> Values:
        """Flat; NaN where the disc may pass it [mm]."""
        return np.nan if self.past_flat else self.flat_deflection_mm

    @property
    def free_height_mm(self) -> Values:
        """Free height of the stack between its force and support circles [mm]."""
        one = self.cone_height_mm / self.lever_ratio + self.in_parallel * self.thickness_mm
        return self.in_series * one

    @property
    def turning_deflections_mm(self) -> tuple[Values, Values]:
        """Deflections of peak and valley load [mm]; NaN where h0/t <= sqrt 2."""
        h, t = self.cone_height_mm, self.thickness_mm
        inside = np.asarray((h**2 - 2 * t**2) / 3, float)
        half = np.sqrt(np.where(inside > 0, inside, np.nan))
        scale = self.in_series / self.lever_ratio
        return (h - half) * scale, (h + half) * scale

    @property
    def turns_mm(self) -> Sequence[Values]:
        """Deflections of peak and valley load [mm]."""
        return self.turning_deflections_mm

    def _one(self, deflection_mm: Values) -> Values:
        """Edge deflection of one disc [mm]."""
        return self.lever_ratio * deflection_mm / self.in_series

    def load_n(self, deflection_mm: Values) -> Values:
        """Load of the stack [N]."""
        s, h, t = self._one(deflection_mm), self.cone_height_mm, self.thickness_mm
        disc = self._scale * s * ((h - s) * (h - s / 2) + t**2)
        return self.in_parallel * self.lever_ratio * disc

    def rate_n_per_mm(self, deflection_mm: Values) -> Values:
        """Slope of the load [N/mm]; below zero between peak and valley."""
        s, h, t = self._one(deflection_mm), self.cone_height_mm, self.thickness_mm
        slope = self._scale * (h**2 + t**2 - 3 * h * s + 1.5 * s**2)
        return self.in_parallel * self.lever_ratio**2 / self.in_series * slope

    def energy_nmm(self, deflection_mm: Values) -> Values:
        """Stored energy of the stack [N mm]."""
        s, h, t = self._one(deflection_mm), self.cone_height_mm, self.thickness_mm
        work = s**2 * ((h**2 + t**2) / 2 - h * s / 2 + s**2 / 8)
        return self.in_parallel * self.in_series * self._scale * work

    def inner_top_stress_mpa(self, deflection_mm: Values) -> Values:
        """Reference stress at the upper inside edge (point I) [MPa], negative in compression.

        Source: DIN EN 16984, point I, from memory: sigma_I = -4E/(1-nu**2) s/(K1 De**2)
        [K2 (h0 - s/2) + K3 t].
        """
        ratio = self.outside_diameter_mm / self.inside_diameter_mm
        log = np.log(ratio)
        k2 = 6 / np.pi * ((ratio - 1) / log - 1) / log
        k3 = 3 / np.pi * (ratio - 1) / log
        s = self._one(deflection_mm)
        bracket = k2 * (self.cone_height_mm - s / 2) + k3 * self.thickness_mm
        return -self._scale / self.thickness_mm * s * bracket


@dataclass(frozen=True, eq=False, repr=False)
class Coils:
    """Equal coil springs side by side.

    Parameters
    ----------
    count, rate_n_per_mm_each, free_length_mm, solid_length_mm : float or array
        Number, rate of each [N/mm], free and solid length [mm]; NaN where the latter is unknown.
    """

    count: Values
    each_n_per_mm: Values
    free_length_mm: Values
    solid_length_mm: Values = np.nan

    @property
    def has_bends(self) -> bool:
        """Return False: coils load in a straight line."""
        return False

    @property
    def end_name(self) -> str:
        """Return how the end is called."""
        return "spring-solid"

    @property
    def free_height_mm(self) -> Values:
        """Free length [mm]."""
        return self.free_length_mm

    @property
    def last_deflection_mm(self) -> Values:
        """Deflection at solid length [mm]; the whole free length where that is unknown."""
        solid = np.where(np.isnan(self.solid_length_mm), 0.0, self.solid_length_mm)
        return self.free_length_mm - solid

    @property
    def known_end_mm(self) -> Values:
        """Deflection at solid length; NaN where that is unknown [mm]."""
        return self.free_length_mm - self.solid_length_mm

    @property
    def turns_mm(self) -> Sequence[Values]:
        """Return nothing: the load of coils does not turn."""
        return ()

    def load_n(self, deflection_mm: Values) -> Values:
        """Load of all coils [N]."""
        return self.count * self.each_n_per_mm * deflection_mm

    def rate_n_per_mm(self, deflection_mm: Values) -> Values:
        """Rate of all coils [N/mm]."""
        return self.count * self.each_n_per_mm + 0.0 * deflection_mm

    def energy_nmm(self, deflection_mm: Values) -> Values:
        """Stored energy [N mm]."""
        return self.count * self.each_n_per_mm * deflection_mm**2 / 2


@dataclass(frozen=True, eq=False, repr=False)
class MeasuredSpring:
    """Measured load against deflection, monotone cubic pieces between the readings.

    Parameters
    ----------
    curve : Curve
        Load [N] over deflection [mm] from the free spring.
    free_height_mm : float or array
        Height of the free spring [mm].
    """

    curve: Curve
    free_height_mm: Values

    @property
    def has_bends(self) -> bool:
        """Return True: a measured load may bend between any two readings."""
        return True

    @property
    def end_name(self) -> str:
        """Return how the end is called."""
        return "table-end"

    @property
    def last_deflection_mm(self) -> Values:
        """Last reading [mm]."""
        return self.curve.last_x

    @property
    def known_end_mm(self) -> Values:
        """Last reading [mm]."""
        return self.last_deflection_mm

    @property
    def turns_mm(self) -> Sequence[Values]:
        """The readings' deflections: between two of them the load does not turn [mm]."""
        return tuple(self.curve.x)

    def load_n(self, deflection_mm: Values) -> Values:
        """Load [N]."""
        return self.curve.value(deflection_mm)

    def rate_n_per_mm(self, deflection_mm: Values) -> Values:
        """Slope of the load [N/mm]."""
        return self.curve.slope(deflection_mm)

    def energy_nmm(self, deflection_mm: Values) -> Values:
        """Area under the load from the first reading [N mm]."""
        return self.curve.area(deflection_mm)
