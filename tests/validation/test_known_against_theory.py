"""How sure an answer is, against what can be had without drawing, or by drawing otherwise.

Sources: the normal distribution (Python's statistics module) for a clutch made to be linear in what
is not known; nested simulation for the certainty; random draws by rejection for what a range
covers. Nothing is printed anywhere; tolerances are standard errors, said where they stand.
"""

from __future__ import annotations

import math
from functools import cache
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest
from clutches import COILS, document
from numpy.typing import NDArray

import liftgeo
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.outcome.drawing import Drawn, draw
from liftgeo.outcome.known import Known, known_from

Array = NDArray[np.float64]

MANY = 100_000

# ---------------------------------------------------------------- a linear clutch

# Drums, a rack, coils and hard faces, everything rigid and without friction: lift and force are
# straight lines in play, float and run-out. Standard deviations are half of each ±.
DRUM, ARM, RADIUS, TRAVEL, PINION = 20.0, 40.0, 80.0, 45.0, 4.5
SPREAD = {"cable.free_play": (2.0, 0.30), "rod.end_float": (0.12, 0.030),
          "faces.plate_runout": (0.86, 0.040), "faces.basket_runout": (0.06, 0.010)}  # fmt: skip
PER_UNIT = {"cable.free_play": -PINION / ARM, "rod.end_float": -1.0,
            "faces.plate_runout": -1.0, "faces.basket_runout": -0.5}  # fmt: skip
"""Separation less needed, per unit of each: pinion over arm drum; the float itself; one plate needs
its whole run-out, and a face half of its own (docs/theory.md, Needed separation)."""


def linear() -> Mechanism:
    """Return a clutch that is linear in what is not known about it."""
    given = {key: f"{value} ± {2 * sd}" for key, (value, sd) in SPREAD.items()}
    return from_document(
        document(
            lever={"kind": "drum", "drum_radius": DRUM, "hand_radius": RADIUS,
                   "hand_travel": TRAVEL},
            cable={"free_play": given["cable.free_play"], "friction": 0, "bend": 0,
                   "stiffness": None},
            arm={"kind": "drum", "drum_radius": ARM},
            release={"kind": "rack", "pinion_radius": PINION},
            rod={"end_float": given["rod.end_float"], "stiffness": None},
            spring=COILS,
            stack=None,
            faces={"cushion_travel": 0, "plate_runout": given["faces.plate_runout"],
                   "basket_runout": given["faces.basket_runout"],
                   "pressure_plate_runout": 0, "lift_tilt": 0},
        )
    )  # fmt: skip


def clearance() -> NormalDist:
    """Return the clearance on each of two faces: a normal distribution, by hand."""
    lift = PINION * (DRUM * TRAVEL / RADIUS) / ARM
    mean = lift + sum(PER_UNIT[key] * value for key, (value, _) in SPREAD.items())
    deviation = math.hypot(*(PER_UNIT[key] * sd for key, (_, sd) in SPREAD.items()))
    return NormalDist(mean / 2, deviation / 2)


def effort() -> NormalDist:
    """Return the hand force at full lever, by hand: six coils over the levers' ratio."""
    lift = PINION * (DRUM * TRAVEL / RADIUS) / ARM
    rate = COILS["count"] * COILS["rate"]
    pressed = COILS["free_length"] - COILS["installed_length"]
    keys = ("cable.free_play", "rod.end_float")
    mean = pressed + lift + sum(PER_UNIT[key] * SPREAD[key][0] for key in keys)
    deviation = math.hypot(*(PER_UNIT[key] * SPREAD[key][1] for key in keys))
    over = PINION / ARM * DRUM / RADIUS
    return NormalDist(rate * mean * over, rate * deviation * over)


@cache
def drawn_linear() -> Drawn:
    found = draw(linear(), MANY, 3)
    assert found is not None
    return found


@cache
def known_linear() -> Known:
    return known_from(drawn_linear())


def quantile_error(share: float, curve: NormalDist) -> float:
    """Return four standard errors of a quantile of so many plain samples."""
    at = curve.inv_cdf(share)
    return 4 * math.sqrt(share * (1 - share) / MANY) / curve.pdf(at)


def test_frees_is_the_normal_share_above_nothing() -> None:
    expected = 1 - clearance().cdf(0.0)
    assert 0.2 < expected < 0.8
    four = 4 * math.sqrt(expected * (1 - expected) / MANY)
    assert known_linear().frees == pytest.approx(expected, abs=four)


@pytest.mark.parametrize("share", [0.05, 0.5, 0.95])
def test_quantiles_are_those_of_the_normal_curve(share: float) -> None:
    name = f"p{round(100 * share):02d}"
    ours = getattr(known_linear().clearance_per_face_mm, name)
    error = quantile_error(share, clearance())
    assert ours == pytest.approx(clearance().inv_cdf(share), abs=error)
    force = drawn_linear().batch.peak_hand_force_n
    curve = effort()
    assert np.quantile(force, share) == pytest.approx(
        curve.inv_cdf(share), abs=quantile_error(share, curve)
    )


def test_shares_are_the_split_of_the_linear_variance() -> None:
    """Four standard errors: of a sum of products of streams that are independent by chance."""
    parts = {key: (PER_UNIT[key] * sd) ** 2 for key, (_, sd) in SPREAD.items()}
    for found in known_linear().shares:
        expected = parts[found.key] / sum(parts.values())
        assert found.share == pytest.approx(expected, abs=4 / math.sqrt(MANY)), found.key
    assert [s.key for s in known_linear().shares] == sorted(parts, key=lambda k: -parts[k])


def test_two_thousand_samples_split_it_alike() -> None:
    parts = {key: (PER_UNIT[key] * sd) ** 2 for key, (_, sd) in SPREAD.items()}
    found = liftgeo.known(linear())
    assert found is not None
    for each in found.shares:
        expected = parts[each.key] / sum(parts.values())
        assert each.share == pytest.approx(expected, abs=4 / math.sqrt(2000)), each.key


def test_certainty_is_that_of_two_normal_parts() -> None:
    """By quadrature over what the first measurement may turn out to be."""
    fitted = drawn_linear().fitted()
    curve = clearance()
    for key, (_, sd) in SPREAD.items():
        own = abs(PER_UNIT[key]) * sd / 2
        rest = NormalDist(0.0, math.sqrt(curve.variance - own**2))
        steps = np.linspace(-8, 8, 4001)
        weight = np.exp(-(steps**2) / 2)
        free = np.array([1 - rest.cdf(-curve.mean - own * z) for z in steps])
        expected = float(np.sum(np.maximum(free, 1 - free) * weight) / np.sum(weight))
        assert fitted.certainty([key]) == pytest.approx(expected, abs=4 * 0.5 / math.sqrt(MANY))
    assert fitted.certainty(list(SPREAD)) == pytest.approx(1.0, abs=1e-3)
    odds = max(known_linear().frees, 1 - known_linear().frees)
    assert fitted.certainty(()) == pytest.approx(odds, abs=1e-3)


# ---------------------------------------------------------------- certainty, nested

OUTER, INNER = 300, 500
NESTED = document(
    lever={"hand_travel": 43.0},
    cable={"free_play": "1 to 4 mm", "friction": "0.10 ± 0.05", "stiffness": "240 ± 60 N/mm"},
    rod={"end_float": "0.05 to 0.35 mm"},
    faces={"plate_runout": "0.20 ± 0.15 mm", "cushion_load": 3400},
)


@cache
def drawn_nested() -> Drawn:
    found = draw(from_document(NESTED), 4000, 5)
    assert found is not None
    return found


@cache
def nested_certainty(keys: tuple[str, ...]) -> float:
    """Return the certainty once some keys are known, by drawing the others anew for each value."""
    random = np.random.default_rng(11)
    over: dict[str, Array] = {}
    for each in drawn_nested().inputs:
        known = each.key in keys
        share = random.random(OUTER if known else OUTER * INNER)
        values = each.at(share)
        over[each.key] = np.repeat(values, INNER) if known else values
    many = liftgeo.batch(
        drawn_nested().mechanism, over, answers=("clearance_per_face_mm",)
    ).clearance_per_face_mm
    free = np.mean(many.reshape(OUTER, INNER) >= 0, axis=1)
    return float(np.mean(np.maximum(free, 1 - free)))


@pytest.mark.parametrize(
    "keys",
    [("rod.end_float",), ("cable.free_play",), ("faces.plate_runout",),
     ("rod.end_float", "faces.plate_runout"),
     ("rod.end_float", "faces.plate_runout", "cable.free_play")],
)  # fmt: skip
def test_certainty_is_that_of_nested_simulation(keys: tuple[str, ...]) -> None:
    """Within 0.03.

    300 values of the known keys give a standard error of 0.008 at most; the fit takes what is left
    over as alike everywhere, which costs another hundredth here.
    """
    assert drawn_nested().fitted().certainty(keys) == pytest.approx(
        nested_certainty(keys), abs=0.03
    )


READ_OFF_AT = {
    "separation": ("separation_signed_mm", 0.05),
    "plate_lift": ("plate_lift_mm", 0.02),
    "hand_force": ("hand_force_n", 3.0),
    "return_force": ("return_hand_force_n", 3.0),
}
"""Readings at full lever: what they read off, and what each may be out by, 19 times in 20."""


@cache
def reading_certainty(name: str) -> float:
    """Return the certainty once a reading is taken, by weighing the samples for each outcome of it.

    Each of 300 samples is the truth in turn and is read with an error; all others are weighed by
    how well they agree with what was read.
    """
    drawn = drawn_nested()
    quantity, half = READ_OFF_AT[name]
    true = drawn.of(quantity)
    if name == "separation":
        true = np.maximum(true, 0.0)
    free = drawn.of("clearance_per_face_mm") >= 0
    random = np.random.default_rng(12)
    deviation, chances = half / 2, []
    for k in range(0, len(true), len(true) // OUTER):
        read = true[k] + deviation * random.standard_normal()
        weight = np.exp(-0.5 * ((true - read) / deviation) ** 2)
        share = float(weight @ free / weight.sum())
        chances.append(max(share, 1 - share))
    return float(np.mean(chances))


def test_what_to_measure_next_is_the_best_of_nested_simulation() -> None:
    found = known_from(drawn_nested())
    assert 0.2 < found.frees < 0.8
    alone = {each.key: nested_certainty((each.key,)) for each in drawn_nested().inputs}
    alone |= {name: reading_certainty(name) for name in READ_OFF_AT}
    first = found.next[0]
    name = first.key or first.reading
    assert alone[name] > max(alone.values()) - 0.02
    assert first.certainty == pytest.approx(alone[name], abs=0.03)
    steps = [each.certainty for each in found.next]
    assert steps == sorted(steps)
    assert 1 <= len(steps) <= 3
    assert all(each.how for each in found.next)


# ---------------------------------------------------------------- coverage

TRUTHS = 150
SPARSE: dict[str, Any] = {
    "cable": {"free_play": None, "friction": None, "bend": None, "stiffness": None},
    "rod": {"end_float": None, "stiffness": None},
    "faces": {"cushion_travel": None, "plate_runout": None, "lift_tilt": None,
              "basket_runout": None, "pressure_plate_runout": None},
    "release": {"friction_angle": None},
    "arm": {"return_torque": None},
    "lever": {"hand_travel": 45.0},
}  # fmt: skip
READ = {"lever.hand_travel": 1.0, "arm.radius": 0.8, "stack.friction_plate": 0.06}
"""Measured keys and the ± of each reading [mm]."""


def left_out_truth(random: np.random.Generator, item: Any, low: float, high: float) -> float:
    """Return one true value of what was left out: two half normal curves, redrawn out of bounds."""
    bent = math.log if item.log else float
    centre, below, above = bent(item.value), bent(item.low), bent(item.high)
    while True:
        z = random.standard_normal() / NormalDist().inv_cdf(0.975)
        value = centre + z * (above - centre if z > 0 else centre - below)
        value = math.exp(value) if item.log else value
        if low <= value <= high:
            return value


def test_the_stated_ranges_cover_what_they_say() -> None:
    """A true machine is drawn, measured with errors, and described.

    Its clearance must lie in the stated range nine times in ten; 150 machines have a standard error
    of 2.4 in 100.
    """
    random = np.random.default_rng(2)
    sparse = document(left_out="usual", **SPARSE)
    plain = from_document(sparse)
    bounds = {item.key: plain.number(item.key) for item in plain.taken}
    inside = {"clearance": 0, "effort": 0}
    for _ in range(TRUTHS):
        truth = {key: float(plain.keys[key]) for key in READ}
        reading = {
            key: f"{value + random.normal(0, READ[key] / 2):.6f} ± {READ[key]} mm"
            for key, value in truth.items()
        }
        for item in plain.taken:
            least, most = bounds[item.key].at_least, bounds[item.key].at_most
            low = 0.0 if least is None else least
            truth[item.key] = left_out_truth(random, item, low, math.inf if most is None else most)
        real = liftgeo.stroke(plain.changed(truth | {"faces.cushion_load": _clamp(plain, truth)}))
        said = liftgeo.known(plain.changed(reading), samples=400)
        assert said is not None
        within = said.clearance_per_face_mm
        inside["clearance"] += within.p05 <= real.full_lever.clearance_per_face_mm <= within.p95
        within = said.peak_hand_force_n
        inside["effort"] += within.p05 <= real.peak.hand_force_n <= within.p95
    assert 0.85 * TRUTHS <= inside["clearance"] <= 0.95 * TRUTHS
    assert 0.85 * TRUTHS <= inside["effort"] <= 0.95 * TRUTHS


def _clamp(plain: Mechanism, truth: dict[str, float]) -> float:
    return liftgeo.stroke(plain.changed(truth)).capacity.clamp_force_n
