"""Changes named for what a hand does: another hole, other splines, a moved stop, by an amount.

Expected places by rotating and shifting points of a plane, worked here by complex numbers.
"""

from __future__ import annotations

import cmath
import math
from typing import Any

import numpy as np
import pytest
from clutches import CHANGES, document, mechanism

import liftgeo
from liftgeo.errors import GeometryError, Reason, RequestError
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.outline.links import outline
from liftgeo.quantities import Measured
from liftgeo.studies.sets import exclude_each_other

ARM = {"radius": 38.0, "stop_distance": 95.0, "rest_length": 90.0}


def shaft_angle(radius: float, stop: float, rest: float) -> float:
    """Return the angle at the shaft from stop to cable end [rad], by the law of cosines."""
    return math.acos((radius**2 + stop**2 - rest**2) / (2 * radius * stop))


GAMMA = shaft_angle(38.0, 95.0, 90.0)


def triangle(found: Mechanism, table: str = "arm") -> tuple[float, float, float]:
    sides = found.inward.sides(table)
    return float(sides.pin), float(sides.stop), float(sides.rest)


def apart(pin: complex, stop: complex) -> tuple[float, float, float]:
    return abs(pin), abs(stop), abs(pin - stop)


MOVED: dict[str, tuple[dict[str, Any], tuple[float, float, float]]] = {
    "another hole": ({"arm.hole": 30}, apart(30 * cmath.exp(1j * GAMMA), 95)),
    "another hole in inches": ({"arm.hole": "1 1/4 in"}, apart(31.75 * cmath.exp(1j * GAMMA), 95)),
    "turned": ({"arm.turned": 15}, apart(38 * cmath.exp(1j * (GAMMA - math.radians(15))), 95)),
    "turned back": (
        {"arm.turned": -12.5}, apart(38 * cmath.exp(1j * (GAMMA + math.radians(12.5))), 95)
    ),
    "two splines of 36": (
        {"arm.splines": 36, "arm.turned_by": 2},
        apart(38 * cmath.exp(1j * (GAMMA - math.radians(20))), 95),
    ),
    "a moved stop": (
        {"arm.stop_shift_x": -6, "arm.stop_shift_y": "4 mm"},
        apart(38 * cmath.exp(1j * GAMMA), 89 + 4j),
    ),
    "a hole and a turn": (
        {"arm.hole": 44, "arm.turned": 10},
        apart(44 * cmath.exp(1j * (GAMMA - math.radians(10))), 95),
    ),
}  # fmt: skip


@pytest.mark.parametrize(("change", "wanted"), MOVED.values(), ids=MOVED)
def test_the_triangle_follows_what_the_hand_moved(change: Any, wanted: Any) -> None:
    found = mechanism(arm=ARM).changed(change)
    assert triangle(found) == pytest.approx(wanted, rel=1e-13)


@pytest.mark.parametrize(("change", "wanted"), MOVED.values(), ids=MOVED)
def test_an_arm_by_its_cable_angle_or_points_moves_alike(change: Any, wanted: Any) -> None:
    by_length = mechanism(arm=ARM)
    angle = float(by_length.inward.sides("arm").cable_angle_deg)
    by_angle = mechanism(arm={"rest_length": None, "cable_angle": angle})
    turn, away = cmath.exp(0.7j), 11 - 4j  # any frame of a drawing
    pin, stop = 38 * cmath.exp(1j * GAMMA), 95 + 0j
    points = {
        name: [(turn * p + away).real, (turn * p + away).imag]
        for name, p in (("pivot", 0j), ("pin", pin), ("stop", stop))
    }
    sides = dict.fromkeys(ARM)
    by_points = mechanism(arm={**sides, "points": points})
    for file in (by_angle, by_points):
        assert triangle(file.changed(change)) == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize(("change", "wanted"), MOVED.values(), ids=MOVED)
def test_a_batch_and_a_drawing_agree_with_the_change(change: Any, wanted: Any) -> None:
    file = mechanism(arm=ARM)
    one = liftgeo.stroke(file.changed(change))
    many = liftgeo.batch(file, {key: [value, value] for key, value in change.items()})
    assert many.reason.tolist() == [0, 0]
    assert many.separation_mm == pytest.approx(one.full_lever.separation_mm, rel=1e-9)
    drawn = outline(file.changed(change)).points(0.0, 0.0)
    pin, stop = (drawn[f"arm_{name}"] - drawn["arm_pivot"] for name in ("pin", "stop"))
    assert [np.hypot(*pin), np.hypot(*stop), np.hypot(*(pin - stop))] == pytest.approx(wanted)


def test_a_drawing_leaves_what_was_not_moved_where_it_was() -> None:
    file = mechanism(arm=ARM)
    before = outline(file).points(0.0, 0.0)
    turned = outline(file.changed({"arm.turned": 15})).points(0.0, 0.0)
    shifted = outline(file.changed({"arm.stop_shift_x": 5, "arm.stop_shift_y": 3})).points(0.0, 0.0)
    assert turned["arm_stop"] == pytest.approx(before["arm_stop"])
    assert shifted["arm_pin"] == pytest.approx(before["arm_pin"])
    assert shifted["arm_stop"] - before["arm_stop"] == pytest.approx([5.0, 3.0])


def test_the_lever_has_holes_and_a_stop_too() -> None:
    file = mechanism()
    pin, stop, rest = triangle(file, "lever")
    at = shaft_angle(pin, stop, rest)
    hole = file.changed({"lever.hole": 24})
    assert triangle(hole, "lever") == pytest.approx(apart(24 * cmath.exp(1j * at), stop), rel=1e-13)
    moved = file.changed({"lever.stop_shift_x": 2, "lever.stop_shift_y": -1})
    wanted = apart(pin * cmath.exp(1j * at), stop + 2 - 1j)
    assert triangle(moved, "lever") == pytest.approx(wanted, rel=1e-13)
    assert moved.inward.lever.hand_radius_mm == file.inward.lever.hand_radius_mm


def test_a_stop_and_a_pivot_moved_alike_are_a_lever_moved_as_a_whole() -> None:
    file = mechanism(lever={"hand_angle": 60.0})
    shift = {"lever.stop_shift_x": 3, "lever.stop_shift_y": -2}
    with_pivot = shift | {"lever.pivot_shift_x": 3, "lever.pivot_shift_y": -2}
    found = triangle(file.changed(with_pivot), "lever")
    pin, stop, rest = triangle(file, "lever")
    at = pin * cmath.exp(1j * shaft_angle(pin, stop, rest))
    wanted = abs(at - (3 - 2j)), stop, abs(at - (stop + 3 - 2j))
    assert found == pytest.approx(wanted, rel=1e-13)


def test_the_casing_stops_a_turned_arm_where_it_always_did() -> None:
    file = mechanism(arm={"max_rotation": 30.0})
    turned = file.changed({"arm.turned": 12})
    assert float(turned.inward.arm.max_rotation_rad) == pytest.approx(math.radians(18))
    with pytest.raises(GeometryError, match="beyond the 30 deg"):
        file.changed({"arm.turned": 31})


def test_later_distances_take_the_moved_arm_as_it_stands() -> None:
    file = mechanism(arm=ARM)
    hole = file.changed({"arm.hole": 30})
    found = hole.changed({"arm.stop_distance": 100})
    assert triangle(found) == pytest.approx((30.0, 100.0, triangle(hole)[2]), rel=1e-13)
    again = hole.changed({"arm.hole": 34})
    assert triangle(again) == pytest.approx(triangle(file.changed({"arm.hole": 34})), rel=1e-13)
    points = {"pivot": [0, 0], "pin": [0, 40], "stop": [90, 30]}
    assert triangle(hole.changed({"arm": {"points": points}}))[0] == 40.0


BAD: dict[str, tuple[dict[str, Any], str, str]] = {
    "hole and radius": ({"arm.hole": 30, "arm.radius": 30}, "arm.radius", "follows from arm.hole"),
    "turn and rest length": (
        {"arm.turned": 5, "arm.rest_length": 88}, "arm.rest_length", "follows from arm.turned"
    ),
    "teeth without splines": ({"arm.turned_by": 1}, "arm.splines", "Needed, and not given"),
    "half a tooth": (
        {"arm.splines": 36, "arm.turned_by": 0.5}, "arm.turned_by", "cannot be"
    ),
    "no hole": ({"arm.hole": 0}, "arm.hole", "cannot be"),
    "past dead centre": ({"arm.turned": 75}, "arm.turned", "change sides"),
    "past the other dead centre": ({"arm.turned": -120}, "arm.turned", "change sides"),
    "a stop across the arm": ({"arm.stop_shift_y": 400}, "arm.stop_shift_y", "change sides"),
    "a turn in mm": ({"arm.turned": "5 mm"}, "arm.turned", "an angle is wanted"),
}  # fmt: skip


@pytest.mark.parametrize(("change", "key", "words"), BAD.values(), ids=BAD)
def test_a_move_that_cannot_be_is_refused_by_its_key(change: Any, key: str, words: str) -> None:
    with pytest.raises(GeometryError) as caught:
        mechanism(arm=ARM).changed(change)
    told = {fault.key: fault.problem for fault in caught.value.faults}
    assert words in told[key]


def test_a_batch_gives_the_reason_for_a_move_that_cannot_be() -> None:
    many = liftgeo.batch(mechanism(arm=ARM), {"arm.turned": np.array([0.0, 75.0])})
    assert many.reason.tolist() == [0, int(Reason.ARM_DEAD_CENTRE)]


def test_a_drum_has_no_hole() -> None:
    drum = mechanism(arm={"kind": "drum", "drum_radius": 40.0})
    with pytest.raises(GeometryError, match="kind"):
        drum.changed({"arm.hole": 30})


# ---------------------------------------------------------------- by an amount

BY: dict[str, tuple[dict[str, Any], str, float]] = {
    "a length": ({"arm.radius": "2 mm less"}, "arm.radius", 36.0),
    "another unit": ({"arm.radius": "1/8 in longer"}, "arm.radius", 41.175),
    "a share": ({"cable.stiffness": "10 % stiffer"}, "cable.stiffness", 264.0),
    "a count": ({"spring.in_series": "1 more"}, "spring.in_series", 2.0),
    "a default of nothing": ({"rod.shaft_float": "0.1 mm more"}, "rod.shaft_float", 0.1),
    "a turn": ({"arm.turned": "10 deg more"}, "arm.turned", 10.0),
    "a hole from the one there is": ({"arm.hole": "8 mm less"}, "arm.hole", 30.0),
}


@pytest.mark.parametrize(("change", "key", "value"), BY.values(), ids=BY)
def test_a_number_changes_by_an_amount(change: Any, key: str, value: float) -> None:
    found = mechanism(arm=ARM, stack=None, spring={"installed_deflection": 2.1}).changed(change)
    assert found.keys[key] == pytest.approx(value, rel=1e-12)
    ((typed_key, typed),) = change.items()
    assert found.change == f"{typed_key} = {typed}"


def test_amounts_add_up_one_change_after_the_other() -> None:
    found = mechanism(arm=ARM).changed({"arm.radius": "2 mm less"}, {"arm.radius": "3 mm more"})
    assert found.keys["arm.radius"] == 39.0
    again = mechanism(arm=ARM).changed({"arm.radius": "2 mm less"})
    assert again.changed({"arm.radius": "2 mm less"}).keys["arm.radius"] == 34.0


def test_an_amount_of_a_distance_that_the_points_give() -> None:
    points = {"pivot": [0, 0], "pin": [0, 40], "stop": [90, 30]}
    file = mechanism(arm={**dict.fromkeys(ARM), "points": points})
    assert file.changed({"arm.radius": "4 mm less"}).keys["arm.radius"] == 36.0


def test_the_file_keeps_its_plus_minus_and_an_amount_may_add_one() -> None:
    file = mechanism(arm={**ARM, "radius": "38 ± 0.3 mm"})
    assert file.changed({"arm.radius": "2 mm less"}).keys["arm.radius"].half_width == 0.3
    exact = mechanism(arm=ARM).changed({"arm.radius": "2 ± 0.1 mm less"}).keys["arm.radius"]
    assert (float(exact), exact.half_width) == (36.0, pytest.approx(0.1))


def test_a_usual_value_keeps_its_range() -> None:
    whole = document(cable={"free_play": None}) | {"left_out": "usual"}
    file = from_document(whole)
    taken = next(item for item in file.taken if item.key == "cable.free_play")
    found = file.changed({"cable.free_play": "1 mm less"}).keys["cable.free_play"]
    assert float(found) == pytest.approx(taken.value - 1.0)
    assert isinstance(found, Measured)
    assert found.half_width == pytest.approx((taken.high - taken.low) / 2)


NOT_BY: dict[str, tuple[dict[str, Any], str, str]] = {
    "another dimension": ({"arm.radius": "5 kg less"}, "arm.radius", "a length is wanted"),
    "a sign besides": ({"arm.radius": "-5 mm more"}, "arm.radius", "not by a sign"),
    "too much": ({"arm.radius": "40 mm less"}, "arm.radius", "cannot be"),
    "an unknown key": ({"arm.raduis": "5 mm less"}, "arm.raduis", "Not a known key"),
    "a word": ({"rod.action": "1 mm more"}, "rod.action", "for one number"),
    "nothing there": ({"lever.blade_length": "5 mm more"}, "lever.blade_length", "not given"),
    "rigid": ({"lever.stiffness": "5 % more"}, "lever.stiffness", "is rigid"),
}


@pytest.mark.parametrize(("change", "key", "words"), NOT_BY.values(), ids=NOT_BY)
def test_an_amount_that_cannot_be_is_refused(change: Any, key: str, words: str) -> None:
    with pytest.raises(GeometryError) as caught:
        mechanism(arm=ARM, lever={"stiffness": "rigid"}).changed(change)
    assert any(f.key == key and words in f.problem for f in caught.value.faults)


def test_an_amount_that_leaves_what_cannot_be_is_told_as_it_was_typed() -> None:
    with pytest.raises(GeometryError) as caught:
        mechanism(cable={"free_play": 2.0}).changed({"cable.free_play": "3 mm less"})
    (fault,) = caught.value.faults
    assert (fault.key, fault.value) == ("cable.free_play", "3 mm less")
    assert "It is 2 mm, so that leaves -1 mm" in fault.problem
    assert fault.remedy


def test_an_amount_in_the_file_itself_is_sent_to_the_changes() -> None:
    with pytest.raises(GeometryError, match=r"stands in \[changes\.NAME\]"):
        mechanism(arm={**ARM, "radius": "1 mm more"})


def test_named_changes_take_amounts_and_moves() -> None:
    whole = document(changes=CHANGES | {"hand": {"arm": {"hole": "4 mm less", "turned": 5}}})
    file = from_document(whole)
    assert file.changed("hand").keys["arm.hole"] == file.keys["arm.radius"] - 4
    whole["changes"]["hand"]["arm"]["hole"] = "4 kg less"
    with pytest.raises(GeometryError, match=r"changes\.hand\.arm\.hole"):
        from_document(whole)


def test_batches_and_sizing_take_them_too() -> None:
    file = mechanism(arm=ARM)
    many = liftgeo.batch(file, {"arm.radius": ["2 mm less", "40 mm"]})
    plain = liftgeo.batch(file, {"arm.radius": [36.0, 40.0]})
    assert many.separation_mm.tolist() == plain.separation_mm.tolist()
    found = liftgeo.size(file, ["arm.hole=25..40"], ["clearance>=0"])
    assert 25.0 <= found.values["arm.hole"] <= 40.0
    near = liftgeo.size(file, ["arm.radius=5 mm less..5 mm more"], ["clearance>=0"])
    assert 33.0 <= near.values["arm.radius"] <= 43.0
    rigid = mechanism(lever={"stiffness": "rigid"})
    with pytest.raises(RequestError, match="is rigid"):
        liftgeo.size(rigid, ["lever.stiffness=5 % less..5 % more"])


def test_amounts_stand_in_changes_that_are_tried_together() -> None:
    """A hole by an amount beside others: the search for sets reads none of them as a length."""
    changes = {
        "drilled": {"arm": {"hole": "4 mm less"}},
        "new-arm": {"arm": {"radius": 36.0}},
        "back": {"arm": {"turned": "5 deg more"}},
        "play": {"cable": {"free_play": "0.5 mm less"}},
    }
    file = from_document(document(arm=ARM) | {"changes": changes})
    made = {name: file.changes[name] for name in changes}
    assert exclude_each_other(made["drilled"], made["new-arm"])
    assert not exclude_each_other(made["drilled"], made["back"])
    assert not exclude_each_other(made["drilled"], made["play"])
    found = liftgeo.compare(file)
    assert {case.label for case in found.variants} == set(changes)
    assert found.nearest is None or not {"drilled", "new-arm"} <= set(found.nearest.tried.names)
