"""The friction faces: cushion, the separation they need to run clear, and the torque they hold."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.parts.values import Values


def uniform_wear_torque_nmm(
    clamp_n: Values, friction: Values, outside_mm: Values, inside_mm: Values, faces: Values
) -> Values:
    """Return the torque of a run-in clutch, T = mu F z (D + d)/4 [N mm].

    Source: Budynas & Nisbett, Shigley's Mechanical Engineering Design, eq. (16-24) (from memory).
    """
    return friction * clamp_n * faces * (outside_mm + inside_mm) / 4


def uniform_pressure_torque_nmm(
    clamp_n: Values, friction: Values, outside_mm: Values, inside_mm: Values, faces: Values
) -> Values:
    """Return the torque of a new clutch, T = mu F z (D**3 - d**3)/(3 (D**2 - d**2)) [N mm].

    Source: Budynas & Nisbett, Shigley's Mechanical Engineering Design, eq. (16-26) (from memory).
    """
    ratio = (outside_mm**3 - inside_mm**3) / (outside_mm**2 - inside_mm**2)
    return friction * clamp_n * faces * ratio / 3


@dataclass(frozen=True, eq=False, repr=False)
class Faces:
    """The friction pack.

    Parameters
    ----------
    plates : float or array
        Number of friction plates n; the lift is shared by 2 n gaps.
    friction_faces : float or array
        Faces that carry torque.
    outside_mm, inside_mm, friction : float or array
        Facing diameters [mm] and coefficient of friction.
    cushion_travel_mm, cushion_load_n : float or array
        Compression of the whole pack [mm] under that load [N]: c(N) = travel N / load.
    needed_mm : float or array
        Separation of the whole pack at which nothing touches in the worst position [mm].
    target_mm, gross_target_mm : float or array
        Net clearance per face wanted, and gross gap per face wanted [mm].
    """

    plates: Values
    friction_faces: Values
    outside_mm: Values
    inside_mm: Values
    friction: Values
    cushion_travel_mm: Values
    cushion_load_n: Values
    needed_mm: Values
    target_mm: Values
    gross_target_mm: Values

    @property
    def cushion_compliance(self) -> Values:
        """Cushion compression per newton of clamp force [mm/N]."""
        return self.cushion_travel_mm / self.cushion_load_n

    @property
    def target_separation_mm(self) -> Values:
        """Separation of the whole pack that meets both targets [mm]."""
        net = self.needed_mm + 2 * self.plates * self.target_mm
        return np.maximum(net, 2 * self.plates * self.gross_target_mm)

    def clearance_per_face_mm(self, separation_mm: Values) -> Values:
        """Net clearance per face [mm] at a signed separation of the whole pack."""
        return (separation_mm - self.needed_mm) / (2 * self.plates)

    def torque_nmm(self, clamp_n: Values) -> Values:
        """Torque capacity of run-in faces [N mm]."""
        return uniform_wear_torque_nmm(
            clamp_n, self.friction, self.outside_mm, self.inside_mm, self.friction_faces
        )

    def mean_pressure_mpa(self, clamp_n: Values) -> Values:
        """Clamp force over facing area [MPa]."""
        return clamp_n / (np.pi / 4 * (self.outside_mm**2 - self.inside_mm**2))


def needed_separation_mm(
    plates: Values,
    plain_plates: Values,
    plate_runout_mm: Values,
    plain_plate_runout_mm: Values,
    basket_runout_mm: Values,
    pressure_plate_mm: Values,
) -> Values:
    """Return the separation at which the worst rotational position just runs clear [mm].

    Notes
    -----
    n w_plate + (plain plates) w_plain + (|basket| + |pressure plate with its lift tilt|)/2, all
    as full indicator readings at the facing's outside diameter. A plate with axial run-out w
    between two true faces needs w; two tilted faces need half the sum of their readings.
    Source: derived in docs/theory.md, "Needed separation".
    """
    plates_need = plates * plate_runout_mm + plain_plates * plain_plate_runout_mm
    return plates_need + (np.abs(basket_runout_mm) + np.abs(pressure_plate_mm)) / 2
