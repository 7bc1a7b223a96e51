"""The cable: friction round its bends, stretch, slack, and stiffness of wire and housing."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from liftgeo.parts.values import Values

PULLING, BACK = 1, -1

# Elastic stretch factor G of wire rope: stretch in percent = load[lbf] * G / diameter[in]**2.
# Source: "Wire rope stretch", Strand Core technical resources page (read); stainless 1x7 is
# printed there as 7.35e-5, a tenfold misprint, corrected here.
STRETCH_FACTOR = {
    ("1x7", "stainless"): 7.35e-6,
    ("1x19", "stainless"): 7.79e-6,
    ("7x7", "stainless"): 1.20e-5,
    ("7x19", "stainless"): 1.62e-5,
    ("1x7", "galvanised"): 6.61e-6,
    ("1x19", "galvanised"): 6.98e-6,
    ("7x7", "galvanised"): 1.07e-5,
    ("7x19", "galvanised"): 1.40e-5,
}

# Metal area over diameter squared: equal round wires of d/3, d/5, d/9, d/15. Derived.
METAL_AREA_RATIO = {
    "1x7": 7 * np.pi / 4 / 9,
    "1x19": 19 * np.pi / 4 / 25,
    "7x7": 49 * np.pi / 4 / 81,
    "7x19": 133 * np.pi / 4 / 225,
}

_LBF_N = 4.4482216152605


def wire_modulus_mpa(construction: str, material: str) -> float:
    """Return the effective modulus of a wire rope on its metal area [MPa].

    Notes
    -----
    EA = 100 d**2 / G in lbf with d in inches, hence E = 100 lbf / (G * 25.4**2 * area ratio).
    Source: the stretch factors above.
    """
    factor = STRETCH_FACTOR[construction, material]
    return float(100 * _LBF_N / (factor * 25.4**2 * METAL_AREA_RATIO[construction]))


def wire_area_mm2(construction: str, diameter_mm: Values) -> Values:
    """Return the metal area of a wire rope [mm2]."""
    return METAL_AREA_RATIO[construction] * diameter_mm**2


def _mean_factor(exponent: Values) -> Values:
    """Return (exp(x) - 1)/x, 1 at x = 0."""
    small = np.abs(exponent) < 1e-12
    safe = np.where(small, 1.0, exponent)
    return np.where(small, 1.0 + exponent / 2, np.expm1(safe) / safe)


@dataclass(frozen=True, eq=False, repr=False)
class Cable:
    """A cable in its housing, from lever to arm.

    Parameters
    ----------
    slack_mm : float or array
        Free play, seating and liner clearance together [mm].
    bend_rad, friction : float or array
        Sum of all bends [rad] and coefficient of friction of the liner.
    drag_n : float or array
        Pull that moves the empty cable [N].
    compliance_mm_per_n : float or array
        Stretch per newton of mean tension [mm/N]; 0 is rigid.

    Notes
    -----
    Euler-Eytelwein: T_hand = T exp(mu beta) + D pulling, T exp(-mu beta) - D letting back; mean
    tension over the bends T (exp(+-mu beta) - 1)/(+-mu beta). Source: Beer & Johnston, Vector
    Mechanics: Statics, "Belt friction" (from memory); mean derived in docs/theory.md, "Cable".
    """

    slack_mm: Values = 0.0
    bend_rad: Values = 0.0
    friction: Values = 0.0
    drag_n: Values = 0.0
    compliance_mm_per_n: Values = 0.0
    _gain: tuple[Values, Values] = field(init=False, repr=False)
    _mean: tuple[Values, Values] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        wrap = self.wrap
        object.__setattr__(self, "_gain", (np.exp(wrap), np.exp(-wrap)))
        object.__setattr__(self, "_mean", (_mean_factor(wrap), _mean_factor(-wrap)))

    @property
    def wrap(self) -> Values:
        """Friction times bend, the exponent of the capstan law."""
        return self.friction * self.bend_rad

    def gain(self, way: int) -> Values:
        """Return tension at the hand over tension at the arm, without drag."""
        return self._gain[0 if way > 0 else 1]

    def hand_tension_n(self, tension_n: Values, way: int) -> Values:
        """Tension at the hand lever [N]; never below zero (a cable cannot push)."""
        return np.maximum(tension_n * self.gain(way) + way * self.drag_n, 0.0)

    def mean_factor(self, way: int) -> Values:
        """Return mean tension over tension at the arm."""
        return self._mean[0 if way > 0 else 1]

    def stretch_per_newton(self, way: int) -> Values:
        """Stretch per newton of tension at the arm [mm/N]."""
        return self.mean_factor(way) * self.compliance_mm_per_n

    def stretch_mm(self, tension_n: Values, way: int) -> Values:
        """Stretch of the whole cable [mm] at a tension at the arm [N]."""
        return tension_n * self.stretch_per_newton(way)
