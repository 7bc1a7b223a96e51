"""Tables of the clutch: spring, stack, faces, bearing, engine, targets, with each key's meaning."""

from typing import Literal, TypeAlias

from pydantic import StrictBool

from liftgeo.mechanism import fields as f
from liftgeo.mechanism.table import Table, key
from liftgeo.mechanism.usual import Usual

FacingClass: TypeAlias = Literal[
    "moulded", "woven", "sintered", "paper", "cork", "metal", "unknown"
]


class _Spring(Table):
    friction: f.Share = key(
        "share of the load lost to friction each way",
        "press and scales: load going down less load coming up, over their sum",
        default=0.0,
    )


class ConedDiscTable(_Spring):
    """Coned disc springs."""

    kind: Literal["coned-disc"] = "coned-disc"
    outside_diameter: f.Length = key("outside diameter", "calliper", needed=True)
    inside_diameter: f.Length = key("inside diameter", "calliper", needed=True)
    thickness: f.Length = key("thickness of one disc", "micrometer, four places", needed=True)
    cone_height: f.Length = key(
        "free cone height, without the thickness",
        "depth gauge, free height on a flat plate less thickness",
        needed=True,
    )
    installed_deflection: f.Offset = key(
        "how far it is pressed at rest",
        "depth gauge, free less fitted height",
        instead="[stack]",
        start="short",
    )
    youngs_modulus: f.Stress = key(
        "Young's modulus", "see its data sheet; spring steel 206000", default=206000.0
    )
    poisson: f.Poisson = key("Poisson's ratio", "see its data sheet; steel 0.3", default=0.3)
    in_parallel: f.Count = key("discs nested the same way", "count them", default=1.0)
    in_series: f.Count = key("nests set against each other", "count them", default=1.0)
    force_diameter: f.Length = key(
        "circle the force acts on; left out: the edge", "calliper over the rubbed ring"
    )
    support_diameter: f.Length = key(
        "circle of the support; left out: the edge", "calliper over the rubbed ring"
    )
    past_flat: StrictBool = key(
        "true: sits on raised rings and may pass flat", "look at it", default=False
    )


class CoilsTable(_Spring):
    """Equal coil springs."""

    kind: Literal["coils"] = "coils"
    count: f.Count = key("number of springs", "count them", needed=True)
    rate: f.Stiffness = key(
        "rate of each",
        "scales under it at two heights: N more over mm shorter; or what was read, as readings",
        needed=True,
        unless="readings loads",
    )
    free_length: f.Length = key("free length", "calliper", needed=True, unless="readings loads")
    readings: f.LoadsAtLengths = key(
        "loads of one spring at some lengths, each [load, length]; one straight line is laid "
        "through them",
        "scales under it, squeezed to two lengths or more, and its free length with no load",
        instead="rate and free_length",
    )
    loads: f.LoadReadings = key(
        "the loads of readings as a list", "scales", instead="readings", needed_with="lengths"
    )
    lengths: f.LengthReadings = key(
        "the lengths of readings as a list",
        "calliper",
        instead="readings",
        needed_with="loads",
    )
    installed_length: f.Length = key(
        "length when fitted, at rest",
        "depth gauge, cover bolted down",
        instead="[stack]",
        start="short",
    )
    solid_length: f.Length = key(
        "length with all coils touching", "calliper, or wire diameter times coils"
    )


class SpringTable(_Spring):
    """Measured load against deflection."""

    kind: Literal["table"] = "table"
    deflection: f.Lengths = key(
        "deflections of the readings, rising", "dial gauge in a press, from free", needed=True
    )
    load: f.Loads = key(
        "load at those deflections", "scales or load cell under it, at each reading", needed=True
    )
    free_height: f.Length = key(
        "height of the free spring; needed with [stack]", "depth gauge, on a flat plate"
    )
    installed_deflection: f.Offset = key(
        "how far it is pressed at rest",
        "depth gauge, free less fitted height",
        instead="[stack]",
        start="short",
    )


class StackTable(Table):
    """The stack of plates that presses the spring."""

    rim_depth: f.Length = key(
        "basket friction face to rim or finger tops", "depth gauge, three places", start="long"
    )
    friction_plate: f.Length = key(
        "thickness of one friction plate under clamp load",
        "calliper, pressed between flat plates",
        start="long",
    )
    friction_plate_free: f.Length = key(
        "thickness of one friction plate, not pressed", "calliper", instead="friction_plate"
    )
    pressure_plate: f.Length = key(
        "friction face to spring seat", "calliper, four places", start="long"
    )
    cover_recess: f.Offset = key(
        "recess of the cover over the rim; negative where it dips in", "depth gauge", default=0.0
    )
    shims: f.Play = key("shims under the cover", "micrometer, all together", default=0.0)
    plain_plate: f.Play = key("thickness of one plain plate", "micrometer", default=0.0)
    plain_plates: f.CountOrNone = key(
        "plain plates; left out: one less than friction plates", "count them"
    )
    basket_face_skim: f.Play = key(
        "metal taken off the basket's friction face", "micrometer, before less after", default=0.0
    )
    rim_skim: f.Play = key("metal taken off the rim", "depth gauge, before less after", default=0.0)
    pressure_plate_skim: f.Play = key(
        "metal taken off the pressure plate", "micrometer, before less after", default=0.0
    )


class FacesTable(Table):
    """The friction faces."""

    friction_plates: f.Count = key(
        "number of friction plates", "count those with facings", needed=True
    )
    outside_diameter: f.Length = key("outside diameter of the facing", "calliper", needed=True)
    inside_diameter: f.Length = key("inside diameter of the facing", "calliper", needed=True)
    friction: f.Friction = key(
        "coefficient of friction of the facing",
        "see its data sheet, or a licensed test bench",
        typical="0.25 to 0.35 dry woven, 0.08 to 0.14 in oil (common practice)",
        usual={"dry": Usual(0.22, 0.30, 0.38, "high"), "wet": Usual(0.08, 0.11, 0.14, "high")},
    )
    cushion_travel: f.Play = key(
        "how far the plates' cushion opens, whole pack",
        "calliper, plates free less plates under clamp load",
        usual={"riveted": Usual(0.0, 0.2, 0.6), "loose": Usual(0.0, 0.02, 0.10)},
    )
    cushion_load: f.Load = key(
        "load that closes the cushion; left out: the clamp force at rest", "press and scales"
    )
    basket_runout: f.Play = key(
        "run-out of the basket's face",
        "dial gauge, high to low over one turn",
        usual=Usual(0.02, 0.06, 0.15, "low"),
    )
    pressure_plate_runout: f.Play = key(
        "run-out of the pressure plate",
        "dial gauge, high to low over one turn",
        usual=Usual(0.02, 0.06, 0.15, "low"),
    )
    plate_runout: f.Play = key(
        "run-out of one friction plate",
        "dial gauge, plate turned on its hub",
        usual={"riveted": Usual(0.08, 0.20, 0.45, "low"), "loose": Usual(0.03, 0.10, 0.20, "low")},
    )
    plain_plate_runout: f.Play = key(
        "run-out of one plain plate",
        "feeler under it on a flat plate",
        usual=Usual(0.03, 0.10, 0.20, "low"),
    )
    lift_tilt: f.Play = key(
        "how unevenly the plate lifts: greatest lift less least, its own run-out not in it",
        "dial gauge at four places round the plate, not turned: at each the reading with the "
        "lever pulled less the one at rest; then the most less the least of the four",
        usual=Usual(0.05, 0.15, 0.40, "low"),
    )
    rim_heights: f.Lengths = key(
        "how the plate lifts at three or more places evenly round the rim, its own run-out not "
        "in it",
        "depth gauge from one flat face, plate not turned: at each place the depth with the lever "
        "pulled less the depth at rest",
        instead="lift_tilt",
        needed_with="rim_angles rim_diameter",
    )
    rim_angles: f.Angles = key(
        "where round the rim they were read; left out: evenly",
        "protractor, from any mark on the plate",
    )
    rim_diameter: f.Length = key(
        "diameter of the circle they were read on; left out: the facing's outside", "calliper"
    )
    pressure_plate_runout_angle: f.Direction = key(
        "where the pressure plate's run-out is highest", "protractor, from any mark on the plate"
    )
    lift_tilt_angle: f.Direction = key(
        "where the lift is greatest", "protractor, from the same mark"
    )
    runout_diameter: f.Length = key(
        "diameter the run-outs were read at; left out: the facing's outside", "calliper"
    )
    running: Literal["dry", "wet"] | None = key(
        "dry or wet; left out: wet above two friction plates", "look at it", start="short"
    )
    friction_faces: f.Count = key(
        "faces that carry torque; left out: two each friction plate", "count them"
    )
    facing_stiffness: f.Stiffness = key(
        "stiffness of the facing, whole face", "press and dial gauge: N over mm"
    )
    material: FacingClass | None = key("class of the facing", "see its data sheet")
    oil_splashed: StrictBool = key("true: oil gets onto a dry facing", "look at it", default=False)
    oil_viscosity: f.Viscosity = key(
        "viscosity of the oil at its coldest, of a clutch that runs in oil", "see its data sheet"
    )
    slip_speed: f.Speed = key(
        "speed of one face past the other while declutched; left out: the bearing's speed",
        "rev counter on the engine side",
    )
    facing_thickness: f.Length = key("thickness of one facing", "depth gauge, down to the carrier")
    wear_limit: f.Play = key(
        "wear of one facing at which it must be renewed",
        "depth gauge down to the rivets, or what the maker allows",
    )


class DeepGrooveTable(Table):
    """A deep-groove ball bearing."""

    kind: Literal["deep-groove"] = "deep-groove"
    static_rating: f.Load = key("static load rating C0", "see its maker's list")
    dynamic_rating: f.Load = key("dynamic load rating C", "see its maker's list")
    speed: f.Speed = key(
        "speed of one ring past the other while declutched", "rev counter on the engine side"
    )
    duty: f.Efficiency = key(
        "share of running time declutched",
        "estimate it; 0.1 in traffic (common practice)",
        default=1.0,
    )
    bore: f.Length = key(
        "bore of the bearing; small ones bear less thrust", "calliper, or see its maker's list"
    )
    constant_contact: StrictBool = key(
        "true: made to run in constant contact, without play",
        "see its data sheet; a light spring holds such a bearing against the fingers",
        default=False,
    )
    axial_play: f.Play = key("axial play", "dial gauge, pushed and pulled", default=0.0)
    axial_stiffness: f.Stiffness = key(
        "axial stiffness; left out: rigid", "dial gauge under a known load: N over mm"
    )


class AngularContactTable(DeepGrooveTable):
    """An angular-contact ball bearing."""

    kind: Literal["angular-contact"] = "angular-contact"  # type: ignore[assignment]
    contact_angle: f.RampAngle = key("contact angle", "see its maker's list", needed=True)


class WarmTable(Table):
    """What changes when the machine is hot; everything else in the file is cold."""

    temperature_rise: f.Temperature = key(
        "how much hotter the casing gets", "thermometer on the casing, hot less cold", needed=True
    )
    casing_length: f.Length = key(
        "length of casing between the release unit's seat and the clutch", "rule", needed=True
    )
    casing_material: Literal["aluminium", "magnesium", "cast iron", "steel"] | None = key(
        "material of the casing",
        "a magnet sticks to iron and steel; aluminium and magnesium are light",
        needed=True,
        unless="casing_expansion",
    )
    casing_expansion: f.Expansion = key(
        "thermal expansion of the casing",
        "see the data sheet of its metal",
        instead="casing_material",
    )
    rod_length: f.Length = key(
        "length of rod over the same stretch; left out: the casing's", "rule"
    )
    rod_expansion: f.Expansion = key(
        "thermal expansion of the rod", default=11.5e-6, typical="11.5e-6 steel (from memory)"
    )
    facing_friction: f.Grip = key(
        "coefficient of friction of the hot facing; left out: the cold one", "see its data sheet"
    )


class EngineTable(Table):
    """What the clutch must carry."""

    torque: f.Torque = key(
        "greatest torque of the engine",
        "its data sheet; or power and speed",
        needed=True,
        unless="power",
        start="short",
    )
    power: f.Power = key(
        "power, where its torque is not known: the torque is taken at speed",
        "see its data sheet; the greatest torque, at fewer turns, is somewhat more",
        instead="torque",
        needed_with="speed",
    )
    speed: f.Speed = key(
        "engine speed at which it gives that power", "see its data sheet", needed_with="power"
    )
    primary_ratio: f.Grip = key(
        "engine speed over clutch speed",
        "teeth: clutch wheel over engine wheel; 1 on the crankshaft",
        default=1.0,
        start="short",
    )
    use: Literal["road", "slow machine", "tractor"] = key(
        "what the machine does; it sets the slip margin wanted",
        "your choice: a tractor shunts and pulls, a slow machine starts against its load",
        default="road",
    )
    peak_factor: f.Grip = key(
        "peak over mean torque",
        default=1.0,
        typical="1 with a damper or many cylinders, above 1 without (common practice)",
    )


class TargetsTable(Table):
    """What is wanted."""

    clearance: f.Play = key(
        "net clearance per face; left out: 0.10 dry, 0.05 dry above two plates, 0.03 wet "
        "(common practice)",
        "your choice",
    )
    hand_force: f.Load = key(
        "greatest hand force; left out: 90 N, by foot 130 N (common practice)", "your choice"
    )
    slip_margin: f.Grip = key(
        "clutch torque over engine torque; left out: 1.33, slow machine 1.5, tractor 2 "
        "(common practice)",
        "your choice",
    )
