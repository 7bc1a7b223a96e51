"""Stock against changes: exact differences, reasons, marks, and what may be recommended."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from clutches import changeable, document

import liftgeo
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.outcome.results import Warning
from liftgeo.outcome.together import outcomes
from liftgeo.studies.compare import (
    BETTER,
    DELTAS,
    compare,
    dangers_of,
    wanted_changes,
    worries_of,
)
from liftgeo.studies.reasons import Account, accounts_of, causes, reason_between

GEOMETRIES = Path(__file__).resolve().parents[2] / "geometries"
EXAMPLES = sorted(GEOMETRIES.glob("*.toml"))


# --- results and differences ---


def same_data(found: object, wanted: object) -> None:
    """Hold plain data to other plain data, numbers to 1e-12 of their size."""
    if isinstance(wanted, dict):
        assert isinstance(found, dict)
        assert found.keys() == wanted.keys()
        for key, value in wanted.items():
            same_data(found[key], value)
    elif isinstance(wanted, list):
        assert isinstance(found, list)
        assert len(found) == len(wanted)
        for one, other in zip(found, wanted, strict=True):
            same_data(one, other)
    elif isinstance(wanted, float):
        assert found == pytest.approx(wanted, rel=1e-12, abs=1e-13)
    else:
        assert found == wanted


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_result_is_the_stroke_of_the_changed_file(path: Path) -> None:
    """Many go through one array call, whose sines may differ from a float's in the last bit."""
    mechanism = liftgeo.load(path)
    found = compare(mechanism, together=False)
    assert [v.names for v in found.variants] == [(name,) for name in mechanism.changes]
    for case in found.all:
        alone = liftgeo.stroke(mechanism.changed(*case.names)).to_dict()
        del alone["stroke"]
        same_data(case.result.to_dict(), alone)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_differences_are_those_of_separate_strokes(path: Path) -> None:
    mechanism = liftgeo.load(path)
    base = liftgeo.stroke(mechanism)
    for case in compare(mechanism).variants:
        alone = liftgeo.stroke(mechanism.changed(*case.names))
        for name, get in DELTAS.items():
            wanted = get(alone) - get(base)
            scale = 1e-12 * abs(get(alone)) + 1e-13
            assert case.delta[name] == pytest.approx(wanted, rel=0, abs=scale, nan_ok=True), name


def test_the_strokes_are_there_when_asked_for_and_the_same() -> None:
    mechanism = changeable()
    for case in compare(mechanism, ["longer-arm", "less-play"], positions=101).all:
        assert case.result.stroke is not None
        alone = liftgeo.stroke(mechanism.changed(*case.names), 101).stroke
        assert alone is not None
        rows, wanted = case.result.stroke.table(), alone.table()
        for column in wanted.dtype.names or ():
            same = pytest.approx(wanted[column], rel=1e-12, abs=1e-12, nan_ok=True)
            assert rows[column] == same, column


def test_data_has_the_shape_of_the_json() -> None:
    data = compare(changeable(), ["longer-arm", "better-cable+less-play"]).to_dict()
    assert set(data) == {"base", "variants", "nearest"}
    own = {"frees", "holds", "taken"}
    shape = {"names", "result", "delta", "consequence", *own}
    assert [set(v) for v in data["variants"]] == [shape] * 2
    assert own < set(data["base"])
    assert [v["names"] for v in data["variants"]] == [
        ["longer-arm"],
        ["better-cable", "less-play"],
    ]
    assert set(data["variants"][0]["delta"]) == set(DELTAS)
    assert "stroke" not in data["base"]
    assert data["variants"][0]["delta"]["travel_left_mm"] is None  # the base does not run clear
    assert data["variants"][1]["result"]["change"] == "better-cable + less-play"


def test_a_moved_pivot_equals_moved_points() -> None:
    """Pivot at the origin, stop on the x axis, nipple above: the axes of the shift are the file's.

    Expected value: the same mechanism with its pivot typed in elsewhere; invented numbers.
    """
    points = {"pivot": [0.0, 0.0], "pin": [9.0, 24.0], "stop": [42.0, 0.0], "hand": [-60.0, 45.0]}
    changes = {
        "shifted": {"lever": {"pivot_shift_x": 1.0, "pivot_shift_y": -3.0}},
        "moved": {"lever": {"points": {"pivot": [1.0, -3.0]}}},
    }
    lever = {"kind": "pin", "points": points, "hand_travel": 39.0}
    found = compare(from_document(document(lever=lever, changes=changes)))
    shifted, moved = found.variants
    for name in DELTAS:
        if not math.isnan(moved.value(name)):
            assert shifted.value(name) == pytest.approx(moved.value(name), rel=1e-12), name
    assert abs(moved.delta["clearance_per_face_mm"]) > 0.01


# --- what is compared ---


def test_none_named_means_all_of_the_file_and_together_adds_them_combined() -> None:
    mechanism = changeable()
    every = [(name,) for name in mechanism.changes]
    assert wanted_changes(mechanism, []) == every
    assert wanted_changes(mechanism, [], together=True) == [*every, tuple(mechanism.changes)]
    assert wanted_changes(mechanism, ["less-play", "longer-arm"], together=True) == [
        ("less-play",),
        ("longer-arm",),
        ("less-play", "longer-arm"),
    ]
    assert wanted_changes(mechanism, ["less-play"], together=True) == [("less-play",)]


def test_several_changes_joined_with_plus_are_made_together() -> None:
    mechanism = changeable()
    found = compare(mechanism, [" better-cable + less-play "]).variants[0]
    assert found.names == ("better-cable", "less-play")
    assert (
        found.result.full_lever
        == liftgeo.stroke(mechanism.changed("better-cable", "less-play")).full_lever
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("longerarm", "Did you mean longer-arm?"),
        ("longer-arm+", "both sides of +"),
        ("", "both sides of +"),
        ("longer-arm+nothing", "No change is called nothing."),
        ("longer-arm+longer-arm", "names longer-arm twice"),
    ],
)
def test_a_name_the_file_does_not_have_is_refused(text: str, said: str) -> None:
    with pytest.raises(liftgeo.RequestError) as caught:
        compare(changeable(), [text])
    assert said in str(caught.value)


def test_a_change_that_makes_the_file_invalid_says_which_change_and_which_key() -> None:
    mechanism = changeable(changes={"long": {"arm": {"radius": 400.0}}})
    with pytest.raises(liftgeo.GeometryError) as caught:
        compare(mechanism, ["long"])
    assert "with long" in str(caught.value)
    assert [f.key for f in caught.value.faults] == ["arm.rest_length"]


def test_all_invalid_changes_are_named_at_once() -> None:
    mechanism = changeable(
        changes={
            "long": {"arm": {"radius": 400.0}},
            "fine": {"arm": {"radius": 40.0}},
            "loose": {"stack": {"rim_depth": 60.0}},
        }
    )
    with pytest.raises(liftgeo.GeometryError) as caught:
        compare(mechanism)
    keys = [f.key for f in caught.value.faults]
    assert keys == ["with long: arm.rest_length", "with loose: stack.rim_depth"]


def test_another_file_is_compared_alone_unless_changes_are_named() -> None:
    mechanism, other = changeable(), liftgeo.load(EXAMPLES[0])
    alone = compare(mechanism, against=[other])
    assert [v.names for v in alone.variants] == [(EXAMPLES[0].name,)]
    assert alone.variants[0].result.peak == liftgeo.stroke(other).peak
    both = compare(mechanism, ["less-play"], against=[other])
    assert [v.names for v in both.variants] == [("less-play",), (EXAMPLES[0].name,)]


def test_the_table_holds_values_and_differences() -> None:
    found = compare(changeable(), ["longer-arm"])
    rows = list(csv.DictReader(io.StringIO(found.to_csv())))
    assert [r["names"] for r in rows] == ["", "longer-arm"]
    assert float(rows[1]["peak_hand_force_n"]) == found.variants[0].result.peak.hand_force_n
    assert float(rows[1]["delta_work_j"]) == found.variants[0].delta["work_j"]
    assert rows[1]["delta_travel_left_mm"] == ""
    assert rows[1]["reason"] == "trades lift for effort"


# --- reasons ---


def accounts(*mechanisms: Mechanism) -> list[Account]:
    results = [liftgeo.stroke(each) for each in mechanisms]
    return accounts_of(outcomes(mechanisms), results)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"arm.radius": 44.0, "arm.cable_angle": 100.0}, "trades lift for effort"),
        ({"arm.radius": 32.0, "arm.cable_angle": 100.0}, "trades effort for lift"),
        ({"release.ramp_angle": 17.0}, "trades effort for lift"),
        ({"cable.friction": 0.05}, "less is lost"),
        ({"cable.friction": 0.15}, "more is lost"),
        ({"cable.stiffness": 600.0}, "less is lost"),
        ({"cable.free_play": 1.0}, "less is lost"),
        ({"faces.plate_runout": 0.1}, "less is lost"),
        ({"faces.plate_runout": 0.3}, "more is lost"),
        ({"stack.friction_plate": 8.2}, "spring eases"),
        ({"stack.friction_plate": 7.6}, "spring presses harder"),
        ({"spring.thickness": 1.75}, "spring presses harder"),
        ({"lever.hand_travel": 46.0}, "longer pull"),
        ({"faces.friction": 0.35}, "hardly any change"),
        ({"engine.torque": 50.0}, "hardly any change"),
    ],
)
def test_the_reason_is_what_a_restorer_would_say(change: dict[str, float], reason: str) -> None:
    mechanism = changeable()
    base, own = accounts(mechanism, mechanism.changed(change))
    assert reason_between(base, own) == reason


def account(**numbers: float) -> Account:
    """Return an account with round numbers, some of them put in."""
    plain = {
        "work_in_j": 4.0,
        "useful_j": 2.0,
        "lift_mm": 0.5,
        "net_lift_mm": 0.1,
        "peak_n": 120.0,
        "travel_mm": 40.0,
        "working_mm": 30.0,
        "same_j": 2.0,
    }
    return Account(**{**plain, **numbers})


def test_a_ratio_that_lifts_and_pulls_by_the_same_share_is_a_trade() -> None:
    more = account(lift_mm=0.6, net_lift_mm=0.2, peak_n=144.0, work_in_j=4.8, useful_j=2.4)
    assert reason_between(account(), more) == "trades effort for lift"
    assert reason_between(more, account()) == "trades lift for effort"
    assert causes(account(), more) == pytest.approx(
        {"lost": 0.0, "spring": 0.0, "spread": 0.0, "travel": 0.0}, abs=1e-15
    )


def test_a_flatter_pull_at_the_same_work_is_effort_better_spread() -> None:
    assert reason_between(account(), account(peak_n=100.0)) == "effort better spread"
    assert reason_between(account(peak_n=100.0), account()) == "effort worse spread"


def test_the_causes_add_up_to_the_whole_change_of_price() -> None:
    """Where the useful work grows as the lift, no cause is left out or counted twice."""
    base = account()
    own = account(
        lift_mm=0.6,
        net_lift_mm=0.25,
        peak_n=111.0,
        work_in_j=3.9,
        useful_j=2.16,
        same_j=1.8,
        travel_mm=42.0,
        working_mm=34.0,
    )
    price = math.log(own.peak_n / base.peak_n) - math.log(1 + 0.15 / 0.5)
    assert sum(causes(base, own).values()) == pytest.approx(-price, rel=1e-12)


def test_lost_work_is_work_in_less_useful_work() -> None:
    found = compare(changeable(), ["better-cable"])
    for case in found.all:
        result, own = case.result, case.account
        useful = result.effort.floor_n * 39.0 / 1000  # the file's hand travel, 39 mm
        assert own.lost_j == pytest.approx(result.effort.work_j - useful, rel=1e-12)
        assert own.lost_j > 0
    assert found.variants[0].account.lost_j < found.base.account.lost_j


def test_a_lever_that_never_lifts_is_judged_by_its_signs() -> None:
    mechanism = changeable(cable={"free_play": 11.0})
    base, own = accounts(mechanism, mechanism.changed({"cable.free_play": 10.0}))
    assert not base.lifts
    assert reason_between(base, own) in ("less is lost", "trades effort for lift")
    assert reason_between(base, base) == "hardly any change"


# --- marks and recommendations ---


def test_best_and_worst_of_each_column_are_marked() -> None:
    found = compare(changeable(), ["longer-arm", "shorter-arm", "better-cable"])
    for name in DELTAS:
        values = [BETTER[name] * c.value(name) for c in found.all]
        marks = found.marks(name)
        sound = [v for v, c in zip(values, found.all, strict=True) if not c.dangers]
        if "*" in marks:
            assert values[marks.index("*")] == np.nanmax(sound), name
        if "!" in marks:
            assert values[marks.index("!")] == np.nanmin(values), name
    assert found.marks("clearance_per_face_mm") == ["", "!", "*", ""]
    assert found.marks("peak_hand_force_n") == ["", "", "!", "*"]
    assert found.marks("clamp_force_n") == [""] * 4


def test_what_slips_is_never_marked_best_nor_proposed() -> None:
    mechanism = changeable(engine={"torque": 104.0})
    shorter = mechanism.changed({"arm.radius": 32.0, "arm.cable_angle": 100.0})
    assert liftgeo.stroke(shorter).verdict == "slips"
    found = compare(mechanism, ["shorter-arm", "thick-plate", "longer-arm"])
    assert [c.dangers for c in found.all[:3]] == [("slips",)] * 3
    assert found.all[3].dangers == ("slips", "drags")
    assert all("*" not in found.marks(name) for name in DELTAS)
    assert found.best() is None


def test_the_best_is_clear_before_marginal_then_the_lightest() -> None:
    mechanism = liftgeo.load(GEOMETRIES / "trials-wet-clutch.toml")
    found = compare(mechanism)
    best = found.best()
    assert best is not None
    assert best.result.verdict == "clear"
    clear = [
        v
        for v in found.variants
        if v.result.verdict == "clear" and not worries_of(v.result, found.base.result)
    ]
    assert best.result.peak.hand_force_n == min(v.result.peak.hand_force_n for v in clear)


def test_a_change_that_still_drags_is_not_proposed() -> None:
    found = compare(changeable(), ["longer-arm", "thick-plate"])
    assert {v.result.verdict for v in found.variants} == {"drags"}
    assert found.best() is None


def test_dangers_and_new_cautions_forbid_proposing() -> None:
    base = liftgeo.stroke(changeable())
    told = (Warning("snap", "caution", ""), Warning("lever-rides", "stop", ""))
    known = replace(base, warnings=(Warning("snap", "caution", ""),))
    other = replace(base, warnings=told)
    assert dangers_of(other) == ("lever-rides",)
    assert worries_of(other, known) == ("lever-rides",)
    assert worries_of(other, replace(base, warnings=())) == ("lever-rides", "snap")
    quiet = replace(base, warnings=(Warning("rigid-cable", "caution", ""),))
    assert worries_of(quiet, replace(base, warnings=())) == ()
