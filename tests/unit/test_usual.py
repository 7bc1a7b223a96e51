"""What a number that was left out is taken as, by kind of machine and by condition.

The usual values are common practice, without source; what is checked is which keys take one,
and that they are taken alike in a file, a change and a batch.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from clutches import KINDS, document

import liftgeo
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.usual import CONDITIONS, Taken, Usual, kinds_of_machine

RANGE = Usual(100.0, 220.0, 450.0, "high", log=True)
WIRE = {"construction": "1x19", "material": "stainless", "diameter": 2.5, "length": 900.0}


def usual(**tables: Any) -> Mechanism:
    """Return the base clutch, with usual values for what is left out."""
    return from_document(document(**{"left_out": "usual"} | tables))


def taken(**tables: Any) -> dict[str, Taken]:
    """Return what such a clutch takes at its usual value, by key."""
    return {item.key: item for item in usual(**tables).taken}


def limits(item: Taken | Usual) -> tuple[float, float, float]:
    return item.low, item.value, item.high


# ---------------------------------------------------------------- condition


@pytest.mark.parametrize("log", [False, True])
@pytest.mark.parametrize("good", ["low", "high"])
def test_a_rebuilt_machine_lies_nearer_the_good_end_and_a_worn_one_the_bad(good, log):
    given = Usual(1.0, 2.0, 5.0, good, log)
    rebuilt, used, worn = (given.of(condition) for condition in CONDITIONS)
    assert used is given
    order = (rebuilt, used, worn) if good == "low" else (worn, used, rebuilt)
    assert order[0].value < order[1].value < order[2].value
    assert order[0].low == pytest.approx(1.0)
    assert order[2].high == pytest.approx(5.0)
    assert order[0].high < 5.0
    assert order[2].low > 1.0
    for each in order:
        assert each.low < each.value < each.high


def test_half_way_is_meant_in_the_logarithm_where_it_varies_there():
    rebuilt = RANGE.of("rebuilt")
    assert rebuilt.value == pytest.approx(math.sqrt(220.0 * 450.0))
    assert rebuilt.low == pytest.approx(math.sqrt(100.0 * 220.0))


def test_where_wear_says_nothing_every_condition_is_alike():
    given = Usual(60, 130, 220)
    assert all(given.of(condition) is given for condition in CONDITIONS)


def test_the_condition_of_a_file_moves_what_is_taken():
    runout = [
        taken(condition=condition, faces={"plate_runout": None})["faces.plate_runout"].value
        for condition in CONDITIONS
    ]
    assert runout == sorted(runout)
    assert len(set(runout)) == 3
    assert runout[1] == 0.20


def test_a_worn_machine_frees_less_often_than_a_rebuilt_one():
    left = {"cable": {"free_play": None, "stiffness": None}, "rod": {"end_float": None}}
    found = [liftgeo.known(usual(condition=c, **left)).frees for c in CONDITIONS]
    assert found[0] > found[1] > found[2]


# ---------------------------------------------------------------- kinds of machine


@pytest.mark.parametrize(
    ("faces", "kinds"),
    [
        ({}, ("dry", "riveted")),
        ({"running": "wet"}, ("wet", "loose")),
        ({"friction_plates": 2}, ("dry", "loose")),
        ({"friction_plates": 3}, ("wet", "loose")),
        ({"friction_plates": 6, "running": "dry"}, ("dry", "loose")),
    ],
)
def test_plates_and_oil_tell_the_kind_of_machine(faces, kinds):
    assert kinds_of_machine({f"faces.{k}": v for k, v in faces.items()}) == kinds


def test_a_dry_riveted_plate_and_wet_loose_ones_take_their_own_values():
    left = {"friction": None, "plate_runout": None, "cushion_travel": None}
    dry = taken(faces=left)
    wet = taken(faces=left | {"friction_plates": 1, "running": "wet"})
    assert limits(dry["faces.friction"]) == (0.22, 0.30, 0.38)
    assert limits(wet["faces.friction"]) == (0.08, 0.11, 0.14)
    assert limits(dry["faces.plate_runout"]) == (0.08, 0.20, 0.45)
    assert limits(wet["faces.plate_runout"]) == (0.03, 0.10, 0.20)
    assert limits(dry["faces.cushion_travel"]) == (0.0, 0.2, 0.6)
    assert limits(wet["faces.cushion_travel"]) == (0.0, 0.02, 0.10)


def test_a_change_leaves_the_kind_of_machine_as_the_file_says():
    file = usual(faces={"friction": None})
    oiled = file.changed({"faces.running": "wet"})
    assert oiled.keys["faces.friction"] == file.keys["faces.friction"] == 0.30


def test_plain_plates_run_out_only_where_there_are_some():
    assert "faces.plain_plate_runout" not in taken()
    assert "faces.plain_plate_runout" in taken(stack={"plain_plates": 1})


# ---------------------------------------------------------------- keys that not every machine has


def test_a_wire_without_its_casing_takes_a_usual_casing():
    found = taken(cable={"stiffness": None, "wire": WIRE})
    assert limits(found["cable.housing.stiffness"]) == (150, 350, 900)
    assert "cable.stiffness" not in found
    whole = taken(cable={"stiffness": None, "wire": WIRE, "housing": {"stiffness": 300.0}})
    assert "cable.housing.stiffness" not in whole
    assert "cable.housing.stiffness" not in taken()


def test_a_rod_without_its_mount_takes_a_usual_mount():
    found = taken(rod={"stiffness": None, "length": 150.0, "diameter": 8.0})
    assert limits(found["rod.mount_stiffness"]) == (8000, 20000, 50000)
    assert "rod.stiffness" not in found
    assert "rod.mount_stiffness" not in taken()
    assert "rod.mount_stiffness" not in taken(rod={"stiffness": None})


def test_an_eccentric_takes_friction_with_the_radius_of_its_round_and_efficiency_without():
    plain = KINDS["release"]["eccentric"]
    assert limits(taken(release=plain)["release.efficiency"]) == (0.88, 0.93, 0.97)
    assert "release.friction" not in taken(release=plain)
    round_known = taken(release=plain | {"cam_radius": 12.0})
    assert limits(round_known["release.friction"]) == (0.08, 0.13, 0.20)
    assert "release.efficiency" not in round_known
    given = taken(release=plain | {"cam_radius": 12.0, "efficiency": 0.9})
    assert not {"release.friction", "release.efficiency"} & given.keys()


@pytest.mark.parametrize("kind", ["rack", "crank", "profile", "quick-thread"])
def test_every_other_unit_takes_its_own_loss(kind):
    name = "friction" if kind == "quick-thread" else "efficiency"
    assert f"release.{name}" in taken(release=KINDS["release"][kind])


def test_fingers_bend_only_where_there_are_fingers():
    assert "rod.finger_stiffness" not in taken()
    assert "rod.finger_stiffness" not in taken(rod={"finger_ratio": 1.0})
    assert limits(taken(rod={"finger_ratio": 4.0})["rod.finger_stiffness"]) == (4000, 8000, 16000)


def test_take_up_at_the_hand_covers_the_end_float():
    left = {"rod": {"end_float": None}}
    assert "rod.end_float" in taken(**left)
    covered = taken(cable={"free_play": None, "take_up_at_hand": 9.0}, **left)
    assert "rod.end_float" not in covered
    assert "cable.free_play" not in covered
    assert "rod.end_float" in taken(cable={"free_play": None, "free_play_at_hand": 6.0}, **left)


def test_a_point_that_said_nothing_or_rigid_is_not_left_out():
    found = taken(cable={"stiffness": "rigid", "free_play": "none"}, rod={"end_float": 0})
    assert not {"cable.stiffness", "cable.free_play", "rod.end_float"} & found.keys()


def test_blank_is_left_out():
    blank = usual(cable={"stiffness": ""}, rod={"end_float": ""})
    assert blank.keys == usual(cable={"stiffness": None}, rod={"end_float": None}).keys
    assert {"cable.stiffness", "rod.end_float"} == {item.key for item in blank.taken}


# ---------------------------------------------------------------- at the plate


@pytest.mark.parametrize("ratio", [1.0, 2.0, 5.0])
def test_what_is_usual_at_the_plate_is_over_the_ratio_squared_at_the_rod(ratio):
    found = taken(rod={"stiffness": None, "finger_ratio": ratio})["rod.stiffness"]
    assert limits(found) == tuple(pytest.approx(x / ratio**2) for x in (8000, 20000, 50000))


@pytest.mark.parametrize(
    "rod", [{"stiffness": None}, {"stiffness": None, "length": 150.0, "diameter": 8.0}]
)
def test_a_batch_over_the_ratio_takes_the_stiffness_of_each(rod):
    file = usual(rod=rod | {"finger_ratio": 2.0, "finger_stiffness": 9000.0})
    ratios = np.array([1.0, 2.0, 3.5])
    many = liftgeo.batch(file, {"rod.finger_ratio": ratios})
    for k, ratio in enumerate(ratios):
        alone = liftgeo.stroke(file.changed({"rod.finger_ratio": float(ratio)})).full_lever
        assert many.plate_lift_mm[k] == pytest.approx(alone.plate_lift_mm, rel=1e-10)
        assert many.hand_force_n[k] == pytest.approx(alone.hand_force_n, rel=1e-10)


# ---------------------------------------------------------------- nothing


def test_nothing_left_out_takes_nothing_and_is_certain():
    sparse: dict[str, Any] = {
        "cable": {"friction": None, "bend": None, "stiffness": None, "free_play": None},
        "rod": {"end_float": None, "stiffness": None},
        "arm": {"return_torque": None},
        "faces": {"cushion_travel": None, "plate_runout": None, "lift_tilt": None},
        "release": {"friction_angle": None},
    }
    bare = from_document(document(**sparse))
    assert (bare.taken, bare.left_out) == ((), "nothing")
    assert liftgeo.known(bare) is None
    zeros: dict[str, Any] = {
        "cable": {"friction": 0, "bend": 0, "stiffness": "rigid", "free_play": 0},
        "rod": {"end_float": 0, "stiffness": "rigid"},
        "arm": {"return_torque": 0},
        "faces": {"cushion_travel": 0, "plate_runout": 0, "lift_tilt": 0},
        "release": {"friction_angle": 0},
    }
    said = from_document(document(left_out="usual", **zeros))
    assert said.taken == ()
    numbers = [liftgeo.stroke(m).to_dict() for m in (bare, said, usual(**sparse))]
    warned = [{w["key"] for w in each.pop("warnings")} for each in numbers]
    assert numbers[0] == numbers[1] != numbers[2]
    assert warned[0] == warned[1] > {"rigid-cable", "rigid-rod"}


def test_how_it_is_loaded_overrules_the_file(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('[lever]\nkind = "drum"\ndrum_radius = 20\nhand_radius = 80\nhand_travel = 45\n'
                    '[arm]\nkind = "drum"\ndrum_radius = 40\n')  # fmt: skip
    assert {item.key for item in liftgeo.load(path).taken} >= {"cable.friction", "rod.end_float"}
    assert liftgeo.load(path, left_out="nothing").taken == ()
    with pytest.raises(liftgeo.RequestError, match="usual or nothing"):
        liftgeo.load(path, left_out="all")


@pytest.mark.parametrize(
    ("tables", "key", "words"),
    [
        ({"condition": "warn"}, "condition", 'Did you mean "worn"?'),
        ({"condition": 3}, "condition", '"rebuilt", "used", "worn"'),
        ({"left_out": "usally"}, "left_out", 'Did you mean "usual"?'),
        (
            {"changes": {"x": {"left_out": "nothing"}}},
            "changes.x.left_out",
            "A change cannot set it",
        ),
        (
            {"changes": {"x": {"condition": "worn"}}},
            "changes.x.condition",
            "A change cannot set it",
        ),
        ({"cable": {"free_play": "5 to 1 mm"}}, "cable.free_play", "smaller limit first"),
        ({"cable": {"free_play": "2 ± 1 to 3 mm"}}, "cable.free_play", "a range and a ±"),
        ({"arm": {"radius": "38 ± 40 mm"}}, "arm.radius", "as wide as the number"),
    ],
)
def test_a_word_or_range_that_makes_no_sense_is_a_fault(tables, key, words):
    with pytest.raises(liftgeo.GeometryError) as caught:
        usual(**tables)
    (found,) = caught.value.faults
    assert found.key == key
    assert words in found.text()


def test_left_out_is_no_key_of_a_change():
    with pytest.raises(liftgeo.GeometryError, match="left_out"):
        usual().changed({"left_out": "nothing"})
