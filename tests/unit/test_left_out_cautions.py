"""Warnings about numbers that were left out and decide something."""

from __future__ import annotations

from typing import Any

import pytest
from clutches import document

import liftgeo
from liftgeo.cautions.left_out_rules import LEFT_OUT_CAUTIONS
from liftgeo.mechanism import from_document


def warned(left_out: str = "usual", **tables: dict[str, Any]) -> dict[str, str]:
    """Return the warnings of the base clutch with some keys put over it, by key."""
    made = document(**tables)
    made["left_out"] = left_out
    return {w.key: w.message for w in liftgeo.stroke(from_document(made)).warnings}


def test_a_slip_that_rests_on_a_usual_friction_is_a_caution_and_no_verdict() -> None:
    found = warned(faces={"friction": None}, engine={"torque": 900.0})
    assert "was not given" in found["may-slip"]
    assert "slips" not in found
    given = warned(faces={"friction": 0.30}, engine={"torque": 900.0})
    assert "slips" in given
    assert "may-slip" not in given


@pytest.mark.parametrize(("margin", "raised"), [(1.32, True), (1.34, False)])
def test_it_is_raised_below_the_line_only(margin: float, raised: bool) -> None:
    made = document(faces={"friction": None}, engine={"torque": 50.0, "primary_ratio": 1.0})
    made["left_out"] = "usual"
    at_fifty = liftgeo.stroke(from_document(made)).capacity.slip_margin
    torque = 50.0 * at_fifty / margin
    found = warned(faces={"friction": None}, engine={"torque": torque, "primary_ratio": 1.0})
    assert ("may-slip" in found) is raised


def test_what_was_not_judged_without_the_rods_action_is_said() -> None:
    rod = {"action": None, "stiffness": None, "length": 150.0, "diameter": 8.0}
    assert "rod.action is not given" in warned(rod=rod)["action-unknown"]
    assert "action-unknown" not in warned(rod=rod | {"action": "push"})
    assert "action-unknown" not in warned(rod={"action": None})


def test_every_rule_about_left_out_numbers_is_tried_here() -> None:
    assert {rule.key for rule in LEFT_OUT_CAUTIONS} == {"may-slip", "action-unknown"}
