"""Warnings about the stroke, the hand and the play between hand and plate."""

from __future__ import annotations

import numpy as np

from liftgeo.as_written import millimetres
from liftgeo.cautions.findings import Findings
from liftgeo.cautions.rule import CAUTION, NOTE, STOP, Case, Caution, has
from liftgeo.chain import ARM_MOVES, ROD_LOADS, position
from liftgeo.mechanism.convert import by_foot
from liftgeo.mechanism.key_facts import number
from liftgeo.parts.curve import Curve
from liftgeo.parts.values import Values

COMMON = "common practice, no source"
FOLLOWS = "follows from the sums"

LEAST_TAKE_UP_MM, LEAST_PEDAL_TAKE_UP_MM = 2.0, 5.0
RIDES_SOON_MM, RIDES_LATER_MM = 0.1, 0.3
LATE_CLEAR_RATIO, LATE_CLEAR_MM, LATE_CLEAR_PEDAL_MM = 0.10, 5.0, 14.0
HEAVY_HAND_N, HEAVY_FOOT_N = 200.0, 280.0
FLATTEST_CABLE_DEG, STEEPEST_CABLE_DEG = 50.0, 130.0
FRICTION_TO_ROLL = 0.10
_TOLERANCE_MM = 1e-9
_READING_MM = 0.05  # half a digit of a ruler at the hand

_STOP_WORDS = {
    "track-end": "The release unit reaches the end of its track before the lever meets the grip.",
    "arm-stop": "The arm meets its stop before the lever meets the grip.",
    "spring-flat": "The spring is pressed flat before the lever meets the grip.",
    "spring-solid": "The spring goes solid before the lever meets the grip.",
    "table-end": "The measured table ends before the lever meets the grip; add readings.",
    "dead-centre": "A link comes to dead centre before the lever meets the grip.",
}


def _lever(case: Case) -> str:
    return "pedal" if by_foot(case.outcome.keys) else "lever"


def _early_stop(case: Case) -> str:
    parts, stop = case.outcome.parts, case.stopped_by
    links = {"arm-stop": parts.arm.link, "track-end": parts.release}
    if isinstance(getattr(links.get(stop), "curve", None), Curve):
        return f"{_STOP_WORDS[stop]} Where it ends its readings end: add readings if it goes on."
    return _STOP_WORDS[stop]


def _said_rigid(outcome: Findings, dotted: str) -> bool:
    return bool(np.all(np.isinf(number(outcome.keys, dotted))))


def _rigid_cable(case: Case) -> str:
    said = "The cable is said to be rigid"
    if not _said_rigid(case.outcome, "cable.stiffness"):
        said = "No cable stiffness is given, so the cable counts as rigid"
    return (
        f"{said}: real lift will be less. "
        "Hold the arm end, pull with the spring balance, and read the nipple's movement."
    )


def _rigid_rod(case: Case) -> str:
    said = "Rod and casing are said to be rigid"
    if not _said_rigid(case.outcome, "rod.stiffness"):
        said = "No rod stiffness is given, so rod and casing count as rigid"
    return f"{said}: real lift will be less. Give rod.stiffness, or length and diameter of the rod."


def _jumps(case: Case) -> tuple[list[str], list[str]]:
    """Return how far and where the arm jumps before the rod loads, and the plates after it."""
    end, parts = case.outcome.end, case.outcome.parts
    arm, plates = [], []
    for start, landed in zip(end.jumps_from, end.jumps_to, strict=True):
        if case(landed) <= case(start):
            continue
        before, after = position(parts, start), position(parts, landed)
        travel = f"at {case(before.hand_travel_mm):.1f} mm"
        if case(landed) <= ROD_LOADS:
            turned = np.degrees(after.arm_rotation_rad - before.arm_rotation_rad)
            arm.append(f"by {case(turned):.1f} deg {travel}")
        else:
            plates.append(f"by {millimetres(case(after.lift_mm - before.lift_mm))} {travel}")
    return arm, plates


def _snap(case: Case) -> str:
    arm, plates = _jumps(case)
    said = []
    if plates:
        said.append(
            f"The plates jump {' and '.join(plates)} of hand travel, the hand still: the spring "
            "eases faster than cable and rod can follow. Expect a sudden, uneven take-up."
        )
    if arm:
        said.append(
            f"The arm jumps {' and '.join(arm)} of hand travel before the rod loads, the hand "
            "still: its moment arm grows faster than cable and return spring can follow."
        )
    return " ".join(said)


def _plate_snap(case: Case) -> str:
    return (
        "The plates would jump even with the arm held: the spring eases faster than the rod gives."
    )


def _holds_itself(case: Case) -> str:
    return (
        "The release unit does not let itself back under the spring, at full lever or on the way "
        "back: friction holds it. The clutch may stay open until the arm is pulled back."
    )


def _hangs(outcome: Findings) -> Values:
    pulled_home = np.asarray(outcome.parts.arm.return_torque_nmm) > 0
    known = pulled_home | (np.asarray(outcome.parts.cable.drag_n) > 0)
    return known & (outcome.clutch_end.self_return_n <= 0) & outcome.clutch_end.lets_itself_back


def _lever_hangs(case: Case) -> str:
    return (
        "The arm's return spring does not pull the empty cable home: drag and friction hold it. "
        "Without a spring of its own the lever hangs, and its free play cannot be felt."
    )


def _spring_room_mm(outcome: Findings) -> Values:
    """Return how far the plate can lift before the spring ends [mm]; NaN where nothing ends it."""
    parts = outcome.parts
    return parts.spring.known_end_mm - parts.installed_deflection_mm


def _wanted_lift_mm(outcome: Findings) -> Values:
    return outcome.parts.cushion_mm + outcome.parts.faces.target_separation_mm


def _spring_too_short(outcome: Findings) -> Values:
    return _spring_room_mm(outcome) < _wanted_lift_mm(outcome) - _TOLERANCE_MM


def _spring_room_words(case: Case) -> str:
    outcome = case.outcome
    clear = outcome.parts.cushion_mm + outcome.parts.faces.needed_mm
    return (
        f"The spring allows {millimetres(case(_spring_room_mm(outcome)))} of lift before it ends; "
        f"running clear needs {millimetres(case(clear))}, the target "
        f"{millimetres(case(_wanted_lift_mm(outcome)))}, cushion included. Lever, arm and cable "
        "cannot give more: what is missing lies in spring, stack, cushion and run-outs."
    )


_PLACES = 65  # looked at for the greatest force with which a spring holds its clutch open


def _over_centre(case: Case) -> str:
    outcome, end = case.outcome, case.outcome.end
    way = np.linspace(0.0, 1.0, _PLACES).reshape((-1,) + (1,) * len(outcome.shape))
    least = position(outcome.parts, end.over_from + way * (end.over_to - end.over_from))
    held = -case(np.broadcast_to(least.rod_force_n, (_PLACES, *outcome.shape)).min(axis=0))
    first, last = (
        case(position(outcome.parts, at).hand_travel_mm) for at in (end.over_from, end.over_to)
    )
    to = "full lever" if case(end.over_to) >= case(end.at) else f"{last:.1f} mm"
    return (
        f"The spring goes over centre: from {first:.1f} mm of hand travel to {to} it holds the "
        f"clutch open, with up to {held:.0f} N at the rod, instead of closing it. The plates run "
        "on by themselves and the lever is limp: a hand force of 0 says that there is nothing to "
        "pull, not that the clutch is light. Effort, work and bearing load mean nothing from there "
        "on."
    )


def _reading_mm(outcome: Findings) -> Values:
    """Return the take-up as read at the hand [mm]; NaN where the file does not give it."""
    return number(outcome.keys, "cable.take_up_at_hand", np.nan)


def rides_by_design(outcome: Findings) -> bool:
    """Return whether the release bearing is made to run in constant contact."""
    return bool(outcome.keys.get("bearing.constant_contact"))


def least_take_up_mm(outcome: Findings) -> float:
    """Return the take-up below which there is a caution [mm]."""
    return LEAST_PEDAL_TAKE_UP_MM if by_foot(outcome.keys) else LEAST_TAKE_UP_MM


def heavy_n(outcome: Findings) -> float:
    """Return the force above which there is a caution [N]."""
    return HEAVY_FOOT_N if by_foot(outcome.keys) else HEAVY_HAND_N


def _rides(outcome: Findings) -> Values:
    if rides_by_design(outcome):
        return np.asarray(False)
    read_as_none = _reading_mm(outcome) <= _TOLERANCE_MM
    return (outcome.clutch_end.wear_to_riding_mm <= _TOLERANCE_MM) | read_as_none


def _take_up_mm(outcome: Findings) -> Values:
    """Return the take-up to judge by [mm]: the sums', or the reading where that is less."""
    return np.fmin(outcome.clutch_end.take_up_mm, _reading_mm(outcome))


def _contradicted(outcome: Findings) -> Values:
    """Return whether the play read at the hand is less than what the sums need without slack."""
    keys, end = outcome.keys, outcome.clutch_end
    if not has(outcome, "cable.take_up_at_hand", "cable.free_play_at_hand"):
        return np.asarray(False)
    early = number(keys, "cable.free_play_at_hand", np.nan)
    moves = position(outcome.parts, ARM_MOVES).hand_travel_mm
    short = _reading_mm(outcome) < end.take_up_mm - _READING_MM
    return short | (early < moves - _READING_MM)


def _contradiction(case: Case) -> str:
    outcome = case.outcome
    if has(outcome, "cable.take_up_at_hand"):
        read, needs = case(_reading_mm(outcome)), case(case.end.take_up_mm)
        what, why = "cable.take_up_at_hand", "end float and return spring"
    else:
        read = case(number(outcome.keys, "cable.free_play_at_hand"))
        needs = case(position(outcome.parts, ARM_MOVES).hand_travel_mm)
        what, why = "cable.free_play_at_hand", "the return spring's stretch of the cable"
    return (
        f"{what} = {read:.1f} mm cannot be: {why} alone take {needs:.1f} mm of hand travel. The "
        "sums go on with no slack at all, so real lift may be less. Measure both again."
    )


def _lever_rides(case: Case) -> str:
    return (
        "No play is left between hand and plate: the rod may be loaded at rest. The bearing then "
        "turns under load all the time, and the rod takes load off the plates."
    )


def _little_take_up(outcome: Findings) -> Values:
    little = _take_up_mm(outcome) < least_take_up_mm(outcome)
    return ~_rides(outcome) & little & (not rides_by_design(outcome))


def _take_up_words(case: Case) -> str:
    return (
        f"Only {case(_take_up_mm(case.outcome)):.1f} mm of {_lever(case)} travel are left before "
        f"the rod loads; less than {least_take_up_mm(case.outcome):.0f} mm is soon used up by wear "
        "and heat."
    )


def _rides_soon(outcome: Findings) -> Values:
    soon = outcome.clutch_end.wear_to_riding_mm < RIDES_SOON_MM
    return ~_rides(outcome) & soon & (not rides_by_design(outcome))


def _rides_later(outcome: Findings) -> Values:
    left = outcome.clutch_end.wear_to_riding_mm
    later = (left >= RIDES_SOON_MM) & (left < RIDES_LATER_MM)
    return ~_rides(outcome) & later & (not rides_by_design(outcome))


def _riding_words(case: Case) -> str:
    left = case(case.end.wear_to_riding_mm)
    each = left / case(case.outcome.parts.faces.friction_faces)
    return (
        f"The plates may wear by {millimetres(left)} in all ({millimetres(each)} each face) before "
        "the rod is loaded at rest and the clutch begins to slip. Float and free play shrink as "
        "the facing wears."
    )


def _late(outcome: Findings) -> Values:
    travel = outcome.full.hand_travel_mm
    left = travel - outcome.events.hand_travel_mm[2]
    least = LATE_CLEAR_PEDAL_MM if by_foot(outcome.keys) else LATE_CLEAR_MM
    line = np.maximum(LATE_CLEAR_RATIO * travel, least)
    return left < line - _TOLERANCE_MM


def _late_words(case: Case) -> str:
    outcome = case.outcome
    left = case(outcome.full.hand_travel_mm - outcome.events.hand_travel_mm[2])
    who, weak = ("foot", "a carpet") if by_foot(outcome.keys) else ("hand", "a cold hand")
    return (
        f"The plates run clear with only {left:.1f} mm of {who} travel left: a stretched cable, "
        f"{weak} or worn pins take that away."
    )


def _heavy(case: Case) -> str:
    if by_foot(case.outcome.keys):
        return (
            f"The pedal needs {case(case.outcome.peak.hand_force_n):.0f} N, more than the "
            f"{HEAVY_FOOT_N:.0f} N advised for a clutch pedal. Not every leg holds that."
        )
    return (
        f"The lever needs {case(case.outcome.peak.hand_force_n):.0f} N, more than "
        f"{HEAVY_HAND_N:.0f} N: more than a hand brake may ask for. Few hands hold that."
    )


def _cable_angles_deg(outcome: Findings) -> tuple[Values, Values]:
    link = outcome.parts.arm.link
    at_rest = np.degrees(link.cable_angle_rad(0.0))
    return at_rest, np.degrees(link.cable_angle_rad(outcome.full.arm_rotation_rad))


def _slanting(outcome: Findings) -> Values:
    slanting: Values = False
    for angle in _cable_angles_deg(outcome):
        slanting = slanting | (angle < FLATTEST_CABLE_DEG) | (angle > STEEPEST_CABLE_DEG)
    return slanting


def _slant_words(case: Case) -> str:
    rest, full = (case(angle) for angle in _cable_angles_deg(case.outcome))
    return (
        f"The cable meets the arm at {rest:.0f} deg at rest and {full:.0f} deg at full lever; "
        f"outside {FLATTEST_CABLE_DEG:.0f} to {STEEPEST_CABLE_DEG:.0f} deg it pulls along the arm "
        "more than it turns it."
    )


def _balls_slide(outcome: Findings) -> Values:
    unit = outcome.clutch_end.ball_ramp
    return np.asarray(False) if unit is None else unit.friction_to_roll > FRICTION_TO_ROLL


def _balls_words(case: Case) -> str:
    unit = case.end.ball_ramp
    assert unit is not None
    needed = case(unit.friction_to_roll)
    return (
        f"A ball between these two ramps rolls only with a friction of {needed:.2f} or more; "
        "greased balls slide, lift less than they should and wear."
    )


def _full_lock(outcome: Findings, limit: str) -> Values:
    turned = outcome.clutch_end.turned
    if turned is None:
        return np.asarray(False)
    if limit == "rides":
        return _rides(turned) & ~_rides(outcome)
    short = _little_take_up(turned) & ~_little_take_up(outcome) & ~_rides(outcome)
    drags = (turned.clearance_per_face_mm < -_TOLERANCE_MM) & (
        outcome.clearance_per_face_mm >= -_TOLERANCE_MM
    )
    return short | drags


def _track_unknown(outcome: Findings) -> Values:
    return np.asarray(not has(outcome, "release.max_rotation", "arm.max_rotation"))


def _track_unknown_words(case: Case) -> str:
    return (
        "How far release unit and arm may turn is not given, so overtravel was not checked: past "
        "the end of its track a ball climbs out or the unit jams. Give release.max_rotation or "
        "arm.max_rotation."
    )


def _full_lock_words(case: Case) -> str:
    turned = case.end.turned
    assert turned is not None
    clearance = case(turned.clearance_per_face_mm)
    word = "short" if clearance < 0 else "clear"
    return (
        f"With the bars at full lock {case(turned.clutch_end.take_up_mm):.1f} mm of lever travel "
        f"are left before the rod loads, and each face is {word} by {millimetres(abs(clearance))}."
    )


STROKE_CAUTIONS: tuple[Caution, ...] = (
    Caution("early-stop", NOTE, FOLLOWS, lambda o: o.end.limit != 0, _early_stop),
    Caution("track-end-unknown", NOTE, FOLLOWS, _track_unknown, _track_unknown_words),
    Caution(
        "rigid-cable",
        CAUTION,
        f"every cable stretches; {COMMON}",
        lambda o: not has(o, "cable.stiffness", "cable.wire") or _said_rigid(o, "cable.stiffness"),
        _rigid_cable,
    ),
    Caution(
        "rigid-rod",
        CAUTION,
        f"every rod gives; {COMMON}",
        lambda o: not has(o, "rod.stiffness", "rod.length") or _said_rigid(o, "rod.stiffness"),
        _rigid_rod,
    ),
    Caution("snap", CAUTION, f"{FOLLOWS}; docs/theory.md, Snap", lambda o: o.end.jumps, _snap),
    Caution(
        "plate-snap",
        CAUTION,
        f"{FOLLOWS}; docs/theory.md, Snap",
        lambda o: o.end.folds,
        _plate_snap,
    ),
    Caution(
        "does-not-return",
        STOP,
        "the torque letting back is not above zero somewhere on the way",
        lambda o: ~np.asarray(o.clutch_end.lets_itself_back),
        _holds_itself,
    ),
    Caution("lever-hangs", CAUTION, FOLLOWS, _hangs, _lever_hangs),
    Caution("over-centre", STOP, FOLLOWS, lambda o: o.clutch_end.over_centre, _over_centre),
    Caution("spring-room", CAUTION, FOLLOWS, _spring_too_short, _spring_room_words),
    Caution("lever-rides", STOP, f"no play left at rest; {COMMON}", _rides, _lever_rides),
    Caution("play-contradicted", CAUTION, FOLLOWS, _contradicted, _contradiction),
    Caution("little-take-up", CAUTION, COMMON, _little_take_up, _take_up_words),
    Caution("wear-to-riding", STOP, COMMON, _rides_soon, _riding_words),
    Caution("wear-to-riding", CAUTION, COMMON, _rides_later, _riding_words),
    Caution("clear-late", CAUTION, COMMON, _late, _late_words),
    Caution(
        "heavy-hand",
        CAUTION,
        "UN Regulation 78, hand control of a brake, 200 N (from memory), no rule is known for a "
        "clutch; a pedal: Leg strength of Indian operators, 280 N (abstract read)",
        lambda o: o.peak.hand_force_n > heavy_n(o),
        _heavy,
    ),
    Caution("cable-to-arm", CAUTION, COMMON, _slanting, _slant_words),
    Caution(
        "balls-slide",
        CAUTION,
        "tan of half the difference of the ramps, docs/theory.md, Ball and ramp; friction of "
        f"greased balls: {COMMON}",
        _balls_slide,
        _balls_words,
    ),
    Caution(
        "full-lock",
        STOP,
        f"no play left at full lock; {COMMON}",
        lambda o: _full_lock(o, "rides"),
        _full_lock_words,
    ),
    Caution("full-lock", CAUTION, COMMON, lambda o: _full_lock(o, "short"), _full_lock_words),
)
