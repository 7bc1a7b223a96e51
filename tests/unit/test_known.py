"""How sure an answer is: streams, bounds, what cannot be built, and the shape of what is told."""

from __future__ import annotations

import json
import math
from dataclasses import fields
from typing import Any

import numpy as np
import pytest
from clutches import COILS, document
from numpy.typing import NDArray

import liftgeo
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.fields import Number
from liftgeo.mechanism.left_out import is_exact
from liftgeo.outcome.drawing import draw
from liftgeo.outcome.known import Known
from liftgeo.outcome.shares import additive
from liftgeo.outcome.uncertain import RANGE_SD, Uncertain, shares_of, uncertain

SPARSE: dict[str, Any] = {
    "cable": {"friction": None, "bend": None, "stiffness": None},
    "rod": {"end_float": None},
    "faces": {"plate_runout": None, "lift_tilt": None},
    "lever": {"hand_travel": "43 ± 1 mm"},
}


def usual(**tables: Any) -> Mechanism:
    return from_document(document(**{"left_out": "usual"} | tables))


def known(**tables: Any) -> Known:
    found = liftgeo.known(usual(**tables))
    assert found is not None
    return found


def drawn(*names: str, **tables: Any) -> dict[str, NDArray[np.float64]]:
    found = draw(usual(**tables).changed(*names) if names else usual(**tables), 500)
    assert found is not None
    return dict(found.values)


# ---------------------------------------------------------------- streams


def test_the_seed_makes_a_page_repeatable():
    assert known(**SPARSE) == known(**SPARSE)
    other = liftgeo.known(usual(**SPARSE), seed=2)
    assert other != known(**SPARSE)
    assert other.seed == 2


def test_threads_change_nothing():
    one, two = (draw(usual(**SPARSE), 3000, threads=n) for n in (1, 2))
    assert one.of("clearance_per_face_mm").tolist() == two.of("clearance_per_face_mm").tolist()


def test_another_uncertain_key_moves_no_other_stream():
    before = drawn(**SPARSE)
    after = drawn(**SPARSE | {"arm": {"radius": "38 ± 0.5 mm"}, "engine": {"torque": "58 ± 9"}})
    assert after.keys() - before.keys() == {"arm.radius", "engine.torque"}
    for key, values in before.items():
        assert after[key].tolist() == values.tolist(), key


def test_a_change_moves_no_stream_but_that_of_its_own_keys():
    tables = SPARSE | {"changes": {"long": {"arm": {"radius": "40 ± 1 mm"}},
                                   "late": {"lever": {"hand_travel": 45}}}}  # fmt: skip
    before, long, late = drawn(**tables), drawn("long", **tables), drawn("late", **tables)
    for key, values in before.items():
        assert long[key].tolist() == values.tolist(), key
    shift = late["lever.hand_travel"] - before["lever.hand_travel"]
    assert shift == pytest.approx(np.full(500, 2.0))
    assert all(late[k].tolist() == v.tolist() for k, v in before.items() if not k.startswith("lev"))


def test_variants_that_do_not_differ_in_lift_differ_in_nothing():
    """The common streams make a change that plays no part play none in the odds either."""
    file = usual(**SPARSE)
    same, before = liftgeo.known(file.changed({"targets.hand_force": 90.0})), liftgeo.known(file)
    assert same.clearance_per_face_mm == before.clearance_per_face_mm
    assert same.frees == before.frees


def test_a_stream_has_one_value_in_each_equal_step():
    found = shares_of("rod.end_float", 400, 1)
    assert sorted((found * 400).astype(int).tolist()) == list(range(400))
    assert abs(np.corrcoef(found, shares_of("rod.stiffness", 400, 1))[0, 1]) < 0.2


# ---------------------------------------------------------------- distributions


def spread(low, value, high, how="normal", **bounds: Any) -> Uncertain:
    number = Number("length", **bounds)
    return Uncertain("x", "x", None, value, low, high, how, RANGE_SD, number, False)


EVEN = (np.arange(20_000) + 0.5) / 20_000


@pytest.mark.parametrize("how", ["normal", "log"])
def test_the_limits_hold_95_in_100_and_the_value_is_the_median(how):
    found = spread(1.0, 2.0, 9.0, how).at(np.array([0.025, 0.5, 0.975]))
    assert found == pytest.approx([1.0, 2.0, 9.0])


def test_what_lies_beyond_a_bound_is_cut_off_and_the_rest_keeps_its_proportions():
    whole, cut = spread(-1.0, 1.0, 4.0), spread(-1.0, 1.0, 4.0, at_least=0.0, at_most=5.0)
    kept = whole.at(EVEN)
    kept = kept[(kept >= 0) & (kept <= 5.0)]
    found = cut.at((np.arange(len(kept)) + 0.5) / len(kept))
    assert found.min() >= 0.0
    assert found.max() <= 5.0
    assert found == pytest.approx(kept, abs=2e-3)


@pytest.mark.parametrize("how", ["normal", "log"])
def test_a_bound_at_the_value_leaves_one_side(how):
    found = spread(1.0, 2.0, 9.0, how, at_least=2.0).at(EVEN)
    assert found.min() >= 2.0
    assert np.mean(found <= 9.0) == pytest.approx(0.95, abs=1e-3)


def test_uniform_is_even_between_its_limits_and_ends_at_the_bounds():
    assert spread(1.0, 2.0, 3.0, "uniform").at(EVEN) == pytest.approx(1.0 + 2.0 * EVEN)
    assert spread(-1.0, 1.0, 3.0, "uniform", at_least=0.0).at(EVEN) == pytest.approx(3.0 * EVEN)


def test_no_share_is_so_far_out_that_it_has_no_value():
    found = spread(1.0, 2.0, 9.0).at(np.array([0.0, 1.0]))
    assert np.isfinite(found).all()


def test_a_plus_minus_is_two_deviations_and_a_range_95_in_100():
    file = usual(arm={"radius": "38 ± 0.4 mm"}, lever={"rest_length": "43 to 45 mm"},
                 stack={"friction_plate": "8 ± 0.1 mm uniform"})  # fmt: skip
    values = draw(file, 4000).values
    assert np.std(values["arm.radius"]) == pytest.approx(0.2, rel=1e-3)
    assert np.std(values["lever.rest_length"]) == pytest.approx(1 / RANGE_SD, rel=1e-3)
    assert np.std(values["stack.friction_plate"]) == pytest.approx(0.1 / math.sqrt(3), rel=1e-3)


def test_points_and_readings_are_uncertain_one_by_one():
    points = {"pivot": [0, 0], "pin": ["10 ± 1 mm", 24.0], "stop": [40, "0 ± 2"], "hand": [-70, 20]}
    file = usual(
        lever={"kind": "pin", "points": points, "hand_travel": 45.0},
        faces={"lift_tilt": None, "rim_heights": [3.0, "3.1 ± 0.1 mm", 3.05]},
    )
    names = [each.key for each in uncertain(file)]
    assert names == ["lever.points.pin[0]", "lever.points.stop[1]", "faces.rim_heights[1]"]
    found = draw(file, 200)
    laid = found.batch.over
    assert laid["lever.points.pin"].shape == (200, 2)
    assert laid["faces.rim_heights"].shape == (200, 3)
    assert set(laid["faces.rim_heights"][:, 0]) == {3.0}
    assert found.mechanism.keys["lever.points.stop"][1] == 0.0


def test_a_key_left_out_equals_the_same_key_given_as_that_range():
    given = {"friction": "0.22 to 0.38"}
    left, said = (known(**SPARSE | {"faces": SPARSE["faces"] | {"friction": f}})
                  for f in (None, given["friction"]))  # fmt: skip
    assert {t.key for t in left.taken} - {t.key for t in said.taken} == {"faces.friction"}
    for name in ("frees", "holds", "odds", "clearance_per_face_mm", "peak_hand_force_n"):
        assert getattr(left, name) == getattr(said, name), name


# ---------------------------------------------------------------- what is told


def test_what_two_numbers_make_impossible_together_is_counted():
    file = usual(lever={"rest_length": "60 ± 10 mm", "nipple_radius": "26 ± 1 mm"})
    found = liftgeo.known(file)
    values = draw(file).values
    closes = (values["lever.rest_length"] < values["lever.nipple_radius"] + 42.0) & (
        values["lever.rest_length"] > 42.0 - values["lever.nipple_radius"]
    )
    assert found.failed == 2000 - np.count_nonzero(closes) > 20
    assert found.samples == 2000
    assert sum(vars(found.odds).values()) == pytest.approx(1.0)


def test_nothing_uncertain_gives_none():
    assert liftgeo.known(from_document(document())) is None
    assert is_exact(from_document(document()))


@pytest.mark.parametrize(
    "tables",
    [
        SPARSE,
        {"lever": {"hand_travel": "43 ± 1 mm"}},
        {"cable": {"free_play": "1 to 2 mm"}},
        {"bench": {"separation": 0.3}},
        {"left_out": "nothing", "bench": {"separation": 0.3}},
    ],
    ids=["left out", "a ±", "a range", "a reading", "a reading alone"],
)
def test_what_is_not_exact_is_told_how_sure(tables: dict[str, Any]):
    mechanism = usual(**tables)
    assert not is_exact(mechanism)
    assert liftgeo.known(mechanism) is not None


def test_without_the_engine_it_is_not_told_whether_it_holds():
    assert known(**SPARSE | {"engine": None}).holds is None
    assert known(**SPARSE).holds is not None


def test_json_is_that_of_the_contract():
    data = known(**SPARSE).to_dict()
    assert list(data) == [
        "frees",
        "holds",
        "odds",
        "clearance_per_face_mm",
        "peak_hand_force_n",
        "shares",
        "next",
        "taken",
        "condition",
        "samples",
        "failed",
        "seed",
    ]
    assert list(data["odds"]) == ["clear", "marginal", "drags", "no_release", "slips"]
    assert list(data["peak_hand_force_n"]) == ["p05", "p50", "p95"]
    assert list(data["shares"][0]) == ["key", "share"]
    assert list(data["next"][0]) in (["key", "how", "certainty"], ["reading", "how", "certainty"])
    assert list(data["taken"][0]) == ["key", "value", "low", "high", "unit", "source"]
    assert len(data["next"]) <= 3
    shares = [each["share"] for each in data["shares"]]
    assert shares == sorted(shares, reverse=True)
    assert (data["samples"], data["seed"], data["condition"]) == (2000, 1, "used")
    json.dumps(data, allow_nan=False)


def test_few_or_no_good_samples_are_no_fault():
    for samples in (1, 2, 5, 20):
        data = liftgeo.known(usual(**SPARSE), samples=samples).to_dict()
        json.dumps(data, allow_nan=False)
        assert data["samples"] == samples


def test_it_is_exported():
    assert liftgeo.known.__module__ == "liftgeo.outcome.known"
    assert {f.name for f in fields(liftgeo.Known)} - {"bench"} == known(**SPARSE).to_dict().keys()


# ---------------------------------------------------------------- the fit


def test_inputs_that_do_not_vary_or_vary_little_are_no_fault():
    random = np.random.default_rng(4)
    x, two = random.normal(size=400), random.integers(0, 2, 400).astype(float)
    inputs = {"x": x, "still": np.full(400, 3.0), "two": two, "again": x}
    found = additive(inputs, 2 * x + two)
    assert found.share("still") == 0.0
    assert found.share("two") == pytest.approx(np.var(two) / np.var(2 * x + two), abs=0.02)
    assert found.certainty(["x", "two", "again"]) == pytest.approx(1.0, abs=1e-6)
    assert additive(inputs, np.full(400, 2.0)).share("x") == 0.0


def test_a_cubic_is_fitted_whole_and_noise_has_no_share():
    random = np.random.default_rng(5)
    x, noise = random.normal(size=2000), random.normal(size=2000)
    found = additive({"x": x, "idle": random.normal(size=2000)}, x**3 - x + noise)
    whole = np.var(x**3 - x + noise)
    assert found.share("x") == pytest.approx(np.var(x**3 - x) / whole, abs=0.05)
    assert found.share("idle") < 0.005


def test_a_partly_known_clutch_says_what_to_measure_first():
    """All but one key are known well: that one is what to measure."""
    found = known(rod={"end_float": "0.02 to 0.5 mm"}, lever={"hand_travel": "44 ± 0.1 mm"})
    assert found.shares[0].key == "rod.end_float"
    assert found.shares[0].share > 0.95
    assert [each.key for each in found.next] == ["rod.end_float"]
    assert found.next[0].certainty > 0.95


def test_a_changed_spring_takes_the_cushion_of_the_file_before_it():
    """The cushion was measured in the file as it is, at each sample's own clamp force there."""
    file = usual(spring=COILS | {"rate": "30 ± 2 N/mm"}, stack=None)
    found = draw(file.changed({"spring.rate": 40.0}), 300)
    rates = draw(file, 300).values["spring.rate"]
    assert found.batch.carried_n == pytest.approx(6 * rates * (40.0 - 32.0))
