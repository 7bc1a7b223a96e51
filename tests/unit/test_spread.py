"""What the ± of the measurements does, against sums on paper, single strokes and simulation."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import clutches
import numpy as np
import pytest

import liftgeo
from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.bands import MOST_STROKES, bands, bands_of
from liftgeo.outcome.drawing import draw
from liftgeo.outcome.known import known
from liftgeo.outcome.shares import additive, totals
from liftgeo.outcome.uncertain import shares_of
from liftgeo.quantities import Measured
from liftgeo.studies.spread import Spread, spread, total_shares

Z95 = 1.6448536269514722  # standard normal, 95 in 100 below it (from memory)
PLATE_MM, BASKET_MM = 0.04, 0.06


def normal_below(deviations: float) -> float:
    return 0.5 * math.erfc(-deviations / math.sqrt(2.0))


@cache
def linear() -> Mechanism:
    """Return a clutch whose clearance is a straight sum of what varies.

    Clearance of one plate is half of (separation - plate run-out - basket run-out / 2 - ...), and
    run-out moves no separation.
    """
    return clutches.mechanism(
        faces={
            "plate_runout": f"0.20 ± {PLATE_MM} mm",
            "basket_runout": f"0.20 ± {BASKET_MM} mm",
            "pressure_plate_runout": None,
        }
    )


PLATE_SD_MM, BASKET_SD_MM = PLATE_MM / 2 / 2, BASKET_MM / 2 / 2 / 2  # ± is two; per face; half
SD_MM = math.hypot(PLATE_SD_MM, BASKET_SD_MM)
SPLIT = {
    "faces.plate_runout": PLATE_SD_MM**2 / SD_MM**2,
    "faces.basket_runout": BASKET_SD_MM**2 / SD_MM**2,
}


@cache
def unsure() -> Mechanism:
    """Return a clutch of which four numbers were left out."""
    return clutches.mechanism(
        left_out="usual",
        cable={"free_play": None, "stiffness": None, "friction": None},
        rod={"end_float": None},
    )


@cache
def unsure_spread() -> Spread:
    return spread(unsure(), samples=20_000, full=True)


def nominal_mm(mechanism: Mechanism) -> float:
    return liftgeo.stroke(mechanism).full_lever.clearance_per_face_mm


# --- a straight sum ---


def test_the_variance_of_a_straight_sum_is_split_as_on_paper():
    found = spread(linear(), full=True)
    assert found.known is not None
    assert found.total is not None
    for share in found.known.shares:
        assert share.share == pytest.approx(SPLIT[share.key], abs=0.005)
        assert found.total[share.key] == pytest.approx(SPLIT[share.key], abs=0.02)
    assert found.total_runs == 2 * 8192


def test_the_range_of_a_straight_sum_is_that_of_a_normal_curve():
    found = spread(linear())
    assert found.known is not None
    clear, middle = found.known.clearance_per_face_mm, nominal_mm(linear())
    assert clear.p05 == pytest.approx(middle - Z95 * SD_MM, abs=2e-4)
    assert clear.p50 == pytest.approx(middle, abs=2e-4)
    assert clear.p95 == pytest.approx(middle + Z95 * SD_MM, abs=2e-4)
    assert found.known.frees == pytest.approx(normal_below(middle / SD_MM), abs=0.003)


def test_the_corner_of_a_straight_sum_is_every_limit_at_once():
    corner = spread(linear(), samples=2000).corner
    assert corner is not None
    worst = nominal_mm(linear()) - 2 * (PLATE_SD_MM + BASKET_SD_MM)
    assert corner.clearance_per_face_mm == pytest.approx(worst, abs=1e-9)
    peak = liftgeo.stroke(linear()).peak.hand_force_n
    assert corner.peak_hand_force_n == pytest.approx(peak, rel=1e-9)


# --- shares by themselves ---


def test_what_works_only_together_has_no_share_alone_and_the_whole_in_total():
    values = {k: 2.0 * shares_of(k, 50_000, 1) - 1.0 for k in ("one", "two", "idle")}
    again = {k: 2.0 * shares_of(f"{k} again", 50_000, 1) - 1.0 for k in values}

    def product(**x: Any) -> Any:
        return x["one"] * x["two"]

    result = product(**values)
    fitted = additive(values, result)
    found = totals(lambda name, new: product(**values | {name: new}), values, again, result)
    assert fitted.share("one") == pytest.approx(0.0, abs=0.003)
    assert found["one"] == pytest.approx(1.0, abs=0.03)
    assert found["two"] == pytest.approx(1.0, abs=0.03)
    assert found["idle"] == 0.0


@pytest.mark.parametrize("left", [0.0, 0.3, 0.7, 1.0])
def test_certainty_with_some_of_a_width_left_is_that_of_normal_curves(left: float):
    samples, middle, own, other = 20_000, 0.4, 1.0, 0.6
    scores = {k: normal_scores(k, samples) for k in ("own", "other")}
    result = middle + own * scores["own"] + other * scores["other"]
    found = additive(scores, result).certainty(["own"], left)
    told, rest = own * math.sqrt(1 - left**2), math.hypot(other, own * left)
    share = (np.arange(20_000) + 0.5) / 20_000
    mean = np.array([abs(middle + told * z) / rest for z in standard_normal(share)])
    wanted = float(np.mean([normal_below(x) for x in mean]))
    assert found == pytest.approx(wanted, abs=0.006)


def standard_normal(share: Any) -> Any:
    from statistics import NormalDist

    return [NormalDist().inv_cdf(float(x)) for x in share]


def normal_scores(name: str, samples: int) -> Any:
    return np.array(standard_normal(np.clip(shares_of(name, samples, 1), 1e-9, 1 - 1e-9)))


# --- against known, and itself ---


@pytest.mark.parametrize("name", ["linear", "unsure"])
def test_at_the_samples_of_known_a_spread_is_known(name: str):
    mechanism = {"linear": linear, "unsure": unsure}[name]()
    found = spread(mechanism, samples=2000)
    sure = known(mechanism)
    assert sure is not None
    assert found.known is not None
    assert found.known.to_dict() == sure.to_dict()


def test_the_seed_makes_it_repeatable():
    one, two, other = (spread(unsure(), samples=2000, seed=s, full=True) for s in (3, 3, 4))
    assert one.to_dict() == two.to_dict()
    assert one.to_dict() != other.to_dict()
    assert one.known is not None
    assert other.known is not None
    assert one.known.frees == pytest.approx(other.known.frees, abs=0.03)


def test_totals_are_no_smaller_than_what_a_number_does_alone():
    found = unsure_spread()
    assert found.known is not None
    assert found.total is not None
    assert set(found.total) == {share.key for share in found.known.shares}
    for share in found.known.shares:
        assert found.total[share.key] >= share.share - 0.03
    assert sum(found.total.values()) >= 0.97


def test_totals_under_a_change_carry_each_sample_s_own_cushion_load():
    # The thick plate changes the clamp force; the cushion load stays that of the unchanged file.
    stock = clutches.changeable(cable={"free_play": "2.2 ± 0.5 mm"})
    found = draw(stock.changed("thick-plate"), 1000, 1)
    assert found is not None
    total, runs = total_shares(found, 500)
    assert runs == 500 * len(found.inputs)
    assert total == pytest.approx({"cable.free_play": 1.0}, abs=0.15)


# --- the corner, against single strokes ---


def test_the_corner_is_a_stroke_with_every_number_at_the_limit_that_hurts():
    found = unsure_spread()
    assert found.corner is not None
    limits = {each.key: each for each in found.inputs}
    # Free play, float and a soft cable take lift; friction makes it heavy and stretches the cable.
    for_lift = {
        "cable.free_play": limits["cable.free_play"].high,
        "rod.end_float": limits["rod.end_float"].high,
        "cable.stiffness": limits["cable.stiffness"].low,
        "cable.friction": limits["cable.friction"].high,
    }
    assert set(limits) == set(for_lift)
    single = nominal_mm(unsure().changed(for_lift))
    assert found.corner.clearance_per_face_mm == pytest.approx(single, abs=1e-9)
    assert found.known is not None
    assert found.corner.clearance_per_face_mm < found.known.clearance_per_face_mm.p05
    assert found.corner.peak_hand_force_n > found.known.peak_hand_force_n.p95


# --- what to repeat, and how well ---


def test_a_measurement_repeated_so_well_settles_it_19_times_in_20():
    """Nested simulation: what the key may be found to be outside, everything else inside."""
    mechanism = clutches.mechanism(
        cable={"free_play": "1.2 ± 1.2 mm", "stiffness": "240 ± 12 N/mm"}
    )
    found = spread(mechanism, samples=20_000)
    assert found.repeat is not None
    assert found.repeat.sure_now < 0.95
    item = next(x for x in found.repeat.alone if x.key == "cable.free_play")
    assert 0 < item.half_width < item.half_width_now == pytest.approx(1.2)
    told_mm = math.sqrt(item.half_width_now**2 - item.half_width**2) / 2
    sure = []
    for z in standard_normal((np.arange(40) + 0.5) / 40):
        told = Measured(max(0.0, 1.2 + told_mm * z), item.half_width)
        inner = known(mechanism.changed({"cable.free_play": told}), samples=1000)
        assert inner is not None
        sure.append(max(inner.frees, 1 - inner.frees))
    assert float(np.mean(sure)) == pytest.approx(0.95, abs=0.015)


def test_what_is_sure_needs_no_repeating():
    found = spread(linear(), samples=2000).repeat
    assert found is not None
    assert found.sure_now >= 0.95
    assert (found.alone, found.together) == ((), ())


def test_on_the_line_both_halves_of_a_straight_sum_are_measured_as_well_as_on_paper():
    """At a middle of 0 the certainty is 1/2 + atan(sqrt(1 - l**2)/l)/pi with a share l left."""
    faces = {"pressure_plate_runout": None, "basket_runout": f"0.20 ± {BASKET_MM} mm"}
    runout_mm = 0.20 + 2 * nominal_mm(linear())  # each face is short by half of what it is too much
    faces["plate_runout"] = f"{runout_mm} ± {PLATE_MM} mm"
    mechanism = clutches.mechanism(faces=faces)
    assert nominal_mm(mechanism) == pytest.approx(0.0, abs=1e-9)
    found = spread(mechanism).repeat
    assert found is not None
    assert found.sure_now == pytest.approx(0.5, abs=0.005)
    assert found.alone == ()
    left = 1 / math.hypot(1.0, math.tan(0.45 * math.pi))
    widths = {item.key: item.half_width for item in found.together}
    wanted = {"faces.plate_runout": left * PLATE_MM, "faces.basket_runout": left * BASKET_MM}
    assert widths == pytest.approx(wanted, rel=0.05)


def test_together_the_same_share_of_each_width_is_left():
    found = unsure_spread()
    assert found.repeat is not None
    assert not found.repeat.alone
    left = [item.half_width / item.half_width_now for item in found.repeat.together]
    assert len(left) >= 2
    assert left == pytest.approx([left[0]] * len(left))
    assert all(item.how for item in found.repeat.together)


# --- bands ---


def test_bands_are_the_quantiles_of_single_strokes():
    mechanism = clutches.mechanism(
        cable={"free_play": "2.2 ± 0.6 mm"}, lever={"hand_travel": "39 ± 1 mm"}
    )
    drawn = draw(mechanism, 60, 1)
    assert drawn is not None
    at = np.array([10.0, 25.0, 36.0])
    found = bands(drawn, at)
    force, apart, left = [], [], []
    for k in range(60):
        over = {key: float(values[k]) for key, values in drawn.values.items()}
        single = liftgeo.stroke(mechanism.changed(over), positions=1001)
        assert single.stroke is not None
        travel = single.stroke.hand_travel_mm
        force.append(np.interp(at, travel, single.stroke.hand_force_n))
        apart.append(np.interp(at, travel, single.stroke.separation_mm))
        left.append(single.budget[-1].left_mm)
    low, high = np.quantile(force, (0.05, 0.95), axis=0)
    assert found.hand_force_n.low == pytest.approx(low, abs=0.3)
    assert found.hand_force_n.high == pytest.approx(high, abs=0.3)
    low, high = np.quantile(apart, (0.05, 0.95), axis=0)
    assert found.separation_mm.low == pytest.approx(low, abs=2e-3)
    assert found.separation_mm.high == pytest.approx(high, abs=2e-3)
    ends = tuple(np.quantile(left, (0.05, 0.95)))
    assert found.budget_left_mm["run-out-and-tilt"] == pytest.approx(ends, abs=1e-6)
    assert found.strokes == 60


def test_bands_end_where_half_of_the_strokes_do():
    mechanism = clutches.mechanism(lever={"hand_travel": "39 ± 2 mm"})
    drawn = draw(mechanism, 1000, 1)
    assert drawn is not None
    found = bands(drawn, np.array([30.0, 38.9, 39.3]))
    assert found.strokes == MOST_STROKES
    assert np.isfinite(found.hand_force_n.high).tolist() == [True, True, False]


def test_nothing_uncertain_has_no_bands():
    mechanism = clutches.mechanism()
    assert bands_of(mechanism, liftgeo.stroke(mechanism)) is None
    assert bands_of(unsure(), liftgeo.stroke(unsure())) is not None


# --- what cannot be asked ---


def test_nothing_uncertain_gives_the_plain_verdict():
    found = spread(clutches.mechanism())
    assert found.known is None
    data = found.to_dict()
    assert data["verdict"] == "drags"
    assert data["frees"] is None
    assert "nothing is uncertain" in str(found)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"samples": 10}, "10 samples"),
        ({"samples": 10**9}, "1000000000 samples"),
        ({"seed": -1}, "seed of -1"),
    ],
)
def test_a_spread_that_cannot_be_is_refused(asked: dict[str, int], said: str):
    with pytest.raises(RequestError, match=said):
        spread(linear(), **asked)


def test_a_partial_file_has_no_spread():
    partial = clutches.coils_mechanism(faces=None)
    with pytest.raises(RequestError, match=r"A spread needs the whole clutch: \[faces\]"):
        spread(partial)


def test_it_shows_itself_in_a_notebook():
    found = unsure_spread()
    assert "<table>" in found._repr_html_()
    assert "cable.free_play" in found._repr_html_()
    rows = found.to_csv().splitlines()
    assert rows[0] == "key,value,low,high,unit,left_out,share,total"
    assert len(rows) == 1 + len(found.inputs)


def test_a_band_ends_where_the_strokes_end_none_of_them_lost_to_rounding() -> None:
    clutch = clutches.mechanism(left_out="usual", cable={"free_play": None})
    drawn = draw(clutch, 400)
    assert drawn is not None
    travels = np.linspace(0.0, float(liftgeo.stroke(clutch).full_lever.hand_travel_mm), 61)
    found = bands(drawn, travels).separation_mm
    ends = np.quantile(drawn.of("separation_mm"), (0.05, 0.95))
    assert (found.low[-1], found.high[-1]) == pytest.approx(ends, rel=1e-9)
