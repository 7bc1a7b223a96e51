"""What a change holds and what follows, against triangles worked out by hand.

The cosine rule for a side and an angle (Euclid, Elements, book II, propositions 12 and 13, from
memory) is written out here on its own; triangles such as 3, 4, 5 give whole numbers.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from clutches import mechanism

import liftgeo
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.consequence import Consequence, consequence
from liftgeo.words.follow_lines import follow_lines, follow_text

STOP = 92.0


def side(a: float, b: float, between_deg: float) -> float:
    """Return the third side of a triangle."""
    return math.sqrt(a * a + b * b - 2 * a * b * math.cos(math.radians(between_deg)))


def angle(opposite: float, a: float, b: float) -> float:
    """Return the angle between two sides [deg]."""
    return math.degrees(math.acos((a * a + b * b - opposite * opposite) / (2 * a * b)))


def with_arm(**arm: Any) -> Mechanism:
    """Return a clutch with an arm of these keys alone."""
    gone = dict.fromkeys(("radius", "stop_distance", "rest_length", "cable_angle", "axial_offset"))
    return mechanism(arm=gone | arm)


def told(found: Consequence) -> tuple[dict[str, float], dict[str, tuple[float, float]]]:
    """Return what is held, and what follows, before and after, by key."""
    held = {item.key: item.value for item in found.held}
    return held, {item.key: (item.before, item.after) for item in found.followed}


def test_the_same_radius_says_which_of_two_machines_it_makes() -> None:
    by_length = with_arm(radius=36.0, stop_distance=STOP, rest_length=88.0)
    at_rest = angle(STOP, 36.0, 88.0)
    by_angle = with_arm(radius=36.0, stop_distance=STOP, cable_angle=at_rest)

    held, followed = told(consequence(by_length.changed({"arm.radius": 30.0})))
    assert held == {"arm.rest_length": 88.0}
    assert followed == {"arm.cable_angle": pytest.approx((at_rest, angle(STOP, 30.0, 88.0)))}

    held, followed = told(consequence(by_angle.changed({"arm.radius": 30.0})))
    cos = math.cos(math.radians(at_rest))
    rest = 30.0 * cos + math.sqrt((30.0 * cos) ** 2 + STOP**2 - 30.0**2)
    assert held == {"arm.cable_angle": pytest.approx(at_rest)}
    assert followed == {"arm.rest_length": pytest.approx((88.0, rest))}


def test_another_hole_holds_the_angle_at_the_shaft() -> None:
    file = with_arm(radius=30.0, stop_distance=40.0, rest_length=50.0)  # square at the shaft
    held, followed = told(consequence(file.changed({"arm.hole": 9.0})))
    assert held == {"arm.shaft_angle": pytest.approx(90.0)}
    assert followed["arm.rest_length"] == pytest.approx((50.0, 41.0))  # 9, 40, 41
    assert followed["arm.cable_angle"][1] == pytest.approx(math.degrees(math.atan2(40.0, 9.0)))
    assert set(followed) == {"arm.rest_length", "arm.cable_angle"}


def test_an_arm_turned_on_its_splines_says_by_how_much_and_what_follows() -> None:
    file = with_arm(radius=30.0, stop_distance=40.0, rest_length=50.0)
    held, followed = told(consequence(file.changed({"arm.splines": 36, "arm.turned_by": 1})))
    assert held == {}
    assert followed["arm.rest_length"] == pytest.approx((50.0, side(30.0, 40.0, 80.0)))
    assert "arm.radius" not in followed


def test_a_cable_stop_moved_says_all_three() -> None:
    file = with_arm(radius=30.0, stop_distance=40.0, rest_length=50.0)
    followed = told(consequence(file.changed({"arm.stop_shift_x": 32.0})))[1]
    assert followed["arm.stop_distance"] == pytest.approx((40.0, 72.0))
    assert followed["arm.rest_length"] == pytest.approx((50.0, 78.0))  # 30, 72, 78


def test_of_two_changes_in_a_row_only_what_neither_names_follows() -> None:
    file = with_arm(radius=30.0, stop_distance=40.0, rest_length=50.0)
    changed = file.changed({"arm.turned": 10.0}, {"arm.radius": 25.0})
    found = consequence(changed)
    assert found.laid == ("arm.turned", "arm.radius")
    assert "arm.rest_length" in told(found)[1]
    assert "arm.radius" not in told(found)[1]
    second = consequence(changed, file.changed({"arm.turned": 10.0}))
    assert second.laid == ("arm.radius",)
    assert told(second)[0] == {"arm.rest_length": pytest.approx(side(30.0, 40.0, 80.0))}


def test_points_are_held_as_the_distances_between_them() -> None:
    points = {"pivot": [0.0, 0.0], "pin": [0.0, 30.0], "stop": [40.0, 0.0]}
    held, followed = told(consequence(with_arm(points=points).changed({"arm.radius": 26.0})))
    assert held == {"arm.rest_length": pytest.approx(50.0)}
    assert followed["arm.cable_angle"][1] == pytest.approx(angle(40.0, 26.0, 50.0))


def test_a_longer_spring_says_what_holds_its_seat() -> None:
    springs = {
        "kind": "coils",
        "count": 6,
        "rate": 32.0,
        "free_length": 46.0,
        "solid_length": 28.0,
    }
    by_length = mechanism(spring=springs | {"installed_length": 36.0}, stack=None)
    held, followed = told(consequence(by_length.changed({"spring.free_length": 48.0})))
    assert held == {"spring.installed_length": 36.0}
    assert followed == {"spring.installed_deflection": pytest.approx((10.0, 12.0))}


def test_a_thicker_plate_presses_the_spring_by_as_much() -> None:
    changed = mechanism().changed({"stack.friction_plate": "0.2 mm thicker"})
    held, followed = told(consequence(changed))
    before, after = followed.pop("spring.installed_deflection")
    assert after - before == pytest.approx(0.2)
    assert held == {}
    assert "spring.installed_length" not in followed  # the same said another way


def test_play_read_at_the_hand_is_held_and_the_slack_follows() -> None:
    file = mechanism(cable={"free_play": None, "free_play_at_hand": 6.0})
    held, followed = told(consequence(file.changed({"lever.hand_radius": "20 mm more"})))
    assert held == {"cable.free_play_at_hand": 6.0}
    before, after = followed["cable.free_play"]
    assert after < before  # the same way of a longer lever turns it less


def test_torque_follows_power() -> None:
    file = mechanism(engine={"torque": 30.0})
    followed = told(consequence(file.changed({"engine.power": 2.0, "engine.speed": 1000})))[1]
    assert followed == {"engine.torque": pytest.approx((30.0, 60 / math.pi))}


@pytest.mark.parametrize("change", [{"cable.friction": 0.05}, {"faces.friction": 0.2}])
def test_where_nothing_follows_nothing_is_said(change: dict[str, float]) -> None:
    file = mechanism()
    changed = file.changed(change)
    assert consequence(changed).followed == ()
    assert follow_lines(changed, "metric") == follow_lines(file, "metric") == []


def test_a_drum_and_a_partial_file_have_less_to_say() -> None:
    file = from_document(
        {
            "lever": {"kind": "drum", "drum_radius": 20.0, "hand_radius": 80.0, "hand_travel": 40},
            "arm": {"radius": 30.0, "stop_distance": 40.0, "rest_length": 50.0},
        }
    )
    assert consequence(file) == Consequence()
    changed = file.changed({"arm.hole": 9.0}, {"lever.drum_radius": 22.0})
    assert set(told(consequence(changed))[1]) == {"arm.rest_length", "arm.cable_angle"}


def test_the_sentence_is_in_the_units_of_the_page() -> None:
    file = with_arm(radius=30.0, stop_distance=40.0, rest_length=50.0)
    found = consequence(file.changed({"arm.radius": 28.0}))
    after = angle(40.0, 28.0, 50.0)
    before = angle(40.0, 30.0, 50.0)
    shared = f"cable angle becomes {after:.1f} deg (was {before:.1f})"
    assert follow_text(found, "metric") == f"arm: rest length held at 50.0 mm; {shared}"
    assert follow_text(found, "inch") == f"arm: rest length held at 1.97 in; {shared}"


def test_a_small_move_is_never_shown_as_none() -> None:
    file = with_arm(radius=30.0, stop_distance=40.0, rest_length=50.0)
    text = follow_text(consequence(file.changed({"arm.hole": 29.97})), "metric")
    assert "49.98 mm (was 50.00)" in text


def test_the_data_name_each_number_with_its_unit() -> None:
    file = with_arm(radius=30.0, stop_distance=40.0, rest_length=50.0)
    data = consequence(file.changed({"arm.radius": 28.0})).to_dict()
    assert data["set"] == ["arm.radius"]
    assert data["held"] == [{"key": "arm.rest_length", "value": 50.0, "unit": "mm"}]
    (followed,) = data["followed"]
    assert (followed["key"], followed["unit"]) == ("arm.cable_angle", "deg")
    assert liftgeo.stroke(file).change is None
