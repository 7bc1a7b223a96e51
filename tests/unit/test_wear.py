"""What wear does, against changes of the file that come to the same, and against sums by hand."""

from __future__ import annotations

import csv
import io
import json
import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from clutches import COILS, DRUM_ARM, DRUM_LEVER, mechanism, sound, sound_mechanism

import liftgeo
from liftgeo.chain.states import worn
from liftgeo.errors import RequestError
from liftgeo.outcome.outcome import analysed
from liftgeo.studies.wear import wear


@cache
def plain() -> liftgeo.Mechanism:
    """Return a clutch in which nothing stretches, whose arm has no spring: play is play."""
    return mechanism(
        lever=DRUM_LEVER | {"hand_travel": 60},
        cable={"free_play": 3.0, "stiffness": 1e9},
        arm=DRUM_ARM,
        release={"kind": "rack", "pinion_radius": 6},
        rod={"end_float": 0.2, "stiffness": 1e9},
        spring=COILS | {"count": 9, "rate": 40, "free_length": 50, "installed_length": 45},
        stack=None,
        faces={
            "outside_diameter": 200,
            "inside_diameter": 140,
            "wear_limit": 1.0,
            "facing_thickness": 3.0,
        },
        engine={"torque": 80},
    )


def crossing(study, name):
    return next(c for c in study.crossings if c.name == name)


def test_without_wear_it_is_the_stroke():
    clutch = sound()
    study, result = wear(clutch), liftgeo.stroke(clutch)
    first = {name: column[0] for name, column in study.columns.items()}
    assert first["clamp_force_n"] == pytest.approx(result.capacity.clamp_force_n, rel=1e-12)
    assert first["slip_margin"] == pytest.approx(result.capacity.slip_margin, rel=1e-12)
    assert first["peak_hand_force_n"] == pytest.approx(result.peak.hand_force_n, rel=1e-9)
    assert first["take_up_mm"] == pytest.approx(result.hand.take_up_mm, rel=1e-12)
    assert first["clearance_per_face_mm"] == pytest.approx(
        result.full_lever.clearance_per_face_mm, rel=1e-9
    )
    assert study.verdicts[0] == result.verdict


def test_set_again_it_is_a_thinner_plate():
    """Each of two faces loses w, so the friction plate is 2 w thinner; the play is the file's."""
    clutch = sound()
    study = wear(clutch, readjusted=True, rows=11)
    thinner = 8.0 - 2 * study.columns["wear_mm"]
    alike = liftgeo.batch(clutch, {"stack.friction_plate": thinner})
    for name in ("clamp_force_n", "slip_margin", "separation_mm", "clearance_per_face_mm"):
        assert study.columns[name] == pytest.approx(getattr(alike, name), rel=1e-9, abs=1e-12)
    assert study.columns["peak_hand_force_n"] == pytest.approx(alike.peak_hand_force_n, rel=1e-9)
    assert study.verdicts == tuple(alike.verdict)


def test_not_set_again_the_float_shrinks_by_the_wear_of_the_pack():
    clutch = sound(cable__free_play=0)  # the float is all there is
    study = wear(clutch, rows=61)
    worn_mm = study.columns["pack_wear_mm"]
    good = worn_mm < 0.15
    alike = liftgeo.batch(
        clutch,
        {"stack.friction_plate": 8.0 - worn_mm[good], "rod.end_float": 0.15 - worn_mm[good]},
    )
    assert good.sum() > 5
    for name in ("clamp_force_n", "clearance_per_face_mm", "separation_mm"):
        assert study.columns[name][good] == pytest.approx(getattr(alike, name), rel=1e-9)


@pytest.mark.parametrize("ratio", [1.0, 4.0])
def test_riding_is_where_float_and_slack_are_gone(ratio):
    """By hand: (0.2 + 6 · 3/40)/i in all, half of it each face; then no play is left."""
    clutch = plain().changed({"rod.finger_ratio": ratio})
    study = wear(clutch)
    assert study.riding_mm == pytest.approx((0.2 + 0.45) / ratio / 2, rel=1e-12)
    at_riding = crossing(study, "lever-rides")
    assert at_riding.wear_mm == study.riding_mm
    base = analysed(clutch)
    parts = worn(base.parts, np.asarray(2 * study.riding_mm))
    left = replace(base, parts=parts).clutch_end.take_up_mm
    assert left == pytest.approx(0.0, abs=1e-9)


def test_take_up_falls_as_by_hand_once_the_float_is_gone():
    """Slack left times hand over drum radius: at 0.3 of wear, 3 - 0.1/6 · 40 mm of slack."""
    study = wear(plain().changed({"faces.wear_limit": 0.15}), rows=2)
    slack = 3.0 - (0.3 - 0.2) / 6.0 * 40.0
    assert study.columns["take_up_mm"][-1] == pytest.approx(slack * 80 / 20, rel=1e-6)
    new = 3.0 + 0.2 / 6 * 40
    assert study.columns["take_up_mm"][0] == pytest.approx(new * 80 / 20, rel=1e-6)


@pytest.mark.parametrize(
    "laid",
    [
        {},
        {"release.kind": "crank", "release.crank_radius": 12, "release.rest_angle": -20},
        {"release.kind": "quick-thread", "release.lead": 25, "release.mean_diameter": 22},
        {"arm.return_rate": 0.01},
    ],
    ids=["ball-ramp", "crank", "thread", "arm spring"],
)
def test_what_stands_at_full_lever_does_not_feel_wear_taken_up_by_play(laid):
    """Lever, plate and spring end in the same places, however much of the play wear has eaten.

    True only because rest has moved back along straight lines, and nothing past it has changed.
    """
    study = wear(sound().changed(laid) if laid else sound())
    good = ~np.isnan(study.columns["hand_force_n"])
    assert good.sum() > 5
    force = study.columns["hand_force_n"][good]
    assert force == pytest.approx(force[0], rel=1e-6)


def test_a_line_is_met_exactly_where_it_is_crossed():
    clutch = sound(engine__torque=34, cable__free_play=6, lever__hand_travel=60)
    study = wear(clutch, readjusted=True)
    met = crossing(study, "slip-margin")
    there = liftgeo.stroke(clutch.changed({"stack.friction_plate": 8.0 - 2 * met.wear_mm}))
    assert there.capacity.slip_margin == pytest.approx(1.33, rel=1e-9)
    assert not met.when_new


def test_the_order_of_the_limits_and_the_first_one():
    study = wear(sound(faces__wear_limit=0.5))
    order = [c.wear_mm for c in study.crossings]
    assert order == sorted(order)
    assert study.first_limit is not None
    assert study.first_limit.name == "lever-rides"
    assert crossing(study, "wear-to-riding").wear_mm < study.riding_mm
    again = wear(sound(faces__wear_limit=0.5), readjusted=True)
    assert again.first_limit is not None
    assert again.first_limit.name == "wear-limit"
    slipping = wear(sound(engine__torque=40), readjusted=True)
    assert slipping.first_limit is not None
    assert slipping.first_limit.name == "slips"


def test_what_is_wrong_when_new_is_told_apart_from_what_wear_brings():
    study = wear(sound(faces__plate_runout=0.6))
    assert study.first_limit is not None
    assert (study.first_limit.name, study.first_limit.when_new) == ("drags", True)
    assert study.first_limit_by_wear is not None
    assert study.first_limit_by_wear.name == "lever-rides"


def test_dragging_is_a_caution_and_dragging_hard_a_stop_both_limits():
    soft, hard = (wear(sound(faces__plate_runout=w)) for w in (0.63, 0.64))
    for study, name, severity in ((soft, "drags", "caution"), (hard, "drags-hard", "stop")):
        assert study.first_limit is not None
        assert (study.first_limit.name, study.first_limit.severity) == (name, severity)
        when_new = [c.name for c in study.crossings if c.when_new]
        assert [n for n in when_new if n.startswith("drags")] == [name]


def test_on_the_falling_side_wear_loads_the_clutch_first_and_eases_it_later():
    study = wear(sound(stack__rim_depth=30.2, faces__wear_limit=0.8), readjusted=True)
    clamp = study.columns["clamp_force_n"]
    top = int(np.argmax(clamp))
    assert 0 < top < len(clamp) - 1
    # By hand: the peak of this disc stands at 2.0121 mm, the spring starts at 2.4 mm.
    peak = 3.4 - math.sqrt((3.4**2 - 2 * 1.7**2) / 3)
    assert 2.4 - 2 * study.columns["wear_mm"][top] == pytest.approx(peak, abs=0.02)


def test_past_riding_nothing_is_made_up():
    study = wear(sound(faces__wear_limit=0.5))
    past = study.columns["wear_mm"] > study.riding_mm + 1e-9
    assert past.any()
    assert np.isnan(study.columns["slip_margin"][past]).all()
    assert all(study.verdicts[k] == "" for k in np.flatnonzero(past))
    assert not np.isnan(study.columns["slip_margin"][~past]).any()


def test_it_goes_to_the_wear_limit_else_through_the_facing_else_to_what_ends_it():
    assert wear(sound()).columns["wear_mm"][-1] == 0.5
    without = {"wear_limit": None}
    assert wear(sound_mechanism(faces=without), readjusted=True).columns["wear_mm"][-1] == 3.0
    bare = wear(sound_mechanism(faces=without | {"facing_thickness": None}))
    assert bare.columns["wear_mm"][-1] == bare.riding_mm
    assert bare.first_limit is not None
    assert bare.first_limit.name == "lever-rides"


def test_a_spring_that_wear_leaves_loose_is_told():
    study = wear(
        plain().changed({"faces.wear_limit": 2.9, "faces.facing_thickness": 3.0}),
        readjusted=True,
    )
    assert crossing(study, "spring-loose").wear_mm == pytest.approx(2.5)
    assert np.isnan(study.columns["clamp_force_n"][-1])


def test_faces_that_carry_torque_share_the_wear():
    one_sided = sound(faces__friction_faces=1)
    assert wear(one_sided).riding_mm == pytest.approx(2 * wear(sound()).riding_mm)
    assert wear(one_sided).columns["pack_wear_mm"][-1] == 0.5


def test_json_holds_no_nan_and_csv_has_a_row_for_each_step():
    study = wear(sound(), rows=21)
    data = json.loads(json.dumps(study.to_dict(), allow_nan=False))
    assert len(data["rows"]["wear_mm"]) == len(data["rows"]["verdict"]) == 21
    assert data["rows"]["slip_margin"][-1] is None
    assert data["first_limit"]["name"] == "lever-rides"
    assert data["wear_limit_mm"] == 0.5
    rows = list(csv.DictReader(io.StringIO(study.to_csv())))
    assert len(rows) == 21
    assert float(rows[3]["clamp_force_n"]) == study.columns["clamp_force_n"][3]
    assert rows[-1]["slip_margin"] == ""


def test_too_few_rows_are_refused():
    with pytest.raises(RequestError, match="1 rows are too few"):
        wear(sound(), rows=1)
