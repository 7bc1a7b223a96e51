"""Every warning appears where it should, and not a little this side of it.

All mechanisms are made from one invented clutch that raises no warning (clutches.py).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from clutches import sound_mechanism

import liftgeo
from liftgeo.cautions import (
    CAUTIONS,
    METAL_CAUTIONS,
    SEVERITIES,
    looks_wrong,
    may_be_recommended,
)
from liftgeo.cautions.left_out_rules import LEFT_OUT_CAUTIONS
from liftgeo.cautions.outline_rules import OUTLINE_CAUTIONS
from liftgeo.outcome.analysis import result_at
from liftgeo.outcome.outcome import analysed
from liftgeo.words.clutch_end import clutch_end_lines
from liftgeo.words.numbers import Shown
from liftgeo.words.stroke_page import stroke_page
from liftgeo.words.verdict import answer_line, message, unusable

# What is left out, for the warnings about what a file does not say.
WIRE = {"cable": {"wire": None}}
ENGINE = {"engine": None}
ROD_SIZE = {"rod": {"length": None, "diameter": None}}
RUNNING = {"faces": {"running": None}}
TRACK = {"release": {"max_rotation": None}}
GROOVE = {"release": {"groove_radius": None}}
MATERIAL = {"faces": {"material": None}}
ALL: dict[str, Any] = {}


@dataclass(frozen=True)
class Made:
    """A clutch made from the sound one: keys laid over it, some left out."""

    laid: Mapping[str, Any] = field(default_factory=dict)
    without: Mapping[str, Any] = field(default_factory=dict)

    def mechanism(self) -> liftgeo.Mechanism:
        found = sound_mechanism(**self.without)
        return found.changed(dict(self.laid)) if self.laid else found

    def result(self) -> liftgeo.Result:
        return liftgeo.stroke(self.mechanism())


@dataclass(frozen=True)
class Row:
    """A warning, a clutch that raises it, one that does not, and words of its message."""

    key: str
    severity: str
    raises: Made
    quiet: Made
    says: str

    @property
    def name(self) -> str:
        return f"{self.key}, {self.severity}, {self.says}"


def row(
    key: str,
    severity: str,
    raises: Mapping[str, Any],
    quiet: Mapping[str, Any],
    says: str,
    *,
    without: Mapping[str, Any] = ALL,
    quiet_without: Mapping[str, Any] = ALL,
) -> Row:
    return Row(key, severity, Made(raises, without), Made(quiet, quiet_without), says)


OVER = {  # a thin steep disc on raised rings, lifted far: h0/t above 2 sqrt 2 snaps through
    "spring.past_flat": True,
    "spring.installed_deflection": 4.0,
    "arm.radius": 24.0,
    "arm.cable_angle": 100.0,
    "cable.free_play": 0.4,
}
PLAYLESS = {"cable.free_play": 0, "rod.end_float": 0, "arm.return_torque": 0}
STEEP = {  # a disc that falls steeply past its peak, worked by a long drum lever
    "spring.cone_height": 5.0,
    "spring.installed_deflection": 3.0,
    "lever.kind": "drum",
    "lever.drum_radius": 40,
    "lever.hand_travel": 400,
    "release.max_rotation": 80,
}
WARM = {"warm.temperature_rise": 80, "warm.casing_material": "aluminium"}
EARLY = {"release.max_rotation": 9}  # the unit's track ends the stroke, not the grip
LATE = {"release.max_rotation": 12}  # so does it here, the grip almost in reach
STIFF = {"cable.stiffness": 20_000}
SHORT = {"cable.wire.length": 100, "cable.housing.stiffness": 20_000}
THREE = {"faces.friction_plates": 3, "spring.installed_deflection": 2.1}
FOOT = {"lever.worked_by": "foot"}
ROWS = (
    row("no-release", "stop", {"lever.hand_travel": 21}, {"lever.hand_travel": 21.5},
        "may creep, or start off as the engine is started"),
    row("drags", "stop", {"faces.plate_runout": 0.64}, {"faces.plate_runout": 0.63},
        "some 5.3 to 9.0 % of what it holds is still carried. With a gear in, that may move"),
    row("drags", "caution", {"faces.plate_runout": 0.55}, {"faces.plate_runout": 0.54},
        "some 0.6 to 1.1 % of what it holds is still carried. With a gear in, the machine may"),
    row("drags", "caution", {"faces.plate_runout": 0.63}, {"faces.plate_runout": 0.64},
        "may creep"),
    row("drags", "caution", {"faces.cushion_travel": 0, "faces.plate_runout": 0.7},
        {"faces.cushion_travel": 0, "faces.plate_runout": 0.6}, "cannot be told of rigid faces"),
    row("running-guessed", "note", {}, {}, "with 1 friction plate (2 or fewer) it is taken as dry",
        without=RUNNING),
    row("running-guessed", "note", THREE, {}, "3 friction plates (more than 2) it is taken as wet",
        without=RUNNING),
    row("track-end-unknown", "note", {}, {}, "overtravel was not checked", without=TRACK),
    row("track-end-unknown", "note", {}, {"arm.max_rotation": 40}, "climbs out", without=TRACK,
        quiet_without=TRACK),
    row("early-stop", "note", {"release.max_rotation": 9}, {}, "end of its track"),
    row("rigid-cable", "caution", {}, {}, "counts as rigid", without=WIRE),
    row("rigid-rod", "caution", {}, {}, "count as rigid", without=ROD_SIZE),
    row("slack-in-table", "caution", {"arm.kind": "profile", "arm.angle": [0, 4, 8, 12, 16],
        "arm.pull": [0, 0.5, 3.2, 5.9, 8.6]}, {"arm.kind": "profile",
        "arm.angle": [0, 4, 8, 12, 16], "arm.pull": [0, 1.6, 4.3, 7.0, 9.7]},
        "arm.angle = [4, 8, 12, 16] and arm.pull = [0.5, 3.2, 5.9, 8.6]"),
    row("snap", "caution", {**STEEP, "cable.stiffness": 15, "rod.stiffness": 20000},
        {**STEEP, "cable.stiffness": 40, "rod.stiffness": 20000}, "jump by"),
    row("plate-snap", "caution", {**STEEP, "cable.stiffness": 40, "rod.stiffness": 2000},
        {**STEEP, "cable.stiffness": 40, "rod.stiffness": 20000}, "arm held"),
    row("does-not-return", "stop", {"release.friction_angle": 14.1},
        {"release.friction_angle": 13.9}, "does not let itself back"),
    row("lever-hangs", "caution", {"cable.drag": 8}, {"cable.drag": 6}, "lever hangs"),
    row("over-centre", "stop", {**OVER, "spring.thickness": 1.1}, {**OVER, "spring.thickness": 1.3},
        "holds the clutch open"),
    row("spring-room", "caution", {"faces.plate_runout": 1.2}, {"faces.plate_runout": 0.3},
        "Lever, arm and cable cannot give more"),
    row("lever-rides", "stop", PLAYLESS, {"cable.free_play": 0.01}, "No play is left"),
    row(
        "lever-rides",
        "stop",
        {"cable.free_play": 0, "rod.end_float": 0},  # the return spring stretches the cable
        {"cable.free_play": 0, "rod.end_float": 0.01},
        "No play is left",
    ),
    row("lever-rides", "stop", {"cable.take_up_at_hand": 0}, {"cable.take_up_at_hand": 8},
        "No play is left"),
    row("play-contradicted", "caution", {"cable.take_up_at_hand": 2.5},
        {"cable.take_up_at_hand": 8}, "take_up_at_hand = 2.5 mm cannot be"),
    row("play-contradicted", "caution", {"cable.free_play_at_hand": 0, "arm.return_torque": 3},
        {"cable.free_play_at_hand": 5, "arm.return_torque": 3},
        "free_play_at_hand = 0.0 mm cannot be"),
    row("little-take-up", "caution", {"cable.free_play": 0, "rod.end_float": 0.04},
        {"cable.free_play": 0, "rod.end_float": 0.07}, "mm of lever travel are left"),
    row("wear-to-riding", "stop", {"cable.free_play": 0.3, "rod.end_float": 0.06},
        {"cable.free_play": 0.3, "rod.end_float": 0.08},
        "may wear by 0.09 mm in all (0.05 mm each face)"),
    row("wear-to-riding", "caution", {"cable.free_play": 1.0, "rod.end_float": 0.18},
        {"cable.free_play": 1.0, "rod.end_float": 0.20}, "may wear by 0.29 mm in all"),
    row("clear-late", "caution", {"lever.hand_travel": 30}, {"lever.hand_travel": 30.5},
        "4.7 mm of hand travel left"),
    row("clear-late", "caution", {"lever.hand_radius": 150, "lever.hand_travel": 56},
        {"lever.hand_radius": 150, "lever.hand_travel": 56.5}, "5.4 mm of hand travel left"),
    row("heavy-hand", "caution", {"lever.hand_radius": 47.5}, {"lever.hand_radius": 48},
        "more than 200 N"),
    row("heavy-hand", "caution", {**FOOT, "lever.hand_radius": 34, "lever.hand_travel": 40},
        {**FOOT, "lever.hand_radius": 35, "lever.hand_travel": 40}, "The pedal needs"),
    row("little-take-up", "caution", {**FOOT, "cable.free_play": 0.5, "rod.end_float": 0.05},
        {"cable.free_play": 0.5, "rod.end_float": 0.05}, "mm of pedal travel are left"),
    row("clear-late", "caution", {**FOOT, "lever.hand_travel": 38}, {"lever.hand_travel": 38},
        "of foot travel left"),
    row("little-take-up", "caution", {"cable.free_play": 0, "rod.end_float": 0.04},
        {"cable.free_play": 0, "rod.end_float": 0.04, "bearing.constant_contact": True},
        "is soon used up"),
    row("wear-to-riding", "stop", {"cable.free_play": 0.3, "rod.end_float": 0.06},
        {"cable.free_play": 0.3, "rod.end_float": 0.06, "bearing.constant_contact": True},
        "may wear by"),
    row("wear-to-riding", "caution", {"cable.free_play": 1.0, "rod.end_float": 0.18},
        {"cable.free_play": 1.0, "rod.end_float": 0.18, "bearing.constant_contact": True},
        "may wear by"),
    row("lever-rides", "stop", PLAYLESS, {**PLAYLESS, "bearing.constant_contact": True},
        "No play is left"),
    row("cable-to-arm", "caution", {"arm.cable_angle": 112.5}, {"arm.cable_angle": 112},
        "130 deg at full lever"),
    row("cable-to-arm", "caution", {"arm.cable_angle": 49}, {"arm.cable_angle": 51}, "49 deg"),
    row("balls-slide", "caution", {"release.far_ramp_angle": 2}, {"release.far_ramp_angle": 3},
        "rolls only with a friction of 0.11"),
    row("full-lock", "stop", {"rod.end_float": 0, "arm.return_torque": 0,
        "cable.free_play_turned": 0}, {"rod.end_float": 0, "arm.return_torque": 0,
        "cable.free_play_turned": 0.01}, "at full lock 0.0 mm"),
    row("full-lock", "caution", {"rod.end_float": 0.04, "cable.free_play_turned": 0},
        {"rod.end_float": 0.07, "cable.free_play_turned": 0}, "are left before the rod loads"),
    row("full-lock", "caution", {"cable.free_play_turned": 7}, {"cable.free_play_turned": 4},
        "each face is short by"),
    row("slips", "stop", {"engine.torque": 47}, {"engine.torque": 46.9}, "holds 1.00 times"),
    row("slip-margin", "caution", {"engine.torque": 35.3}, {"engine.torque": 35.2},
        "1.33 is wanted"),
    row("slip-margin", "caution", {"engine.use": "slow machine", "engine.torque": 31.3},
        {"engine.use": "slow machine", "engine.torque": 31.2}, "1.50 is wanted for a slow machine"),
    row("slip-margin", "caution", {"engine.use": "tractor", "engine.torque": 23.5},
        {"engine.use": "tractor", "engine.torque": 23.4}, "2.00 is wanted for a tractor"),
    row("slip-margin", "caution", {"faces.oil_splashed": True, "engine.torque": 23.5},
        {"faces.oil_splashed": True, "engine.torque": 23.4},
        "2.00 is wanted (this facing is oil-splashed or unknown)"),
    row("slip-margin", "caution", {"faces.material": "unknown"}, {}, "2.00 is wanted"),
    row("slips-at-least-load", "stop", {"engine.torque": 38.6}, {"engine.torque": 38.5},
        "may press 7.5 % less"),
    row("slip-margin-at-least-load", "caution", {"engine.torque": 29}, {"engine.torque": 28.9},
        "about 13 % above an elastic disc"),
    row("slip-unknown", "note", {}, {}, "No engine torque", without=ENGINE),
    row("spring-near-end", "caution", {"stack.friction_plate": 8.46},
        {"stack.friction_plate": 8.44}, "0.16 mm from flat"),
    row("disc-stress", "caution", {"spring.outside_diameter": 82.5,
        "spring.inside_diameter": 63.25}, {"spring.outside_diameter": 84,
        "spring.inside_diameter": 64.4}, "above 1400 MPa"),
    row("facing-pressure", "caution", {"faces.material": "woven"}, {"faces.material": "moulded"},
        "range of a woven facing, 0.345 to 0.69 MPa"),
    row("facing-pressure", "note", {}, {"faces.inside_diameter": 70},
        "softest usual class (faces.material is not named)", without=MATERIAL,
        quiet_without=MATERIAL),
    row("cold-oil", "note", {"faces.running": "wet"}, {}, "does not stop the drag of cold oil"),
    row("cold-oil", "note", {"faces.running": "wet", "faces.oil_viscosity": 100},
        {"faces.oil_viscosity": 100}, "carry 3.46 N·m"),
    row("rim-warped", "caution", {"faces.rim_heights": [3.0, 3.11, 3.0, 3.11]},
        {"faces.rim_heights": [3.0, 3.09, 3.0, 3.09]}, "stray 0.06 mm from a plane"),
    row("hot", "stop", {**WARM, "rod.action": "pull", "warm.casing_length": 400},
        {**WARM, "rod.action": "pull", "warm.casing_length": 380}, "the rod is loaded at rest"),
    row("hot", "stop", {**WARM, "warm.casing_length": 1, "warm.facing_friction": 0.159},
        {**WARM, "warm.casing_length": 1, "warm.facing_friction": 0.161}, "holds 0.99 times"),
    row("hot", "caution", {**WARM, "warm.casing_length": 450}, {**WARM, "warm.casing_length": 100},
        "Hot it is worse than cold"),
    row("bearing-thrust", "stop", {"bearing.static_rating": 6759}, {"bearing.static_rating": 6761},
        "of its static rating"),
    row("bearing-thrust", "caution", {"bearing.static_rating": 13519},
        {"bearing.static_rating": 13521}, "0.25 of its static rating"),
    row("bearing-static", "stop", {"bearing.static_rating": 1680}, {"bearing.static_rating": 1691},
        "static safety is 0.99"),
    row("bearing-static", "caution", {"bearing.static_rating": 2525},
        {"bearing.static_rating": 2536}, "static safety is 1.49"),
    row("bearing-one-way", "note", {"bearing.kind": "angular-contact", "bearing.contact_angle": 40},
        {}, "the push of the rod"),
    row("cable-strength", "stop", {"cable.breaking_load": 442}, {"cable.breaking_load": 443},
        "The stroke puts 442 N on the cable"),
    row("cable-strength", "stop", {**EARLY, **STIFF, "cable.breaking_load": 1726},
        {**EARLY, **STIFF, "cable.breaking_load": 1727}, "breaks at 1726 N (as given)"),
    row("cable-strength", "stop", {**EARLY, "cable.breaking_load": 1225},
        {**EARLY, "cable.breaking_load": 1226}, "for the lever to meet the grip puts 1225 N"),
    row("cable-strength", "caution", {"cable.breaking_load": 1327}, {"cable.breaking_load": 1328},
        "3 times what the stroke needs is wanted"),
    row("cable-strength", "caution", {**EARLY, **STIFF, "cable.breaking_load": 2589},
        {**EARLY, **STIFF, "cable.breaking_load": 2590},
        "50 mm from the tip of the blade puts 1726 N"),
    row("cable-strength", "caution", {**EARLY, "cable.breaking_load": 1838},
        {**EARLY, "cable.breaking_load": 1839}, "1.5 times that is wanted"),
    row("cable-strength", "caution", {**LATE, "cable.breaking_load": 1327},
        {**LATE, "cable.breaking_load": 1328}, "3 times what the stroke needs is wanted"),
    row("cable-strength", "caution", {**EARLY, **SHORT, "cable.wire.diameter": 1.7},
        {**EARLY, **SHORT, "cable.wire.diameter": 1.9},
        "7x19 stainless, between listed sizes by the diameter squared"),
    row("cable-strength", "caution", {"cable.wire.diameter": 1.2}, {"cable.wire.diameter": 1.3},
        "from the nearest listed size by the diameter squared"),
    row("cable-strength-unknown", "note", {"cable.wire.construction": "1x19"}, {},
        "Its strength was not judged"),
    row("push-rod-buckling", "stop", {"rod.diameter": 5.2}, {"rod.diameter": 5.3}, "buckles at"),
    row("push-rod-buckling", "caution", {"rod.unguided_length": 201}, {"rod.unguided_length": 200},
        "(Euler)"),
    row("bearing-thrust", "stop", {"bearing.static_rating": 13519, "bearing.bore": 12},
        {"bearing.static_rating": 13519, "bearing.bore": 12.1}, "With a bore of 12 mm"),
    row("bearing-thrust", "caution", {"bearing.static_rating": 13519, "bearing.bore": 25},
        {"bearing.static_rating": 13519, "bearing.bore": 12}, "a ring hardly thicker"),
    row("ball-pressure", "caution", {}, {"release.allowed_pressure": 2750}, "above 4200 MPa",
        without=GROOVE),
    row("ball-pressure", "caution", {"release.allowed_pressure": 2700}, {}, "above 2700 MPa"),
)  # fmt: skip


def warnings_of(result: liftgeo.Result, key: str) -> dict[str, str]:
    return {w.severity: w.message for w in result.warnings if w.key == key}


def test_the_sound_clutch_raises_nothing():
    result = liftgeo.stroke(sound_mechanism())
    assert [w.key for w in result.warnings] == []
    assert result.verdict == "clear"


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r.name)
def test_a_warning_appears(row):
    found = warnings_of(row.raises.result(), row.key)
    assert row.severity in found, f"{row.key} ({row.severity}) is missing"
    assert row.says in found[row.severity]


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r.name)
def test_it_does_not_appear_this_side_of_its_line(row):
    assert row.severity not in warnings_of(row.quiet.result(), row.key)


def test_every_rule_is_tried_here_or_in_test_plausible():
    tried = {(row.key, row.severity) for row in ROWS}
    others = [rule for rule in CAUTIONS if not looks_wrong(rule.key)]
    others = [rule for rule in others if rule not in LEFT_OUT_CAUTIONS]  # test_left_out_cautions
    others = [rule for rule in others if rule not in OUTLINE_CAUTIONS]  # test_gaps
    assert {(rule.key, rule.severity) for rule in others} == tried


@pytest.mark.parametrize("rule", CAUTIONS, ids=lambda r: f"{r.key}-{r.severity}")
def test_a_rule_is_named_in_lower_case_and_says_where_it_comes_from(rule):
    assert rule.severity in SEVERITIES
    assert re.fullmatch("[a-z]+(-[a-z]+)*", rule.key)
    assert len(rule.source) > 10


ADVICE = re.compile(r"\b(fit|change|replace|use a|use an|cures?|try|better|should be made)\b", re.I)


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r.name)
def test_no_warning_recommends_a_change(row):
    found = warnings_of(row.raises.result(), row.key)
    assert not ADVICE.search(found[row.severity])


def test_faces_that_hardly_part_are_told_as_gravely_as_those_that_do_not():
    shut, ajar = (Made({"lever.hand_travel": at}).result() for at in (21, 21.5))
    assert ajar.full_lever.separation_mm > 0
    assert list(warnings_of(shut, "no-release")) == ["stop"]
    assert not warnings_of(shut, "drags")
    assert list(warnings_of(ajar, "drags")) == ["stop"]
    assert "drags" in answer_line(ajar, "metric").split("STOP")[1]
    assert (unusable(shut), unusable(ajar)) == ("does not release", "drags")
    assert unusable(Made({"faces.plate_runout": 0.63}).result()) == ""


def test_no_more_than_all_is_said_to_be_carried():
    result = Made({"faces.plate_runout": 4.0}).result()
    assert result.capacity.drag_torque_nm > result.capacity.torque_nm  # by uniform pressure
    assert "all that it holds is still carried" in warnings_of(result, "drags")["stop"]
    page = " ".join(clutch_end_lines(result, Shown("metric")))
    shares = [float(x) for x in re.findall(r"([\d.]+) %", page)]
    assert shares
    assert max(shares) == 100
    assert f"some {result.capacity.torque_nm:.0f} N·m is still carried" in page


def test_drag_says_where_it_rests_on_what_was_left_out():
    left = {"left_out": "usual", "faces": {"plate_runout": None}}
    usual = liftgeo.stroke(sound_mechanism(**left).changed({"lever.hand_travel": 34}))
    said = warnings_of(usual, "drags")
    assert said
    assert all("With what was left out taken as usual, at full lever" in x for x in said.values())
    known = Made({"faces.plate_runout": 0.6}).result()
    assert all(x.startswith("At full lever the") for x in warnings_of(known, "drags").values())


def test_the_share_does_not_hang_on_the_friction():
    slippery, grabby = (
        Made({"faces.plate_runout": 0.6, "faces.friction": f}).result() for f in (0.25, 0.35)
    )
    assert warnings_of(slippery, "drags") == warnings_of(grabby, "drags")


def test_a_long_warning_is_never_cut():
    made = Made({**EARLY, **SHORT, "cable.wire.diameter": 1.7}, {"lever": {"blade_length": None}})
    result, mechanism = made.result(), made.mechanism()
    text = warnings_of(result, "cable-strength")["caution"]
    assert len(text) > 300
    assert text.endswith("Soldered ends and worn strands hold less.")
    for warning in result.warnings:
        last = warning.message.split()[-1]
        for units in ("metric", "inch"):
            assert message(warning, mechanism, units).endswith(last)
    page = " ".join(stroke_page(result, mechanism, "metric", "x"))
    assert "worn strands hold less." in " ".join(page.split())


def test_the_gravest_stand_first():
    made = Made({"engine.torque": 60, "cable.breaking_load": 1500, "release.max_rotation": 9})
    order = [SEVERITIES.index(w.severity) for w in made.result().warnings]
    assert order == sorted(order)
    assert set(order) == {0, 1, 2}


def test_the_first_line_names_every_stop():
    made = Made({"engine.torque": 60, "cable.breaking_load": 400, "bearing.static_rating": 1000})
    result = made.result()
    line = answer_line(result, "metric")
    stops = [w.key for w in result.warnings if w.severity == "stop"]
    assert {"slips", "cable-strength", "bearing-static", "bearing-thrust"} <= set(stops)
    assert all(key.replace("-", " ") in line for key in stops)


def test_a_clutch_that_slips_is_never_called_clear():
    slipping = Made({"engine.torque": 60}).result()
    assert slipping.full_lever.clearance_per_face_mm > 0.1
    assert slipping.verdict == "slips"
    at_least = Made({"engine.torque": 45}).result()
    assert at_least.verdict == "clear"
    line = answer_line(at_least, "metric")
    assert "STOP: slips at least load" in line


def test_elements_of_a_batch_are_warned_of_one_by_one():
    mechanism = sound_mechanism()
    over = {
        "engine.torque": np.array([25.0, 40.0, 60.0]),
        "bearing.static_rating": np.array([16000.0, 10000.0, 6000.0]),
        "cable.wire.diameter": np.array([2.38, 1.9, 1.2]),
    }
    outcome = analysed(mechanism, over)
    for k in range(3):
        alone = mechanism.changed({name: float(values[k]) for name, values in over.items()})
        expected = [(w.key, w.severity, w.message) for w in liftgeo.stroke(alone).warnings]
        found = result_at(outcome, (k,), mechanism, None).warnings
        assert [(w.key, w.severity, w.message) for w in found] == expected
    assert len(expected) >= 3


def test_only_what_stands_above_every_caution_line_may_be_recommended():
    mechanism = sound_mechanism()
    base = analysed(mechanism)
    variants = analysed(mechanism, {"engine.torque": np.array([25.0, 35.5, 60.0])})
    assert may_be_recommended(variants, base).tolist() == [True, False, False]
    doubtful = analysed(mechanism, {"engine.torque": 35.5})
    assert may_be_recommended(variants, doubtful).tolist() == [True, True, False]


CUTS = {
    "a rim skimmed": ({"stack.rim_skim": 0.1}, ("stack.rim_skim", "burst at speed", "balanced")),
    "an arm drilled": ({"arm.radius": 35}, ("arm.radius", "1.2 times", "parts that tire")),
    "ramps ground": ({"release.ramp_angle": 16}, ("release.ramp_angle", "hardened layer")),
}


@pytest.mark.parametrize("cut", CUTS.values(), ids=CUTS)
def test_metal_taken_off_raises_one_caution(cut):
    laid, words = cut
    found = [w for w in Made(laid).result().warnings if w.key == "metal-removed"]
    assert [w.severity for w in found] == ["caution"]
    for word in words:
        assert word in found[0].message
    assert not ADVICE.search(found[0].message)


def test_the_same_numbers_in_a_file_of_their_own_cut_nothing():
    whole = sound_mechanism(arm={"radius": 35}, stack={"rim_skim": 0, "rim_depth": 30.4})
    assert not warnings_of(liftgeo.stroke(whole), "metal-removed")
    twice = whole.changed({"arm.radius": 34}).changed({"cable.free_play": 1.5})
    assert warnings_of(liftgeo.stroke(twice), "metal-removed")


def test_a_hole_where_the_cable_end_hangs_already_is_not_drilled():
    now = sound_mechanism()
    same = now.changed({"arm.hole": now.keys["arm.radius"]})
    assert not warnings_of(liftgeo.stroke(same), "metal-removed")
    other = now.changed({"arm.hole": now.keys["arm.radius"] - 2.0})
    assert warnings_of(liftgeo.stroke(other), "metal-removed")


@pytest.mark.parametrize(
    "rule", [*CAUTIONS, *METAL_CAUTIONS], ids=lambda r: f"{r.key}-{r.severity}"
)
def test_the_theory_page_lists_every_warning_with_its_source(rule):
    pages = (Path(__file__).parents[2] / "docs").glob("*.md")
    listed = "\n".join(page.read_text(encoding="utf-8") for page in sorted(pages))
    assert f"| `{rule.key}` | {rule.severity} | {rule.source} |" in listed
