"""The whole chain, lever to plates, as rows beside the parts' rows.

Sources: a general-purpose physics engine at rest (MuJoCo; physics_engine.py) for the frictionless
chain, and a second method by root finding on points (point_equilibrium.py) for friction, stops and
both ways. test_physics_engine.py and test_against_point_equilibrium.py compare many more numbers;
these rows carry the two that count onto the page of checks. All mechanisms are invented.
"""

from functools import cache

import point_equilibrium as by_points
import test_physics_engine as by_engine
from cases import each_holds, worked_out

import liftgeo
from liftgeo import chain
from liftgeo.mechanism import from_document

ENGINE = "General-purpose physics engine at rest (MuJoCo), frictionless"
POINTS = "Second method: all equations of equilibrium at once, on points"
PARTED = 4.5
"""Stroke coordinate half a millimetre after the faces part."""

SCENARIOS = by_points.scenarios()


@cache
def settled(name):
    case = by_engine.CASES[name]
    said = chain.position(by_engine._parts(case), PARTED)
    return by_engine.engine.settle_at_hand(case.plain, float(said.hand_travel_mm))


def here(name):
    return chain.position(by_engine._parts(by_engine.CASES[name]), PARTED)


@cache
def found(name):
    return by_points.full_lever(SCENARIOS[name])


def full_lever(name):
    return liftgeo.stroke(from_document(SCENARIOS[name])).full_lever


def _engine_rows(name):
    yield worked_out(ENGINE, name, "plate lift", "mm", lambda: settled(name).plate_lift_mm,
                     lambda: float(here(name).lift_mm), close=1e-11)  # fmt: skip
    yield worked_out(ENGINE, name, "hand force", "N", lambda: settled(name).hand_force_n,
                     lambda: float(here(name).hand_force_n), close=1e-11)  # fmt: skip


def _point_rows(name):
    for key, quantity, unit in (
        ("separation_mm", "separation at full lever", "mm"),
        ("hand_force_n", "hand force at full lever", "N"),
        ("return_hand_force_n", "hand force letting back", "N"),
    ):
        yield worked_out(POINTS, name, quantity, unit, lambda key=key: found(name)[key],
                         lambda key=key: getattr(full_lever(name), key), close=1e-10)  # fmt: skip


CASES = (
    *(row for name in by_engine.CASES for row in _engine_rows(name)),
    *(row for name in SCENARIOS for row in _point_rows(name)),
)


test_chain = each_holds(CASES)
