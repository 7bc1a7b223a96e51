"""What a file that does not describe the whole clutch yet is told, level by level."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pytest
from clutches import document, mechanism

import liftgeo
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.outcome.partial import LEVELS

LATER = ("release", "spring", "faces")
FITTED = {"installed_deflection": 2.1}

RATIO = {"hand_travel_mm", "lever_angle_deg", "cable_pull_mm", "arm_rotation_deg"}
LIFT = RATIO | {"rod_travel_mm", "plate_lift_mm", "ideal_advantage"}
EFFORT = LIFT | {
    "hand_force_n",
    "return_hand_force_n",
    "return_hand_travel_mm",
    "cable_tension_n",
    "rod_force_n",
    "advantage",
}
COLUMNS = {"ratio": RATIO, "lift": LIFT, "effort": EFFORT}
GEOMETRY = ["geometry", "free-play", "end-float"]
LINES = {
    "ratio": [],
    "lift": GEOMETRY,
    "effort": ["geometry", "free-play", "lever-flex", "cable-stretch", "shaft-wind-up",
               "end-float", "rod-flex", "stop"],
}  # fmt: skip


def reaching(level: str, **tables: Any) -> Mechanism:
    """Return the base clutch as far as a level reaches, its spring's fit given by itself."""
    given = document(stack=None, spring=FITTED, engine=None, **tables)
    for table in LATER[LEVELS.index(level) :]:
        del given[table]
    return from_document(given)


@pytest.fixture(params=["ratio", "lift", "effort"])
def level(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def finite(block: dict[str, Any]) -> set[str]:
    return {name for name, value in block.items() if value is not None}


def test_a_file_tells_how_far_it_reaches(level: str) -> None:
    assert reaching(level).level == level
    assert reaching("full").level == "full"


def test_the_verdict_is_partial_and_nothing_is_known(level: str) -> None:
    file = reaching(level, left_out="usual")
    assert liftgeo.stroke(file).verdict == "partial"
    assert liftgeo.known(file) is None


def test_what_a_partial_answer_shows_is_told(level: str) -> None:
    result = liftgeo.stroke(reaching(level))
    text = str(result)
    assert "nan" not in f"{text}{result._repr_html_()}".lower()
    assert "mm at the hand" in text
    assert ("rod travel" in text) is (level != "ratio")
    assert ("peak" in text) is (level == "effort")


def test_columns_of_the_stroke_are_told_whole_or_not_at_all(level: str) -> None:
    data = liftgeo.stroke(reaching(level)).to_dict()
    told = {name for name, column in data["stroke"].items() if set(column) != {None}}
    assert told - {"cable_to_arm_angle_deg"} == COLUMNS[level]
    assert all(None not in data["stroke"][name] for name in told - {"advantage"})


def test_lines_of_the_budget_stay_and_those_that_cannot_be_told_are_null(level: str) -> None:
    lines = liftgeo.stroke(reaching(level)).to_dict()["budget"]
    whole = liftgeo.stroke(reaching("full")).to_dict()["budget"]
    assert [line["item"] for line in lines] == [line["item"] for line in whole]
    told = [line["item"] for line in lines if None not in line.values()]
    assert told == LINES[level]
    assert all(
        {value for name, value in line.items() if name != "item"} == {None}
        for line in lines
        if line["item"] not in told
    )


def test_json_has_no_numbers_that_are_none(level: str) -> None:
    text = json.dumps(liftgeo.stroke(reaching(level)).to_dict(), allow_nan=False)
    assert json.loads(text)["full_lever"]["clearance_per_face_mm"] is None


@pytest.mark.parametrize("name", ["capacity", "bearing", "hand", "peak", "effort"])
def test_what_rests_on_the_spring_is_told_with_the_spring(name: str) -> None:
    for level in ("ratio", "lift"):
        assert finite(liftgeo.stroke(reaching(level)).to_dict()[name]) == set()
    told = finite(liftgeo.stroke(reaching("effort")).to_dict()[name])
    whole = liftgeo.stroke(reaching("full")).to_dict()[name]
    assert told
    assert told <= finite(whole)


def test_separation_clearance_and_torque_need_the_faces(level: str) -> None:
    data = liftgeo.stroke(reaching(level)).to_dict()
    for name in ("separation_mm", "needed_mm", "clearance_per_face_mm", "clamp_force_n"):
        assert data["full_lever"][name] is None, name
    assert data["capacity"]["torque_nm"] is None
    assert data["capacity"]["slip_margin"] is None
    reached = {e["name"] for e in data["events"] if e["hand_travel_mm"] is not None}
    assert reached == (set() if level == "ratio" else {"slack-taken-up"})


def test_what_is_told_of_geometry_is_that_of_the_whole_clutch() -> None:
    """Slack and float are spent before any load, so lift by geometry has the same first lines."""
    whole = liftgeo.stroke(reaching("full"))
    part = liftgeo.stroke(reaching("lift"))
    lost = [{line.item: line.lost_mm for line in r.budget} for r in (whole, part)]
    left = [{line.item: line.left_mm for line in r.budget} for r in (whole, part)]
    assert left[1]["geometry"] == pytest.approx(left[0]["geometry"], rel=1e-12)
    assert lost[1]["free-play"] == pytest.approx(lost[0]["free-play"], rel=1e-12)
    assert lost[1]["end-float"] == pytest.approx(lost[0]["end-float"], rel=1e-12)
    assert left[1]["end-float"] == pytest.approx(part.full_lever.plate_lift_mm, rel=1e-12)


def test_the_effort_is_that_of_a_clutch_with_hard_true_faces() -> None:
    """By the whole chain: no cushion, so the plate moves as soon as the spring gives."""
    part = liftgeo.stroke(reaching("effort"))
    hard = liftgeo.stroke(reaching("full", faces={"cushion_travel": 0.0}))
    for name in ("hand_force_n", "cable_tension_n", "rod_force_n", "plate_lift_mm"):
        ours, theirs = getattr(part.full_lever, name), getattr(hard.full_lever, name)
        assert ours == pytest.approx(theirs, rel=1e-9), name
    assert part.peak.hand_force_n == pytest.approx(hard.peak.hand_force_n, rel=1e-9)
    assert part.capacity.clamp_force_n == pytest.approx(hard.capacity.clamp_force_n, rel=1e-12)


def test_the_ratio_needs_no_more_than_lever_and_arm() -> None:
    file = from_document({t: document()[t] for t in ("lever", "arm")})
    assert [t for t in file.tables if t in ("cable", "rod")] == []
    result = liftgeo.stroke(file)
    pull, turned = result.stroke.cable_pull_mm, result.stroke.arm_rotation_deg
    assert np.all(np.diff(pull) >= 0)
    assert np.all(np.diff(turned) >= 0)
    assert turned[-1] > turned[0]
    assert math.isfinite(result.full_lever.arm_rotation_deg)


def test_what_needs_the_whole_clutch_says_what_is_missing() -> None:
    file = mechanism(release={"ramp_angle": None}, faces=None)
    with pytest.raises(liftgeo.RequestError, match=r"\[release\] and \[.*release\.ramp_angle"):
        liftgeo.batch(file, {"arm.radius": np.array([38.0])})
    for level in ("ratio", "lift", "effort"):
        with pytest.raises(liftgeo.RequestError, match="liftgeo check"):
            reaching(level).need_full("A comparison")
    assert reaching("full").need_full("A comparison") is None
