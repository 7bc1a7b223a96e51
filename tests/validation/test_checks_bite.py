"""Every kernel is checked from outside, sharply enough: 0.1 per cent too much turns a check red.

Each function of liftgeo.parts is made to return 1.001 times its result, one at a time, and the
outside checks (cases.py) are gone through until one fails. A kernel that can be false unseen needs
a check, or its place in NOTHING_TO_SCALE with the reason.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import closing

import pytest
from cases import Case, all_cases
from kernels import falsified, kernels

A_THOUSANDTH_MORE = 1.001
PLAINLY_FALSE = 1.3

NOTHING_TO_SCALE = {
    "plane.cross": "yes or no",
    "plane.first_crossing": "which pieces meet: no quantity",
    "release.Linear.last_rotation_rad": "infinity: the shape sets no end",
    "release.Linear.at.torque_arm_rate": "zero: travel is in proportion",
    "release.Linear.at_travel.torque_arm_rate": "zero: travel is in proportion",
    "release.SineLift.throw_mm": "every unit has its own",
    "stand_ins.NoSpring.energy_nmm": "zero: a spring that is not known presses with nothing",
    "stand_ins.NoSpring.load_n": "zero: the same",
    "stand_ins.NoSpring.rate_n_per_mm": "zero: the same",
    "stand_ins.NoSpring.free_height_mm": "not a number: it is not known",
    "stand_ins.NoSpring.known_end_mm": "not a number: it is not known",
    "stand_ins.NoSpring.last_deflection_mm": "beyond any lift: no end is known",
    "triangle.Drum.last_rotation_rad": "infinity: a drum has no dead centre",
    "triangle.Drum.at.moment_arm_slope_mm": "zero: the radius is constant",
    "triangle.Drum.at_pull.moment_arm_slope_mm": "zero: the radius is constant",
    "release.Linear.bends_rad": "a straight law has none",
    "release.Shaped.bends_rad": "a smooth law has none",
    "release.Linear.loss_bends_mm": "its loss does not bend",
    "release.Shaped.loss_bends_mm": "its loss does not bend",
    "stand_ins.NoSpring.turns_mm": "a spring that is not known does not turn",
    "values.spread": "no law: gives back a value in another shape",
    "values.rows_of": "no law: sets values row after row",
    "spring.Coils.turns_mm": "a straight load does not turn",
    "triangle.Drum.bends_rad": "a straight law has none",
    "triangle.Triangle.bends_rad": "a smooth law has none",
    "triangle.MeasuredLink.cable_angle_rad": "a table of pulls does not tell it: not a number",
}

KERNELS = {kernel.name: kernel for kernel in kernels()}

PARTS_OF_THE_CHAIN = (
    "Triangle",
    "Drum",
    "Cable",
    "BallRamp",
    "QuickThread",
    "Rack",
    "CrankWithSlot",
    "CrankWithLink",
    "Eccentric",
    "ConedDisc",
    "Coils",
    "Faces",
    "Bearing",
)


@pytest.fixture(scope="module")
def checks() -> tuple[Case, ...]:
    """Return all outside checks, their expected values worked out before anything is falsified."""
    found = all_cases()
    assert all(math.isfinite(case.expected()) for case in found)
    # The whole chain last: a part's own checks are quicker, and say more.
    return tuple(sorted(found, key=lambda case: callable(case.printed)))


def holds(case: Case) -> bool:
    """Return whether a check holds; one that breaks down under a false kernel does not."""
    try:
        return case.holds()
    except (ArithmeticError, ValueError):
        return False


def test_all_checks_hold_as_things_are(checks):
    assert [case.report() for case in checks if not case.holds()] == []


@pytest.mark.parametrize("name", sorted(KERNELS.keys() - NOTHING_TO_SCALE.keys()))
def test_a_thousandth_more_turns_a_check_red(name, checks):
    with falsified(KERNELS[name], A_THOUSANDTH_MORE):
        assert not all(holds(case) for case in checks), f"nothing checks {name}"


def test_what_has_nothing_to_scale_is_still_there():
    assert NOTHING_TO_SCALE.keys() <= KERNELS.keys()


def origins_that_object(part: str, checks: tuple[Case, ...]) -> Iterator[str]:
    """Yield the file of every check that fails when a kernel of the part is plainly false.

    What stands in one file shares its book, or its way of working things out.
    """
    for kernel in KERNELS.values():
        if kernel.part == part:
            with falsified(kernel, PLAINLY_FALSE):
                yield from (case.ours.__module__ for case in checks if not holds(case))


@pytest.mark.parametrize("part", PARTS_OF_THE_CHAIN)
def test_each_part_of_the_chain_answers_to_two_origins(part, checks):
    heard: set[str] = set()
    with closing(origins_that_object(part, checks)) as objecting:
        for origin in objecting:
            heard.add(origin)
            if len(heard) >= 2:
                break
    assert len(heard) >= 2, f"{part} answers to {heard or 'nobody'} alone"
