"""One mechanism in plain numbers, for checks from outside: mm, N, N·mm, rad.

All travels are zero at rest and grow as the lever closes. Frictionless. A quick thread of lead L
[mm a turn] is a `LinearUnit` of L/2π, a rack one of its pinion radius, a ball-and-ramp one of pitch
radius times the tangent of the mean ramp angle.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class PinTriangle:
    """Cable end on a pin, drawn straight towards a fixed stop (lever or arm).

    Attributes
    ----------
    pin_radius_mm, stop_distance_mm : float
        From the pivot to the pin, and to the cable stop [mm].
    rest_length_mm : float
        From pin to stop with the lever or arm at rest [mm].
    axial_offset_mm : float
        Pin and stop out of one plane, along the pivot [mm].
    """

    pin_radius_mm: float
    stop_distance_mm: float
    rest_length_mm: float
    axial_offset_mm: float = 0.0


@dataclass(frozen=True)
class Drum:
    """Cable laid round a constant radius [mm]; good for some 80° of lever or 120° of arm."""

    radius_mm: float


@dataclass(frozen=True)
class LinearUnit:
    """Travel proportional to rotation: ball-and-ramp, quick thread, rack.

    Attributes
    ----------
    lead_mm_per_rad : float
        Rod travel for each radian of the unit [mm/rad].
    """

    lead_mm_per_rad: float


@dataclass(frozen=True)
class LinkCrank:
    """Crank pin and rod joined by a rigid link, the rod's end running on a straight line.

    Attributes
    ----------
    crank_radius_mm, link_length_mm : float
        Pivot to pin, and length of the link, which trails the pin [mm].
    rest_angle_rad : float
        Crank at rest, from the normal to the rod line, positive in the direction of pulling [rad].
    offset_mm : float
        Rod line from the pivot, positive to the side of the pin at 0 rad [mm].
    """

    crank_radius_mm: float
    link_length_mm: float
    rest_angle_rad: float
    offset_mm: float = 0.0


@dataclass(frozen=True)
class SlotCrank:
    """Crank pin in a slot across the rod.

    Attributes
    ----------
    crank_radius_mm : float
        Pivot to pin [mm].
    rest_angle_rad : float
        Crank at rest, from the normal to the rod line, positive in the direction of pulling [rad].
    """

    crank_radius_mm: float
    rest_angle_rad: float


@dataclass(frozen=True)
class Eccentric:
    """Round cam off its centre, pushing a flat follower across the rod.

    Attributes
    ----------
    eccentricity_mm : float
        Pivot to the middle of the cam [mm].
    rest_angle_rad : float
        Middle of the cam at rest, counted as the crank's angle [rad].
    cam_radius_mm : float
        Radius of the cam [mm].
    """

    eccentricity_mm: float
    rest_angle_rad: float
    cam_radius_mm: float


ReleaseUnit = LinearUnit | LinkCrank | SlotCrank | Eccentric


@dataclass(frozen=True)
class Mechanism:
    """One mechanism in plain numbers.

    Attributes
    ----------
    lever : PinTriangle or Drum
        Cable at the lever; the wire grows longer there as the lever closes.
    hand_radius_mm : float
        Pivot to the middle of the pull [mm].
    cable_slack_mm : float
        All free play of the cable, before it is straight [mm].
    cable_stiffness_n_per_mm : float
        Of cable, casing and brackets together [N/mm].
    arm : PinTriangle or Drum
        Cable at the arm; the wire grows shorter there as the arm turns.
    arm_return_torque_nmm, arm_return_rate_nmm_per_rad : float
        Torque that holds the arm on its rest stop, and its growth with rotation [N·mm, N·mm/rad].
    unit : LinearUnit, LinkCrank, SlotCrank or Eccentric
        The release unit.
    rod_stiffness_n_per_mm, rod_float_mm : float
        Measured at the rod [N/mm, mm].
    spring_preload_n, spring_rate_n_per_mm : float
        Clamp spring's load on the plate at rest and its rate [N, N/mm].
    finger_ratio : float
        Rod travel for each mm of plate lift.
    cushion_travel_mm, cushion_load_n : float
        The faces' cushion: compression [mm] under that load [N], in proportion; 0 mm: rigid faces.
    blade_stiffness_n_per_mm : float or None
        Lever blade at the hand, the pin held [N/mm]; None: rigid.
    shaft_stiffness_nmm_per_rad : float or None
        Shaft from arm to unit [N·mm/rad]; None: rigid.
    spring_second_n_per_mm2, spring_third_n_per_mm3 : float
        Bent spring: load = preload + rate x + second x² + third x³. A coned disc's law is exactly
        such a cubic. Needs an engine that knows stiffness polynomials, as MuJoCo 4.0 does.
    """

    lever: PinTriangle | Drum
    hand_radius_mm: float
    cable_slack_mm: float
    cable_stiffness_n_per_mm: float
    arm: PinTriangle | Drum
    arm_return_torque_nmm: float
    unit: ReleaseUnit
    rod_stiffness_n_per_mm: float
    rod_float_mm: float
    spring_preload_n: float
    spring_rate_n_per_mm: float
    arm_return_rate_nmm_per_rad: float = 0.0
    finger_ratio: float = 1.0
    cushion_travel_mm: float = 0.0
    cushion_load_n: float = 1.0
    blade_stiffness_n_per_mm: float | None = None
    shaft_stiffness_nmm_per_rad: float | None = None
    spring_second_n_per_mm2: float = 0.0
    spring_third_n_per_mm3: float = 0.0
