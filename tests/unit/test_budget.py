"""The lift budget: each loss alone, all together, and short of everything."""

from __future__ import annotations

import itertools
import math

import pytest
from clutches import COILS, DRUM_ARM, DRUM_LEVER, mechanism

import liftgeo

RIGID = {
    "lever": DRUM_LEVER,
    "cable": {"free_play": None, "bend": None, "friction": None, "stiffness": None},
    "arm": DRUM_ARM,
    "release": {"kind": "rack", "pinion_radius": 5.0},
    "stack": None,
    "spring": COILS,
    "rod": {"end_float": None, "stiffness": None, "finger_ratio": 2.0},
    "faces": {"cushion_travel": None, "basket_runout": None, "pressure_plate_runout": None,
              "plate_runout": None, "lift_tilt": None},
}  # fmt: skip
GEOMETRY = 45.0 / 80.0 * 20.0 / 40.0 * 5.0 / 2.0  # hand → lever → cable → arm → rod → plate


def rigid(**tables):
    merged = {t: dict(keys) if keys else keys for t, keys in RIGID.items()}
    for table, keys in tables.items():
        merged[table] = merged[table] | keys
    return liftgeo.stroke(mechanism(**merged))


def lost(result):
    return {line.item: line.lost_mm for line in result.budget}


def test_with_nothing_lost_the_geometry_is_what_is_left():
    result = rigid()
    assert [line.left_mm for line in result.budget] == pytest.approx([GEOMETRY] * 10, rel=1e-12)
    assert max(map(abs, lost(result).values())) < 1e-12


LOSSES = [
    # table and key that lose, the item that shows it, how much (at the plate, by hand sums)
    ({"cable": {"free_play": 2.0}}, "free-play", lambda r: 2.0 * 5 / 40 / 2),
    ({"cable": {"seating": 0.4}}, "free-play", lambda r: 0.4 * 5 / 40 / 2),
    (
        {"cable": {"liner_clearance": 0.5, "bend": 180.0}},
        "free-play",
        lambda r: 0.5 * math.pi * 5 / 40 / 2,
    ),
    (
        {"lever": {"stiffness": 30.0}},
        "lever-flex",
        lambda r: r.full_lever.hand_force_n / 30.0 * 20 / 80 * 5 / 40 / 2,
    ),
    (
        {"cable": {"stiffness": 200.0}},
        "cable-stretch",
        lambda r: r.full_lever.cable_tension_n / 200.0 * 5 / 40 / 2,
    ),
    (
        {"arm": {"shaft_stiffness": 20.0}},
        "shaft-wind-up",
        lambda r: math.radians(r.full_lever.rod_force_n * 5e-3 / 20.0) * 5 / 2,
    ),
    ({"rod": {"end_float": 0.2}}, "end-float", lambda r: 0.1),
    ({"rod": {"adjuster_clearance": 0.2}}, "end-float", lambda r: 0.1),
    ({"rod": {"shaft_float": 0.2}}, "end-float", lambda r: 0.1),
    (
        {"rod": {"stiffness": 9000.0}},
        "rod-flex",
        lambda r: r.full_lever.rod_force_n / 9000.0 / 2,
    ),
    (
        {"rod": {"plate_stiffness": 9000.0}},
        "rod-flex",
        lambda r: r.full_lever.rod_force_n * 4 / 9000.0 / 2,
    ),
    (
        {"release": {"max_rotation": 10.0}},
        "stop",
        lambda r: GEOMETRY - math.radians(10.0) * 5 / 2,
    ),
    ({"lever": {"hand_travel": 45.0}, "faces": {"cushion_travel": 0.3}}, "cushion", lambda r: 0.3),
    ({"faces": {"plate_runout": 0.12}}, "run-out-and-tilt", lambda r: 0.12),
    ({"faces": {"basket_runout": 0.12}}, "run-out-and-tilt", lambda r: 0.06),
    ({"faces": {"lift_tilt": 0.12}}, "run-out-and-tilt", lambda r: 0.06),
]


@pytest.mark.parametrize(("tables", "item", "expected"), LOSSES)
def test_each_loss_alone_shows_in_its_own_line(tables, item, expected):
    result = rigid(**tables)
    found = lost(result)
    assert found.pop(item) == pytest.approx(expected(result), rel=1e-10)
    assert found.pop("geometry") == 0.0
    assert max(map(abs, found.values())) < 1e-12
    assert result.budget[-1].left_mm == pytest.approx(GEOMETRY - expected(result), rel=1e-9)


def test_together_they_add_up_to_what_is_left():
    result = liftgeo.stroke(mechanism(lever={"stiffness": 60.0}, arm={"shaft_stiffness": 40.0}))
    lines = result.budget
    assert sum(line.lost_mm for line in lines) == pytest.approx(
        lines[0].left_mm - lines[-1].left_mm, abs=1e-12
    )
    for before, line in itertools.pairwise(lines):
        assert line.left_mm == pytest.approx(before.left_mm - line.lost_mm, abs=1e-12)
    assert all(line.lost_mm > 0 for line in lines[1:7])
    left = {line.item: line.left_mm for line in lines}
    assert left["stop"] == pytest.approx(result.full_lever.plate_lift_mm, abs=1e-10)
    assert left["cushion"] == pytest.approx(result.full_lever.separation_mm, abs=1e-10)


def test_a_stroke_too_short_for_its_play_is_counted_below_zero():
    """Free play of 20 mm asks for 80 mm at the hand; there are 45."""
    result = rigid(cable={"free_play": 20.0})
    left = {line.item: line.left_mm for line in result.budget}
    assert left["free-play"] == pytest.approx((45.0 / 4 - 20.0) * 5 / 40 / 2, rel=1e-12)
    assert left["run-out-and-tilt"] == pytest.approx(left["free-play"], rel=1e-12)
    assert result.full_lever.clearance_per_face_mm == pytest.approx(left["free-play"] / 2)
    assert result.full_lever.separation_mm == 0.0
    assert result.event("slack-taken-up").reached is False


def test_a_stop_before_the_grip_costs_what_the_grip_would_have_given():
    free = liftgeo.stroke(mechanism())
    held = liftgeo.stroke(mechanism(release={"max_rotation": 7.0}))
    assert held.stopped_by == "track-end"
    lines = {line.item: line for line in held.budget}
    assert lines["stop"].lost_mm > 0
    assert lines["geometry"].left_mm == pytest.approx(free.budget[0].left_mm, rel=1e-12)
