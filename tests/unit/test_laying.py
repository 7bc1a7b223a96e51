"""Laying a change over a file: alternatives give way, kinds keep what they take, order counts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from clutches import COILS, mechanism

import liftgeo
from liftgeo.mechanism.laying import ALTERNATIVES, flatten, given_twice, lay, nested
from liftgeo.mechanism.tables import TABLES
from liftgeo.quantities import Measured

POINTS = {"pivot": [0, 0], "pin": [-6, 26], "stop": [40, 0], "hand": [-70, 30]}


def test_nested_and_flat_are_the_same_said_twice():
    tables = {"lever": {"points": {"pivot": [0, 0]}, "kind": "pin"}, "arm": {"radius": 3}}
    assert nested(flatten(tables)) == tables
    assert flatten(tables) == {"lever.points.pivot": [0, 0], "lever.kind": "pin", "arm.radius": 3}


def test_neither_the_file_nor_the_change_is_touched():
    flat, change = {"cable.free_play": 2.0, "arm.radius": 30.0}, {"cable.take_up_at_hand": 5.0}
    before = dict(flat), dict(change)
    assert lay(flat, change) == {"arm.radius": 30.0, "cable.take_up_at_hand": 5.0}
    assert (flat, change) == before


KNOWN = {
    f"{table}.{name}" for table, kinds in TABLES.items() for m in kinds.values()
    for name in m.model_fields
}  # fmt: skip
PAIRS = [
    (sorted(one)[0], sorted(other)[0], place)
    for place, options in enumerate(ALTERNATIVES)
    for one in options
    for other in options
    if one is not other
]


@pytest.mark.parametrize(("given", "laid", "place"), PAIRS)
def test_giving_one_alternative_removes_the_others(given, laid, place):
    options = ALTERNATIVES[place]
    assert {given, laid} <= KNOWN
    file = {name: 1.0 for option in options for name in option}
    result = lay({given: 1.0}, {laid: 2.0})
    assert given not in result or any({given, laid} <= option for option in options)
    assert result[laid] == 2.0
    assert [set(pair) for pair in given_twice({given: 1.0, laid: 2.0})] == [{given, laid}]
    kept = next(option for option in options if laid in option)
    assert set(lay(file, {laid: 2.0})) <= kept | {laid}


def test_a_key_below_an_alternative_counts_as_the_alternative():
    file = {"cable.stiffness": 240.0}
    change = {"cable.wire.length": 900.0, "cable.wire.diameter": 2.0}
    assert lay(file, change) == change
    assert lay(change, file) == file
    assert lay({"lever.points.pivot": [0, 0], "lever.points.pin": [1, 1]}, {
        "lever.nipple_radius": 3.0
    })["lever.nipple_radius"] == 3.0  # fmt: skip


def test_a_distance_over_points_keeps_the_other_distances():
    file = mechanism(lever={"points": POINTS, "hand_travel": 39.0, "kind": "pin"})
    changed = file.changed({"lever.nipple_radius": 24.0})
    assert "lever.points.pivot" not in changed.keys
    assert changed.keys["lever.stop_distance"] == pytest.approx(40.0)
    assert changed.keys["lever.rest_length"] == pytest.approx(math.hypot(46, 26))
    assert changed.keys["lever.hand_radius"] == pytest.approx(math.hypot(70, 30))
    same = file.changed({"lever.nipple_radius": math.hypot(6, 26)})
    ours, theirs = liftgeo.stroke(file).full_lever, liftgeo.stroke(same).full_lever
    assert ours.hand_force_n == pytest.approx(theirs.hand_force_n, rel=1e-12)


def test_points_over_distances_remove_the_distances():
    changed = mechanism().changed({"lever": {"points": POINTS}})
    for name in ("nipple_radius", "stop_distance", "rest_length", "hand_radius"):
        assert f"lever.{name}" not in changed.keys
    whole = mechanism(lever={"points": POINTS, "hand_travel": 39.0, "kind": "pin"})
    ours, theirs = liftgeo.stroke(changed).full_lever, liftgeo.stroke(whole).full_lever
    assert ours == theirs


def test_installed_length_gives_way_to_the_stack_and_back():
    coils = mechanism(spring=COILS, stack=None)
    stack = {"stack.rim_depth": 60.0, "stack.friction_plate": 8.0, "stack.pressure_plate": 20.0}
    by_stack = coils.changed(stack)
    assert "spring.installed_length" not in by_stack.keys
    assert by_stack.parts().installed_deflection_mm == pytest.approx(40.0 - 32.0)
    back = by_stack.changed({"spring.installed_length": 31.0})
    assert not {"stack.rim_depth", "stack.friction_plate", "stack.pressure_plate"} & set(back.keys)
    assert back.parts().installed_deflection_mm == pytest.approx(9.0)


def test_a_change_of_kind_keeps_what_the_new_kind_takes_and_nothing_else():
    file = mechanism(arm={"return_torque": 0.4, "efficiency": 0.9, "max_rotation": 40.0})
    drum = file.changed({"arm": {"kind": "drum", "drum_radius": 38.0}})
    assert drum.keys["arm.return_torque"] == 0.4
    assert drum.keys["arm.efficiency"] == 0.9
    assert drum.keys["arm.max_rotation"] == 40.0
    taken = {f"arm.{name}" for name in TABLES["arm"]["drum"].model_fields}
    assert {k for k in drum.keys if k.startswith("arm.")} <= taken
    assert file.keys["arm.radius"] == 38.0  # the file itself stays as it is
    thread = file.changed({"release": {"kind": "quick-thread", "lead": 25, "mean_diameter": 24}})
    assert thread.keys["release.max_rotation"] == 25.0
    assert "release.friction_angle" not in thread.keys


def test_a_kind_given_again_takes_nothing_away():
    again = mechanism().changed({"release.kind": "ball-ramp", "release.ramp_angle": 15.0})
    assert again.keys["release.friction_angle"] == 1.0
    assert again.keys["release.ramp_angle"] == 15.0


def test_a_changed_value_keeps_the_half_width_unless_it_gives_one():
    file = mechanism(arm={"radius": "38.0 ± 0.4 mm"})
    assert isinstance(file.keys["arm.radius"], Measured)
    assert file.keys["arm.radius"].half_width == pytest.approx(0.4)
    plain = file.changed({"arm.radius": 40.0}).keys["arm.radius"]
    assert (plain, plain.half_width) == (40.0, pytest.approx(0.4))
    exact = file.changed({"arm.radius": "40 mm ± 0"}).keys["arm.radius"]
    assert (exact, getattr(exact, "half_width", 0.0)) == (40.0, 0.0)
    finer = file.changed({"arm.radius": "40 mm ± 0.1"}).keys["arm.radius"]
    assert (finer, finer.half_width) == (40.0, pytest.approx(0.1))


CHANGES = {
    "longer-arm": {"note": "drilled", "arm": {"radius": 44.0, "cable_angle": 100.0}},
    "short-rest": {"arm": {"rest_length": 88.0}},
    "thick": {"stack": {"friction_plate": 8.2}},
    "thin": {"stack": {"friction_plate": 7.9}},
}


def test_the_later_change_wins():
    file = mechanism(changes=CHANGES)
    assert file.changed("thick", "thin").keys["stack.friction_plate"] == 7.9
    assert file.changed("thin", "thick").keys["stack.friction_plate"] == 8.2
    both = file.changed("longer-arm", "short-rest")
    assert both.keys["arm.radius"] == 44.0
    assert both.keys["arm.rest_length"] == 88.0
    assert "arm.cable_angle" not in both.keys
    other = file.changed("short-rest", "longer-arm")
    assert "arm.rest_length" not in other.keys
    assert other.keys["arm.cable_angle"] == 100.0


def test_changes_laid_one_by_one_or_together_are_the_same_and_are_named():
    file = mechanism(changes=CHANGES)
    together = file.changed("longer-arm", "thick", {"cable.free_play": 1.0})
    one_by_one = file.changed("longer-arm").changed("thick").changed({"cable.free_play": 1.0})
    assert together.keys == one_by_one.keys
    assert together.change == one_by_one.change == "longer-arm + thick + cable.free_play = 1.0"
    assert liftgeo.stroke(together).full_lever == liftgeo.stroke(one_by_one).full_lever
    assert file.change is None
    assert file.changes["longer-arm"].note == "drilled"
    with pytest.raises(liftgeo.RequestError, match="Did you mean longer-arm"):
        file.changed("longer-arms")
    with pytest.raises(liftgeo.RequestError, match=r"longer-arm, short-rest, thick, thin"):
        file.changed("nothing like it")


def test_dotted_and_nested_changes_say_the_same():
    file = mechanism()
    dotted = file.changed({"arm.radius": 44.0, "arm.cable_angle": 100.0})
    inner = file.changed({"arm": {"radius": 44.0, "cable_angle": 100.0}})
    assert dotted.keys == inner.keys


def test_a_batch_gives_way_to_alternatives_as_a_change_does():
    file = mechanism()
    many = liftgeo.batch(file, {"arm.cable_angle": np.array([95.0, 100.0])})
    for k, angle in enumerate((95.0, 100.0)):
        alone = liftgeo.stroke(file.changed({"arm.cable_angle": angle}))
        assert many.hand_force_n[k] == pytest.approx(alone.full_lever.hand_force_n, rel=1e-12)
    held = liftgeo.batch(file, {"arm.radius_same_angle": np.array([38.0, 44.0])})
    angle = float(liftgeo.stroke(file).stroke.arm_rotation_deg[0])
    assert angle == pytest.approx(0.0, abs=1e-9)
    assert held.hand_force_n[0] == pytest.approx(
        liftgeo.stroke(file).full_lever.hand_force_n, rel=1e-12
    )
    assert held.hand_force_n[1] < held.hand_force_n[0]
