"""Warnings about numbers that hardly occur on a machine: most likely a slip in the file.

Every limit is common practice without a source, and set wide: a sound machine, however odd, stays
well inside. A message names the key, its value, what is usual, and the slip that leads to it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from liftgeo.cautions.findings import Findings
from liftgeo.cautions.rule import CAUTION, Case, Caution
from liftgeo.cautions.stroke_rules import COMMON
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import by_foot
from liftgeo.mechanism.fields import plain_digits
from liftgeo.mechanism.key_facts import dimension_of, number, number_of
from liftgeo.mechanism.laying import TRAVELS, kind_of
from liftgeo.mechanism.no_unit import in_inches, lengths_without_unit
from liftgeo.parts.values import Values
from liftgeo.quantities import Measured, shown

WIDEST_SWING_DEG = 75.0
SHORTEST_TRAVEL_MM, LONGEST_TRAVEL_MM = 15.0, 120.0
LEAST_LIFT_MM = 0.3
LEAST_ADVANTAGE = 4.0
HEAVIEST_N = 600.0
STEEPEST_DISC = 2.25
MOST_FRICTION = 0.6
SOFTEST_ROD_N_PER_MM = 2000.0
SOFTEST_CABLE_N_PER_MM, STIFFEST_CABLE_N_PER_MM = 20.0, 5000.0
MOST_RETURN_TORQUE_NM = 10.0
FLATTEST_RAMP_DEG, STEEPEST_RAMP_DEG = 3.0, 40.0
SHORTEST_PEDAL_MM, LONGEST_PEDAL_MM = 40.0, 250.0
HEAVIEST_FOOT_N = 1200.0
WIDEST_SHARE, WIDEST_SHARE_OF_PLAY = 0.5, 2.0

_SAID_DIGITS = 4  # significant digits of a value in a message

_LIFTING = (
    "release.ramp_angle",
    "release.pitch_radius",
    "release.lead",
    "release.pinion_radius",
    "release.crank_radius",
    "release.eccentricity",
    "release.rest_angle",
    "release.travel",
    "arm.radius",
    "arm.drum_radius",
    "arm.points",
    "arm.pull",
    "lever.nipple_radius",
    "lever.drum_radius",
    "lever.points",
    "lever.pull",
    "lever.hand_travel",
    "lever.travel",
)
_PRESSING = (
    "spring.thickness",
    "spring.cone_height",
    "spring.count",
    "spring.rate",
    "spring.load",
    "spring.installed_length",
    "spring.installed_deflection",
    "stack.rim_depth",
)
_TURNING = ("arm.radius", "lever.nipple_radius", "lever.points", "lever.hand_radius")


def said(case: Case, dotted: str) -> str:
    """Return a key with its value and unit; a list or points by name alone."""
    keys = case.outcome.keys
    value = keys.get(dotted)
    if value is None or isinstance(value, tuple):
        return dotted
    found = case(value)
    if math.isinf(found):
        return f'{dotted} = "rigid"'
    fewest = _SAID_DIGITS - 1 - math.floor(math.log10(abs(found))) if found else 0
    digits = min(max(fewest, 0), plain_digits(found))
    kind = kind_of(keys, dotted.split(".")[0])
    return f"{dotted} = {shown(found, dimension_of(dotted, kind), digits=digits)}"


def _listed(case: Case, wanted: tuple[str, ...]) -> str:
    """Return those of some keys that the file gives, with their values."""
    keys = case.outcome.keys
    there = [k for k in wanted if k in keys or any(key.startswith(f"{k}.") for key in keys)]
    found = [said(case, dotted) for dotted in there]
    return " and ".join([", ".join(found[:-1]), found[-1]] if len(found) > 1 else found)


def beyond(dotted: str, low: float = -np.inf, high: float = np.inf) -> Callable[[Findings], Values]:
    """Return a rule that holds where a key of the file lies outside two limits.

    A stiffness that is said to be rigid is meant, not misread.
    """

    def holds(outcome: Findings) -> Values:
        value = number(outcome.keys, dotted, np.nan)
        return np.asarray((value < low) | ((value > high) & np.isfinite(value)))

    return holds


def odd_words(dotted: str, usual: str, slip: str) -> Callable[[Case], str]:
    """Return the words about one odd key: its value, what is usual, the likely slip."""
    return lambda case: f"{said(case, dotted)} looks wrong: {usual} is usual. {slip}"


# --- lever and hand ---


def _travel_key(case: Case) -> str:
    given = next((key for key in TRAVELS if key in case.outcome.keys), "")
    return said(case, given) if given else "lever.outline with grip"


def _radius_key(case: Case) -> str:
    if "lever.hand_radius" in case.outcome.keys:
        return said(case, "lever.hand_radius")
    return f"lever.points, the hand {case(case.outcome.parts.lever.hand_radius_mm):.1f} mm out"


def _swing_deg(outcome: Findings) -> Values:
    lever = outcome.parts.lever
    return np.degrees(lever.hand_travel_mm / lever.hand_radius_mm)


def _swing_words(case: Case) -> str:
    return (
        f"The lever would swing {case(_swing_deg(case.outcome)):.0f} deg: 20 to 50 deg is usual. "
        f"Check {_travel_key(case)} and {_radius_key(case)}: both are mm where no unit follows."
    )


def _odd_travel(outcome: Findings) -> Values:
    travel = outcome.parts.lever.hand_travel_mm
    if by_foot(outcome.keys):
        return (travel < SHORTEST_PEDAL_MM) | (travel > LONGEST_PEDAL_MM)
    return (travel < SHORTEST_TRAVEL_MM) | (travel > LONGEST_TRAVEL_MM)


def _travel_words(case: Case) -> str:
    travel = case(case.outcome.parts.lever.hand_travel_mm)
    key = _travel_key(case)
    foot = by_foot(case.outcome.keys)
    who = "foot" if foot else "hand"
    along = (
        f" makes {travel:.0f} mm of {who} travel, which" if "lever.hand_travel" not in key else ""
    )
    if foot:
        return (
            f"{key}{along} looks wrong: 100 to 160 mm is usual for a pedal. It is the whole way "
            "from rest to the pedal's stop at the middle of its pad."
        )
    return (
        f"{key}{along} looks wrong: 30 to 80 mm is usual. It is the whole way from rest to the "
        "grip at the middle of the pull; centimetres and inches need their unit."
    )


def _force_words(case: Case) -> str:
    load = case(case.outcome.parts.clamp_force_n)
    foot = by_foot(case.outcome.keys)
    lever, usual = ("pedal", "80 to 250 N") if foot else ("lever", "40 to 150 N")
    return (
        f"The {lever} would need {case(case.outcome.peak.hand_force_n):.0f} N: {usual} is usual. "
        f"The spring presses {load:.0f} N at rest. Check {_listed(case, _PRESSING)}; and "
        f"{_listed(case, _TURNING)}."
    )


# --- what the geometry makes of it ---


def _geometry_lift_mm(outcome: Findings) -> Values:
    return outcome.budget_left_mm[0]


def _lift_words(case: Case) -> str:
    lift = round(case(_geometry_lift_mm(case.outcome)), 2) + 0.0  # no negative zero
    return (
        f"Geometry alone lifts only {lift:.2f} mm, before any loss: 0.8 to 4 mm is "
        f"usual. Check {_listed(case, _LIFTING)}."
    )


def _advantage(outcome: Findings) -> Values:
    parts = outcome.parts
    return parts.lever.hand_travel_mm / (_geometry_lift_mm(outcome) * parts.rod.finger_ratio)


def _too_direct(outcome: Findings) -> Values:
    return (_geometry_lift_mm(outcome) > 0) & (_advantage(outcome) < LEAST_ADVANTAGE)


def _advantage_words(case: Case) -> str:
    return (
        f"The hand would move only {case(_advantage(case.outcome)):.1f} mm for each mm of the rod: "
        f"10 to 50 is usual. Check {_listed(case, _LIFTING)}."
    )


# --- single parts ---


def _disc_ratio(outcome: Findings) -> Values:
    keys = outcome.keys
    return number(keys, "spring.cone_height", np.nan) / number(keys, "spring.thickness", np.nan)


def _disc_words(case: Case) -> str:
    keys = case.outcome.keys
    height, thickness = case(keys["spring.cone_height"]), case(keys["spring.thickness"])
    return (
        f"{said(case, 'spring.cone_height')} is {height / thickness:.1f} times "
        f"{said(case, 'spring.thickness')}: 0.4 to 2 is usual. cone_height counts without the "
        f"thickness: were it the free height of one disc, {height - thickness:.2f} mm would stand "
        "here."
    )


def _cable_words(case: Case) -> str:
    return (
        f"{said(case, 'cable.stiffness')} looks wrong: 50 to 1000 N/mm is usual. It is newtons "
        "more over millimetres more, of wire and casing together."
    )


def _ramp_words(case: Case) -> str:
    angle = case(case.outcome.keys["release.ramp_angle"])
    slope = angle if angle <= 1 else 0.25
    return (
        f"{said(case, 'release.ramp_angle')} looks wrong: 8 to 35 deg is usual. It is an angle in "
        f"degrees, not rise over length: a slope of {slope:.3g} is "
        f"{math.degrees(math.atan(slope)):.0f} deg."
    )


def _soft_rod(outcome: Findings) -> Values:
    at_plate = number(outcome.keys, "rod.stiffness", np.nan) * outcome.parts.rod.finger_ratio**2
    return np.asarray(at_plate < SOFTEST_ROD_N_PER_MM)


def _soft_rod_words(case: Case) -> str:
    ratio = case(case.outcome.parts.rod.finger_ratio)
    usual, at = "5000 to 100000 N/mm", ""
    if ratio != 1:
        at = f" (times the finger ratio squared, {ratio:.2f}²)"
    return (
        f"{said(case, 'rod.stiffness')}{at} looks wrong: {usual} is usual. It is newtons over "
        "millimetres: 100 N more that give 0.005 mm more make 20000 N/mm."
    )


PLAUSIBLE_CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "odd-lever-swing",
        CAUTION,
        COMMON,
        lambda o: _swing_deg(o) > WIDEST_SWING_DEG,
        _swing_words,
    ),
    Caution("odd-hand-travel", CAUTION, COMMON, _odd_travel, _travel_words),
    Caution(
        "odd-hand-force",
        CAUTION,
        COMMON,
        lambda o: o.peak.hand_force_n > (HEAVIEST_FOOT_N if by_foot(o.keys) else HEAVIEST_N),
        _force_words,
    ),
    Caution(
        "odd-lift",
        CAUTION,
        COMMON,
        lambda o: _geometry_lift_mm(o) < LEAST_LIFT_MM,
        _lift_words,
    ),
    Caution("odd-advantage", CAUTION, COMMON, _too_direct, _advantage_words),
    Caution(
        "odd-cable-stiffness",
        CAUTION,
        COMMON,
        beyond("cable.stiffness", SOFTEST_CABLE_N_PER_MM, STIFFEST_CABLE_N_PER_MM),
        _cable_words,
    ),
    Caution(
        "odd-return-torque",
        CAUTION,
        COMMON,
        beyond("arm.return_torque", high=MOST_RETURN_TORQUE_NM),
        odd_words(
            "arm.return_torque",
            "0.1 to 2 N·m",
            "It is newtons times metres of radius: 300 N·mm is 0.3 N·m.",
        ),
    ),
    Caution(
        "odd-ramp-angle",
        CAUTION,
        COMMON,
        beyond("release.ramp_angle", FLATTEST_RAMP_DEG, STEEPEST_RAMP_DEG),
        _ramp_words,
    ),
    Caution("odd-rod-stiffness", CAUTION, COMMON, _soft_rod, _soft_rod_words),
    Caution(
        "odd-disc-shape",
        CAUTION,
        COMMON,
        lambda o: np.asarray(_disc_ratio(o) > STEEPEST_DISC),
        _disc_words,
    ),
    Caution(
        "odd-facing-friction",
        CAUTION,
        COMMON,
        beyond("faces.friction", high=MOST_FRICTION),
        odd_words(
            "faces.friction",
            "0.25 to 0.5 dry, 0.08 to 0.14 in oil,",
            "It is a pure number; check its point.",
        ),
    ),
)


# --- how a number is written ---


@dataclass(frozen=True, eq=False, repr=False)
class FileCaution:
    """A warning rule about how a file is written, whatever comes of it.

    Attributes
    ----------
    key, severity, source : str
        As of a `Caution`.
    says : callable
        Takes the mechanism, returns the message; "" where the warning does not apply.
    """

    key: str
    severity: str
    source: str
    says: Callable[[Mechanism], str]


def _no_unit_words(mechanism: Mechanism) -> str:
    bare = lengths_without_unit(mechanism.given)
    if not bare:
        return ""
    told = ", ".join(f"{dotted} = {text}" for dotted, text in bare.items())
    first = next(iter(bare.values()))
    inch = in_inches(first)
    have = "has no unit, so it counts" if len(bare) == 1 else "have no unit, so they count"
    return f"{told} {have} as mm; write {inch} if inches are meant."


def _too_wide(mechanism: Mechanism) -> Iterator[str]:
    """Yield the keys whose ± is wide beside the value, with both."""
    for dotted in mechanism.given:
        value = mechanism.keys.get(dotted)
        if not isinstance(value, Measured) or not float(value):
            continue
        takes = number_of(dotted, kind_of(mechanism.given, dotted.split(".")[0]))
        if takes is None:
            continue
        widest = WIDEST_SHARE if takes.above == 0.0 else WIDEST_SHARE_OF_PLAY
        if value.half_width > widest * abs(value):
            yield f"{dotted} = {shown(value, takes.dimension)}"


def _wide_words(mechanism: Mechanism) -> str:
    told = ", ".join(_too_wide(mechanism))
    if not told:
        return ""
    return (
        f"{told}: so wide a ± looks wrong; a few percent is usual, and a reading's last digit for "
        "a play. A unit written once holds for the value and its ±."
    )


FILE_CAUTIONS: tuple[FileCaution, ...] = (
    FileCaution("no-unit", CAUTION, COMMON, _no_unit_words),
    FileCaution("odd-plus-minus", CAUTION, COMMON, _wide_words),
)
