"""How sure an answer is, against a loop of single strokes: every sample a file of its own.

Source: none printed. Each sample's numbers are written into a file that has no ± and leaves nothing
out; that file is analysed alone, and the changes laid over it alone, so that the load its cushion
was measured at is its own. All mechanisms are invented.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import pytest
from clutches import KINDS, document
from numpy.typing import NDArray

import liftgeo
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.outcome.drawing import Drawn, draw
from liftgeo.outcome.known import Known, known_from
from liftgeo.outcome.results import Result

SAMPLES, SEED = 120, 7

DISC = document(
    left_out="usual",
    lever={
        "points": {"pivot": [0, 0], "pin": ["1 ± 0.6 mm", 26], "stop": [40, "-8 ± 1 mm uniform"],
                   "hand": [-75, 5]},
        "nipple_radius": None, "stop_distance": None, "rest_length": None, "hand_radius": None,
        "hand_angle": None, "hand_travel": 49.0,
    },
    cable={"stiffness": None, "friction": None},
    rod={"end_float": "0.05 to 0.2 mm", "stiffness": None},
    stack={"friction_plate": "8.0 ± 0.1 mm"},
    spring={"thickness": "1.70 ± 0.02 mm"},
    faces={"plate_runout": None, "friction": None, "cushion_travel": "0.25 ± 0.1 mm"},
    engine={"torque": "75 ± 20 N·m"},
    changes={"thicker": {"stack": {"friction_plate": 8.1}, "arm": {"radius": "39 ± 0.5 mm"}}},
)  # fmt: skip

TABLE = document(
    left_out="usual",
    condition="worn",
    stack=None,
    spring=KINDS["spring"]["table"]
    | {"load": [0.0, "900 ± 40 N", "1700 ± 60 N", 2400.0], "installed_deflection": "4.5 ± 0.1 mm"},
    lever={"hand_travel": "44.0 ± 2 mm"},
    cable={"free_play": None, "stiffness": None},
    faces={
        "lift_tilt": None,
        "cushion_travel": None,
        "rim_diameter": 120.0,
        "pressure_plate_runout_angle": 40.0,
        "rim_heights": [3.0, "3.1 ± 0.06 mm", 3.05, "2.96 ± 0.04 mm"],
        "rim_angles": [10, "95 ± 12 deg", 200, 280],
    },
    engine={"torque": "54 ± 9 N·m"},
)


@dataclass(frozen=True)
class Looped:
    """What was drawn, what is said of it, and the samples analysed one by one."""

    drawn: Drawn
    known: Known
    results: tuple[Result, ...]

    def of(self, pick: Callable[[Result], float]) -> NDArray[np.float64]:
        return np.array([pick(result) for result in self.results])


def exact(whole: dict[str, Any], drawn: Drawn, k: int) -> dict[str, Any]:
    """Return a document with the k-th sample's numbers in it, and nothing left out."""
    found = copy.deepcopy(whole) | {"left_out": "nothing"}
    found.pop("changes", None)
    for key, values in drawn.values.items():
        dotted, place = re.fullmatch(r"([^\[]+)(?:\[(\d+)\])?", key).groups()
        *tables, name = dotted.split(".")
        table = found
        for each in tables:
            table = table.setdefault(each, {})
        if place is None:
            table[name] = float(values[k])
        else:
            table[name][int(place)] = float(values[k])
    return found


def looped(whole: dict[str, Any], change: str = "") -> Looped:
    """Return a document's samples, and every one of them as a file of its own."""
    file: Mechanism = from_document(whole)
    under = draw(file, SAMPLES, SEED)
    changed = draw(file.changed(change), SAMPLES, SEED) if change else under
    results = []
    for k in range(SAMPLES):
        alone = from_document(exact(whole, under, k))
        if change:
            laid = {key: float(v[k]) for key, v in changed.values.items() if "[" not in key}
            plain = {"stack.friction_plate", "arm.radius"}  # the keys of the change
            alone = alone.changed({key: laid[key] for key in sorted(plain)})
        assert liftgeo.known(alone) is None
        results.append(liftgeo.stroke(alone))
    return Looped(changed, known_from(changed), tuple(results))


CASES = {
    "disc, points and usual values": lambda: looped(DISC),
    "disc, changed": lambda: looped(DISC, "thicker"),
    "spring readings, worn": lambda: looped(TABLE),
}


@cache
def case(name: str) -> Looped:
    return CASES[name]()


@pytest.fixture(params=list(CASES))
def found(request: pytest.FixtureRequest) -> Looped:
    return case(request.param)


def clearance(result: Result) -> float:
    return result.full_lever.clearance_per_face_mm


def peak(result: Result) -> float:
    return result.peak.hand_force_n


def margin(result: Result) -> float:
    return result.capacity.slip_margin


def test_every_sample_is_that_of_a_single_stroke(found: Looped) -> None:
    assert found.known.failed == 0
    assert found.drawn.of("clearance_per_face_mm") == pytest.approx(
        found.of(clearance), rel=1e-7, abs=1e-8
    )
    assert found.drawn.of("peak_hand_force_n") == pytest.approx(found.of(peak), rel=1e-7)
    assert found.drawn.of("slip_margin") == pytest.approx(found.of(margin), rel=1e-9)


def test_frees_and_holds_are_the_shares_of_the_loop(found: Looped) -> None:
    assert found.known.frees == np.mean(found.of(clearance) >= 0)
    assert found.known.holds == np.mean(found.of(margin) >= 1)
    assert 0.02 < found.known.frees < 0.98
    assert 0.02 < found.known.holds < 0.98


def test_odds_are_the_verdicts_of_the_loop(found: Looped) -> None:
    verdicts = [result.verdict for result in found.results]
    odds = {name.replace("_", "-"): share for name, share in vars(found.known.odds).items()}
    assert odds == {name: pytest.approx(verdicts.count(name) / SAMPLES) for name in odds}
    assert sum(odds.values()) == pytest.approx(1.0)
    assert len(set(verdicts)) > 1


@pytest.mark.parametrize(
    ("name", "pick"), [("clearance_per_face_mm", clearance), ("peak_hand_force_n", peak)]
)
def test_ranges_are_the_quantiles_of_the_loop(found: Looped, name: str, pick: Any) -> None:
    """By statistics.quantiles' rule, the k-th of n values at (k - 1)/(n - 1)."""
    ours = getattr(found.known, name)
    each = np.sort(found.of(pick))
    for share, said in ((0.05, ours.p05), (0.5, ours.p50), (0.95, ours.p95)):
        at = share * (SAMPLES - 1)
        below = int(at)
        expected = each[below] + (at - below) * (each[below + 1] - each[below])
        assert said == pytest.approx(expected, rel=1e-7, abs=1e-8)


def test_a_change_keeps_the_cushion_load_of_each_samples_own_file() -> None:
    """The thicker plate presses the disc further, yet the cushion is as stiff as it was."""
    found = case("disc, changed")
    clamp = found.of(lambda result: result.capacity.clamp_force_n)
    unchanged = case("disc, points and usual values")
    before = unchanged.of(lambda result: result.capacity.clamp_force_n)
    assert found.drawn.batch.carried_n == pytest.approx(before, rel=1e-9)
    assert np.abs(clamp / before - 1).max() > 0.005
