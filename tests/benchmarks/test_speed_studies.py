"""How fast comparisons and sizings are, beside one stroke alone, in one run.

The ratios are printed; what is asserted are limits so wide that they hold on any machine, however
busy. The comparison beside its older self is in test_speed.py and measure.py.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from scenarios import whole_stroke

import liftgeo
from liftgeo.studies.compare import compare
from liftgeo.studies.search import sobol
from liftgeo.studies.sensitivity import sensitivity
from liftgeo.studies.variants import Variants
from liftgeo.studies.wants import Range

TRACTOR = Path(__file__).resolve().parents[1] / "base_clutch.toml"

Record = Callable[[str, object], None]

pytestmark = pytest.mark.benchmark


def quickest(action: Callable[[], object], times: int) -> float:
    """Return the shortest time of several [s]: what the machine can do when left alone."""
    action()
    best = float("inf")
    for _ in range(times):
        began = time.perf_counter()
        action()
        best = min(best, time.perf_counter() - began)
    return best


def alone(mechanism: liftgeo.Mechanism, names: list[str]) -> None:
    """Analyse the file and every change of it one after the other."""
    whole_stroke(mechanism)
    for name in names:
        whole_stroke(mechanism.changed(*name.split("+")))


def test_comparing_twelve_changes_stays_near_analysing_them_one_by_one(
    record_property: Record,
    capsys: pytest.CaptureFixture[str],
) -> None:
    mechanism = liftgeo.load(TRACTOR)
    names = list(mechanism.changes)[:8]
    names += ["better-cable+less-play", "longer-arm+thick-plate", "steeper-ramp+better-cable"]
    names += ["skimmed-faces+less-play"]
    assert len(names) == 12
    together = quickest(lambda: compare(mechanism, names), 15)
    apart = quickest(lambda: alone(mechanism, names), 5)
    record_property("compare_12_changes_ms", 1000 * together)
    record_property("twelve_strokes_ms", 1000 * apart)
    with capsys.disabled():
        print(f"\ntwelve changes side by side: {together / apart:.2f} of one by one")
    assert together < 2 * apart


def test_one_more_change_costs_no_more_than_two_strokes(
    record_property: Record, capsys: pytest.CaptureFixture[str]
) -> None:
    mechanism = liftgeo.load(TRACTOR)
    names = list(mechanism.changes)
    few, many = names[:2], [*names, *(f"{a}+less-play" for a in names if a != "less-play")]
    short = quickest(lambda: compare(mechanism, few), 15)
    long = quickest(lambda: compare(mechanism, many), 15)
    single = quickest(lambda: whole_stroke(mechanism), 15)
    each = (long - short) / (len(many) - len(few))
    record_property("each_change_ms", 1000 * each)
    with capsys.disabled():
        print(f"\none more change: {each / single:.2f} of a stroke")
    assert each < 2 * single


def test_a_sized_variant_costs_a_small_part_of_a_stroke(
    record_property: Record, capsys: pytest.CaptureFixture[str]
) -> None:
    mechanism = liftgeo.load(TRACTOR)
    ranges = [
        Range("arm.radius_same_angle", 30.0, 44.0),
        Range("release.ramp_angle", 11.0, 18.0),
        Range("cable.free_play", 1.0, 3.0),
    ]
    points = sobol(3, 12)
    variants = Variants(mechanism, ranges)
    taken = quickest(lambda: variants.evaluate(points, keep=False), 3)
    single = quickest(lambda: whole_stroke(mechanism), 15)
    rate = len(points) / taken
    record_property("sized_variants_per_second", rate)
    with capsys.disabled():
        print(f"\na sized variant: 1/{single * rate:.0f} of a stroke")
    assert taken / len(points) < single / 5


def test_ranking_all_inputs_costs_no_more_than_two_strokes_for_each(
    record_property: Record, capsys: pytest.CaptureFixture[str]
) -> None:
    mechanism = liftgeo.load(TRACTOR)
    inputs = len(sensitivity(mechanism))
    taken = quickest(lambda: sensitivity(mechanism), 5)
    single = quickest(lambda: whole_stroke(mechanism), 15)
    record_property("ranking_ms", 1000 * taken)
    with capsys.disabled():
        print(f"\nranking {inputs} inputs: {taken / single:.1f} strokes")
    assert inputs > 50
    assert taken < 2 * inputs * single
