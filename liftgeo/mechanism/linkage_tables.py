"""Tables of the linkage: lever, cable, arm and rod, with what each key means."""

from typing import Literal

from liftgeo.mechanism import fields as f
from liftgeo.mechanism.outline_tables import ArmOutline, BladeOutline
from liftgeo.mechanism.table import Table, key
from liftgeo.mechanism.usual import Usual

# Rod, seats and mounts together, measured at the plate; at the rod it is over the finger ratio
# squared.
_ROD = Usual(8000, 20000, 50000, "high", log=True)


class Points(Table):
    """Pivot, pin and cable stop as points of a drawing or photograph."""

    pivot: f.Point = key("pivot, [x, y]", "scaled drawing or photograph, any origin", needed=True)
    pin: f.Point = key("cable end that moves, [x, y]", "the same drawing, at rest", needed=True)
    stop: f.Point = key("fixed cable stop, [x, y]", "the same drawing", needed=True)


class LeverPoints(Points):
    """The lever's points, with the middle of the pull."""

    hand: f.Point = key(
        "middle of the pull, [x, y]", "the same drawing, lever at rest", needed=True
    )


class _LeverCommon(Table):
    hand_radius: f.Length = key(
        "pivot to the middle of the pull",
        "rule, to the middle of two fingers",
        needed=True,
        unless="points",
    )
    hand_travel: f.Length = key(
        "rest to grip, along the arc",
        "tape, along the path of the fingers",
        needed=True,
        unless="travel outline",
    )
    travel: f.Turn = key(
        "rest to grip as an angle of the blade", "protractor", instead="hand_travel"
    )
    stiffness: f.Stiffness = key(
        "stiffness of the blade at the hand; left out: rigid",
        "dial gauge at the hand, nipple held, a known weight hung there: N over mm",
    )
    efficiency: f.Efficiency = key(
        "efficiency of the lever's pin",
        default=1.0,
        typical="0.97 to 1 greased (common practice)",
    )
    blade_length: f.Length = key("pivot to the tip of the blade", "rule")
    outline: BladeOutline | None = key(
        "the blade as a line with width; with [grip] it gives hand_travel"
    )
    worked_by: Literal["hand", "foot"] = key(
        "hand lever or pedal; a pedal has other usual travels and forces",
        "look at it",
        default="hand",
    )


class LeverPin(_LeverCommon):
    """A lever that carries the nipple on a radius."""

    kind: Literal["pin"] = "pin"
    nipple_radius: f.Length = key(
        "pivot to nipple", "calliper, centre to centre", needed=True, unless="points"
    )
    stop_distance: f.Length = key(
        "pivot to cable stop",
        "calliper, to where the wire leaves it",
        needed=True,
        unless="points",
    )
    rest_length: f.Length = key(
        "nipple to cable stop, lever at rest",
        "calliper, nipple centre to stop",
        needed=True,
        unless="points cable_angle",
    )
    cable_angle: f.CableAngle = key(
        "angle at the nipple between the line to the pivot and the cable, at rest",
        "protractor",
        instead="rest_length",
    )
    points: LeverPoints | None = key("points of a drawing", instead="the distances")
    axial_offset: f.Offset = key(
        "nipple and stop out of one plane", "calliper, along the pivot screw", default=0.0
    )
    stop_direction: f.RestAngle = key(
        "angle at the cable stop from the cable at rest to the axis of its hole, positive where "
        "the hole points farther from the pivot; left out: it points along the cable",
        "protractor on a photograph taken along the pivot screw",
        default=0.0,
    )
    hand_angle: f.Direction = key(
        "angle at the pivot from nipple to hand, positive the way of pulling; "
        "needed to move the pivot",
        "protractor on a photograph taken along the pivot screw",
    )
    hole: f.Length = key(
        "nipple moved to another hole on the same line from the pivot, in a change: the angle at "
        "the pivot stays, rest_length and cable_angle follow; `nipple_radius` in a change holds "
        "instead the one of the two that the file gives",
        "calliper, pivot to the hole",
    )
    stop_shift_x: f.Offset = key("cable stop moved away from the pivot, in a change", default=0.0)
    stop_shift_y: f.Offset = key(
        "cable stop moved towards the nipple's side, in a change", default=0.0
    )
    pivot_shift_x: f.Offset = key("pivot moved towards the cable stop, in a change", default=0.0)
    pivot_shift_y: f.Offset = key("pivot moved towards the nipple's side, in a change", default=0.0)


class LeverDrum(_LeverCommon):
    """A lever that winds the cable on a constant radius."""

    kind: Literal["drum"] = "drum"
    drum_radius: f.Length = key(
        "pivot to the middle of the wire on the drum",
        "calliper, half the diameter over the wire",
        needed=True,
    )


class LeverProfile(_LeverCommon):
    """A lever whose pull was measured against its angle."""

    kind: Literal["profile"] = "profile"
    angle: f.Angles = key(
        "lever angles of the readings, rising",
        "protractor, from rest to grip, every few degrees",
        needed=True,
    )
    pull: f.Lengths = key(
        "cable pull at those angles, rising",
        "depth gauge on the nipple, at each angle",
        needed=True,
    )


class Wire(Table):
    """The inner wire, from which its stiffness follows."""

    construction: Literal["1x7", "1x19", "7x7", "7x19"] | None = key(
        "strands x wires", "count them at a cut end", needed=True, unless="area"
    )
    material: Literal["stainless", "galvanised"] | None = key(
        "material of the wire",
        "try a magnet: it sticks to galvanised wire",
        needed=True,
        unless="modulus",
    )
    diameter: f.Length = key(
        "diameter over all", "calliper on the bare wire", needed=True, unless="area"
    )
    length: f.Length = key("length under tension", "tape, nipple to nipple", needed=True)
    area: f.Area = key("metal area", "see its data sheet", instead="the area of its construction")
    modulus: f.Stress = key(
        "modulus on the metal area", "see its data sheet", instead="the published one"
    )


class Housing(Table):
    """The outer casing."""

    stiffness: f.Stiffness = key(
        "stiffness of the whole casing along its length",
        "dial gauge, casing pressed end to end with known forces: N over mm of shortening",
        usual=Usual(150, 350, 900, "high", log=True),
    )


class CableTable(Table):
    """The cable from lever to arm."""

    free_play: f.Play = key(
        "slack at the lever end of the cable",
        "feeler between casing and adjuster, lever at rest",
        usual=Usual(1.0, 2.5, 5.0, "low"),
    )
    free_play_at_hand: f.Play = key(
        "hand travel until the arm begins to move", "rule at the blade", instead="free_play"
    )
    take_up_at_hand: f.Play = key(
        "hand travel until the rod loads, end float included",
        "rule at the blade, to where the pull turns heavy",
        instead="free_play",
    )
    bend: f.Bend = key(
        "all bends added up",
        "protractor, casing laid on paper, every turn added",
        usual=Usual(60, 130, 220),
    )
    bend_turned: f.Bend = key(
        "all bends added up with the bars at full lock", "protractor, as bend"
    )
    free_play_turned: f.Play = key(
        "slack with the bars at full lock; left out: as with straight bars", "feeler, as free_play"
    )
    friction: f.Friction = key(
        "friction of wire in liner",
        "spring balance and a known weight over a known bend",
        typical="0.05 lined and clean, 0.15 old and dry (common practice)",
        usual=Usual(0.05, 0.10, 0.16, "low"),
    )
    drag: f.Drag = key(
        "pull that keeps the empty cable moving", "spring balance, arm end free", default=0.0
    )
    seating: f.Play = key(
        "settling of ends and ferrules under load",
        "feeler: slack after a hard pull less slack before it",
        default=0.0,
    )
    liner_clearance: f.Play = key(
        "clearance of wire in liner", "calliper, liner bore less wire", default=0.0
    )
    stiffness: f.Stiffness = key(
        "pull per millimetre of stretch, whole cable",
        "spring balance at the nipple, arm end held: N more over mm more, past the first 50 N",
        usual=Usual(100, 220, 450, "high", log=True),
    )
    breaking_load: f.Load = key(
        "load at which the cable breaks; left out: from its wire, where that is listed",
        "see its data sheet",
    )
    wire: Wire | None = key("the wire", instead="stiffness")
    housing: Housing | None = key("the casing, with wire", instead="stiffness")
    bracket_stiffness: f.Stiffness = key(
        "stiffness of the cable's brackets together, with wire",
        "dial gauge on each stop, lever pulled: N over both movements added",
        instead="stiffness",
    )


class _ArmCommon(Table):
    return_torque: f.ReturnTorque = key(
        "torque of the arm's return spring at rest",
        "spring balance at the cable end: N times its radius in m",
        usual=Usual(0.1, 0.3, 0.8),
    )
    return_rate: f.ReturnRate = key(
        "rise of the return torque per degree",
        "spring balance 20 deg further on: the rise over 20",
        default=0.0,
    )
    shaft_stiffness: f.TwistRate = key(
        "torque per degree of shaft wind-up; left out: rigid",
        "protractor, far end held, a weight on the arm: N·m over degrees of twist",
    )
    max_rotation: f.Turn = key("rotation the casing allows the arm", "protractor")
    outline: ArmOutline | None = key("the arm as a line with width")
    efficiency: f.Efficiency = key(
        "efficiency of the arm's bearing",
        default=1.0,
        typical="0.95 to 1 greased (common practice)",
    )


class ArmPin(_ArmCommon):
    """An arm that carries the cable end on a radius."""

    kind: Literal["pin"] = "pin"
    radius: f.Length = key(
        "shaft to cable end", "calliper, centre to centre", needed=True, unless="points"
    )
    stop_distance: f.Length = key(
        "shaft to cable stop on the casing",
        "calliper, to where the wire leaves it",
        needed=True,
        unless="points",
    )
    rest_length: f.Length = key(
        "cable end to stop, arm at rest",
        "calliper, centre to stop",
        needed=True,
        unless="points cable_angle",
    )
    cable_angle: f.CableAngle = key(
        "angle at the cable end between arm and cable, at rest",
        "protractor",
        instead="rest_length",
    )
    points: Points | None = key("points of a drawing", instead="the distances")
    axial_offset: f.Offset = key(
        "cable end and stop out of one plane", "calliper, along the shaft", default=0.0
    )
    stop_direction: f.RestAngle = key(
        "angle at the cable stop from the cable at rest to the axis of its hole, positive where "
        "the hole points farther from the shaft; left out: it points along the cable",
        "protractor on a photograph taken along the shaft",
        default=0.0,
    )
    hole: f.Length = key(
        "cable end moved to another hole on the same line from the shaft, in a change: the angle "
        "at the shaft stays, rest_length and cable_angle follow; `radius` in a change holds "
        "instead the one of the two that the file gives",
        "calliper, shaft to the hole",
    )
    turned: f.Direction = key(
        "arm turned on its shaft at rest, positive the way of pulling, in a change: the unit stays "
        "at rest, rest_length follows",
        "protractor",
    )
    splines: f.Count = key("splines of the shaft", "count them", needed_with="turned_by")
    turned_by: f.Teeth = key(
        "arm turned by so many splines, positive the way of pulling, in a change",
        "count them",
        instead="turned",
    )
    stop_shift_x: f.Offset = key("cable stop moved away from the shaft, in a change", default=0.0)
    stop_shift_y: f.Offset = key(
        "cable stop moved towards the cable end's side, in a change", default=0.0
    )


class ArmDrum(_ArmCommon):
    """An arm that winds the cable on a constant radius."""

    kind: Literal["drum"] = "drum"
    drum_radius: f.Length = key(
        "shaft to the middle of the wire on the drum",
        "calliper, half the diameter over the wire",
        needed=True,
    )


class ArmProfile(_ArmCommon):
    """An arm whose pull was measured against its angle."""

    kind: Literal["profile"] = "profile"
    angle: f.Angles = key(
        "arm angles of the readings, rising",
        "protractor, from rest, every few degrees",
        needed=True,
    )
    pull: f.Lengths = key(
        "cable pull at those angles, rising", "depth gauge on the wire, at each angle", needed=True
    )


class RodTable(Table):
    """The rod and what stands in line with it."""

    action: Literal["pull", "push"] | None = key(
        "whether the rod pulls or pushes the plate open",
        'look, then write "pull" or "push"',
        start="long",
    )
    end_float: f.Play = key(
        "play of the rod before it loads",
        "dial gauge on its end, pushed and pulled",
        usual=Usual(0.05, 0.15, 0.40, "low"),
    )
    adjuster_clearance: f.Play = key("clearance at the adjuster", "feeler", default=0.0)
    shaft_float: f.Play = key(
        "end float of the shaft", "dial gauge, shaft pushed and pulled", default=0.0
    )
    stiffness: f.Stiffness = key(
        "stiffness of rod, seats and casing, at the rod",
        "dial gauge on the rod, lever pulled: N more over mm more",
        usual=_ROD,
    )
    length: f.Length = key(
        "loaded length of a plain steel rod", "rule", instead="stiffness", needed_with="diameter"
    )
    diameter: f.Length = key(
        "diameter of a plain steel rod", "calliper", instead="stiffness", needed_with="length"
    )
    unguided_length: f.Length = key(
        "longest length of a push rod without a guide; left out: length", "rule"
    )
    thinnest_diameter: f.Length = key(
        "thinnest diameter of a push rod; left out: diameter", "calliper"
    )
    finger_ratio: f.Grip = key(
        "rod travel over plate lift",
        "calliper: tip to pin of a finger, over pin to plate",
        default=1.0,
    )
    finger_stiffness: f.Stiffness = key(
        "stiffness of the fingers, measured at the rod",
        "dial gauge, plate held, a load on the tips: N over mm",
        usual=Usual(4000, 8000, 16000, "high", log=True),
    )
    mount_stiffness: f.Stiffness = key(
        "stiffness of casing and mounts, at the rod",
        "dial gauge on the casing beside the unit, lever pulled: N over mm",
        usual=_ROD,
    )
    plate_stiffness: f.Stiffness = key(
        "stiffness of the plate, measured at the plate",
        "dial gauge, rim held, a load at the rod's seat: N over mm",
    )
