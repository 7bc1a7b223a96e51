"""Many variants in one call: names, shapes, order, what is refused."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from clutches import document, mechanism

import liftgeo
from liftgeo.errors import Reason
from liftgeo.mechanism import from_document

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
        True, np.bool_(True), None, "", "x", "26 N", 26j, 10**400, -1.0, 0.0, 1e13, float("nan"),
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
