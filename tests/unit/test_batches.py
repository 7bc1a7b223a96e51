"""Many variants in one call: names, shapes, order, what is refused."""

from __future__ import annotations

import re
import warnings

import numpy as np
import pytest
from clutches import document, mechanism

import liftgeo
from liftgeo.errors import Reason
from liftgeo.mechanism import from_document
from liftgeo.outcome import batches, blockwise
from liftgeo.outcome.values import GROUPS, HOME

RADII = np.array([36.0, 38.0, 40.0, 42.0])


def test_every_number_of_a_single_result_has_an_attribute():
    file = mechanism(engine={"torque": 30.0, "primary_ratio": 1.0})
    many = liftgeo.batch(file, {"arm.radius": RADII})
    alone = liftgeo.stroke(file.changed({"arm.radius": 40.0}))
    data = alone.to_dict()
    names = {k: v for k, v in data["full_lever"].items() if k != "clamp_force_n"}
    names |= data["capacity"] | data["bearing"] | data["effort"]
    names |= {f"peak_{k}": v for k, v in data["peak"].items()}
    for name, value in names.items():
        column = getattr(many, name)
        assert column.shape == (4,), name
        expected = np.nan if value is None else value
        assert column[2] == pytest.approx(expected, rel=1e-11, abs=1e-12, nan_ok=True), name
    assert many.clamp_force_n[2] == pytest.approx(alone.capacity.clamp_force_n)
    assert many.verdict[2] == alone.verdict
    assert many.stopped_by[2] == alone.stopped_by
    assert many.ok.all()
    assert list(many.reason) == [Reason.OK] * 4
    with pytest.raises(AttributeError, match="hand_weight"):
        _ = many.hand_weight


def test_the_order_of_the_variants_does_not_matter():
    file = mechanism()
    order = np.array([2, 0, 3, 1])
    ours = liftgeo.batch(file, {"arm.radius": RADII})
    theirs = liftgeo.batch(file, {"arm.radius": RADII[order]})
    np.testing.assert_allclose(theirs.hand_force_n, ours.hand_force_n[order], rtol=1e-13)
    np.testing.assert_allclose(theirs.work_j, ours.work_j[order], rtol=1e-13)


def test_one_number_goes_with_all_variants():
    file = mechanism()
    ours = liftgeo.batch(file, {"arm.radius": RADII, "cable.free_play": 1.0})
    theirs = liftgeo.batch(file, {"arm.radius": RADII, "cable.free_play": np.full(4, 1.0)})
    np.testing.assert_array_equal(ours.hand_force_n, theirs.hand_force_n)
    single = liftgeo.batch(file, {"arm.radius": 38.0})
    assert len(single) == 1
    listed = liftgeo.batch(file, {"arm.radius": [36, 38, 40, 42]})
    np.testing.assert_array_equal(listed.hand_force_n, liftgeo.batch(
        file, {"arm.radius": RADII}).hand_force_n)  # fmt: skip


def test_an_empty_batch_has_no_variants():
    many = liftgeo.batch(mechanism(), {"arm.radius": np.array([])})
    assert len(many) == 0
    assert many.hand_force_n.shape == (0,)


def test_columns_have_one_row_for_each_position():
    many = liftgeo.batch(mechanism(), {"arm.radius": RADII}, positions=150)
    for column in many.stroke.values():
        assert column.shape == (4, 150)
    assert np.all(np.diff(many.stroke["hand_travel_mm"], axis=1) >= 0)
    np.testing.assert_allclose(many.stroke["hand_force_n"][:, -1], many.hand_force_n, rtol=1e-12)


SAME = [26.0, 26, np.float32(26), np.int64(26), np.array(26.0), "26", "1.02 in", "26 ± 1 mm",
        True, np.bool_(True), "x", "26 N", 26j, 10**400, -1.0, 0.0, 1e13, float("nan"),
        {}, (1, 2), b"26"]  # fmt: skip


@pytest.mark.parametrize("value", SAME, ids=repr)
@pytest.mark.parametrize("key", ["lever.nipple_radius", "faces.friction_plates"])
def test_a_batch_and_a_change_take_what_a_file_takes(key, value):
    def by_file():
        table, name = key.split(".")
        return from_document(document(**{table: {name: value}})) and True

    def by_change():
        return mechanism().changed({key: value}) and True

    def by_batch():
        return bool(liftgeo.batch(mechanism(), {key: [value]}).ok.all())

    taken = []
    for way in (by_file, by_change, by_batch):
        try:
            taken.append(way())
        except (liftgeo.GeometryError, liftgeo.RequestError):
            taken.append(False)
    assert len(set(taken)) == 1, taken


def test_texts_of_a_batch_count_with_their_unit():
    many = liftgeo.batch(mechanism(), {"arm.radius": ["38 mm", "1 1/2 in", "4 cm"]})
    assert many.over["arm.radius"].tolist() == [38.0, 38.1, 40.0]
    with pytest.raises(liftgeo.RequestError, match=r"arm\.radius: '3 N' is a force"):
        liftgeo.batch(mechanism(), {"arm.radius": ["3 N"]})


@pytest.mark.parametrize(
    ("over", "words"),
    [
        ({}, "one key at least"),
        ({"arm.radius": RADII, "cable.bend": np.arange(3.0)}, "differ in length"),
        ({"arm.radius": np.ones((2, 2))}, "one dimension"),
        ({"arm.radios": RADII}, r"Did you mean arm\.radius"),
        ({"rod.action": RADII}, "not a number"),
        ({"release.lead": RADII}, "not a number this mechanism takes"),
        ({"spring.deflection": RADII}, "not a number"),
        ({"nothing": RADII}, "not a number"),
    ],
)
def test_a_batch_that_cannot_be_asked_for_is_refused(over, words):
    with pytest.raises(liftgeo.RequestError, match=words):
        liftgeo.batch(mechanism(), over)


def test_impossible_variants_make_no_noise():
    """No warning of NumPy reaches the user, whatever stands in the arrays."""
    values = np.array([38.0, np.nan, np.inf, -1.0, 0.0, 1e300, 1e-300, 300.0, 133.0 - 90.0])
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        many = liftgeo.batch(mechanism(), {"arm.radius": values, "cable.free_play": values})
        for name in ("hand_force_n", "peak_hand_force_n", "work_j", "floor_n", "peak_over_floor",
                     "travel_left_mm", "life_h", "verdict", "stopped_by", "slip_margin",
                     "clearance_per_face_mm", "separation_signed_mm", "stroke"):  # fmt: skip
            assert getattr(many, name) is not None
    assert list(many.ok) == [True] + [False] * 7 + [bool(many.ok[8])]
    assert np.isnan(many.hand_force_n[~many.ok]).all()
    assert set(many.verdict[~many.ok]) == {""}


def test_travel_left_is_that_of_the_event():
    file = mechanism(faces={"plate_runout": 0.0})
    many = liftgeo.batch(file, {"arm.radius": RADII})
    for k, radius in enumerate(RADII):
        event = liftgeo.stroke(file.changed({"arm.radius": radius})).event("running-clear")
        assert many.travel_left_mm[k] == pytest.approx(event.left_mm, abs=1e-10, nan_ok=True)
    assert np.isfinite(many.travel_left_mm).any()


def test_a_large_batch_is_the_same_as_its_pieces():
    radii = np.linspace(30.0, 60.0, 4000)
    whole = liftgeo.batch(mechanism(), {"arm.radius": radii})
    piece = liftgeo.batch(mechanism(), {"arm.radius": radii[1234:1240]})
    np.testing.assert_allclose(
        piece.clearance_per_face_mm, whole.clearance_per_face_mm[1234:1240], rtol=0, atol=1e-12
    )
    assert np.all(np.diff(whole.arm_rotation_deg) < 0)


# ---------------------------------------------------------------- points, readings, answers, blocks


POINTS = {
    "pivot": [0.0, 0.0],
    "pin": [1.0, 24.5],
    "stop": [33.0, 26.0],
    "hand": [61.0, 81.0],
}
BY_POINTS = {"lever": {"points": POINTS, "hand_travel": 39.0, "nipple_radius": None,
    "stop_distance": None, "rest_length": None, "hand_radius": None, "hand_angle": None,
    "cable_angle": None}}  # fmt: skip
READ = {"kind": "table", "deflection": [0, 1, 2, 3, 4], "load": [0, 2000, 3100, 3400, 3200],
    "installed_deflection": 1.9}  # fmt: skip


def assert_like_a_loop(file, over):
    """Every number of a batch is that of the mechanism changed alone."""
    many = liftgeo.batch(file, over, answers=list(GROUPS))
    assert many.ok.all()
    for k in range(len(many)):
        alone = liftgeo.batch(
            file.changed({key: np.asarray(values[k]).tolist() for key, values in over.items()}),
            {"targets.hand_force": 90.0},
            answers=list(GROUPS),
        )
        for name in HOME:
            wanted = pytest.approx(getattr(alone, name)[0], rel=1e-11, abs=1e-11, nan_ok=True)
            assert getattr(many, name)[k] == wanted, (name, k)
        assert many.verdict[k] == alone.verdict[0]


def test_points_of_many_variants_are_those_of_each():
    file = mechanism(**BY_POINTS)
    pins = np.array([[1.0, 24.5], [1.5, 25.0], [0.0, 23.0], [-1.0, 26.0]])
    stops = np.array([[33.0, 26.0], [34.0, 25.0], [32.0, 27.0], [33.5, 26.5]])
    assert_like_a_loop(file, {"lever.points.pin": pins})
    assert_like_a_loop(file, {"lever.points.pin": pins, "lever.points.stop": stops})
    assert_like_a_loop(file, {"lever.points.pin": pins, "arm.radius": RADII})
    one_for_all = liftgeo.batch(file, {"lever.points.pin": pins[1], "arm.radius": RADII})
    each = liftgeo.batch(file, {"lever.points.pin": np.tile(pins[1], (4, 1)), "arm.radius": RADII})
    np.testing.assert_array_equal(one_for_all.hand_force_n, each.hand_force_n)


def test_readings_of_many_variants_are_those_of_each():
    file = mechanism(spring=READ, stack=None)
    loads = np.array(READ["load"]) * np.array([1.0, 0.95, 1.1, 1.03])[:, None]
    loads[2, 3] += 100.0
    assert_like_a_loop(file, {"spring.load": loads})
    assert_like_a_loop(file, {"spring.load": loads, "spring.installed_deflection": RADII / 20})
    longer = np.array(READ["deflection"]) * np.array([1.0, 1.02, 0.98, 1.05])[:, None]
    assert_like_a_loop(file, {"spring.load": loads, "spring.deflection": longer})


def test_a_point_that_cannot_be_is_one_variant_out():
    file = mechanism(**BY_POINTS)
    pins = np.array([[1.0, 24.5], [np.nan, 25.0], [33.0, 26.0], [1.0, 25.0]])
    many = liftgeo.batch(file, {"lever.points.pin": pins})
    assert many.ok.tolist() == [True, False, False, True]
    assert np.isnan(many.hand_force_n).tolist() == [False, True, True, False]


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        (["peak_hand_force"], "no answer called peak_hand_force. Did you mean peak_hand_force_n"),
        (["capacities"], "Did you mean capacity"),
        (["full_lever", "xyz"], "no answer called xyz"),
    ],
)
def test_an_answer_that_does_not_exist_is_refused(answers, words):
    with pytest.raises(liftgeo.RequestError, match=re.escape(words)):
        liftgeo.batch(mechanism(), {"arm.radius": RADII}, answers=answers)


def test_only_what_is_asked_for_is_worked_out_at_once():
    many = liftgeo.batch(mechanism(), {"arm.radius": RADII}, answers=["clearance_per_face_mm"])
    assert set(many.known) == {"clearance_per_face_mm"}
    assert many.work_j.shape == (4,)
    assert set(many.known) == {"clearance_per_face_mm", *GROUPS["effort"]}
    usual = liftgeo.batch(mechanism(), {"arm.radius": RADII})
    assert set(usual.known) == {n for g in ("full_lever", "peak", "codes") for n in GROUPS[g]}


@pytest.mark.parametrize("size", [1, 7, 64, 4096])
@pytest.mark.parametrize("threads", [1, 2, 3])
def test_blocks_and_threads_change_nothing(size, threads, monkeypatch):
    """Radii from where the triangle does not close, over ordinary ones, to a dead centre."""
    over = {"arm.radius": np.linspace(5.0, 90.0, 150), "cable.stiffness": np.linspace(30, 900, 150)}
    file = mechanism(lever={"hand_travel": 70.0})
    whole = liftgeo.batch(file, over, answers=list(GROUPS), threads=1)
    assert 0 < whole.ok.sum() < 150
    monkeypatch.setattr(batches, "BLOCK", size)
    monkeypatch.setattr(batches, "SMALL_BLOCK", size)
    monkeypatch.setattr(blockwise, "SMALL_BLOCK", size)
    cut = liftgeo.batch(file, over, answers=list(GROUPS), threads=threads)
    np.testing.assert_array_equal(cut.reason, whole.reason)
    for name in HOME:
        np.testing.assert_allclose(
            getattr(cut, name), getattr(whole, name), rtol=1e-12, atol=1e-12, err_msg=name
        )
    np.testing.assert_array_equal(cut.verdict, whole.verdict)
    rows = liftgeo.batch(file, over, threads=threads).stroke["hand_force_n"]
    np.testing.assert_allclose(rows, whole.stroke["hand_force_n"], rtol=1e-11, atol=1e-11)
