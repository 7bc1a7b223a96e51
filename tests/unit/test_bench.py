"""Readings from the bench: how they are read, what the chain says of them, and what they change."""

from __future__ import annotations

import numpy as np
import pytest
from clutches import BASE_TEXT, document, mechanism

import liftgeo
from liftgeo.errors import GeometryError
from liftgeo.mechanism import from_document
from liftgeo.mechanism.bench import QUANTITIES, Reading
from liftgeo.mechanism.readings_text import readings_of
from liftgeo.outcome.conditioned import conditioned
from liftgeo.outcome.drawing import draw
from liftgeo.outcome.evidence import Evidence
from liftgeo.outcome.outcome import analysed
from liftgeo.outcome.predicted import predicted
from liftgeo.outcome.standing_out import left_by_others
from liftgeo.outcome.uncertain import uncertain

SPARSE = {
    "cable": {"free_play": None, "stiffness": None},
    "rod": {"end_float": None},
}


def usual(**tables: object) -> liftgeo.Mechanism:
    return from_document(document(left_out="usual", **tables))


def bench(text: str, **changed: object) -> liftgeo.Mechanism:
    file = document(left_out="usual", **{**SPARSE, **changed})
    return from_document(file).with_readings(readings_of(text))


# ---------------------------------------------------------------- the text


def test_columns_units_and_places_are_read() -> None:
    text = "hand_travel_mm,hand_force_n,separation_mm\n20,61.5,\n,,0.35 ± 0.05\n"
    first, second = readings_of(text)
    assert (first.quantity, first.value, first.at, first.line) == ("hand_force", 61.5, 20.0, 2)
    assert (second.quantity, second.value, second.half_width) == ("separation", 0.35, 0.05)
    assert second.at is None


def test_a_reading_without_plus_minus_takes_the_usual_one() -> None:
    force, gap = readings_of("hand_travel_mm,hand_force_n,separation_mm\n20,61,0.2\n")
    assert (force.half_width, gap.half_width) == (1.0, 0.02)


@pytest.mark.parametrize(
    "head", ["± hand_force_n", "hand_force_n ±", "hand_force_plus_minus_n", "hand_force_pm_n",
             "+/- hand_force_n"],
)  # fmt: skip
def test_a_column_of_plus_minus_may_be_named_in_several_ways(head: str) -> None:
    (only,) = readings_of(f"hand_travel_mm,hand_force_n,{head}\n20,61,2.5\n")
    assert only.half_width == 2.5


@pytest.mark.parametrize(
    ("head", "cell", "value"),
    [("hand_force_lbf", "10", 44.4822161526), ("hand_force_kgf", "5", 49.03325),
     ("hand_force_kg", "5", 49.03325), ("separation_in", "0.01", 0.254),
     ("separation_thou", "10", 0.254), ("plate_lift_mm", "0.5", 0.5)],
)  # fmt: skip
def test_units_of_a_column_are_turned_into_bare_ones(head: str, cell: str, value: float) -> None:
    (only,) = readings_of(f"{head}\n{cell}\n")
    assert only.value == pytest.approx(value)


def test_a_spreadsheet_of_the_continent_is_understood() -> None:
    plain = readings_of("hand_travel_mm,separation_mm\n20.5,0.20 ± 0.05\n")
    bom = readings_of("\ufeffhand_travel_mm;separation_mm\r\n20,5;0,20 ± 0,05\r\n")
    assert bom == plain
    quoted = readings_of('hand_travel_mm,separation_mm\n"20,5","0,20 ± 0,05"\n')
    assert quoted == plain


def test_a_scale_row_belongs_to_the_tool() -> None:
    text = "hand_travel_mm,hand_force_n,separation_mm\n20,61,\n30,70,0.2\nscale,2 %,\n"
    assert [r.scale for r in readings_of(text)] == [0.02, 0.02, 0.0]


def test_conditions_say_where_by_their_own_columns() -> None:
    text = (
        "condition,arm_rotation_deg,rod_travel_mm,hand_force_n,hand_travel_mm\n"
        "cable off,10,0.8,,\narm held,,,90,11\n"
    )
    off, held = readings_of(text)
    assert (off.quantity, off.place, off.at, off.condition) == (
        "rod_travel", "arm_rotation", 10.0, "cable off",
    )  # fmt: skip
    assert (held.quantity, held.place, held.at) == ("hand_travel", "hand_force", 90.0)


BAD = {
    "": "The file is empty",
    "10,50\n20,60\n": "line 1 = 10, 50",
    "hand_travel_mm,hand_force_n\n": "no readings stand below",
    "hand_travel_mm,hand_force_n\n10,fifty\n": "line 2: hand_force_n = fifty",
    "hand_travel_mm,hand_force_n\n10,5 lbf\n": "mixed units",
    "hand_travel_mm,hand_force\n10,5\n": "hand_force_n",
    "hand_travel_mm,hand_fource_n\n10,5\n": "Did you mean hand_force_n?",
    "hand_travel_mm,hand_force_n,hand_force_lbf\n10,5,1\n": "the same thing twice",
    "hand_travel_mm,hand_force_n\n10,5\n10,50\n": "line 3: hand_force",
    "hand_travel_mm,hand_force_n\n10,5,3\n": "put semicolons between the cells",
    "hand_travel_mm,hand_force_n\n10,-5\n": "Below zero",
    "hand_travel_mm,hand_force_n\n-10,5\n": "line 2: hand_travel = -10 mm",
    "hand_travel_mm,hand_force_n\n10,1e300\n": "line 2: hand_force = 1e+300 N",
    "hand_travel_mm,hand_force_n\n1e300,5\n": "too large to compute with",
    "hand_travel_mm,hand_force_n\n10,\n": "holds no reading",
    "hand_travel_mm,hand_force_n,direction\n10,5,sideways\n": "line 2: direction",
    "condition,rod_travel_mm\ncable off,1\n": "Fill in arm_rotation_deg",
    "hand_travel_mm,hand_force_n\n10,5\nscale,60 %\n": "is no tool",
}


@pytest.mark.parametrize("text", BAD)
def test_what_is_wrong_with_readings_is_said_with_the_line(text: str) -> None:
    with pytest.raises(GeometryError) as error:
        readings_of(text, "bench.csv")
    assert BAD[text] in str(error.value)
    assert str(error.value).startswith("bench.csv: ")


def test_the_same_reading_twice_within_the_plus_minus_is_two_readings() -> None:
    assert len(readings_of("separation_mm\n0.20\n0.21\n")) == 2


def test_a_reading_beyond_the_lever_is_refused_with_its_line() -> None:
    with pytest.raises(GeometryError, match=r"line 2: hand_force = at 300 mm"):
        liftgeo.known(bench("hand_travel_mm,hand_force_n\n300,61\n"))


@pytest.mark.parametrize("travel", [45, 60])
def test_a_take_up_longer_than_the_stroke_is_refused_by_its_key(travel: int) -> None:
    """The base clutch's hand has 39 mm to the grip; the rod would never load."""
    file = document(left_out="usual", bench={"take_up": f"{travel} mm"})
    with pytest.raises(GeometryError, match=rf"bench.take_up = {travel} mm") as caught:
        liftgeo.known(from_document(file))
    assert "39.0 mm of hand travel" in str(caught.value)
    with pytest.raises(GeometryError, match=rf"line 2: take_up = {travel} mm"):
        liftgeo.known(bench(f"take_up_mm\n{travel}\n", **{"cable": {"free_play": 2.2}}))
    liftgeo.known(bench("take_up_mm\n12\n", **{"cable": {"free_play": 2.2}}))


@pytest.mark.parametrize("reading", ["separation", "plate_lift"])
def test_a_lift_of_another_unit_is_refused_and_one_that_contradicts_is_not(reading: str) -> None:
    found = liftgeo.stroke(usual())
    most = found.budget[0].left_mm
    with pytest.raises(GeometryError, match=rf"bench\.{reading} = (?s:.*)ten times"):
        liftgeo.known(usual(bench={reading: 10.5 * most}))
    with pytest.raises(GeometryError, match=rf"line 2: {reading} = (?s:.*)ten times"):
        liftgeo.known(bench(f"{reading}_mm\n{100 * most}\n"))
    sure = liftgeo.known(usual(bench={reading: 2 * most}))
    assert sure is not None
    assert sure.bench is not None
    assert sure.bench.contradicts == (reading,)


def test_a_reading_finer_than_any_tool_is_refused_with_its_line() -> None:
    with pytest.raises(GeometryError, match=r"line 2: separation = ± 1e-09"):
        liftgeo.known(bench("separation_mm,± separation_mm\n0.4,1e-9\n"))


# ---------------------------------------------------------------- [bench]


def test_bench_keys_become_readings() -> None:
    file = usual(bench={"separation": "0.35 ± 0.05 mm", "hand_force": "60 ± 2 N",
                        "hand_force_at": 20, "return_force": 40,
                        "clamp_force": "2000 ± 50 N"})  # fmt: skip
    found = {(r.quantity, r.direction): r for r in file.readings}
    assert found["separation", "pulling"].half_width == 0.05
    assert found["hand_force", "pulling"].at == 20.0
    assert found["hand_force", "letting back"].half_width == 1.0
    assert found["clamp_force", "pulling"].value == 2000.0


def test_a_take_up_read_on_the_bench_is_the_cables_play() -> None:
    file = usual(cable={"free_play": None}, bench={"take_up": "9 ± 0.5 mm"})
    assert "cable.free_play" not in {item.key for item in file.taken}
    assert file.keys["cable.take_up_at_hand"] == 9.0
    assert liftgeo.stroke(file).hand.take_up_mm == pytest.approx(9.0, abs=1e-6)


@pytest.mark.parametrize(
    ("content", "words"),
    [({"seperation": 0.2}, "Did you mean separation?"),
     ({"separation": "0.2 N"}, "bench.separation"),
     ({"clamp_force": 0}, "bench.clamp_force"), ({"hand_force_at": 20}, "hand_force is not given"),
     (3, "This must be a table"), ({"readings": 4}, "Not text")],
)  # fmt: skip
def test_faults_of_the_bench_are_told(content: object, words: str) -> None:
    with pytest.raises(GeometryError) as error:
        usual(bench=content)
    assert words in str(error.value)


def test_a_change_cannot_set_readings() -> None:
    with pytest.raises(GeometryError, match=r"changes\.other\.bench"):
        usual(changes={"other": {"bench": {"separation": 0.2}}})


# ---------------------------------------------------------------- what the chain says


def test_predictions_are_those_of_the_stroke_and_of_positions() -> None:
    file = from_document(document())
    result = liftgeo.stroke(file)
    at = liftgeo.position(file, hand_travel_mm=20.0)
    text = (
        "hand_travel_mm,hand_force_n,separation_mm,plate_lift_mm,rod_travel_mm,cable_pull_mm,"
        "arm_rotation_deg\n20,1,1,1,1,1,1\n,1,1,1,1,1,1\n"
    )
    readings = readings_of(text)
    values = predicted(readings)(analysed(file))
    for reading, value in zip(readings, values, strict=True):
        name = (
            reading.quantity + {"length": "_mm", "force": "_n", "angle": "_deg"}[reading.dimension]
        )
        where = result.full_lever if reading.at is None else at
        if reading.quantity == "separation" and reading.at is not None:
            assert max(value, 0.0) == pytest.approx(at.separation_mm, abs=1e-9)
        else:
            assert value == pytest.approx(getattr(where, name), rel=1e-9), reading.name


def test_letting_back_is_read_where_the_hand_stands_then() -> None:
    file = from_document(document())
    table = liftgeo.stroke(file).stroke
    for row in (40, 80, 110):
        travel = table.return_hand_travel_mm[row]
        reading = Reading("hand_force", 1.0, 1.0, travel, direction="letting back")
        value = predicted([reading])(analysed(file))[0]
        assert value == pytest.approx(table.return_hand_force_n[row], rel=1e-6)


def test_with_the_cable_off_the_arm_alone_says_where() -> None:
    file = from_document(document())
    full = liftgeo.stroke(file).full_lever
    other = file.changed({"cable.stiffness": 90.0, "cable.free_play": 4.0})
    reading = Reading("rod_travel", 1.0, 0.02, 0.5 * full.arm_rotation_deg, "arm_rotation",
                      condition="cable off")  # fmt: skip
    one, two = (float(predicted([reading])(analysed(m))[0]) for m in (file, other))
    assert one == pytest.approx(two, rel=1e-9)
    unit = file.parts().release
    turned = np.radians(reading.at) - file.parts().arm.shaft_compliance_rad_per_nmm * 0
    assert one == pytest.approx(float(unit.at(turned).travel_mm), rel=1e-3)


def test_with_the_arm_held_the_cable_alone_gives() -> None:
    """By hand: what the lever pulls is the slack and the stretch, and its own force law holds."""
    file = from_document(document())
    parts = file.parts()
    for force in (20.0, 60.0, 110.0):
        reading = Reading("hand_travel", 1.0, 0.5, force, "hand_force", condition="arm held")
        travel = float(predicted([reading])(analysed(file))[0])
        lever = parts.lever
        angle = (travel - lever.compliance_mm_per_n * force) / lever.hand_radius_mm
        link = lever.link.at(angle)
        at_lever = force * lever.hand_radius_mm * lever.efficiency / link.moment_arm_mm
        tension = (at_lever - parts.cable.drag_n) / parts.cable.gain(1)
        pull = parts.cable.slack_mm + parts.cable.stretch_mm(tension, 1)
        assert link.pull_mm == pytest.approx(pull, rel=1e-9)


# ---------------------------------------------------------------- what readings change


def brute(file: liftgeo.Mechanism, count: int = 200_000) -> tuple[np.ndarray, np.ndarray]:
    """Return clearances of very many samples and how much each weighs, by batch alone."""
    random = np.random.default_rng(77)
    inputs = uncertain(file)
    over = {each.key: each.at(random.random(count)) for each in inputs}
    wanted = ("clearance_per_face_mm", "separation_signed_mm", "hand_force_n")
    many = liftgeo.batch(file, over, answers=wanted)
    of = {"separation": many.separation_signed_mm, "hand_force": many.hand_force_n}
    log = sum(-0.5 * ((r.value - of[r.quantity]) / (r.half_width / 2)) ** 2 for r in file.readings)
    weight = np.exp(log - np.max(log))
    return many.clearance_per_face_mm, weight / weight.sum()


@pytest.mark.parametrize(
    "text",
    ["separation_mm\n0.45 ± 0.1\n", "separation_mm\n0.30 ± 0.06\n",
     "separation_mm,hand_force_n\n0.25 ± 0.08,\n,125 ± 3\n"],
)  # fmt: skip
def test_how_sure_with_readings_is_that_of_weighing_very_many_samples(text: str) -> None:
    """Within four standard errors of the 2,000 samples and of what the weights are worth."""
    file = bench(text, faces={"cushion_load": 3400})
    clearance, weight = brute(file)
    worth = 1 / np.sum(weight**2)
    assert worth > 400
    found = liftgeo.known(file)
    error = 0.5 * np.sqrt(1 / 1000 + 1 / worth)
    assert found.frees == pytest.approx(float(weight[clearance >= 0].sum()), abs=4 * error)
    order = np.argsort(clearance)
    sums = np.cumsum(weight[order])
    spread = np.sqrt(weight @ (clearance - weight @ clearance) ** 2)
    for share, value in ((0.05, found.clearance_per_face_mm.p05),
                         (0.5, found.clearance_per_face_mm.p50),
                         (0.95, found.clearance_per_face_mm.p95)):  # fmt: skip
        expected = float(clearance[order][np.searchsorted(sums, share)])
        assert value == pytest.approx(expected, abs=6 * spread * np.sqrt(1 / 1000 + 1 / worth))


def test_a_feeler_moves_the_answer_to_where_it_reads() -> None:
    before = liftgeo.known(from_document(document(left_out="usual", **SPARSE)))
    after = liftgeo.known(bench("separation_mm\n0.30 ± 0.05\n"))
    assert after.bench is not None
    assert before.bench is None
    assert after.bench.separation_mm.p50 == pytest.approx(0.30, abs=0.05)
    wide, narrow = (k.clearance_per_face_mm.p95 - k.clearance_per_face_mm.p05
                    for k in (before, after))  # fmt: skip
    assert narrow < wide
    assert "bench" in after.to_dict()
    assert "bench" not in before.to_dict()


def test_readings_of_the_unchanged_clutch_count_for_a_change_too() -> None:
    text = "separation_mm\n0.30 ± 0.05\n"
    other = {"cable.bend": 100.0}
    weighed = liftgeo.known(bench(text).changed(other))
    plain = liftgeo.known(from_document(document(left_out="usual", **SPARSE)).changed(other))
    own = liftgeo.known(bench(text))
    assert weighed.clearance_per_face_mm.p50 == pytest.approx(
        own.clearance_per_face_mm.p50, abs=0.05
    )
    assert abs(weighed.clearance_per_face_mm.p50 - plain.clearance_per_face_mm.p50) > 0.02


@pytest.mark.parametrize(
    ("key", "value"),
    [("cable.free_play", 0.5), ("cable.stiffness", 900.0), ("rod.end_float", 0.15)],
)  # 0.15 is its usual value: set by a change it is known all the same
def test_what_a_change_sets_is_as_the_change_says_whatever_was_read_before(
    key: str, value: float
) -> None:
    was = bench("separation_mm\n0.45 ± 0.05\n")
    made = was.changed({key: value})
    found = draw(made)
    assert found is not None
    assert key in {each.key for each in draw(was).inputs}
    assert set(found.values) == {each.key for each in draw(was).inputs} - {key}


def test_a_changed_key_with_another_plus_minus_is_drawn_anew() -> None:
    was = bench(
        "separation_mm\n0.45 ± 0.05\n", cable={"free_play": "1.6 ± 0.4 mm", "stiffness": None}
    )
    wider = draw(was.changed({"cable.free_play": "1.6 ± 0.6 mm"}))
    assert np.std(wider.values["cable.free_play"]) == pytest.approx(0.3, rel=0.02)


def test_the_work_is_judged_by_what_the_change_does_to_what_was_left_out() -> None:
    was = usual(**SPARSE, changes={"tight": {"cable": {"free_play": 0.4}}})
    made = was.changed("tight")
    gap = [liftgeo.stroke(x).full_lever.separation_mm for x in (was, made)]
    assert gap[1] - gap[0] > 0.05
    before, after = (readings_of(f"separation_mm\n{value:.3f} ± 0.02\n") for value in gap)
    found = liftgeo.after_work(was, "tight", before, after)
    (row,) = found.rows
    assert found.agrees
    assert row.said == pytest.approx(gap[1] - gap[0], abs=0.4 * (gap[1] - gap[0]))


def test_a_reading_that_contradicts_is_not_argued_away() -> None:
    cable = {"free_play": "1.2 ± 0.05 mm"}
    apart = liftgeo.stroke(usual(cable=cable)).full_lever.separation_mm
    wrong = apart - 0.25
    read = usual(cable=cable, bench={"separation": f"{wrong} ± 0.03 mm"})
    found = liftgeo.known(read)
    assert found.bench.contradicts == ("separation",)
    assert found.bench.taken_alone
    assert found.bench.separation_mm.p50 == pytest.approx(wrong, abs=0.01)
    assert found.next == ()


@pytest.mark.parametrize(("ratio", "holds"), [(0.4, 0.0), (0.9, 1.0)])
def test_a_weighed_spring_that_contradicts_moves_the_grip(ratio: float, holds: float) -> None:
    as_written = usual(**SPARSE)
    margin = liftgeo.stroke(as_written).capacity.slip_margin
    clamp_n = liftgeo.stroke(as_written).capacity.clamp_force_n
    found = liftgeo.known(bench(f"clamp_force_n\n{ratio * clamp_n:.0f} ± 5\n"))
    assert found.bench.contradicts == ("clamp_force (line 2)",)
    assert found.bench.slip_margin.p50 == pytest.approx(ratio * margin, rel=2e-3)
    assert found.holds == holds
    assert found.odds.slips == 1.0 - holds


def test_a_weighed_spring_that_agrees_leaves_the_grip() -> None:
    clamp_n = liftgeo.stroke(usual(**SPARSE)).capacity.clamp_force_n
    found = liftgeo.known(bench(f"clamp_force_n\n{clamp_n + 2:.0f} ± 5\n"))
    assert found.bench.contradicts == ()
    assert found.bench.slip_margin is None


def test_with_left_out_as_nothing_readings_move_what_is_usual() -> None:
    file = from_document(document(left_out="nothing", bench={"separation": "0.3 ± 0.05 mm"}))
    names = {each.key for each in uncertain(file)}
    assert names == {"cable.free_play", "cable.stiffness", "cable.friction", "rod.end_float"}
    assert uncertain(from_document(document(left_out="nothing"))) == ()


def test_a_closed_reading_of_nothing_says_only_that_they_do_not_part() -> None:
    file = bench("separation_mm\n0 ± 0.05\n")
    evidence = Evidence(file, uncertain(file), file.readings)
    z = np.zeros((1, evidence.width))
    z[0, [each.key for each in evidence.inputs].index("cable.free_play")] = 4.0
    assert evidence.predicted(z)[0, 0] == 0.0


def test_the_same_seed_gives_the_same_samples_and_no_readings_none() -> None:
    one, two = (conditioned(bench("separation_mm\n0.3 ± 0.05\n"), 2000, 1) for _ in range(2))
    assert np.array_equal(one.z, two.z)
    assert conditioned(from_document(document()), 2000, 1) is None


def test_every_quantity_is_predicted() -> None:
    file = from_document(document())
    readings = [Reading(name, 1.0, 1.0) for name in QUANTITIES]
    assert np.isfinite(predicted(readings)(analysed(file))).all()


def test_check_names_a_reading_as_the_file_would_hold_it() -> None:
    from liftgeo.outcome.known import Next
    from liftgeo.words.certainty import READ_WORDS, next_measure_line

    known = liftgeo.known(usual(**SPARSE, lever={"hand_travel": 43.0}))
    assert known is not None
    readings = [step.reading for step in known.next if step.reading]
    assert all(name in READ_WORDS for name in readings)
    for step in known.next:
        assert isinstance(step, Next)
        assert (step.key is None) != (step.reading is None)
    assert "None" not in next_measure_line(known)


def test_a_reading_at_full_lever_by_its_travel_is_one_at_full_lever() -> None:
    # The travel at full lever is the file's but for a rounding, to either side of it.
    file = mechanism(left_out="usual", release={"friction_angle": None})
    end = float(file.keys["lever.hand_travel"])
    alike = tuple(uncertain(file))
    spread = np.linspace(-2.5, 2.5, 41)[:, None] * np.ones((1, len(alike)))
    by_travel, at_full = (
        Evidence(file, alike, (Reading("separation", 0.2, 0.02, at=at),)).predicted(spread)
        for at in (end, None)
    )
    assert by_travel == pytest.approx(at_full, abs=1e-9)
    steps = np.diff(by_travel[0])
    assert np.abs(steps).max() < 0.02  # no step on the way


def test_how_far_a_reading_is_off_is_told_by_the_file_alone_where_it_stands_alone() -> None:
    file = mechanism(left_out="usual", release={"friction_angle": None})
    full = liftgeo.stroke(file).full_lever.separation_mm
    read = Reading("separation", full - 0.2, 0.02)
    evidence = Evidence(file, tuple(uncertain(file)), (read,))
    rest, slopes = evidence.around(np.zeros(evidence.width))
    wanted = rest[0] / np.sqrt(1.0 + float(slopes[0] @ slopes[0]))
    assert left_by_others(evidence, 0) == pytest.approx(wanted, rel=0.02)
    found = liftgeo.diagnose(file.with_readings((read,)))
    (off,) = (rest.standardised for rest in found.readings.residuals)
    assert abs(off) < 1.5 * abs(wanted)


@pytest.mark.parametrize(
    "name", ["../r.csv", "/etc/passwd", "a/../../r.csv", "..\\\\r.csv", "C:r.csv"]
)
def test_readings_that_lie_elsewhere_are_not_opened(tmp_path, name: str) -> None:
    folder = tmp_path / "here"
    folder.mkdir()
    (tmp_path / "r.csv").write_text("secret of somebody else", "utf-8")
    file = folder / "f.toml"
    file.write_text(f'{BASE_TEXT}\n[bench]\nreadings = "{name}"\n', "utf-8")
    with pytest.raises(GeometryError) as refused:
        liftgeo.load(file)
    assert "bench.readings" in str(refused.value)
    assert "secret" not in str(refused.value)
    assert "root:" not in str(refused.value)


@pytest.mark.parametrize("text", ["0.2 ± 0", "0.2 ± 0 mm", "0.2 +/- 0.0 mm", "0.2 ± 0 %"])
def test_no_reading_is_exact_in_the_file_or_beside_it(text: str) -> None:
    with pytest.raises(GeometryError) as refused:
        from_document(document(bench={"separation": text}))
    (fault,) = refused.value.faults
    assert fault.key == "bench.separation"
    assert fault.problem == "A ± must be above 0: no reading is exact."
    assert 'separation = "0.2 ± 0.05 mm"' in fault.remedy
    assert len(from_document(document(bench={"separation": "0.2 ± 0.04"})).readings) == 1
    for rows in (f"separation_mm\n{text}\n", "separation_mm,± separation_mm\n0.2,0\n"):
        with pytest.raises(GeometryError) as refused:
            readings_of(rows)
        (beside,) = refused.value.faults
        assert beside.key.startswith("line 2: ")
        assert beside.problem == fault.problem


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('hand_force_n,separation_mm\n124,"0.20\n', 2),
        ('hand_force_n,separation_mm\n"124,0.20\n100,0.30\n', 2),
        ('hand_force_n,note\n124,sound\n120,"dial\n110,feeler\n', 3),
        ('hand_force_n,note\n124,"dial\n120,"feeler"\n', 2),
        ('hand_force_n,"note\n124,\n', 1),
    ],
)
def test_a_quote_that_is_not_closed_is_refused_with_its_line(text: str, line: int) -> None:
    with pytest.raises(GeometryError) as refused:
        readings_of(text)
    (fault,) = refused.value.faults
    assert fault.key == f"line {line}"
    assert 'A quote (") opens here' in fault.problem


def test_quotes_that_close_are_read() -> None:
    found = readings_of('hand_force_n,separation_mm,note\n"124","0,20","dial, ""new"""\n\n')
    assert [(r.quantity, r.value) for r in found] == [("hand_force", 124.0), ("separation", 0.2)]
