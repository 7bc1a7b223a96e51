"""The mechanism with the hand somewhere along its stroke, jumps among what it meets."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from clutches import mechanism
from every_kind import NAMES, mechanism_of

import liftgeo
from liftgeo.chain import position as chain_position
from liftgeo.outcome.at_hand import PositionResult
from liftgeo.outcome.outcome import analysed

COLUMNS = [f.name for f in fields(PositionResult)]
SNAP = {
    "lever": {"hand_travel": 70.0},
    "cable": {"stiffness": 40.0},
    "stack": None,
    "release": {"max_rotation": None, "ramp_angle": 30.0},
    "spring": {
        "thickness": 1.4,
        "cone_height": 3.0,
        "installed_deflection": 2.0,
        "past_flat": True,
    },
}  # fmt: skip
"""A steep disc behind a soft cable (invented): the plates jump."""


def first_rows(travel):
    """Return the rows at which the hand first is where it is: in a jump it stands still."""
    return [k for k in range(len(travel)) if k == 0 or travel[k] > travel[k - 1] + 1e-9]


@pytest.mark.parametrize("name", NAMES)
def test_at_every_row_of_the_stroke_it_is_that_row(name: str) -> None:
    file = mechanism_of(name)
    table = liftgeo.stroke(file).table()
    rows = first_rows(table["hand_travel_mm"])
    assert len(rows) > 50
    for row in rows:
        found = liftgeo.position(file, hand_travel_mm=table["hand_travel_mm"][row])
        for column in COLUMNS:
            # What the hand's place leaves open by a rounding, near a dead centre, others feel.
            size = np.abs(table[column]).max()
            wanted = pytest.approx(table[column][row], rel=1e-7, abs=1e-7 * size + 1e-9)
            assert getattr(found, column) == wanted, (row, column)
        assert abs(found.hand_travel_mm - table["hand_travel_mm"][row]) <= 1e-10


@pytest.mark.parametrize("name", NAMES)
def test_the_blade_leads_to_the_same_place_as_the_hand(name: str) -> None:
    file = mechanism_of(name)
    full = liftgeo.stroke(file).full_lever.hand_travel_mm
    for share in (0.07, 0.31, 0.56, 0.83):
        by_hand = liftgeo.position(file, hand_travel_mm=share * full)
        by_blade = liftgeo.position(file, lever_angle_deg=by_hand.lever_angle_deg)
        assert by_blade.lever_angle_deg == pytest.approx(by_hand.lever_angle_deg, abs=1e-10)
        assert by_blade.hand_travel_mm == pytest.approx(by_hand.hand_travel_mm, abs=1e-8)


@pytest.mark.parametrize("kind", ["base", "snap"])
def test_it_lies_on_a_dense_interpolation(kind: str) -> None:
    """40,001 places of the chain, straight between them: a second way to each number."""
    file = mechanism(**(SNAP if kind == "snap" else {}))
    outcome = analysed(file)
    end = outcome.end
    at = np.linspace(0.0, float(end.at), 40001)
    for start, landed in zip(end.jumps_from, end.jumps_to, strict=True):
        at = at[(at <= float(start)) | (at >= float(landed))]
    dense = chain_position(outcome.parts, at)
    for travel in np.linspace(0.5, float(outcome.full.hand_travel_mm) - 0.5, 23):
        found = liftgeo.position(file, hand_travel_mm=travel)
        assert found.hand_travel_mm == pytest.approx(travel, abs=1e-10)
        for column, values in (
            ("rod_force_n", dense.rod_force_n),
            ("plate_lift_mm", dense.lift_mm),
            ("hand_force_n", dense.hand_force_n),
            ("cable_pull_mm", dense.cable_pull_mm),
        ):
            between = np.interp(travel, dense.hand_travel_mm, np.broadcast_to(values, at.shape))
            assert getattr(found, column) == pytest.approx(between, rel=2e-5, abs=2e-5), column


def test_in_a_jump_the_hand_stands_where_it_began_and_the_blade_springs_over() -> None:
    file = mechanism(**SNAP | {"lever": {"hand_travel": 70.0, "stiffness": 60.0}})
    outcome = analysed(file)
    end = outcome.end
    before = chain_position(outcome.parts, end.jumps_from[0])
    after = chain_position(outcome.parts, end.jumps_to[0])
    level = float(before.hand_travel_mm)
    there = liftgeo.position(file, hand_travel_mm=level)
    assert there.plate_lift_mm == pytest.approx(float(before.lift_mm), abs=1e-6)
    further = liftgeo.position(file, hand_travel_mm=level + 1e-3)
    assert further.plate_lift_mm > float(after.lift_mm) - 1e-9
    # With the force gone the blade springs forward under a hand that stands still.
    angles = [float(np.degrees(p.lever_angle_rad)) for p in (before, after)]
    assert angles[1] > angles[0] + 0.01
    amid = liftgeo.position(file, lever_angle_deg=sum(angles) / 2)
    assert amid.plate_lift_mm == pytest.approx(float(after.lift_mm), abs=1e-9)
    assert amid.hand_travel_mm == pytest.approx(level, abs=1e-9)


def test_plates_that_land_on_their_stop_leave_the_hand_at_full_lever() -> None:
    file = mechanism(**SNAP | {"spring": {**SNAP["spring"], "past_flat": False}})
    full = liftgeo.stroke(file).full_lever
    found = liftgeo.position(file, hand_travel_mm=full.hand_travel_mm)
    assert found.hand_travel_mm == pytest.approx(full.hand_travel_mm, abs=1e-9)
    assert found.plate_lift_mm < full.plate_lift_mm


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"hand_travel_mm": -0.1}, "hand_travel_mm = -0.1 mm is outside the stroke"),
        ({"hand_travel_mm": 39.1}, "goes from 0 to 39 mm"),
        ({"hand_travel_mm": float("nan")}, "outside the stroke"),
        ({"lever_angle_deg": 60.0}, "lever_angle_deg = 60 deg is outside the stroke"),
        ({"lever_angle_deg": "far"}, "must be a number, in deg"),
        ({}, "one of the two"),
        ({"hand_travel_mm": 1.0, "lever_angle_deg": 1.0}, "one of the two"),
    ],
)  # fmt: skip
def test_a_place_that_is_not_on_the_stroke_is_refused(asked, said: str) -> None:
    with pytest.raises(liftgeo.RequestError, match=said):
        liftgeo.position(mechanism(), **asked)


def test_both_ends_of_the_stroke_belong_to_it() -> None:
    full = liftgeo.stroke(mechanism()).full_lever
    rest = liftgeo.position(mechanism(), hand_travel_mm=0.0)
    assert (rest.plate_lift_mm, rest.hand_force_n, rest.lever_angle_deg) == (0.0, 0.0, 0.0)
    last = liftgeo.position(mechanism(), hand_travel_mm=39.0)
    shared = {name: getattr(full, name) for name in COLUMNS}
    assert last.to_dict() == pytest.approx(shared, rel=1e-9)


def test_it_is_written_like_the_rows_of_the_stroke() -> None:
    found = liftgeo.position(mechanism(), hand_travel_mm=20.0)
    assert list(found.to_dict()) == COLUMNS
    heads, row = found.to_csv().splitlines()
    assert heads.split(",") == COLUMNS
    assert [float(cell) for cell in row.split(",")] == list(found.to_dict().values())
    assert "<td>20</td>" in found._repr_html_()
    assert replace(found, cable_tension_n=float("nan")).to_dict()["cable_tension_n"] is None
