"""The whole result of one mechanism: its shape, verdicts, events, capacity, bearing, rows."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from clutches import DRUM_ARM, DRUM_LEVER, coils_mechanism, mechanism

import liftgeo
from liftgeo.outcome.outcome import analysed

# The shape that programs outside rely on: names and their order. More names may follow these.
TOP = ["title", "change", "version", "verdict", "stopped_by", "full_lever", "peak", "effort",
       "events", "budget", "capacity", "bearing", "stroke", "warnings"]  # fmt: skip
SHAPE = {
    "full_lever": ["hand_travel_mm", "lever_angle_deg", "cable_pull_mm", "arm_rotation_deg",
                   "rod_travel_mm", "plate_lift_mm", "separation_mm", "needed_mm",
                   "clearance_per_face_mm", "hand_force_n", "return_hand_force_n",
                   "cable_tension_n", "rod_force_n", "clamp_force_n", "cable_to_arm_angle_deg",
                   "spring_to_stop_mm"],
    "peak": ["hand_force_n", "hand_travel_mm"],
    "effort": ["work_j", "floor_n", "peak_over_floor"],
    "capacity": ["clamp_force_n", "torque_nm", "slip_margin", "facing_pressure_mpa"],
    "bearing": ["axial_load_n", "static_safety", "life_h"],
    "stroke": ["hand_travel_mm", "lever_angle_deg", "cable_pull_mm", "arm_rotation_deg",
               "rod_travel_mm", "plate_lift_mm", "separation_mm", "hand_force_n",
               "return_hand_force_n", "return_hand_travel_mm", "cable_tension_n", "rod_force_n",
               "clamp_force_n", "ideal_advantage", "advantage"],
}  # fmt: skip
ROWS = {
    "events": ["name", "hand_travel_mm", "lever_angle_deg", "left_mm"],
    "budget": ["item", "lost_mm", "left_mm"],
    "warnings": ["key", "severity", "message"],
}
EVENTS = ["slack-taken-up", "faces-part", "running-clear", "target-clear"]
ITEMS = ["geometry", "free-play", "lever-flex", "cable-stretch", "shaft-wind-up", "end-float",
         "rod-flex", "stop", "cushion", "run-out-and-tilt"]  # fmt: skip


FILES = {
    "drags": mechanism(),
    "no release": mechanism(lever={"hand_travel": 12.0}, engine=None),
    "rigid and at dead centre": mechanism(
        lever={**DRUM_LEVER, "hand_travel": 250.0},
        cable={"stiffness": None},
        arm={"radius": 20.0, "stop_distance": 90.0, "rest_length": 74.0},
        release={"max_rotation": None, "pitch_radius": 4.0},
    ),
    "coils without a solid length": coils_mechanism(arm=DRUM_ARM),
}


@pytest.mark.parametrize("file", FILES.values(), ids=FILES)
def test_the_json_has_its_names_in_their_order_and_no_nan(file):
    data = liftgeo.stroke(file).to_dict()
    assert list(data)[: len(TOP)] == TOP
    for name, keys in SHAPE.items():
        assert list(data[name])[: len(keys)] == keys
    for name, keys in ROWS.items():
        assert all(list(row) == keys for row in data[name])
    assert [row["name"] for row in data["events"]] == EVENTS
    assert [row["item"] for row in data["budget"]] == ITEMS
    assert {len(column) for column in data["stroke"].values()} == {121}
    text = json.dumps(data, allow_nan=False)
    assert json.loads(text) == data
    assert all(w["severity"] in ("stop", "caution", "note") for w in data["warnings"])
    assert data["change"] is None


def test_what_is_not_known_is_null():
    data = liftgeo.stroke(FILES["no release"]).to_dict()
    for event in data["events"][1:]:
        assert (event["hand_travel_mm"], event["lever_angle_deg"], event["left_mm"]) == (None,) * 3
    assert data["capacity"]["slip_margin"] is None
    assert data["bearing"]["static_safety"] is None
    assert data["bearing"]["life_h"] is None
    assert data["bearing"]["axial_load_n"] is not None
    assert data["stroke"]["advantage"][0] is None  # no force at rest
    coils = liftgeo.stroke(FILES["coils without a solid length"]).to_dict()
    assert coils["full_lever"]["spring_to_stop_mm"] is None
    profile = mechanism(arm={"kind": "profile", "angle": [0, 20, 40], "pull": [0.0, 13.0, 25.0]})
    assert liftgeo.stroke(profile).to_dict()["full_lever"]["cable_to_arm_angle_deg"] is None


def test_python_has_the_same_names_as_the_json():
    result = liftgeo.stroke(mechanism())
    data = result.to_dict()
    assert result.full_lever.hand_force_n == data["full_lever"]["hand_force_n"]
    assert [line.item for line in result.budget] == ITEMS
    assert list(result.stroke.hand_force_n) == data["stroke"]["hand_force_n"]
    assert result.event("faces-part").left_mm == data["events"][1]["left_mm"]
    assert result.version == liftgeo.__version__


def test_the_example_drags_by_a_hair():
    """Figures noted when the project began, by other sums; to half their last digit."""
    result = liftgeo.stroke(mechanism())
    assert result.verdict == "drags"
    assert result.full_lever.clearance_per_face_mm == pytest.approx(-0.027, abs=0.0005)
    assert result.full_lever.hand_force_n == pytest.approx(123, abs=0.5)
    assert result.full_lever.return_hand_force_n == pytest.approx(64, abs=0.5)
    assert result.peak.hand_travel_mm == pytest.approx(29.6, abs=0.05)


# ---------------------------------------------------------------- verdicts


def separation(**tables):
    return float(analysed(mechanism(**tables)).separation_signed_mm)


def test_the_verdict_turns_at_its_lines():
    """One face more or less than 1e-9 mm beside each line; plates' run-out moves the line."""
    s = separation()  # some 0.27 mm of the pack; basket, plate and tilt need 0.125
    spare = s - 0.125
    cases = [
        (spare - 0.2, "clear"),  # 0.10 mm on each of two faces are left
        (spare - 0.2 + 1e-7, "marginal"),
        (spare, "marginal"),  # exactly nothing is left: it does not drag
        (spare + 1e-7, "drags"),
    ]
    for run_out, verdict in cases:
        if run_out < 0:
            continue
        result = liftgeo.stroke(mechanism(faces={"plate_runout": run_out}))
        assert result.verdict == verdict, run_out
    assert spare < 0.2  # so the first line needs a better clutch:
    better = {"cable": {"stiffness": 900.0, "free_play": 1.0}}
    spare = separation(**better) - 0.125
    for run_out, verdict in ((spare - 0.2 - 1e-10, "clear"), (spare - 0.2 + 1e-7, "marginal")):
        result = liftgeo.stroke(mechanism(**better, faces={"plate_runout": run_out}))
        assert result.verdict == verdict
    assert liftgeo.stroke(mechanism(lever={"hand_travel": 12.0})).verdict == "no-release"


def test_a_clutch_that_slips_is_called_so_before_anything_else():
    capacity = liftgeo.stroke(mechanism()).capacity.torque_nm
    for torque, verdict in ((capacity * 0.999, "drags"), (capacity * 1.001, "slips")):
        assert liftgeo.stroke(mechanism(engine={"torque": torque})).verdict == verdict


def test_a_wet_clutch_wants_net_and_gross():
    """Four plates: 0.03 net on eight faces, and 0.10 gross; without run-out the gross one rules."""
    quiet = {"friction_plates": 4, "basket_runout": 0.0, "pressure_plate_runout": 0.0,
             "plate_runout": 0.0, "lift_tilt": 0.0, "cushion_travel": 0.0}  # fmt: skip

    def verdict(**faces):
        return liftgeo.stroke(coils_mechanism(faces=quiet | faces)).verdict

    s = float(analysed(coils_mechanism(faces=quiet)).separation_signed_mm)
    assert 0.03 < s / 8 < 0.10
    assert verdict() == "marginal"
    near = {"targets": {"clearance": s / 8 - 1e-6}}
    assert liftgeo.stroke(coils_mechanism(faces=quiet, **near)).verdict == "clear"
    above = {"targets": {"clearance": s / 8 + 1e-6}}
    assert liftgeo.stroke(coils_mechanism(faces=quiet, **above)).verdict == "marginal"
    far = {"hand_travel": 60.0}
    assert liftgeo.stroke(coils_mechanism(faces=quiet, lever=far)).verdict == "clear"


# ---------------------------------------------------------------- groups


def test_capacity_by_hand():
    """T = μ F z (D + d)/4, p = F / (π/4 (D² − d²)); margin over torque × ratio × peak factor."""
    engine = {"torque": 20.0, "primary_ratio": 2.5, "peak_factor": 1.2}
    result = liftgeo.stroke(coils_mechanism(faces={"friction_plates": 2}, engine=engine))
    force = 6 * 30.0 * 8.0
    torque = 0.30 * force * 4 * (118.0 + 84.0) / 4 / 1000
    assert result.capacity.clamp_force_n == pytest.approx(force, rel=1e-13)
    assert result.capacity.torque_nm == pytest.approx(torque, rel=1e-13)
    assert result.capacity.slip_margin == pytest.approx(torque / 60.0, rel=1e-13)
    area = math.pi / 4 * (118.0**2 - 84.0**2)
    assert result.capacity.facing_pressure_mpa == pytest.approx(force / area, rel=1e-13)


def test_the_bearing_carries_the_rod():
    bearing = {"kind": "deep-groove", "static_rating": 3000.0, "dynamic_rating": 5000.0,
               "speed": 1000.0, "duty": 0.05}  # fmt: skip
    result = liftgeo.stroke(mechanism(bearing=bearing))
    load = result.strength.greatest_rod_force_n
    assert result.bearing.axial_load_n == load > result.full_lever.rod_force_n
    assert result.bearing.static_safety == pytest.approx(3000.0 / (0.5 * load), rel=1e-12)
    life = liftgeo.stroke(mechanism(bearing=bearing | {"duty": 0.1})).bearing.life_h
    assert result.bearing.life_h == pytest.approx(2 * life, rel=1e-12)


def test_advantages_are_ratios_of_the_columns():
    """Drums and a rack: dh/dy = hand radius × arm / (lever drum × pinion), the same everywhere."""
    file = mechanism(lever=DRUM_LEVER, arm=DRUM_ARM, release={"kind": "rack", "pinion_radius": 5})
    table = liftgeo.stroke(file).stroke
    assert table.ideal_advantage == pytest.approx(np.full(121, 80 * 40 / 20 / 5.0), rel=1e-12)
    loaded = table.hand_force_n > 0
    expected = table.rod_force_n[loaded] / table.hand_force_n[loaded]
    assert table.advantage[loaded] == pytest.approx(expected, rel=1e-12)
    assert np.all(table.advantage[table.rod_force_n > 0] < table.ideal_advantage[0])


def test_without_losses_the_advantage_is_the_ideal_one():
    file = coils_mechanism(
        cable={"friction": 0.0, "stiffness": None},
        arm={"return_torque": 0.0},
        rod={"stiffness": None},
        release={"friction_angle": 0.0},
    )
    table = liftgeo.stroke(file).stroke
    loaded = table.rod_force_n > 1.0
    assert loaded.sum() > 50
    assert table.advantage[loaded] == pytest.approx(table.ideal_advantage[loaded], rel=1e-9)


def test_the_angle_between_arm_and_cable_at_full_lever():
    """Law of sines at the arm's triangle: sin(angle) = stop / length × sin(γ)."""
    full = liftgeo.stroke(mechanism()).full_lever
    rest = math.acos((38.0**2 + 95.0**2 - 90.0**2) / (2 * 38 * 95))
    gamma = rest - math.radians(full.arm_rotation_deg)
    length = math.sqrt(38.0**2 + 95.0**2 - 2 * 38 * 95 * math.cos(gamma))
    cosine = (38.0**2 + length**2 - 95.0**2) / (2 * 38 * length)
    assert full.cable_to_arm_angle_deg == pytest.approx(math.degrees(math.acos(cosine)), rel=1e-12)


# ---------------------------------------------------------------- rows


@pytest.mark.parametrize("positions", [100, 101, 121, 500])
def test_rows_are_as_many_as_asked_for(positions):
    table = liftgeo.stroke(mechanism(), positions).stroke
    assert len(table.hand_travel_mm) == positions
    assert np.all(np.diff(table.hand_travel_mm) >= 0)
    gap = 39.0 / (positions - 1)
    assert np.max(np.diff(table.hand_travel_mm)) < 4 * gap


def test_fewer_than_a_hundred_rows_are_refused():
    with pytest.raises(liftgeo.RequestError, match="at least 100"):
        liftgeo.stroke(mechanism(), 99)
    with pytest.raises(liftgeo.RequestError, match="at least 100"):
        liftgeo.batch(mechanism(), {"arm.radius": [38.0]}, positions=99)


def test_a_result_is_the_same_every_time():
    first, second = (liftgeo.stroke(mechanism()).to_dict() for _ in range(2))
    assert first == second
