"""From a file's numbers to the parts: the one place where file units turn inward.

Every function takes the file's keys as one flat dictionary, whose numbers may be floats or arrays.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from liftgeo.chain import Arm, Lever, Parts, Rod, position
from liftgeo.mechanism.grip import hand_travel_mm
from liftgeo.mechanism.key_facts import number as number
from liftgeo.mechanism.link_points import moved_distances
from liftgeo.mechanism.release_tables import RELEASE_UNITS
from liftgeo.mechanism.runouts import pressure_plate_runout_mm
from liftgeo.mechanism.settling import hand_angle_rad
from liftgeo.parts.bearing import Bearing
from liftgeo.parts.cable import PULLING, Cable, wire_area_mm2, wire_modulus_mpa
from liftgeo.parts.curve import Curve
from liftgeo.parts.faces import Faces, needed_separation_mm
from liftgeo.parts.release import Rack
from liftgeo.parts.release_form import ReleaseUnit, back_factor
from liftgeo.parts.spring import Coils, ConedDisc, MeasuredSpring, Spring
from liftgeo.parts.stand_ins import NO_FACES, NoSpring
from liftgeo.parts.triangle import Drum, Link, MeasuredLink, Triangle, rest_length_mm
from liftgeo.parts.values import Values

Keys = Mapping[str, Any]

NMM_PER_NM = 1000.0
STEEL_MODULUS_MPA = 206000.0
DRY_TARGET_MM, WET_TARGET_MM, WET_GROSS_MM = 0.10, 0.03, 0.10
LOOSE_DRY_TARGET_MM = 0.05  # a pack of many loose plates shares one lift among many faces
HAND_FORCE_TARGET_N = 90.0
PEDAL_FORCE_TARGET_N = 130.0  # comfortable car pedals: 98 to 127 N, SAE 2014-36-0139 (abstract)
SLIP_MARGIN_TARGETS = {"road": 1.33, "slow machine": 1.5, "tractor": 2.0}
"""Slip margin wanted by use; common practice, no source."""
WET_ABOVE_PLATES = 2


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


def _apart(a: Values, b: Values) -> Values:
    """Return the distance between two points [x, y], or of many pairs of shape (N, 2)."""
    return np.hypot(a[..., 0] - b[..., 0], a[..., 1] - b[..., 1])


def point(keys: Keys, dotted: str) -> Values:
    """Return a point as an array of shape (2,), or of shape (N, 2) for many mechanisms [mm]."""
    return np.asarray(keys[dotted], float)


def sides(keys: Keys, table: str) -> Sides:
    """Return the triangle of a lever or arm from points, or from distances and angle."""
    offset = number(keys, f"{table}.axial_offset")
    if f"{table}.points.pivot" in keys:
        pivot, pin, stop = (point(keys, f"{table}.points.{n}") for n in ("pivot", "pin", "stop"))
        rest = np.sqrt(_apart(pin, stop) ** 2 + offset**2)
        found = Sides(_apart(pin, pivot), _apart(stop, pivot), rest, offset)
        if table != "lever":
            return _moved(keys, table, found)
        hand = point(keys, "lever.points.hand")
        found = replace(found, hand=_apart(hand, pivot))
        return _moved(keys, table, found, hand_angle_rad(pivot, pin, stop, hand))
    pin = keys[f"{table}.nipple_radius" if table == "lever" else f"{table}.radius"]
    stop = keys[f"{table}.stop_distance"]
    if f"{table}.rest_length" in keys:
        rest = keys[f"{table}.rest_length"]
    else:
        rest = rest_length_mm(pin, stop, np.radians(keys[f"{table}.cable_angle"]), offset)
    if table != "lever":
        return _moved(keys, table, Sides(pin, stop, rest, offset))
    found = Sides(pin, stop, rest, offset, number(keys, "lever.hand_radius", np.nan))
    angle = keys.get("lever.hand_angle")
    return _moved(keys, table, found, None if angle is None else np.radians(angle))


def _moved(keys: Keys, table: str, found: Sides, to_hand_rad: Values | None = None) -> Sides:
    """Return the triangle after pin, stop or the lever's pivot have moved; the hand stays."""
    given = found.pin, found.stop, found.rest, found.offset, found.hand
    distances = moved_distances(keys, table, given, to_hand_rad)
    return found if distances is given else Sides(*distances)


def measured(
    keys: Keys, table: str, across: str, up: str, scale: float = 1.0, *, counted: bool = True
) -> Curve:
    """Return a curve through a table's readings, counted from the first unless told otherwise.

    One that is counted rises everywhere. Readings are lists of K numbers, or arrays of shape
    (N, K) for many mechanisms.
    """
    x = np.asarray(keys[f"{table}.{across}"], float).T * scale
    y = np.asarray(keys[f"{table}.{up}"], float).T
    return Curve(x - x[0], y - y[0], rising=True) if counted else Curve(x, y)


def _link(keys: Keys, table: str, sense: int, found: Sides | None) -> Link:
    kind = keys.get(f"{table}.kind", "pin")
    if kind == "drum":
        return Drum(keys[f"{table}.drum_radius"])
    if kind == "profile":
        return MeasuredLink(measured(keys, table, "angle", "pull", np.pi / 180))
    assert found is not None
    return Triangle(found.pin, found.stop, found.rest, found.offset, sense)


def lever(keys: Keys, found: Sides | None, at_grip_rad: Values | None = None) -> Lever:
    """Return the lever: its sides where it is a triangle, its angle where a shape gives that."""
    hand = number(keys, "lever.hand_radius", np.nan) if found is None else found.hand
    return Lever(
        _link(keys, "lever", 1, found),
        hand,
        hand_travel_mm(keys, hand, at_grip_rad),
        compliance(keys.get("lever.stiffness")),
        number(keys, "lever.efficiency"),
    )


def arm(keys: Keys, found: Sides | None) -> Arm:
    """Return the arm; its sides where it is a triangle."""
    link = _link(keys, "arm", -1, found)
    # Turned on its shaft the arm has so much less, or more, of what the casing allows.
    allowed = np.radians(number(keys, "arm.max_rotation", np.inf) - number(keys, "arm.turned"))
    if not link.dead_centre:
        allowed = np.minimum(allowed, link.last_rotation_rad)
    wind_up = keys.get("arm.shaft_stiffness")
    return Arm(
        link,
        number(keys, "arm.return_torque") * NMM_PER_NM,
        _turn_rate(keys, "arm.return_rate"),
        0.0 if wind_up is None else 1 / _turn_rate(keys, "arm.shaft_stiffness"),
        allowed,
        number(keys, "arm.efficiency"),
    )


class Given:
    """The keys of one table, by their own names, for what makes a part of them."""

    def __init__(self, keys: Keys, table: str) -> None:
        self._keys, self._table = keys, table

    def __contains__(self, name: str) -> bool:
        return f"{self._table}.{name}" in self._keys

    def __getitem__(self, name: str) -> Any:
        return self._keys[f"{self._table}.{name}"]

    def word(self, name: str, default: str) -> str:
        """Return a word, or what it is where left out."""
        return str(self._keys.get(f"{self._table}.{name}", default))

    def number(self, name: str, default: Values = None) -> Values:
        """Return a number in the file's bare unit, or what it is where left out."""
        return number(self._keys, f"{self._table}.{name}", default)

    def angle_rad(self, name: str, default_rad: Values = 0.0) -> Values:
        """Return an angle [rad], or what it is where left out."""
        return np.radians(self[name]) if name in self else default_rad

    def curve(self, across: str, up: str, scale: float = 1.0, *, counted: bool = True) -> Curve:
        """Return a curve through readings, those across scaled (see `measured`)."""
        return measured(self._keys, self._table, across, up, scale, counted=counted)


def release_unit(keys: Keys) -> ReleaseUnit:
    """Return the release unit of the file's kind."""
    if "release.kind" not in keys:
        return Rack(1.0)  # a stand-in: nothing that rests on it is told
    return RELEASE_UNITS[keys["release.kind"]].made(Given(keys, "release"))


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


def rod(keys: Keys) -> Rod:
    """Return the rod: floats added up, compliances in series at the rod."""
    ratio = number(keys, "rod.finger_ratio")
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


def _coils(keys: Keys) -> Coils:
    solid = number(keys, "spring.solid_length", np.nan)
    return Coils(keys["spring.count"], keys["spring.rate"], keys["spring.free_length"], solid)


def _measured_spring(keys: Keys) -> MeasuredSpring:
    curve = measured(keys, "spring", "deflection", "load", counted=False)
    return MeasuredSpring(curve, number(keys, "spring.free_height", np.nan))


def _coned_disc(keys: Keys) -> ConedDisc:
    return ConedDisc(
        keys["spring.outside_diameter"],
        keys["spring.inside_diameter"],
        keys["spring.thickness"],
        keys["spring.cone_height"],
        number(keys, "spring.youngs_modulus"),
        number(keys, "spring.poisson"),
        number(keys, "spring.in_parallel"),
        number(keys, "spring.in_series"),
        lever_ratio(keys),
        bool(keys.get("spring.past_flat", False)),
    )


SPRINGS: Mapping[str, Callable[[Keys], Spring]] = {
    "coned-disc": _coned_disc,
    "coils": _coils,
    "table": _measured_spring,
}
"""What makes the spring of each kind."""


def spring(keys: Keys) -> Spring:
    """Return the clamping spring of the file's kind; a stand-in where none is known."""
    return SPRINGS[keys["spring.kind"]](keys) if "spring.kind" in keys else NoSpring()


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
    if "spring.kind" not in keys:
        return 0.0
    if "spring.installed_deflection" in keys:
        return keys["spring.installed_deflection"]
    if "spring.installed_length" in keys:
        return fitted.free_height_mm - keys["spring.installed_length"]
    return fitted.free_height_mm - spring_gap_mm(keys)


def is_wet(keys: Keys) -> Values:
    """Return whether the clutch runs in oil: as given, or above two friction plates."""
    given = keys.get("faces.running")
    if "faces.friction_plates" not in keys:
        return given == "wet"
    return keys["faces.friction_plates"] > WET_ABOVE_PLATES if given is None else given == "wet"


def by_foot(keys: Keys) -> bool:
    """Return whether a foot works the lever."""
    return bool(keys.get("lever.worked_by") == "foot")


def hand_force_target_n(keys: Keys) -> Values:
    """Return the hand force wanted, or the foot's [N]: given, or the usual one."""
    usual = PEDAL_FORCE_TARGET_N if by_foot(keys) else HAND_FORCE_TARGET_N
    return number(keys, "targets.hand_force", usual)


def slip_margin_target(keys: Keys) -> Values:
    """Return the slip margin wanted: given, or the usual one for the machine's use."""
    usual = SLIP_MARGIN_TARGETS[str(keys.get("engine.use", "road"))]
    return number(keys, "targets.slip_margin", usual)


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


def faces(keys: Keys, clamp_n: Values, carried_cushion_load_n: Values | None) -> Faces:
    """Return the friction pack; the cushion's load is the clamp force where none is given."""
    if "faces.outside_diameter" not in keys:
        return NO_FACES
    plates = keys["faces.friction_plates"]
    load = keys.get("faces.cushion_load")
    if "spring.kind" not in keys:
        load = 1.0
    if load is None:
        load = clamp_n if carried_cushion_load_n is None else carried_cushion_load_n
    wet = is_wet(keys)
    target: Values = keys.get("targets.clearance")
    gross: Values = 0.0
    if target is None:
        dry = np.where(plates > WET_ABOVE_PLATES, LOOSE_DRY_TARGET_MM, DRY_TARGET_MM)
        target = np.where(wet, WET_TARGET_MM, dry)
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
        number(keys, "bearing.duty"),
    )


def cable(keys: Keys) -> Cable:
    """Return the cable; without its slack where that is read at the hand."""
    bend = np.radians(number(keys, "cable.bend"))
    settled = number(keys, "cable.seating") + number(keys, "cable.liner_clearance") * bend
    slack = 0.0 if play_at_hand(keys) else number(keys, "cable.free_play") + settled
    friction, drag = number(keys, "cable.friction"), number(keys, "cable.drag")
    return Cable(slack, bend, friction, drag, cable_compliance(keys))


def play_at_hand(keys: Keys) -> str:
    """Return the key under which the play was read at the hand; empty where it was not."""
    readings = ("cable.free_play_at_hand", "cable.take_up_at_hand")
    return next((name for name in readings if name in keys), "")


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
        force = tension * lever.link.at(angle).moment_arm_mm * factor
        angle = (hand_mm - lever.compliance_mm_per_n * force) / lever.hand_radius_mm
    return lever.link.at(angle).pull_mm - p.cable_pull_mm
