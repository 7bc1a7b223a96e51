"""Gaps through the stroke: arm, cable and casing, blade and grip, cables at their stops."""

from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import pytest
import shapely
from clutches import BASE_FILE, DRUM_LEVER, document, fault, mechanism

import liftgeo
from liftgeo.mechanism import from_document
from liftgeo.mechanism.link_points import LinkPoints, link_points
from liftgeo.outcome.outcome import analysed
from liftgeo.outline.gaps import swept

ARM = {"points": [[0, 0], [0, 45]], "width": 12.0}
FAR = [[-60, 60], [-40, 60], [-40, 80], [-60, 80]]


def with_casing(*outlines, arm=ARM, **tables):
    """Return the base clutch with an invented arm outline and outlines of its casing."""
    own = {"arm": {"outline": arm}} if arm else {}
    return mechanism(**own, casing={"outlines": list(outlines)}, **tables)


def arm_turn(file):
    """Return the arm's rotation at full lever [rad]."""
    return math.radians(liftgeo.stroke(file).full_lever.arm_rotation_deg)


def block(x, y, size=10.0):
    """Return a square whose left lower corner stands at x, y."""
    return [[x, y], [x + size, y], [x + size, y + size], [x, y + size]]


def gap(file, what):
    return next(g for g in analysed(file).gaps if g.what == what)


def keys(file):
    return {w.key: w for w in liftgeo.stroke(file).warnings}


@pytest.mark.parametrize(("turn", "width"), [(0.6, 10.0), (-1.9, 4.0), (0.05, 14.0)])
def test_a_straight_arm_sweeps_the_sector_of_a_ring_and_half_its_width_round_it(turn, width):
    # Worked by hand: a radial line from r1 to r2 sweeps the sector of a ring; half the width b
    # round it adds, to the outer and inner arcs, two straight sides, and four quarter rounds:
    # turn ((r2 + b)^2 - (r1 - b)^2)/2 + 2 b (r2 - r1) + pi b^2.
    r1, r2, b = 15.0, 60.0, width / 2
    link = LinkPoints(np.array([4.0, -3.0]), None, None, np.asarray(-1))
    found = swept(np.array([[4.0 + r1, -3.0], [4.0 + r2, -3.0]]), width, link, turn)
    area = abs(turn) * ((r2 + b) ** 2 - (r1 - b) ** 2) / 2 + 2 * b * (r2 - r1) + math.pi * b**2
    # Chords of a quarter degree, and rounds of 32 pieces a quarter, lie within 1 in 2000.
    assert found.area == pytest.approx(area, rel=5e-4)


def test_the_gap_is_the_least_between_the_swept_arm_and_the_casing() -> None:
    file = with_casing(block(45.0, 35.0))
    whole = swept(np.array(ARM["points"]), 12.0, link_points(file.inward, "arm"), arm_turn(file))
    wanted = whole.distance(shapely.Polygon(block(45.0, 35.0)))
    assert float(gap(file, "arm to casing").utmost) == pytest.approx(wanted, abs=2e-3)


def test_the_gap_at_full_lever_is_as_worked_by_hand() -> None:
    # An arm along +y turns towards +x; a wall right of it is nearest to its tip at full lever.
    file = with_casing([[60, -50], [80, -50], [80, 90], [60, 90]])
    found = gap(file, "arm to casing")
    turn = arm_turn(file)
    assert float(found.utmost) == pytest.approx(60 - 45 * math.sin(turn) - 6, abs=1e-9)
    full = liftgeo.stroke(file).full_lever.hand_travel_mm
    assert float(found.at_hand_travel_mm) == pytest.approx(full)


def test_a_corner_that_the_arm_passes_is_nearest_on_the_way() -> None:
    # A corner 50 mm from the shaft, at an angle that the arm passes half way.
    turn = arm_turn(with_casing(FAR)) / 2
    x, y = 55 * math.sin(turn), 55 * math.cos(turn)
    spike = [[x, y], [x + 2, y + 30], [x - 2, y + 30]]
    found = gap(with_casing(spike), "arm to casing")
    assert float(found.utmost) == pytest.approx(55 - 45 - 6, abs=1e-6)
    travel = float(found.at_hand_travel_mm)
    there = math.radians(
        liftgeo.position(with_casing(spike), hand_travel_mm=travel).arm_rotation_deg
    )
    assert there == pytest.approx(turn, abs=1e-3)


def test_an_arm_that_meets_the_casing_is_a_stop_and_says_where() -> None:
    limit = 6 + 45 * math.sin(arm_turn(with_casing(FAR)) / 2)
    wall = [[limit, -50], [limit + 20, -50], [limit + 20, 90], [limit, 90]]
    file = with_casing(wall)
    found = gap(file, "arm to casing")
    turn = float(found.meets_at_arm_rad)
    assert 45 * math.sin(turn) + 6 == pytest.approx(limit, abs=1e-5)
    warning = keys(file)["arm-meets-casing"]
    assert warning.severity == "stop"
    assert f"turned {math.degrees(turn):.1f} deg" in warning.message
    assert "little-gap" not in keys(file)
    ended = file.changed({"arm.max_rotation": math.degrees(turn) - 0.01})
    assert liftgeo.stroke(ended).stopped_by == "arm-stop"
    assert "arm-meets-casing" not in keys(ended)


def test_a_little_gap_is_told_on_its_own_side_of_the_limit() -> None:
    turn = arm_turn(with_casing(FAR))
    for room, told in ((0.9, True), (1.1, False)):
        x = 45 * math.sin(turn) + 6 + room
        file = with_casing([[x, -50], [x + 20, -50], [x + 20, 90], [x, 90]])
        mine = keys(file).get("little-gap")
        assert (mine is not None and "between arm and casing" in mine.message) == told
        wider = file.changed({"casing.least_gap": 2.0})
        assert "arm and casing" in keys(wider)["little-gap"].message


def test_a_cable_on_the_casing_is_told() -> None:
    points = link_points(mechanism().inward, "arm")
    middle = (points.pin + points.stop) / 2
    file = with_casing(block(middle[0] - 2, middle[1] - 2, 4.0), arm=None)
    assert "cable-on-casing" in keys(file)
    assert "cable-on-casing" not in keys(with_casing(FAR, arm=None))


def test_many_are_as_each() -> None:
    file = with_casing(block(50.0, 35.0))
    widths = np.array([6.0, 12.0, 20.0])
    radii = np.array([36.0, 38.0, 41.0])
    many = analysed(file, {"arm.outline.width": widths, "arm.radius": radii})
    for k in range(3):
        change = {"arm.outline.width": float(widths[k]), "arm.radius": float(radii[k])}
        one = analysed(file.changed(change))
        for ours, theirs in zip(many.gaps + many.stops, one.gaps + one.stops, strict=True):
            assert ours.what == theirs.what
            assert ours.utmost[k] == pytest.approx(float(theirs.utmost), abs=1e-7)
            assert ours.at_hand_travel_mm[k] == pytest.approx(
                float(theirs.at_hand_travel_mm), abs=1e-3
            )


def test_everything_twice_the_size_leaves_twice_the_gap() -> None:
    link = LinkPoints(np.zeros(2), None, None, np.asarray(-1))
    one = swept(np.array(ARM["points"], float), 12.0, link, 0.3)
    two = swept(2 * np.array(ARM["points"], float), 24.0, link, 0.3)
    assert two.area == pytest.approx(4 * one.area, rel=1e-9)
    near, far = shapely.Polygon(block(45, 35)), shapely.Polygon(block(90, 70, 20.0))
    assert two.distance(far) == pytest.approx(2 * one.distance(near), rel=1e-9)


def test_the_mirror_image_in_points_has_the_same_gaps() -> None:
    own = mechanism()
    at = link_points(own.inward, "arm")

    def mirrored(point):
        return [-float(point[0]) + 5.0, float(point[1])]

    points = {name: mirrored(getattr(at, name)) for name in ("pivot", "pin", "stop")}
    outline = {"points": [mirrored(p) for p in ARM["points"]], "width": 12.0}
    casing = [mirrored(p) for p in block(45.0, 35.0)]
    arm = {"kind": "pin", "points": points, "outline": outline, "return_torque": 0.3}
    theirs = mechanism(arm=arm, casing={"outlines": casing})
    ours = with_casing(block(45.0, 35.0), arm=ARM, cable={})
    for what in ("arm to casing", "arm cable to casing"):
        assert float(gap(theirs, what).utmost) == pytest.approx(
            float(gap(ours, what).utmost), abs=1e-9
        )


def test_the_angle_at_a_stop_is_the_turn_of_the_cable() -> None:
    file = with_casing(FAR)
    at = link_points(file.inward, "lever")
    stroke = liftgeo.stroke(file).stroke
    angles = []
    for turn in np.radians(stroke.lever_angle_deg):
        cos, sin = math.cos(turn), math.sin(turn)
        pin = np.array([at.pin[0] * cos - at.pin[1] * sin, at.pin[0] * sin + at.pin[1] * cos])
        here, rest = pin - at.stop, at.pin - at.stop
        angles.append(abs(math.atan2(here[1], here[0]) - math.atan2(rest[1], rest[0])))
    found = next(s for s in analysed(file).stops if "lever" in s.what)
    assert float(found.utmost) == pytest.approx(max(angles), abs=1e-6)


def test_a_hole_that_points_aside_counts_and_is_told_past_its_limit() -> None:
    straight = analysed(with_casing(FAR)).stops
    aside = with_casing(FAR).changed({"arm.stop_direction": 30.0})
    assert "cable-leaves-stop" in keys(aside)
    found = next(s for s in analysed(aside).stops if "arm" in s.what)
    before = next(s for s in straight if "arm" in s.what)
    reach = float(np.degrees(found.utmost)), float(np.degrees(before.utmost))
    assert 30.0 <= reach[0] <= 30.0 + reach[1] + 1e-9
    for turned_aside, told in ((9.0 - reach[1], False), (10.5, True)):
        arm_alone = with_casing(FAR, lever=DRUM_LEVER).changed({"arm.stop_direction": turned_aside})
        assert ("cable-leaves-stop" in keys(arm_alone)) == told
    words = keys(aside)["cable-leaves-stop"].message
    assert ("lever's stop" in words) == ("is taken to point along" in words)


def test_a_given_travel_beyond_the_grip_is_told() -> None:
    lever = {
        "hand_angle": 70.0,
        "outline": {"points": [[0, 0], [-45, 20], [-130, 70]], "width": 10.0},
    }
    grip = {"diameter": 32.0, "place": [[-150, -40], [40, -40]]}
    drawn = mechanism(lever={**lever, "hand_travel": None}, grip={**grip, "allowance": 0.0})
    reached = float(drawn.inward.lever.hand_travel_mm)
    for travel, told in ((reached - 1, False), (reached + 2, True)):
        file = mechanism(lever={**lever, "hand_travel": travel}, grip=grip)
        assert ("travel-beyond-grip" in keys(file)) == told
    gap_there = next(g for g in analysed(drawn).gaps if g.what == "blade to grip")
    assert float(gap_there.utmost) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("outlines", "said"),
    [
        ([[[50, 0], [60, 0]]], "2 points cannot be an outline"),
        ([[[50, 0], [60, 10], [60, 0], [50, 10]]], "crosses or touches itself"),
        ([block(-5, 20)], "overlaps the outline of the casing already"),
        ([FAR, block(-5, 20)], "overlaps outline 2"),
        ([FAR, [[1, 2], "x"]], "Outline 2: Point 2 is not a point"),
        ([[[50, 0], [60, 0], [70, 0]]], "crosses or touches itself"),
        (5, "must be a list of outlines"),
    ],
)
def test_a_casing_that_cannot_be_names_its_key(outlines, said) -> None:
    found = fault(arm={"outline": ARM}, casing={"outlines": outlines})
    assert found.key == "casing.outlines"
    assert said in found.problem


def test_an_outline_may_stand_alone_and_may_be_closed_by_its_first_point() -> None:
    one = with_casing(block(50, 35)).keys["casing.outlines"]
    closed = mechanism(casing={"outlines": [*block(50, 35), block(50, 35)[0]]})
    assert closed.keys["casing.outlines"] == one


def test_an_arm_turned_on_its_shaft_takes_its_outline_with_it() -> None:
    # An arm along +y, turned by t towards +x at rest: a wall right of it is nearest to its tip at
    # full lever, 45 sin(t + turn) + 6 from the shaft.
    wall = [[60, -50], [80, -50], [80, 90], [60, 90]]
    file = with_casing(wall).changed({"arm.turned": 12.0})
    turn = arm_turn(file) + math.radians(12.0)
    found = gap(file, "arm to casing")
    assert float(found.utmost) == pytest.approx(60 - 45 * math.sin(turn) - 6, abs=1e-9)
    many = analysed(with_casing(wall), {"arm.turned": np.array([0.0, 12.0])}).gaps
    one = [float(gap(with_casing(wall), "arm to casing").utmost), float(found.utmost)]
    theirs = next(g for g in many if g.what == "arm to casing")
    assert np.asarray(theirs.utmost) == pytest.approx(one, abs=1e-9)
    drawn = liftgeo.drawn(file)
    shape = drawn.views(drawn.full)["arm"].named("arm outline")
    assert shape.points[:, 0].max() == pytest.approx(45 * math.sin(turn) + 6, abs=1e-2)


def test_an_arm_that_a_change_turns_into_the_casing_at_rest_names_its_key() -> None:
    file = with_casing([[20, 30], [40, 30], [40, 45], [20, 45]])
    with pytest.raises(liftgeo.GeometryError) as found:
        file.changed({"arm.turned": 35.0})
    (only,) = found.value.faults
    assert only.key == "casing.outlines"
    assert "Turned on its shaft (arm.turned)" in only.problem


def test_drawn_has_the_gaps_and_the_shapes() -> None:
    file = with_casing(block(50, 35))
    found = liftgeo.drawn(file)
    data = found.to_dict()
    assert [g["what"] for g in data["gaps"]] == ["arm to casing", "arm cable to casing"]
    assert {s["what"] for s in data["stop_angles"]} == {
        "cable at the lever's stop",
        "cable at the arm's stop",
    }
    shape = found.views(found.full)["arm"].named("arm outline")
    turned = swept(
        np.array(ARM["points"]), 12.0, link_points(file.inward, "arm"), arm_turn(file)
    ).buffer(0.01)
    assert turned.covers(shapely.Polygon(shape.points))
    assert liftgeo.drawn(mechanism()).to_dict()["gaps"] == []


def test_a_file_without_shapes_loads_no_geometry_library() -> None:
    program = (
        "import sys, liftgeo\n"
        f"liftgeo.stroke(liftgeo.load({str(BASE_FILE)!r}))\n"
        "sys.exit('shapely' in sys.modules)\n"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
    assert analysed(mechanism()).gaps == ()
    assert from_document(document()).keys["lever.stop_direction"] == 0.0
