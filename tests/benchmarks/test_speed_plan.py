"""How fast a plan is: all 4,096 sets of twelve changes, beside one stroke alone, in one run."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest
from clutches import COSTS, priced
from scenarios import whole_stroke

from liftgeo.studies.change_sets import ChangeSets

pytestmark = pytest.mark.benchmark

FREE = {
    "better-cable": {"cost": 40, "cable": {"friction": 0.05}},
    "drag": {"cost": 2, "cable": {"drag": 0.0}},
    "bend": {"cost": 2, "cable": {"bend": 100}},
    "return": {"cost": 3, "arm": {"return_torque": 0.1}},
    "blade": {"cost": 22, "lever": {"hand_radius": 90.0}},
    "float": {"cost": 12, "rod": {"end_float": 0.06}},
    "basket": {"cost": 9, "faces": {"basket_runout": 0.02}},
    "plates": {"cost": 9, "faces": {"plate_runout": 0.08}},
    "tilt": {"cost": 4, "faces": {"lift_tilt": 0.05}},
}


def test_all_sets_of_twelve_changes_cost_little_beside_one_by_one(
    record_property: Callable[[str, object], None], capsys: pytest.CaptureFixture[str]
) -> None:
    mechanism = priced({k: COSTS[k] for k in ("longer-arm", "less-play", "steeper-ramp")}, **FREE)
    names = tuple(mechanism.changes)
    assert len(names) == 12
    sets = ChangeSets(mechanism, names, ())
    every = [these for these in range(4096) if sets.can_be_made(these)]
    assert len(every) == 4096

    def clock(action: Callable[[], object], times: int) -> float:
        action()
        found = []
        for _ in range(times):
            began = time.perf_counter()
            action()
            found.append(time.perf_counter() - began)
        return min(found)

    whole = clock(lambda: sets.worked_out(every), 3)
    alone = clock(lambda: whole_stroke(mechanism.changed(*names)), 5)
    record_property("plan_4096_sets_ms", 1000 * whole)
    with capsys.disabled():
        print(f"\n4,096 sets of changes: {whole / alone:.0f} strokes, {whole:.2f} s")
    assert whole < 0.25 * 4096 * alone
