"""How sure the studies are: frees beside each change and step of wear, and wanted of a sizing."""

from __future__ import annotations

import csv
import io
import itertools
from functools import cache
from typing import Any

import numpy as np
import pytest
from clutches import CHANGES, COILS, document

import liftgeo
from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.outcome.batches import batch
from liftgeo.outcome.drawing import draw
from liftgeo.outcome.known import known
from liftgeo.outcome.outcome import outcome_of
from liftgeo.studies.chances import Chances
from liftgeo.studies.compare import Comparison, compare
from liftgeo.studies.sensitivity import sensitivity
from liftgeo.studies.size import Sizing, size
from liftgeo.studies.sure import how_sure
from liftgeo.studies.wear import wear

# What a beginner would leave out, and what was measured with a ±.
LEFT: dict[str, Any] = {
    "cable": {"free_play": None, "stiffness": None},
    "faces": {"cushion_travel": None, "plate_runout": None},
    "rod": {"end_float": None},
}
MEASURED: dict[str, Any] = {
    "lever": {"stop_distance": "42.0 ± 0.4"},
    "release": {"ramp_angle": "14.0 ± 0.6"},
    "spring": {"thickness": "1.7 ± 0.02 uniform"},
}


def unsure(**over: Any) -> Mechanism:
    """Return the base clutch with numbers left out, and some with a ±."""
    both = {
        k: {**LEFT.get(k, {}), **MEASURED.get(k, {}), **over.get(k, {})}
        for k in {*LEFT, *MEASURED, *over}
    }
    found = document(**both)
    found["left_out"] = "usual"
    found["changes"] = CHANGES
    return from_document(found)


@cache
def compared() -> Comparison:
    return compare(unsure(), ["less-play", "steeper-ramp", "better-cable"])


# --- compare ---


def test_each_change_carries_what_known_says_of_it() -> None:
    for case in compared().all:
        alone = known(unsure().changed(*case.names))
        assert alone is not None
        assert (case.sure.frees, case.sure.holds) == (alone.frees, alone.holds)
        assert case.sure.taken == alone.taken
    data = compared().to_dict()
    alone = known(unsure().changed("steeper-ramp"))
    assert alone is not None
    assert data["variants"][1]["frees"] == alone.frees
    assert data["variants"][1]["taken"] == alone.to_dict()["taken"]
    base = known(unsure())
    assert base is not None
    assert (data["base"]["frees"], data["base"]["holds"]) == (base.frees, base.holds)


def test_another_change_does_not_move_a_variants_numbers() -> None:
    alone = compare(unsure(), ["steeper-ramp"]).variants[0].sure
    assert alone == compared().variants[1].sure
    assert 0 < (alone.frees or 0) < 1


def test_the_same_clutches_are_changed_each_time() -> None:
    before, after = draw(unsure()), draw(unsure().changed("less-play"))
    assert before is not None
    assert after is not None
    for key in set(before.values) & set(after.values):
        assert np.array_equal(before.values[key], after.values[key]), key
    assert set(before.values) - set(after.values) == {"cable.free_play"}
    # A changed number keeps its ± : the same clutch is as far off as before.
    steep = draw(unsure().changed("steeper-ramp"))
    assert steep is not None
    moved = steep.values["release.ramp_angle"] - before.values["release.ramp_angle"]
    assert moved == pytest.approx(np.full(2000, 3.0), abs=1e-9)


def test_nothing_uncertain_says_nothing() -> None:
    found = document()
    found["changes"] = CHANGES
    certain = compare(from_document(found), ["less-play"])
    assert not certain.uncertain
    assert certain.to_dict()["variants"][0]["frees"] is None
    assert certain.to_dict()["base"]["holds"] is None


def test_marks_and_proposal_follow_frees() -> None:
    found = compared()
    shares = [case.sure.frees for case in found.all]
    assert found.marks("frees")[shares.index(max(shares))] == "*"  # type: ignore[type-var]
    best = found.best()
    if best is not None:
        assert not best.dangers
        assert best.chance > found.base.chance
    rows = list(csv.DictReader(io.StringIO(found.to_csv())))
    assert [float(row["frees"]) for row in rows] == shares
    assert "rod.end_float" in rows[0]["taken"]


def test_of_two_that_are_sure_the_lighter_is_proposed() -> None:
    clutch = unsure(
        faces={"cushion_travel": "0.02 ± 0.01", "plate_runout": "0.02 ± 0.01"},
        cable={"free_play": 2.2, "stiffness": 800},
        targets={"hand_force": 200},
    )
    heavier = {"arm.radius": 36.0}
    found = compare(
        from_document({**document(), "left_out": "nothing", "changes": {}}),
        against=[clutch, clutch.changed(heavier)],
    )
    light, heavy = found.variants
    assert min(light.chance, heavy.chance) > 0.95
    assert heavy.result.peak.hand_force_n > light.result.peak.hand_force_n
    assert found.best() in (light, None)
    assert found.best() is not heavy


# --- wear ---


@pytest.mark.parametrize("readjusted", [True, False])
def test_wear_begins_with_what_known_says(readjusted: bool) -> None:
    study = wear(unsure(), readjusted=readjusted, rows=13)
    alone = known(unsure())
    assert alone is not None
    assert study.columns["frees"][0] == alone.frees


def test_a_worn_step_is_each_sample_worn() -> None:
    # A thicker plate closes the stack as wear opens it: each sample with its plate worn down.
    clutch = unsure()
    study = wear(clutch, readjusted=True, rows=9)
    found = draw(clutch)
    assert found is not None
    row = 6
    thinner = 8.0 - 2 * float(study.columns["wear_mm"][row])
    over = {**found.batch.over, "stack.friction_plate": np.full(2000, thinner)}
    ready = clutch.varied(over)
    worn = outcome_of(ready.inward(over, found.batch.carried_n), (2000,))
    wanted = float(np.mean(worn.clearance_per_face_mm >= 0))
    assert study.columns["frees"][row] == pytest.approx(wanted, abs=0.0006)
    assert study.columns["frees"][row] != study.columns["frees"][0]


def test_steps_between_knots_are_those_of_every_step_worked_out() -> None:
    short = wear(unsure(), rows=9).columns
    long = wear(unsure(), rows=57).columns
    good = np.isfinite(short["frees"])
    assert long["wear_mm"][::7] == pytest.approx(short["wear_mm"])
    assert long["frees"][::7][good] == pytest.approx(short["frees"][good], abs=0.005)


def test_wear_past_riding_and_without_doubt_says_nothing() -> None:
    study = wear(unsure())
    past = study.columns["wear_mm"] > study.riding_mm + 1e-9
    assert past.any()
    assert np.isnan(study.columns["frees"][past]).all()
    assert np.isnan(wear(from_document(document())).columns["frees"]).all()
    rows = study.to_dict()["rows"]
    assert rows["frees"][-1] is None
    assert 0 < rows["frees"][0] < 1


# --- size ---


@cache
def sized() -> Sizing:
    return size(unsure(), ["release.ramp_angle=12..30", "cable.free_play=0.6..2.5"], ["frees>=0.8"])


def test_what_is_found_frees_as_often_as_wanted_one_by_one() -> None:
    found = sized()
    assert found.met
    assert found.seed == 1
    made = unsure().changed(found.change)
    # A loop of single strokes, of draws that no search has seen.
    other = draw(made, 400, seed=77)
    assert other is not None
    loads = other.batch.carried_n
    assert loads is not None
    freed = 0
    for k in range(400):
        own = {key: float(v[k]) for key, v in other.values.items()}
        keys = made.varied(own).inward(own, float(loads[k]))
        freed += float(outcome_of(keys, ()).clearance_per_face_mm) >= 0
    assert freed / 400 == pytest.approx(0.8, abs=0.05)
    assert found.sure.frees == how_sure(made).frees
    assert 0.8 <= (found.sure.frees or 0) < 0.83
    assert found.binding == ["frees"]


def test_no_lighter_place_frees_as_often() -> None:
    found = sized()
    places = itertools.product(np.linspace(12, 30, 13), np.linspace(0.6, 2.5, 7))
    peaks = []
    for ramp, play in places:
        made = unsure().changed({"release.ramp_angle": ramp, "cable.free_play": play})
        if (how_sure(made, samples=1000, seed=5).frees or 0) >= 0.82:
            peaks.append(liftgeo.stroke(made).peak.hand_force_n)
    assert len(peaks) > 5
    assert found.result.peak.hand_force_n <= min(peaks) * 1.005


def test_the_sizing_carries_its_shares() -> None:
    data = sized().to_dict()
    base = known(unsure())
    assert base is not None
    assert data["base"]["frees"] == base.frees
    assert data["frees"] == sized().sure.frees
    assert {item["key"] for item in data["taken"]} == {
        "cable.stiffness",
        "rod.end_float",
        "faces.cushion_travel",
        "faces.plate_runout",
    }
    assert all(point["frees"] >= 0.8 for point in data["front"])
    heads = sized().to_csv().splitlines()[0]
    assert heads.endswith("peak_hand_force_n,frees")


def test_the_samples_of_a_variant_are_those_of_its_change() -> None:
    clutch = unsure(rod={"finger_ratio": 1.2, "stiffness": None})
    keys = ("release.ramp_angle", "rod.finger_ratio")
    chances = Chances(clutch, keys, 0.9, samples=200, seed=9)
    values = {keys[0]: np.array([14.0, 17.5, 21.0]), keys[1]: np.array([1.2, 1.3, 1.1])}
    frees, reached = chances.of(values, np.array([True, True, False]))
    for k in range(2):
        made = clutch.changed({key: float(v[k]) for key, v in values.items()})
        alone = draw(made, 200, 9)
        assert alone is not None
        clearance = np.sort(alone.of("clearance_per_face_mm"))
        assert frees[k] == np.mean(clearance >= 0)
        assert reached[k] == pytest.approx(clearance[20], abs=1e-12)
    assert np.isnan(frees[2])


def test_where_it_cannot_be_reached_the_nearest_is_what_frees_most_often() -> None:
    found = size(unsure(), ["release.ramp_angle=12..16"], ["frees>=0.9"])
    assert not found.met
    assert found.at_high == ("release.ramp_angle",) or found.values["release.ramp_angle"] > 15.9
    assert found.sure.frees == pytest.approx(
        how_sure(unsure().changed({"release.ramp_angle": 16.0})).frees, abs=0.01
    )
    assert [o.name for o in found.obstacles] == ["travel"]


@pytest.mark.parametrize(
    ("want", "says"),
    [
        (["frees>=1"], "above 0 and below 1"),
        (["frees>=0"], "above 0 and below 1"),
        (["frees<=0.5"], "at least"),
        (["frees>=0.8", "frees>=0.9"], "wanted twice"),
        (["frees>=2 mm"], "frees>=2 mm"),
    ],
)
def test_a_want_on_frees_that_makes_no_sense_is_refused(want: list[str], says: str) -> None:
    with pytest.raises(RequestError, match=says):
        size(unsure(), ["release.ramp_angle=12..18"], want)


def test_frees_is_no_aim_and_needs_something_uncertain() -> None:
    with pytest.raises(RequestError, match="not aimed at"):
        size(unsure(), ["release.ramp_angle=12..18"], most="frees")
    with pytest.raises(RequestError, match=r"nothing in .* is uncertain"):
        size(from_document(document()), ["release.ramp_angle=12..18"], ["frees>=0.9"])


# --- sensitivity ---


def test_the_effect_of_a_range_is_the_difference_of_two_strokes() -> None:
    clutch = unsure(faces={"cushion_load": 3000.0})  # else the cushion follows the spring's ±
    rows = {row.key: row for row in sensitivity(clutch)}
    for key, low, high in (
        ("cable.free_play", None, None),
        ("lever.stop_distance", 41.6, 42.4),
        ("spring.thickness", 1.68, 1.72),
        ("rod.end_float", 0.05, 0.40),
    ):
        row = rows[key]
        if low is not None:
            assert (row.low, row.high) == pytest.approx((low, high))
        ends = [liftgeo.stroke(clutch.changed({key: x})) for x in (row.low, row.high)]
        lift = [end.full_lever.clearance_per_face_mm for end in ends]
        peak = [end.peak.hand_force_n for end in ends]
        assert row.effect_low_high_clearance_mm == pytest.approx(lift[1] - lift[0], abs=1e-10)
        assert row.effect_low_high_peak_n == pytest.approx(peak[1] - peak[0], abs=1e-7)


def test_a_small_range_moves_by_its_width_times_the_slope() -> None:
    clutch = unsure(lever={"stop_distance": "42.0 ± 0.01"})
    row = next(r for r in sensitivity(clutch) if r.key == "lever.stop_distance")
    assert row.effect_low_high_clearance_mm == pytest.approx(0.02 * row.clearance_slope, rel=1e-4)
    assert row.effect_low_high_peak_n == pytest.approx(0.02 * row.peak_slope, rel=1e-4)


def test_at_each_limit_the_cushion_is_set_by_the_load_there() -> None:
    clutch = unsure()
    row = next(r for r in sensitivity(clutch) if r.key == "spring.thickness")
    ends = []
    for value in (row.low, row.high):
        found = document(
            **{k: {**LEFT.get(k, {}), **MEASURED.get(k, {})} for k in {*LEFT, *MEASURED}}
        )
        found["left_out"] = "usual"
        found["spring"]["thickness"] = value
        ends.append(liftgeo.stroke(from_document(found)).full_lever.clearance_per_face_mm)
    assert row.effect_low_high_clearance_mm == pytest.approx(ends[1] - ends[0], abs=1e-10)


def test_what_its_own_range_does_comes_first_in_the_ranking() -> None:
    rows = sensitivity(unsure())
    doubts = [row.doubt for row in rows]
    assert doubts == sorted(doubts, reverse=True)
    first = rows.rows[0]
    assert first.uncertain
    assert first.to_dict()["effect_low_high_clearance_mm"] == first.effect_low_high_clearance_mm
    certain = next(row for row in rows if row.key == "arm.radius")
    assert certain.to_dict()["low"] is None
    head = rows.to_csv().splitlines()[0].split(",")
    assert head[-4:] == ["low", "high", "effect_low_high_clearance_mm", "effect_low_high_peak_n"]


def test_a_reading_with_a_plus_minus_has_a_row_of_its_own_and_limits_stay_possible() -> None:
    loads = ["0 N", "900 N", "1700 N ± 60 N", "2400 N"]
    spring = {
        "kind": "table",
        "deflection": [0.0, 2.0, 4.0, 6.0],
        "load": loads,
        "installed_deflection": 4.5,
    }
    found = document()
    found["spring"] = spring
    found.pop("stack")
    found["faces"]["plate_runout"] = "0.2 ± 0.3"
    rows = {row.key: row for row in sensitivity(from_document(found))}
    reading = rows["spring.load[2]"]
    assert (reading.low, reading.high) == (1640.0, 1760.0)
    assert reading.effect_low_high_peak_n > 1
    assert reading.to_dict()["step"] is None
    assert 0 <= rows["faces.plate_runout"].low < 0.02
    assert rows["faces.plate_runout"].high == 0.5


# --- partial files ---


@pytest.mark.parametrize(
    "ask",
    [
        lambda m: compare(m),
        lambda m: size(m, ["arm.radius=34..42"]),
        lambda m: wear(m),
        lambda m: sensitivity(m),
    ],
)
def test_a_partial_file_is_told_what_is_missing(ask: Any) -> None:
    found = document(spring=COILS, stack=None)
    del found["faces"]
    with pytest.raises(RequestError, match=r"needs the whole clutch: \[faces\] is not there yet"):
        ask(from_document(found))


def test_the_batch_of_a_comparison_is_that_of_single_changes() -> None:
    # A value of a ± key given alone counts as certain in a batch of nominal numbers.
    clutch = unsure()
    many = batch(clutch, {"release.ramp_angle": np.array([14.0, 17.0])})
    wanted = [liftgeo.stroke(clutch), liftgeo.stroke(clutch.changed("steeper-ramp"))]
    for k, alone in enumerate(wanted):
        assert many.clearance_per_face_mm[k] == pytest.approx(
            alone.full_lever.clearance_per_face_mm, abs=1e-12
        )
