"""A gross slip in a file raises a warning that names its key, and no sound mechanism raises one.

The slips are those that people make: a wrong power of ten, a slope for an angle, a missing unit.
All mechanisms are invented: the examples, the scenarios of the independent check, the clutches of
the tests.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import clutches
import pytest

import liftgeo
from liftgeo.cautions import CAUTIONS, FILE_CAUTIONS, looks_wrong
from liftgeo.cautions.odd_rules import ODD_CAUTIONS
from liftgeo.cautions.plausible_rules import PLAUSIBLE_CAUTIONS
from liftgeo.mechanism import from_document

CHECKOUT = Path(__file__).resolve().parents[2]
SCENARIOS = CHECKOUT / "tests" / "validation" / "point_equilibrium_scenarios.toml"
NUMBERS = (*PLAUSIBLE_CAUTIONS, *ODD_CAUTIONS)
RULES = (*NUMBERS, *FILE_CAUTIONS)
POINTS = {"pivot": [0, 0], "pin": [-9, 25], "stop": [36, 14], "hand": [-25, 0]}
LEVER_BY_POINTS = {f"lever.points.{name}": point for name, point in POINTS.items()}
PEDAL = {"lever.worked_by": "foot"}

# warning: keys that raise it, keys that stay just this side of its line, words of its message
WEIGHED = {"spring.kind": "coils", "spring.count": 6, "spring.installed_length": 36.0}
SLIPS: dict[str, tuple[str, dict[str, Any], dict[str, Any], tuple[str, ...]]] = {
    "hand radius in inches": (
        "odd-lever-swing", {"lever.hand_radius": 29.7}, {"lever.hand_radius": 29.8},
        ("swing 75 deg", "20 to 50 deg", "lever.hand_travel = 39 mm", "lever.hand_radius = 29.7"),
    ),
    "degrees that are too many": (
        "odd-lever-swing", {"lever.travel": 76}, {"lever.travel": 74}, ("lever.travel = 76 deg",),
    ),
    "a hand point out by a digit": (
        "odd-lever-swing", {**LEVER_BY_POINTS, "lever.hand_travel": 33},
        {**LEVER_BY_POINTS, "lever.hand_travel": 32}, ("lever.points, the hand 25.0 mm out",),
    ),
    "hand travel in cm": (
        "odd-hand-travel", {"lever.hand_travel": 14.9}, {"lever.hand_travel": 15.1},
        ("lever.hand_travel = 14.9 mm", "30 to 80 mm", "centimetres"),
    ),
    "hand travel doubled": (
        "odd-hand-travel", {"lever.hand_radius": 150, "lever.hand_travel": 121},
        {"lever.hand_radius": 150, "lever.hand_travel": 119}, ("lever.hand_travel = 121 mm",),
    ),
    "travel in radians": (
        "odd-hand-travel", {"lever.travel": 11}, {"lever.travel": 12},
        ("lever.travel = 11 deg makes 14 mm of hand travel",),
    ),
    "hand radius in cm": (
        "odd-hand-force", {"lever.hand_radius": 15.8, "lever.hand_travel": 16},
        {"lever.hand_radius": 16, "lever.hand_travel": 16},
        ("would need 604 N: 40 to 150 N", "presses", "spring.thickness = 1.7 mm",
         "arm.radius = 38 mm", "lever.hand_radius = 15.8 mm"),
    ),
    "a slope for an angle": (
        "odd-ramp-angle", {"release.ramp_angle": 0.25}, {"release.ramp_angle": 3.0},
        ("release.ramp_angle = 0.25 deg", "8 to 35 deg", "a slope of 0.25 is 14 deg"),
    ),
    "a ramp of two degrees": (
        "odd-ramp-angle", {"release.ramp_angle": 2.9}, {"release.ramp_angle": 3.1},
        ("release.ramp_angle = 2.9 deg", "a slope of 0.25 is 14 deg"),
    ),
    "hardly any lift": (
        "odd-lift", {"release.ramp_angle": 3.5}, {"release.ramp_angle": 3.6},
        ("lifts only 0.29 mm", "0.8 to 4 mm", "release.ramp_angle = 3.5 deg",
         "release.pitch_radius = 16 mm", "arm.radius = 38 mm", "lever.nipple_radius = 26 mm"),
    ),
    "a pitch diameter of a wheel": (
        "odd-advantage", {"release.pitch_radius": 131}, {"release.pitch_radius": 128},
        ("only 4.0 mm for each mm of the rod", "10 to 50", "release.pitch_radius = 131 mm"),
    ),
    "mm over N": (
        "odd-cable-stiffness", {"cable.stiffness": 19}, {"cable.stiffness": 21},
        ("cable.stiffness = 19 N/mm", "50 to 1000 N/mm"),
    ),
    "N/m": (
        "odd-cable-stiffness", {"cable.stiffness": 5100}, {"cable.stiffness": 4900},
        ("cable.stiffness = 5100 N/mm",),
    ),
    "N mm for N m": (
        "odd-return-torque", {"arm.return_torque": 10.1}, {"arm.return_torque": 9.9},
        ("arm.return_torque = 10.1 N·m", "0.1 to 2 N·m", "300 N·mm is 0.3 N·m"),
    ),
    "kN/mm for N/mm": (
        "odd-rod-stiffness", {"rod.stiffness": 1990}, {"rod.stiffness": 2010},
        ("rod.stiffness = 1990 N/mm", "5000 to 100000 N/mm"),
    ),
    "free height for cone height": (
        "odd-disc-shape", {"spring.cone_height": 5.1}, {"spring.cone_height": 3.8},
        ("spring.cone_height = 5.1 mm is 3.0 times spring.thickness = 1.7 mm", "0.4 to 2",
         "without the thickness", "3.40 mm would stand here"),
    ),
    "a point lost": (
        "odd-facing-friction", {"faces.friction": 3}, {"faces.friction": 0.6},
        ("faces.friction = 3 ", "0.25 to 0.5 dry", "point"),
    ),
    "a pedal's travel": (
        "odd-hand-travel", {"lever.worked_by": "foot", "lever.hand_travel": 39.9},
        {"lever.worked_by": "foot", "lever.hand_travel": 40.1},
        ("lever.hand_travel = 39.9 mm", "100 to 160 mm is usual for a pedal"),
    ),
    "a pedal too far": (
        "odd-hand-travel", {**PEDAL, "lever.travel": 60, "lever.hand_radius": 240},
        {**PEDAL, "lever.travel": 58, "lever.hand_radius": 240},
        ("lever.travel = 60 deg makes 251 mm of foot travel",),
    ),
    "a pedal's force": (
        "odd-hand-force", {**PEDAL, "lever.hand_radius": 7.9, "lever.hand_travel": 9},
        {**PEDAL, "lever.hand_radius": 8, "lever.hand_travel": 9},
        ("The pedal would need", "80 to 250 N"),
    ),
    "ramps from the axis": (
        "odd-ramp-angle", {"release.ramp_angle": 40.1}, {"release.ramp_angle": 39.9},
        ("release.ramp_angle = 40.1 deg", "8 to 35 deg"),
    ),
    "soft fingers' rod": (
        "odd-rod-stiffness", {"rod.stiffness": 124, "rod.finger_ratio": 4},
        {"rod.stiffness": 126, "rod.finger_ratio": 4}, ("times the finger ratio squared, 4.00²",),
    ),
    "teeth upside down": (
        "odd-primary-ratio", {"engine.primary_ratio": 0.99}, {"engine.primary_ratio": 1},
        ("engine.primary_ratio = 0.99", "engine speed over clutch speed", "upside down"),
    ),
    "a torque too small": (
        "odd-slip-margin", {"engine.torque": 11.7}, {"engine.torque": 11.8},
        ("would hold 4.0 times", "1.3 to 3", "engine.torque = 11.7", "faces.friction = 0.3"),
    ),
    "a dry facing in oil": (
        "odd-wet-friction", {"faces.running": "wet", "faces.friction": 0.21},
        {"faces.running": "wet", "faces.friction": 0.19}, ("faces.friction = 0.21", "0.08 to 0.14"),
    ),
    "oil in a dry pack": (
        "oil-in-dry", {"faces.oil_viscosity": 90},
        {"faces.oil_viscosity": 90, "faces.running": "wet"},
        ("faces.oil_viscosity = 90", "taken as dry", 'faces.running = "wet"'),
    ),
    "a plate's thickness for its cushion": (
        "odd-cushion", {"faces.cushion_travel": 1.51}, {"faces.cushion_travel": 1.49},
        ("faces.cushion_travel = 1.51 mm", "0 to 1 mm"),
    ),
    "thou for hundredths": (
        "odd-runout", {"faces.plate_runout": 1.01, "faces.basket_runout": 2},
        {"faces.plate_runout": 0.99},
        ("faces.basket_runout = 2 mm, faces.plate_runout = 1.01 mm", "12 thou is 0.3 mm"),
    ),
    "play at the blade": (
        "odd-free-play", {"cable.free_play": 8.1}, {"cable.free_play": 7.9},
        ("cable.free_play = 8.1 mm", "cable.free_play_at_hand"),
    ),
    "the cable's play in the float": (
        "odd-end-float", {"rod.end_float": 0.81}, {"rod.end_float": 0.79},
        ("rod.end_float = 0.81 mm", "nothing of the cable's"),
    ),
    "fingers upside down": (
        "odd-finger-ratio", {"rod.finger_ratio": 0.25}, {"rod.finger_ratio": 1.0},
        ("rod.finger_ratio = 0.25", "not the other way"),
    ),
    "inches as mm": (
        "no-unit", {"lever.hand_radius": "75 1/8"}, {"lever.hand_radius": "3 1/8 in"},
        ("lever.hand_radius = 75 1/8 has no unit, so it counts as mm; write 75 1/8 in if inches "
         "are meant.",),
    ),
    "inches as mm, with a ±": (
        "no-unit", {"lever.hand_radius": "75½ ± 1/16"}, {"lever.hand_radius": "3½ in ± 1/16"},
        ("write 75½ in ± 1/16 if",),
    ),
    "two without a unit": (
        "no-unit", {"lever.hand_radius": "75 1/8", "arm.radius": "37 7/8"},
        {"lever.hand_radius": '3 1/8"', "arm.radius": "37 7/8 mm"},
        ("lever.hand_radius = 75 1/8, arm.radius = 37 7/8 have no unit, so they count as mm",),
    ),
    "readings without a unit": (
        "no-unit", {"faces.rim_heights": ["3 1/64", "3", "3", "3"]},
        {"faces.rim_heights": ["3.01", "3", "3", "3"]}, ("faces.rim_heights = 3 1/64 has no unit",),
    ),
    "a spring that is not straight": (
        "odd-spring-readings", {**WEIGHED, "spring.readings": [[0, 46], [185, 41], [320, 36]]},
        {**WEIGHED, "spring.readings": [[0, 46], [180, 41], [320, 36]]},
        ("5 % of the greatest load off a straight line", "up to 3 %"),
    ),
    "a ± as large as the value": (
        "odd-plus-minus", {"lever.hand_radius": "75 ± 40"}, {"lever.hand_radius": "75 ± 37"},
        ("lever.hand_radius = 75.00 ± 40.00 mm", "a few percent"),
    ),
    "a play read to a wide ±": (
        "odd-plus-minus", {"rod.end_float": "0.15 ± 0.31"}, {"rod.end_float": "0.15 ± 0.29"},
        ("rod.end_float = 0.15 ± 0.31 mm",),
    ),
}  # fmt: skip

any_slip = pytest.mark.parametrize("slip", SLIPS.values(), ids=SLIPS)


def said(mechanism: liftgeo.Mechanism) -> dict[str, str]:
    """Return what the warnings of slips say of a mechanism, by name."""
    return {w.key: w.message for w in liftgeo.stroke(mechanism).warnings if looks_wrong(w.key)}


def changed(keys: Mapping[str, Any]) -> liftgeo.Mechanism:
    return clutches.sound_mechanism().changed(dict(keys))


@any_slip
def test_a_slip_is_named_with_its_key_its_value_and_what_is_usual(slip: Any) -> None:
    key, wrong, _, words = slip
    message = said(changed(wrong))[key]
    for word in words:
        assert word in message
    assert any(dotted.split(".points")[0] in message for dotted in wrong)
    assert message.endswith(".")


@any_slip
def test_nothing_is_said_this_side_of_the_line(slip: Any) -> None:
    key, _, right, _ = slip
    assert key not in said(changed(right))


def test_every_rule_is_tried_here() -> None:
    assert {key for key, *_ in SLIPS.values()} == {rule.key for rule in RULES}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.key)
def test_a_rule_is_a_caution_from_common_practice_and_stands_in_the_theory(rule: Any) -> None:
    assert (rule.severity, rule.source) == ("caution", "common practice, no source")
    assert re.fullmatch("[a-z]+(-[a-z]+)*", rule.key)
    page = (CHECKOUT / "docs" / "theory.md").read_text(encoding="utf-8")
    assert f"| `{rule.key}` | {rule.severity} | {rule.source} |" in page


def test_a_warning_of_another_kind_is_no_slip() -> None:
    others = {rule.key for rule in CAUTIONS} - {rule.key for rule in NUMBERS}
    assert len(others) > 20
    assert not [key for key in others if looks_wrong(key)]


SOUND_ONES = {path.stem: liftgeo.load(path) for path in sorted((CHECKOUT / "geometries").glob("*"))}
SOUND_ONES |= {
    f"{stem}, {name}": mechanism.changed(name)
    for stem, mechanism in tuple(SOUND_ONES.items())
    for name in mechanism.changes
}
SOUND_ONES |= {
    f"scenario {name}": from_document(document, left_out="nothing")
    for name, document in tomllib.loads(SCENARIOS.read_text(encoding="utf-8")).items()
}
SOUND_ONES |= {
    "the base clutch": clutches.mechanism(),
    "the sound clutch": clutches.sound_mechanism(),
}


@pytest.mark.parametrize("mechanism", SOUND_ONES.values(), ids=SOUND_ONES)
def test_no_sound_mechanism_is_suspected(mechanism: liftgeo.Mechanism) -> None:
    assert said(mechanism) == {}


def test_only_fractions_of_a_length_ask_for_a_unit() -> None:
    assert said(changed({"rod.finger_ratio": "1 1/8", "cable.bend": "90 1/2"})) == {}


def test_a_value_of_nothing_may_have_any_half_width() -> None:
    assert said(changed({"faces.basket_runout": "0 ± 0.02", "cable.seating": "0 ± 1"})) == {}
