"""What a geometry file says, table by table: keys, bounds, defaults and what each key means.

A key left out is None unless the table gives a default. Which keys are needed, and which stand for
each other, is in `rules`.
"""

from __future__ import annotations

from typing import Any, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field

from liftgeo.mechanism import fields as f


def key(what: str, how: str = "", default: Any = None) -> Any:
    """Return a field with what the number is and how it is measured."""
    return Field(default, description=what, json_schema_extra={"measure": how} if how else None)


class Table(BaseModel):
    """Shared behaviour of all tables: frozen, and strict about unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    title_words: ClassVar[str] = ""


class Points(Table):
    """Pivot, pin and cable stop as points of a drawing or photograph."""

    pivot: f.Point = key("pivot, [x, y]")
    pin: f.Point = key("cable end that moves, [x, y]")
    stop: f.Point = key("fixed cable stop, [x, y]")


class LeverPoints(Points):
    """The lever's points, with the middle of the pull."""

    hand: f.Point = key("middle of the pull, [x, y]")


class _LeverCommon(Table):
    hand_radius: f.Length = key(
        "pivot to the middle of the pull",
        "rule from the pivot screw to the middle of two fingers on the blade",
    )
    hand_travel: f.Length = key(
        "rest to grip, along the arc", "tape along the path of the middle of the pull"
    )
    travel: f.Turn = key("rest to grip as an angle of the blade", "instead of hand_travel")
    stiffness: f.Stiffness = key(
        "stiffness of the blade at the hand, nipple held; left out: rigid",
        "hold the nipple, hang a known weight at the hand, read the dial gauge there",
    )
    efficiency: f.Efficiency = key("efficiency of the lever's pin", default=1.0)
    blade_length: f.Length = key("pivot to the tip of the blade", "rule")


class LeverPin(_LeverCommon):
    """A lever that carries the nipple on a radius."""

    kind: Literal["pin"] = "pin"
    nipple_radius: f.Length = key("pivot to nipple", "calliper, centre to centre")
    stop_distance: f.Length = key(
        "pivot to cable stop", "calliper, pivot centre to where the wire leaves the stop"
    )
    rest_length: f.Length = key(
        "nipple to stop at rest", "calliper, nipple centre to stop with the lever at rest"
    )
    cable_angle: f.CableAngle = key(
        "angle at the nipple between the line to the pivot and the cable, at rest",
        "protractor; instead of rest_length",
    )
    points: LeverPoints | None = key("points of a drawing, instead of the distances")
    axial_offset: f.Offset = key("nipple and stop out of one plane", "calliper", default=0.0)
    hand_angle: f.Direction = key(
        "angle at the pivot from nipple to hand, positive in the direction of pulling", "protractor"
    )
    pivot_shift_x: f.Offset = key("pivot moved towards the cable stop", default=0.0)
    pivot_shift_y: f.Offset = key("pivot moved towards the nipple's side", default=0.0)


class LeverDrum(_LeverCommon):
    """A lever that winds the cable on a constant radius."""

    kind: Literal["drum"] = "drum"
    drum_radius: f.Length = key("pivot to the middle of the wire on the drum", "calliper")


class LeverProfile(_LeverCommon):
    """A lever whose pull was measured against its angle."""

    kind: Literal["profile"] = "profile"
    angle: f.Angles = key("lever angles of the readings, rising")
    pull: f.Lengths = key("cable pull at those angles, rising")


class Wire(Table):
    """The inner wire, from which its stiffness follows."""

    construction: Literal["1x7", "1x19", "7x7", "7x19"] | None = key("strands x wires")
    material: Literal["stainless", "galvanised"] | None = key("material of the wire")
    diameter: f.Length = key("diameter over all", "calliper on the bare wire")
    length: f.Length = key("length under tension", "nipple to nipple")
    area: f.Area = key("metal area, instead of the one of the construction")
    modulus: f.Stress = key("modulus on the metal area, instead of the published one")


class Housing(Table):
    """The outer casing."""

    stiffness: f.Stiffness = key(
        "stiffness of the whole casing along its length",
        "press it end to end with a known force, read the shortening",
    )


class CableTable(Table):
    """The cable from lever to arm."""

    free_play: f.Play = key(
        "slack at the lever end of the cable", "feeler between casing and adjuster, lever at rest"
    )
    free_play_at_hand: f.Play = key(
        "hand travel until the arm begins to move", "instead of free_play"
    )
    take_up_at_hand: f.Play = key(
        "hand travel until the rod loads, end float included", "instead of free_play"
    )
    bend: f.Bend = key("all bends added up", "sum of the turns of the casing", default=0.0)
    friction: f.Friction = key("friction of wire in liner", default=0.0)
    drag: f.Drag = key("pull that moves the empty cable", "spring balance", default=0.0)
    seating: f.Play = key("settling of ends and ferrules under load", default=0.0)
    liner_clearance: f.Play = key("clearance of wire in liner", default=0.0)
    stiffness: f.Stiffness = key(
        "pull per millimetre of stretch, whole cable",
        "hold the arm end, pull with the spring balance, read the nipple's movement",
    )
    wire: Wire | None = key("the wire, instead of stiffness")
    housing: Housing | None = key("the casing, with wire")
    bracket_stiffness: f.Stiffness = key("stiffness of the cable's brackets together")


class _ArmCommon(Table):
    return_torque: f.ReturnTorque = key(
        "torque of the arm's return spring at rest",
        "spring balance at the pin, times its radius",
        default=0.0,
    )
    return_rate: f.ReturnRate = key("rise of the return torque per degree", default=0.0)
    shaft_stiffness: f.TwistRate = key("torque per degree of shaft wind-up")
    max_rotation: f.Turn = key("rotation the casing allows the arm", "protractor")
    efficiency: f.Efficiency = key("efficiency of the arm's bearing", default=1.0)


class ArmPin(_ArmCommon):
    """An arm that carries the cable end on a radius."""

    kind: Literal["pin"] = "pin"
    radius: f.Length = key("pivot to cable end", "calliper, centre to centre")
    stop_distance: f.Length = key("pivot to the cable's stop on the casing", "calliper")
    rest_length: f.Length = key("cable end to stop at rest", "calliper")
    cable_angle: f.CableAngle = key(
        "angle at the cable end between arm and cable, at rest",
        "protractor; instead of rest_length",
    )
    points: Points | None = key("points of a drawing, instead of the distances")
    axial_offset: f.Offset = key("cable end and stop out of one plane", "calliper", default=0.0)


class ArmDrum(_ArmCommon):
    """An arm that winds the cable on a constant radius."""

    kind: Literal["drum"] = "drum"
    drum_radius: f.Length = key("pivot to the middle of the wire on the drum", "calliper")


class ArmProfile(_ArmCommon):
    """An arm whose pull was measured against its angle."""

    kind: Literal["profile"] = "profile"
    angle: f.Angles = key("arm angles of the readings, rising")
    pull: f.Lengths = key("cable pull at those angles, rising")


class _Release(Table):
    max_rotation: f.Turn = key("rotation the unit allows", "turn by hand to its end")


class BallRampTable(_Release):
    """Balls between two ramped plates."""

    kind: Literal["ball-ramp"] = "ball-ramp"
    pitch_radius: f.Length = key("axis to ball centres", "calliper over two balls")
    ramp_angle: f.RampAngle = key("slope of the ramps", "rise over arc, with dial gauge")
    far_ramp_angle: f.FlatOrRamp = key("slope of the other plate's ramps; 0: flat")
    friction_angle: f.FlatOrRamp = key("friction as an angle", default=0.0)
    balls: Literal["rolling", "held"] = key("rolling, or held in one plate", default="rolling")


class QuickThreadTable(_Release):
    """A coarse multi-start thread."""

    kind: Literal["quick-thread"] = "quick-thread"
    lead: f.Length = key("advance per turn", "turn once, read the advance")
    mean_diameter: f.Length = key("mean diameter of the thread", "calliper")
    flank_angle: f.FlatOrRamp = key("angle of the flank from square to the axis", default=0.0)
    friction: f.Friction = key("friction of the thread", default=0.0)
    collar_diameter: f.Length = key("mean diameter of the thrust collar", "calliper")
    collar_friction: f.Friction = key("friction of the collar", default=0.0)


class RackTable(_Release):
    """A pinion and a toothed rod."""

    kind: Literal["rack"] = "rack"
    pinion_radius: f.Length = key("pitch radius of the pinion", "module x teeth / 2")
    efficiency: f.Efficiency = key("efficiency of the teeth", default=1.0)


class CrankTable(_Release):
    """A crank with a link, or with its pin in a slot."""

    kind: Literal["crank"] = "crank"
    crank_radius: f.Length = key("shaft to crank pin", "calliper")
    link_length: f.Length = key("pin to pin of the link; left out: pin in a slot")
    rest_angle: f.RestAngle = key("crank from the normal to the rod line, at rest")
    offset: f.Offset = key("rod line off the shaft", "calliper", default=0.0)
    efficiency: f.Efficiency = key("efficiency of the joints", default=1.0)


class EccentricTable(_Release):
    """A round eccentric under a flat follower."""

    kind: Literal["eccentric"] = "eccentric"
    eccentricity: f.Length = key("shaft centre to centre of the round", "half the throw")
    rest_angle: f.RestAngle = key("eccentric from square to the rod, at rest")
    cam_radius: f.Play = key("radius of the round", "calliper", default=0.0)
    friction: f.Friction = key("friction of the follower")
    efficiency: f.Efficiency = key("efficiency, instead of friction")


class ReleaseProfile(_Release):
    """Rod travel measured against rotation."""

    kind: Literal["profile"] = "profile"
    angle: f.Angles = key("rotations of the readings, rising")
    travel: f.Lengths = key("rod travel at those rotations, rising")
    efficiency: f.Efficiency = key("efficiency of the unit", default=1.0)


class RodTable(Table):
    """The rod and what stands in line with it."""

    action: Literal["pull", "push"] | None = key("whether the rod pulls or pushes the plate open")
    end_float: f.Play = key("play of the rod before it loads", "dial gauge", default=0.0)
    adjuster_clearance: f.Play = key("clearance at the adjuster", "feeler", default=0.0)
    shaft_float: f.Play = key("end float of the shaft", "dial gauge", default=0.0)
    stiffness: f.Stiffness = key("stiffness of the rod with its seats, at the rod")
    length: f.Length = key("loaded length of a plain steel rod, instead of stiffness")
    diameter: f.Length = key("diameter of a plain steel rod", "calliper")
    finger_ratio: f.Grip = key("rod travel over plate lift", default=1.0)
    finger_stiffness: f.Stiffness = key("stiffness of the fingers, measured at the rod")
    mount_stiffness: f.Stiffness = key("stiffness of casing and mounts, at the rod")
    plate_stiffness: f.Stiffness = key("stiffness of the plate, measured at the plate")


class _Spring(Table):
    friction: f.Share = key("share of the load lost to friction each way", default=0.0)


class ConedDiscTable(_Spring):
    """Coned disc springs."""

    kind: Literal["coned-disc"] = "coned-disc"
    outside_diameter: f.Length = key("outside diameter", "calliper")
    inside_diameter: f.Length = key("inside diameter", "calliper")
    thickness: f.Length = key("thickness of one disc", "micrometer")
    cone_height: f.Length = key(
        "free cone height, without the thickness", "free height less thickness, on a flat plate"
    )
    installed_deflection: f.Offset = key("how far it is pressed at rest")
    youngs_modulus: f.Stress = key("Young's modulus", default=206000.0)
    poisson: f.Poisson = key("Poisson's ratio", default=0.3)
    in_parallel: f.Count = key("discs nested the same way", default=1.0)
    in_series: f.Count = key("nests set against each other", default=1.0)
    force_diameter: f.Length = key("circle the force acts on; left out: the edge")
    support_diameter: f.Length = key("circle of the support; left out: the edge")
    past_flat: bool = key("sits on raised rings and may pass flat", default=False)


class CoilsTable(_Spring):
    """Equal coil springs."""

    kind: Literal["coils"] = "coils"
    count: f.Count = key("number of springs")
    rate: f.Stiffness = key("rate of each", "press one on scales, read two heights")
    free_length: f.Length = key("free length", "calliper")
    installed_length: f.Length = key("length when fitted, at rest")
    solid_length: f.Length = key("length with all coils touching")


class SpringTable(_Spring):
    """Measured load against deflection."""

    kind: Literal["table"] = "table"
    deflection: f.Lengths = key("deflections of the readings, rising")
    load: f.Loads = key("load at those deflections")
    free_height: f.Length = key("height of the free spring", "calliper")
    installed_deflection: f.Offset = key("how far it is pressed at rest")


class StackTable(Table):
    """The stack of plates that presses the spring."""

    rim_depth: f.Length = key(
        "basket friction face to rim or finger tops", "depth gauge, three places"
    )
    friction_plate: f.Length = key("thickness of one friction plate under clamp load")
    friction_plate_free: f.Length = key("thickness of one friction plate, not pressed")
    pressure_plate: f.Length = key("friction face to spring seat", "calliper")
    cover_recess: f.Offset = key("recess of the cover over the rim", default=0.0)
    shims: f.Play = key("shims under the cover", default=0.0)
    plain_plate: f.Play = key("thickness of one plain plate", default=0.0)
    plain_plates: f.CountOrNone = key("plain plates; left out: one less than friction plates")
    basket_face_skim: f.Play = key("metal taken off the basket's friction face", default=0.0)
    rim_skim: f.Play = key("metal taken off the rim", default=0.0)
    pressure_plate_skim: f.Play = key("metal taken off the pressure plate", default=0.0)


class FacesTable(Table):
    """The friction faces."""

    friction_plates: f.Count = key("number of friction plates")
    outside_diameter: f.Length = key("outside diameter of the facing", "calliper")
    inside_diameter: f.Length = key("inside diameter of the facing", "calliper")
    friction: f.Grip = key("coefficient of friction of the facing")
    cushion_travel: f.Play = key("how far the plates' cushion opens, whole pack", default=0.0)
    cushion_load: f.Load = key("load that closes it; left out: the clamp force at rest")
    basket_runout: f.Play = key("run-out of the basket face", "dial gauge, one turn", default=0.0)
    pressure_plate_runout: f.Play = key("run-out of the pressure plate", "dial gauge", default=0.0)
    plate_runout: f.Play = key("run-out of one friction plate", "dial gauge", default=0.0)
    plain_plate_runout: f.Play = key("run-out of one plain plate", "dial gauge", default=0.0)
    lift_tilt: f.Play = key(
        "how unevenly the plate lifts, high to low",
        "dial gauge at four places, lever pulled",
        default=0.0,
    )
    pressure_plate_runout_angle: f.Direction = key("where the run-out is highest")
    lift_tilt_angle: f.Direction = key("where the lift is greatest")
    runout_diameter: f.Length = key("diameter the run-outs were read at; left out: outside")
    running: Literal["dry", "wet"] | None = key("dry or wet; left out: wet above two plates")
    friction_faces: f.Count = key("faces that carry torque; left out: two each plate")
    facing_stiffness: f.Stiffness = key("stiffness of the facing, whole face")
    facing_thickness: f.Length = key("thickness of the facing", "calliper")
    wear_limit: f.Play = key("wear of one facing at which it must be renewed")


class DeepGrooveTable(Table):
    """A deep-groove ball bearing."""

    kind: Literal["deep-groove"] = "deep-groove"
    static_rating: f.Load = key("static load rating C0")
    dynamic_rating: f.Load = key("dynamic load rating C")
    speed: f.Speed = key("speed while declutched")
    duty: f.Efficiency = key("share of running time declutched", default=1.0)
    axial_play: f.Play = key("axial play", "dial gauge", default=0.0)
    axial_stiffness: f.Stiffness = key("axial stiffness")


class AngularContactTable(DeepGrooveTable):
    """An angular-contact ball bearing."""

    kind: Literal["angular-contact"] = "angular-contact"  # type: ignore[assignment]
    contact_angle: f.RampAngle = key("contact angle")


class EngineTable(Table):
    """What the clutch must carry."""

    torque: f.Torque = key("greatest torque of the engine")
    primary_ratio: f.Grip = key("reduction between engine and clutch", default=1.0)
    peak_factor: f.Grip = key("peak over mean torque", default=1.0)


class TargetsTable(Table):
    """What is wanted."""

    clearance: f.Play = key("net clearance per face")
    hand_force: f.Load = key("greatest hand force")
    slip_margin: f.Grip = key("clutch torque over engine torque")


TABLES: dict[str, dict[str, type[Table]]] = {
    "lever": {"pin": LeverPin, "drum": LeverDrum, "profile": LeverProfile},
    "cable": {"": CableTable},
    "arm": {"pin": ArmPin, "drum": ArmDrum, "profile": ArmProfile},
    "release": {
        "ball-ramp": BallRampTable,
        "quick-thread": QuickThreadTable,
        "rack": RackTable,
        "crank": CrankTable,
        "eccentric": EccentricTable,
        "profile": ReleaseProfile,
    },
    "rod": {"": RodTable},
    "spring": {"coned-disc": ConedDiscTable, "coils": CoilsTable, "table": SpringTable},
    "stack": {"": StackTable},
    "faces": {"": FacesTable},
    "bearing": {"deep-groove": DeepGrooveTable, "angular-contact": AngularContactTable},
    "engine": {"": EngineTable},
    "targets": {"": TargetsTable},
}

REQUIRED_TABLES = ("lever", "cable", "arm", "release", "rod", "spring", "faces")
DEFAULT_KIND = {"lever": "pin", "arm": "pin"}
