"""Where the blade meets the grip: hand travel from shapes, in files, changes, batches, faults."""

from __future__ import annotations

import math

import numpy as np
import pytest
from clutches import document, faults, mechanism

import liftgeo
from liftgeo.errors import Reason
from liftgeo.mechanism import from_document

LEVER = {
    "kind": "pin",
    "nipple_radius": 27.0,
    "stop_distance": 43.0,
    "rest_length": 46.0,
    "hand_radius": 78.0,
    "hand_angle": 70.0,
}
BLADE = {"points": [[0, 0], [-45, 20], [-90, 45], [-130, 70]], "width": 10.0}
GRIP = {"diameter": 32.0, "place": [[-150, -40], [40, -40]], "allowance": 2.0}


def shaped(lever=None, grip=None, blade=None, **tables):
    """Return the base clutch with an invented blade and grip in place of its hand travel."""
    own = {**LEVER, "outline": {**BLADE, **(blade or {})}, **(lever or {})}
    return {"lever": own, "grip": {**GRIP, **(grip or {})}, **tables}


def in_points(turn=0.7, at=(12.0, -5.0), mirrored=False):
    """Return the lever as points of a drawing that is turned, moved and perhaps mirrored."""
    own = mechanism(**shaped()).inward.sides("lever")
    cosine = (own.pin**2 + own.stop**2 - own.rest**2) / (2 * own.pin * own.stop)
    pin_at = math.acos(cosine)
    hand_at = pin_at + math.radians(LEVER["hand_angle"])

    def moved(x, y):
        y = -y if mirrored else y
        cos, sin = math.cos(turn), math.sin(turn)
        return [at[0] + x * cos - y * sin, at[1] + x * sin + y * cos]

    points = {
        "pivot": moved(0, 0),
        "pin": moved(own.pin * math.cos(pin_at), own.pin * math.sin(pin_at)),
        "stop": moved(own.stop, 0),
        "hand": moved(78 * math.cos(hand_at), 78 * math.sin(hand_at)),
    }
    outline = {"points": [moved(*p) for p in BLADE["points"]], "width": BLADE["width"]}
    lever = {"kind": "pin", "points": points, "outline": outline}
    grip = {**GRIP, "place": [moved(*p) for p in GRIP["place"]]}
    return {"lever": lever, "grip": grip}


def travel(file):
    return float(file.inward.lever.hand_travel_mm)


def test_a_straight_bar_is_met_by_the_tip_where_the_sine_says() -> None:
    # Worked by hand in docs/theory.md, "Blade and grip": a straight blade 130 mm long at 150 deg,
    # a bar 40 mm below the pivot; it comes within (10 + 32)/2 + 3 = 24 mm of the bar's middle where
    # its tip stands 16 mm below the pivot.
    tip = [130 * math.cos(math.radians(150)), 130 * math.sin(math.radians(150))]
    file = mechanism(**shaped(grip={"allowance": 3.0}, blade={"points": [[0, 0], tip]}))
    angle = math.radians(30) + math.asin(16 / 130)
    assert travel(file) == pytest.approx(78 * angle, rel=1e-12)
    result = liftgeo.stroke(file)
    assert result.stopped_by == "grip"
    assert result.full_lever.lever_angle_deg == pytest.approx(37.0697, abs=5e-5)


def test_a_round_is_met_by_the_side_of_a_blade_where_its_tangent_says() -> None:
    # A blade straight from the pivot, a round 90 mm off: arcsin(reach / 90) before its middle.
    blade = {"points": [[0, 0], [-120, 0]]}
    place = [90 * math.cos(math.radians(215)), 90 * math.sin(math.radians(215))]
    file = mechanism(**shaped(blade=blade, grip={"place": place}))
    angle = math.radians(35) - math.asin(23 / 90)
    assert travel(file) == pytest.approx(78 * angle, rel=1e-12)


def test_a_glove_shortens_the_travel_and_left_out_it_is_taken_as_usual() -> None:
    bare, gloved = (travel(mechanism(**shaped(grip={"allowance": a}))) for a in (0.0, 4.0))
    assert gloved < bare
    grip = {k: v for k, v in GRIP.items() if k != "allowance"}
    file = mechanism(**{**shaped(), "grip": grip, "left_out": "usual"})
    taken = {item.key: item for item in file.taken}
    assert bare > travel(file) > travel(mechanism(**shaped(grip={"allowance": 10.0})))
    assert (taken["grip.allowance"].low, taken["grip.allowance"].high) == (0.0, 10.0)
    certain = from_document(document(**{**shaped(), "grip": grip, "left_out": "nothing"}))
    assert travel(certain) == bare


def test_points_and_distances_give_the_same_contact_turned_or_mirrored() -> None:
    ours = travel(mechanism(**shaped()))
    for where in ({}, {"turn": -2.0}, {"mirrored": True}):
        assert travel(mechanism(**in_points(**where))) == pytest.approx(ours, rel=1e-12)


def test_a_travel_that_is_given_goes_before_the_shapes() -> None:
    file = mechanism(**shaped(lever={"hand_travel": 30.0}))
    assert travel(file) == 30.0
    assert "grip.allowance" not in {item.key for item in file.taken}


def test_a_change_of_a_shape_takes_the_place_of_a_travel_that_was_given() -> None:
    given = mechanism(**shaped(lever={"hand_travel": 30.0}))
    thick = given.changed({"grip.diameter": 36.0})
    assert travel(thick) == travel(mechanism(**shaped(grip={"diameter": 36.0})))
    assert travel(thick) < travel(mechanism(**shaped()))
    back = thick.changed({"lever.hand_travel": 25.0})
    assert travel(back) == 25.0
    assert travel(given.changed({"arm.radius": 40.0})) == 30.0


def test_the_same_sums_of_many_grips_as_of_each() -> None:
    file = mechanism(**shaped())
    many = {"grip.diameter": np.array([24.0, 32.0, 38.0]), "lever.outline.width": [8.0, 10.0, 14.0]}
    found = liftgeo.batch(file, many)
    for k in range(3):
        own = file.changed({key: float(values[k]) for key, values in many.items()})
        result = liftgeo.stroke(own)
        assert found.hand_travel_mm[k] == pytest.approx(result.full_lever.hand_travel_mm, rel=1e-12)
        assert found.clearance_per_face_mm[k] == pytest.approx(
            result.full_lever.clearance_per_face_mm, rel=1e-9
        )


def test_a_batch_says_which_grips_cannot_be() -> None:
    found = liftgeo.batch(mechanism(**shaped()), {"grip.allowance": np.array([0.0, 60.0])})
    assert found.ok.tolist() == [True, False]
    assert found.reason[1] == Reason.GRIP_CONTACT


def test_a_moved_pivot_leaves_grip_and_blade_where_they_were() -> None:
    moved = {"lever.pivot_shift_x": 3.0, "lever.pivot_shift_y": 2.0}
    ours = mechanism(**shaped()).changed(moved)
    theirs = mechanism(**in_points(mirrored=True)).changed(moved)
    assert travel(ours) == pytest.approx(travel(theirs), rel=1e-12)
    shift = np.array([3.0, 2.0])
    blade = [(np.array(p) - shift).tolist() for p in BLADE["points"]]
    place = [(np.array(p) - shift).tolist() for p in GRIP["place"]]
    lever = {"hand_radius": float(ours.inward.lever.hand_radius_mm)}
    by_hand = mechanism(**shaped(lever=lever, blade={"points": blade}, grip={"place": place}))
    assert travel(ours) == pytest.approx(travel(by_hand), rel=1e-12)


def test_shapes_follow_when_a_change_takes_or_gives_the_points() -> None:
    by_points = mechanism(**in_points(mirrored=True))
    longer = by_points.changed({"lever.nipple_radius": 28.0})
    assert travel(longer) == pytest.approx(travel(by_points), rel=1e-12)
    points = in_points()["lever"]["points"]
    change = {f"lever.points.{name}": place for name, place in points.items()}
    assert travel(mechanism(**shaped()).changed(change)) == pytest.approx(
        travel(by_points), rel=1e-12
    )


def test_everything_twice_the_size_turns_as_far() -> None:
    twice = {k: 2 * v for k, v in LEVER.items() if k not in ("kind", "hand_angle")}
    blade = {"points": (2 * np.array(BLADE["points"])).tolist(), "width": 20.0}
    grip = {"diameter": 64.0, "place": [[-300, -80], [80, -80]], "allowance": 4.0}
    large = mechanism(**shaped(lever={**twice}, blade=blade, grip=grip))
    assert travel(large) == pytest.approx(2 * travel(mechanism(**shaped())), rel=1e-12)


def test_a_drum_turns_from_x_to_y() -> None:
    drum = {"kind": "drum", "drum_radius": 20.0, "hand_radius": 80.0, "outline": BLADE}
    file = mechanism(lever=drum, grip=GRIP)
    ours = mechanism(**shaped())
    assert travel(file) / 80 == pytest.approx(travel(ours) / 78, rel=1e-12)


def test_text_with_units_draws_the_same() -> None:
    place = [["-15 cm", "-4 cm"], ["4 cm", -40]]
    assert travel(mechanism(**shaped(grip={"place": place}))) == travel(mechanism(**shaped()))


def test_a_plus_minus_of_the_grip_goes_into_how_sure_the_answer_is() -> None:
    file = mechanism(**shaped(grip={"diameter": "32 ± 2 mm"}))
    keys = {share.key for share in liftgeo.known(file).shares}
    assert "grip.diameter" in keys
    beside = mechanism(**shaped(lever={"hand_travel": 30.0}, grip={"diameter": "32 ± 2 mm"}))
    assert liftgeo.known(beside) is None


BAD = {
    "touching": ({"grip": {"place": [[-150, -5], [40, -5]]}}, "grip.place", "overlaps the grip"),
    "no room": ({"grip": {"allowance": 60.0}}, "grip.allowance", "leaves the lever no travel"),
    "behind": ({"grip": {"place": [[-120, 150], [0, 150]]}}, "grip.place", "the other way"),
    "past": ({"grip": {"place": [200, -100]}}, "grip.place", "turns past it"),
    "one point": ({"blade": {"points": [[0, 0]]}}, "lever.outline.points", "1 point cannot be"),
    "zero width": ({"blade": {"width": 0}}, "lever.outline.width", "cannot be"),
    "crossing": (
        {"blade": {"points": [[0, 0], [-50, 0], [-50, 20], [-20, -20]]}},
        "lever.outline.points",
        "crosses or touches itself",
    ),
    "folded": (
        {"blade": {"points": [[0, 0], [-50, 0], [-20, 0]]}},
        "lever.outline.points",
        "crosses or touches itself",
    ),
    "twice": (
        {"blade": {"points": [[0, 0], [0, 0], [-20, 0]]}},
        "lever.outline.points",
        "Points 1 and 2 are the same",
    ),
    "±": ({"grip": {"place": ["-80 ± 1 mm", -30]}}, "grip.place", "a shape cannot use"),
    "no list": ({"grip": {"place": 5}}, "grip.place", "must be a list of points"),
    "three numbers": ({"grip": {"place": [1, 2, 3]}}, "grip.place", "not a point"),
    "huge": ({"blade": {"points": [[0, 0], [1e13, 0]]}}, "lever.outline.points", "too large"),
    "many": ({"blade": {"points": [[k, 0] for k in range(101)]}}, "lever.outline.points", "many"),
    "a word": ({"grip": {"place": ["left", 5]}}, "grip.place", "left"),
}


@pytest.mark.parametrize(("spoiled", "key", "said"), BAD.values(), ids=BAD.keys())
def test_what_cannot_be_names_its_key(spoiled, key, said) -> None:
    found = faults(**shaped(**spoiled))
    assert [fault.key for fault in found] == [key]
    assert said in found[0].problem + found[0].value
    assert found[0].remedy


def test_a_blade_without_a_grip_does_not_give_a_travel() -> None:
    (found,) = faults(lever={**LEVER, "outline": BLADE})
    assert found.key == "lever.hand_travel"
    assert mechanism(lever={**LEVER, "outline": BLADE, "hand_travel": 40.0})


def test_a_grip_alone_asks_for_the_travel_or_the_blade() -> None:
    (found,) = faults(lever=LEVER, grip=GRIP)
    assert found.key == "lever.hand_travel"
    assert "lever.outline" in found.remedy
