"""What a little more of each input does: which inputs, which steps, in which order."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path

import pytest
from clutches import mechanism

import liftgeo
from liftgeo.studies.sensitivity import numbers_in, sensitivity

GEOMETRIES = Path(__file__).resolve().parents[2] / "geometries"


@pytest.mark.parametrize("path", sorted(GEOMETRIES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_number_but_counts_and_targets_is_an_input(path: Path) -> None:
    clutch = liftgeo.load(path)
    inputs = {s.key for s in sensitivity(clutch)}
    for key, value in clutch.given.items():
        single = key in clutch.numeric_keys() and not isinstance(value, list)
        # The shape of arm and casing, and where a stop looks, are drawn: they move no number.
        drawn = key.endswith(".stop_direction") or key.startswith(("arm.outline.", "casing."))
        counted = single and not drawn and not key.startswith("targets.")
        wanted = counted and not clutch.number(key).whole
        assert (key in inputs) == wanted, key


def test_points_stand_as_the_distances_between_them() -> None:
    points = {"pivot": [1.0, 1.0], "pin": [1.0, 25.0], "stop": [33.0, 25.0], "hand": [61.0, 81.0]}
    lever = {"kind": "pin", "points": points, "hand_travel": 39.0}
    inputs = numbers_in(mechanism(lever=lever))
    distances = [inputs[f"lever.{n}"] for n in ("nipple_radius", "stop_distance", "rest_length")]
    assert distances == pytest.approx([24.0, 40.0, 32.0], rel=1e-15)
    assert inputs["lever.hand_radius"] == pytest.approx(100.0, rel=1e-15)
    assert "lever.pivot_shift_x" in inputs


def test_a_pivot_cannot_be_moved_where_the_hand_is_not_known() -> None:
    assert "lever.pivot_shift_x" not in numbers_in(mechanism(lever={"hand_angle": None}))
    assert "lever.pivot_shift_x" in numbers_in(mechanism())


@pytest.mark.parametrize(
    ("key", "step", "unit"),
    [
        ("arm.radius", 0.1, "mm"),
        ("release.ramp_angle", 1.0, "deg"),
        ("cable.stiffness", math.nan, "N/mm"),
        ("cable.friction", math.nan, ""),
    ],
)
def test_the_effects_are_those_of_the_changed_file(key: str, step: float, unit: str) -> None:
    clutch = mechanism()
    base = liftgeo.stroke(clutch)
    found = next(s for s in sensitivity(clutch) if s.key == key)
    value = float(clutch.keys[key])
    assert (found.value, found.unit) == (value, unit)
    more = liftgeo.stroke(clutch.changed({key: value * 1.01}))
    clearance = more.full_lever.clearance_per_face_mm - base.full_lever.clearance_per_face_mm
    assert found.percent_clearance_mm == pytest.approx(clearance, rel=1e-9)
    peak = more.peak.hand_force_n - base.peak.hand_force_n
    assert found.percent_peak_n == pytest.approx(peak, rel=1e-9)
    if math.isnan(step):
        assert math.isnan(found.step)
        assert math.isnan(found.step_clearance_mm)
        assert math.isnan(found.step_peak_n)
        assert found.shown_effects == (found.percent_clearance_mm, found.percent_peak_n)
        return
    more = liftgeo.stroke(clutch.changed({key: value + step}))
    clearance = more.full_lever.clearance_per_face_mm - base.full_lever.clearance_per_face_mm
    assert found.step == step
    assert found.step_clearance_mm == pytest.approx(clearance, rel=1e-9)
    assert found.step_peak_n == pytest.approx(more.peak.hand_force_n - base.peak.hand_force_n)
    assert found.shown_effects == (found.step_clearance_mm, found.step_peak_n)


def test_a_slope_is_the_effect_of_a_step_over_the_step() -> None:
    found = {s.key: s for s in sensitivity(mechanism())}
    for key in ("arm.radius", "lever.rest_length", "faces.plate_runout", "rod.end_float"):
        own = found[key]
        assert own.step_clearance_mm / own.step == pytest.approx(own.clearance_slope, rel=0.02)


def test_the_strongest_comes_first() -> None:
    found = sensitivity(mechanism()).rows
    weights = [s.weight_mm for s in found]
    assert weights == sorted(weights, reverse=True)
    assert weights[0] > 0.05
    assert found[-1].weight_mm == 0.0


def test_a_step_at_which_nothing_can_be_built_has_no_effect_to_show() -> None:
    # An efficiency of 1 cannot rise; one step of a length may open a triangle.
    found = {s.key: s for s in sensitivity(mechanism(lever={"efficiency": 1.0}))}
    assert math.isnan(found["lever.efficiency"].percent_clearance_mm)
    assert found["lever.efficiency"].peak_slope < 0
    assert found["lever.efficiency"].to_dict()["percent_clearance_mm"] is None


def test_engine_and_facing_do_nothing_to_lift_and_effort() -> None:
    found = {s.key: s for s in sensitivity(mechanism())}
    for key in ("engine.torque", "faces.friction", "faces.facing_thickness"):
        assert (found[key].clearance_slope, found[key].peak_slope) == (0.0, 0.0)


def test_the_table_has_one_row_an_input_and_empty_cells_for_what_is_not_known() -> None:
    found = sensitivity(mechanism())
    rows = list(csv.DictReader(io.StringIO(found.to_csv())))
    assert [r["key"] for r in rows] == [s.key for s in found]
    by_key = {r["key"]: r for r in rows}
    assert by_key["cable.stiffness"]["step_peak_n"] == ""
    assert float(by_key["arm.radius"]["peak_slope"]) == next(
        s.peak_slope for s in found if s.key == "arm.radius"
    )
