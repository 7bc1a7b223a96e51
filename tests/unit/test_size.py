"""Sizing: what may be asked, what is found, what binds, the front, and saving the answer."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from clutches import BASE_TEXT, CHANGES, KINDS, TEXT_WITHOUT_CHANGES, mechanism

import liftgeo
from liftgeo.geometry_file import save_change
from liftgeo.studies.front import undominated
from liftgeo.studies.obstacles import floor_for_wants_n
from liftgeo.studies.size import Sizing, size
from liftgeo.studies.variants import Variants
from liftgeo.studies.wants import Range, Want, want_from


@pytest.fixture(scope="module")
def found() -> Sizing:
    ranges = ["arm.radius_same_angle=32..44", "release.ramp_angle=12..18"]
    return size(mechanism(), ranges, ["clearance>=0.04"], exact=True)


# --- the answer ---


def test_the_answer_keeps_the_want_and_says_by_how_much(found: Sizing) -> None:
    assert found.met
    (kept,) = found.wants
    assert kept.value == found.result.full_lever.clearance_per_face_mm
    assert 0 <= kept.margin < 1e-6
    assert found.binding == ["clearance"]
    assert found.obstacles == ()


def test_the_answer_is_the_stroke_of_the_change(found: Sizing) -> None:
    alone = liftgeo.stroke(mechanism().changed(found.change))
    assert found.result.full_lever == alone.full_lever
    assert found.result.peak == alone.peak
    assert found.result.stroke is None


def test_the_same_angle_stays_as_the_arm_grows(found: Sizing) -> None:
    before = liftgeo.stroke(mechanism()).full_lever
    angles = [
        np.degrees(m.parts().arm.link.cable_angle_rad(0.0))
        for m in (mechanism(), mechanism().changed(found.change))
    ]
    assert angles[0] == pytest.approx(angles[1], rel=1e-12)
    assert found.change["arm.radius"] == found.values["arm.radius_same_angle"] != 38.0
    assert before.clearance_per_face_mm < 0.04


def test_a_key_alone_keeps_the_other_distances() -> None:
    alone = size(mechanism(), ["arm.radius=30..44"], ["clearance>=0.02"])
    assert alone.change == {"arm.radius": alone.values["arm.radius"]}
    assert alone.mechanism.keys["arm.rest_length"] == 90.0


def test_steps_leave_only_what_the_workshop_can_make() -> None:
    stepped = size(
        mechanism(),
        ["arm.radius_same_angle=32..44", "cable.free_play=0.9..2.2", "release.ramp_angle=12..18"],
        ["clearance>=0.04"],
        step=["arm.radius_same_angle=0.5", "cable.free_play=0.2"],
    )
    radius, play = stepped.values["arm.radius_same_angle"], stepped.values["cable.free_play"]
    assert radius * 2 == round(radius * 2)
    assert play == pytest.approx(0.2 * round(play / 0.2), rel=1e-15)
    assert stepped.met
    assert stepped.result.full_lever.clearance_per_face_mm >= 0.04
    free = size(
        mechanism(),
        ["arm.radius_same_angle=32..44", "cable.free_play=0.9..2.2", "release.ramp_angle=12..18"],
        ["clearance>=0.04"],
    )
    assert free.result.peak.hand_force_n <= stepped.result.peak.hand_force_n * (1 + 1e-6)
    for point in stepped.front:
        assert point.values["arm.radius_same_angle"] * 2 % 1 == 0


def test_what_binds_is_told_although_steps_leave_a_margin() -> None:
    stepped = size(
        mechanism(),
        ["arm.radius_same_angle=32..44"],
        ["clearance>=0.02"],
        step=["arm.radius_same_angle=1"],
    )
    assert stepped.wants[0].margin > 1e-4
    assert stepped.binding == ["clearance"]


def test_counts_are_tried_as_whole_numbers() -> None:
    many = size(mechanism(), ["faces.friction_plates=1..3"], ["slip_margin>=1.5"])
    assert many.values["faces.friction_plates"] in (1.0, 2.0, 3.0)
    assert many.dropped > 0  # three plates press the spring past flat


@pytest.mark.parametrize("measure", ["clearance", "separation"])
def test_most_brings_a_measure_up_under_a_limit_of_effort(measure: str) -> None:
    up = size(
        mechanism(),
        ["release.ramp_angle=11..18"],
        ["peak_hand_force<=130"],
        most=measure,
        exact=True,
    )
    assert up.result.peak.hand_force_n == pytest.approx(130.0, rel=1e-6)
    assert up.result.peak.hand_force_n <= 130.0
    assert up.binding == ["peak_hand_force"]


@pytest.mark.parametrize(
    ("want", "value"),
    [
        ("separation>=0.35", lambda r: r.full_lever.separation_mm),
        ("hand_force<=115", lambda r: r.full_lever.hand_force_n),
        ("slip_margin>=1.77", lambda r: r.capacity.slip_margin),
        ("clamp_force>=3390", lambda r: r.capacity.clamp_force_n),
        ("axial_load<=3300", lambda r: r.bearing.axial_load_n),
    ],
)
def test_every_want_is_kept(want: str, value: Any) -> None:
    ranges = ["stack.friction_plate=7.9..8.3", "release.ramp_angle=11..18"]
    kept = size(mechanism(), ranges, [want])
    limit = float(want.replace("<=", ">=").split(">=")[1])
    assert kept.met, kept.wants
    assert (value(kept.result) - limit) * (1 if ">=" in want else -1) >= 0


def test_without_want_and_aim_the_target_clearance_is_wanted() -> None:
    plain = size(mechanism(targets={"clearance": 0.03}), ["release.ramp_angle=11..18"])
    assert [k.want for k in plain.wants] == [Want("clearance", 1, 0.03)]
    assert plain.goal.measure == "peak_hand_force"
    bare = size(mechanism(), ["release.ramp_angle=11..18"], least="hand_force")
    assert bare.wants == ()
    assert bare.at_low == ("release.ramp_angle",)


def test_the_same_question_has_the_same_answer() -> None:
    first, second = (
        size(
            mechanism(), ["arm.radius=32..44", "cable.free_play=1..2"], ["clearance>=0.01"]
        ).to_dict()
        for _ in range(2)
    )
    assert first == second


def test_data_has_the_shape_of_the_json(found: Sizing) -> None:
    data = found.to_dict()
    names = {"met", "values", "result", "binding", "front", "evaluated", "dropped"}
    own = {"frees", "holds", "taken"}
    assert set(data) == {*names, *own, "seed", "base"}
    assert data["base"] == {"frees": None, "holds": None, "taken": []}
    assert set(data["values"]) == {"arm.radius_same_angle", "release.ramp_angle"}
    point = {"values", "clearance_per_face_mm", "peak_hand_force_n"}
    assert {frozenset(p) for p in data["front"]} == {frozenset(point)}
    assert data["evaluated"] > 1000
    assert data["dropped"] == 0


# --- what cannot be met, and what is in the way ---


@pytest.mark.parametrize(
    ("vary", "want", "keys", "name"),
    [
        ("release.ramp_angle=11..15", "clearance>=0.5", {}, "travel"),
        (
            "lever.nipple_radius=24..30",
            "clearance>=0.1",
            {"release": {"max_rotation": 8.0}},
            "track",
        ),
        ("arm.radius=32..38", "separation>=0.9", {"arm": {"max_rotation": 9.0}}, "track"),
        ("lever.hand_travel=60..90", "clearance>=0.8", {}, "spring end"),
        ("release.ramp_angle=11..18", "peak_hand_force<=20", {}, "effort floor"),
        ("release.ramp_angle=11..18", "peak_hand_force<=60", {}, "effort"),
        ("stack.friction_plate=7.9..8.3", "slip_margin>=4", {}, "slip"),
        ("stack.friction_plate=7.9..8.3", "axial_load<=500", {}, "bearing load"),
        ("stack.friction_plate=7.9..8.3", "clamp_force>=9000", {}, "clamp force"),
    ],
)
def test_a_miss_names_what_stands_in_the_way(
    vary: str, want: str, keys: dict[str, Any], name: str
) -> None:
    wants = [want, "clearance>=0.02"] if "peak" in want else [want]
    missed = size(mechanism(**keys), [vary], wants)
    assert not missed.met
    assert want.replace("<=", ">=").split(">=")[0] in missed.binding
    assert name in [o.name for o in missed.obstacles]
    assert missed.to_dict()["met"] is False


def test_the_effort_floor_is_the_mean_work_for_the_lift_wanted() -> None:
    """Spring and cushion over the lift by the trapezoidal rule, over the hand travel.

    Worked out here: a step of a ten-thousandth of the lift leaves an error below 1e-8.
    """
    from liftgeo.outcome.outcome import analysed

    clutch = mechanism(arm={"return_torque": 0.0})
    want = Want("separation", 1, 0.4)
    floor = floor_for_wants_n(analysed(clutch), [want])
    parts = clutch.parts()
    rest, soft = float(parts.clamp_force_n), float(parts.faces.cushion_compliance)
    lift = np.linspace(0.0, soft * rest + 0.4, 10001)
    force = parts.spring.load_n(parts.installed_deflection_mm + lift)
    force = force - np.maximum(rest - lift / soft, 0.0)
    assert floor == pytest.approx(np.trapezoid(force, lift) / 39.0, rel=1e-6)


def test_a_slipping_answer_is_flagged() -> None:
    clutch = mechanism(engine={"torque": 103.0})
    weak = size(clutch, ["stack.friction_plate=8.0..8.6"], least="peak_hand_force")
    assert weak.result.verdict == "slips"
    assert weak.dangers == ("slips",)
    assert "slips" in weak.worries


# --- the front ---


def test_the_front_has_no_dominated_point(found: Sizing) -> None:
    points = [(p.clearance_per_face_mm, p.peak_hand_force_n) for p in found.front]
    assert len(points) > 20
    for k, (clearance, peak) in enumerate(points):
        for other, (more, less) in enumerate(points):
            dominates = more >= clearance and less <= peak and (more > clearance or less < peak)
            assert not (other != k and dominates)
    assert points == sorted(points, reverse=True)


def test_front_points_are_what_their_values_give(found: Sizing) -> None:
    keys = ("arm.radius_same_angle", "release.ramp_angle")
    over = {k: np.array([p.values[k] for p in found.front]) for k in keys}
    many = liftgeo.batch(mechanism(), over)
    clearance = np.array([p.clearance_per_face_mm for p in found.front])
    assert clearance == pytest.approx(many.clearance_per_face_mm, abs=1e-12)
    peak = np.array([p.peak_hand_force_n for p in found.front])
    assert peak == pytest.approx(many.peak_hand_force_n, rel=1e-12)


def test_the_front_keeps_the_wants_on_other_things() -> None:
    other = size(
        mechanism(),
        ["stack.friction_plate=7.9..8.4", "release.ramp_angle=12..18"],
        ["slip_margin>=1.78", "clearance>=0.02"],
        exact=True,
    )
    over = {k: np.array([p.values[k] for p in other.front]) for k in other.values}
    many = liftgeo.batch(mechanism(), over)
    assert many.slip_margin.min() >= 1.78 - 1e-9
    assert min(p.clearance_per_face_mm for p in other.front) < 0.02


@pytest.mark.parametrize("seed", range(5))
def test_undominated_agrees_with_comparing_all_pairs(seed: int) -> None:
    random = np.random.default_rng(seed)
    clearance, peak = random.integers(0, 12, 60) / 10, random.integers(0, 12, 60) * 10.0
    kept = undominated(clearance, peak)
    pairs = {(clearance[k], peak[k]) for k in kept}
    wanted = {
        (c, p)
        for c, p in zip(clearance, peak, strict=True)
        if not np.any(
            (clearance >= c) & (peak <= p) & ((clearance > c) | (peak < p)),
        )
    }
    assert pairs == wanted
    assert len(kept) == len(pairs)


def test_the_table_holds_the_front(found: Sizing) -> None:
    rows = list(csv.DictReader(io.StringIO(found.to_csv())))
    assert len(rows) == len(found.front)
    assert float(rows[0]["clearance_per_face_mm"]) == found.front[0].clearance_per_face_mm
    assert (
        float(rows[-1]["arm.radius_same_angle"]) == found.front[-1].values["arm.radius_same_angle"]
    )


# --- variants ---


def test_chunks_on_several_threads_give_what_one_call_gives() -> None:
    ranges = [Range("arm.radius", 30.0, 44.0), Range("cable.free_play", 0.5, 3.0)]
    shares = np.random.default_rng(3).uniform(size=(20000, 2))
    variants = Variants(mechanism(), ranges, ("hand_force",))
    table = variants.evaluate(shares)
    many = liftgeo.batch(mechanism(), variants.inputs(shares))
    assert np.array_equal(table.values["clearance"], many.clearance_per_face_mm)
    assert np.array_equal(table.values["peak_hand_force"], many.peak_hand_force_n)
    assert np.array_equal(table.values["hand_force"], many.hand_force_n)
    assert (variants.evaluated, variants.dropped) == (20000, 0)


@pytest.mark.parametrize("count", range(2, 9))
def test_as_many_variants_as_readings_of_a_measured_spring_are_no_trap(count: int) -> None:
    """A batch once took a spring's readings for one number of each variant."""
    measured = mechanism(spring=KINDS["spring"]["table"], stack=None)
    assert len(measured.keys["spring.load"]) in range(2, 9)
    radii = np.linspace(24.0, 30.0, count)
    peaks = liftgeo.batch(measured, {"lever.nipple_radius": radii}).peak_hand_force_n
    for radius, peak in zip(radii, peaks, strict=True):
        alone = liftgeo.stroke(measured.changed({"lever.nipple_radius": float(radius)}))
        assert peak == pytest.approx(alone.peak.hand_force_n, rel=1e-12)


def test_variants_that_cannot_be_built_drop_out_and_are_counted() -> None:
    crossing = size(mechanism(), ["arm.rest_length=40..160"], ["clearance>=-0.2"])
    assert crossing.met
    assert crossing.dropped > 100
    assert set(crossing.drop_reasons) == {"the arm's triangle does not close"}
    assert crossing.evaluated > crossing.dropped


def test_progress_counts_every_variant() -> None:
    counts: list[int] = []
    done = size(
        mechanism(), ["arm.radius=32..40"], ["clearance>=0"], exact=True, progress=counts.append
    )
    assert sum(counts) >= done.evaluated + done.dropped
    assert sum(counts) <= done.evaluated + done.dropped + 10


# --- bad questions ---


@pytest.mark.parametrize(
    ("vary", "want", "more", "said"),
    [
        (["arm.radus=30..44"], [], {}, "Did you mean arm.radius?"),
        (["arm.radius=44..30"], [], {}, "LOW (44 mm) is above HIGH (30 mm)"),
        (["arm.radius=30-44"], [], {}, "KEY=LOW..HIGH"),
        (["arm.radius=..44"], [], {}, "KEY=LOW..HIGH"),
        (["arm.radius=30 N..44"], [], {}, "a length is wanted"),
        (["arm.radius=30..inf"], [], {}, "arm.radius"),
        (["release.kind=1..2"], [], {}, "release.kind is not a number"),
        (["cable.free_play=-3..-1"], [], {}, "at least 0 mm"),
        (["arm.radius=30..44", "arm.radius=30..40"], [], {}, "varied twice"),
        (["arm.radius=300..400"], [], {}, "the arm's triangle does not close"),
        ([], [], {}, "--vary KEY=LOW..HIGH"),
        (["arm.radius=30..44"], ["clearence>=0.1"], {}, "Did you mean clearance?"),
        (["arm.radius=30..44"], ["clearance>0.1"], {}, "NAME>=NUMBER"),
        (["arm.radius=30..44"], ["clearance"], {}, "NAME>=NUMBER"),
        (["arm.radius=30..44"], ["clearance>=5 N"], {}, "a length is wanted"),
        (["arm.radius=30..44"], [], {"least": "weight"}, "weight cannot be wanted"),
        (["arm.radius=30..44"], [], {"least": "hand_force", "most": "clearance"}, "not both"),
        (["arm.radius=30..44"], [], {"step": ["arm.radius=0"]}, "above zero"),
        (["arm.radius=30..44"], [], {"step": ["arm.radus=1"]}, "Did you mean arm.radius?"),
        (["arm.radius=30..44"], [], {"step": ["arm.radius"]}, "KEY=SIZE"),
        (["arm.radius=30.1..30.4"], [], {"step": ["arm.radius=0.5"]}, "no multiple of 0.5"),
        (["arm.radius_same_angle=30..44", "arm.radius=30..44"], [], {}, "arm.cable_angle instead"),
    ],
)
def test_a_question_that_cannot_be_asked_is_refused(
    vary: list[str], want: list[str], more: dict[str, Any], said: str
) -> None:
    with pytest.raises(liftgeo.RequestError) as caught:
        size(mechanism(), vary, want, **more)
    assert said in str(caught.value)


def test_keys_that_say_the_same_cannot_be_varied_together() -> None:
    with pytest.raises(liftgeo.GeometryError) as caught:
        size(mechanism(), ["arm.rest_length=80..90", "arm.cable_angle=80..90"])
    assert [f.key for f in caught.value.faults] == ["arm.cable_angle"]


def test_a_key_that_needs_another_says_which() -> None:
    with pytest.raises(liftgeo.GeometryError) as caught:
        size(mechanism(), ["rod.length=100..200"])
    assert [f.key for f in caught.value.faults] == ["rod.diameter"]


def test_a_want_on_a_missing_table_is_refused() -> None:
    with pytest.raises(liftgeo.RequestError) as caught:
        size(mechanism(engine=None), ["arm.radius=30..44"], ["slip_margin>=1.5"])
    assert "engine.torque" in str(caught.value)


def test_a_drum_has_no_angle_to_keep() -> None:
    clutch = mechanism().changed({"arm.kind": "drum", "arm.drum_radius": 38.0})
    with pytest.raises(liftgeo.RequestError) as caught:
        size(clutch, ["arm.radius_same_angle=30..44"])
    assert "cable end on a radius" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "want"),
    [
        ("clearance>=0.15", Want("clearance", 1, 0.15)),
        (" clearance >= 6 thou ", Want("clearance", 1, 0.1524)),
        ("peak-hand-force ≤ 90", Want("peak_hand_force", -1, 90.0)),
        ("slip_margin=>1.33", Want("slip_margin", 1, 1.33)),
    ],
)
def test_wants_are_read_with_units(text: str, want: Want) -> None:
    read = want_from(text)
    assert (read.measure, read.sign) == (want.measure, want.sign)
    assert read.limit == pytest.approx(want.limit, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("cable.free_play=0.5 mm..2 mm", 0.5, 2.0),
        ("cable.free_play = 0.5 .. 2", 0.5, 2.0),
        ("cable.free_play=20 thou..80 thou", 0.508, 2.032),
        ("cable.free_play=20..80 thou", 0.508, 2.032),
        ("lever.pivot_shift_x=-2..2", -2.0, 2.0),
    ],
)
def test_ranges_are_read_with_units(text: str, low: float, high: float) -> None:
    from liftgeo.studies.wants import range_from

    read = range_from(mechanism(), text)
    assert (read.low, read.high) == pytest.approx((low, high), rel=1e-15)


# --- saving ---

ANSWER = {"arm.radius": 33.5, "arm.cable_angle": 91.25}
SAVED = '\n[changes.found]\nnote = "sized"\narm.radius = 33.5\narm.cable_angle = 91.25\n'


def test_saving_adds_the_change_and_leaves_every_other_byte(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(BASE_TEXT, encoding="utf-8")
    save_change(path, "found", ANSWER, "sized")
    assert path.read_text(encoding="utf-8") == BASE_TEXT + SAVED
    assert [p.name for p in tmp_path.iterdir()] == ["mine.toml"]
    saved = liftgeo.load(path)
    assert saved.changes["found"].note == "sized"
    assert saved.changed("found").keys["arm.radius"] == 33.5


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_saving_into_a_file_without_changes_keeps_its_line_ends(
    tmp_path: Path, ending: str
) -> None:
    path = tmp_path / "mine.toml"
    before = TEXT_WITHOUT_CHANGES.replace("\n", ending)
    path.write_bytes(b"\xef\xbb\xbf" + before.encode())
    save_change(path, "found", ANSWER, "sized")
    after = path.read_bytes()
    wanted = before.rstrip() + ending + SAVED.replace("\n", ending)
    assert after == b"\xef\xbb\xbf" + wanted.encode()


def test_a_change_of_that_name_is_replaced_only_by_force(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(BASE_TEXT, encoding="utf-8")
    with pytest.raises(liftgeo.RequestError) as caught:
        save_change(path, "less-play", ANSWER)
    assert "--force" in str(caught.value)
    assert path.read_text(encoding="utf-8") == BASE_TEXT
    save_change(path, "less-play", ANSWER, force=True)
    changes = liftgeo.load(path).changes
    assert changes["less-play"].keys == ANSWER
    assert list(changes) == list(CHANGES)


@pytest.mark.parametrize("name", ["", "a b", "a+b", "a.b", "[x]"])
def test_a_name_that_the_command_line_could_not_give_is_refused(tmp_path: Path, name: str) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(BASE_TEXT, encoding="utf-8")
    with pytest.raises(liftgeo.RequestError) as caught:
        save_change(path, name, ANSWER)
    assert "cannot name a change" in str(caught.value)


@pytest.mark.parametrize(
    "head", ["changes = {a = {arm.radius = 40.0}}\n", "changes.a.arm.radius = 40.0\n"]
)
def test_a_layout_that_cannot_be_added_to_is_left_alone_and_the_lines_are_told(
    tmp_path: Path, head: str
) -> None:
    path = tmp_path / "mine.toml"
    before = head + TEXT_WITHOUT_CHANGES
    path.write_text(before, encoding="utf-8")
    with pytest.raises(liftgeo.FileError) as caught:
        save_change(path, "found", ANSWER)
    assert "[changes.found]\narm.radius = 33.5" in str(caught.value)
    assert path.read_text(encoding="utf-8") == before
