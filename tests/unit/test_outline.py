"""Where the points of lever and arm stand: against the lengths that the stroke goes by."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from clutches import mechanism
from every_kind import NAMES, mechanism_of

import liftgeo
from liftgeo.outline.links import ASSUMED_HAND_ANGLE_DEG, outline

LEVER = {
    "pivot": [10.0, 20.0],
    "pin": [14.0, 47.0],
    "stop": [57.0, 26.0],
    "hand": [-54.0, 66.0],
}
ARM = {"pivot": [-3.0, 2.0], "pin": [-3.0, 44.0], "stop": [82.0, 55.0]}
"""Points of an invented drawing."""


def by_points(**changed):
    """Return the base clutch with its lever and arm as points."""
    lever = {"kind": "pin", "points": {**LEVER, **changed}, "hand_travel": 40.0}
    return mechanism(lever=lever, arm={"kind": "pin", "points": ARM})


def turns(file):
    """Return blade angle and arm rotation through the stroke [rad]."""
    stroke = liftgeo.stroke(file).stroke
    columns = (stroke.lever_angle_deg, stroke.arm_rotation_deg)
    return [tuple(map(np.radians, row)) for row in zip(*columns, strict=True)][::10]


def lengths(points, table):
    """Return the distances from the pivot to pin, stop and hand, where there are such."""
    pivot = points[f"{table}_pivot"]
    named = [points.get(f"{table}_{name}") for name in ("pin", "stop", "hand")]
    return [float(np.hypot(*(point - pivot))) for point in named if point is not None]


@pytest.mark.parametrize("name", NAMES)
def test_no_rigid_length_changes_through_the_stroke(name: str) -> None:
    file = mechanism_of(name)
    drawn = outline(file)
    every = [drawn.points(*turn) for turn in turns(file)]
    for table in ("lever", "arm"):
        for one, next_one in pairwise(every):
            assert lengths(one, table) == pytest.approx(lengths(next_one, table), abs=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_the_cable_between_the_points_is_its_rest_length_and_the_pull(name: str) -> None:
    file = mechanism_of(name)
    drawn, parts = outline(file), file.parts()
    for blade, arm in turns(file):
        points = drawn.points(blade, arm)
        for table, link, turn in (("lever", parts.lever.link, blade), ("arm", parts.arm.link, arm)):
            if points[f"{table}_pin"] is None:
                continue
            flat = np.hypot(*(points[f"{table}_pin"] - points[f"{table}_stop"]))
            length = np.hypot(flat, getattr(drawn, table).axial_offset_mm)
            sense = 1 if table == "lever" else -1
            wanted = link.rest_length_mm + sense * link.at(turn).pull_mm
            assert length == pytest.approx(wanted, abs=1e-9)


def test_points_of_a_file_keep_their_frame() -> None:
    found = outline(by_points()).points(0.0, 0.0)
    for name, point in LEVER.items():
        assert found[f"lever_{name}"].tolist() == point
    for name, point in ARM.items():
        assert found[f"arm_{name}"].tolist() == point


def test_the_mirror_image_of_points_gives_the_mirrored_points_and_the_same_stroke() -> None:
    file = by_points()
    mirrored = by_points(**{name: [-x, y] for name, (x, y) in LEVER.items()})
    ours, theirs = liftgeo.stroke(file), liftgeo.stroke(mirrored)
    assert theirs.full_lever.separation_mm == pytest.approx(ours.full_lever.separation_mm, abs=0)
    turn = np.radians(ours.full_lever.lever_angle_deg)
    one, other = outline(file).points(turn, 0.1), outline(mirrored).points(turn, 0.1)
    for name in ("lever_pin", "lever_hand"):
        assert other[name] == pytest.approx(one[name] * [-1, 1], abs=1e-12)


def test_points_and_the_distances_between_them_give_equal_strokes() -> None:
    file = by_points()
    lever, arm = file.inward.sides("lever"), file.inward.sides("arm")
    distances = mechanism(
        lever={
            "kind": "pin",
            "nipple_radius": float(lever.pin),
            "stop_distance": float(lever.stop),
            "rest_length": float(lever.rest),
            "hand_radius": float(lever.hand),
            "hand_travel": 40.0,
        },
        arm={
            "kind": "pin",
            "radius": float(arm.pin),
            "stop_distance": float(arm.stop),
            "rest_length": float(arm.rest),
        },
    )
    ours, theirs = liftgeo.stroke(file).table(), liftgeo.stroke(distances).table()
    for column in ours.dtype.names:
        wanted = pytest.approx(ours[column], rel=1e-12, abs=1e-12, nan_ok=True)
        assert theirs[column] == wanted, column


def test_an_own_frame_stands_on_the_pivot_and_looks_to_the_stop() -> None:
    for drawn in (outline(by_points()), outline(mechanism())):
        for link in (drawn.lever.in_own_frame(), drawn.arm.in_own_frame()):
            assert link.pivot.tolist() == [0.0, 0.0]
            assert link.stop[1] == pytest.approx(0.0, abs=1e-12)
            assert link.stop[0] > 0
            assert link.pin[1] > 0


def test_a_hand_that_the_file_does_not_place_is_assumed_and_named() -> None:
    drawn = outline(mechanism(lever={"hand_angle": None}))
    assert drawn.assumed == ("lever.hand_angle",)
    pin, hand = drawn.lever.pin, drawn.lever.hand
    between = np.degrees(np.arctan2(hand[1], hand[0]) - np.arctan2(pin[1], pin[0]))
    assert between == pytest.approx(ASSUMED_HAND_ANGLE_DEG)
    assert outline(mechanism(lever={"hand_angle": 75.0})).assumed == ()


def test_a_moved_pivot_leaves_pin_stop_and_hand_where_they_were() -> None:
    file = mechanism(lever={"hand_angle": 70.0})
    moved = file.changed({"lever.pivot_shift_x": 3.0, "lever.pivot_shift_y": -2.0})
    here, there = outline(file).points(0.0, 0.0), outline(moved).points(0.0, 0.0)
    for name in ("lever_pin", "lever_stop", "lever_hand"):
        assert there[name] == pytest.approx(here[name], abs=1e-12)
    assert there["lever_pivot"].tolist() == [3.0, -2.0]
    sides = moved.inward.sides("lever")
    assert lengths(there, "lever") == pytest.approx([sides.pin, sides.stop, sides.hand], abs=1e-12)


def test_the_plus_or_minus_of_points_carries_into_how_sure_the_answer_is() -> None:
    """The spread follows from the slope of the clearance over each coordinate (first order)."""
    width = 0.4
    file = by_points(pin=[f"14.0 ± {width} mm", f"47.0 ± {width} mm"])
    sure = liftgeo.known(file)
    slopes = []
    for axis in (0, 1):
        ends = []
        for step in (-0.05, 0.05):
            pin = list(LEVER["pin"])
            pin[axis] += step
            found = liftgeo.stroke(by_points(pin=pin)).full_lever
            ends.append(found.clearance_per_face_mm)
        slopes.append((ends[1] - ends[0]) / 0.1)
    deviation = width / 2 * np.hypot(*slopes)  # ± is two standard deviations
    spread = sure.clearance_per_face_mm.p95 - sure.clearance_per_face_mm.p05
    assert spread == pytest.approx(2 * 1.6449 * deviation, rel=0.03)  # 2,000 samples
    shares = {each.key: each.share for each in sure.shares}
    wanted = np.square(slopes) / np.sum(np.square(slopes))
    for axis in (0, 1):
        assert shares[f"lever.points.pin[{axis}]"] == pytest.approx(wanted[axis], abs=0.05)


@pytest.mark.parametrize(
    ("table", "keys", "key", "said"),
    [
        ("casing", {"outlines": []}, "casing.outlines", "It holds no outline."),
        ("casing", {"outlines": [[]]}, "casing.outlines", ""),
        ("arm", {"outline": {"points": [], "width": 8}}, "arm.outline.points", "0 points cannot"),
    ],
)
def test_a_shape_without_points_says_what_is_lacking(
    table: str, keys: dict[str, object], key: str, said: str
) -> None:
    with pytest.raises(liftgeo.GeometryError) as refused:
        mechanism(**{table: keys})
    (fault,) = refused.value.faults
    assert fault.key == key
    assert said in fault.problem
    assert "For example" in fault.remedy
