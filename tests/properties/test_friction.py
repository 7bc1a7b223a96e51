"""Friction of a release unit only ever costs: pulling, letting back, and over the whole stroke."""

from __future__ import annotations

import math

import numpy as np
import pytest
from clutches import mechanism
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from mechanisms import RELEASES, Document, documents, read, releases

import liftgeo
from liftgeo.chain import position
from liftgeo.mechanism import convert
from liftgeo.mechanism.needs import needs_with
from liftgeo.outcome.outcome import analysed
from liftgeo.parts.cable import BACK

FRICTIONS = ("friction", "friction_angle", "collar_friction", "efficiency")
"""Every key by which a release unit rubs; without them it does not."""

# An eccentric whose round is smaller than its throw touches below its axis at first.
SMALL_ROUNDS = st.fixed_dictionaries(
    {
        "kind": st.just("eccentric"),
        "eccentricity": st.floats(3, 9),
        "rest_angle": st.floats(-80, 60),
        "cam_radius": st.floats(0.1, 9),
        "friction": st.floats(0, 0.3),
    }
)


def unit_of(table: Document):
    return convert.release_unit({f"release.{key}": value for key, value in table.items()})


def check_friction_costs(table: Document, share: float) -> None:
    """Assert that rubbing takes torque both ways, at a share of the unit's whole turn."""
    smooth = {key: value for key, value in table.items() if key not in FRICTIONS}
    with np.errstate(all="ignore"):
        unit, ideal = unit_of(table), unit_of(smooth)
        turn = share * min(float(unit.last_rotation_rad), 1.0)
        free = float(ideal.at(turn).torque_arm_mm)
        pulling = float(unit.at(turn).torque_arm_mm)
        back = float(unit.at(turn, BACK).torque_arm_mm)
    rounding = 1e-9 * (1 + abs(free))
    assert pulling >= free - rounding
    assert back <= free + rounding


@pytest.mark.parametrize("kind", RELEASES)
@settings(max_examples=40, derandomize=True)
@given(data=st.data(), share=st.floats(0, 1))
def test_friction_never_lightens_the_pull_nor_makes_letting_back_heavier(kind, data, share):
    check_friction_costs(data.draw(releases(kind)), share)


@settings(max_examples=200, derandomize=True)
@given(table=SMALL_ROUNDS, share=st.floats(0, 1))
def test_nor_where_the_round_is_smaller_than_its_throw(table, share):
    check_friction_costs(table, share)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(documents())
def test_the_work_of_a_whole_stroke_is_never_below_the_floor(document):
    """The floor is what the plates ask for; pulling costs that, and letting back returns less.

    A jump that ends on a stop leaves the hand short of what the plates were given: left out. At one
    lift a spring that rubs bends what is elastic less on the way back, so the arms stand elsewhere;
    beside a dead centre that outweighs the rubbing. There only the work of the stroke is compared.
    """
    drawn = read(document)
    outcome = analysed(drawn)
    assume(not np.any(outcome.end.jumps))
    result = liftgeo.stroke(drawn)
    floor_j = result.effort.floor_n * float(outcome.parts.lever.hand_travel_mm) / 1000
    assert result.effort.work_j >= floor_j * (1 - 1e-9) - 1e-9
    table = result.stroke
    back_j, there_j = (
        np.trapezoid(force, table.hand_travel_mm) / 1000
        for force in (table.return_hand_force_n, table.hand_force_n)
    )
    assert back_j <= there_j * (1 + 1e-9) + 1e-9
    if not document["spring"].get("friction"):
        assert np.all(table.return_hand_force_n <= table.hand_force_n * (1 + 1e-9) + 1e-9)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(document=documents(), data=st.data())
def test_a_smoother_unit_never_pulls_heavier_at_the_same_lift(document, data):
    """The same mechanism with the unit's friction taken out, held at the same plate lift."""
    document["release"] = data.draw(st.one_of(SMALL_ROUNDS, st.sampled_from([document["release"]])))
    smooth = document | {
        "release": {k: v for k, v in document["release"].items() if k not in FRICTIONS}
    }
    rough, free = analysed(read(document)), analysed(read(smooth))
    at = np.minimum(float(rough.end.at), float(free.end.at))
    with np.errstate(all="ignore"):
        heavy, light = position(rough.parts, at), position(free.parts, at)
    assert float(heavy.unit_torque_nmm) >= float(light.unit_torque_nmm) * (1 - 1e-9) - 1e-9


def test_an_eccentric_that_rubs_needs_its_radius():
    """Not where its friction is zero, nor with an efficiency."""
    wanted = [need.key for given, need in needs_with() if given == "release.friction"]
    assert "release.cam_radius" in wanted
    table = {"kind": "eccentric", "eccentricity": 5.0, "rest_angle": -10.0}
    lacking = mechanism(release=table | {"friction": 0.1}).lacking
    assert [fault.key for fault in lacking] == ["release.cam_radius"]
    for enough in ({"friction": 0.0}, {"efficiency": 0.9}, {"friction": 0.1, "cam_radius": 9.0}):
        assert liftgeo.stroke(mechanism(release=table | enough)).peak.hand_force_n > 0


def test_friction_at_a_round_below_its_axis():
    """By hand: R_c = 2, e = 5, psi = -30 deg: contact 0.5 mm below the axis, lever 4.3301 mm."""
    table = {"kind": "eccentric", "eccentricity": 5.0, "rest_angle": -30.0, "cam_radius": 2.0}
    unit = unit_of(table | {"friction": 0.1})
    expected = 5 * math.cos(math.radians(-30))
    assert float(unit.at(0.0).torque_arm_mm) == pytest.approx(expected + 0.05, rel=1e-12)
    assert float(unit.at(0.0, BACK).torque_arm_mm) == pytest.approx(expected - 0.05, rel=1e-12)
