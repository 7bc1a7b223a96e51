"""What a workshop can do about a clutch, and the values it can make, for one machine at a time.

How far each goes is common practice without a source; what it does is worked out by the chain.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import is_wet
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.remedy_goals import GOALS
from liftgeo.mechanism.runouts import lift_tilt
from liftgeo.outcome.outcome import analysed

Keys: TypeAlias = dict[str, float]
Tries: TypeAlias = Callable[[Mechanism], Iterator[Keys]]

FREE, CHEAP, METAL = "free", "cheap", "metal cut"
EFFORTS = (FREE, CHEAP, METAL)
"""Roughly what a remedy asks: hands and an evening; parts to buy; metal cut."""

LIFT, EFFORT, GRIP, BACK, PLAY = "lift", "effort", "grip", "return", "play"
"""What a remedy is for: clearance, hand force, slip margin, letting back, wear before it rides."""

_MOST_TRIES = 8
_FACING = {False: 0.38, True: 0.14}
"""The most grip that data sheets give a facing, dry and wet."""


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


def now_of(mechanism: Mechanism, key: str) -> float | None:
    """Return a number of the file, or as it is taken; None where it has none."""
    value = mechanism.keys.get(key)
    if value is None and key == "faces.lift_tilt" and "faces.rim_heights" in mechanism.keys:
        return float(np.max(lift_tilt(mechanism.keys)[0]))
    if key == "arm.cable_angle" and value is None and kind_of(mechanism.keys, "arm") == "pin":
        return float(mechanism.inward.sides("arm").cable_angle_deg)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def on_step(key: str, value: float) -> float:
    """Return the multiple of a key's workshop step that is nearest to a value."""
    step = GOALS[key].step
    return round(round(value / step) * step, 6)


def _goal(mechanism: Mechanism, key: str) -> float | None:
    return mechanism.remedy_goals.get(key, GOALS[key].value)


def _between(key: str, first: float, last: float) -> list[float]:
    """Return values from the first towards the last, which is left out, on the key's steps."""
    found = [on_step(key, x) for x in np.linspace(first, last, _MOST_TRIES + 1)[:-1]]
    if abs(found[0] - first) > 1e-9:
        found[0] = first  # a file's own target is taken as it is
    return list(dict.fromkeys(x for x in found if abs(x - last) >= 0.5 * GOALS[key].step))


def towards(*keys: str, less: bool = True, needs_given: bool = False) -> Tries:
    """Return tries that bring the first of some keys that the machine has to its goal.

    Milder values follow, nearer and nearer to what it has.

    Parameters
    ----------
    *keys : str
    less : bool
        Whether less is better.
    needs_given : bool
        Whether it must have been measured: what is taken as usual is measured first.
    """

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        for key in keys:
            now, goal = now_of(mechanism, key), _goal(mechanism, key)
            if now is None or goal is None or (needs_given and key not in mechanism.given):
                continue
            if (now - goal if less else goal - now) >= 0.5 * GOALS[key].step:
                for value in _between(key, goal, now):
                    yield {key: value}
                return

    return tries


def scaled(key: str, *shares: float, needs: str = "") -> Tries:
    """Return tries of a key at some shares of what the machine has; a file's own target first."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        now = now_of(mechanism, key)
        if now is None or now <= 0 or (needs and needs not in mechanism.given):
            return
        own = mechanism.remedy_goals.get(key)
        if own is not None and (own - now) * (shares[0] - 1.0) > 0:
            yield {key: own}
            return
        for share in shares:
            value = on_step(key, share * now)
            if value > 0 and value != now:
                yield {key: value}

    return tries


def moved(key: str, *steps: float, needs: str = "") -> Tries:
    """Return tries of a key moved by some amounts."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        now = now_of(mechanism, key)
        if now is None or (needs and needs not in mechanism.given):
            return
        for step in steps:
            yield {key: on_step(key, now + step)}

    return tries


def either(*options: Tries) -> Tries:
    """Return the tries of the first option that has any."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        for option in options:
            found = list(option(mechanism))
            if found:
                yield from found
                return

    return tries


def both(*options: Tries) -> Tries:
    """Return tries of several keys at once, each as far as it goes; milder ones in step."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        found = [each for each in (list(option(mechanism)) for option in options) if each]
        if not found:
            return
        for k in range(max(len(each) for each in found)):
            keys: Keys = {}
            for each in found:
                keys |= each[min(k, len(each) - 1)]
            yield keys

    return tries


def _arm(*shares: float) -> Tries:
    """Return tries of another hole in a pin arm, the cable meeting it at the angle of now."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        if kind_of(mechanism.keys, "arm") != "pin":
            return
        sides = mechanism.inward.sides("arm")
        angle = on_step("arm.cable_angle", float(sides.cable_angle_deg))
        own = mechanism.remedy_goals.get("arm.radius")
        radius = float(sides.pin)
        for value in [share * radius for share in shares] if own is None else [own]:
            if (value - radius) * (shares[0] - 1.0) > 0:
                yield {"arm.radius": on_step("arm.radius", value), "arm.cable_angle": angle}

    return tries


def _square_arm(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield the angle at rest with which the cable stands square at half its pull.

    The angle falls as the arm comes round, by some part of its rotation; that part is read off the
    machine, first as it is, then turned.
    """
    if kind_of(mechanism.keys, "arm") != "pin":
        return
    rest = float(mechanism.inward.sides("arm").cable_angle_deg)
    own = mechanism.remedy_goals.get("arm.cable_angle")
    wanted = rest if own is None else own
    for _ in range(4 if own is None else 0):
        turned = mechanism.parts({"arm.cable_angle": wanted})
        outcome = analysed(mechanism, {"arm.cable_angle": wanted})
        half = turned.arm.link.cable_angle_rad(0.5 * outcome.full.arm_rotation_rad)
        wanted = float(np.clip(wanted + 90.0 - np.degrees(half), 50.0, 150.0))
    if not np.isfinite(wanted):
        return
    if abs(wanted - rest) >= 3.0:
        for share in (1.0, 0.5):
            yield {"arm.cable_angle": on_step("arm.cable_angle", rest + share * (wanted - rest))}


def _longer_lever(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield a longer blade that turns as far: its travel grows with it."""
    now, travel = (now_of(mechanism, f"lever.{name}") for name in ("hand_radius", "hand_travel"))
    own = mechanism.remedy_goals.get("lever.hand_radius")
    if now is None:
        return
    for radius in [1.2 * now, 1.1 * now] if own is None else [own]:
        if radius > now:
            new = on_step("lever.hand_radius", radius)
            more = {} if travel is None else {"lever.hand_travel": round(travel * new / now, 1)}
            yield {"lever.hand_radius": new, **more}


def _more_grip(mechanism: Mechanism) -> Iterator[Keys]:
    now, most = now_of(mechanism, "faces.friction"), _FACING[bool(is_wet(mechanism.keys))]
    own = mechanism.remedy_goals.get("faces.friction", most)
    if now is not None and "faces.friction" in mechanism.given and now < own - 0.005:
        for share in (1.2, 1.1):
            yield {"faces.friction": min(on_step("faces.friction", share * now), own)}


def _further(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield more rotation where the arm or the unit ends the stroke before the grip does."""
    outcome = analysed(mechanism)
    stopped = outcome.stop_names[int(outcome.picked(outcome.end.limit, ()))]
    key = {"arm-stop": "arm.max_rotation", "track-end": "release.max_rotation"}.get(stopped)
    if key is not None:
        yield from moved(key, 6.0, 3.0)(mechanism)


def _unit(*shares: float) -> Tries:
    keys = ("ramp_angle", "lead", "pinion_radius", "crank_radius", "eccentricity")
    return either(*(scaled(f"release.{key}", *shares) for key in keys))


def _more_play(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield more play where the clutch rides, or soon will."""
    for key, amounts in (
        ("cable.free_play", (1.5, 1.0, 0.5)),
        ("cable.free_play_at_hand", (4.0, 2.0)),
        ("cable.take_up_at_hand", (4.0, 2.0)),
    ):
        now = now_of(mechanism, key)
        if now is not None and key in mechanism.keys:
            for amount in reversed(amounts):
                yield {key: on_step(key, now + amount)}
            return


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
        FREE, PLAY, (), ("slips", "bites-high"), _more_play,
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
        "set springs or fingers to one height, read at three places",
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
        FREE, EFFORT, ("geometry",), ("heavy", "drags"), _square_arm,
    ),
    Way(
        "shorter-arm",
        "a new hole nearer the shaft, the cable's stop set for the angle of now",
        METAL, LIFT, ("geometry",), _DRAGS, _arm(0.85, 0.9, 0.95), "drilled",
    ),
    Way(
        "longer-arm",
        "a new hole, or another arm, further out, the cable's stop set for the angle of now",
        METAL, EFFORT, (), ("heavy",), _arm(1.15, 1.1, 1.05), "drilled",
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
        CHEAP, EFFORT, (), ("heavy",), _longer_lever,
        care="the hand must still reach round it, gloved",
    ),
    Way(
        "faster-unit",
        "a faster release unit: steeper ramps, more lead, a greater radius",
        METAL, LIFT, ("geometry",), _DRAGS, _unit(1.2, 1.13, 1.07), "ground",
    ),
    Way(
        "slower-unit",
        "a slower release unit: flatter ramps, less lead, a smaller radius",
        METAL, EFFORT, (), ("heavy",), _unit(0.85, 0.9, 0.95), "ground",
    ),
    Way(
        "free-the-stop",
        "let the arm or the unit turn further before its stop",
        METAL, LIFT, ("stop",), _DRAGS, _further, "ground",
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
        CHEAP, GRIP, (), ("slips",), _more_grip,
        care="treat dust from old facings as asbestos",
    ),
)  # fmt: skip
