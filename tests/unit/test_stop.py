"""Each thing that can end a stroke, each kind of jump, and the peak, on mechanisms made for it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from clutches import COILS, DRUM_ARM, DRUM_LEVER, coils_mechanism, mechanism
from scipy.optimize import brentq, minimize_scalar

import liftgeo
from liftgeo.chain import position
from liftgeo.outcome.outcome import analysed
from liftgeo.parts.root import bracketed_root

FAR = {"lever": {"hand_travel": 90.0}}
PROFILE_ARM = {"kind": "profile", "angle": [0, 4, 8, 12], "pull": [0.0, 2.7, 5.4, 8.1]}
PROFILE_LEVER = {
    "kind": "profile",
    "angle": [0, 10, 20, 25],
    "pull": [0.0, 4.4, 8.7, 10.8],
    "hand_radius": 75.0,
    "hand_travel": 39.0,
}
PROFILE_UNIT = {"kind": "profile", "angle": [0, 3, 6, 7], "travel": [0.0, 0.21, 0.41, 0.47]}
TABLE = {"kind": "table", "deflection": [0, 1, 2, 2.3], "load": [0, 2200, 3400, 3600]}
CRANK = {"kind": "crank", "crank_radius": 4.0, "rest_angle": 70.0}


def at_end(file):
    """Return the outcome and its position at full lever."""
    outcome = analysed(file)
    with np.errstate(all="ignore"):
        return outcome, outcome.full


# name: the mechanism, how its stop is called, and what is exactly at its limit there
STOPS = {
    "grip": ({}, "grip", lambda p: (p.hand_travel_mm, 39.0)),
    "track": ({"release": {"max_rotation": 6.0}}, "track-end",
        lambda p: (p.unit_rotation_rad, math.radians(6.0))),
    "arm stop": ({"arm": {"max_rotation": 6.0}}, "arm-stop",
        lambda p: (p.arm_rotation_rad, math.radians(6.0))),
    "arm stop behind a shaft that winds up": ({"arm": {"max_rotation": 7.0,
        "shaft_stiffness": 8.0}}, "arm-stop", lambda p: (p.arm_rotation_rad, math.radians(7.0))),
    "flat": ({**FAR, "stack": {"rim_depth": 29.6}}, "spring-flat",
        lambda p: (p.deflection_mm, 3.4)),
    "flat at its circles": ({**FAR, "stack": None,
        "spring": {"force_diameter": 96.0, "installed_deflection": 2.7}}, "spring-flat",
        lambda p: (p.deflection_mm, 3.4 * 24 / 28)),
    "turned right over": ({"lever": {"hand_travel": 110.0, **DRUM_LEVER, "drum_radius": 30.0},
        "release": {"max_rotation": None, "ramp_angle": 30.0}, "stack": None,
        "spring": {"past_flat": True, "installed_deflection": 6.4}}, "spring-solid",
        lambda p: (p.deflection_mm, 6.8)),
    "solid": ({**FAR, "stack": None, "spring": COILS | {"solid_length": 31.2}}, "spring-solid",
        lambda p: (p.deflection_mm, 8.8)),
    "table of the spring": ({**FAR, "stack": None, "spring": TABLE | {"installed_deflection": 1.8}},
        "table-end", lambda p: (p.deflection_mm, 2.3)),
    "table of the lever": ({"lever": PROFILE_LEVER}, "table-end",
        lambda p: (p.lever_angle_rad, math.radians(25.0))),
    "table of the arm": ({**FAR, "arm": PROFILE_ARM, "release": {"pitch_radius": 8.0}}, "arm-stop",
        lambda p: (p.arm_rotation_rad, math.radians(12.0))),
    "table of the unit": ({"release": PROFILE_UNIT}, "track-end",
        lambda p: (p.unit_rotation_rad, math.radians(7.0))),
    "crank at dead centre": ({**FAR, "release": CRANK | {"rest_angle": 65.0},
        "cable": {"stiffness": None}}, "dead-centre",
        lambda p: (p.unit_rotation_rad, math.radians(25.0))),
    "eccentric at dead centre": ({**FAR,
        "release": {"kind": "eccentric", "eccentricity": 4.0, "rest_angle": 65.0},
        "cable": {"stiffness": None}}, "dead-centre",
        lambda p: (p.unit_rotation_rad, math.radians(25.0))),
    "lever at dead centre": ({"lever": {"hand_travel": 200.0, "rest_length": 62.0}}, "dead-centre",
        lambda p: (p.lever_angle_rad,
        math.acos((62.0**2 - 26.0**2 - 42.0**2) / (2 * 26.0 * 42.0)))),
    "arm at dead centre, with a rigid cable": ({"lever": {**DRUM_LEVER, "hand_travel": 250.0},
        "cable": {"stiffness": None}, "arm": {"radius": 20.0, "stop_distance": 90.0,
        "rest_length": 74.0}, "release": {"max_rotation": None, "pitch_radius": 4.0}},
        "dead-centre", lambda p: (p.arm_rotation_rad,
        math.acos((20.0**2 + 90.0**2 - 74.0**2) / (2 * 20.0 * 90.0)))),
}  # fmt: skip


@pytest.mark.parametrize(("tables", "name", "limit"), STOPS.values(), ids=STOPS)
def test_the_stroke_ends_at_the_first_limit_and_is_called_after_it(tables, name, limit):
    file = mechanism(**tables)
    result = liftgeo.stroke(file)
    assert result.stopped_by == name
    _, full = at_end(file)
    got, expected = limit(full)
    assert float(got) == pytest.approx(expected, abs=1e-9)
    early = [w for w in result.warnings if w.key == "early-stop"]
    assert bool(early) == (name != "grip")
    many = liftgeo.batch(file, {"cable.friction": np.array([0.1])})
    assert many.stopped_by[0] == name
    shorter = float(full.hand_travel_mm) * 0.9
    before = file.changed({"lever.hand_travel": shorter})
    assert liftgeo.stroke(before).stopped_by == "grip"
    assert liftgeo.stroke(before).full_lever.hand_travel_mm == pytest.approx(shorter, rel=1e-12)


def test_an_elastic_cable_meets_the_grip_before_an_arm_comes_to_dead_centre():
    """Beside its dead centre no finite tension turns the arm: the cable stretches instead."""
    tables, _, _ = STOPS["arm at dead centre, with a rigid cable"]
    file = mechanism(**tables | {"cable": {"stiffness": 240.0}})
    result = liftgeo.stroke(file)
    assert result.stopped_by == "grip"
    assert result.full_lever.hand_travel_mm == pytest.approx(250.0, rel=1e-12)
    assert np.all(result.stroke.hand_travel_mm <= 250.0 + 1e-9)
    # Without the lever's dead centre in the way either, and on the way there nothing falls.
    assert np.all(np.diff(result.stroke.hand_travel_mm) >= 0)


def test_the_grip_beside_a_levers_dead_centre_is_found():
    """The lever's dead centre stands at 113.2 mm of hand travel, the grip at 113 mm."""
    lever = {"nipple_radius": 18.0, "stop_distance": 23.4, "rest_length": None,
             "cable_angle": 62.0, "hand_radius": 61.92}  # fmt: skip
    for travel in (100.0, 110.0, 113.0, 113.2):
        file = mechanism(
            lever=lever | {"hand_travel": travel},
            cable={"stiffness": 18.0, "free_play": 0.1},
            arm={"radius": 28.0, "stop_distance": 42.0, "rest_length": None, "cable_angle": 72.0},
            release={"max_rotation": None, "ramp_angle": 9.0, "pitch_radius": 12.0},
        )
        result = liftgeo.stroke(file)
        assert result.stopped_by == "grip"
        assert result.full_lever.hand_travel_mm == pytest.approx(travel, abs=1e-9)


@pytest.mark.parametrize("travel", [1e-3, 0.5, 5.0, 6.2, 7.0, 15.0])
def test_a_stroke_that_ends_before_the_faces_part(travel):
    result = liftgeo.stroke(mechanism(lever={"hand_travel": travel}))
    assert result.stopped_by == "grip"
    assert result.full_lever.hand_travel_mm == pytest.approx(travel, rel=1e-12)
    assert result.verdict == "no-release"
    assert result.full_lever.separation_mm == 0
    assert len(result.stroke.hand_travel_mm) >= 100
    # What is short is counted below zero, so that two bad strokes can be told apart.
    assert result.budget[-2].left_mm < 0
    assert result.full_lever.clearance_per_face_mm == pytest.approx(result.budget[-1].left_mm / 2)


def test_more_travel_never_makes_the_separation_less():
    travels = np.linspace(0.5, 60.0, 120)
    many = liftgeo.batch(mechanism(), {"lever.hand_travel": travels})
    assert np.all(np.diff(many.separation_signed_mm) >= -1e-12)


# ---------------------------------------------------------------- the jump


SNAP = {
    "lever": {"hand_travel": 70.0},
    "cable": {"stiffness": 40.0},
    "stack": None,
    "release": {"max_rotation": None, "ramp_angle": 30.0},
    "spring": {
        "thickness": 1.4,
        "cone_height": 3.0,
        "installed_deflection": 2.0,
        "past_flat": True,
    },
}  # fmt: skip


def test_a_steep_disc_behind_a_soft_cable_jumps():
    """Both ends stand at one hand travel; in between the hand would have to come back."""
    file = mechanism(**SNAP)
    outcome = analysed(file)
    [start], [landed] = outcome.end.jumps_from, outcome.end.jumps_to
    assert 4.0 <= start < landed < float(outcome.end.at)
    before, after = position(outcome.parts, start), position(outcome.parts, landed)
    level = float(before.hand_travel_mm)
    assert float(after.hand_travel_mm) == pytest.approx(level, abs=1e-10)
    inside = np.linspace(start, landed, 101)[1:-1]
    assert np.all(position(outcome.parts, inside).hand_travel_mm < level)
    assert float(after.lift_mm) > float(before.lift_mm) + 0.1
    # The start, found again by SciPy.
    top = minimize_scalar(
        lambda q: -float(position(outcome.parts, q).hand_travel_mm),
        bounds=(max(start - 0.1, 4.0), start + 0.1),
        method="bounded",
        options={"xatol": 1e-10},
    )
    assert -top.fun <= level + 1e-9
    result = liftgeo.stroke(file)
    assert "snap" in [w.key for w in result.warnings]
    travel, lift = result.stroke.hand_travel_mm, result.stroke.plate_lift_mm
    stands = np.flatnonzero(np.abs(np.diff(travel)) < 1e-9)
    steps = np.diff(lift)[stands]
    assert steps.max() == pytest.approx(float(after.lift_mm - before.lift_mm), abs=1e-9)


def test_a_stiffer_cable_cures_the_jump():
    result = liftgeo.stroke(mechanism(**SNAP | {"cable": {"stiffness": 2000.0}}))
    assert not [w for w in result.warnings if w.key == "snap"]
    assert np.all(np.diff(result.stroke.hand_travel_mm) > -1e-12)


def test_plates_that_jump_onto_their_stop_leave_the_hand_where_it_was():
    """They land at flat before the hand's travel is reached again."""
    file = mechanism(**SNAP | {"spring": {**SNAP["spring"], "past_flat": False}})
    outcome = analysed(file)
    end = outcome.end
    [start], [landed] = end.jumps_from, end.jumps_to
    assert start < landed == float(end.at)
    result = liftgeo.stroke(file)
    assert result.stopped_by == "spring-flat"
    level = float(position(outcome.parts, start).hand_travel_mm)
    assert result.full_lever.hand_travel_mm == pytest.approx(level, abs=1e-9)
    assert result.stroke.hand_travel_mm[-1] == pytest.approx(level, abs=1e-9)
    for event in result.events:
        if event.reached:
            assert event.hand_travel_mm <= level + 1e-9
            assert event.left_mm >= -1e-9
    assert result.full_lever.spring_to_stop_mm == pytest.approx(0.0, abs=1e-9)


def test_plates_that_jump_with_the_arm_held_are_named_apart():
    """The disc eases by up to 589 N/mm: a rod of 500 N/mm cannot follow, one of 700 N/mm can."""
    tables = {
        "lever": {"hand_travel": 100.0, "rest_length": 36.0},
        "cable": {"stiffness": 300.0},
        "spring": {**SNAP["spring"], "thickness": 1.2},
    }
    for stiffness, expected in ((500.0, True), (700.0, False)):
        file = mechanism(**SNAP | tables | {"rod": {"stiffness": stiffness}})
        disc = file.parts().spring
        assert disc.rate_n_per_mm(np.linspace(2.0, 4.0, 999)).min() == pytest.approx(
            -589.3, abs=0.1
        )
        keys = [w.key for w in liftgeo.stroke(file).warnings]
        assert ("plate-snap" in keys) == expected


def test_the_peak_beside_a_jump_is_found():
    file = mechanism(**SNAP)
    outcome = analysed(file)
    end = outcome.end
    at = np.linspace(0.0, float(end.at), 20001)
    force = position(outcome.parts, at).hand_force_n
    outside = (at <= end.jumps_from[0]) | (at >= end.jumps_to[0])
    assert float(outcome.peak.hand_force_n) >= force[outside].max() * (1 - 1e-9)


# ---------------------------------------------------------------- the peak


def test_a_peak_at_the_cusp_where_the_faces_part():
    result = liftgeo.stroke(mechanism())
    parted = result.event("faces-part")
    assert result.peak.hand_travel_mm == pytest.approx(parted.hand_travel_mm, rel=1e-12)


def test_a_peak_at_full_lever():
    result = liftgeo.stroke(coils_mechanism(lever=DRUM_LEVER, arm=DRUM_ARM))
    assert result.peak.hand_travel_mm == pytest.approx(45.0, rel=1e-12)
    assert result.peak.hand_force_n == pytest.approx(result.full_lever.hand_force_n, rel=1e-12)


@pytest.mark.parametrize(("rest", "radius", "stiffness"),
    [(36.0, 26.0, None), (33.0, 22.0, None), (30.0, 22.0, 2000.0), (36.0, 30.0, 2000.0)],
)  # fmt: skip
def test_a_peak_just_before_the_dead_centre_of_the_lever(rest, radius, stiffness):
    """The force falls straight down there, from a hump that ends after the last sample but one.

    Found again by a scan of 400,001 places.
    """
    file = coils_mechanism(
        lever={"hand_travel": 300.0, "rest_length": rest},
        release={"max_rotation": None, "ramp_angle": 10.0 if stiffness is None else 6.0},
        arm={"radius": radius},
        cable={"stiffness": stiffness or 240.0},
    )
    outcome = analysed(file)
    end = outcome.end
    assert outcome.stop_names[int(end.limit)] == "dead-centre"
    at = np.linspace(0.0, float(end.at), 400001)
    with np.errstate(all="ignore"):
        force = position(outcome.parts, at).hand_force_n
    highest = np.nanmax(force)
    assert highest * (1 - 1e-9) <= float(end.peak_n) <= highest * (1 + 1e-6)
    assert float(end.peak_at) == pytest.approx(at[np.nanargmax(force)], abs=2e-4)
    many = liftgeo.batch(file, {"arm.radius": [radius, radius]})
    np.testing.assert_allclose(many.peak_hand_force_n, float(end.peak_n), rtol=1e-12)


def test_a_smooth_peak_is_as_high_as_scipy_finds_it():
    """A disc whose load still rises where the faces part, then falls."""
    file = mechanism(
        lever={**DRUM_LEVER, "hand_travel": 70.0},
        arm=DRUM_ARM,
        stack=None,
        spring={"cone_height": 3.6, "installed_deflection": 1.1},
        release={"max_rotation": None, "ramp_angle": 18.0},
    )
    outcome = analysed(file)
    assert 4.1 < float(outcome.end.peak_at) < float(outcome.end.at) - 0.1
    found = minimize_scalar(
        lambda q: -float(position(outcome.parts, q).hand_force_n),
        bounds=(4.0, float(outcome.end.at)),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert float(outcome.peak.hand_force_n) == pytest.approx(-found.fun, rel=1e-12)
    assert float(outcome.end.peak_at) == pytest.approx(found.x, abs=1e-6)


def test_a_peak_at_the_first_touch_of_the_lever():
    """Only the cable's drag is felt, and it is felt most where the moment arm is longest."""
    file = mechanism(
        lever={"rest_length": 40.0, "hand_travel": 10.0},
        cable={"free_play": 6.0, "drag": 5.0},
    )
    result = liftgeo.stroke(file)
    at_rest = float(position(file.parts(), 1e-12).hand_force_n)
    assert result.peak.hand_force_n >= at_rest
    assert result.peak.hand_force_n >= result.stroke.hand_force_n.max()


# ---------------------------------------------------------------- the search itself


@pytest.mark.parametrize("scale", [1.0, 1e-8, 1e8])
def test_a_bracketed_root_is_brents(scale):
    """Source: SciPy's brentq."""
    laws = [
        (lambda x: np.cos(x) - x, 0.0, 1.0),
        (lambda x: x**3 - 2, 0.0, 2.0),
        (lambda x: np.expm1(x - 0.3), -4.0, 9.0),
        (lambda x: np.sign(x - 0.7) * np.abs(x - 0.7) ** (1 / 3), 0.0, 1.0),
    ]
    for law, low, high in laws:
        got = bracketed_root(lambda x, f=law: scale * f(x), np.array([low]), np.array([high]))
        expected = brentq(law, low, high, xtol=1e-15, rtol=1e-15)
        assert float(got[0]) == pytest.approx(expected, abs=1e-13)


def test_many_brackets_are_searched_at_once():
    want = np.linspace(0.1, 0.9, 50)
    got = bracketed_root(lambda x: x**2 - want, np.zeros(50), np.ones(50))
    np.testing.assert_allclose(got, np.sqrt(want), rtol=1e-13)
