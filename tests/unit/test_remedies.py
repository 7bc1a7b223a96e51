"""Remedies gain what the same change by hand gains, and none makes a clutch ride or slip."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from clutches import changeable, coils_mechanism, document, laid, mechanism, sound_mechanism

import liftgeo
from liftgeo.chain.budget import ITEMS
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.remedy_goals import GOALS
from liftgeo.studies.remedies import Remedies, remedies, state_of
from liftgeo.studies.remedy_judge import RIDES_MM, against
from liftgeo.studies.remedy_tries import now_of
from liftgeo.studies.remedy_ways import EFFORTS, FREE, PLAY, WAYS, ways
from liftgeo.studies.symptoms import SYMPTOMS
from liftgeo.words.numbers import Shown
from liftgeo.words.remedy_lines import together_text

HAULER = Path(__file__).resolve().parents[2] / "geometries" / "quarry-hauler.toml"

LOOSE: dict[str, Any] = {
    "left_out": "usual",
    "cable": {"free_play": 3.5, "bend": 200, "friction": 0.14},
    "rod": {"end_float": 0.4},
    "faces": {"plate_runout": 0.3, "lift_tilt": 0.3, "friction": 0.3},
}


def machines() -> dict[str, Mechanism]:
    """Return machines that are loose, sound, on coils, or short of grip."""
    return {
        "loose": mechanism(**LOOSE),
        "sound": sound_mechanism(),
        "weak": mechanism(engine={"torque": 150}, left_out="usual"),
        "hauler": liftgeo.load(HAULER),
    }


@pytest.fixture(scope="module", params=["loose", "sound", "weak", "hauler"])
def found(request: pytest.FixtureRequest) -> Remedies:
    return remedies(machines()[request.param])


@pytest.fixture(scope="module", params=SYMPTOMS)
def by_symptom(request: pytest.FixtureRequest) -> Remedies:
    return remedies(machines()["loose"], request.param)


def check_gains(found: Remedies) -> None:
    """Check every remedy against the same change made by hand."""
    before = liftgeo.stroke(found.mechanism)
    for each in found.offered:
        made = found.mechanism.changed(each.change)
        after = liftgeo.stroke(made)
        gains = {
            each.clearance_gain_mm: after.full_lever.clearance_per_face_mm
            - before.full_lever.clearance_per_face_mm,
            each.hand_force_change_n: after.peak.hand_force_n - before.peak.hand_force_n,
            each.bearing_change_n: after.bearing.axial_load_n - before.bearing.axial_load_n,
            each.return_force_change_n: after.full_lever.return_hand_force_n
            - before.full_lever.return_hand_force_n,
        }
        for told, by_hand in gains.items():
            assert told == pytest.approx(by_hand, abs=1e-9), each.name
        margin = after.capacity.slip_margin - before.capacity.slip_margin
        assert each.slip_margin_change == pytest.approx(margin, abs=1e-12, nan_ok=True)
        assert each.verdict == after.verdict


def test_gains_equal_those_of_the_change_made_by_hand(found: Remedies) -> None:
    assert found.offered or found.base.short == ()
    check_gains(found)


def test_so_they_do_for_every_symptom(by_symptom: Remedies) -> None:
    check_gains(by_symptom)
    assert all(by_symptom.symptom in each.symptoms for each in by_symptom.offered)


def test_none_rides_slips_or_brings_a_new_stop_or_caution(found: Remedies) -> None:
    before = liftgeo.stroke(found.mechanism)
    known = {(w.severity, w.key) for w in before.warnings}
    if ("stop", "no-release") in known:
        known.add(("stop", "drags"))  # less of the same
    for each in found.offered:
        after = liftgeo.stroke(found.mechanism.changed(each.change))
        new = {
            (w.severity, w.key) for w in after.warnings if w.severity in ("stop", "caution")
        } - known
        allowed = {("caution", "metal-removed"), ("caution", "drags")}
        if before.full_lever.clearance_per_face_mm < 0:
            allowed.add(("caution", "clear-late"))
        assert {n for n in new if ("stop", n[1]) not in known} <= allowed, each.name
        assert after.verdict != "slips" or before.verdict == "slips"
        least = min(RIDES_MM, before.hand.wear_to_riding_mm)
        assert after.hand.wear_to_riding_mm >= least - 1e-9, each.name


def test_float_and_play_go_as_far_as_riding_allows_and_no_further() -> None:
    tight = mechanism(
        left_out="usual", cable={"free_play": 1.5}, rod={"end_float": 0.2}, faces={"friction": 0.3}
    )
    found = {each.name: each for each in remedies(tight, "bites-low").offered}
    base = state_of(tight)
    for name in ("less-play", "less-float"):
        if name not in found:
            continue
        key, value = found[name].keys[0], found[name].to[0]
        further = state_of(tight.changed({key: value - GOALS[key].step}))
        at_goal = math.isclose(value, GOALS[key].value or 0.0)
        assert at_goal or against(base, further, "lift"), name


def test_a_remedy_that_would_make_it_ride_is_withheld_with_the_reason() -> None:
    riding = mechanism(
        left_out="usual", cable={"free_play": 1.6}, rod={"end_float": 0.12}, faces={"friction": 0.3}
    )
    base = state_of(riding)
    assert base.wear_to_riding_mm < RIDES_MM
    found = remedies(riding)
    assert "less-play" not in {each.name for each in found.offered}
    why = {each.name: each.why for each in found.withheld}
    assert why["less-play"] in ("little-wear-left", "wear-to-riding", "little-take-up")


def test_a_heavy_and_weak_clutch_gets_no_softer_spring() -> None:
    weak = coils_mechanism(
        engine={"torque": 110},
        left_out="usual",
        faces={"friction": 0.3},
        targets={"hand_force": 60},
    )
    found = remedies(weak, "heavy")
    assert "softer-springs" not in {each.name for each in found.offered}
    grip = remedies(weak, "slips")
    assert all(each.slip_margin_change > 0 for each in grip.offered if each.gives == "grip")
    assert any(each.gives == "grip" for each in grip.offered)


def test_free_ones_come_first_and_what_helps_most_before_what_helps_less(found: Remedies) -> None:
    ranks = [(EFFORTS.index(each.effort), each.miss) for each in found.offered]
    assert ranks == sorted(ranks)
    asked = [EFFORTS.index(step.remedy.effort) for step in found.together]
    assert asked == sorted(asked)


def test_every_free_remedy_is_among_those_made_together_or_told_why_not(found: Remedies) -> None:
    free = {each.name for each in found.offered if each.effort == FREE and each.gives != PLAY}
    taken = {step.remedy.name for step in found.together}
    over = {each.name: each.why for each in found.passed_over}
    assert set(over) == (free - taken if found.together else set())
    assert not set(over) & taken
    made = found.mechanism
    for step in found.together:
        made = made.changed(step.remedy.change)
    for each in found.passed_over:
        if each.why == "wear-to-riding":
            beside = made.changed(dict(zip(each.keys, each.to, strict=True)))
            warned = [{w.key for w in liftgeo.stroke(m).warnings} for m in (made, beside)]
            assert ["wear-to-riding" in keys for keys in warned] == [False, True]


def test_the_hauler_s_float_is_passed_over_for_the_wear_it_would_leave() -> None:
    found = remedies(machines()["hauler"])
    assert {each.name: each.why for each in found.passed_over} == {"less-float": "wear-to-riding"}
    text = together_text(found, Shown("metric"))
    assert "Free too, but not beside those: less-float (too little wear would be left" in text
    assert found.to_dict()["passed_over"][0]["name"] == "less-float"


def test_together_each_comes_nearer_until_the_targets_are_reached(found: Remedies) -> None:
    misses = [found.base.miss, *(step.state.miss for step in found.together)]
    assert misses == sorted(misses, reverse=True)
    now = found.mechanism
    for step in found.together:
        now = now.changed(step.remedy.change)
        assert state_of(now).clearance_per_face_mm == pytest.approx(
            step.state.clearance_per_face_mm
        )
    assert found.reached == (not state_of(now).short)
    keys = [key for step in found.together for key in step.remedy.keys]
    assert len(keys) == len(set(keys))


def test_values_are_those_a_workshop_can_make(found: Remedies) -> None:
    for each in found.offered:
        for key, value in each.change.items():
            if key in GOALS:
                steps = value / GOALS[key].step
                assert steps == pytest.approx(round(steps), abs=1e-6), key


def test_the_square_arm_stands_square_at_half_the_pull() -> None:
    """Half the cable's pull; the arm is turned, and the chain works the angle out anew."""
    askew = mechanism(left_out="usual", arm={"rest_length": None, "cable_angle": 60.0})
    found = {each.name: each for each in remedies(askew, "heavy").offered}
    made = askew.changed(found["square-arm"].change)
    outcome = liftgeo.stroke(made, positions=401).stroke
    pull, turned = (np.asarray(getattr(outcome, k)) for k in ("cable_pull_mm", "arm_rotation_deg"))
    half = np.interp(0.5 * turned[-1], turned, pull)
    assert pull[-1] > half > 0
    link = made.parts().arm.link
    angle = np.degrees(link.cable_angle_rad(np.radians(0.5 * turned[-1])))
    assert angle == pytest.approx(90.0, abs=3.0)


# --- the data ---


def test_every_loss_of_the_budget_and_every_symptom_has_a_remedy() -> None:
    losses = {item for way in WAYS for item in way.losses}
    assert losses == set(ITEMS)
    assert {name for way in WAYS for name in way.symptoms} == set(SYMPTOMS)


def test_every_way_moves_a_number_that_has_a_goal_and_is_tried() -> None:
    """Each applies to some machine: a way that no machine takes could not be seen to be wrong."""
    rich = [
        *machines().values(),
        coils_mechanism(left_out="usual", faces={"friction": 0.3}),
        mechanism(faces={"friction": 0.2}, engine={"torque": 90}),
        mechanism(
            left_out="usual", lever={"stiffness": 60.0}, arm={"shaft_stiffness": 4.0,
            "cable_angle": 60.0, "rest_length": None, "max_rotation": 6.0}, cable={"seating": 0.5,
            "drag": 4.0, "free_play": 0.3}, rod={"shaft_float": 0.3, "adjuster_clearance": 0.2},
            bearing={"kind": "deep-groove", "static_rating": 9000, "axial_play": 0.2},
            faces={"cushion_travel": 0.5, "plain_plate_runout": 0.3,
            "pressure_plate_runout": 0.2, "basket_runout": 0.2, "friction": 0.2},
        ),
    ]  # fmt: skip
    for way in ways():
        keys = {key for each in rich for tried in way.tries(each) for key in tried}
        assert keys, way.name
        assert keys - {"lever.hand_travel"} <= GOALS.keys(), way.name


def test_what_is_taken_as_usual_is_said() -> None:
    found = {each.name: each for each in remedies(machines()["hauler"]).offered}
    assert found["level-lift"].as_usual == ("faces.lift_tilt",)
    assert found["less-play"].as_usual == ()


def test_metal_that_is_cut_carries_its_caution(found: Remedies) -> None:
    for each in found.offered:
        if each.effort == "metal cut":
            assert each.caution


def test_a_symptom_names_one_measurement_and_where_it_goes() -> None:
    known = set(changeable().numeric_keys()) | set(GOALS)
    for name, symptom in SYMPTOMS.items():
        assert symptom.measure, name
        for key in (symptom.key, symptom.also):
            assert key in known or key.startswith("bench."), key


def test_an_unknown_symptom_names_the_nearest() -> None:
    with pytest.raises(liftgeo.RequestError, match="Did you mean sticks"):
        remedies(machines()["loose"], "stick")


# --- a file's own targets ---


def own(**goals: Any) -> Mechanism:
    """Return the loose machine with [remedies]."""
    return from_document(laid(document(), {**LOOSE, "remedies": goals}))


def test_a_files_own_targets_are_taken() -> None:
    made = own(cable={"free_play": "2.5 mm"}, faces={"plate_runout": 0.15})
    assert made.remedy_goals == {"cable.free_play": 2.5, "faces.plate_runout": 0.15}
    assert made.changed({"cable.bend": 90}).remedy_goals == made.remedy_goals
    found = {each.name: each for each in remedies(made).offered}
    assert found["less-play"].to == (2.5,)
    assert found["true-plates"].to == (0.15,)


@pytest.mark.parametrize(
    ("goals", "key"),
    [
        ({"cable": {"free_pley": 1}}, "remedies.cable.free_pley"),
        ({"cable": {"free_play": -1}}, "remedies.cable.free_play"),
        ({"cable": {"free_play": "2 deg"}}, "remedies.cable.free_play"),
        ({"lever": {"stop_distance": 40}}, "remedies.lever.stop_distance"),
    ],
)
def test_a_wrong_target_is_told_by_its_key(goals: dict[str, Any], key: str) -> None:
    with pytest.raises(liftgeo.GeometryError) as caught:
        own(**goals)
    assert key in {fault.key for fault in caught.value.faults}


def test_remedies_that_are_no_table_are_told() -> None:
    with pytest.raises(liftgeo.GeometryError, match=r"\[remedies\]"):
        from_document(laid(document(), {"remedies": 3}))


def test_now_is_what_the_file_has_or_is_taken_as() -> None:
    hauler = machines()["hauler"]
    assert now_of(hauler, "cable.free_play") == 2.0
    assert now_of(hauler, "faces.lift_tilt") == 0.15
    assert now_of(hauler, "bearing.axial_play") is None
