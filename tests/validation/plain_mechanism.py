"""One mechanism in plain numbers, for checks from outside: mm, N, N·mm, rad.

All travels are zero at rest and grow as the lever closes. Frictionless. A quick thread of lead L
[mm a turn] is a `LinearUnit` of L/2π, a rack one of its pinion radius, a ball-and-ramp one of pitch
radius times the tangent of the mean ramp angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace


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


STOCK = Mechanism(
    lever=PinTriangle(26.0, 42.0, 44.0),
    hand_radius_mm=75.0,
    cable_slack_mm=2.2,
    cable_stiffness_n_per_mm=240.0,
    arm=PinTriangle(38.0, 95.0, 90.0),
    arm_return_torque_nmm=300.0,
    unit=LinearUnit(16.0 * math.tan(math.radians(14.0))),
    rod_stiffness_n_per_mm=25_000.0,
    rod_float_mm=0.12,
    spring_preload_n=3_000.0,
    spring_rate_n_per_mm=200.0,
    cushion_travel_mm=0.25,
    cushion_load_n=3_000.0,
)
"""The base clutch of the tests in plain numbers, on coil springs: balls, two triangles."""

OTHER = Mechanism(
    lever=PinTriangle(31.0, 24.0, 29.0, axial_offset_mm=6.0),
    hand_radius_mm=92.0,
    cable_slack_mm=0.8,
    cable_stiffness_n_per_mm=95.0,
    arm=PinTriangle(52.0, 47.0, 61.0, axial_offset_mm=9.0),
    arm_return_torque_nmm=120.0,
    arm_return_rate_nmm_per_rad=800.0,
    unit=LinearUnit(38.0 / (2 * math.pi)),
    rod_stiffness_n_per_mm=6_500.0,
    rod_float_mm=0.3,
    finger_ratio=2.6,
    spring_preload_n=1_450.0,
    spring_rate_n_per_mm=64.0,
    cushion_travel_mm=0.6,
    cushion_load_n=1_800.0,
)
"""A quick thread, fingers, a softer cable, pins and stops out of one plane, a long cushion."""

MECHANISMS = {
    "ball-ramp": STOCK,
    "quick-thread-fingers-out-of-plane": OTHER,
    "rack-rigid-faces": replace(OTHER, unit=LinearUnit(7.5), cushion_travel_mm=0.0),
    "crank-with-link": replace(STOCK, unit=LinkCrank(6.0, 40.0, -0.2, 1.0)),
    "crank-with-short-link": replace(OTHER, unit=LinkCrank(7.0, 17.0, 0.1, -1.5)),
    "crank-in-slot": replace(STOCK, unit=SlotCrank(5.0, -0.25)),
    "eccentric": replace(STOCK, unit=Eccentric(4.5, -0.15, 11.0)),
    "lever-drum-rigid-faces": replace(STOCK, lever=Drum(19.0), cushion_travel_mm=0.0),
    "arm-drum": replace(OTHER, arm=Drum(44.0)),
    "flexible-blade": replace(STOCK, blade_stiffness_n_per_mm=60.0),
    "flexible-shaft-and-blade": replace(
        OTHER, blade_stiffness_n_per_mm=110.0, shaft_stiffness_nmm_per_rad=250_000.0
    ),
    "flexible-shaft-crank": replace(
        STOCK, unit=LinkCrank(6.0, 40.0, -0.2, 1.0), shaft_stiffness_nmm_per_rad=400_000.0
    ),
}
"""Invented, each with something the others lack."""
