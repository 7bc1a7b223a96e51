"""Places of the stroke as points, and every part as shapes that keep to the part's own law."""

from __future__ import annotations

import json
import math
from itertools import pairwise

import numpy as np
import pytest
from clutches import KINDS, changeable, mechanism
from every_kind import NAMES, mechanism_of

import liftgeo
from liftgeo.mechanism import from_document
from liftgeo.mechanism.release_tables import RELEASE_UNITS
from liftgeo.mechanism.tables import TABLES
from liftgeo.outline.ends import END_VIEWS
from liftgeo.outline.plates import SPRING_VIEWS, cone_height_mm
from liftgeo.outline.units import UNIT_VIEWS, ball_centre, unit_view
from liftgeo.studies.drawn import frames

LINKAGE = {
    "lever": {
        "nipple_radius": 26.0,
        "stop_distance": 42.0,
        "rest_length": 44.0,
        "hand_radius": 75.0,
        "hand_travel": 39.0,
    },
    "arm": {"radius": 38.0, "stop_distance": 95.0, "rest_length": 90.0},
}
TURNS = np.linspace(0.0, 0.3, 7)


def unit_of(**keys):
    """Return the keys and the unit of the base clutch with another release unit."""
    inward = mechanism(release=keys).inward
    return inward, inward.release


def seen(inward, turn, full=0.3):
    """Return the view of a unit where its own law puts it."""
    return unit_view(inward, turn, float(inward.release.at(turn).travel_mm), full)


def test_without_places_it_stands_at_rest_where_the_faces_part_and_at_full_lever() -> None:
    file = mechanism()
    found, result = liftgeo.drawn(file), liftgeo.stroke(file)
    assert [p.name for p in found.positions] == ["rest", "faces-part", "full-lever"]
    travels = [p.hand_travel_mm for p in found.positions]
    parting = result.event("faces-part").hand_travel_mm
    wanted = [0.0, parting, result.full_lever.hand_travel_mm]
    assert travels == pytest.approx(wanted, abs=1e-9)
    apart = [p.separation_mm for p in found.positions]
    assert apart == pytest.approx([0.0, 0.0, result.full_lever.separation_mm], abs=1e-12)


def test_where_the_faces_never_part_two_places_are_drawn() -> None:
    found = liftgeo.drawn(mechanism(lever={"hand_travel": 12.0}))
    assert [p.name for p in found.positions] == ["rest", "full-lever"]


def test_the_data_have_the_shape_that_was_agreed() -> None:
    data = liftgeo.drawn(mechanism(lever={"hand_angle": None})).to_dict()
    assert list(data) == ["positions", "gaps", "stop_angles", "assumed"]
    assert data["assumed"] == ["lever.hand_angle"]
    for place in data["positions"]:
        assert list(place) == ["hand_travel_mm", "points", "separation_mm"]
        assert list(place["points"]) == [
            "lever_pivot", "lever_pin", "lever_stop", "lever_hand",
            "arm_pivot", "arm_pin", "arm_stop",
        ]  # fmt: skip
        assert place["points"]["lever_pivot"] == [0.0, 0.0]
    assert json.loads(json.dumps(data, allow_nan=False)) == data


def test_a_drum_has_no_pin() -> None:
    data = liftgeo.drawn(mechanism(lever=KINDS["lever"]["drum"])).to_dict()
    points = data["positions"][0]["points"]
    assert points["lever_pin"] is None
    assert points["lever_stop"] is None
    assert points["lever_hand"] is not None


@pytest.mark.parametrize(
    ("at", "travel"), [("25mm", 25.0), ("1 in", 25.4), (12.5, 12.5), ("0", 0.0), ("50 %", None)]
)
def test_a_place_is_a_travel_or_a_share_of_it(at: str | float, travel: float | None) -> None:
    file = mechanism()
    full = liftgeo.stroke(file).full_lever.hand_travel_mm
    (place,) = liftgeo.drawn(file, at).positions
    assert place.hand_travel_mm == pytest.approx(full / 2 if travel is None else travel, abs=1e-9)
    there = liftgeo.position(file, hand_travel_mm=place.hand_travel_mm)
    assert place.separation_mm == pytest.approx(there.separation_mm, abs=1e-9)
    assert np.degrees(place.stand.lever_angle_rad) == pytest.approx(there.lever_angle_deg)
    assert np.degrees(place.stand.arm_rotation_rad) == pytest.approx(there.arm_rotation_deg)


def test_several_places_come_in_the_order_asked() -> None:
    found = liftgeo.drawn(mechanism(), ["30mm", "10mm"])
    assert [p.hand_travel_mm for p in found.positions] == pytest.approx([30.0, 10.0])


@pytest.mark.parametrize("at", ["400mm", "-1mm", "120%", "half", "3 kg", "nan", ""])
def test_a_place_that_is_none_is_refused(at: str) -> None:
    with pytest.raises(liftgeo.RequestError, match=r"hand|travel"):
        liftgeo.drawn(mechanism(), at)


def test_frames_go_evenly_from_rest_to_full_lever() -> None:
    file = mechanism()
    found = frames(file, 5)
    travels = [p.hand_travel_mm for p in found.positions]
    full = liftgeo.stroke(file).full_lever.hand_travel_mm
    assert travels == pytest.approx(np.linspace(0.0, full, 5), abs=1e-9)
    with pytest.raises(liftgeo.RequestError):
        frames(file, 1)


@pytest.mark.parametrize(
    ("tables", "seen_there"),
    [
        ((), {"lever", "arm"}),
        (("release",), {"lever", "arm", "release"}),
        (("release", "spring", "stack"), {"lever", "arm", "release", "spring"}),
    ],
)
def test_a_partial_file_is_drawn_as_far_as_it_reaches(tables, seen_there) -> None:
    whole = mechanism().given
    document = dict(LINKAGE)
    for table in tables:
        document[table] = {
            k.split(".", 1)[1]: v for k, v in whole.items() if k.startswith(f"{table}.")
        }
    if "stack" in tables:
        del document["stack"]
        document["spring"] = KINDS["spring"]["coils"]
    found = liftgeo.drawn(from_document(document, "partial"))
    assert [p.name for p in found.positions] == ["rest", "full-lever"]
    assert found.positions[-1].hand_travel_mm == pytest.approx(39.0)
    assert math.isnan(found.positions[-1].separation_mm)
    assert found.to_dict()["positions"][-1]["separation_mm"] is None
    assert set(found.views(found.positions[-1])) == seen_there


def test_every_kind_that_is_offered_has_a_view_of_its_own() -> None:
    assert set(UNIT_VIEWS) == set(RELEASE_UNITS)
    assert set(END_VIEWS) == set(TABLES["lever"]) == set(TABLES["arm"])
    assert set(SPRING_VIEWS) == set(TABLES["spring"])


@pytest.mark.parametrize("name", NAMES)
def test_every_shape_of_every_kind_is_of_finite_points_and_bears_one_name(name: str) -> None:
    found = liftgeo.drawn(mechanism_of(name))
    for place in found.positions:
        for view in found.views(place).values():
            names = [shape.name for shape in view.shapes]
            assert len(names) == len(set(names))
            for shape in view.shapes:
                assert np.isfinite(shape.points).all(), (view.name, shape.name)
                assert shape.is_circle or len(shape.points) > 1


@pytest.mark.parametrize("name", NAMES)
def test_the_shapes_of_both_ends_stand_on_the_points(name: str) -> None:
    found = liftgeo.drawn(mechanism_of(name))
    for place in found.positions:
        seen_there = found.views(place)
        for table in ("lever", "arm"):
            pin, stop = (place.points[f"{table}_{end}"] for end in ("pin", "stop"))
            if pin is None:
                continue
            cable = seen_there[table].named("cable").points
            np.testing.assert_allclose(cable, [pin, stop], atol=1e-12)


@pytest.mark.parametrize("table", ["lever", "arm"])
def test_the_mark_on_a_drums_wire_moves_by_the_pull(table: str) -> None:
    found = liftgeo.drawn(mechanism(**{table: KINDS[table]["drum"]}))
    first, last = found.positions[0], found.positions[-1]
    here, there = (found.views(p)[table].named("wire mark").points for p in (first, last))
    pull = getattr(last.stand, f"{table}_pull_mm")
    moved = float(np.hypot(*(there - here)[0]))
    assert moved == pytest.approx(pull, abs=1e-12)
    assert pull > 5.0
    turned = found.views(last)[table].named("radius").points[1]
    radius = float(np.hypot(*turned))
    angle = np.arctan2(turned[1], turned[0]) - np.pi / 2
    assert abs(angle) * radius == pytest.approx(pull, abs=1e-9)


# Release units. Each check is geometry that the unit's law does not use: distances from a point to
# a line, lengths of a rigid part.


def _from_line(point, first, last):
    """Return the distance of a point from the line through two others."""
    along = (last - first) / np.hypot(*(last - first))
    away = point - first
    return abs(along[0] * away[1] - along[1] * away[0])


@pytest.mark.parametrize(
    "slopes",
    [
        {"ramp_angle": 14.0},
        {"ramp_angle": 14.0, "far_ramp_angle": 0.0},
        {"ramp_angle": 10.0, "far_ramp_angle": 18.0},
        {"ramp_angle": 14.0, "balls": "held"},
        {"ramp_angle": 14.0, "ball_diameter": 8.0, "ball_count": 3},
    ],
    ids=["alike", "flat", "unequal", "held", "measured ball"],
)
def test_a_ball_touches_both_ramps_wherever_it_stands(slopes) -> None:
    inward, _ = unit_of(kind="ball-ramp", pitch_radius=16.0, **slopes)
    for turn in TURNS:
        view = seen(inward, turn)
        ball = view.named("ball")
        plates = ["far plate"] if slopes.get("balls") else ["near plate", "far plate"]
        for plate in plates:
            surface = view.named(plate).points
            touching = _from_line(ball.points[0], surface[0], surface[1])
            assert touching == pytest.approx(ball.radius_mm, abs=1e-12)
            # It touches the ramp itself, not the line beyond its ends.
            along = surface[1] - surface[0]
            share = (ball.points[0] - surface[0]) @ along / (along @ along)
            assert 0.0 < share < 1.0
    assert ("release.ball_diameter" in view.assumed) == ("ball_diameter" not in slopes)


@pytest.mark.parametrize("far", [14.0, 0.0, 20.0])
def test_a_rolling_ball_runs_as_far_on_both_ramps_and_turns_by_that_over_its_radius(far) -> None:
    inward, _ = unit_of(kind="ball-ramp", pitch_radius=16.0, ramp_angle=14.0, far_ramp_angle=far)
    turn = 0.25
    rest, there = seen(inward, 0.0), seen(inward, turn)
    ran = []
    for plate in ("near plate", "far plate"):
        contacts = []
        for view in (rest, there):
            surface = view.named(plate).points
            along = (surface[1] - surface[0]) / np.hypot(*(surface[1] - surface[0]))
            contacts.append((view.named("ball").points[0] - surface[0]) @ along)
        ran.append(abs(contacts[1] - contacts[0]))
    assert ran[0] == pytest.approx(ran[1], abs=1e-12)
    mark = there.named("ball mark").points
    way = mark[1] - mark[0]
    turned = abs(np.arctan2(way[1], way[0]) - np.pi / 2)
    # Rolling on both at once, the ball turns by each way over its radius, less the ramps' turn: 0.
    radius = there.named("ball").radius_mm
    assert turned == pytest.approx(ran[0] / radius, abs=1e-12)


def test_a_ball_between_equal_ramps_goes_half_as_far_as_both_plates() -> None:
    _, unit = unit_of(kind="ball-ramp", pitch_radius=16.0, ramp_angle=14.0)
    travel = float(unit.at(0.2).travel_mm)
    assert ball_centre(unit, 0.2, travel) == pytest.approx([16.0 * 0.2 / 2, travel / 2])


def test_a_screw_stays_on_its_flank() -> None:
    inward, _ = unit_of(kind="quick-thread", lead=25.0, mean_diameter=24.0)
    for turn in TURNS:
        view = seen(inward, turn)
        flank, screw = view.named("nut").points, view.named("screw").points
        for corner in screw[:2]:
            assert _from_line(corner, flank[0], flank[1]) == pytest.approx(0.0, abs=1e-12)
        assert screw[0][0] == pytest.approx(12.0 * turn)
    # One whole turn advances by the lead.
    whole = seen(inward, 2 * np.pi).named("screw").points[0]
    assert whole == pytest.approx([np.pi * 24.0, 25.0])


def test_pinion_and_rack_roll_on_each_other() -> None:
    inward, _ = unit_of(kind="rack", pinion_radius=4.5)
    rest = seen(inward, 0.0)
    for turn in TURNS:
        view = seen(inward, turn)
        rise = view.named("rack mark 0").points[0][1] - rest.named("rack mark 0").points[0][1]
        assert rise == pytest.approx(4.5 * turn, abs=1e-12)
        tip = view.named("pinion mark 0").points[1]
        assert np.arctan2(tip[1], tip[0]) == pytest.approx(turn)


@pytest.mark.parametrize("offset", [0.0, 2.0, -3.0])
def test_the_link_of_a_crank_keeps_its_length_and_the_rod_its_line(offset: float) -> None:
    inward, unit = unit_of(
        kind="crank", crank_radius=5.0, link_length=30.0, rest_angle=-10.0, offset=offset
    )
    start = seen(inward, 0.0).named("link").points[1]
    for turn in TURNS:
        view = seen(inward, turn)
        pin, slider = view.named("link").points
        assert np.hypot(*(pin - slider)) == pytest.approx(30.0, abs=1e-12)
        assert np.hypot(*pin) == pytest.approx(5.0, abs=1e-12)
        assert slider[0] == pytest.approx(offset, abs=1e-12)
        assert slider[1] - start[1] == pytest.approx(float(unit.at(turn).travel_mm), abs=1e-12)


def test_the_pin_of_a_crank_stays_in_its_slot() -> None:
    inward, _ = unit_of(kind="crank", crank_radius=5.0, rest_angle=-10.0)
    for turn in TURNS:
        view = seen(inward, turn)
        pin, slot = view.named("crank pin").points[0], view.named("slot").points
        assert pin[1] == pytest.approx(slot[:, 1].mean(), abs=1e-12)
        assert slot[:, 0].min() < pin[0] < slot[:, 0].max()


@pytest.mark.parametrize("cam", [None, 14.0])
def test_the_follower_lies_on_the_round(cam: float | None) -> None:
    keys = {"kind": "eccentric", "eccentricity": 5.0, "rest_angle": -10.0}
    inward, _ = unit_of(**keys, **({"cam_radius": cam} if cam else {}))
    for turn in TURNS:
        view = seen(inward, turn)
        around, flat = view.named("round"), view.named("follower").points
        touching = _from_line(around.points[0], flat[0], flat[1])
        assert touching == pytest.approx(around.radius_mm, abs=1e-12)
        assert np.hypot(*around.points[0]) == pytest.approx(5.0, abs=1e-12)
    assert view.assumed == (() if cam else ("release.cam_radius",))


def test_a_measured_cam_carries_its_follower_and_shows_its_readings() -> None:
    inward, _ = unit_of(**KINDS["release"]["profile"])
    for turn in TURNS:
        view = seen(inward, turn)
        curve = view.named("cam").points[:-3]
        tip = view.named("follower").points[0]
        on_curve = np.interp(tip[0], curve[:, 0], curve[:, 1])
        assert on_curve == pytest.approx(tip[1], abs=1e-3)  # straight between 61 samples
        first = view.named("reading 0").points[0]
        assert first[1] == 0.0


def test_a_disc_turns_about_its_edges_by_its_share_of_the_deflection() -> None:
    file = mechanism(spring={"in_series": 2, "installed_deflection": 2.0}, stack=None)
    inward = file.inward
    spring, pressed = inward.spring, 2.0
    assert cone_height_mm(spring, pressed) == pytest.approx(3.4 - 1.0)
    view = SPRING_VIEWS["coned-disc"](inward, pressed)
    free = float(spring.free_height_mm)
    assert view.points["top"][1] == pytest.approx(free - pressed)
    section = view.named("disc 0 0").points
    assert section[0][1] - section[1][1] == pytest.approx(2.4)
    assert np.hypot(*(section[3] - section[0])) == pytest.approx(1.7)


def test_coils_stand_at_their_length() -> None:
    inward = mechanism(spring=KINDS["spring"]["coils"], stack=None).inward
    seat = SPRING_VIEWS["coils"](inward, 8.0).named("seat above").points
    assert seat[:, 1] == pytest.approx([32.0, 32.0])


def test_the_tip_of_a_finger_moves_the_finger_ratio_times_the_plate() -> None:
    file = mechanism(rod={"finger_ratio": 4.0})
    found = liftgeo.drawn(file)
    rest, full = (found.views(p)["fingers"].points for p in (found.positions[0], found.full))
    lift = found.full.stand.lift_mm
    assert full["plate"][1] - rest["plate"][1] == pytest.approx(lift, abs=1e-12)
    assert rest["tip"][1] - full["tip"][1] == pytest.approx(4.0 * lift, abs=1e-12)


def test_the_gaps_of_the_pack_add_up_to_the_separation_magnified() -> None:
    found = liftgeo.drawn(mechanism_of("quarry-hauler"))
    closed, opened = (
        found.views(p)["plates"].points["pressure plate"] for p in found.positions[::2]
    )
    assert found.magnified > 1.0
    wanted = found.magnified * found.full.separation_mm
    assert opened[0] - closed[0] == pytest.approx(wanted, abs=1e-12)
    view = found.views(found.full)["plates"]
    edges = sorted(
        (s.points[:, 0].min(), s.points[:, 0].max()) for s in view.shapes if s.name != "axis"
    )
    gaps = [after[0] - before[1] for before, after in pairwise(edges)]
    assert gaps == pytest.approx([wanted / 6] * 6, abs=1e-12)


def test_a_changed_pivot_is_drawn_in_the_frame_of_the_lever_as_it_was() -> None:
    file = changeable()
    moved = file.changed("moved-pivot")
    stock, changed = liftgeo.drawn(file).outline.lever, liftgeo.drawn(moved).outline.lever
    assert changed.pivot - stock.pivot == pytest.approx([1.0, -3.0])
    assert changed.stop == pytest.approx(stock.stop)


def test_its_data_are_had_in_a_few_milliseconds() -> None:
    """The live page asks for a place and its shapes with every move of a slider."""
    import timeit

    file = mechanism()
    file.parts()

    def one() -> None:
        found = liftgeo.drawn(file, "50%")
        found.views(found.positions[0])

    one()
    assert min(timeit.repeat(one, number=1, repeat=5)) < 0.05
