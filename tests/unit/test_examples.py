"""The example files: each can be analysed with every change alone, and tells a story of its own."""

from __future__ import annotations

import math
import re
import tomllib
from pathlib import Path

import pytest

import liftgeo
from liftgeo.mechanism.tables import TABLES
from liftgeo.outcome.known import known

GEOMETRIES = Path(__file__).resolve().parents[2] / "geometries"
FILES = sorted(GEOMETRIES.glob("*.toml"))
CHANGES = [(path, name) for path in FILES for name in liftgeo.load(path).changes]
# A measured unit has no example; every other kind does.
KINDS = {(table, kind) for table in ("release", "spring") for kind in TABLES[table]}
KINDS -= {("release", "profile")}

any_file = pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
any_change = pytest.mark.parametrize(
    ("path", "name"), CHANGES, ids=[f"{path.stem}-{name}" for path, name in CHANGES]
)


@any_file
def test_an_example_says_in_file_and_title_that_it_is_invented(path: Path) -> None:
    head = path.read_text(encoding="utf-8").split("\n\n")[0]
    assert "INVENTED" in head
    assert "What it teaches:" in head
    assert "(invented)" in liftgeo.load(path).title


@any_file
def test_an_example_has_three_changes_and_a_note_on_each(path: Path) -> None:
    changes = liftgeo.load(path).changes
    assert len(changes) >= 3
    assert all(change.note for change in changes.values())


@any_file
def test_every_number_of_an_example_tells_what_it_is(path: Path) -> None:
    bare = [
        f"{number}: {line}"
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if re.match(r"[\w.]+\s*=", line) and "#" not in line
        if line.split("=")[0].strip() not in ("title", "kind", "note")
    ]
    assert bare == []


@any_file
def test_an_example_is_analysed(path: Path) -> None:
    result = liftgeo.stroke(liftgeo.load(path))
    assert result.stopped_by == "grip"
    assert result.full_lever.plate_lift_mm > 0.3
    assert 20 < result.peak.hand_force_n < 250


@any_change
def test_every_change_of_an_example_is_analysed_alone_and_does_something(
    path: Path, name: str
) -> None:
    mechanism = liftgeo.load(path)
    base, changed = liftgeo.stroke(mechanism), liftgeo.stroke(mechanism.changed(name))
    assert changed.change == name
    assert (changed.full_lever, changed.capacity) != (base.full_lever, base.capacity)


@any_file
def test_the_changes_of_an_example_do_not_all_end_alike(path: Path) -> None:
    mechanism = liftgeo.load(path)
    verdicts = {liftgeo.stroke(mechanism.changed(name)).verdict for name in mechanism.changes}
    assert len(verdicts | {liftgeo.stroke(mechanism).verdict}) >= 2


def test_the_examples_end_in_different_verdicts() -> None:
    verdicts = {path.stem: liftgeo.stroke(liftgeo.load(path)).verdict for path in FILES}
    assert verdicts["quarry-hauler"] == "drags"
    assert verdicts["saw-bench"] == "marginal"
    assert verdicts["reaper-finger-cover"] == "slips"
    assert verdicts["trials-wet-clutch"] == "marginal"
    assert verdicts["delivery-tricycle"] == "drags"
    assert verdicts["vineyard-sprayer"] == "drags"
    assert verdicts["peat-tramway-tractor"] == "drags"


def test_the_examples_cover_units_wire_points_and_the_common_kinds() -> None:
    documents = [tomllib.loads(path.read_text(encoding="utf-8")) for path in FILES]
    kinds = {(t, d[t].get("kind")) for d in documents for t in ("release", "spring")}
    assert kinds >= KINDS
    assert any({"wire", "housing"} <= d.get("cable", {}).keys() for d in documents)
    assert any("points" in d["lever"] and "points" in d["arm"] for d in documents)
    assert any(re.search(r"in ± .*in", str(d["lever"])) for d in documents)


# --- what each example says it teaches ---


def result_of(stem: str, *changes: str) -> liftgeo.Result:
    mechanism = liftgeo.load(GEOMETRIES / f"{stem}.toml")
    return liftgeo.stroke(mechanism.changed(*changes) if changes else mechanism)


def test_nothing_is_broken_on_the_hauler_and_it_likely_drags() -> None:
    mechanism = liftgeo.load(GEOMETRIES / "quarry-hauler.toml")
    full, sure = liftgeo.stroke(mechanism).full_lever, known(mechanism)
    assert -0.03 < full.clearance_per_face_mm < 0
    assert sure is not None
    assert 0.05 < sure.frees < 0.2
    assert len(mechanism.taken) == 4


def test_on_the_hauler_a_shorter_arm_buys_lift_with_effort_and_a_better_cable_buys_both() -> None:
    base = result_of("quarry-hauler")
    short, cable = (
        result_of("quarry-hauler", "shorter-arm"),
        result_of("quarry-hauler", "better-cable"),
    )
    assert short.full_lever.separation_mm > base.full_lever.separation_mm
    assert short.peak.hand_force_n > base.peak.hand_force_n
    assert cable.full_lever.separation_mm > base.full_lever.separation_mm
    assert cable.peak.hand_force_n < base.peak.hand_force_n


def test_the_saw_bench_is_a_first_evenings_file_and_too_close_to_call() -> None:
    mechanism = liftgeo.load(GEOMETRIES / "saw-bench.toml")
    sure = known(mechanism)
    assert len(mechanism.given) <= 32
    assert sure is not None
    assert 0.2 < sure.frees < 0.8
    assert len(sure.taken) > 10
    assert sure.next


def test_the_reaper_is_measured_throughout_and_takes_nothing_as_usual() -> None:
    assert liftgeo.load(GEOMETRIES / "reaper-finger-cover.toml").taken == ()


def test_on_the_trials_machine_the_casing_clears_for_nothing_and_the_thread_costs_effort() -> None:
    base = result_of("trials-wet-clutch")
    casing = result_of("trials-wet-clutch", "stiff-casing")
    thread = result_of("trials-wet-clutch", "faster-thread")
    assert casing.verdict == "clear"
    assert casing.peak.hand_force_n < 1.05 * base.peak.hand_force_n
    assert thread.full_lever.separation_mm > base.full_lever.separation_mm
    assert thread.peak.hand_force_n > 1.1 * base.peak.hand_force_n


def test_on_the_reaper_new_springs_hold_and_then_it_drags() -> None:
    base, springs = (
        result_of("reaper-finger-cover"),
        result_of("reaper-finger-cover", "new-springs"),
    )
    assert base.full_lever.clearance_per_face_mm > 0.10
    assert base.capacity.slip_margin < 1
    assert springs.verdict == "drags"
    assert springs.capacity.slip_margin > 1.33


def test_on_the_tricycle_turning_the_arm_gives_more_than_any_other_part() -> None:
    mechanism = liftgeo.load(GEOMETRIES / "delivery-tricycle.toml")
    lift = {
        name: liftgeo.stroke(mechanism.changed(name)).full_lever.separation_mm
        for name in mechanism.changes
    }
    assert max(lift, key=lambda name: lift[name]) == "arm-three-splines-back"
    both = result_of("delivery-tricycle", "arm-three-splines-back", "rigid-shaft")
    assert both.verdict == "clear"
    assert both.peak.hand_force_n < 110


def test_on_the_sprayer_grip_and_glove_end_the_stroke_and_thinner_ones_run_clear() -> None:
    mechanism = liftgeo.load(GEOMETRIES / "vineyard-sprayer.toml")
    assert "lever.hand_travel" not in mechanism.keys
    travel = {
        name: result_of("vineyard-sprayer", name).full_lever.hand_travel_mm
        for name in ("thin-grip", "no-glove", "finger-left-round")
    }
    base = result_of("vineyard-sprayer").full_lever
    assert travel["finger-left-round"] < base.hand_travel_mm < travel["thin-grip"]
    assert base.clearance_per_face_mm < 0
    both = result_of("vineyard-sprayer", "thin-grip", "no-glove")
    assert both.full_lever.clearance_per_face_mm > 0.03
    assert result_of("vineyard-sprayer", "finger-left-round").verdict == "no-release"


def test_on_the_sprayer_only_the_turned_arm_meets_the_rib() -> None:
    mechanism = liftgeo.load(GEOMETRIES / "vineyard-sprayer.toml")
    meets = {
        name
        for name in mechanism.changes
        if "arm-meets-casing" in {w.key for w in result_of("vineyard-sprayer", name).warnings}
    }
    assert meets == {"arm-two-splines-on"}
    base = result_of("vineyard-sprayer")
    assert not {"arm-meets-casing", "little-gap", "cable-on-casing", "cable-leaves-stop"} & {
        w.key for w in base.warnings
    }


def test_the_tractor_is_written_as_a_note_book_has_it() -> None:
    """Values worked by hand: 1 in is 25.4 mm, 1 st is 14 lb, 1 lbf is 4.4482216 N (all exact)."""
    mechanism = liftgeo.load(GEOMETRIES / "peat-tramway-tractor.toml")
    keys = mechanism.keys
    assert float(keys["lever.nipple_radius"]) == pytest.approx(1.25 * 25.4)
    assert float(keys["lever.hand_radius"]) == pytest.approx(5.5 * 25.4)
    assert float(keys["cable.wire.length"]) == pytest.approx(51 * 25.4)
    loads = [0.0, 24 * 4.4482216152605, 22 * 9.80665]
    assert list(keys["spring.loads"]) == pytest.approx(loads)
    # Slack of 2 mm less 1.5 mm; a shim of 20 thou and 1/64 in more; a 36th of a turn.
    assert float(mechanism.changed("taken-up").keys["cable.free_play"]) == pytest.approx(0.5)
    thicker = float(mechanism.changed("thicker-shims").keys["stack.shims"])
    assert thicker == pytest.approx((0.020 + 1 / 64) * 25.4)
    before, after = (m.inward.sides("arm") for m in (mechanism, mechanism.changed("one-spline")))
    angles = [
        math.acos((float(s.pin) ** 2 + float(s.stop) ** 2 - float(s.rest) ** 2)
        / (2 * float(s.pin) * float(s.stop))) for s in (before, after)
    ]  # fmt: skip
    assert math.degrees(angles[0] - angles[1]) == pytest.approx(10.0)


def test_on_the_tractor_what_costs_nothing_does_most() -> None:
    changes = liftgeo.load(GEOMETRIES / "peat-tramway-tractor.toml").changes
    found = {name: result_of("peat-tramway-tractor", name) for name in changes}
    best = max(found, key=lambda name: found[name].full_lever.separation_mm)
    assert best == "taken-up"
    assert changes[best].terms.cost == 0
    assert found[best].verdict == "marginal"
    assert found["lower-hole"].peak.hand_force_n > 90 > found[best].peak.hand_force_n
