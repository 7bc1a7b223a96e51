"""What every stroke must show: its end, its peak, its rows, its events, its budget, its jump.

Each is held to a plain scan of thousands of places along the stroke.
"""

from __future__ import annotations

import itertools
import json

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from mechanisms import SMOOTH, between, documents, mechanisms, read

import liftgeo
from liftgeo.chain import position
from liftgeo.chain.budget import ITEMS
from liftgeo.outcome.outcome import EVENTS, VERDICTS, analysed


def scan(outcome, count=1500):
    """Return stroke coordinates up to full lever, and the positions there."""
    end = float(outcome.end.at)
    early = np.linspace(0.0, min(end, 4.0), count)
    late = np.linspace(min(end, 4.0), end, count)
    at = np.unique(np.concatenate([early, late, [j for j in (1.0, 2.0, 3.0) if j < end]]))
    return at, position(outcome.parts, at)


@settings(max_examples=50, derandomize=True)
@given(mechanisms())
def test_full_lever_is_the_first_position_at_which_something_ends_the_stroke(mechanism):
    outcome = analysed(mechanism)
    parts = outcome.parts
    with np.errstate(all="ignore"):
        at, p = scan(outcome)
        name = outcome.stop_names[int(outcome.end.limit)]
        lever, arm = parts.lever.link, parts.arm.link
        unit_slope = parts.release.at(p.unit_rotation_rad).slope_mm_per_rad
        room = {
            "grip": parts.lever.hand_travel_mm - p.hand_travel_mm,
            "track-end": parts.release_max_rotation_rad - p.unit_rotation_rad,
            "arm-stop": parts.arm.max_rotation_rad - p.arm_rotation_rad,
            "spring": parts.spring.last_deflection_mm - p.deflection_mm,
        }
        # A dead centre is where a moment arm ends, whatever the angle is called.
        arms = [p.lever_moment_arm_mm, arm.at(p.arm_rotation_rad).moment_arm_mm, unit_slope]
    for value in room.values():
        assert np.all(np.broadcast_to(value, at.shape)[:-1] > -1e-9)
    for moment_arm in arms:
        assert np.all(np.broadcast_to(moment_arm, at.shape)[:-1] > 0)
    last = {key: float(np.broadcast_to(value, at.shape)[-1]) for key, value in room.items()}
    if name in ("dead-centre", "table-end"):
        ends = [lever.last_rotation_rad - p.lever_angle_rad, *arms]
        nearest = min(abs(float(np.broadcast_to(v, at.shape)[-1])) for v in ends)
        assert min(nearest, abs(last["spring"])) < 1e-3
    else:
        key = "spring" if name.startswith("spring") else name
        assert abs(last[key]) < 1e-9


@settings(max_examples=50, derandomize=True)
@given(mechanisms())
def test_no_position_is_heavier_than_the_peak(mechanism):
    result = liftgeo.stroke(mechanism)
    outcome = analysed(mechanism)
    assume(not outcome.end.jumps)
    _, p = scan(outcome)
    assert result.peak.hand_force_n >= np.max(p.hand_force_n) * (1 - 1e-9)
    assert result.peak.hand_force_n >= np.max(result.stroke.hand_force_n) * (1 - 1e-12)
    table = result.stroke  # without any give the force rises while the hand stands still
    there = np.abs(table.hand_travel_mm - result.peak.hand_travel_mm) < 1e-9
    assert np.max(table.hand_force_n[there]) == pytest.approx(result.peak.hand_force_n, rel=1e-9)


@settings(max_examples=40, derandomize=True)
@given(mechanisms(), st.integers(100, 260))
def test_rows_run_from_rest_to_full_lever_with_every_event_among_them(mechanism, positions):
    result = liftgeo.stroke(mechanism, positions)
    table, full = result.stroke, result.full_lever
    travel = table.hand_travel_mm
    assert {len(table.table()[name]) for name in table.table().dtype.names} == {positions}
    assert travel[0] == pytest.approx(0.0, abs=1e-9)
    assert table.hand_force_n[0] == 0.0
    assert travel[-1] == pytest.approx(full.hand_travel_mm, rel=1e-12)
    assert np.all(np.diff(travel) >= -1e-9)
    for name in ("plate_lift_mm", "rod_travel_mm", "arm_rotation_deg", "cable_pull_mm"):
        assert getattr(table, name)[-1] == pytest.approx(getattr(full, name), rel=1e-9, abs=1e-9)
    assert [e.name for e in result.events] == list(EVENTS)
    for event in result.events:
        if not event.reached:
            assert np.isnan(event.lever_angle_deg)
            assert np.isnan(event.left_mm)
            continue
        gaps = np.abs(travel - event.hand_travel_mm) + np.abs(
            table.lever_angle_deg - event.lever_angle_deg
        )
        assert gaps.min() < 1e-9
        assert event.left_mm == pytest.approx(full.hand_travel_mm - event.hand_travel_mm, abs=1e-9)
        assert event.left_mm >= -1e-9


@settings(max_examples=40, derandomize=True)
@given(mechanisms())
def test_events_stand_where_they_say(mechanism):
    """Their position is found again here by interpolating a dense scan."""
    result = liftgeo.stroke(mechanism)
    outcome = analysed(mechanism)
    assume(not outcome.end.jumps)
    at, p = scan(outcome)
    apart, faces = np.maximum(at - 4.0, 0.0), outcome.parts.faces
    target = float(faces.target_separation_mm)
    wanted = {"faces-part": 0.0, "running-clear": float(faces.needed_mm), "target-clear": target}
    for name, separation in wanted.items():
        event = result.event(name)
        assert event.reached == (at[-1] >= 4.0 - 1e-9 and apart[-1] >= separation - 1e-9)
        if event.reached and at[-1] > 4.0:
            expected = np.interp(4.0 + separation, at, p.hand_travel_mm)
            assert event.hand_travel_mm == pytest.approx(float(expected), abs=2e-4)
    taken = result.event("slack-taken-up")
    assert taken.reached == (at[-1] >= 1.0)
    if taken.reached:
        before = position(outcome.parts, np.array([0.5, 1.0 - 1e-9]))
        assert np.all(np.broadcast_to(before.tension_n, 2) == 0)
        slack = float(outcome.parts.cable.slack_mm)
        there = position(outcome.parts, 1.0)
        assert float(there.cable_pull_mm) == pytest.approx(slack, abs=1e-9)


@settings(max_examples=40, derandomize=True)
@given(mechanisms())
def test_budget_lines_add_up_and_end_at_the_clearance(mechanism):
    result = liftgeo.stroke(mechanism)
    lines, faces = result.budget, mechanism.parts().faces
    assert tuple(line.item for line in lines) == ITEMS
    assert lines[0].lost_mm == 0
    for before, line in itertools.pairwise(lines):
        assert line.left_mm == pytest.approx(before.left_mm - line.lost_mm, abs=1e-9)
    left = {line.item: line.left_mm for line in lines}
    lost = {line.item: line.lost_mm for line in lines}
    assert left["run-out-and-tilt"] == pytest.approx(
        result.full_lever.clearance_per_face_mm * 2 * float(faces.plates), abs=1e-9
    )
    assert lost["run-out-and-tilt"] == pytest.approx(result.full_lever.needed_mm, abs=1e-12)
    assert lost["cushion"] == pytest.approx(float(mechanism.parts().cushion_mm), abs=1e-12)
    if result.full_lever.plate_lift_mm > 0:
        assert left["stop"] == pytest.approx(result.full_lever.plate_lift_mm, abs=1e-9)
    if result.full_lever.separation_mm > 0:
        assert left["cushion"] == pytest.approx(result.full_lever.separation_mm, abs=1e-9)
    if result.stopped_by == "grip":
        assert lost["stop"] == pytest.approx(0.0, abs=1e-7)


@settings(max_examples=30, derandomize=True)
@given(mechanisms(**SMOOTH))
def test_losses_are_losses(mechanism):
    """Where the stroke meets the grip, none of the plays and flexes adds lift."""
    result = liftgeo.stroke(mechanism)
    assume(result.stopped_by == "grip" and result.full_lever.plate_lift_mm > 0)
    for line in result.budget[1:]:
        assert line.lost_mm >= -1e-9, line.item


@settings(max_examples=40, derandomize=True)
@given(mechanisms())
def test_letting_back_is_paired_by_lift_and_never_heavier(mechanism):
    result = liftgeo.stroke(mechanism)
    table = result.stroke
    moved = table.plate_lift_mm > 1e-9
    assert np.all(table.return_hand_force_n >= 0)
    assert np.all(table.return_hand_force_n <= table.hand_force_n * (1 + 1e-12) + 1e-9)
    if not analysed(mechanism).end.jumps:
        there, back = table.hand_travel_mm[moved], table.return_hand_travel_mm[moved]
        assert np.all(back <= there * (1 + 1e-12) + 1e-9)
    assert result.full_lever.return_hand_force_n == pytest.approx(
        table.return_hand_force_n[-1], rel=1e-9
    )


@settings(max_examples=40, derandomize=True)
@given(mechanisms())
def test_the_verdict_is_the_first_that_holds(mechanism):
    full = liftgeo.stroke(mechanism).full_lever
    verdict = liftgeo.stroke(mechanism).verdict
    wet = mechanism.keys["faces.friction_plates"] > 2
    plates = mechanism.keys["faces.friction_plates"]
    gross = full.separation_mm / (2 * plates)
    if full.separation_mm <= 1e-9:
        assert verdict == "no-release"
    elif full.clearance_per_face_mm * 2 * plates < -1e-9:
        assert verdict == "drags"
    elif full.clearance_per_face_mm < (0.03 if wet else 0.10) - 1e-9 or (
        wet and gross < 0.10 - 1e-9
    ):
        assert verdict == "marginal"
    else:
        assert verdict == "clear"
    assert verdict in VERDICTS


@settings(max_examples=30, derandomize=True)
@given(mechanisms())
def test_json_has_no_nan_and_nothing_but_plain_numbers(mechanism):
    data = liftgeo.stroke(mechanism).to_dict()
    text = json.dumps(data, allow_nan=False)
    assert json.loads(text) == data


# ---------------------------------------------------------------- the jump


@st.composite
def snapping(draw):
    """Return a document with a steep disc behind a soft cable."""
    document = draw(documents(**SMOOTH | {"spring": ("coned-disc",)}))
    spring = document["spring"]
    spring["thickness"] = draw(between(1.2, 1.7))
    spring["cone_height"] = spring["thickness"] * draw(between(1.9, 2.4))
    share = draw(between(0.35, 0.7))
    spring["installed_deflection"] = spring["cone_height"] * share * spring.get("in_series", 1)
    spring["past_flat"] = draw(st.booleans())
    document["cable"]["stiffness"] = draw(between(25, 90))
    document["lever"]["hand_travel"] = draw(between(60, 110))
    return document


@settings(max_examples=120, derandomize=True)
@given(snapping())
def test_a_jump_is_where_the_hand_would_have_to_come_back(document):
    mechanism = read(document)
    outcome = analysed(mechanism)
    end, parts = outcome.end, outcome.parts
    at, p = scan(outcome)
    travel = np.broadcast_to(p.hand_travel_mm, at.shape)
    highest = np.maximum.accumulate(travel)
    fell = highest - travel > 1e-7
    assert bool(end.jumps) == bool(fell.any())
    if not end.jumps:
        return
    result = liftgeo.stroke(mechanism)
    assert "snap" in [w.key for w in result.warnings]
    apart = np.ones(at.shape, bool)
    for start, landed in zip(end.jumps_from, end.jumps_to, strict=True):
        apart &= ~((at >= start - 1e-3) & (at <= landed + 1e-3))
    assert not np.any(fell[apart])
    start, landed = float(end.jumps_from[0]), float(end.jumps_to[0])
    before, after = (float(position(parts, q).hand_travel_mm) for q in (start, landed))
    inside = (at > start + 1e-3) & (at < landed - 1e-3)
    assert np.all(travel[inside] < before)
    assert before == pytest.approx(float(highest[np.argmax(fell)]), abs=1e-5)
    if landed < float(end.at):
        assert after == pytest.approx(before, abs=1e-9)
    else:  # the plates land on a stop before the hand's travel is reached again
        assert after <= before + 1e-9
    columns = result.stroke
    lifts = columns.plate_lift_mm
    ends = [float(position(parts, q).lift_mm) for q in (start, landed)]
    rows = [int(np.flatnonzero(np.abs(lifts - ends[0]) < 1e-9)[-1])]
    rows.append(int(np.flatnonzero(np.abs(lifts - ends[1]) < 1e-9)[0]))
    assert rows[1] == rows[0] + 1
    assert columns.hand_travel_mm[rows[1]] == pytest.approx(
        columns.hand_travel_mm[rows[0]], abs=1e-9
    )
    assert result.full_lever.hand_travel_mm >= before - 1e-9
    top = np.max(p.hand_force_n[~((at > start) & (at < landed))])
    assert result.peak.hand_force_n >= top * (1 - 1e-9)
