"""Rules between keys, as data: what is needed, what must hold, and how to say that it does not.

The same rules write a fault for one mechanism and fill the reason codes of a batch.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

import numpy as np

from liftgeo.errors import Fault, Reason
from liftgeo.mechanism import convert
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.key_facts import known_part, number, value_text
from liftgeo.mechanism.laying import kind_of, names_in
from liftgeo.mechanism.outline_rules import OUTLINE_RULES
from liftgeo.mechanism.reading_rules import profile_rule, rises, rises_text
from liftgeo.mechanism.rule import Rule, fixed, length
from liftgeo.mechanism.runouts import readings, rim_read_apart
from liftgeo.mechanism.spring_reading_rules import SPRING_READING_RULES
from liftgeo.mechanism.triangle_rules import triangle_rules
from liftgeo.parts.rim import FEWEST_READINGS
from liftgeo.parts.values import Values


def _smaller(less: str, more: str, reason: Reason, words: str) -> Rule:
    return Rule(
        reason,
        (less, more),
        lambda keys: ~np.asarray(keys[less] >= keys[more]),
        fixed(less),
        lambda keys: (
            words.format(length(keys[less]), length(keys[more])),
            f"It must be below {more}.",
        ),
    )


_ROUND = "{} inside does not fit within {} outside."


def _turns(keys: Inward) -> Values:
    """Return whether the unit moves the rod the right way at rest."""
    unit = keys.release
    return (unit.at(0.0).slope_mm_per_rad > 0) & (unit.last_rotation_rad > 1e-9)


def _spring_key(keys: Inward) -> str:
    for name in ("spring.installed_deflection", "spring.installed_length"):
        if name in keys:
            return name
    return "stack.rim_depth"


def _not_past_end(keys: Inward) -> Values:
    fitted = keys.spring
    # Not a number where the free height is missing, which has a fault of its own.
    return ~np.asarray(keys.installed_deflection_mm >= fitted.last_deflection_mm)


def _past_end_text(keys: Inward) -> tuple[str, str]:
    fitted, deflection = keys.spring, float(keys.installed_deflection_mm)
    last = float(fitted.last_deflection_mm)
    end = {"spring-flat": "flat", "spring-solid": "solid"}.get(fitted.end_name, "past its readings")
    remedy = "Measure again; a disc that sits on raised rings takes past_flat = true."
    if fitted.end_name == "spring-flat" and deflection >= 2 * last:
        remedy = "Measure again: no disc can be pressed that far, on raised rings or not."
    if end == "past its readings":
        remedy = "Add readings up to beyond full lever."
    elif end == "solid":
        remedy = "Measure free and fitted length again."
    problem = f"At rest the spring is pressed {length(deflection)}; it is {end} at {length(last)}."
    if _spring_key(keys) == "stack.rim_depth":
        gap = float(convert.spring_gap_mm(keys))
        problem += f" The stack leaves {length(gap)} for it."
        if gap < 0:
            problem = (
                f"No room is left for the spring: the plates are {length(-gap)} thicker than the "
                "space they lie in."
            )
            remedy = ""
        remedy += " Check rim depth, friction plate and pressure plate."
    return problem, remedy.strip()


def _loose_text(keys: Inward) -> tuple[str, str]:
    deflection = float(keys.installed_deflection_mm)
    free = float(keys.spring.free_height_mm)
    problem = f"The spring is not pressed at rest: {length(-deflection)} of room are left over."
    if _spring_key(keys) == "stack.rim_depth":
        gap = float(convert.spring_gap_mm(keys))
        problem += f" It is {length(free)} high and the stack leaves {length(gap)}."
    elif _spring_key(keys) == "spring.installed_length":
        problem += f" Its free length is {length(free)}."
    return problem, "Fitted, it must be shorter than free. Measure both again."


def _crank_link(keys: Inward) -> Values:
    reach = keys["release.crank_radius"] + np.abs(number(keys, "release.offset"))
    return keys["release.link_length"] > reach


def _shift_known(keys: Inward) -> Values:
    moved = (number(keys, "lever.pivot_shift_x") != 0) | (number(keys, "lever.pivot_shift_y") != 0)
    known = "lever.hand_angle" in keys or "lever.points.pivot" in keys
    return np.logical_or(~np.asarray(moved), known)


def _steep(keys: Inward) -> Values:
    unit = keys.release
    # The rule is asked of ball ramps only, which have this angle.
    angle = np.degrees(unit.mean_angle_rad)  # type: ignore[attr-defined]
    return angle + number(keys, "release.friction_angle") < 90


def _thread_turns(keys: Inward) -> Values:
    rub = number(keys, "release.friction")
    rub = rub / np.cos(np.radians(number(keys, "release.flank_angle")))
    return np.pi * keys["release.mean_diameter"] > rub * keys["release.lead"]


# Friction times bend beyond which hardly any pull passes: e**50, and numbers soon overflow.
_MOST_WRAP = 50.0


def _passes_pull(keys: Inward) -> Values:
    return keys["cable.friction"] * np.radians(keys["cable.bend"]) <= _MOST_WRAP


def _within_travel(reading: str) -> Callable[[Inward], Values]:
    return lambda keys: keys[reading] <= keys.lever.hand_travel_mm


def _reading_rule(reading: str) -> Rule:
    return Rule(
        Reason.CABLE_PLAY,
        (reading,),
        _within_travel(reading),
        fixed(reading),
        lambda keys: (
            f"The lever meets the grip after {length(keys.lever.hand_travel_mm)} already.",
            "It is the part of hand_travel that is lost, measured at the same spot.",
        ),
        reads=("lever", "grip", reading),
    )


# What has a say in how far the spring is pressed.
_FIT_KEYS = ("spring", "stack", "faces.friction_plates", "faces.cushion_travel")

RULES: tuple[Rule, ...] = (
    Rule(
        Reason.LEVER_TRIANGLE,
        ("lever",),
        _shift_known,
        fixed("lever.hand_angle"),
        lambda keys: (
            "A moved pivot changes the hand radius, and the hand's place is not known.",
            "Give lever.hand_angle (at the pivot, from nipple to hand), or lever.points.",
        ),
        ("lever", "pin"),
    ),
    *triangle_rules("lever"),
    *triangle_rules("arm"),
    *OUTLINE_RULES,
    Rule(
        Reason.OUT_OF_RANGE,
        ("cable.friction", "cable.bend"),
        _passes_pull,
        fixed("cable.friction"),
        lambda keys: (
            f"With this friction round {keys['cable.bend']:g} deg of bends next to no pull "
            "reaches the arm.",
            "A liner has 0.05 to 0.2 (common practice); bends are in deg, all added up once.",
        ),
    ),
    _reading_rule("cable.free_play_at_hand"),
    _reading_rule("cable.take_up_at_hand"),
    profile_rule("lever", "angle", "pull"),
    profile_rule("arm", "angle", "pull"),
    profile_rule("release", "angle", "travel"),
    Rule(
        Reason.RELEASE_SHAPE,
        ("release",),
        _steep,
        fixed("release.ramp_angle"),
        lambda keys: (
            "Ramp and friction angle together reach 90 deg: the balls would jam.",
            "Measure the ramp angle from the plane of the plate.",
        ),
        ("release", "ball-ramp"),
    ),
    Rule(
        Reason.RELEASE_SHAPE,
        ("release",),
        _thread_turns,
        fixed("release.friction"),
        lambda keys: (
            "With this friction the thread cannot be turned under load.",
            "A greased thread has 0.05 to 0.2 (common practice).",
        ),
        ("release", "quick-thread"),
    ),
    Rule(
        Reason.RELEASE_SHAPE,
        ("release", "release.link_length"),
        _crank_link,
        fixed("release.link_length"),
        lambda keys: (
            f"A link of {length(keys['release.link_length'])} is too short for the crank to turn.",
            "It must be longer than crank radius and offset together.",
        ),
        ("release", "crank"),
    ),
    *(
        Rule(
            Reason.RELEASE_DEAD_CENTRE,
            ("release",),
            _turns,
            fixed("release.rest_angle"),
            lambda keys: (
                "At rest the unit stands at or past dead centre: turning it no longer moves the "
                "rod the releasing way.",
                "Count the angle from square to the rod; it must be between -90 and 90 deg.",
            ),
            ("release", kind),
        )
        for kind in ("crank", "eccentric")
    ),
    *SPRING_READING_RULES,
    _smaller("spring.inside_diameter", "spring.outside_diameter", Reason.SPRING_SHAPE, _ROUND),
    _smaller(
        "spring.solid_length",
        "spring.free_length",
        Reason.SPRING_SHAPE,
        "A spring {} long when solid cannot be {} long when free.",
    ),
    _smaller("faces.inside_diameter", "faces.outside_diameter", Reason.FACES_SHAPE, _ROUND),
    Rule(
        Reason.SPRING_SHAPE,
        ("spring.force_diameter", "spring.support_diameter"),
        lambda keys: keys["spring.force_diameter"] != keys["spring.support_diameter"],
        fixed("spring.force_diameter"),
        lambda keys: (
            "Force and support on one circle do not bend the disc.",
            "Give the two circles the disc is pressed between.",
        ),
    ),
    Rule(
        Reason.SPRING_SHAPE,
        ("spring.deflection", "spring.load"),
        rises("spring.deflection"),
        fixed("spring.deflection"),
        rises_text("spring.deflection", "spring.deflection"),
        ("spring", "table"),
        forms=True,
    ),
    Rule(
        Reason.SPRING_SHAPE,
        ("spring.deflection", "spring.load"),
        lambda keys: np.asarray(
            np.shape(keys["spring.deflection"])[-1] == np.shape(keys["spring.load"])[-1]
        ),
        fixed("spring.load"),
        rises_text("spring.deflection", "spring.load"),
        ("spring", "table"),
        forms=True,
    ),
    Rule(
        Reason.SPRING_LOOSE,
        ("spring",),
        lambda keys: ~np.asarray(keys.installed_deflection_mm <= 0),
        _spring_key,
        _loose_text,
        reads=_FIT_KEYS,
    ),
    Rule(
        Reason.SPRING_PAST_END,
        ("spring",),
        _not_past_end,
        _spring_key,
        _past_end_text,
        reads=_FIT_KEYS,
    ),
    Rule(
        Reason.SPRING_NO_LOAD,
        ("spring",),
        lambda keys: ~np.asarray(keys.clamp_force_n <= 0),
        _spring_key,
        lambda keys: (
            "At this deflection the spring presses with no load, or pulls.",
            "Check the readings, or how far it is pressed.",
        ),
        reads=_FIT_KEYS,
    ),
    Rule(
        Reason.FACES_SHAPE,
        ("faces.rim_heights",),
        lambda keys: np.asarray(readings(keys, "faces.rim_heights") >= FEWEST_READINGS),
        fixed("faces.rim_heights"),
        lambda keys: (
            f"{readings(keys, 'faces.rim_heights')} readings do not tell how the plate tilts.",
            "Read the depth at three places round the rim at least; four or six are better.",
        ),
    ),
    Rule(
        Reason.FACES_SHAPE,
        ("faces.rim_heights", "faces.rim_angles"),
        rim_read_apart,
        fixed("faces.rim_angles"),
        lambda keys: (
            f"{readings(keys, 'faces.rim_heights')} readings at "
            f"{readings(keys, 'faces.rim_angles')} "
            "angles do not tell how the plate tilts.",
            "Give one angle for each reading, three of them different at least.",
        ),
    ),
    Rule(
        Reason.RELEASE_SHAPE,
        ("release.groove_radius", "release.ball_diameter"),
        lambda keys: keys["release.groove_radius"] > keys["release.ball_diameter"] / 2,
        fixed("release.groove_radius"),
        lambda keys: (
            f"A ball of {length(keys['release.ball_diameter'])} does not run in a groove of "
            f"{length(keys['release.groove_radius'])} radius.",
            "The groove's radius must be larger than the ball's; a little is usual.",
        ),
        ("release", "ball-ramp"),
    ),
    Rule(
        Reason.FACES_SHAPE,
        ("faces.wear_limit", "faces.facing_thickness"),
        lambda keys: keys["faces.wear_limit"] <= keys["faces.facing_thickness"],
        fixed("faces.wear_limit"),
        lambda keys: (
            f"A facing {length(keys['faces.facing_thickness'])} thick cannot wear by "
            f"{length(keys['faces.wear_limit'])}.",
            "Give the wear at which it must be renewed, at most its thickness.",
        ),
    ),
)


def rules_for(keys: Mapping[str, object], looking_at: Iterable[str] | None = None) -> list[Rule]:
    """Return the rules that can be asked of these keys: kind and needs are there.

    With `looking_at` only those that look at one of these keys: the others hold as they did.
    """
    names = names_in(keys)
    return [
        rule
        for rule in RULES
        if (rule.kind is None or kind_of(keys, rule.kind[0]) == rule.kind[1])
        and names.issuperset(rule.needs)
        and (looking_at is None or any(rule.touches(key) for key in looking_at))
    ]


def broken(keys: Inward, faulty: Iterable[str] = ()) -> list[Fault]:
    """Return a fault for every rule that one mechanism breaks.

    A rule that looks at a key which is missing, or has a fault of its own (`faulty`: their dotted
    names), is not asked; of a table whose kind is not known none is; a spring that cannot be has no
    fit to judge.
    """
    faults: list[Fault] = []
    bad = [key.removesuffix(".kind") for key in map(known_part, faulty) if key]
    with np.errstate(all="ignore"):
        for rule in rules_for(keys):
            if any(rule.touches(key) for key in bad) or bool(rule.holds(keys)):
                continue
            key = rule.key(keys)
            if any(f.key == key for f in faults):
                continue
            problem, remedy = rule.text(keys)
            faults.append(Fault(key, value_text(keys, key), problem, remedy))
            if rule.forms or key.startswith(("spring.", "stack.")):
                bad.append(key)
    return faults


def reasons(keys: Inward, shape: tuple[int, ...], asked: Iterable[Rule]) -> Values:
    """Return the reason code of each mechanism of a batch: the first rule it breaks, or 0."""
    found = np.zeros(shape, np.int64)
    for rule in asked:
        good = np.broadcast_to(rule.holds(keys), shape)
        found = np.where((found == 0) & ~good, int(rule.reason), found)
    return found
