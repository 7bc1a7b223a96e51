"""Keys that follow from others: torque from power, lead from part of a turn, a spring's line."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from clutches import mechanism
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

import liftgeo
from liftgeo.errors import GeometryError, Reason
from liftgeo.mechanism.derived import derived
from liftgeo.parts.spring_line import SpringLine
from liftgeo.quantities import Measured

COILS: dict[str, Any] = {
    "kind": "coils",
    "count": 6,
    "installed_length": 36.0,
}
READ = [["0 kgf", 46.0], ["16.4 kgf", 41.0], ["32 kgf", 36.0]]


def sprung(readings: Any = READ, **more: Any) -> liftgeo.Mechanism:
    """Return the base clutch with coil springs by their readings, and without its stack."""
    return mechanism(stack=None, spring=COILS | {"readings": readings} | more)


# --- torque from power: M = P/omega, the definition of power -----------------------------------


@pytest.mark.parametrize(
    ("power", "speed", "torque_nm"),
    [
        (9.0, 1500.0, 9000 / (2 * math.pi * 25)),
        ("9 kW", "25 rev/s", 9000 / (2 * math.pi * 25)),
        ("13 hp", 1500.0, 13 * 745.69987158227022 / (50 * math.pi)),
        ("20 PS", 3000.0, 20 * 735.49875 / (100 * math.pi)),
    ],
)
def test_power_at_a_speed_is_a_torque(power: Any, speed: Any, torque_nm: float) -> None:
    engine = {"torque": None, "power": power, "speed": speed}
    by_power, by_torque = mechanism(engine=engine), mechanism(engine={"torque": torque_nm})
    assert by_power.keys["engine.torque"] == pytest.approx(torque_nm, rel=1e-13)
    found, wanted = (liftgeo.stroke(m).capacity.slip_margin for m in (by_power, by_torque))
    assert found == pytest.approx(wanted, rel=1e-13)


def test_the_trades_rule_of_thumb_for_torque_in_foot_pounds() -> None:
    """5252 over the speed: 33,000 ft·lbf/min a horsepower, over 2π (definition)."""
    made = mechanism(engine={"torque": None, "power": "30 hp", "speed": 5252})
    feet = liftgeo.quantities.converted(made.keys["engine.torque"], "torque", "inch")
    assert feet == pytest.approx(30.0, rel=1e-4)  # 33000/(2 pi) is 5252.113


def test_torque_and_power_give_way_to_each_other() -> None:
    file = mechanism(engine={"torque": 60.0})
    by_power = file.changed({"engine.power": 9.0, "engine.speed": 1500})
    assert "engine.torque" not in by_power.given
    back = by_power.changed({"engine.torque": 60})
    assert "engine.power" not in back.given
    assert back.keys == file.keys
    with pytest.raises(GeometryError, match="Says the same"):
        mechanism(engine={"torque": 60.0, "power": 9.0, "speed": 1500})


def test_a_batch_over_power_and_its_plus_minus() -> None:
    file = mechanism(engine={"torque": None, "power": "9 ± 1 kW", "speed": 1500})
    many = liftgeo.batch(file, {"engine.power": np.array([9.0, 18.0])})
    assert many.slip_margin[0] == pytest.approx(2 * many.slip_margin[1])
    known = liftgeo.known(file)
    assert known is not None


# --- lead over part of a turn ------------------------------------------------------------------

THREAD = {"kind": "quick-thread", "mean_diameter": 30.0, "friction": 0.12}


def test_a_rise_over_part_of_a_turn_is_a_lead() -> None:
    """By proportion: 2 mm in 30 deg are 24 mm in 360 deg."""
    by_rise = mechanism(release={**THREAD, "rise": 2.0, "rise_over": "30 deg"})
    by_lead = mechanism(release={**THREAD, "lead": 24.0})
    assert by_rise.keys["release.lead"] == pytest.approx(24.0, rel=1e-15)
    assert liftgeo.stroke(by_rise).full_lever == liftgeo.stroke(by_lead).full_lever
    many = liftgeo.batch(by_rise, {"release.rise": np.array([2.0, 2.5])})
    assert many.rod_travel_mm[1] > many.rod_travel_mm[0]
    assert by_rise.changed({"release.lead": 30}).keys["release.lead"] == 30


def test_a_rise_without_its_turn_is_told() -> None:
    file = mechanism(release={**THREAD, "rise": 2.0})
    assert [fault.key for fault in file.lacking] == ["release.rise_over"]


# --- a coil spring by its readings --------------------------------------------------------------

lengths = st.lists(st.floats(20, 60), min_size=2, max_size=12, unique_by=lambda x: round(x, 1))


@given(lengths, st.floats(5, 60), st.floats(0, 20), st.integers(0, 2**32 - 1))
@settings(max_examples=60)
def test_the_line_is_that_of_numpy_and_scipy(
    at: list[float], rate: float, noise: float, seed: int
) -> None:
    length = np.array(at)
    load = rate * (70.0 - length) + noise * np.random.default_rng(seed).normal(size=len(at))
    line = SpringLine(load, length)
    slope, at_zero = np.polyfit(length, load, 1)
    scipy_line = stats.linregress(length, load)
    assert float(line.rate_n_per_mm) == pytest.approx(-slope, rel=1e-8, abs=1e-8)
    assert float(line.rate_n_per_mm) == pytest.approx(-scipy_line.slope, rel=1e-8, abs=1e-8)
    assert float(line.free_length_mm) == pytest.approx(-at_zero / slope, rel=1e-7)
    if len(at) > 2:
        spread = math.sqrt(np.sum((load - slope * length - at_zero) ** 2) / (len(at) - 2))
        assert float(line.standard_misfit_n) == pytest.approx(spread, rel=1e-6, abs=1e-8)


def test_many_springs_at_once_are_each_their_own_line() -> None:
    loads, at = np.array([[0.0, 160.0, 320.0], [0.0, 150.0, 310.0]]), np.array([46.0, 41.0, 36.0])
    many = SpringLine(loads, np.broadcast_to(at, loads.shape))
    for row in range(2):
        one = SpringLine(loads[row], at)
        assert many.rate_n_per_mm[row] == pytest.approx(float(one.rate_n_per_mm), rel=1e-14)
        assert many.free_length_mm[row] == pytest.approx(float(one.free_length_mm), rel=1e-14)


def test_two_readings_are_a_rate_and_a_free_length() -> None:
    """By hand, of one spring: 68 kgf over 3/8 in; no load at 2 1/8 in."""
    file = sprung([["0 kgf", "2 1/8 in"], ["68 kgf", "1 3/4 in"]], installed_length="1 3/4 in")
    assert file.keys["spring.rate"] == pytest.approx(68 * 9.80665 / (0.375 * 25.4), rel=1e-13)
    assert file.keys["spring.free_length"] == pytest.approx(2.125 * 25.4, rel=1e-13)
    assert file.inward.clamp_force_n == pytest.approx(6 * 68 * 9.80665, rel=1e-12)
    assert not any(isinstance(load, Measured) for load in file.keys["spring.loads"])


def test_three_readings_carry_the_plus_minus_of_their_misfit() -> None:
    file = sprung()
    # By hand: the line is 16.133 - 3.2 (L - 41) kgf, and leaves -0.133, 0.267 and -0.133 kgf.
    misfit = 9.80665 * np.array([-0.4, 0.8, -0.4]) / 3
    assert file.keys["spring.rate"] == pytest.approx(32 * 9.80665 / 10)
    wanted = 2 * math.sqrt(np.sum(misfit**2))
    assert [load.half_width for load in file.keys["spring.loads"]] == pytest.approx([wanted] * 3)
    told = {line.name: line.value for line in derived(file)}
    assert told["greatest misfit of a reading"] == pytest.approx(0.8 / 3 * 9.80665)
    known = liftgeo.known(file)
    assert known is not None
    given_one = sprung([["0 kgf", 46.0], ["16.4 ± 0.1 kgf", 41.0], ["32 kgf", 36.0]])
    assert given_one.keys["spring.loads"][1].half_width == pytest.approx(0.980665)


def test_a_rate_laid_over_readings_keeps_their_free_length() -> None:
    file = sprung().changed({"spring.rate": 27})
    line = stats.linregress([46.0, 41.0, 36.0], [0.0, 16.4, 32.0])
    assert file.keys["spring.free_length"] == pytest.approx(-line.intercept / line.slope)
    assert file.keys["spring.rate"] == 27
    assert "spring.loads" not in file.keys


def test_readings_laid_over_a_rate_and_in_a_batch() -> None:
    pairs = [[[0.0, 46.0], [300.0, 36.0]], [[0.0, 46.0], [330.0, 36.0]]]
    file = mechanism(stack=None, spring=COILS | {"rate": 28.0, "free_length": 45.0})
    laid = file.changed({"spring.readings": pairs[0]})
    assert (laid.keys["spring.rate"], laid.keys["spring.free_length"]) == pytest.approx((30, 46))
    many = liftgeo.batch(file, {"spring.readings": pairs})
    assert many.clamp_force_n == pytest.approx([6 * 300, 6 * 330])
    texts = [[["0 N", "46 mm"], ["300 N", "36 mm"]]]
    assert liftgeo.batch(file, {"spring.readings": texts}).clamp_force_n == pytest.approx([1800])
    rising = liftgeo.batch(file, {"spring.readings": [[[300.0, 46.0], [0.0, 36.0]]]})
    assert rising.reason.tolist() == [int(Reason.SPRING_SHAPE)]
    with pytest.raises(liftgeo.RequestError, match=r"shape \(N, K, 2\)"):
        liftgeo.batch(file, {"spring.readings": [1.0, 2.0]})


BAD = {
    "not pairs": ([[1, 2], [3]], "list of pairs"),
    "a number": (12, "list of pairs"),
    "the length first": ([["46 mm", "0 kgf"], ["36 mm", "32 kgf"]], "a force is wanted"),
    "one reading": ([[0, 36]], "One reading"),
    "one length": ([[0, 46], [100, 46]], "one length"),
    "rising": ([[0, 36], [100, 46]], "does not rise"),
    "a load below zero": ([[-1, 46], [100, 36]], "cannot be"),
    "a word": ([["about 3", 46], ["x", 36]], "no number"),
}


@pytest.mark.parametrize(("readings", "words"), BAD.values(), ids=BAD)
def test_readings_that_make_no_spring_are_refused(readings: Any, words: str) -> None:
    with pytest.raises(GeometryError) as caught:
        sprung(readings)
    assert [words in fault.problem for fault in caught.value.faults] == [True], caught.value
    assert caught.value.faults[0].key == "spring.readings"
    assert caught.value.faults[0].remedy
