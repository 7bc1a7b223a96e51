"""The elastic chain against a general-purpose physics engine at rest.

Source: MuJoCo, a rigid-body engine that knows nothing of clutches, run on bodies, wires and springs
(physics_engine.py); test_physics_engine_itself.py holds its answers to sums done by hand.
liftgeo gives a hand travel for a place on the stroke; the engine draws its lever just so far and
comes to rest; everything else must then agree. Frictionless, and every mechanism is invented.

The coned disc's cubic is written out here once more, after J. O. Almen and A. Laszlo, "The
Uniform-Section Disk Spring", Trans. ASME 58 (1936), from memory. Not tried here: that a ball
between two ramps follows the mean of their angles; the engine is told the lead.
"""

import math
from dataclasses import astuple, dataclass, replace

import physics_engine as engine
import pytest
from plain_mechanism import MECHANISMS, STOCK

from liftgeo import chain
from liftgeo.parts import cable, faces, release, spring, triangle
from liftgeo.parts.release_form import ReleaseUnit

# Both sides carry about 15 digits; what they agree to is set by differences such as a stretch of
# a hundredth of a millimetre in a wire of a hundred: 3e-12 at worst.
CLOSE = 1e-11

PLACES = (0.6, 1.5, 2.45, 3.3, 3.9, 4.15, 4.5)
"""Stroke coordinates: slack, cable stretching, rod free, clamped (2), parted (2)."""

READ = {
    "lever_angle_rad": "lever_angle_rad",
    "cable_pull_mm": "cable_pull_mm",
    "arm_rotation_rad": "arm_rotation_rad",
    "unit_rotation_rad": "unit_rotation_rad",
    "rod_travel_mm": "rod_travel_mm",
    "lift_mm": "plate_lift_mm",
    "tension_n": "cable_tension_n",
    "rod_force_n": "rod_force_n",
    "clamp_force_n": "clamp_force_n",
    "hand_force_n": "hand_force_n",
}
"""What liftgeo calls it, and what the engine's reader calls it."""


@dataclass(frozen=True)
class Case:
    """One mechanism told twice: in plain numbers, and as the parts that cannot be read off them."""

    plain: engine.Mechanism
    release: ReleaseUnit
    disc: spring.ConedDisc | None = None
    deflection_mm: float = 0.0


def _disc_case(disc, deflection):
    """Return STOCK with a coned disc: F(s) = S s [(h − s)(h − s/2) + t²], developed about s."""
    ratio = disc.outside_diameter_mm / disc.inside_diameter_mm
    k1 = ((ratio - 1) / ratio) ** 2 / ((ratio + 1) / (ratio - 1) - 2 / math.log(ratio)) / math.pi
    h, t, s = disc.cone_height_mm, disc.thickness_mm, deflection
    scale = 4 * 206_000.0 / (1 - 0.3**2) * t / (k1 * disc.outside_diameter_mm**2)
    load = scale * s * ((h - s) * (h - s / 2) + t**2)
    plain = replace(
        STOCK,
        spring_preload_n=load,
        spring_rate_n_per_mm=scale * (h**2 + t**2 - 3 * h * s + 1.5 * s**2),
        spring_second_n_per_mm2=scale * 1.5 * (s - h),
        spring_third_n_per_mm3=scale / 2,
        cushion_load_n=load,
    )
    return Case(plain, BALLS, disc, deflection)


BALLS = release.BallRamp(16.0, math.radians(14.0), math.radians(14.0))
UNEQUAL = release.BallRamp(16.0, math.radians(17.0), math.radians(11.0))
HELD = release.BallRamp(16.0, math.radians(17.0), math.radians(11.0), rolling=False)
THREAD = release.QuickThread(38.0, 20.0)

# A linear unit tells the engine its lead, and not what makes it.
LINEAR = {
    "ball-ramp": BALLS,
    "quick-thread-fingers-out-of-plane": THREAD,
    "rack-rigid-faces": release.Rack(7.5),
    "lever-drum-rigid-faces": BALLS,
    "arm-drum": THREAD,
    "flexible-blade": BALLS,
    "flexible-shaft-and-blade": THREAD,
}


def _unit(name):
    """Return the release unit of a mechanism as the package's part."""
    unit = MECHANISMS[name].unit
    if isinstance(unit, engine.LinearUnit):
        return LINEAR[name]
    ours = {
        engine.LinkCrank: release.CrankWithLink,
        engine.SlotCrank: release.CrankWithSlot,
        engine.Eccentric: release.Eccentric,
    }
    return ours[type(unit)](*astuple(unit))


CASES = {
    **{name: Case(mechanism, _unit(name)) for name, mechanism in MECHANISMS.items()},
    "ball-ramp-unequal": Case(STOCK, UNEQUAL),
    "ball-ramp-held": Case(
        replace(STOCK, unit=engine.LinearUnit(16.0 * math.tan(math.radians(17.0)))), HELD
    ),
    "coned-disc": _disc_case(spring.ConedDisc(120.0, 92.0, 1.7, 3.4), 2.4),
}


def _link(end, sense):
    if isinstance(end, engine.Drum):
        return triangle.Drum(end.radius_mm)
    lengths = (end.pin_radius_mm, end.stop_distance_mm, end.rest_length_mm, end.axial_offset_mm)
    return triangle.Triangle(*lengths, sense=sense)


def _parts(case):
    """Return a case as liftgeo's parts."""
    m = case.plain
    blade, shaft = m.blade_stiffness_n_per_mm, m.shaft_stiffness_nmm_per_rad
    loaded, deflection = case.disc, case.deflection_mm
    if loaded is None:
        loaded = spring.Coils(4, m.spring_rate_n_per_mm / 4, 60.0)
        deflection = m.spring_preload_n / m.spring_rate_n_per_mm
    return chain.Parts(
        lever=chain.Lever(
            link=_link(m.lever, 1),
            hand_radius_mm=m.hand_radius_mm,
            hand_travel_mm=1000.0,
            compliance_mm_per_n=0.0 if blade is None else 1 / blade,
        ),
        cable=cable.Cable(
            slack_mm=m.cable_slack_mm, compliance_mm_per_n=1 / m.cable_stiffness_n_per_mm
        ),
        arm=chain.Arm(
            link=_link(m.arm, -1),
            return_torque_nmm=m.arm_return_torque_nmm,
            return_rate_nmm_per_rad=m.arm_return_rate_nmm_per_rad,
            shaft_compliance_rad_per_nmm=0.0 if shaft is None else 1 / shaft,
        ),
        release=case.release,
        release_max_rotation_rad=math.inf,
        rod=chain.Rod(
            float_mm=m.rod_float_mm,
            compliance_mm_per_n=1 / m.rod_stiffness_n_per_mm,
            finger_ratio=m.finger_ratio,
        ),
        spring=loaded,
        installed_deflection_mm=deflection,
        spring_friction=0.0,
        faces=faces.Faces(
            plates=1,
            friction_faces=2,
            outside_mm=118.0,
            inside_mm=84.0,
            friction=0.3,
            cushion_travel_mm=m.cushion_travel_mm,
            cushion_load_n=m.cushion_load_n,
            needed_mm=0.3,
            target_mm=0.1,
            gross_target_mm=0.0,
        ),
    )


@pytest.mark.parametrize("name", CASES)
def test_chain_stands_where_the_engine_comes_to_rest(name):
    case = CASES[name]
    for place in PLACES:
        said = chain.position(_parts(case), place)
        found = engine.settle_at_hand(case.plain, float(said.hand_travel_mm))
        for ours, theirs in READ.items():
            wanted = pytest.approx(getattr(found, theirs), rel=CLOSE, abs=CLOSE)
            assert float(getattr(said, ours)) == wanted, (ours, place)
