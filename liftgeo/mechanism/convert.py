"""From a file's numbers to the parts: the one place where file units turn inward.

Every function takes the file's keys as one flat dictionary, whose numbers may be floats or arrays.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from liftgeo.chain import ARM_MOVES, ROD_LOADS, Arm, Lever, Parts, Rod, position
from liftgeo.mechanism.laying import hand_angle_rad
from liftgeo.mechanism.runouts import pressure_plate_runout_mm
from liftgeo.parts import release as units
from liftgeo.parts.bearing import Bearing
from liftgeo.parts.cable import PULLING, Cable, wire_area_mm2, wire_modulus_mpa
from liftgeo.parts.curve import Curve
from liftgeo.parts.faces import Faces, needed_separation_mm
from liftgeo.parts.release import ReleaseUnit, back_factor
from liftgeo.parts.spring import Coils, ConedDisc, MeasuredSpring, Spring
from liftgeo.parts.triangle import Drum, Link, MeasuredLink, Triangle, rest_length_mm
from liftgeo.parts.values import Values

Keys = Mapping[str, Any]

NMM_PER_NM = 1000.0
STEEL_MODULUS_MPA = 206000.0
DRY_TARGET_MM, WET_TARGET_MM, WET_GROSS_MM = 0.10, 0.03, 0.10
HAND_FORCE_TARGET_N, SLIP_MARGIN_TARGET = 90.0, 1.33
WET_ABOVE_PLATES = 2


def number(keys: Keys, dotted: str, default: Values = 0.0) -> Values:
    """Return a number of the file, or a default where it is not given."""
    value = keys.get(dotted)
    return default if value is None else value


def _turn_rate(keys: Keys, dotted: str) -> Values:
    """Return N m/deg as N mm/rad."""
    return number(keys, dotted) * NMM_PER_NM * 180 / np.pi


def compliance(stiffness: Values | None) -> Values:
    """Return one over a stiffness; 0 (rigid) where there is none."""
    return 0.0 if stiffness is None else 1 / stiffness


@dataclass(frozen=True, eq=False, repr=False)
class Sides:
    """A triangle's distances [mm]: pin radius, stop distance, rest length, hand radius."""

    pin: Values
    stop: Values
    rest: Values
    offset: Values
    hand: Values = np.nan

    @property
    def flat_rest(self) -> Values:
        """Rest length seen along the pivot's axis [mm]; NaN where the offset exceeds it."""
        return np.sqrt(self.rest**2 - self.offset**2)

    @property
    def cable_angle_deg(self) -> Values:
        """Angle at the pin between the line to the pivot and the cable, at rest [deg]."""
        link = Triangle(self.pin, self.stop, self.rest, self.offset)
        return np.degrees(link.cable_angle_rad(0.0))


def sides(keys: Keys, table: str) -> Sides:
    """Return the triangle of a lever or arm from points, or from distances and angle."""
    offset = number(keys, f"{table}.axial_offset")
    if f"{table}.points.pivot" in keys:
        pivot, pin, stop = (
            np.array(keys[f"{table}.points.{name}"], float) for name in ("pivot", "pin", "stop")
        )
        hand = np.array(keys.get(f"{table}.points.hand", (np.nan, np.nan)), float)
        return _shifted(
            keys,
            table,
            Sides(
                np.hypot(*(pin - pivot)),
                np.hypot(*(stop - pivot)),
                np.sqrt(np.sum((pin - stop) ** 2) + offset**2),
                offset,
                np.hypot(*(hand - pivot)),
            ),
            hand_angle_rad(pivot, pin, stop, hand) if table == "lever" else None,
        )
    pin = keys[f"{table}.nipple_radius" if table == "lever" else f"{table}.radius"]
    stop = keys[f"{table}.stop_distance"]
    if f"{table}.rest_length" in keys:
        rest = keys[f"{table}.rest_length"]
    else:
        rest = rest_length_mm(pin, stop, np.radians(keys[f"{table}.cable_angle"]), offset)
    found = Sides(pin, stop, rest, offset, number(keys, f"{table}.hand_radius", np.nan))
    angle = keys.get(f"{table}.hand_angle")
    return _shifted(keys, table, found, None if angle is None else np.radians(angle))


def _shifted(keys: Keys, table: str, found: Sides, to_hand_rad: Values | None) -> Sides:
    """Return the triangle after its pivot has moved, pin, stop and hand left where they are."""
    x, y = number(keys, f"{table}.pivot_shift_x"), number(keys, f"{table}.pivot_shift_y")
    if to_hand_rad is None or not (np.any(x) or np.any(y)):
        return found
    link = Triangle(found.pin, found.stop, found.rest, found.offset)
    at = link.rest_angle_rad
    pin = found.pin * np.cos(at) - x, found.pin * np.sin(at) - y
    hand_at = at + to_hand_rad
    hand = found.hand * np.cos(hand_at) - x, found.hand * np.sin(hand_at) - y
    return Sides(
        np.hypot(*pin), np.hypot(found.stop - x, y), found.rest, found.offset, np.hypot(*hand)
    )


def measured(keys: Keys, table: str, across: str, up: str, scale: float = 1.0) -> Curve:
    """Return a curve through a table's readings, counted from its first reading."""
    x = np.array(keys[f"{table}.{across}"], float) * scale
    y = np.array(keys[f"{table}.{up}"], float)
    return Curve(x - x[0], y - y[0])


def _link(keys: Keys, table: str, sense: int) -> Link:
    kind = keys.get(f"{table}.kind", "pin")
    if kind == "drum":
        return Drum(keys[f"{table}.drum_radius"])
    if kind == "profile":
        return MeasuredLink(measured(keys, table, "angle", "pull", np.pi / 180))
    found = sides(keys, table)
    return Triangle(found.pin, found.stop, found.rest, found.offset, sense)


def _lever(keys: Keys) -> Lever:
    hand = number(keys, "lever.hand_radius", np.nan)
    if keys.get("lever.kind", "pin") == "pin":
        hand = sides(keys, "lever").hand
    travel = keys.get("lever.hand_travel")
    if travel is None:
        travel = hand * np.radians(keys["lever.travel"])
    return Lever(
        _link(keys, "lever", 1),
        hand,
        travel,
        compliance(keys.get("lever.stiffness")),
        number(keys, "lever.efficiency", 1.0),
    )


def _arm(keys: Keys) -> Arm:
    link = _link(keys, "arm", -1)
    allowed = np.radians(number(keys, "arm.max_rotation", np.inf))
    if not link.dead_centre:
        allowed = np.minimum(allowed, link.last_rotation_rad)
    wind_up = keys.get("arm.shaft_stiffness")
    return Arm(
        link,
        number(keys, "arm.return_torque") * NMM_PER_NM,
        _turn_rate(keys, "arm.return_rate"),
        0.0 if wind_up is None else 1 / _turn_rate(keys, "arm.shaft_stiffness"),
        allowed,
        number(keys, "arm.efficiency", 1.0),
    )


def release_unit(keys: Keys) -> ReleaseUnit:
    """Return the release unit of the file's kind."""

    def of(name: str, default: Values = 0.0) -> Values:
        return number(keys, f"release.{name}", default)

    kind = keys["release.kind"]
    if kind == "ball-ramp":
        ramp = np.radians(keys["release.ramp_angle"])
        far = keys.get("release.far_ramp_angle")
        far = ramp if far is None else np.radians(far)
        loss = np.radians(of("friction_angle"))
        rolling = of("balls", "rolling") == "rolling"
        return units.BallRamp(keys["release.pitch_radius"], ramp, far, loss, rolling)
    if kind == "quick-thread":
        return units.QuickThread(
            keys["release.lead"],
            keys["release.mean_diameter"],
            np.radians(of("flank_angle")),
            of("friction"),
            of("collar_diameter"),
            of("collar_friction"),
        )
    if kind == "rack":
        return units.Rack(keys["release.pinion_radius"], of("efficiency", 1.0))
    if kind == "profile":
        curve = measured(keys, "release", "angle", "travel", np.pi / 180)
        return units.MeasuredUnit(curve, of("efficiency", 1.0))
    rest = np.radians(keys["release.rest_angle"])
    if kind == "eccentric":
        throw, cam = keys["release.eccentricity"], of("cam_radius")
        return units.Eccentric(throw, rest, cam, of("friction"), of("efficiency", 1.0))
    radius, efficiency = keys["release.crank_radius"], of("efficiency", 1.0)
    if "release.link_length" not in keys:
        return units.CrankWithSlot(radius, rest, efficiency)
    return units.CrankWithLink(radius, keys["release.link_length"], rest, of("offset"), efficiency)


def cable_compliance(keys: Keys) -> Values:
    """Return the stretch of the cable per newton [mm/N]: measured, or of wire, casing, brackets."""
    if "cable.stiffness" in keys:
        return 1 / keys["cable.stiffness"]
    total = compliance(keys.get("cable.housing.stiffness"))
    total = total + compliance(keys.get("cable.bracket_stiffness"))
    length = keys.get("cable.wire.length")
    if length is not None:
        construction = keys.get("cable.wire.construction")
        area, modulus = keys.get("cable.wire.area"), keys.get("cable.wire.modulus")
        if area is None:
            area = wire_area_mm2(str(construction), keys["cable.wire.diameter"])
        if modulus is None:
            modulus = wire_modulus_mpa(str(construction), str(keys.get("cable.wire.material")))
        total = total + length / (area * modulus)
    return total


def _rod(keys: Keys) -> Rod:
    ratio = number(keys, "rod.finger_ratio", 1.0)
    total = compliance(keys.get("rod.stiffness"))
    if "rod.length" in keys and "rod.diameter" in keys:
        area = np.pi / 4 * keys["rod.diameter"] ** 2
        total = total + keys["rod.length"] / (STEEL_MODULUS_MPA * area)
    for name in ("rod.finger_stiffness", "rod.mount_stiffness", "bearing.axial_stiffness"):
        total = total + compliance(keys.get(name))
    total = total + ratio**2 * compliance(keys.get("rod.plate_stiffness"))
    floats = ("rod.end_float", "rod.adjuster_clearance", "rod.shaft_float", "bearing.axial_play")
    return Rod(sum(number(keys, name) for name in floats), total, ratio)


def lever_ratio(keys: Keys) -> Values:
    """Return K of a coned disc whose force and support circles lie off its edges."""
    outside, inside = keys["spring.outside_diameter"], keys["spring.inside_diameter"]
    force, support = keys.get("spring.force_diameter"), keys.get("spring.support_diameter")
    if force is None and support is None:
        return 1.0
    middle, known = (outside + inside) / 2, support if force is None else force
    far_edge: Values = np.where(known < middle, outside, inside)
    apart = (far_edge if force is None else force) - (far_edge if support is None else support)
    return (outside - inside) / np.abs(apart)


def spring(keys: Keys) -> Spring:
    """Return the clamping spring of the file's kind."""
    kind = keys["spring.kind"]
    if kind == "coils":
        solid = number(keys, "spring.solid_length", np.nan)
        return Coils(keys["spring.count"], keys["spring.rate"], keys["spring.free_length"], solid)
    if kind == "table":
        x, y = (np.array(keys[f"spring.{name}"], float) for name in ("deflection", "load"))
        return MeasuredSpring(Curve(x, y), number(keys, "spring.free_height", np.nan))
    return ConedDisc(
        keys["spring.outside_diameter"],
        keys["spring.inside_diameter"],
        keys["spring.thickness"],
        keys["spring.cone_height"],
        number(keys, "spring.youngs_modulus", 206000.0),
        number(keys, "spring.poisson", 0.3),
        number(keys, "spring.in_parallel", 1.0),
        number(keys, "spring.in_series", 1.0),
        lever_ratio(keys),
        bool(keys.get("spring.past_flat", False)),
    )


def plain_plates(keys: Keys) -> Values:
    """Return the number of plain plates: given, or one less than the friction plates."""
    return number(keys, "stack.plain_plates", keys["faces.friction_plates"] - 1)


def spring_gap_mm(keys: Keys) -> Values:
    """Return the height the stack leaves for the spring [mm]."""
    plates = keys["faces.friction_plates"]
    plate = keys.get("stack.friction_plate")
    if plate is None:
        share = number(keys, "faces.cushion_travel") / plates
        plate = keys["stack.friction_plate_free"] - share
    depth = keys["stack.rim_depth"] + number(keys, "stack.basket_face_skim")
    depth = depth - number(keys, "stack.rim_skim") + number(keys, "stack.cover_recess")
    depth = depth + number(keys, "stack.shims") - plates * plate
    depth = depth - plain_plates(keys) * number(keys, "stack.plain_plate")
    return depth - (keys["stack.pressure_plate"] - number(keys, "stack.pressure_plate_skim"))


def installed_deflection_mm(keys: Keys, fitted: Spring) -> Values:
    """Return how far the spring is pressed at rest [mm]."""
    if "spring.installed_deflection" in keys:
        return keys["spring.installed_deflection"]
    if "spring.installed_length" in keys:
        return fitted.free_height_mm - keys["spring.installed_length"]
    return fitted.free_height_mm - spring_gap_mm(keys)


def is_wet(keys: Keys) -> Values:
    """Return whether the clutch runs in oil: as given, or above two friction plates."""
    given = keys.get("faces.running")
    return keys["faces.friction_plates"] > WET_ABOVE_PLATES if given is None else given == "wet"


def needed_mm(keys: Keys) -> Values:
    """Return the separation of the whole pack that runs clear [mm]."""
    outside = keys["faces.outside_diameter"]
    scale = outside / number(keys, "faces.runout_diameter", outside)
    return scale * needed_separation_mm(
        keys["faces.friction_plates"],
        plain_plates(keys),
        number(keys, "faces.plate_runout"),
        number(keys, "faces.plain_plate_runout"),
        number(keys, "faces.basket_runout"),
        pressure_plate_runout_mm(keys),
    )


def _faces(keys: Keys, clamp_n: Values, carried_cushion_load_n: Values | None) -> Faces:
    plates = keys["faces.friction_plates"]
    load = keys.get("faces.cushion_load")
    if load is None:
        load = clamp_n if carried_cushion_load_n is None else carried_cushion_load_n
    wet = is_wet(keys)
    target: Values = keys.get("targets.clearance")
    gross: Values = 0.0
    if target is None:
        target = np.where(wet, WET_TARGET_MM, DRY_TARGET_MM)
        gross = np.where(wet, WET_GROSS_MM, 0.0)
    return Faces(
        plates,
        number(keys, "faces.friction_faces", 2 * plates),
        keys["faces.outside_diameter"],
        keys["faces.inside_diameter"],
        keys["faces.friction"],
        number(keys, "faces.cushion_travel"),
        load,
        needed_mm(keys),
        target,
        gross,
    )


def bearing(keys: Keys) -> Bearing | None:
    """Return the release bearing, or None where the file has none."""
    if "bearing.kind" not in keys:
        return None
    angle = keys.get("bearing.contact_angle") if keys["bearing.kind"] != "deep-groove" else None
    return Bearing(
        angle,
        number(keys, "bearing.static_rating", np.nan),
        number(keys, "bearing.dynamic_rating", np.nan),
        number(keys, "bearing.speed", np.nan),
        number(keys, "bearing.duty", 1.0),
    )


def slack_at_hand_mm(parts: Parts, hand_mm: Values, at: float) -> Values:
    """Return the whole slack with which the lever has moved `hand_mm` at a joint of the stroke.

    Parameters
    ----------
    parts : Parts
        With a cable whose slack is zero.
    hand_mm : float or array
        Hand travel to the joint [mm].
    at : float
        The joint: the arm moves, or the rod loads.
    """
    lever, cable = parts.lever, parts.cable
    p = position(parts, at)
    angle = hand_mm / lever.hand_radius_mm
    factor = back_factor(lever.efficiency, PULLING) / lever.hand_radius_mm
    tension = cable.hand_tension_n(p.tension_n, PULLING)
    for _ in range(60 if np.any(lever.compliance_mm_per_n) else 1):
        force = tension * lever.link.moment_arm_mm(angle) * factor
        angle = (hand_mm - lever.compliance_mm_per_n * force) / lever.hand_radius_mm
    return lever.link.pull_mm(angle) - p.cable_pull_mm


def hand_travel_mm(keys: Keys) -> Values:
    """Return the hand travel of the file [mm], as given or from the blade's angle."""
    return _lever(keys).hand_travel_mm


def to_parts(keys: Keys, carried_cushion_load_n: Values | None = None) -> Parts:
    """Return the parts of a mechanism in mm, N, rad and N mm.

    Parameters
    ----------
    keys : mapping
        Flat keys in the file's bare units, each a number, an array of shape (N,), or a word.
    carried_cushion_load_n : float or None
        Cushion load of the unchanged file, where the file gives none.
    """
    fitted = spring(keys)
    deflection = installed_deflection_mm(keys, fitted)
    bend = np.radians(number(keys, "cable.bend"))
    settled = number(keys, "cable.seating") + number(keys, "cable.liner_clearance") * bend
    slack = number(keys, "cable.free_play") + settled
    at_hand = next(
        (k for k in ("free_play_at_hand", "take_up_at_hand") if f"cable.{k}" in keys), ""
    )
    cable = Cable(
        0.0 if at_hand else slack,
        bend,
        number(keys, "cable.friction"),
        number(keys, "cable.drag"),
        cable_compliance(keys),
    )
    unit = release_unit(keys)
    allowed = np.radians(number(keys, "release.max_rotation", np.inf))
    if not unit.dead_centre:
        allowed = np.minimum(allowed, unit.last_rotation_rad)
    found = Parts(
        _lever(keys),
        cable,
        _arm(keys),
        unit,
        allowed,
        _rod(keys),
        fitted,
        deflection,
        number(keys, "spring.friction"),
        _faces(keys, fitted.load_n(deflection), carried_cushion_load_n),
    )
    if not at_hand:
        return found
    joint = ARM_MOVES if at_hand == "free_play_at_hand" else ROD_LOADS
    whole = slack_at_hand_mm(found, keys[f"cable.{at_hand}"], joint)
    return replace(found, cable=replace(cable, slack_mm=np.maximum(whole, 0.0)))
