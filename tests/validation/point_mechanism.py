"""The mechanism of the second method: spring, stack, faces, cable, and all links joined.

Source: the coned disc's load is Almen and Laszlo's as in EN 16984 (from memory); the rest is
derived here. Part of the second method in point_equilibrium.py. mm, N, rad, N·mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from point_links import BeyondThisCheckError, Body, Keys, Table, Unit, body_of, unit_of
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

WEAR_ALONE = ["facing_thickness", "wear_limit"]
STEEL_MODULUS_MPA = 206_000.0  # a rod given by length and diameter; the spring's own default


# ---------------------------------------------------------------- spring, stack, faces


@dataclass(frozen=True)
class Spring:
    """Load against deflection of the whole spring, without its friction."""

    load_n: Callable[[float], float]
    free_height_mm: float
    last_deflection_mm: float  # flat, solid, or the table's end; infinite where nothing stops it
    friction: float


def _coned_disc(keys: Keys) -> tuple[Callable[[float], float], float, float]:
    outer, inner = keys("outside_diameter"), keys("inside_diameter")
    thickness, height = keys("thickness"), keys("cone_height")
    modulus, poisson = keys("youngs_modulus", 206_000.0), keys("poisson", 0.3)
    parallel, series = keys("in_parallel", 1), keys("in_series", 1)
    force_at, support_at = keys("force_diameter", inner), keys("support_diameter", outer)
    lever = (outer - inner) / abs(support_at - force_at)
    ratio = outer / inner
    k1 = ((ratio - 1) / ratio) ** 2 / ((ratio + 1) / (ratio - 1) - 2 / math.log(ratio)) / math.pi
    stiffness = 4 * modulus / (1 - poisson**2) * thickness / (k1 * outer**2)

    def load(deflection: float) -> float:
        s = lever * deflection / series  # at the disc's own edges
        one = stiffness * s * ((height - s) * (height - s / 2) + thickness**2)
        return lever * parallel * one

    free = series * (height / lever + parallel * thickness)
    return load, free, math.inf if keys("past_flat", False) else series * height / lever


def _spring(keys: Keys, file: Table) -> tuple[Spring, float | None]:
    """The spring, and the height it is given when installed, if the file says so [mm]."""
    kind, friction = keys("kind"), keys("friction", 0.0)
    height = None
    if kind == "coned-disc":
        load, free, last = _coned_disc(keys)
    elif kind == "coils":
        rate, free = keys("count") * keys("rate"), keys("free_length")
        last, height = free - keys("solid_length", -math.inf), keys("installed_length")
        load = lambda deflection: rate * deflection  # noqa: E731 - one of three laws of one shape
    elif kind == "table":
        curve = PchipInterpolator(keys("deflection"), keys("load"), extrapolate=True)
        last, free = float(curve.x[-1]), keys("free_height", math.nan)
        load = lambda deflection: float(curve(deflection))  # noqa: E731 - as above
    else:
        raise BeyondThisCheckError(f"spring.kind {kind!r}")
    if keys.has("installed_deflection"):
        height = free - keys("installed_deflection") if math.isfinite(free) else None
        if height is None:  # a table without free height: count heights from zero deflection
            free, height = 0.0, -float(file["spring"]["installed_deflection"])
            keys("installed_deflection")
    return Spring(load, free, last, friction), height


def _installed_deflection(file: Table, spring: Spring, height: float | None, plates: int) -> float:
    """Deflection of the spring with the clutch engaged [mm]."""
    faces, keys = file["faces"], Keys(file, "stack")
    if height is not None:
        return spring.free_height_mm - height
    room = keys("rim_depth") + keys("basket_face_skim", 0.0) - keys("rim_skim", 0.0)
    room += keys("cover_recess", 0.0) + keys("shims", 0.0)
    room -= keys("plain_plates", plates - 1) * keys("plain_plate", 0.0)
    room -= keys("pressure_plate") - keys("pressure_plate_skim", 0.0)
    if not keys.has("friction_plate_free"):
        deflection = spring.free_height_mm - (room - plates * keys("friction_plate"))
        keys.finish()
        return deflection
    free_plate, travel = keys("friction_plate_free"), faces.get("cushion_travel", 0.0)
    keys.finish()

    def miss(deflection: float) -> float:
        load = spring.load_n(deflection)
        squeezed = travel * load / faces.get("cushion_load", load)
        return spring.free_height_mm - (room - plates * free_plate + squeezed) - deflection

    if "cushion_load" not in faces:
        return brentq(miss, 1e-6, spring.free_height_mm, xtol=1e-15, rtol=1e-15)
    start = spring.free_height_mm - (room - plates * free_plate)
    return brentq(miss, start - 2 * travel, start + travel, xtol=1e-15, rtol=1e-15)


# ---------------------------------------------------------------- the mechanism


@dataclass(frozen=True)
class Mechanism:
    """Everything the equations need, in mm, N, rad, N·mm."""

    lever: Body
    hand_radius_mm: float
    hand_travel_mm: float
    blade_mm_per_n: float
    lever_efficiency: float
    bend_rad: float
    cable_friction: float
    drag_n: float
    slack_mm: float
    cable_mm_per_n: float
    arm: Body
    return_torque_nmm: float
    return_rate_nmm_per_rad: float
    shaft_rad_per_nmm: float
    arm_efficiency: float
    unit: Unit
    unit_limit_rad: float
    arm_limit_rad: float
    finger_ratio: float
    float_mm: float
    rod_mm_per_n: float  # rod, fingers, mount and bearing, at the rod
    plate_mm_per_n: float  # at the plate
    spring: Spring
    installed_mm: float
    cushion_travel_mm: float
    cushion_load_n: float
    friction_plates: int
    needed_mm: float

    @cached_property
    def installed_load_n(self) -> float:
        return self.spring.load_n(self.installed_mm)

    @cached_property
    def cushion_rest_mm(self) -> float:
        return self.cushion_travel_mm * self.installed_load_n / self.cushion_load_n

    def stretch_mm(self, tension_n: float, way: int) -> float:
        """Elastic lengthening of the cable [mm], the tension averaged along its bends."""
        turn = self.cable_friction * self.bend_rad * way
        mean = tension_n * (math.expm1(turn) / turn if turn else 1.0)
        return mean * self.cable_mm_per_n

    def tension_at_lever_n(self, tension_n: float, way: int) -> float:
        gain = math.exp(way * self.cable_friction * self.bend_rad)
        return max(0.0, tension_n * gain + way * self.drag_n)


def _needed_mm(faces: Keys, plates: int, plain_plates: int) -> float:
    """Separation that lets every plate run free [mm], from full indicator readings."""
    outside = faces("outside_diameter")
    runout_scale = outside / faces("runout_diameter", outside)
    tilted = faces("pressure_plate_runout", 0.0) + faces("lift_tilt", 0.0)
    plates_own = plates * faces("plate_runout", 0.0)
    plates_own += plain_plates * faces("plain_plate_runout", 0.0)
    return runout_scale * (plates_own + (abs(faces("basket_runout", 0.0)) + abs(tilted)) / 2)


def read(file: Table) -> Mechanism:
    """Build the mechanism from a file's tables; refuse what is not covered."""
    lever, cable, arm = (Keys(file, name) for name in ("lever", "cable", "arm"))
    release, rod, spring_keys = (Keys(file, name) for name in ("release", "rod", "spring"))
    faces, bearing = Keys(file, "faces"), Keys(file, "bearing")
    lever_body = body_of(lever, "nipple_radius", lengthens=True)
    hand_radius = lever("hand_radius")
    travel = lever("hand_travel")
    if travel is None:
        travel = hand_radius * math.radians(lever("travel"))
    bend = math.radians(cable("bend", 0.0))
    slack = cable("free_play", 0.0) + cable("seating", 0.0) + cable("liner_clearance", 0.0) * bend
    degrees_per_radian = math.degrees(1.0)
    spring, height = _spring(spring_keys, file)
    plates = faces("friction_plates")
    installed = _installed_deflection(file, spring, height, plates)
    needed = _needed_mm(faces, plates, Keys(file, "stack")("plain_plates", plates - 1))
    rod_compliance = sum(map(rod.compliance, ("stiffness", "finger_stiffness", "mount_stiffness")))
    if rod.has("length"):
        area = math.pi / 4 * rod("diameter") ** 2
        rod_compliance += rod("length") / (STEEL_MODULUS_MPA * area)
    max_unit, max_arm = release("max_rotation"), arm("max_rotation")
    unit = unit_of(release)
    result = Mechanism(
        lever=lever_body,
        hand_radius_mm=hand_radius,
        hand_travel_mm=travel,
        blade_mm_per_n=lever.compliance("stiffness"),
        lever_efficiency=lever("efficiency", 1.0),
        bend_rad=bend,
        cable_friction=cable("friction", 0.0),
        drag_n=cable("drag", 0.0),
        slack_mm=slack,
        cable_mm_per_n=cable.compliance("stiffness"),
        arm=body_of(arm, "radius", lengthens=False),
        return_torque_nmm=1e3 * arm("return_torque", 0.0),
        return_rate_nmm_per_rad=1e3 * degrees_per_radian * arm("return_rate", 0.0),
        shaft_rad_per_nmm=arm.compliance("shaft_stiffness") / (1e3 * degrees_per_radian),
        arm_efficiency=arm("efficiency", 1.0),
        unit=unit,
        unit_limit_rad=unit.last_rad if max_unit is None else math.radians(max_unit),
        arm_limit_rad=math.inf if max_arm is None else math.radians(max_arm),
        finger_ratio=rod("finger_ratio", 1.0),
        float_mm=rod("end_float", 0.0)
        + rod("adjuster_clearance", 0.0)
        + rod("shaft_float", 0.0)
        + bearing("axial_play", 0.0),
        rod_mm_per_n=rod_compliance + bearing.compliance("axial_stiffness"),
        plate_mm_per_n=rod.compliance("plate_stiffness"),
        spring=spring,
        installed_mm=installed,
        cushion_travel_mm=faces("cushion_travel", 0.0),
        cushion_load_n=faces("cushion_load", spring.load_n(installed)),
        friction_plates=plates,
        needed_mm=needed,
    )
    lever.finish(["blade_length"])
    rod.finish(["action"])
    for keys in (cable, arm, release, spring_keys):
        keys.finish()
    faces.finish(["inside_diameter", "friction", "running", "friction_faces", *WEAR_ALONE])
    return result
