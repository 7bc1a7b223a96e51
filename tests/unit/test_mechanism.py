"""From the file's numbers to the parts: units, defaults that follow, readings at the hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from clutches import COILS, DRUM_LEVER, coils_mechanism, document, fault, mechanism

import liftgeo
from liftgeo.chain import position
from liftgeo.mechanism import from_document
from liftgeo.quantities import Measured


def full(**tables):
    return liftgeo.stroke(mechanism(**tables)).full_lever


# ---------------------------------------------------------------- units


IN_INCHES = {
    "lever": {
        "nipple_radius": f"{26 / 25.4!r} in",
        "stop_distance": f"{42000 / 25.4!r} thou",
        "rest_length": "4.4 cm",
        "hand_radius": "0.075 m",
        "hand_travel": f"{39 / 25.4!r} in",
    },
    "cable": {
        "free_play": f"{2.2 / 25.4!r} in",
        "bend": f"{math.radians(150)!r} rad",
        "friction": "10 %",
        "stiffness": f"{240 * 25.4 / 4.4482216152605!r} lbf/in",
    },
    "arm": {
        "radius": f"{38 / 25.4!r} in",
        "stop_distance": "95 mm",
        "rest_length": "90.0",
        "return_torque": f"{0.3 / 0.112984829027616!r} lbf·in",
    },
    "rod": {
        "action": "pull",
        "end_float": f"{0.12 / 0.0254!r} thou",
        "stiffness": "25 kN/mm",
    },
    "spring": {"youngs_modulus": "206 GPa", "outside_diameter": f"{120 / 25.4!r} in"},
    "stack": {"rim_depth": f"{30.5 / 25.4!r} in"},
}


def test_an_inch_file_is_the_metric_file():
    ours, theirs = liftgeo.stroke(mechanism()), liftgeo.stroke(mechanism(**IN_INCHES))
    assert vars_of(theirs.full_lever) == pytest.approx(vars_of(ours.full_lever), rel=1e-11)
    assert vars_of(theirs.capacity) == pytest.approx(vars_of(ours.capacity), rel=1e-11, nan_ok=True)


def vars_of(found):
    return {k: np.nan if v is None else v for k, v in vars(found).items()}


@pytest.mark.parametrize(
    ("text", "value", "half_width"),
    [
        ("26", 26.0, None),
        ("1 3/32 in", 25.4 * (1 + 3 / 32), None),
        ("1024 thou", 1024 * 0.0254, None),
        ("26.0 ± 0.2 mm", 26.0, 0.2),
        ("26.0 mm +/- 0.2", 26.0, 0.2),
        ("26 mm ± 5 %", 26.0, 1.3),
        ("1 in ± 4 thou", 25.4, 0.1016),
        ("26 ± 0.1 uniform", 26.0, 0.1),
    ],
)
def test_text_is_read_with_its_unit_and_half_width(text, value, half_width):
    read = mechanism(lever={"nipple_radius": text}).keys["lever.nipple_radius"]
    assert read == pytest.approx(value, rel=1e-14)
    if half_width is None:
        assert not isinstance(read, Measured)
    else:
        assert read.half_width == pytest.approx(half_width, rel=1e-12)
        assert read.uniform == text.endswith("uniform")


def test_a_half_width_does_not_touch_the_numbers():
    plain = mechanism()
    measured = mechanism(
        arm={"radius": "38.0 ± 0.5 mm"}, cable={"friction": "0.10 ± 0.03", "bend": "150 ± 20 deg"}
    )
    ours, theirs = liftgeo.stroke(plain).full_lever, liftgeo.stroke(measured).full_lever
    assert ours == theirs


def test_units_turn_inward_once():
    """N·m to N·mm, deg to rad, N·m/deg to N·mm/rad, stiffness to compliance."""
    parts = mechanism(
        arm={"return_rate": 0.02, "shaft_stiffness": 50.0, "max_rotation": 40.0},
        lever={"stiffness": 80.0},
        rod={"finger_ratio": 2.0, "finger_stiffness": 9000, "plate_stiffness": 40000},
        bearing={"kind": "deep-groove", "axial_play": 0.03, "axial_stiffness": 50000},
    ).parts()
    per_rad = 180 / math.pi
    assert parts.arm.return_torque_nmm == pytest.approx(300.0)
    assert parts.arm.return_rate_nmm_per_rad == pytest.approx(20.0 * per_rad)
    assert parts.arm.shaft_compliance_rad_per_nmm == pytest.approx(1 / (50000.0 * per_rad))
    assert parts.arm.max_rotation_rad == pytest.approx(math.radians(40.0))
    assert parts.release_max_rotation_rad == pytest.approx(math.radians(25.0))
    assert parts.lever.compliance_mm_per_n == pytest.approx(1 / 80)
    expected = 1 / 25000 + 1 / 9000 + 1 / 50000 + 4 / 40000  # the plate's at i²
    assert parts.rod.compliance_mm_per_n == pytest.approx(expected, rel=1e-14)
    assert parts.rod.float_mm == pytest.approx(0.15)


# ---------------------------------------------------------------- defaults that follow


@pytest.mark.parametrize(
    ("table", "key", "followed", "value"),
    [
        ("faces", "runout_diameter", "outside_diameter", 126.0),
        ("release", "far_ramp_angle", "ramp_angle", 15.0),
    ],
)
def test_a_default_that_names_a_key_follows_it(table, key, followed, value):
    follows = mechanism().changed({f"{table}.{followed}": value})
    said = mechanism().changed({f"{table}.{followed}": value, f"{table}.{key}": value})
    assert f"{table}.{key}" not in follows.keys
    ours, theirs = liftgeo.stroke(follows).full_lever, liftgeo.stroke(said).full_lever
    assert vars_of(ours) == pytest.approx(vars_of(theirs), rel=1e-13)
    old = mechanism().keys[f"{table}.{followed}"]
    held = mechanism().changed({f"{table}.{followed}": value, f"{table}.{key}": old})
    assert liftgeo.stroke(held).full_lever != ours


def test_faces_and_plain_plates_follow_the_friction_plates():
    parts = coils_mechanism(
        faces={"friction_plates": 4, "plate_runout": 0.1, "plain_plate_runout": 0.02}
    ).parts()
    assert parts.faces.friction_faces == 8
    # 4·0.1 + 3·0.02 + ½(0.05 + 0.05 + 0.15)
    assert parts.faces.needed_mm == pytest.approx(0.4 + 0.06 + 0.125, rel=1e-14)
    given = coils_mechanism(faces={"friction_plates": 4, "friction_faces": 7}).parts()
    assert given.faces.friction_faces == 7


@pytest.mark.parametrize(
    ("plates", "running", "net", "gross"),
    [(1, None, 0.10, 0.0), (2, None, 0.10, 0.0), (3, None, 0.03, 0.10),
     (1, "wet", 0.03, 0.10), (5, "dry", 0.05, 0.0), (2, "dry", 0.10, 0.0)],
)  # fmt: skip
def test_a_clutch_is_wet_above_two_plates_unless_it_is_said(plates, running, net, gross):
    """Default targets: common practice, no source."""
    faces = {"friction_plates": plates} | ({"running": running} if running else {})
    found = coils_mechanism(faces=faces).parts().faces
    assert (float(found.target_mm), float(found.gross_target_mm)) == (net, gross)


def test_a_given_target_stands_alone():
    parts = coils_mechanism(faces={"friction_plates": 5}, targets={"clearance": 0.05}).parts()
    assert parts.faces.target_separation_mm == pytest.approx(parts.faces.needed_mm + 10 * 0.05)


def test_run_outs_are_scaled_from_the_diameter_they_were_read_at():
    near, out = mechanism(faces={"runout_diameter": 59.0}).parts(), mechanism().parts()
    assert near.faces.needed_mm == pytest.approx(2 * out.faces.needed_mm, rel=1e-14)


def test_run_out_and_tilt_of_the_pressure_plate_add_as_vectors_where_both_have_angles():
    def needed(**faces):
        return float(mechanism(faces=faces).parts().faces.needed_mm)

    both = {"pressure_plate_runout_angle": 30.0, "lift_tilt_angle": 150.0}
    vector = math.hypot(0.05 + 0.15 * math.cos(math.radians(120)), 0.15 * math.sin(2 * math.pi / 3))
    assert needed(**both) == pytest.approx(0.2 + (0.05 + vector) / 2, rel=1e-13)
    for alone in ({"lift_tilt_angle": 150.0}, {"pressure_plate_runout_angle": 30.0}, {}):
        assert needed(**alone) == pytest.approx(0.2 + (0.05 + 0.2) / 2, rel=1e-14)
    opposite = {"pressure_plate_runout_angle": 0.0, "lift_tilt_angle": 180.0}
    assert needed(**opposite) == pytest.approx(0.2 + (0.05 + 0.1) / 2, rel=1e-13)


# ---------------------------------------------------------------- cushion and plate thickness


def test_the_cushion_load_of_the_unchanged_file_is_carried_into_changes_and_batches():
    file = mechanism()
    load = float(file.parts().clamp_force_n)
    assert file.cushion_load_n == pytest.approx(load)
    changed = file.changed({"stack.friction_plate": 8.3})
    assert changed.parts().faces.cushion_load_n == pytest.approx(load)
    assert changed.changed({"arm.radius": 40.0}).cushion_load_n == pytest.approx(load)
    heavier = float(changed.parts().clamp_force_n)
    assert heavier != pytest.approx(load)
    assert changed.parts().cushion_mm == pytest.approx(0.25 * heavier / load, rel=1e-13)
    assert file.parts().cushion_mm == pytest.approx(0.25, rel=1e-13)
    said = mechanism(stack={"friction_plate": 8.3}, faces={"cushion_load": load})
    ours, theirs = liftgeo.stroke(changed).full_lever, liftgeo.stroke(said).full_lever
    assert vars_of(ours) == pytest.approx(vars_of(theirs), rel=1e-12)
    many = liftgeo.batch(file, {"stack.friction_plate": np.array([8.0, 8.3])})
    assert many.clearance_per_face_mm[1] == pytest.approx(ours.clearance_per_face_mm, abs=1e-12)


def test_a_plate_measured_free_is_thinner_by_its_share_of_the_cushion():
    free = mechanism(stack={"friction_plate": None, "friction_plate_free": 8.25})
    assert full(stack={"friction_plate": 8.0}) == liftgeo.stroke(free).full_lever
    two = mechanism(
        faces={"friction_plates": 2},
        stack={"friction_plate": None, "friction_plate_free": 8.125, "rim_depth": 38.5},
    )
    pressed = mechanism(
        faces={"friction_plates": 2}, stack={"friction_plate": 8.0, "rim_depth": 38.5}
    )
    assert float(two.parts().installed_deflection_mm) == pytest.approx(
        float(pressed.parts().installed_deflection_mm), abs=1e-12
    )


def test_the_stack_adds_up():
    """30.5 + 0.4 − 0.1 + 0.3 + 0.2 − 2·8 − 1·1.5 − (12 − 0.15) (added by hand)."""
    parts = mechanism(
        stack={
            "basket_face_skim": 0.4,
            "rim_skim": 0.1,
            "cover_recess": 0.3,
            "shims": 0.2,
            "plain_plate": 1.5,
            "pressure_plate": 12.0,
            "pressure_plate_skim": 0.15,
        },
        faces={"friction_plates": 2},
    ).parts()
    assert float(parts.installed_deflection_mm) == pytest.approx(5.1 - 1.95, abs=1e-12)


# ---------------------------------------------------------------- readings at the hand


LEVERS = {
    "pin": {},
    "drum": DRUM_LEVER,
    "bends": {"stiffness": 30.0, "efficiency": 0.9},
}


@pytest.mark.parametrize("lever", LEVERS.values(), ids=LEVERS)
@pytest.mark.parametrize("drag", [0.0, 4.0])
@pytest.mark.parametrize(("key", "joint"), [("free_play_at_hand", 2.0), ("take_up_at_hand", 3.0)])
def test_a_reading_at_the_hand_is_reproduced(key, joint, drag, lever):
    """The arm begins to move, or the rod loads, when the hand has moved as far as was read."""
    cable = {"free_play": None, key: 9.0, "drag": drag}
    parts = mechanism(lever=lever, cable=cable).parts()
    there = position(parts, joint)
    assert float(there.hand_travel_mm) == pytest.approx(9.0, abs=1e-9)
    assert float(there.rod_force_n) == pytest.approx(0.0, abs=1e-9)
    after = position(parts, joint + 1e-6)
    assert float(after.arm_rotation_rad if joint == 2.0 else after.rod_force_n) > 0
    result = liftgeo.stroke(mechanism(lever=lever, cable=cable))
    table = result.stroke
    moved = table.arm_rotation_deg if joint == 2.0 else table.rod_force_n
    still = table.hand_travel_mm <= 9.0 - 1e-9
    assert np.all(moved[still] <= 1e-9)
    assert np.all(moved[table.hand_travel_mm > 9.0 + 1e-6] > 0)


def test_the_end_float_is_taken_off_a_take_up():
    tight = mechanism(cable={"free_play": None, "take_up_at_hand": 9.0}, rod={"end_float": 0.3})
    loose = mechanism(cable={"free_play": None, "take_up_at_hand": 9.0}, rod={"end_float": 0.0})
    assert float(tight.parts().cable.slack_mm) < float(loose.parts().cable.slack_mm)


def test_seating_is_part_of_what_is_read_at_the_hand():
    cable = {"free_play": None, "free_play_at_hand": 8.0}
    settled = mechanism(cable=cable | {"seating": 0.4, "liner_clearance": 0.1}).parts()
    assert settled.cable.slack_mm == pytest.approx(mechanism(cable=cable).parts().cable.slack_mm)


# ---------------------------------------------------------------- cable, rod


def test_wire_housing_and_brackets_add_up():
    """Compliances in series; a 7x7 stainless wire by its area and modulus as given."""
    cable = {
        "stiffness": None,
        "wire": {"length": 900.0, "area": 1.2, "modulus": 60000.0},
        "housing": {"stiffness": 700.0},
        "bracket_stiffness": 900.0,
    }
    parts = mechanism(cable=cable).parts()
    expected = 900 / (1.2 * 60000) + 1 / 700 + 1 / 900
    assert parts.cable.compliance_mm_per_n == pytest.approx(expected, rel=1e-13)
    same = full(cable={"stiffness": 1 / expected})
    assert vars_of(full(cable=cable)) == pytest.approx(vars_of(same), rel=1e-12)


def test_a_described_wire_needs_no_area():
    wire = {"construction": "7x7", "material": "stainless", "diameter": 1.5, "length": 900}
    whole = mechanism(cable={"stiffness": None, "wire": wire}).parts()
    longer = mechanism(cable={"stiffness": None, "wire": wire | {"length": 1800}}).parts()
    thicker = mechanism(cable={"stiffness": None, "wire": wire | {"diameter": 3.0}}).parts()
    stretch = whole.cable.compliance_mm_per_n
    assert longer.cable.compliance_mm_per_n == pytest.approx(2 * stretch)
    assert thicker.cable.compliance_mm_per_n == pytest.approx(stretch / 4)


def test_a_plain_rod_stretches_by_hooke():
    """L/(E A) with E of steel 206 GPa."""
    parts = mechanism(rod={"stiffness": None, "length": 120.0, "diameter": 8.0}).parts()
    expected = 120.0 / (206000.0 * math.pi * 16.0)
    assert parts.rod.compliance_mm_per_n == pytest.approx(expected, rel=1e-14)


def test_left_out_stiffnesses_are_rigid():
    parts = coils_mechanism(cable={"stiffness": None}, rod={"stiffness": None}).parts()
    assert parts.cable.compliance_mm_per_n == 0
    assert parts.rod.compliance_mm_per_n == 0
    assert parts.lever.compliance_mm_per_n == 0
    assert parts.arm.shaft_compliance_rad_per_nmm == 0


# ---------------------------------------------------------------- springs


@pytest.mark.parametrize(
    ("force", "support", "ratio"),
    [
        (None, None, 1.0),
        (96.0, None, 28 / 24),  # force near the inside edge, support at the outside one
        (None, 96.0, 28 / 24),  # the other way about
        (96.0, 117.0, 28 / 21),
        (117.0, 96.0, 28 / 21),
        (118.0, None, 28 / 26),  # force near the outside edge, support at the inside one
    ],
)
def test_the_lever_of_a_disc_follows_from_the_circles_it_is_pressed_between(force, support, ratio):
    """F = K F_disc(K s), flat at h0/K, with K = (De − Di)/(Df − Ds)."""
    spring = {"force_diameter": force, "support_diameter": support}
    given = {k: v for k, v in spring.items() if v is not None}
    fitted = mechanism(spring=given, stack={"rim_depth": 30.0}).parts().spring
    plain = mechanism().parts().spring
    assert fitted.flat_deflection_mm == pytest.approx(3.4 / ratio, rel=1e-13)
    for deflection in (0.5, 1.4):
        expected = ratio * plain.load_n(ratio * deflection)
        assert fitted.load_n(deflection) == pytest.approx(expected, rel=1e-13)
    assert fitted.free_height_mm == pytest.approx(3.4 / ratio + 1.7, rel=1e-13)


def test_a_count_may_be_written_with_a_point():
    assert mechanism(faces={"friction_plates": 1.0}).keys["faces.friction_plates"] == 1
    assert (
        fault(faces={"friction_plates": 1.5}).remedy == "It must be at least 1 and a whole number."
    )


# ---------------------------------------------------------------- the object itself


def test_a_mechanism_cannot_be_changed_in_place():
    file = mechanism()
    with pytest.raises(AttributeError):
        file.title = "other"
    before = dict(file.keys)
    file.changed({"arm.radius": 44.0})
    liftgeo.batch(file, {"arm.radius": np.array([40.0])})
    assert file.keys == before


def test_tables_are_attributes_and_optional_ones_are_none():
    file = mechanism()
    assert file.lever.nipple_radius == 26.0
    assert file.bearing is None
    assert file.bearing_part() is None
    with pytest.raises(AttributeError):
        _ = file.gearbox


def test_every_number_it_takes_is_listed_and_described():
    file = mechanism()
    names = file.numeric_keys()
    assert {"lever.nipple_radius", "cable.wire.length", "faces.cushion_load"} <= set(names)
    assert "release.kind" not in names
    assert "spring.rate" not in names
    assert all(file.number(name).dimension for name in names)
    with pytest.raises(liftgeo.RequestError, match=r"Did you mean lever\.nipple_radius"):
        file.number("lever.niple_radius")
    with pytest.raises(liftgeo.RequestError):
        file.parts({"rod.action": 1.0})


def test_the_document_may_hold_arrays_of_any_number_type():
    """Numbers of NumPy, whole numbers and Python's floats are one and the same."""
    plain = from_document(document())
    mixed = document(lever={"nipple_radius": np.float64(26.0), "stop_distance": np.int64(42)})
    assert from_document(mixed).keys == plain.keys


def test_coils_need_no_stack():
    parts = coils_mechanism().parts()
    assert parts.installed_deflection_mm == pytest.approx(8.0)
    assert parts.clamp_force_n == pytest.approx(6 * 30 * 8.0)
    assert COILS["installed_length"] == 32.0
