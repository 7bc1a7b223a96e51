"""What a workshop can do about a clutch, and the values it can make, for one machine at a time.

How far each goes is common practice without a source; what it does is worked out by the chain.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from liftgeo.studies.remedy_tries import (
    Tries,
    another_arm,
    another_unit,
    both,
    either,
    further,
    longer_lever,
    more_grip,
    more_play,
    moved,
    scaled,
    square_arm,
    towards,
)

FREE, CHEAP, METAL = "free", "cheap", "metal cut"
EFFORTS = (FREE, CHEAP, METAL)
"""Roughly what a remedy asks: hands and an evening; parts to buy; metal cut."""

LIFT, EFFORT, GRIP, BACK, PLAY = "lift", "effort", "grip", "return", "play"
"""What a remedy is for: clearance, hand force, slip margin, letting back, wear before it rides."""


@dataclass(frozen=True)
class Way:
    """Something that can be done.

    Attributes
    ----------
    name : str
    hand : str
        What the hand does.
    effort : str
        One of `EFFORTS`.
    gives : str
        What it is for.
    losses : tuple of str
        Items of the lift budget it makes smaller; none for what it does to effort, grip or return.
    symptoms : tuple of str
    tries : callable
        Values of its keys for a machine, the one that goes furthest first.
    cut : str
        What metal is cut: "skim", "ground", "drilled" or "".
    care : str
        What else to mind.
    """

    name: str
    hand: str
    effort: str
    gives: str
    losses: tuple[str, ...]
    symptoms: tuple[str, ...]
    tries: Tries
    cut: str = ""
    care: str = ""


def ways() -> Sequence[Way]:
    """Return everything that can be done, those that ask least first."""
    return sorted(WAYS, key=lambda way: EFFORTS.index(way.effort))


_DRAGS = ("drags", "drags-hot", "bites-low")
_TRUE = ("drags", "creeps")

WAYS: tuple[Way, ...] = (
    Way(
        "less-play",
        "turn the cable adjuster out until this play is left, lock it, look again at full lock",
        FREE, LIFT, ("free-play",), _DRAGS,
        towards("cable.free_play", "cable.free_play_at_hand", "cable.take_up_at_hand"),
        care="a clutch with no play left rides and slips",
    ),
    Way(
        "more-play",
        "turn the cable adjuster in until there is this play, lock it",
        FREE, PLAY, (), ("slips", "bites-high"), more_play,
    ),
    Way(
        "less-float",
        "take the rod's float up at its adjuster, or by a shim",
        FREE, LIFT, ("end-float",), _DRAGS,
        both(towards("rod.end_float"), towards("rod.adjuster_clearance")),
        care="keep some: a rod that is loaded at rest burns the clutch",
    ),
    Way(
        "shim-shaft",
        "put a thrust washer behind the shaft's shoulder",
        CHEAP, LIFT, ("end-float",), _DRAGS, towards("rod.shaft_float"),
    ),
    Way(
        "release-bearing",
        "fit a release bearing with less play",
        CHEAP, LIFT, ("end-float",), _DRAGS, towards("bearing.axial_play"),
    ),
    Way(
        "seat-casing",
        "press the casing's ends home in new ferrules, square-cut",
        FREE, LIFT, ("free-play",), _DRAGS, towards("cable.seating"),
    ),
    Way(
        "straighter-cable",
        "lead the cable with wider bends and one less",
        FREE, EFFORT, (), ("heavy", "sticks"), towards("cable.bend"),
    ),
    Way(
        "oiled-cable",
        "take the wire out, wash casing and wire, oil as the liner allows",
        FREE, EFFORT, (), ("heavy", "sticks"), towards("cable.drag", needs_given=True),
    ),
    Way(
        "lined-cable",
        "fit a new wire in a lined casing that does not shorten under load",
        CHEAP, LIFT, ("cable-stretch",), (*_DRAGS, "heavy", "sticks"),
        both(towards("cable.friction"), towards("cable.stiffness", less=False)),
    ),
    Way(
        "clean-unit",
        "take the release unit apart, clean it, new balls or bushes, fresh grease",
        FREE, EFFORT, (), ("heavy", "sticks"),
        either(
            towards("release.friction_angle"), towards("release.friction"),
            towards("release.efficiency", less=False),
        ),
    ),
    Way(
        "weaker-return",
        "a weaker return spring at the arm, or its hook one hole slacker",
        FREE, EFFORT, (), ("heavy",), towards("arm.return_torque"),
        care="it must still bring the arm back from every place",
    ),
    Way(
        "stronger-return",
        "a stronger return spring at the arm, or its hook one hole tighter",
        FREE, BACK, (), ("sticks",), scaled("arm.return_torque", 2.0, 1.5),
    ),
    Way(
        "stiffer-lever",
        "a stiffer lever, its pivot bolt without play",
        CHEAP, LIFT, ("lever-flex",), _DRAGS, scaled("lever.stiffness", 2.0, 1.5),
    ),
    Way(
        "stiffer-shaft",
        "a thicker release shaft, or the arm closer to the unit",
        CHEAP, LIFT, ("shaft-wind-up",), _DRAGS, scaled("arm.shaft_stiffness", 2.0, 1.5),
    ),
    Way(
        "stiffer-rod",
        "a thicker rod with hard ends, the mount of the unit braced",
        CHEAP, LIFT, ("rod-flex",), _DRAGS, scaled("rod.stiffness", 1.5, 1.25),
    ),
    Way(
        "level-lift",
        "set springs or fingers to one height, read at four places",
        FREE, LIFT, ("run-out-and-tilt",), (*_TRUE, "judders"), towards("faces.lift_tilt"),
    ),
    Way(
        "true-plates",
        "press the friction plates true on their hubs, or replace those that will not come",
        CHEAP, LIFT, ("run-out-and-tilt",), _TRUE, towards("faces.plate_runout"),
        care="straighten by hand, without heat; never hammer a facing",
    ),
    Way(
        "flat-plain-plates",
        "lap the plain plates on a surface plate, or replace those that are warped",
        METAL, LIFT, ("run-out-and-tilt",), _TRUE, towards("faces.plain_plate_runout"), "skim",
    ),
    Way(
        "true-pressure-plate",
        "have the pressure plate's face ground true",
        METAL, LIFT, ("run-out-and-tilt",), (*_TRUE, "judders"),
        towards("faces.pressure_plate_runout"), "skim",
    ),
    Way(
        "true-basket",
        "have the basket's or flywheel's face skimmed true",
        METAL, LIFT, ("run-out-and-tilt",), (*_TRUE, "judders"),
        towards("faces.basket_runout"), "skim",
    ),
    Way(
        "flatter-plates",
        "friction plates with less cushion",
        CHEAP, LIFT, ("cushion",), ("drags", "bites-low"), towards("faces.cushion_travel"),
        care="less cushion takes up harder and may judder",
    ),
    Way(
        "square-arm",
        "turn the arm on its splines, or shift the cable's stop, until the cable stands square to "
        "the arm at half its pull",
        FREE, EFFORT, ("geometry",), ("heavy", "drags"), square_arm,
    ),
    Way(
        "shorter-arm",
        "a new hole nearer the shaft, the cable's stop set for the angle of now",
        METAL, LIFT, ("geometry",), _DRAGS, another_arm(0.85, 0.9, 0.95), "drilled",
    ),
    Way(
        "longer-arm",
        "a new hole, or another arm, further out, the cable's stop set for the angle of now",
        METAL, EFFORT, (), ("heavy",), another_arm(1.15, 1.1, 1.05), "drilled",
    ),
    Way(
        "nipple-out",
        "a lever with its nipple further from the pivot",
        CHEAP, LIFT, ("geometry",), _DRAGS, scaled("lever.nipple_radius", 1.12, 1.08, 1.04),
    ),
    Way(
        "nipple-in",
        "a lever with its nipple nearer to the pivot",
        CHEAP, EFFORT, (), ("heavy",), scaled("lever.nipple_radius", 0.88, 0.92, 0.96),
    ),
    Way(
        "longer-lever",
        "a longer lever that turns as far",
        CHEAP, EFFORT, (), ("heavy",), longer_lever,
        care="the hand must still reach round it, gloved",
    ),
    Way(
        "faster-unit",
        "a faster release unit: steeper ramps, more lead, a greater radius",
        METAL, LIFT, ("geometry",), _DRAGS, another_unit(1.2, 1.13, 1.07), "ground",
    ),
    Way(
        "slower-unit",
        "a slower release unit: flatter ramps, less lead, a smaller radius",
        METAL, EFFORT, (), ("heavy",), another_unit(0.85, 0.9, 0.95), "ground",
    ),
    Way(
        "free-the-stop",
        "let the arm or the unit turn further before its stop",
        METAL, LIFT, ("stop",), _DRAGS, further, "ground",
    ),
    Way(
        "softer-springs",
        "a set of springs of a thinner wire and the same length, weighed alike",
        CHEAP, EFFORT, (), ("heavy",),
        scaled("spring.rate", 0.85, 0.9, 0.95, needs="faces.friction"),
        care="weigh each; a set that differs lifts the plate unevenly",
    ),
    Way(
        "stiffer-springs",
        "a set of springs of a thicker wire and the same length, weighed alike",
        CHEAP, GRIP, (), ("slips",), scaled("spring.rate", 1.1, 1.2, 1.35),
        care="weigh each; a set that differs lifts the plate unevenly",
    ),
    Way(
        "thinner-plate",
        "a thinner friction plate, or a shim less: the spring presses less",
        CHEAP, EFFORT, (), ("heavy",),
        either(
            moved("stack.friction_plate", -0.3, -0.2, -0.1, needs="faces.friction"),
            moved("stack.friction_plate_free", -0.3, -0.2, -0.1, needs="faces.friction"),
        ),
        care="measure all plates of one set; the rod's adjustment moves with it",
    ),
    Way(
        "thicker-plate",
        "a thicker friction plate, or a shim more: the spring presses more",
        CHEAP, GRIP, (), ("slips",),
        either(
            moved("stack.friction_plate", 0.1, 0.2, 0.3, 0.4),
            moved("stack.friction_plate_free", 0.1, 0.2, 0.3, 0.4),
        ),
        care="measure all plates of one set; the rod's adjustment moves with it",
    ),
    Way(
        "spring-shims",
        "shims below the springs: they stand shorter and press more",
        CHEAP, GRIP, (), ("slips",), moved("spring.installed_length", -0.5, -1.0, -1.5),
    ),
    Way(
        "new-facing",
        "a facing with more grip, by its data sheet; wash off oil, break the glaze first",
        CHEAP, GRIP, (), ("slips",), more_grip,
        care="treat dust from old facings as asbestos",
    ),
)  # fmt: skip
