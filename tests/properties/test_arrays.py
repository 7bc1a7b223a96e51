"""Many mechanisms at once are the same as each on its own."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mechanisms import mechanisms

import liftgeo
from liftgeo.chain import position
from liftgeo.errors import GeometryError, Reason
from liftgeo.mechanism.tables import DEFAULT_KIND

# Keys every drawn mechanism takes, with factors that keep most variants possible.
VARIED = (
    "lever.hand_travel",
    "cable.free_play",
    "cable.bend",
    "cable.friction",
    "cable.stiffness",
    "arm.return_torque",
    "arm.efficiency",
    "rod.end_float",
    "rod.stiffness",
    "rod.finger_ratio",
    "spring.friction",
    "faces.cushion_travel",
    "faces.plate_runout",
)
OF_KIND = {
    "lever": {
        "pin": "lever.cable_angle",
        "drum": "lever.drum_radius",
        "profile": "lever.hand_radius",
    },
    "arm": {"pin": "arm.radius", "drum": "arm.drum_radius", "profile": "arm.efficiency"},
    "release": {
        "ball-ramp": "release.ramp_angle",
        "quick-thread": "release.lead",
        "rack": "release.pinion_radius",
        "crank": "release.rest_angle",
        "eccentric": "release.eccentricity",
        "profile": "release.efficiency",
    },
    "spring": {
        "coned-disc": "spring.thickness",
        "coils": "spring.free_length",
        "table": "spring.installed_deflection",
    },
}
START = {"cable.stiffness": 300.0, "rod.stiffness": 25000.0, "cable.bend": 120.0}


@st.composite
def variants(draw, count=4):
    """Return a mechanism and arrays of values for a few of its keys."""
    mechanism = draw(mechanisms())
    own = [
        kinds[mechanism.keys.get(f"{table}.kind", DEFAULT_KIND.get(table))]
        for table, kinds in OF_KIND.items()
    ]
    own = [k for k in own if k not in ("lever.cable_angle", "arm.radius") or k in mechanism.keys]
    names = draw(
        st.lists(
            st.sampled_from(list(dict.fromkeys([*VARIED, *own]))),
            min_size=1,
            max_size=3,
            unique=True,
        )
    )
    over = {}
    for name in names:
        base = mechanism.keys.get(name, 0.0) or START.get(name, 0.08)
        factors = draw(st.lists(st.floats(0.6, 1.4), min_size=count, max_size=count))
        values = np.array([base * f for f in factors])
        over[name] = np.minimum(values, 1.0) if name.endswith("efficiency") else values
    return mechanism, over


def one(over, k):
    return {name: float(values[k]) for name, values in over.items()}


@settings(max_examples=20, derandomize=True)
@given(variants())
def test_positions_of_arrays_equal_a_loop_of_scalars(drawn):
    mechanism, over = drawn
    at = np.array([0.0, 0.4, 1.0, 1.7, 2.0, 2.5, 3.0, 3.6, 4.0, 4.05])
    for way in (1, -1):
        with np.errstate(all="ignore"):
            many = position(mechanism.parts(over), at[:, None], way, rates=way > 0)
        for k in range(4):
            for row, q in enumerate(at):
                with np.errstate(all="ignore"):
                    alone = position(mechanism.parts(one(over, k)), float(q), way, rates=way > 0)
                for name, value in fields_of(alone).items():
                    array = np.broadcast_to(fields_of(many)[name], (len(at), 4))
                    expected = pytest.approx(float(value), rel=1e-12, abs=1e-12, nan_ok=True)
                    assert float(array[row, k]) == expected, name


def fields_of(found, prefix=""):
    """Return the numbers of a position, those of its links and rates among them."""
    values = {}
    for name, value in found._asdict().items():
        if isinstance(value, tuple):
            values |= fields_of(value, f"{name}.")
        elif value is not None:
            values[prefix + name] = value
    return values


NUMBERS = (
    "hand_travel_mm",
    "lever_angle_deg",
    "cable_pull_mm",
    "arm_rotation_deg",
    "rod_travel_mm",
    "plate_lift_mm",
    "separation_mm",
    "needed_mm",
    "clearance_per_face_mm",
    "hand_force_n",
    "return_hand_force_n",
    "cable_tension_n",
    "rod_force_n",
    "cable_to_arm_angle_deg",
    "spring_to_stop_mm",
)


@settings(max_examples=40, derandomize=True)
@given(variants())
def test_a_batch_equals_a_loop_of_strokes(drawn):
    """To 1e-11 where full lever is searched for: both searches end within rounding of the stop."""
    mechanism, over = drawn
    many = liftgeo.batch(mechanism, over)
    assert len(many) == 4
    for k in range(4):
        try:
            alone = liftgeo.stroke(mechanism.changed(one(over, k)))
        except GeometryError:
            assert not many.ok[k]
            assert many.reason[k] != Reason.OK
            assert np.isnan(many.clearance_per_face_mm[k])
            assert many.verdict[k] == ""
            continue
        assert many.ok[k], many.reason[k]
        full = alone.to_dict()["full_lever"]
        for name in NUMBERS:
            agree(getattr(many, name)[k], full[name], name)
        agree(many.clamp_force_n[k], alone.capacity.clamp_force_n, "clamp_force_n")
        agree(many.peak_hand_force_n[k], alone.peak.hand_force_n, "peak")
        agree(many.work_j[k], alone.effort.work_j, "work")
        agree(many.floor_n[k], alone.effort.floor_n, "floor")
        agree(many.torque_nm[k], alone.capacity.torque_nm, "torque")
        assert many.verdict[k] == alone.verdict
        assert many.stopped_by[k] == alone.stopped_by


def agree(ours, theirs, what):
    theirs = np.nan if theirs is None or not np.isfinite(theirs) else theirs
    ours = ours if np.isfinite(ours) else np.nan
    if abs(theirs) < 1e12:  # else at a dead centre without any give: infinite but for rounding
        assert ours == pytest.approx(theirs, rel=1e-11, abs=1e-11, nan_ok=True), what


@settings(max_examples=15, derandomize=True)
@given(variants())
def test_columns_of_a_batch_are_those_of_each_stroke(drawn):
    mechanism, over = drawn
    many = liftgeo.batch(mechanism, over, positions=121)
    columns = many.stroke
    for k in np.flatnonzero(many.ok):
        alone = liftgeo.stroke(mechanism.changed(one(over, int(k)))).stroke
        for name, column in columns.items():
            expected = getattr(alone, name)
            assert column[k].shape == expected.shape == (121,)
            finite = np.isfinite(expected) & (np.abs(expected) < 1e9)
            np.testing.assert_allclose(
                column[k][finite], expected[finite], rtol=1e-10, atol=1e-10, err_msg=name
            )
    for k, j in itertools.product(np.flatnonzero(~many.ok), columns):
        assert np.all(np.isnan(columns[j][k]))
