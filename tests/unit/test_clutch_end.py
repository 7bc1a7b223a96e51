"""The clutch end, against sums done by hand and against the direction in which metal moves."""

from __future__ import annotations

import math

import numpy as np
import pytest
from clutches import sound as loaded
from clutches import sound_mechanism

import liftgeo
from liftgeo.mechanism import states
from liftgeo.words.clutch_end import clutch_end_lines, drag_words, spring_words, weight_text
from liftgeo.words.numbers import Shown

METRIC = Shown("metric")


def sound(**laid: object) -> liftgeo.Result:
    """Return the sound clutch's result with keys laid over it; `__` stands for the dot."""
    return liftgeo.stroke(loaded(**laid))


# --- the stack, in the workshop's words ---

# What is done to the metal, and whether the spring ends up pressed further (+1) or less (-1).
METAL = {
    "stack.friction_plate": (8.1, +1),
    "stack.rim_skim": (0.1, +1),
    "stack.basket_face_skim": (0.1, -1),
    "stack.pressure_plate_skim": (0.1, -1),
    "stack.pressure_plate": (19.6, +1),
    "stack.shims": (0.1, -1),
    "stack.cover_recess": (0.1, -1),
    "stack.rim_depth": (30.6, -1),
}
# Rim depths that press the same disc (peak at 2.012 mm, valley at 4.788 mm) on either side.
SIDES = {"rising": (31.4, +1), "falling": (30.2, -1)}


def side_of(name: str) -> liftgeo.Mechanism:
    return loaded().changed({"stack.rim_depth": SIDES[name][0]})


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("key", METAL)
def test_metal_moves_clamp_release_effort_and_slip_margin_its_way(key, side):
    """On the falling side of the peak a spring that is pressed further presses less."""
    value, pressed = METAL[key]
    base = side_of(side)
    if key == "stack.rim_depth":
        value = SIDES[side][0] + 0.1
    changed = liftgeo.stroke(base.changed({key: value}))
    stock = liftgeo.stroke(base)
    way = pressed * SIDES[side][1]
    assert stock.spring.side == side
    for quantity in (
        lambda r: r.capacity.clamp_force_n,
        lambda r: r.capacity.torque_nm,
        lambda r: r.capacity.slip_margin,
        lambda r: r.full_lever.rod_force_n,
        lambda r: r.full_lever.hand_force_n,
        lambda r: r.peak.hand_force_n,
    ):
        assert way * (quantity(changed) - quantity(stock)) > 0
    nearer_flat = stock.full_lever.spring_to_stop_mm - changed.full_lever.spring_to_stop_mm
    assert pressed * nearer_flat > 0


def test_the_cushion_load_stays_that_of_the_unchanged_file():
    base = loaded()
    clamp = liftgeo.stroke(base).capacity.clamp_force_n
    thicker = base.changed({"stack.friction_plate": 8.4})
    assert thicker.parts().clamp_force_n < 0.98 * clamp
    assert thicker.parts().faces.cushion_load_n == pytest.approx(clamp, rel=1e-12)
    assert thicker.parts().cushion_mm == pytest.approx(
        0.15 * thicker.parts().clamp_force_n / clamp, rel=1e-12
    )
    many = liftgeo.batch(base, {"stack.friction_plate": [8.0, 8.4]})
    alone = liftgeo.stroke(thicker).full_lever.clearance_per_face_mm
    assert many.clearance_per_face_mm[1] == pytest.approx(alone, rel=1e-9)


# --- where the spring sits ---


def test_a_falling_spring_is_told_in_plain_words_with_its_distance_past_the_peak():
    """By hand: the peak stands at h0 - sqrt((h0² - 2t²)/3), here pressed 2.3 mm."""
    result = sound(stack__rim_depth=30.3)
    past = 2.3 - (3.4 - math.sqrt((3.4**2 - 2 * 1.7**2) / 3))
    assert result.spring.past_peak_mm == pytest.approx(past, abs=1e-12)
    text = spring_words(result, METRIC)
    assert f"a thicker plate lightens this clutch: it sits past its peak by {past:.2f} mm" in text


def test_a_rising_spring_is_told_in_plain_words():
    result = sound(stack__rim_depth=31.4)
    assert result.spring.side == "rising"
    text = spring_words(result, METRIC)
    assert "a thicker plate loads this clutch" in text
    assert f"{-result.spring.past_peak_mm:.2f} mm before its peak" in text


def test_a_flat_disc_has_no_peak_to_sit_past():
    result = sound(spring__cone_height=2.0, spring__installed_deflection=1.0)
    assert result.spring.side == "rising"
    assert math.isnan(result.spring.past_peak_mm)
    assert "peak" not in spring_words(result, METRIC)


def test_a_disc_past_its_valley_rises_again():
    result = sound(spring__past_flat=True, spring__installed_deflection=5.2)
    assert result.spring.side == "past-valley"
    assert result.spring.rate_n_per_mm > 0
    assert "beyond the lowest of its load" in spring_words(result, METRIC)


def test_a_measured_spring_sits_past_its_highest_reading():
    result = sound(
        spring__kind="table",
        spring__deflection=[0.0, 1.0, 2.0, 3.0, 4.0],
        spring__load=[0.0, 2500.0, 3400.0, 3300.0, 2900.0],
        spring__free_height=5.1,
        spring__installed_deflection=2.4,
    )
    assert result.spring.side == "falling"
    assert result.spring.past_peak_mm == pytest.approx(0.4)
    assert math.isnan(result.spring.reference_stress_mpa)


def test_both_ends_of_the_load_tolerance_are_told():
    result = sound()
    clamp = result.capacity.clamp_force_n
    low = 0.925 * (1 - 0.3**2) / (1 + (3.4 / 14) ** 2 * (0.25 + 0.3 * 2.1 / 3.4))
    assert result.capacity.clamp_force_low_n == pytest.approx(low * clamp, rel=1e-12)
    assert result.capacity.clamp_force_high_n == pytest.approx(1.15 * clamp, rel=1e-12)
    assert result.capacity.slip_margin_low == pytest.approx(low * result.capacity.slip_margin)
    coils = sound(
        spring__kind="coils", spring__count=6, spring__rate=60, spring__free_length=50,
        spring__installed_length=41,
    )  # fmt: skip
    assert math.isnan(coils.capacity.clamp_force_low_n)


# --- drag torque ---


def test_faces_that_never_part_carry_the_whole_clamp_torque():
    """By hand: uniform pressure, 2/3 mu N z (R³ - r³)/(R² - r²); the lever stops in its slack."""
    result = sound(lever__hand_travel=4)
    outer, inner = 59.0, 42.0
    lever_arm = 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2)
    whole = 0.3 * result.capacity.clamp_force_n * 2 * lever_arm / 1000
    assert result.verdict == "no-release"
    assert result.capacity.drag_torque_nm == pytest.approx(whole, rel=1e-12)


def test_drag_falls_to_nothing_as_the_lever_travels_further():
    travels = np.linspace(12.0, 39.0, 40)
    many = liftgeo.batch(loaded(), {"lever.hand_travel": travels})
    torque = many.drag_torque_nm
    assert np.all(np.diff(torque) <= 1e-12)
    clear = many.clearance_per_face_mm > 1e-9
    assert np.all(torque[clear] == 0.0)
    assert np.all(torque[many.clearance_per_face_mm < -1e-6] > 0.0)


def test_a_little_is_called_rubbing_and_more_dragging():
    rubbing = sound(faces__plate_runout=0.54)
    assert rubbing.verdict == "drags"
    share = rubbing.capacity.drag_torque_nm / rubbing.capacity.torque_nm
    assert 0.0 < share < 0.01
    assert "At full lever it rubs" in drag_words(rubbing, METRIC)
    dragging = sound(faces__plate_runout=1.2)
    assert dragging.capacity.drag_torque_nm > 0.01 * dragging.capacity.torque_nm
    text = drag_words(dragging, METRIC)
    assert "At full lever it drags" in text
    assert "An estimate" in text
    assert "hung on a spanner 100 mm long" in text
    assert drag_words(sound(), METRIC) == ""


@pytest.mark.parametrize(
    ("torque_nm", "said"), [(0.29, "300 g"), (0.0049, "5 g"), (1.2, "1.2 kg"), (120.0, "120 kg")]
)
def test_a_weight_on_a_spanner_has_two_digits_and_no_power_of_ten(torque_nm, said):
    # Torque over arm and standard gravity, 9.80665 m/s2 (CGPM 1901): 0.29/(0.1 * 9.80665) kg.
    assert weight_text(torque_nm, METRIC).startswith(f"{said} hung on")


def test_rigid_faces_are_not_guessed_at():
    result = sound(faces__cushion_travel=0, faces__plate_runout=1.2)
    assert math.isnan(result.capacity.drag_torque_nm)
    assert result.to_dict()["capacity"]["drag_torque_nm"] is None
    assert "faces.facing_stiffness" in drag_words(result, METRIC)
    stiff = sound(faces__cushion_travel=0, faces__plate_runout=1.2, faces__facing_stiffness=100_000)
    assert stiff.capacity.drag_torque_nm > 0


def test_oil_drag_is_the_shear_of_full_gaps():
    """By hand: z π η ω (R⁴ - r⁴)/(2 h), with the gap of this clutch."""
    result = sound(faces__running="wet", faces__oil_viscosity=100, faces__slip_speed=1500)
    gap = result.full_lever.separation_mm / 2 / 1000
    omega = 1500 * 2 * math.pi / 60
    torque = 2 * math.pi * 0.1 * omega * (0.059**4 - 0.042**4) / (2 * gap)
    assert result.capacity.oil_drag_nm == pytest.approx(torque, rel=1e-12)
    assert math.isnan(sound(faces__oil_viscosity=100).capacity.oil_drag_nm)


# --- release bearing ---


def test_deep_groove_against_angular_contact_side_by_side():
    """By hand: P0 = 0.5 Fa against 0.26 Fa; P = Fa (Y at Fa/C0 = 0.197) against 0.57 Fa."""
    groove = sound()
    angular = sound(bearing__kind="angular-contact", bearing__contact_angle=40)
    load = groove.bearing.axial_load_n
    assert load == groove.strength.greatest_rod_force_n == angular.bearing.axial_load_n
    assert load > groove.full_lever.rod_force_n  # the disc falls from parting to full lever
    assert groove.bearing.static_safety == pytest.approx(16000 / (0.5 * load), rel=1e-12)
    assert angular.bearing.static_safety == pytest.approx(16000 / (0.26 * load), rel=1e-12)
    share = load / 16000
    y = 1.4 - (share - 0.13) / 0.12 * 0.2
    for result, factor in ((groove, y), (angular, 0.57)):
        hours = 1e6 * (20000 / (factor * load)) ** 3 / (60 * 3000 * 0.1)
        assert result.bearing.life_h == pytest.approx(hours, rel=1e-9)
    assert groove.bearing.thrust_ratio == pytest.approx(share, rel=1e-12)


def test_axial_play_and_stiffness_of_the_bearing_stand_in_the_chain():
    stock = sound()
    loose = sound(bearing__axial_play=0.1)
    lost = {line.item: line.lost_mm for line in stock.budget}
    more = {line.item: line.lost_mm for line in loose.budget}
    assert more["end-float"] == pytest.approx(lost["end-float"] + 0.1, abs=1e-12)
    soft = sound(bearing__axial_stiffness=20_000)
    flex = {line.item: line.lost_mm for line in soft.budget}["rod-flex"]
    squeezed = soft.full_lever.rod_force_n / 20_000
    rod = soft.full_lever.rod_force_n * 150 / (206_000 * math.pi / 4 * 64)
    assert flex == pytest.approx(squeezed + rod, rel=1e-9)


# --- tilt round the rim ---


def test_readings_round_the_rim_become_the_tilt_of_the_facing():
    """Readings off a plane 0.2 mm high to low on 140 mm across; the facing is 118 mm across."""
    places = [0.0, 70.0, 140.0, 220.0, 300.0]
    heights = [5.0 + 0.1 * math.cos(math.radians(p - 30.0)) for p in places]
    result = sound(faces__rim_heights=heights, faces__rim_angles=places, faces__rim_diameter=140)
    assert result.tilt is not None
    assert result.tilt.lift_tilt_mm == pytest.approx(0.2 * 118 / 140, rel=1e-9)
    assert result.tilt.direction_deg == pytest.approx(30.0, abs=1e-9)
    assert result.tilt.residual_mm == pytest.approx(0.0, abs=1e-12)
    level = sound(faces__lift_tilt=0.0).full_lever.needed_mm
    tilted = 0.1 * 118 / 140  # half the reading counts, as for run-out
    assert result.full_lever.needed_mm - level == pytest.approx(tilted, rel=1e-9)
    assert any("Tilt: the plate lifts 0.17 mm" in x for x in clutch_end_lines(result, METRIC))


def test_known_places_let_tilt_and_runout_add_as_vectors():
    heights = [5.0, 4.9, 4.8, 4.9]  # high at 0 deg, 0.2 mm high to low
    given = {
        "faces.pressure_plate_runout": 0.2,
        "faces.pressure_plate_runout_angle": 90,
        "faces.rim_heights": heights,
    }
    arithmetic = liftgeo.stroke(loaded().changed(given)).full_lever.needed_mm
    given["faces.rim_angles"] = [0, 90, 180, 270]
    vectors = liftgeo.stroke(loaded().changed(given)).full_lever.needed_mm
    assert arithmetic == pytest.approx(0.10 + 0.2, rel=1e-12)
    assert vectors == pytest.approx(0.10 + 0.1 * math.sqrt(2), rel=1e-12)


# --- the hand ---


def test_take_up_is_the_hand_travel_until_the_rod_loads():
    given = {"free_play": None, "take_up_at_hand": 9.0}
    assert liftgeo.stroke(sound_mechanism(cable=given)).hand.take_up_mm == pytest.approx(
        9.0, rel=1e-12
    )


def test_a_hand_near_the_tip_pulls_less():
    result = sound()
    lighter = result.peak.hand_force_n * 75.0 / (130.0 - 50.0)
    assert result.hand.tip_force_n == pytest.approx(lighter, rel=1e-12)
    unknown = liftgeo.stroke(sound_mechanism(lever={"blade_length": None}))
    assert math.isnan(unknown.hand.tip_force_n)


def test_the_arm_spring_pulls_the_lever_home_against_drag_and_friction():
    """By hand: 300 N·mm over the arm's moment arm, e^(-mu beta) of it, less 1 N of drag."""
    cosine = (38.0**2 + 95.0**2 - 90.0**2) / (2 * 38 * 95)
    arm = 38.0 * 95.0 * math.sqrt(1 - cosine**2) / 90.0
    pull = 300.0 / arm * math.exp(-0.08 * math.pi / 2) - 1.0
    mechanism = loaded()
    lever = mechanism.parts().lever
    at = lever.link.at_pull(2.0).rotation_rad
    expected = pull * float(lever.link.at(at).moment_arm_mm) / 75.0
    assert liftgeo.stroke(mechanism).hand.self_return_n == pytest.approx(expected, rel=1e-12)


def test_wear_to_riding_is_float_and_slack_seen_at_the_plate():
    """By hand: (float + j slack/p)/i with j = r tan 14° and the arm's moment arm."""
    cosine = (38.0**2 + 95.0**2 - 90.0**2) / (2 * 38 * 95)
    arm = 38.0 * 95.0 * math.sqrt(1 - cosine**2) / 90.0
    slope = 16.0 * math.tan(math.radians(14.0))
    for ratio in (1.0, 4.0):
        result = sound(rod__finger_ratio=ratio)
        expected = (0.15 + slope * 2.0 / arm) / ratio
        assert result.hand.wear_to_riding_mm == pytest.approx(expected, rel=1e-12)


# --- strength ---


def test_a_panic_pull_loads_the_cable_by_the_smaller_moment_arm():
    early = {
        "release.max_rotation": 9,
        "cable.stiffness": 20_000,
    }  # far from the grip, hardly gives
    mechanism = loaded().changed(early)
    result = liftgeo.stroke(mechanism)
    assert result.stopped_by == "track-end"
    link = mechanism.parts().lever.link
    full = math.radians(result.full_lever.lever_angle_deg)
    arm = min(float(link.at(0.0).moment_arm_mm), float(link.at(full).moment_arm_mm))
    assert result.strength.cable_tension_450_n == pytest.approx(450 * 80 / arm, rel=1e-12)
    without = liftgeo.stroke(sound_mechanism(lever={"blade_length": None}).changed(early))
    assert without.strength.cable_tension_450_n == pytest.approx(450 * 75 / arm, rel=1e-12)
    trodden = liftgeo.stroke(mechanism.changed({"lever.worked_by": "foot"}))
    assert trodden.strength.cable_tension_450_n == pytest.approx(1000 * 80 / arm, rel=1e-12)


@pytest.mark.parametrize("rim", [30.2, 30.5, 31.4])
def test_where_the_grip_ends_the_stroke_the_bar_takes_the_rest(rim):
    """By hand from the rows: hand force times hand radius over the lever's moment arm."""
    mechanism = loaded().changed({"stack.rim_depth": rim})
    result = liftgeo.stroke(mechanism, positions=1001)
    rows, link = result.stroke, mechanism.parts().lever.link
    assert rows is not None
    assert result.stopped_by == "grip"
    arms = link.at(np.radians(rows.lever_angle_deg)).moment_arm_mm
    seen = float(np.max(rows.hand_force_n * 75.0 / arms))
    assert result.strength.greatest_cable_tension_n == pytest.approx(seen, rel=2e-3)
    assert result.strength.cable_tension_450_n == result.strength.greatest_cable_tension_n


def test_a_unit_that_sticks_on_the_way_does_not_let_itself_back():
    """By hand: an eccentric turns back by e cos psi - mu (R + e sin psi), least near rest here."""
    unit = {
        "release.kind": "eccentric",
        "release.eccentricity": 5,
        "release.rest_angle": -80,
        "release.cam_radius": 12,
    }
    free = liftgeo.stroke(loaded().changed({**unit, "release.friction": 0.05}))
    stuck = liftgeo.stroke(loaded().changed({**unit, "release.friction": 0.25}))
    psi = math.radians(stuck.full_lever.arm_rotation_deg - 80)
    assert 5 * math.cos(psi) - 0.25 * (12 + 5 * math.sin(psi)) > 0  # at full lever it would
    assert free.unit.lets_itself_back
    assert not stuck.unit.lets_itself_back
    assert "does-not-return" in [w.key for w in stuck.warnings]


def test_only_a_push_rod_buckles_and_its_weakest_length_counts():
    """By hand: pi**2 E I/L**2."""
    inertia = math.pi * 8.0**4 / 64
    expected = math.pi**2 * 206_000 * inertia / 150**2
    assert sound().strength.rod_buckling_load_n == pytest.approx(expected, rel=1e-12)
    longer = sound(rod__unguided_length=300)
    assert longer.strength.rod_buckling_load_n == pytest.approx(expected / 4, rel=1e-12)
    thinner = sound(rod__thinnest_diameter=4)
    assert thinner.strength.rod_buckling_load_n == pytest.approx(expected / 16, rel=1e-12)
    assert math.isnan(sound(rod__action="pull").strength.rod_buckling_load_n)


@pytest.mark.parametrize("rim", [30.2, 30.5, 31.0, 31.4])
def test_the_greatest_rod_force_is_that_of_the_stroke(rim):
    """The peak of the disc's load may stand between parting and full lever."""
    result = sound(stack__rim_depth=rim, lever__hand_travel=60)
    rows = liftgeo.stroke(
        loaded().changed({"stack.rim_depth": rim, "lever.hand_travel": 60}), positions=2001
    ).stroke
    assert rows is not None
    seen = float(np.max(rows.rod_force_n))
    assert result.strength.greatest_rod_force_n == pytest.approx(seen, rel=1e-6)
    assert result.strength.greatest_rod_force_n >= seen - 1e-9


def test_each_ball_takes_its_share_square_to_the_ramp():
    """By hand: pressure goes with the cube root of the load."""
    three, six = sound(), sound(release__ball_count=6)
    ratio = three.strength.ball_pressure_mpa / six.strength.ball_pressure_mpa
    assert ratio == pytest.approx(2 ** (1 / 3), rel=1e-12)
    unknown = liftgeo.stroke(loaded().changed({"release.kind": "rack", "release.pinion_radius": 4}))
    assert math.isnan(unknown.strength.ball_pressure_mpa)


def test_the_peak_factor_of_the_engine_lowers_the_slip_margin():
    assert sound(engine__peak_factor=2.2).capacity.slip_margin == pytest.approx(
        sound().capacity.slip_margin / 2, rel=1e-12
    )


# --- other states: hot, and bars at full lock ---

WARM = {
    "warm.temperature_rise": 60,
    "warm.casing_length": 200,
    "warm.casing_material": "aluminium",
}


def test_heat_leaves_a_push_rod_short_and_draws_a_pull_rod_tight():
    """By hand: (23 - 11.5)e-6 · 200 mm · 60 K = 0.138 mm of float, gained or lost."""
    growth = 11.5e-6 * 200 * 60
    for action, sign in (("push", +1), ("pull", -1)):
        mechanism = loaded().changed({**WARM, "rod.action": action})
        hot = states.heated(mechanism.parts(), mechanism.keys)
        assert hot.rod.float_mm == pytest.approx(0.15 + sign * growth, rel=1e-12)
        result = liftgeo.stroke(mechanism)
        alike = liftgeo.stroke(mechanism.changed({"rod.end_float": 0.15 + sign * growth}))
        assert result.hot is not None
        assert result.hot.verdict == alike.verdict
        assert result.hot.take_up_mm == pytest.approx(alike.hand.take_up_mm, rel=1e-12)
        assert result.hot.clearance_per_face_mm == pytest.approx(
            alike.full_lever.clearance_per_face_mm, rel=1e-9
        )
    assert any("Hot: clear" in line for line in clutch_end_lines(result, METRIC))


def test_hot_facing_slips_sooner():
    result = sound(**{k.replace(".", "__"): v for k, v in WARM.items()}, warm__facing_friction=0.15)
    assert result.hot is not None
    assert result.hot.slip_margin == pytest.approx(result.capacity.slip_margin / 2, rel=1e-12)
    assert result.hot.verdict == "slips"
    assert result.verdict == "clear"


def test_full_lock_is_the_same_as_a_cable_bent_so_much():
    turned = sound(cable__bend_turned=200, cable__liner_clearance=0.3)
    bent = sound(cable__bend=200, cable__liner_clearance=0.3)
    assert turned.turned is not None
    assert turned.turned.clearance_per_face_mm == pytest.approx(
        bent.full_lever.clearance_per_face_mm, rel=1e-9
    )
    assert turned.turned.peak_hand_force_n == pytest.approx(bent.peak.hand_force_n, rel=1e-12)
    assert turned.turned.take_up_mm == pytest.approx(bent.hand.take_up_mm, rel=1e-12)
    lines = " ".join(clutch_end_lines(turned, METRIC))
    worst = min(turned.turned.clearance_per_face_mm, turned.full_lever.clearance_per_face_mm)
    least = min(turned.turned.take_up_mm, turned.hand.take_up_mm)
    assert f"{worst:.2f} mm, least lever travel before the rod loads {least:.1f} mm" in lines
    pinched = sound(cable__free_play_turned=0.5)
    assert pinched.turned is not None
    assert pinched.turned.take_up_mm == pytest.approx(
        sound(cable__free_play=0.5).hand.take_up_mm, rel=1e-12
    )


def test_other_states_are_told_of_only_where_the_file_gives_them():
    result = sound()
    assert result.hot is None
    assert result.turned is None
    assert result.to_dict()["hot"] is None


# --- many at once ---


def test_a_batch_finds_what_single_strokes_find():
    mechanism = loaded().changed({**WARM, "cable.bend_turned": 150, "faces.plate_runout": 0.6})
    radii = np.array([30.0, 38.0, 50.0])
    many = liftgeo.batch(mechanism, {"arm.radius_same_angle": radii})
    for k, radius in enumerate(radii):
        angle = math.degrees(math.acos((38.0**2 + 90.0**2 - 95.0**2) / (2 * 38 * 90)))
        alone = liftgeo.stroke(
            mechanism.changed({"arm.radius": float(radius), "arm.cable_angle": angle})
        )
        for name in ("drag_torque_nm", "clamp_force_low_n", "slip_margin_low"):
            assert getattr(many, name)[k] == pytest.approx(
                getattr(alone.capacity, name), rel=1e-9, abs=1e-12
            )
        assert many.take_up_mm[k] == pytest.approx(alone.hand.take_up_mm, rel=1e-9)
        assert many.ball_pressure_mpa[k] == pytest.approx(
            alone.strength.ball_pressure_mpa, rel=1e-9
        )
        assert many.thrust_ratio[k] == pytest.approx(alone.bearing.thrust_ratio, rel=1e-9)
