"""Sets of changes: which can be made together, what each reaches, and which is nearest."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from clutches import changeable

import liftgeo
from liftgeo.mechanism import Mechanism
from liftgeo.studies.compare import compare
from liftgeo.studies.sets import built, exclude_each_other, nearest, sets_of, shortfall, tried


def machine(**changes: dict[str, Any]) -> Mechanism:
    """Return the base clutch of the tests with these changes only."""
    whole = changeable()
    made = changeable(changes=dict.fromkeys(whole.changes) | changes)
    assert set(made.changes) == set(changes)
    return made


# --- which sets ---


def test_changes_that_set_one_key_exclude_each_other() -> None:
    every = changeable().changes
    assert exclude_each_other(every["longer-arm"], every["shorter-arm"])
    assert not exclude_each_other(every["longer-arm"], every["less-play"])


def test_what_a_change_excludes_or_needs_is_kept_to() -> None:
    made = machine(
        play={"cable": {"free_play": 1.0}, "excludes": ["bend"]},
        bend={"cable": {"bend": 100}},
        lined={"cable": {"friction": 0.05}, "needs": ["play"]},
    )
    assert set(sets_of(made)) == {("play",), ("bend",), ("play", "lined")}


def test_changes_that_say_one_thing_by_different_keys_exclude_each_other() -> None:
    """The angle and the rest length of a cable both settle the arm's triangle."""
    made = machine(
        angle={"arm": {"cable_angle": 100.0}},
        length={"arm": {"rest_length": 91.0}},
        play={"cable": {"free_play": 1.0}},
    )
    assert sets_of(made) == [
        ("angle",),
        ("length",),
        ("play",),
        ("angle", "play"),
        ("length", "play"),
    ]


def test_all_pairs_and_triples_are_there_once_the_small_ones_first() -> None:
    whole = changeable()
    found = sets_of(whole)
    names = [n for n in whole.changes if n not in ("longer-arm", "shorter-arm")]
    wanted = sum(1 for n in (1, 2, 3) for _ in itertools.combinations(names, n))
    apart = [s for s in found if {"longer-arm", "shorter-arm"} & set(s)]
    assert len(found) - len(apart) == wanted
    assert len(set(found)) == len(found)
    assert [len(s) for s in found] == sorted(len(s) for s in found)


def test_no_more_sets_than_asked_for() -> None:
    assert len(sets_of(changeable(), 12)) == 12


def test_a_set_that_cannot_be_built_is_left_out() -> None:
    made = machine(far={"arm": {"rest_length": 400.0}}, play={"cable": {"free_play": 1.0}})
    assert list(built(made, sets_of(made))) == [("play",)]


# --- what each reaches ---


def test_each_reaches_what_its_stroke_does() -> None:
    base = changeable()
    found = tried(base, built(base, [(), *sets_of(base, 30)]))
    assert len(found) > 20
    for each in found[::5]:
        alone = liftgeo.stroke(base.changed(*each.names) if each.names else base)
        wanted = alone.full_lever.clearance_per_face_mm
        assert each.clearance_per_face_mm == pytest.approx(wanted, rel=1e-11, abs=1e-13)
        assert each.peak_hand_force_n == pytest.approx(alone.peak.hand_force_n, rel=1e-12)
        assert each.slip_margin == pytest.approx(alone.capacity.slip_margin, rel=1e-12)
        stops = any(w.severity == "stop" for w in alone.warnings) or alone.verdict == "slips"
        assert each.danger == stops


def test_the_shortfall_is_a_share_of_each_target_summed() -> None:
    """By hand: 0.04 of 0.10 mm, 18 of 90 N and 0.133 of 1.33 lack: 0.4 + 0.2 + 0.1."""
    base = changeable(targets={"clearance": 0.10, "hand_force": 90.0, "slip_margin": 1.33})
    short, miss = shortfall(base, 0.06, 0.04, 108.0, 1.197)
    assert miss == pytest.approx(0.7, rel=1e-12)
    assert [s.what for s in short] == ["clearance_per_face_mm", "peak_hand_force_n", "slip_margin"]
    assert [s.wanted for s in short] == pytest.approx([0.10, 90.0, 1.33])
    assert shortfall(base, 0.12, -0.02, 88.0, math.nan) == ((), 0.0)


# --- the nearest ---


def test_the_nearest_misses_least_of_all_sets_worked_out_one_by_one() -> None:
    base = changeable()
    found = nearest(base, {})
    assert found is not None
    target = float(base.parts().faces.target_mm)
    least = math.inf
    for names in [(), *sets_of(base)]:
        try:
            alone = liftgeo.stroke(base.changed(*names) if names else base)
        except liftgeo.GeometryError:
            continue
        if alone.verdict == "slips" or any(w.severity == "stop" for w in alone.warnings):
            continue
        clearance, margin = alone.full_lever.clearance_per_face_mm, alone.capacity.slip_margin
        _, miss = shortfall(base, clearance, target - clearance, alone.peak.hand_force_n, margin)
        weaker = margin < 1.33 and margin < liftgeo.stroke(base).capacity.slip_margin
        least = min(least, miss + 100.0 * weaker)
    assert found.tried.miss == pytest.approx(least, abs=1e-9)


def test_what_meets_everything_with_fewer_changes_is_nearer() -> None:
    """Play alone does it: a second change that changes next to nothing is not asked for."""
    made = changeable(
        changes=dict.fromkeys(changeable().changes)
        | {
            "play": {"cable": {"free_play": 0.4}},
            "bend": {"cable": {"bend": 149}},
        },
        targets={"clearance": 0.01, "hand_force": 300.0, "slip_margin": 1.01},
    )
    found = nearest(made, {})
    assert found is not None
    assert found.tried.names == ("play",)
    assert found.tried.short == ()


def test_a_comparison_holds_the_nearest_in_its_data() -> None:
    data = compare(changeable(), ["longer-arm"]).to_dict()["nearest"]
    assert set(data) == {
        "names",
        "frees",
        "clearance_per_face_mm",
        "peak_hand_force_n",
        "slip_margin",
        "short",
        "evaluated",
    }
    assert data["names"] in [list(names) for names in sets_of(changeable())]
    assert data["evaluated"] > 50


def test_another_file_may_be_the_nearest() -> None:
    base = changeable(changes=dict.fromkeys(changeable().changes))
    other = base.changed({"cable.free_play": 0.3, "cable.friction": 0.03})
    found = compare(base, against=[other]).nearest
    assert found is not None
    assert found.tried.names == (base.source,)
